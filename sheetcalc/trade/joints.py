"""Where end joints fall in courses longer than the boards: on framing, kept apart, at least cost."""

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby, pairwise
from math import inf
from typing import Annotated, Any, NamedTuple

from sheetcalc.compare import over, round_up, same, settled, under
from sheetcalc.errors import InputError, NotFound, NotReadable, above, at_least, number, whole
from sheetcalc.kinds import (
    COUNT,
    COURSES,
    LENGTH,
    MONEY,
    Beside,
    Count,
    InMetric,
    Length,
    Lengths,
    Money,
    Number,
    RowsBefore,
    Shown,
    Takes,
    Text,
)
from sheetcalc.solver.cutting import TooLong
from sheetcalc.solver.joints import Layout, NoLayout, Rules, Run, layout
from sheetcalc.trade.lengths import cut_feet
from sheetcalc.trade.price import cents, exact
from sheetcalc.trade.shared import answering
from sheetcalc.trade.steps import (
    STEP,
    Step,
    beside,
    check_effort,
    check_stock,
    long_steps,
    offers,
    short_steps,
)

__all__ = [
    "joint_cost",
    "joint_count",
    "joint_marks",
    "joint_pieces",
    "joint_plan",
    "lowest_joint_cost",
    "piece_list",
]

_MOST_COURSES = 5000
_MOST_BEARINGS = 500
_MOST_BOARDS = 40  # end to end in one course; far past any porch, and keeps the work of one call in bounds

_USUAL, _USUAL_METRIC = 24, 600 / 25.4  # stagger and shortest piece [in] when not given
_USUAL_COURSES = 4

KeepClear = Annotated[Sequence[str | float], COURSES, Takes.LIST]
BesideClear = Annotated[Sequence[float | None], LENGTH, Beside("keep_clear", blank=True)]
CeilingBesideClear = Annotated[Sequence[float | None], COUNT, Beside("keep_clear", blank=True)]
Bearing = Annotated[float | Sequence[float], LENGTH, Takes.LIST]


class Stretch(NamedTuple):
    """A length of one course to be lined, from `start` to `end` along the ceiling."""

    course: int
    start: float
    end: float


class Laid(NamedTuple):
    """The stretches, the ends of the pieces in each, and what the solver found."""

    stretches: list[Stretch]
    ends: list[list[float]]
    layout: Layout


_TO_RELAX = {  # what stands in the way of a layout: its argument, and what the message says of it
    "apart": ("stagger", "leaves no place for the end joints: make it smaller"),
    "rows_apart": ("courses_apart", "leaves no bearing for the end joints: make it smaller"),
    "least": ("least_piece", "leaves no place for the end joints: make it smaller"),
    "closed": ("keep_clear", "leaves no place for the end joints: keep less clear"),
    "short": ("least_piece", "must be no longer than the longest stock, its end trimmed"),
    "stock": ("stock", "must hold a length that reaches from bearing to bearing"),
}
_TOGETHER = (
    "leaves no place for the end joints together with the other rules, whichever one of them is dropped"
)

_layout = lru_cache(maxsize=256)(layout)  # a dozen ceilings, for every board and both ways to run it


