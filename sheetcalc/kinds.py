"""What a number means: its kind, its unit in each system, and how a cell function takes it.

Trade functions annotate every parameter and answer with a name of this module. Floats in them are always in
us units; the metric unit stands here for the layers that convert.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Annotated

SYSTEMS = ("us", "metric")


@dataclass(frozen=True, slots=True)
class Kind:
    """What a number means.

    Parameters
    ----------
    name : str
        One word for it.
    us, metric : str
        Its unit as shown to a person; the same in both systems for what has no dimension.
    units : tuple of str, optional
        The two units as the units library spells them; None for what is never converted.
    typed : bool
        May also be text with its own unit, such as ``14' 3-3/8"``.
    """

    name: str
    us: str = ""
    metric: str = ""
    units: tuple[str, str] | None = None
    typed: bool = False


LENGTH = Kind("length", "in", "mm", ("inch", "millimeter"), typed=True)
RUN = Kind("running length", "ft", "m", ("foot", "meter"))
AREA = Kind("area", "ft²", "m²", ("foot**2", "meter**2"))
VOLUME = Kind("volume", "gal", "L", ("gallon", "liter"))
TUBE = Kind("tube volume", "fl oz", "ml", ("fluid_ounce", "milliliter"))
FILM = Kind("film", "mil", "µm", ("thou", "micrometer"))
SPREAD = Kind("spread rate", "ft²/gal", "m²/L", ("foot**2/gallon", "meter**2/liter"))
TEMPERATURE = Kind("temperature", "°F", "°C", ("degF", "degC"))
DENSITY = Kind("density", "lb/ft³", "kg/m³", ("pound/foot**3", "kilogram/meter**3"))
WEIGHT = Kind("weight", "lb", "kg", ("pound", "kilogram"))
BOARD_FEET = Kind("board feet", "bd ft", "bd ft")
PERCENT = Kind("percent", "%", "%")  # 0 to 100: humidity, moisture content
SHARE = Kind("share")  # of a whole: 0.1 is shown as 10 %
COUNT = Kind("count")  # whole
NUMBER = Kind("number")
MONEY = Kind("money")
HOURS = Kind("hours", "h", "h")
DAYS = Kind("days", "days", "days")
ANGLE = Kind("angle", "°", "°")
TEXT = Kind("text")
COURSES = Kind("courses")  # text such as 7-9 or none, or the number of one course
ANYTHING = Kind("anything")  # handed on as the cell holds it


class Takes(Enum):
    """What a range given to an argument means."""

    ONE = "one value; a range gives one answer per cell"
    READINGS = "the readings of one ceiling; a block is one ceiling per row"
    CEILINGS = "every row is one ceiling, even with one reading each"
    PER_CEILING = "one value, or a column with one per ceiling"
    LIST = "the whole range is one list"


@dataclass(frozen=True, slots=True)
class Beside:
    """A list that stands beside another: equally many cells.

    A pair blank in both is left out; `blank` allows a blank in this list alone (None reaches the function).
    """

    list: str
    blank: bool = False


@dataclass(frozen=True, slots=True)
class InMetric:
    """The default of a dimensioned optional argument in the metric system, in the metric unit."""

    default: float


@dataclass(frozen=True, slots=True)
class RowsBefore:
    """Mark of a table whose `rows` stands before this argument: it and those after it were added later."""

    argument: str


class Whole(Enum):
    """Mark of a table with one row for each reading, which therefore has no `rows` argument."""

    PER_READING = "one row for each reading"


Length = Annotated[float, LENGTH]
RunningLength = Annotated[float, RUN]
Area = Annotated[float, AREA]
Volume = Annotated[float, VOLUME]
TubeVolume = Annotated[float, TUBE]
Film = Annotated[float, FILM]
SpreadRate = Annotated[float, SPREAD]
Temperature = Annotated[float, TEMPERATURE]
Density = Annotated[float, DENSITY]
Weight = Annotated[float, WEIGHT]
BoardFeet = Annotated[float, BOARD_FEET]
Percent = Annotated[float, PERCENT]
Share = Annotated[float, SHARE]
Count = Annotated[float, COUNT]
Number = Annotated[float, NUMBER]
Money = Annotated[float, MONEY]
Hours = Annotated[float, HOURS]
Days = Annotated[float, DAYS]
Angle = Annotated[float, ANGLE]
Text = Annotated[str, TEXT]

Readings = Annotated[float | Sequence[float | None], LENGTH, Takes.READINGS]
"""Tape readings of one ceiling, in order from one end to the other; None is a place without a reading."""

Ceilings = Annotated[float | Sequence[float | Sequence[float | None] | None], LENGTH, Takes.CEILINGS]
"""Readings of several ceilings, one row each; a number is a row of one reading, None a row without any."""

LengthPerCeiling = Annotated[float | Sequence[float | None], LENGTH, Takes.PER_CEILING]
"""One length for all ceilings, or one for each; None where that ceiling has none of its own."""

Lengths = Annotated[Sequence[float], LENGTH, Takes.LIST]
Percents = Annotated[Sequence[float], PERCENT, Takes.LIST]
Shares = Annotated[Sequence[float], SHARE, Takes.LIST]

Shown = Callable[[float], str]
"""Words a length for a text answer; keyword-only, set by cells to the system of the call."""
