"""Which boards to buy for all pieces of a job, and how to cut them: the cheapest way, with proof."""

from collections.abc import Sequence
from functools import lru_cache
from math import fsum
from typing import Annotated, NamedTuple

from sheetcalc.compare import round_down, same, under
from sheetcalc.errors import InputError, NotFound, NotReadable, above, at_least, whole
from sheetcalc.kinds import COUNT, MONEY, Beside, Count, Length, Lengths, Money, Number, Shown, Text
from sheetcalc.solver.cutting import Cut, NoPlan, Plan, Stock, TooLong, cheapest
from sheetcalc.trade.lengths import cut_inches
from sheetcalc.trade.shared import answering
from sheetcalc.trade.steps import STEP, Step, beside, check_effort, check_stock, coarser, long_steps, offers

__all__ = ["buy_cost", "buy_list", "kerf_note", "lowest_buy_cost", "saw_list", "stop_list"]


_MOST_PIECES = 100_000  # both far past any job; they keep the work of one call in bounds
_MOST_LENGTHS = 1000


class Bought(NamedTuple):
    """A plan, and the lengths as they were given."""

    pieces: Sequence[float]
    stock: Sequence[float]
    kerf: float
    end_trim: float
    step: float
    boards: tuple[Stock, ...]
    plan: Plan

    @property
    def cuts(self) -> list[Cut]:
        """Boards cut alike, by stock length, those with the longest pieces first."""
        longest = sorted(range(len(self.pieces)), key=lambda at: -self.pieces[at])
        return sorted(
            self.plan.cuts,
            key=lambda cut: (self.stock[cut.stock], cut.stock, [-cut.counts[at] for at in longest]),
        )


def _bought(
    pieces: Lengths,
    counts: Annotated[Sequence[float], COUNT, Beside("pieces")],
    stock: Lengths,
    prices: Annotated[Sequence[float], MONEY, Beside("stock")],
    kerf: Length = 0,
    end_trim: Length = 0,
    available: Annotated[Sequence[float | None], COUNT, Beside("stock", blank=True)] | None = None,
    effort: Number = 1,
    *,
    step: Step = STEP,
) -> Bought:
    # The one solve behind all answers of this module.
    if not pieces:
        raise NotReadable("pieces", pieces, "must hold a length")
    beside("counts", counts, "pieces", pieces)
    for length in pieces:
        above(0, pieces=length)
    for count in counts:
        whole(counts=count)
    if fsum(counts) > _MOST_PIECES:
        raise InputError("counts", counts, f"must be {_MOST_PIECES} pieces or fewer in all")
    if len(set(pieces)) > _MOST_LENGTHS:
        raise InputError("pieces", pieces, f"must be {_MOST_LENGTHS} different lengths at most")
    check_stock(stock, prices, kerf, end_trim)
    available = [None] * len(stock) if available is None else available
    beside("available", available, "stock", stock)
    for most in available:
        if most is not None:
            whole(available=most)
    check_effort(effort)

    cut = long_steps(kerf, step)
    sizes = [long_steps(length, step) + cut for length in pieces]
    boards = offers(stock, prices, available, kerf, end_trim, step)
    longest = max(board.size for board in boards)
    for length, count, size in zip(pieces, counts, sizes, strict=True):
        if count and size > longest:
            raise NotFound("pieces", length, "must fit the longest stock length, its end trimmed")
    sizes, boards = coarser(sizes, boards)
    try:
        plan = _cheapest(sizes, tuple(map(round, counts)), boards, effort)
    except NoPlan:
        raise NotFound("available", available, "must be boards enough for all pieces") from None
    except TooLong:
        raise InputError("pieces", pieces, "must be fewer: their plan took too long to find") from None
    return Bought(pieces, stock, kerf, end_trim, step, boards, plan)


_cheapest = lru_cache(maxsize=256)(cheapest)


class BoardsBought(NamedTuple):
    """Boards of one stock length: their number and what they cost together."""

    stock: Length
    boards: Count
    cost: Money