def _laid(
    lengths: Lengths,
    stock: Lengths,
    prices: Annotated[Sequence[float], MONEY, Beside("stock")],
    bearing: Bearing = 0,
    first_bearing: Length = 0,
    stagger: Annotated[Length, InMetric(600)] = 24,
    least_piece: Annotated[Length, InMetric(600)] = 24,
    joint_price: Money = 0,
    kerf: Length = 0,
    end_trim: Length = 0,
    courses_apart: Count = 4,
    effort: Number = 1,
    counts: Annotated[Sequence[float], COUNT, Beside("lengths")] | None = None,
    courses: Annotated[Sequence[float], COUNT, Beside("lengths")] | None = None,
    starts: Annotated[Sequence[float], LENGTH, Beside("lengths")] | None = None,
    keep_clear: KeepClear | None = None,
    clear_from: BesideClear | None = None,
    clear_to: BesideClear | None = None,
    clear_ceilings: CeilingBesideClear | None = None,
    ceiling: Count | None = None,
    *,
    step: Step = STEP,
) -> Laid:
    # The one solve behind the answers of this module.
    check_stock(stock, prices, kerf, end_trim)
    at_least(0, stagger=stagger, least_piece=least_piece, joint_price=joint_price)
    whole(courses_apart=courses_apart)
    check_effort(effort)
    stretches = _stretches(lengths, counts, courses, starts)
    for _, start, end in stretches:
        if over(end - start, _MOST_BOARDS * max(stock)):
            raise InputError("lengths", end - start, f"must be {_MOST_BOARDS} of the longest boards at most")
    closed = list(_closed(keep_clear, clear_from, clear_to, clear_ceilings, ceiling))
    places = _places(bearing, first_bearing, max((each.end for each in stretches), default=0))

    kerf = min(kerf, max(stock))  # a wider cut leaves no second piece either
    boards = offers(stock, prices, [None] * len(stock), kerf, end_trim, step)
    if all(short_steps(length - end_trim, step) < 1 for length in stock):
        raise NotFound("stock", stock, "must hold a length that is over its end trim")
    fine = _fine([*(places or []), *(end for each in stretches for end in each[1:])], step)
    at = {_steps(place, step / fine): place for place in reversed(places or [])}
    runs = tuple(_run(each, closed, step / fine) for each in stretches)
    rules = Rules(
        None if places is None else tuple(sorted(at)),
        long_steps(stagger, step / fine),
        long_steps(least_piece, step / fine),
        round(courses_apart),
        long_steps(kerf, step),
        fine,
    )
    usual = long_steps(_USUAL if same(step, STEP) else _USUAL_METRIC, step / fine)
    tighter = _tighter(rules, {"apart": usual, "least": usual, "rows_apart": _USUAL_COURSES})
    try:
        found = _layout(runs, tuple(boards), rules, cents(exact(joint_price)), effort, tighter)
    except NoLayout as none:
        given: dict[str, Any] = {
            "stagger": stagger,
            "courses_apart": courses_apart,
            "least_piece": least_piece,
            "keep_clear": keep_clear,
            "stock": stock,
        }
        if none.rule == "together":
            argument, rule = next(name for name, value in given.items() if value), _TOGETHER
        else:
            argument, rule = _TO_RELAX[none.rule]
        last = max(places or [inf])
        for _, start, end in stretches if argument == "stock" else ():
            if over(end - max(start, last), max(stock) - end_trim):
                raise NotFound(
                    "lengths", end - start, "must end within one board of the last bearing"
                ) from None
        raise NotFound(argument, given[argument], rule) from None
    except TooLong:
        raise InputError("lengths", lengths, "must be fewer: their plan took too long to find") from None
    ends = [
        [each.start, *(at.get(place, place * step / fine) for place in breaks), each.end]
        for each, breaks in zip(stretches, found.breaks, strict=True)
    ]
    return Laid(stretches, ends, found)


def _tighter(rules: Rules, usual: dict[str, int]) -> tuple[Rules, ...]:
    """Where rules are looser than usual: with each of them as usual, and with all."""
    looser = {name: each for name, each in usual.items() if getattr(rules, name) < each}
    changes = [*({name: each} for name, each in looser.items()), *([looser] if len(looser) > 1 else [])]
    return tuple(rules._replace(**change) for change in changes)


def _fine(positions: Sequence[float], step: float) -> int:
    # Framing at 19.2 in lies on no step of the tape: positions are counted finer, until all come out whole.
    for fine in (1, 2, 3, 5):
        if all(same(position / step * fine, round(position / step * fine)) for position in positions):
            return fine
    return 10


def _steps(position: float, step: float) -> int:
    # A position lies where it lies: to the nearest step, so that equal distances stay equal.
    return round(position / step)


def _run(stretch: Stretch, closed: Sequence[tuple[int, int, float, float]], step: float) -> Run:
    start = _steps(stretch.start, step)
    return Run(
        stretch.course,
        start,
        max(1, round_up(stretch.end / step) - start),
        tuple(
            (_steps(low, step), _steps(high, step))
            for first, last, low, high in closed
            if first <= stretch.course <= last
        ),
    )


