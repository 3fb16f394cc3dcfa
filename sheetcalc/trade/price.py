"""From cost to price, payments, and what past jobs teach."""

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, NamedTuple

from sheetcalc.compare import TOLERANCE, over, round_up, same, settled
from sheetcalc.errors import (
    InputError,
    NotReadable,
    above,
    added_share,
    at_least,
    number,
    share,
    whole,
    within,
)
from sheetcalc.kinds import COUNT, HOURS, NUMBER, Beside, Money, Number, Share, Shares, Takes

__all__ = [
    "amount_due",
    "cull_from_jobs",
    "margin_from_markup",
    "markup_from_margin",
    "payment_split",
    "price_from_margin",
    "price_from_markup",
    "rate_from_jobs",
    "round_price",
]


def exact(amount: float) -> Fraction:
    """Return an amount as typed, so that sums and multiples of cents stay cents.

    Examples
    --------
    >>> 3 * 0.1, float(3 * exact(0.1))
    (0.30000000000000004, 0.3)
    """
    return Fraction(str(float(amount)))


def cents(amount: Fraction) -> int:
    """Return an amount in whole cents, half a cent up."""
    return math.floor(amount * 100 + Fraction(1, 2) + Fraction(TOLERANCE))


def price_from_markup(cost: Money, markup: Share) -> Money:
    """Price from a cost and a markup on it.

    Parameters
    ----------
    cost : float
        Cost [money].
    markup : float
        Markup as a share of the cost, 0 to 10: 0.25 is 25 % [-].

    Returns
    -------
    float
        Price [money].

    Raises
    ------
    InputError
        A cost under 0, a markup outside 0 to 10.

    Notes
    -----
    cost·(1 + markup). A markup for overhead and one for profit multiply: 10 % and 10 % are 21 %.

    References
    ----------
    Definition of markup: 200,000 at 25 % is 250,000.

    Examples
    --------
    >>> price_from_markup(200000, 0.25)
    250000.0
    """
    at_least(0, cost=cost)
    added_share(markup=markup)
    return cost * (1 + markup)


def price_from_margin(cost: Money, margin: Share) -> Money:
    """Price from a cost and the margin wanted in that price.

    Parameters
    ----------
    cost : float
        Cost [money].
    margin : float
        Margin as a share of the price, 0 to under 1: 0.2 is 20 % [-].

    Returns
    -------
    float
        Price [money].

    Raises
    ------
    InputError
        A cost under 0, a margin outside 0 to under 1.

    Notes
    -----
    cost/(1 − margin).

    References
    ----------
    Definition of margin: a price of 250,000 at a margin of 20 % covers 200,000.

    Examples
    --------
    >>> price_from_margin(200000, 0.2)
    250000.0
    """
    at_least(0, cost=cost)
    share(margin=margin)
    return cost / (1 - margin)


def markup_from_margin(margin: Share) -> Share:
    """Markup on cost that gives a margin in the price.

    Parameters
    ----------
    margin : float
        Margin as a share of the price, 0 to under 1 [-].

    Returns
    -------
    float
        Markup as a share of the cost [-].

    Raises
    ------
    InputError
        A margin outside 0 to under 1.

    Notes
    -----
    margin/(1 − margin).

    References
    ----------
    Definitions of markup and margin.

    Examples
    --------
    >>> markup_from_margin(0.2)
    0.25
    """
    share(margin=margin)
    return margin / (1 - margin)


def margin_from_markup(markup: Share) -> Share:
    """Margin in the price that a markup on cost gives.

    Parameters
    ----------
    markup : float
        Markup as a share of the cost, 0 to 10 [-].

    Returns
    -------
    float
        Margin as a share of the price [-].

    Raises
    ------
    InputError
        A markup outside 0 to 10.

    Notes
    -----
    markup/(1 + markup).

    References
    ----------
    Definitions of markup and margin.

    Examples
    --------
    >>> margin_from_markup(0.25)
    0.2
    """
    added_share(markup=markup)
    return markup / (1 + markup)


def round_price(price: Money, step: Money) -> Money:
    """Price rounded up to the next step; a price on a step stays.

    Parameters
    ----------
    price : float
        Price [money].
    step : float
        Step, such as 5 or 50 [money].

    Returns
    -------
    float
        Price on a step [money].

    Raises
    ------
    InputError
        A price under 0, a step not over 0.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> round_price(9412.3, 25)
    9425.0
    """
    at_least(0, price=price)
    above(0, step=step)
    return float(round_up(price / step) * exact(step))


class Payment(NamedTuple):
    """One payment."""

    amount: Money


