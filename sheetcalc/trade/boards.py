"""Boards: their dressed sizes, what they cover, measure, cost and weigh."""

import re
from fractions import Fraction
from typing import Literal

from sheetcalc.errors import InputError, NotFound, NotReadable, above, at_least, share, whole
from sheetcalc.kinds import Area, BoardFeet, Count, Density, Length, Money, RunningLength, Share, Text, Weight
from sheetcalc.trade.lengths import MM_PER_INCH, parse_length
from sheetcalc.trade.tables import rows

__all__ = [
    "board_coverage",
    "board_feet",
    "board_price",
    "board_thickness",
    "board_weight",
    "course_pitch",
    "face_width",
    "overall_width",
    "running_length",
]

METRES_PER_INCH = 0.0254
LARGEST_NOMINAL = (
    24  # no timber is sold by a larger nominal side, but "25x150" is typed where sizes are metric
)

_DECIMAL = r"(\d{1,4}(?:\.\d{1,20})?)"
_STATED = re.compile(rf"{_DECIMAL}x{_DECIMAL}x{_DECIMAL}mm")


def _size_name(nominal: str) -> str:
    """Lower case with the letter x for ×; outer blanks gone."""
    if not isinstance(nominal, str) or not nominal.strip():  # pyright: ignore[reportUnnecessaryIsInstance]
        raise NotReadable("nominal", nominal, 'must be a nominal size such as "1x6"')
    return nominal.strip().lower().replace("×", "x")


def _dressed(nominal: str, column: str) -> float:
    name = "".join(_size_name(nominal).split())
    if stated := _STATED.fullmatch(name):
        thickness, overall, face = (float(Fraction(side) / MM_PER_INCH) for side in stated.groups())
        if not (thickness > 0 and 0 < face <= overall):
            raise InputError(
                "nominal", nominal, "must state thickness, overall width and face, in this order"
            )
        return {"thickness": thickness, "overall": overall, "face": face}[column]
    for row in rows("tongue_and_groove"):
        if row["nominal"] == name:
            return float(row[column])
    sizes = ", ".join(row["nominal"] for row in rows("tongue_and_groove"))
    rule = f"must be a size of the table: {sizes}; else measure the board, or state it as 19x135x121 mm"
    raise NotFound("nominal", nominal, rule)


def _nominal_sides(nominal: str) -> tuple[float, float]:
    """Read any nominal size, "5/4x6" or "1 1/4 x 6" too: thickness and width in nominal inches."""
    try:
        typed = [parse_length(side) for side in _size_name(nominal).split("x")]
    except NotReadable:
        typed = []
    if len(typed) != 2 or any(side.unit for side in typed):
        raise NotReadable("nominal", nominal, 'must be a nominal size such as "1x6", thickness first')
    thickness, width = (float(side.number) for side in typed)
    if not (0 < thickness <= LARGEST_NOMINAL and 0 < width <= LARGEST_NOMINAL):
        raise InputError("nominal", nominal, 'must be a nominal size in inches, such as "1x6"')
    return thickness, width


def face_width(nominal: Text) -> Length:
    """Width that one laid tongue-and-groove board of a nominal size covers, from the published table.

    Parameters
    ----------
    nominal : str
        Nominal size, such as "1x6", or one that states thickness, overall width and face, such as
        "19x135x121 mm"; case and spaces do not matter.

    Returns
    -------
    float
        Face, without the tongue [in].

    Raises
    ------
    NotFound
        The size is neither in the table nor stated.
    InputError
        A stated size has a side of 0, or a face over its overall width.
    NotReadable
        It is no text.

    Notes
    -----
    The standard pattern. Patterns with a longer tongue show 1/8 in less, so a face measured on the boards, or
    better the pitch of a run of them (`course_pitch`), beats the table.

    References
    ----------
    WWPA, Natural Wood Siding, Table 4; the row 1x12 from memory.

    Examples
    --------
    >>> face_width("1x6")
    5.125
    """
    return _dressed(nominal, "face")