@answering(_bought)
def buy_list(bought: Bought) -> list[BoardsBought]:
    r"""Boards to buy of each stock length so that all pieces can be cut at the lowest cost.

    Parameters
    ----------
    pieces : sequence of float
        Lengths of the pieces [in].
    counts : sequence of float
        How many of each [-].
    stock : sequence of float
        Stock lengths on offer [in].
    prices : sequence of float
        Price of one board of each stock length [money].
    kerf : float, optional
        Width of a saw cut [in].
    end_trim : float, optional
        What squaring takes off the ends of each board [in].
    available : sequence of float, optional
        Boards on offer of each stock length [-]; no limit where it is blank.
    effort : float, optional
        How long to search: 2 for twice the steps [-]. Counted in steps, never in seconds, so that every
        machine gives the same plan.
    step : float, optional
        Set by the unit system: the step that lengths are counted in [in].

    Returns
    -------
    list of BoardsBought
        Stock length [in], boards, their cost [money], by stock length; no row where none is bought.

    Raises
    ------
    NotFound
        A piece longer than any stock, or too few boards on offer.
    NotReadable
        No piece or no stock length is given, or lists that stand beside each other differ in length.
    InputError
        A length not over 0, a negative price, kerf or trim, a count that is not whole, or a plan that takes
        too long to find.

    Notes
    -----
    Between two pieces the saw takes a kerf, so k pieces of length p fit a board of length s when
    :math:`k (p + kerf) \le s - trim + kerf`. Lengths are counted in 1/64 in (0.1 mm), pieces and kerf
    rounded up, stock down. Of plans that cost the same, that with the fewest boards cut differently is
    taken, then that with the longer offcuts. Where the plan is not proven cheapest, `lowest_buy_cost` says
    how far it can be off at most.

    References
    ----------
    Cutting stock, as in Chvátal, *Linear Programming*, ch. 13. Kerf added to piece and stock: derived.

    Examples
    --------
    >>> buy_list([110, 62], [8, 6], [96, 144, 192], [12.4, 19.9, 27.1], 0.125)
    [BoardsBought(stock=144, boards=2, cost=39.8), BoardsBought(stock=192, boards=6, cost=162.6)]
    """
    boards = [0] * len(bought.stock)
    for cut in bought.plan.cuts:
        boards[cut.stock] += cut.times
    by_length = sorted(range(len(boards)), key=lambda at: bought.stock[at])
    return [
        BoardsBought(bought.stock[at], boards[at], boards[at] * bought.boards[at].cost / 100)
        for at in by_length
        if boards[at]
    ]


class Sawn(NamedTuple):
    """Boards cut alike: stock length, how many, what to cut from each, what is left of each."""

    stock: Length
    boards: Count
    cut: Text
    offcut: Length


@answering(_bought)
def saw_list(bought: Bought, *, shown: Shown = cut_inches) -> list[Sawn]:
    """How to cut the boards of the cheapest purchase: one row for all boards cut alike.

    Parameters
    ----------
    pieces, counts, stock, prices, kerf, end_trim, available, effort, step
        As for `buy_list`.
    shown : callable, optional
        Words a length; set by the unit system.

    Returns
    -------
    list of Sawn
        Stock length [in], boards cut this way, what to cut from each (longest first), offcut of each [in];
        by stock length.

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `buy_list`.

    Notes
    -----
    Each piece takes one kerf, and the offcut is what then is left of the trimmed board, never under 0.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> saw_list([110, 62], [2, 2], [96, 144, 192], [12.4, 19.9, 27.1], 0.125, 0.5)
    [Sawn(stock=192, boards=2, cut='110 + 62', offcut=19.25)]
    """
    return [
        Sawn(
            bought.stock[cut.stock], cut.times, _words(bought.pieces, cut.counts, shown), _offcut(bought, cut)
        )
        for cut in bought.cuts
    ]


class Setting(NamedTuple):
    """One setting of the stop block: length, pieces cut at it, boards that they are cut from."""

    length: Length
    pieces: Count
    boards: Count


@answering(_bought)
def stop_list(bought: Bought) -> list[Setting]:
    """Stop-block settings for all cuts of the cheapest purchase, longest first, each set once.

    Parameters
    ----------
    pieces, counts, stock, prices, kerf, end_trim, available, effort, step
        As for `buy_list`.

    Returns
    -------
    list of Setting
        Length to set [in], pieces to cut at it, boards that they come from; longest first.

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `buy_list`.

    Notes
    -----
    Distinct lengths, cut stage by stage: all pieces of one setting, then the next. `saw_list` groups boards
    that are cut alike, board by board; the two counts differ.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> stop_list([110, 62], [2, 2], [96, 144, 192], [12.4, 19.9, 27.1], 0.125, 0.5)
    [Setting(length=110, pieces=2, boards=2), Setting(length=62, pieces=2, boards=2)]
    """
    settings: list[Setting] = []
    for length in sorted(set(bought.pieces), reverse=True):
        same = [at for at, piece in enumerate(bought.pieces) if piece == length]
        of_each = [(cut.times, sum(cut.counts[at] for at in same)) for cut in bought.plan.cuts]
        boards = sum(times for times, count in of_each if count)
        if boards:
            settings.append(Setting(length, sum(times * count for times, count in of_each), boards))
    return settings


