"""Lengths as a person types and reads them."""

import math
import re
import unicodedata
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, NamedTuple

from sheetcalc.compare import TOLERANCE, over, same
from sheetcalc.errors import InputError, NotReadable, number
from sheetcalc.kinds import LENGTH, Count, InMetric, Length, Text

__all__ = ["feet_inches", "inch_fraction", "metre_words", "millimetre_words", "read_length"]

MM_PER_INCH = Fraction(254, 10)
_METRIC = {"mm": 1, "cm": 10, "m": 1000}
_SAME = str.maketrans(
    {**dict.fromkeys("’‘′´`", "'"), **dict.fromkeys("”“″„", '"'), **dict.fromkeys("−–‑", "-"), "⁄": "/"}
)
_DECIMAL = r"\d+(?:\.\d+)?|\.\d+"
_MIXED = r"(?:(?P<{0}whole>\d+)(?:\s+|\s*-\s*))?(?P<{0}over>\d+)/(?P<{0}under>\d+)"
_NUMBER = rf"(?:{_MIXED}|(?P<{{0}}decimal>{_DECIMAL}))"
_FEET = re.compile(
    _NUMBER.format("f")
    + r"\s*(?:'|(?:ft|foot|feet)(?![a-z])\.?)(?:\s*-?\s*"
    + _NUMBER.format("i")
    + r"\s*(?:\"|(?:in|inch|inches)\b\.?)?)?"
)
_PLAIN = re.compile(
    _NUMBER.format("i")
    + r"\s*(?P<unit>\"|(?:in|inch|inches|mm|cm|m|met(?:er|re)s?|(?:milli|centi)met(?:er|re)s?)\b\.?)?"
)
_LONGEST_TEXT = 60
_COMMA = re.compile(r"\d,\d")
_SUCH_AS = (
    "must be a length such as 14'-3 3/8\", 171 3/8 or 4.35 m",
    "must be a length such as 4350, 435 cm or 4.35 m",
)


class TypedLength(NamedTuple):
    """A length as read from text: `number` of `unit`; unit "" where none was typed."""

    number: Fraction
    unit: str
    fraction: bool


def _spelled(sign: str) -> str:
    """Spell a fraction character out: one half becomes 1/2, apart from the whole number before it."""
    if not unicodedata.decomposition(sign).startswith("<fraction>"):
        return sign
    return " " + unicodedata.normalize("NFKC", sign).replace("⁄", "/")


@lru_cache(maxsize=32768)
def parse_length(text: str, metric: bool = False) -> TypedLength:
    """Read a typed length, or refuse it: nothing is ever guessed.

    Parameters
    ----------
    text : str
        Feet and inches, inches, or metric: ``14'-3 3/8"``, ``171.375``, ``4.35 m``.
    metric : bool, optional
        Give examples in metric to whoever typed what cannot be read.

    Returns
    -------
    TypedLength
        The exact number, its unit ("in", "mm" or "" if none was typed) and whether a fraction was typed.

    Raises
    ------
    NotReadable
        Anything that is not fully recognised.
    """

    def refuse(rule: str) -> NotReadable:
        return NotReadable("entry", text, rule)

    def value(found: re.Match[str], prefix: str) -> Fraction:
        if found[prefix + "decimal"]:
            return Fraction(found[prefix + "decimal"])
        whole, part, parts = (int(found[prefix + name] or 0) for name in ("whole", "over", "under"))
        if not parts:
            raise refuse("must not hold a fraction over 0")
        if found[prefix + "whole"] and part >= parts:
            raise refuse("must have a proper fraction after a whole number")
        return whole + Fraction(part, parts)

    plain = text.translate(_SAME)
    if not plain.isascii():
        plain = "".join(map(_spelled, plain))
    plain = " ".join(plain.lower().replace("''", '"').split())
    if len(plain) > _LONGEST_TEXT or not plain.isascii():
        raise refuse(_SUCH_AS[metric])
    sign = -1 if plain.startswith("-") else 1
    plain = plain.removeprefix("-").lstrip()
    if found := _FEET.fullmatch(plain):
        feet = value(found, "f")
        fraction = bool(found["fover"] or found["iover"])
        if found["idecimal"] is None and found["iover"] is None:
            return TypedLength(sign * feet * 12, "in", fraction)
        inches = value(found, "i")
        if found["fdecimal"] is None or feet.denominator != 1 or "." in found["fdecimal"]:
            raise refuse("must have whole feet before inches")
        if inches >= 12:
            raise refuse("must have inches under 12 after feet")
        return TypedLength(sign * (feet * 12 + inches), "in", fraction)
    if found := _PLAIN.fullmatch(plain):
        amount = value(found, "i")
        unit = (found["unit"] or "").rstrip(".")
        if not unit:
            return TypedLength(sign * amount, "", bool(found["iover"]))
        if unit[0] in '"i':
            return TypedLength(sign * amount, "in", bool(found["iover"]))
        if found["iover"]:
            raise refuse("must not hold a fraction of a metric unit")
        short = "mm" if unit.startswith("mi") else "cm" if unit[0] == "c" else unit if unit == "mm" else "m"
        return TypedLength(sign * amount * _METRIC[short], "mm", False)
    if _COMMA.search(plain):
        raise refuse("must hold no comma: decimals follow a point, as in 2.47 m")
    raise refuse(_SUCH_AS[metric])