def overall_width(nominal: Text) -> Length:
    """Width of a tongue-and-groove board of a nominal size with its tongue, from the published table.

    Parameters
    ----------
    nominal : str
        Nominal size, such as "1x6", or one that states thickness, overall width and face, such as
        "19x135x121 mm"; case and spaces do not matter.

    Returns
    -------
    float
        Face and tongue together [in].

    Raises
    ------
    NotFound
        The size is neither in the table nor stated.
    InputError
        A stated size has a side of 0, or a face over its overall width.
    NotReadable
        It is no text.

    References
    ----------
    WWPA, Natural Wood Siding, Table 4; the row 1x12 from memory.

    Examples
    --------
    >>> overall_width("1x6")
    5.375
    """
    return _dressed(nominal, "overall")


def board_thickness(nominal: Text) -> Length:
    """Thickness of a tongue-and-groove board of a nominal size, dry and dressed, from the published table.

    Parameters
    ----------
    nominal : str
        Nominal size, such as "1x6", or one that states thickness, overall width and face, such as
        "19x135x121 mm"; case and spaces do not matter.

    Returns
    -------
    float
        Thickness [in].

    Raises
    ------
    NotFound
        The size is neither in the table nor stated.
    InputError
        A stated size has a side of 0, or a face over its overall width.
    NotReadable
        It is no text.

    References
    ----------
    PS 20, American Softwood Lumber Standard, matched boards (from memory).

    Examples
    --------
    >>> board_thickness("1x6")
    0.75
    """
    return _dressed(nominal, "thickness")


def course_pitch(run_length: Length, boards: Count, joint_space: Length = 0) -> Length:
    """Face as laid, measured on a run of boards knocked together on the bench.

    Parameters
    ----------
    run_length : float
        Length of the run across the boards [in], from one edge to the *same* edge: from the face at the first
        board's groove to the shoulder of the last board's tongue. The bare tongue is not measured.
    boards : int
        Boards in the run, 1 or more [-].
    joint_space : float, optional
        Space that will be left at each joint when the boards are hung [in].

    Returns
    -------
    float
        Distance from course to course [in].

    Raises
    ------
    InputError
        `run_length` is not over 0, `boards` not a whole number of 1 or more, or `joint_space` under 0.

    Notes
    -----
    .. math:: pitch = run / boards + space

    Ten boards show the pitch ten times as finely as one. With the bare tongue in the measure, the pitch would
    come out too wide by tongue / boards.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> course_pitch(51.5, 10)
    5.15
    """
    above(0, run_length=run_length)
    whole(boards=boards)
    at_least(1, boards=boards)
    at_least(0, joint_space=joint_space)
    return run_length / boards + joint_space


def board_coverage(face: Length, length: Length, count: Count = 1) -> Area:
    """Area that boards cover, from their face and length.

    Parameters
    ----------
    face : float
        Width that one laid board covers [in].
    length : float
        Length of one board [in].
    count : int, optional
        Number of boards [-].

    Returns
    -------
    float
        Area, with nothing taken off for ends and waste [ft²].

    Raises
    ------
    InputError
        `face` or `length` is not over 0, or `count` not a whole number of 0 or more.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> board_coverage(5.125, 192, 3)
    20.5
    """
    above(0, face=face, length=length)
    whole(count=count)
    return face * length * count / 144


def running_length(area: Area, face: Length, waste: Share = 0) -> RunningLength:
    r"""Total length of board that covers an area, with a share added for waste.

    Parameters
    ----------
    area : float
        Area to cover [ft²].
    face : float
        Width that one laid board covers [in].
    waste : float, optional
        Share added for trim and waste: 0.1 adds 10 % [-].

    Returns
    -------
    float
        Running length [ft].

    Raises
    ------
    InputError
        `area` is under 0, `face` is not over 0, or `waste` no share.

    Notes
    -----
    .. math:: length = (12 / face) \cdot area \cdot (1 + waste)

    12/face is the published coverage factor, unrounded. It includes no waste and fails for boards laid
    diagonally.

    References
    ----------
    WWPA, Natural Wood Siding, Table 4 and the procedure beside it.

    Examples
    --------
    >>> running_length(165, 5.5, 0.5)
    540.0
    """
    at_least(0, area=area)
    above(0, face=face)
    share(waste=waste)
    return area * 12 / face * (1 + waste)