def _stretches(
    lengths: Sequence[float],
    counts: Sequence[float] | None,
    courses: Sequence[float] | None,
    starts: Sequence[float] | None,
) -> list[Stretch]:
    """All stretches, course by course, in the order in which they lie."""
    if not lengths:
        raise NotReadable("lengths", lengths, "must hold a length")
    for name, values in (("counts", counts), ("courses", courses), ("starts", starts)):
        if values is not None:
            beside(name, values, "lengths", lengths)
    found: list[Stretch] = []
    course = 1
    for at, length in enumerate(lengths):
        count = 1 if counts is None else counts[at]
        course = course if courses is None else courses[at]
        start = 0 if starts is None else starts[at]
        above(0, lengths=length)
        whole(counts=count, courses=course)
        at_least(0, starts=start)
        if len(found) + count > _MOST_COURSES:
            raise InputError("counts", counts, f"must be {_MOST_COURSES} courses at most")
        for _ in range(round(count)):
            found.append(Stretch(round(course), start, start + length))
            course += 1
    found.sort()
    for one, other in pairwise(found):
        if one.course == other.course and over(one.end, other.start):
            raise InputError(
                "starts", starts, "must keep two lengths of one course from lying over each other"
            )
    return found


def _places(bearing: float | Sequence[float], first_bearing: float, far: float) -> list[float] | None:
    """Where joints may fall; None for anywhere."""
    spacing: list[float] = [bearing] if isinstance(bearing, (int, float)) else [*bearing]
    for each in spacing:
        at_least(0, bearing=each)
    at_least(0, first_bearing=first_bearing)
    if len(spacing) > 1:
        if not same(first_bearing, 0):
            raise NotReadable("first_bearing", first_bearing, "must be left out where bearings are measured")
        if len(spacing) > _MOST_BEARINGS:
            raise InputError("bearing", bearing, f"must be {_MOST_BEARINGS} measured bearings at most")
        return spacing
    if not spacing or same(spacing[0], 0):
        return None
    bearings = round_up(max(0.0, far - first_bearing) / spacing[0])
    if bearings > _MOST_BEARINGS:
        raise InputError("bearing", bearing, "must be the spacing of framing, or 0 for joints anywhere")
    return [first_bearing + spacing[0] * at for at in range(bearings + 1)]


def _closed(
    keep_clear: Sequence[str | float] | None,
    clear_from: Sequence[float | None] | None,
    clear_to: Sequence[float | None] | None,
    clear_ceilings: Sequence[float | None] | None,
    ceiling: float | None,
) -> Iterator[tuple[int, int, float, float]]:
    """First and last course, near and far end of each stretch where no end joint may fall."""
    if ceiling is not None:
        whole(ceiling=ceiling)
    rows = keep_clear or []
    ends: dict[str, Sequence[Any]] = {}
    for name, values in (
        ("clear_from", clear_from),
        ("clear_to", clear_to),
        ("clear_ceilings", clear_ceilings),
    ):
        ends[name] = [None] * len(rows) if values is None else values
        beside(name, ends[name], "keep_clear", rows)
    for at, words in enumerate(rows):
        number_of = ends["clear_ceilings"][at]
        if number_of is not None:
            whole(clear_ceilings=number_of)
            if ceiling is not None and not same(number_of, ceiling):
                continue
        crossed = _crossed(words)
        if crossed is None:
            continue
        for name in ("clear_from", "clear_to"):
            if ends[name][at] is None:
                raise NotReadable(name, None, "is needed beside courses to keep clear")
        low, high = number("clear_from", ends["clear_from"][at]), number("clear_to", ends["clear_to"][at])
        if not over(high, low):
            raise InputError("clear_to", high, "must be over clear_from")
        yield (*crossed, low, high)


def _crossed(words: str | float) -> tuple[int, int] | None:
    """First and last course, as `courses_crossed` answers; None for none."""
    if not isinstance(words, str):
        whole(keep_clear=words)
        return round(words), round(words)
    text = words.strip().lower()
    if text in ("", "none"):
        return None
    found = re.fullmatch(r"(\d{1,6})(?:\s*[-–]\s*(\d{1,6}))?", text)
    if not found or int(found[2] or found[1]) < int(found[1]):
        raise NotReadable("keep_clear", words, "must be courses such as 7-9 or 8, or none")
    return int(found[1]), int(found[2] or found[1])