def _words(pieces: Sequence[float], counts: Sequence[int], shown: Shown) -> str:
    # Pieces of one length given twice are cut as one.
    together: dict[float, int] = {}
    for length, count in zip(pieces, counts, strict=True):
        together[length] = together.get(length, 0) + count
    return " + ".join(
        f"{count} x {shown(length)}" if count > 1 else shown(length)
        for length, count in sorted(together.items(), reverse=True)
        if count
    )


def _offcut(bought: Bought, cut: Cut) -> float:
    used = fsum(
        count * (length + bought.kerf) for length, count in zip(bought.pieces, cut.counts, strict=True)
    )
    left = max(0.0, bought.stock[cut.stock] - bought.end_trim - used)
    steps = round(left / bought.step)
    return steps * bought.step if same(left, steps * bought.step) else left


@answering(_bought)
def buy_cost(bought: Bought) -> Money:
    """Cost of the cheapest boards found that yield all pieces.

    Parameters
    ----------
    pieces, counts, stock, prices, kerf, end_trim, available, effort, step
        As for `buy_list`.

    Returns
    -------
    float
        Cost of all boards [money]; exactly the sum of the costs that `buy_list` shows.

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `buy_list`.

    References
    ----------
    Cutting stock, as in Chvátal, *Linear Programming*, ch. 13.

    Examples
    --------
    >>> buy_cost([110, 62], [8, 6], [96, 144, 192], [12.4, 19.9, 27.1], 0.125)
    202.4
    """
    return bought.plan.cost / 100


@answering(_bought)
def lowest_buy_cost(bought: Bought) -> Money:
    """Proven lower bound: no purchase that yields all pieces costs less than this.

    Parameters
    ----------
    pieces, counts, stock, prices, kerf, end_trim, available, effort, step
        As for `buy_list`.

    Returns
    -------
    float
        Bound on the cost [money]; equal to `buy_cost` where the purchase is proven cheapest.

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `buy_list`.

    References
    ----------
    Cutting stock, as in Chvátal, *Linear Programming*, ch. 13.

    Examples
    --------
    >>> lowest_buy_cost([110, 62], [8, 6], [96, 144, 192], [12.4, 19.9, 27.1], 0.125)
    202.4
    """
    return bought.plan.bound / 100


def kerf_note(
    pieces: Lengths, stock: Lengths, kerf: Length, end_trim: Length = 0, *, shown: Shown = cut_inches
) -> Text:
    """Note on pieces that divide a board exactly and so fail by the saw cuts; "" where none does.

    Parameters
    ----------
    pieces : sequence of float
        Lengths of the pieces [in].
    stock : sequence of float
        Stock lengths on offer [in].
    kerf : float
        Width of a saw cut [in].
    end_trim : float, optional
        What squaring takes off the ends of each board [in].
    shown : callable, optional
        Words a length; set by the unit system.

    Returns
    -------
    str
        Such as "2 x 96 do not come from 192: the saw takes 1/8".

    Raises
    ------
    NotReadable
        No piece or no stock length is given.
    InputError
        A length not over 0, or a negative kerf or trim.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> kerf_note([96, 62], [144, 192], 0.125)
    '2 x 96 do not come from 192: the saw takes 1/8'
    """
    if not pieces:
        raise NotReadable("pieces", pieces, "must hold a length")
    if not stock:
        raise NotReadable("stock", stock, "must hold a length")
    at_least(0, kerf=kerf, end_trim=end_trim)
    notes: list[str] = []
    for piece in dict.fromkeys(pieces):
        above(0, pieces=piece)
        for board in dict.fromkeys(stock):
            above(0, stock=board)
            wanted = round_down((board - end_trim) / piece)
            saw = (wanted - 1) * kerf
            if wanted > 1 and under(board - end_trim, wanted * piece + saw):
                notes.append(
                    f"{wanted} x {shown(piece)} do not come from {shown(board)}: the saw takes {shown(saw)}"
                )
    return "; ".join(notes)