def read_length(
    entry: Annotated[float | str, LENGTH], longest: Annotated[Length, InMetric(40000)] = 2400
) -> Length:
    r"""Length from what a person types: feet and inches, fractions, decimals or metric.

    Parameters
    ----------
    entry : float or str
        The length [in], or text with its own unit.
    longest : float, optional
        Longest length believed [in]; 200 ft (40 m in metric). A typed 3/8 that was taken for a date arrives
        as a number in the ten thousands.

    Returns
    -------
    float
        The length [in].

    Raises
    ------
    NotReadable
        Text that is not fully recognised.
    InputError
        Longer than `longest` either way.

    Notes
    -----
    Inches after feet are under 12 and the feet before them whole; a fraction after a whole number is proper;
    a leading minus covers the whole entry. 1 in is 25.4 mm exactly.

    References
    ----------
    NIST Handbook 44, Appendix C: the inch as 25.4 mm exactly (from memory).

    Examples
    --------
    >>> read_length("14'-3 3/8\"")
    171.375
    """
    if isinstance(entry, str):
        typed = parse_length(entry)
        length = float(typed.number / MM_PER_INCH if typed.unit == "mm" else typed.number)
    else:
        length = number("entry", entry)
    if over(abs(length), longest):
        raise InputError("entry", entry, "must not be over longest: a typed 3/8 may have become a date")
    return length


def _parts(length: float, denominator: float) -> tuple[str, int, str]:
    """Sign, whole inches and the reduced fraction, as text where it is text."""
    if denominator not in (1, 2, 4, 8, 16, 32, 64):
        raise InputError("denominator", denominator, "must be 1, 2, 4, 8, 16, 32 or 64")
    parts = math.floor(abs(number("length", length)) * denominator + 0.5 + TOLERANCE)  # ties away from zero
    inches, rest = divmod(parts, int(denominator))
    fraction = str(Fraction(rest, int(denominator))) if rest else ""
    return "-" if length < 0 and parts else "", inches, fraction


def feet_inches(length: Length, denominator: Count = 16) -> Text:
    r"""Length in feet, inches and the nearest fraction, as written on a plan.

    Parameters
    ----------
    length : float
        Length [in].
    denominator : int, optional
        Finest fraction: 1, 2, 4, 8, 16, 32 or 64 [-].

    Returns
    -------
    str
        Such as ``14'-3 3/8"``; reduced, carried into the next inch and foot, ties away from zero.

    Raises
    ------
    InputError
        Any other denominator.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> feet_inches(171.375)
    '14\'-3 3/8"'
    """
    sign, inches, fraction = _parts(length, denominator)
    feet, inches = divmod(inches, 12)
    return f"{sign}{feet}'-{inches}{' ' if fraction else ''}{fraction}\""