class JointPiece(NamedTuple):
    """One piece of one course."""

    course: Count
    piece: Count
    start: Length
    length: Length


@answering(_laid)
def joint_plan(laid: Laid) -> Annotated[list[JointPiece], RowsBefore("counts")]:
    r"""Pieces of every course and where they start, so that end joints keep apart and the boards cost least.

    Parameters
    ----------
    lengths : sequence of float
        Lengths to be lined, wall gaps taken off [in]: one course each, or `counts` courses.
    stock : sequence of float
        Stock lengths on offer [in].
    prices : sequence of float
        Price of one board of each stock length [money].
    bearing : float or sequence of float, optional
        Spacing of the framing that end joints fall on [in], or its measured positions; 0 for boards matched
        at their ends or solid backing, where joints may fall anywhere.
    first_bearing : float, optional
        From the line that the boards start from to the first bearing [in].
    stagger : float, optional
        Least distance between end joints of neighbouring courses [in]; 0 for no such rule.
    least_piece : float, optional
        Shortest piece [in]; 0 for no such rule. A course shorter than that is one piece.
    joint_price : float, optional
        What one end joint costs in work [money].
    kerf : float, optional
        Width of a saw cut [in].
    end_trim : float, optional
        What squaring takes off the ends of each board [in].
    courses_apart : int, optional
        Courses for which a bearing rests before it may carry a joint again [-]. Where joints may fall
        anywhere, it is their place that rests, so that no joint stands in line with one of the courses before
        it; 0 for no such rule.
    effort : float, optional
        How long to search: 2 for twice the steps [-]. Counted in steps, never in seconds, so that every
        machine gives the same plan.
    counts : sequence of int, optional
        Courses of each length, one after the other [-]; 1 each if not given.
    courses : sequence of int, optional
        Number of the course that each length lies in, or of the first of its courses [-]; if not given, 1 and
        on. Two lengths in one course are the two sides of an opening.
    starts : sequence of float, optional
        Where each length starts along the ceiling, from the line that bearings are measured from [in].
    keep_clear : sequence of str, optional
        Courses with a stretch where no end joint may fall, such as "7-9", as `courses_crossed` answers; a row
        that says "none" is left out.
    clear_from, clear_to : sequence of float, optional
        Where that stretch starts and ends along the ceiling [in]; a joint may fall on its ends.
    clear_ceilings : sequence of int, optional
        Number of the ceiling that each stretch belongs to [-].
    ceiling : int, optional
        Number of this ceiling [-]: stretches of other ceilings are left out.
    step : float, optional
        Set by the unit system: the step that lengths are counted in [in].

    Returns
    -------
    list of JointPiece
        Course, piece within the course, where it starts along the ceiling [in], its length [in].

    Raises
    ------
    NotFound
        No stock reaches from bearing to bearing, or the rules leave no place for the end joints: the message
        names the one to relax.
    NotReadable
        No length or no stock is given, lists that stand beside each other differ in length, or courses to
        keep clear cannot be read.
    InputError
        A length not over 0, a negative distance or price, counts that are not whole, or a plan that takes too
        long to find.

    Notes
    -----
    The cost is that of all boards, cut as `buy_list` cuts them, and of all joints. Lengths are counted in
    1/64 in (0.1 mm). Joints anywhere are tried in steps of a few inches and where whole boards end; the bound
    of `lowest_joint_cost` holds for any position.

    References
    ----------
    End joints on framing unless the boards are end-matched or the backing is solid: WWPA. Stagger: 24 in is
    careful, where NWFA gives 6 in for strip, 8 to 10 in for boards of 3 to 5 in, 10 in for wider ones.
    Shortest piece, and a bearing that rests: common practice, no source.

    Examples
    --------
    >>> joint_plan([240], [96, 144, 192], [12.4, 19.9, 27.1], 16, joint_price=5)
    [JointPiece(course=1, piece=1, start=0, length=96), JointPiece(course=1, piece=2, start=96, length=144)]
    """
    return [
        JointPiece(course, piece, start, settled(end - start))
        for course, ends in _by_course(laid)
        for piece, (start, end) in enumerate((pair for each in ends for pair in pairwise(each)), 1)
    ]