def payment_split(price: Money, shares: Shares) -> list[Payment]:
    """Payments that make up a price, in whole cents; the last takes the remainder.

    Parameters
    ----------
    price : float
        Price [money].
    shares : sequence of float
        Share of each payment, in order; they add up to 1 [-].

    Returns
    -------
    list of Payment
        One amount for each share [money].

    Raises
    ------
    NotReadable
        No shares.
    InputError
        A price under 0, a share outside 0 to 1, shares that do not add up to 1.

    Notes
    -----
    Price and payments are rounded to the cent, half a cent up, and no payment is more than what is left, so
    that the payments always add up to the price. Some states limit a deposit: local law decides.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> payment_split(1000.01, [0.3, 0.35, 0.35])
    [Payment(amount=300.0), Payment(amount=350.0), Payment(amount=350.01)]
    """
    at_least(0, price=price)
    if not shares:
        raise NotReadable("shares", shares, "must hold a share")
    for part in shares:
        within(0, 1, shares=part)
    if not same(math.fsum(shares), 1):
        raise InputError("shares", shares, "must add up to 1")
    left = cents(exact(price))
    payments: list[Payment] = []
    for part in shares[:-1]:
        amount = min(cents(exact(price) * exact(part)), left)
        left -= amount
        payments.append(Payment(amount / 100))
    return [*payments, Payment(left / 100)]


def amount_due(bid: Money, changes: Money, share_done: Share, billed: Money, held_back: Share = 0) -> Money:
    """Amount due now: what is done of bid and changes, less what is held back and what was billed before.

    Parameters
    ----------
    bid : float
        Price agreed [money].
    changes : float
        Sum of the agreed changes, which may be negative [money].
    share_done : float
        Share of the work done, 0 to 1 [-].
    billed : float
        Billed before [money].
    held_back : float, optional
        Share held back until the end, 0 to under 1 [-].

    Returns
    -------
    float
        Amount due [money]; negative when more was billed than is due.

    Raises
    ------
    InputError
        A bid or billed amount under 0, a share out of its range.

    Notes
    -----
    (bid + changes)·share_done·(1 − held_back) − billed.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> amount_due(9400, 350, 0.6, 2820, 0.1)
    2445.0
    """
    at_least(0, bid=bid, billed=billed)
    number("changes", changes)
    within(0, 1, share_done=share_done)
    share(held_back=held_back)
    earned = (exact(bid) + exact(changes)) * exact(share_done) * (1 - exact(held_back))
    return settled(float(earned - exact(billed)))


def _beside(name: str, values: Sequence[float], other: str, others: Sequence[float]) -> None:
    # One value of each for every job, at least one job, none under 0.
    if not values:
        raise NotReadable(name, values, "must hold a value")
    if not others or len(others) != len(values):
        raise NotReadable(other, others, f"must have as many cells as {name}")
    for value, beside in zip(values, others, strict=True):
        at_least(0, **{name: value, other: beside})


def rate_from_jobs(
    hours: Annotated[Sequence[float], HOURS, Takes.LIST],
    quantities: Annotated[Sequence[float], NUMBER, Beside("hours")],
) -> Number:
    """Hours per unit of work, from past jobs: all their hours over all their quantities.

    Parameters
    ----------
    hours : sequence of float
        Crew hours of each job [h].
    quantities : sequence of float
        Quantity of each job, in any one unit [-].

    Returns
    -------
    float
        Hours per unit [h].

    Raises
    ------
    NotReadable
        No jobs, or lists of unequal length.
    InputError
        A value under 0, or no quantity in all.

    Notes
    -----
    Sum over sum, so that a large job counts for more than a small one.

    References
    ----------
    Common practice, no source. No published production rate for such ceilings was found: own records beat
    guesses.

    Examples
    --------
    >>> rate_from_jobs([22, 41.5, 12.5], [160, 320, 90])
    0.13333333333333333
    """
    _beside("hours", hours, "quantities", quantities)
    done = math.fsum(quantities)
    if not over(done, 0):
        raise InputError("quantities", quantities, "must add up to more than 0")
    return math.fsum(hours) / done


def cull_from_jobs(
    rejected: Annotated[Sequence[float], COUNT, Takes.LIST],
    delivered: Annotated[Sequence[float], COUNT, Beside("rejected")],
) -> Share:
    """Cull rate from past jobs: all boards rejected over all boards delivered.

    Parameters
    ----------
    rejected : sequence of int
        Boards rejected on each job [-].
    delivered : sequence of int
        Boards delivered to it [-].

    Returns
    -------
    float
        Cull rate, 0 to 1 [-].

    Raises
    ------
    NotReadable
        No jobs, or lists of unequal length.
    InputError
        A count not whole, more rejected than delivered, or nothing delivered in all.

    Notes
    -----
    Sum over sum, so that a large delivery counts for more than a small one. Another mill, grade or season is
    another rate.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> cull_from_jobs([4, 9, 1], [60, 110, 30])
    0.07
    """
    _beside("rejected", rejected, "delivered", delivered)
    for bad, boards in zip(rejected, delivered, strict=True):
        whole(rejected=bad, delivered=boards)
        if over(bad, boards):
            raise InputError("rejected", bad, "must not be more than were delivered")
    boards = math.fsum(delivered)
    if not over(boards, 0):
        raise InputError("delivered", delivered, "must add up to more than 0")
    return math.fsum(rejected) / boards