def inch_fraction(length: Length, denominator: Count = 16) -> Text:
    """Length in inches and the nearest fraction, as set on a saw.

    Parameters
    ----------
    length : float
        Length [in].
    denominator : int, optional
        Finest fraction: 1, 2, 4, 8, 16, 32 or 64 [-].

    Returns
    -------
    str
        Such as ``182 3/8``.

    Raises
    ------
    InputError
        Any other denominator.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> inch_fraction(182.375)
    '182 3/8'
    """
    sign, inches, fraction = _parts(length, denominator)
    return sign + " ".join(part for part in (str(inches) if inches or not fraction else "", fraction) if part)


def millimetre_words(length: Length, parts: Count = 2) -> Text:
    """Length in millimetres and decimals, as read on a metric rule.

    Parameters
    ----------
    length : float
        Length [in].
    parts : int, optional
        Finest parts of a millimetre: 1, 2 or 10 [-].

    Returns
    -------
    str
        Such as ``79.5``; ties away from zero.

    Raises
    ------
    InputError
        Any other parts.

    References
    ----------
    NIST Handbook 44, Appendix C: the inch as 25.4 mm exactly (from memory).

    Examples
    --------
    >>> millimetre_words(3.125)
    '79.5'
    >>> millimetre_words(3.125, 10)
    '79.4'
    """
    return _decimal(length, parts, 1)


def metre_words(length: Length, parts: Count = 2) -> Text:
    """Length in metres with its unit, as timber lengths are called.

    Parameters
    ----------
    length : float
        Length [in].
    parts : int, optional
        Finest parts of a millimetre: 1, 2 or 10 [-].

    Returns
    -------
    str
        Such as ``4.35 m``; ties away from zero.

    Raises
    ------
    InputError
        Any other parts.

    References
    ----------
    NIST Handbook 44, Appendix C: the inch as 25.4 mm exactly (from memory).

    Examples
    --------
    >>> metre_words(171.375)
    '4.353 m'
    """
    return f"{_decimal(length, parts, 1000)} m"


def _decimal(length: float, parts: float, millimetres: int) -> str:
    """Word a length to the nearest of `parts` of a millimetre, counted in units of so many millimetres."""
    if parts not in (1, 2, 10):
        raise InputError("parts", parts, "must be 1, 2 or 10")
    parts = int(parts)
    count = math.floor(abs(number("length", length)) * float(MM_PER_INCH) * parts + 0.5 + TOLERANCE)
    whole, rest = divmod(count, parts * millimetres)
    digits = len(str(millimetres)) - 1 + (parts > 1)
    decimals = f"{rest * 10**digits // (parts * millimetres):0{digits}d}".rstrip("0") if rest else ""
    return f"{'-' if length < 0 and count else ''}{whole}{'.' if decimals else ''}{decimals}"


def cut_inches(length: float) -> str:
    """Word a length to be cut [in] as `inch_fraction`, to 1/64 where it lies on no sixteenth.

    Examples
    --------
    >>> cut_inches(182.375), cut_inches(182.390625)
    ('182 3/8', '182 25/64')
    """
    return inch_fraction(length, _denominator(length))


def cut_feet(length: float) -> str:
    """Word a length to be cut [in] as `feet_inches`, to 1/64 where it lies on no sixteenth.

    Examples
    --------
    >>> print(cut_feet(182.375), cut_feet(182.390625))
    15'-2 3/8" 15'-2 25/64"
    """
    return feet_inches(length, _denominator(length))


def cut_millimetres(length: float) -> str:
    """Word a length to be cut [in] as `millimetre_words`, to a tenth.

    Examples
    --------
    >>> cut_millimetres(3.125), cut_millimetres(100.5 / 25.4), cut_millimetres(100 / 25.4)
    ('79.4', '100.5', '100')
    """
    return millimetre_words(length, 10)


def _denominator(length: float) -> int:
    return 16 if same(length * 16, round(length * 16)) else 64