def _by_course(laid: Laid) -> Iterator[tuple[int, list[list[float]]]]:
    pairs = zip(laid.stretches, laid.ends, strict=True)
    for course, group in groupby(pairs, key=lambda pair: pair[0].course):
        yield course, [ends for _, ends in group]


class Pieces(NamedTuple):
    """Pieces of one length."""

    length: Length
    pieces: Count


def _counted(pieces: Sequence[float]) -> list[Pieces]:
    """Count pieces of each length, the longest first; what differs by a float's dust is one length."""
    found: list[Pieces] = []
    for length in sorted(pieces, reverse=True):
        if found and not under(length, found[-1].length):
            found[-1] = Pieces(found[-1].length, found[-1].pieces + 1)
        else:
            found.append(Pieces(length, 1))
    return found


def _lengths(laid: Laid) -> list[float]:
    return [end - start for ends in laid.ends for start, end in pairwise(ends)]


@answering(_laid)
def joint_pieces(laid: Laid) -> Annotated[list[Pieces], RowsBefore("counts")]:
    """Pieces of all courses by their lengths, longest first: what BUY_LIST and SAW_LIST ask for.

    Parameters
    ----------
    lengths, stock, prices, bearing, first_bearing, stagger, least_piece, joint_price, kerf, end_trim
        As for `joint_plan`.
    courses_apart, effort, counts, courses, starts, keep_clear, clear_from, clear_to
        As for `joint_plan`.
    clear_ceilings, ceiling, step
        As for `joint_plan`.

    Returns
    -------
    list of Pieces
        Length [in] and how many of it [-].

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `joint_plan`.

    References
    ----------
    As for `joint_plan`.

    Examples
    --------
    >>> joint_pieces([240, 240], [96, 144, 192], [12.4, 19.9, 27.1], 16, joint_price=5)
    [Pieces(length=144, pieces=2), Pieces(length=96, pieces=2)]
    """
    return _counted(_lengths(laid))


class JointMarks(NamedTuple):
    """One course as the scaffold needs it."""

    course: Count
    pieces: Text
    joints: Text


@answering(_laid)
def joint_marks(laid: Laid, *, shown: Shown = cut_feet) -> Annotated[list[JointMarks], RowsBefore("counts")]:
    r"""Pieces of each course in words, in the order they are laid, and where its end joints lie.

    Parameters
    ----------
    lengths, stock, prices, bearing, first_bearing, stagger, least_piece, joint_price, kerf, end_trim
        As for `joint_plan`.
    courses_apart, effort, counts, courses, starts, keep_clear, clear_from, clear_to
        As for `joint_plan`.
    clear_ceilings, ceiling, step
        As for `joint_plan`.
    shown : callable, optional
        Words a length; set by the unit system.

    Returns
    -------
    list of JointMarks
        Course, its pieces, and its joints measured along the ceiling like `starts`; one row a course.

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `joint_plan`.

    Notes
    -----
    The two sides of an opening are parted by a semicolon.

    References
    ----------
    As for `joint_plan`.

    Examples
    --------
    >>> joint_marks([240], [96, 144, 192], [12.4, 19.9, 27.1], 16, joint_price=5)
    [JointMarks(course=1, pieces='8\'-0" + 12\'-0"', joints='8\'-0"')]
    """
    return [
        JointMarks(
            course,
            "; ".join(" + ".join(shown(end - start) for start, end in pairwise(ends)) for ends in sides),
            ", ".join(shown(joint) for ends in sides for joint in ends[1:-1]),
        )
        for course, sides in _by_course(laid)
    ]


