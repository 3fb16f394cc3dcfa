"""Small functions that take their arguments in every way there is; most answer what reached them."""

from collections.abc import Sequence
from typing import Annotated, Literal, NamedTuple

from sheetcalc.cells.registry import CellFunction, describe
from sheetcalc.errors import InputError, NotFound, above
from sheetcalc.kinds import (
    COUNT,
    LENGTH,
    MONEY,
    TEXT,
    Beside,
    Ceilings,
    Count,
    InMetric,
    Length,
    LengthPerCeiling,
    Lengths,
    Number,
    Readings,
    Shown,
    Takes,
    Temperature,
    Text,
    Whole,
)
from sheetcalc.trade.lengths import inch_fraction


def what_is_left(length: Length, cut: Length, kerf: Length = 0) -> Length:
    """What is left of a length. Never under 0."""
    above(0, length=length)
    if cut + kerf > length:
        raise InputError("cut", cut, "must not be longer than the length")
    return length - cut - kerf


def as_it_came(number: Number, word: Text = "none", shape: Literal["round", "Square"] = "round") -> Text:
    """Number, word and shape as they reached the function."""
    return repr((number, word, shape))


def with_default(step: Annotated[Length, InMetric(0.5)] = 1 / 64, gap: Length | None = None) -> Text:
    """Defaults as they reached the function."""
    return repr((round(step, 9), gap))


def in_words(length: Length, *, shown: Shown = inch_fraction) -> Text:
    """Length in words."""
    return shown(length)


def to_grain(length: Length, *, grain: Annotated[Length, InMetric(0.1)] = 1 / 64) -> Text:
    """Length as a number of grains."""
    return f"{length / grain:.6f}"


def warmer(temperature: Temperature, by: Number = 0) -> Temperature:
    """A temperature some degrees Fahrenheit up."""
    return temperature + by


def readings_of(across: Readings, times: Number = 1, along: Readings | None = None) -> Text:
    """Readings as they reached the function."""
    if across == 13:
        raise InputError("across", across, "must not be 13")
    if isinstance(across, list) and 13 in across:
        raise InputError("across", 13, "must not be 13")
    return repr((across, times, along))


def to_buy(
    pieces: Lengths,
    counts: Annotated[Sequence[float], COUNT, Beside("pieces")],
    limits: Annotated[Sequence[float | None], COUNT, Beside("pieces", blank=True)] | None = None,
    kerf: Length = 0,
    bearing: Annotated[Sequence[float], LENGTH, Takes.LIST] = (),
) -> Text:
    """Lists as they reached the function."""
    if 13 in pieces:
        raise NotFound("pieces", 13, "must be on offer")
    return repr((pieces, counts, limits, kerf, bearing))


class Step(NamedTuple):
    """A row."""

    step: Count
    height: Length | None
    price: Annotated[float, MONEY]
    word: Text


def steps(height: Length, number: Count, across: Readings = 0) -> list[Step]:
    """A table; the second height is missing."""
    above(0, height=height)
    return [Step(n, None if n == 2 else n * height, n * 10, f"step {n}") for n in range(1, int(number) + 1)]


class Place(NamedTuple):
    """A row."""

    reading: Length | None


def place_by_place(across: Readings) -> Annotated[list[Place], Whole.PER_READING]:
    """A table with a row for each reading."""
    return [Place(reading) for reading in (across if isinstance(across, list) else [across])]


class Room(NamedTuple):
    """A row."""

    widest: Length
    face: Length
    word: Text


def room_by_room(
    across: Ceilings,
    along: Ceilings,
    face: LengthPerCeiling,
    gap: LengthPerCeiling | None = None,
    layout: Annotated[Literal["auto", "full"] | Sequence[str | None], TEXT, Takes.PER_CEILING] = "auto",
    price: Number = 1,
) -> list[Room]:
    """A list of ceilings, one row each; always asked for one at a time."""
    (readings,) = across if isinstance(across, list) else [[across]]
    (others,) = along if isinstance(along, list) else [[along]]
    above(0, face=face)
    widest = max(reading for reading in readings if reading is not None)
    if widest == 13:
        raise InputError("across", 13, "must not be 13")
    return [Room(widest, face, repr((readings, others, gap, layout, price)))]


FAKES: dict[str, CellFunction] = {
    each.__name__: describe(each, "fakes")
    for each in (
        what_is_left,
        as_it_came,
        with_default,
        in_words,
        to_grain,
        warmer,
        readings_of,
        to_buy,
        steps,
        place_by_place,
        room_by_room,
    )
}
