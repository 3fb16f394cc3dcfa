"""Days on the job, what an hour costs, and what is hired for it."""

from fractions import Fraction

from sheetcalc.compare import round_up
from sheetcalc.errors import above, added_share, at_least, whole, within
from sheetcalc.kinds import Count, Days, Hours, Money, Share
from sheetcalc.trade.price import exact

__all__ = ["crew_days", "loaded_rate", "rental_cost"]

_WEEK = 7
_WEEKS = 4  # a rental month is 28 days


def crew_days(hours: Hours, crew: Count, day: Hours = 8, step: Days = 0.5) -> Days:
    """Days that a crew needs for some hours of work, rounded up to a step.

    Parameters
    ----------
    hours : float
        Hours of work, all hands together [h].
    crew : int
        People, at least one [-].
    day : float, optional
        Working hours of a day, over 0 to 24 [h].
    step : float, optional
        Step to round up to: half a day, say [days].

    Returns
    -------
    float
        Days [days].

    Raises
    ------
    InputError
        Hours under 0, a crew that is not whole or nobody, a day or step out of range.

    Notes
    -----
    hours/(crew·day), up to the next step.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> crew_days(52, 2)
    3.5
    """
    at_least(0, hours=hours)
    whole(crew=crew)
    at_least(1, crew=crew)
    above(0, day=day, step=step)
    within(0, 24, day=day)
    return float(round_up(hours / (crew * day) / step) * exact(step))


def loaded_rate(wage: Money, burden: Share, billable: Share) -> Money:
    """Cost of an hour that can be billed: the wage, what comes on top of it, and the hours nobody pays for.

    Parameters
    ----------
    wage : float
        Wage of an hour [money].
    burden : float
        Taxes, insurance and benefits as a share of the wage, 0 to 10: 0.3 is 30 % [-].
    billable : float
        Share of the paid hours that is billed, over 0 to 1 [-].

    Returns
    -------
    float
        Cost of a billed hour [money].

    Raises
    ------
    InputError
        A wage under 0, a burden under 0 or not under 10, billable not over 0 or over 1.

    Notes
    -----
    wage·(1 + burden)/billable.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> loaded_rate(30, 0.35, 0.75)
    54.0
    """
    at_least(0, wage=wage)
    added_share(burden=burden)
    above(0, billable=billable)
    within(0, 1, billable=billable)
    return wage * (1 + burden) / billable


def _cheapest(name: str, price: float | None, otherwise: Fraction) -> Fraction:
    # What such a stretch costs at best: its own price, if there is one, or shorter stretches in a row.
    if price is None:
        return otherwise
    at_least(0, **{name: price})
    return min(exact(price), otherwise)


def rental_cost(
    days: Days, day_price: Money, week_price: Money | None = None, month_price: Money | None = None
) -> Money:
    """Rent for scaffold or tools: the cheapest mix of days, weeks and months.

    Parameters
    ----------
    days : float
        Days on hire, calendar days; a part day counts whole [days].
    day_price : float
        Price of a day [money].
    week_price : float, optional
        Price of 7 days; not offered if left out [money].
    month_price : float, optional
        Price of 28 days; not offered if left out [money].

    Returns
    -------
    float
        Rent [money].

    Raises
    ------
    InputError
        Days or a price under 0.

    Notes
    -----
    A week or month may be taken for fewer days than it has, where that is cheaper.

    References
    ----------
    Common practice, no source. Read the rental contract: some count a month as a calendar month.

    Examples
    --------
    >>> rental_cost(10, 45, 150)
    285.0
    """
    at_least(0, days=days, day_price=day_price)
    day = exact(day_price)
    week = _cheapest("week_price", week_price, _WEEK * day)
    month = _cheapest("month_price", month_price, _WEEKS * week)
    months, rest = divmod(round_up(days), _WEEKS * _WEEK)
    weeks, rest = divmod(rest, _WEEK)
    return float(months * month + min(month, weeks * week + min(week, rest * day)))