@answering(_laid)
def joint_count(laid: Laid) -> Count:
    """Count the end joints in all courses.

    Parameters
    ----------
    lengths, stock, prices, bearing, first_bearing, stagger, least_piece, joint_price, kerf, end_trim
        As for `joint_plan`.
    courses_apart, effort, counts, courses, starts, keep_clear, clear_from, clear_to
        As for `joint_plan`.
    clear_ceilings, ceiling, step
        As for `joint_plan`.

    Returns
    -------
    int
        End joints [-].

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `joint_plan`.

    References
    ----------
    As for `joint_plan`.

    Examples
    --------
    >>> joint_count([240, 240], [96, 144, 192], [12.4, 19.9, 27.1], 16, joint_price=5)
    2
    """
    return sum(len(ends) - 2 for ends in laid.ends)


@answering(_laid)
def joint_cost(laid: Laid) -> Money:
    """Cost of the boards for all courses and of the end joints between them.

    Parameters
    ----------
    lengths, stock, prices, bearing, first_bearing, stagger, least_piece, joint_price, kerf, end_trim
        As for `joint_plan`.
    courses_apart, effort, counts, courses, starts, keep_clear, clear_from, clear_to
        As for `joint_plan`.
    clear_ceilings, ceiling, step
        As for `joint_plan`.

    Returns
    -------
    float
        Cost of boards and joints [money].

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `joint_plan`.

    References
    ----------
    As for `joint_plan`.

    Examples
    --------
    >>> joint_cost([240, 240], [96, 144, 192], [12.4, 19.9, 27.1], 16, joint_price=5)
    74.6
    """
    return laid.layout.cost / 100


@answering(_laid)
def lowest_joint_cost(laid: Laid) -> Money:
    """Proven lower bound: no layout under the same rules costs less than this for boards and joints.

    Parameters
    ----------
    lengths, stock, prices, bearing, first_bearing, stagger, least_piece, joint_price, kerf, end_trim
        As for `joint_plan`.
    courses_apart, effort, counts, courses, starts, keep_clear, clear_from, clear_to
        As for `joint_plan`.
    clear_ceilings, ceiling, step
        As for `joint_plan`.

    Returns
    -------
    float
        Bound on the cost of boards and joints [money].

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `joint_plan`.

    References
    ----------
    As for `joint_plan`.

    Examples
    --------
    >>> lowest_joint_cost([240, 240], [96, 144, 192], [12.4, 19.9, 27.1], 16, joint_price=5)
    74.6
    """
    return laid.layout.bound / 100