def board_feet(nominal: Text, length: Length, count: Count = 1) -> BoardFeet:
    r"""Board feet of boards of a nominal size.

    Parameters
    ----------
    nominal : str
        Any nominal size in inches, thickness first: "1x6", "5/4x6".
    length : float
        Length of one board [in].
    count : int, optional
        Number of boards [-].

    Returns
    -------
    float
        Board feet [bd ft], not rounded.

    Raises
    ------
    NotReadable
        `nominal` cannot be read as a size.
    InputError
        A side of it is 0, under 0 or larger than any timber; `length` is not over 0; `count` is not a whole
        number of 0 or more.

    Notes
    -----
    .. math:: T \cdot W \cdot L_{ft} / 12

    One board foot is 144 in³ of nominal size. Softwood less than 1 in thick counts as 1 in (from memory).

    References
    ----------
    PS 20, American Softwood Lumber Standard, board measure.

    Examples
    --------
    >>> board_feet("2x8", 144)
    16.0
    """
    thickness, width = _nominal_sides(nominal)
    above(0, length=length)
    whole(count=count)
    return max(thickness, 1) * width * length * count / 144


def board_price(
    price: Money,
    per: Literal["board", "foot", "board foot", "1000 board feet", "metre"],
    nominal: Text,
    length: Length,
) -> Money:
    """Price of one board, from a price per board, running foot, board foot, 1000 board feet or metre.

    Parameters
    ----------
    price : float
        Price as quoted, 0 or more.
    per : {"board", "foot", "board foot", "1000 board feet", "metre"}
        What that price buys; "foot" is a running foot.
    nominal : str
        Nominal size, such as "1x6"; read only where the price is by board feet.
    length : float
        Length of the board [in].

    Returns
    -------
    float
        Price of one board, not rounded.

    Raises
    ------
    NotReadable
        `per` is another word, or `nominal` is needed and cannot be read as a size.
    InputError
        `price` is under 0, or `length` is not over 0.

    References
    ----------
    Common practice, no source; board feet as in `board_feet`.

    Examples
    --------
    >>> board_price(2500, "1000 board feet", "1x6", 192)
    20.0
    """
    at_least(0, price=price)
    above(0, length=length)
    match per:
        case "board":
            return price
        case "foot":
            return price * length / 12
        case "metre":
            return price * length * METRES_PER_INCH
        case "board foot":
            return price * board_feet(nominal, length)
        case "1000 board feet":
            return price * board_feet(nominal, length) / 1000
        case _:  # a word that no type checker saw
            raise NotReadable("per", per, "must be board, foot, board foot, 1000 board feet or metre")


def board_weight(
    thickness: Length, width: Length, length: Length, density: Density, count: Count = 1
) -> Weight:
    """Weight of boards, from their size and density: what a lift, a rack or a roof carries.

    Parameters
    ----------
    thickness, width, length : float
        Size of one board [in].
    density : float
        Density at the moisture content of the boards [lb/ft³].
    count : int, optional
        Number of boards [-].

    Returns
    -------
    float
        Weight [lb].

    Raises
    ------
    InputError
        A size or `density` is not over 0, or `count` not a whole number of 0 or more.

    Notes
    -----
    Wet boards weigh more than a table's density says: in doubt weigh one.

    References
    ----------
    Volume times density.

    Examples
    --------
    >>> board_weight(0.75, 6, 192, 24)
    12.0
    """
    above(0, thickness=thickness, width=width, length=length, density=density)
    whole(count=count)
    return thickness * width * length / 1728 * density * count