def piece_list(
    lengths: Lengths,
    counts: Annotated[Sequence[float], COUNT, Beside("lengths")],
    stock: Lengths,
    prices: Annotated[Sequence[float], MONEY, Beside("stock")],
    bearing: Bearing = 0,
    first_bearings: Annotated[Sequence[float | None], LENGTH, Beside("lengths", blank=True)] | None = None,
    stagger: Annotated[Length, InMetric(600)] = 24,
    least_piece: Annotated[Length, InMetric(600)] = 24,
    joint_price: Money = 0,
    kerf: Length = 0,
    end_trim: Length = 0,
    courses_apart: Count = 4,
    effort: Number = 1,
    keep_clear: KeepClear | None = None,
    clear_from: BesideClear | None = None,
    clear_to: BesideClear | None = None,
    clear_ceilings: CeilingBesideClear | None = None,
    ceilings: Annotated[Sequence[float], COUNT, Beside("lengths")] | None = None,
    runs: Lengths | None = None,
    runs_of: Annotated[Sequence[float], COUNT, Beside("runs")] | None = None,
    courses: Annotated[Sequence[float], COUNT, Beside("runs")] | None = None,
    starts: Annotated[Sequence[float], LENGTH, Beside("runs")] | None = None,
    *,
    step: Step = STEP,
) -> Annotated[list[Pieces], RowsBefore("runs")]:
    """Pieces to cut for several ceilings, each planned by itself: whole boards where they reach, else joined.

    Parameters
    ----------
    lengths : sequence of float
        Length of the courses of each ceiling [in].
    counts : sequence of int
        Courses of each ceiling [-].
    stock, prices, bearing
        As for `joint_plan`.
    first_bearings : sequence of float, optional
        From the line that the boards start from to the first bearing of each ceiling [in]; 0 where blank.
    stagger, least_piece, joint_price, kerf, end_trim, courses_apart, effort
        As for `joint_plan`.
    keep_clear, clear_from, clear_to, clear_ceilings
        As for `joint_plan`.
    ceilings : sequence of int, optional
        Number of each ceiling [-]; 1, 2, 3 and on if not given.
    runs : sequence of float, optional
        For ceilings whose courses differ, each stretch of each course [in], as `course_pieces` answers; they
        take the place of the length and the number of courses that the ceiling has above.
    runs_of, courses : sequence of int, optional
        Number of the ceiling and of the course that each stretch lies in [-].
    starts : sequence of float, optional
        Where each stretch starts along the ceiling, from the line that bearings are measured from [in].
    step : float, optional
        Set by the unit system, as for `joint_plan`.

    Returns
    -------
    list of Pieces
        Length [in] and how many of it [-], longest first.

    Raises
    ------
    NotFound, NotReadable, InputError
        As for `joint_plan`.

    Notes
    -----
    Where a stock length yields the course in one piece, it is one piece; `joint_plan` of that ceiling may
    join it where that is cheaper. Any other ceiling has exactly the pieces that `joint_marks` shows for it.

    References
    ----------
    As for `joint_plan`.

    Examples
    --------
    >>> piece_list([240, 110], [2, 9], [96, 144, 192], [12.4, 19.9, 27.1], 16, joint_price=5)
    [Pieces(length=144, pieces=2), Pieces(length=110, pieces=9), Pieces(length=96, pieces=2)]
    """
    if not lengths:
        raise NotReadable("lengths", lengths, "must hold a length")
    firsts = [0] * len(lengths) if first_bearings is None else first_bearings
    numbers = range(1, len(lengths) + 1) if ceilings is None else ceilings
    for name, values in (("counts", counts), ("first_bearings", firsts), ("ceilings", numbers)):
        beside(name, values, "lengths", lengths)
    check_stock(stock, prices, kerf, end_trim)
    own = _own(runs, runs_of, courses, starts)
    longest = short_steps(max(stock), step) - long_steps(end_trim, step)
    pieces: list[float] = []
    for length, count, first, ceiling in zip(lengths, counts, firsts, numbers, strict=True):
        above(0, lengths=length)
        whole(counts=count)
        stretches = own.get(round(ceiling))
        each = [length] * round(count) if stretches is None else [stretch[0] for stretch in stretches]
        if all(long_steps(one, step) <= longest for one in each):
            pieces += each
            continue
        by_course = {"lengths": [length], "counts": [count]}
        if stretches is not None:
            by_course = dict(zip(("lengths", "courses", "starts"), zip(*stretches, strict=True), strict=True))
        laid = _laid(
            stock=stock,
            prices=prices,
            bearing=bearing,
            first_bearing=first or 0,
            stagger=stagger,
            least_piece=least_piece,
            joint_price=joint_price,
            kerf=kerf,
            end_trim=end_trim,
            courses_apart=courses_apart,
            effort=effort,
            keep_clear=keep_clear,
            clear_from=clear_from,
            clear_to=clear_to,
            clear_ceilings=clear_ceilings,
            ceiling=ceiling,
            step=step,
            **by_course,
        )
        pieces += _lengths(laid)
    return _counted(pieces)


def _own(
    lengths: Sequence[float] | None,
    ceilings: Sequence[float] | None,
    courses: Sequence[float] | None,
    starts: Sequence[float] | None,
) -> dict[int, list[tuple[float, float, float]]]:
    """Stretches of the ceilings whose courses differ: length, course and start of each, by ceiling."""
    found: dict[int, list[tuple[float, float, float]]] = {}
    if lengths is None:
        return found
    beside_them: dict[str, Sequence[float]] = {}
    for name, values in (("runs_of", ceilings), ("courses", courses), ("starts", starts)):
        if values is None:
            raise NotReadable(name, None, "is needed beside runs")
        beside(name, values, "runs", lengths)
        beside_them[name] = values
    for length, ceiling, course, start in zip(lengths, *beside_them.values(), strict=True):
        above(0, runs=length)
        whole(runs_of=ceiling)
        found.setdefault(round(ceiling), []).append((length, course, start))
    return found
