"""Laying out the courses of a ceiling: how many, how wide the first and the last, where each one ends.

Courses stack *across* the ceiling, from the starting wall to the finishing wall, and every board covers its
*face*. Only the gap at each wall and the width of the first and the last course can be chosen. `_count` and
`_lay` choose them in one place by five rules, and every function that takes a ceiling reads its answer there:

1. What the gaps leave is usable. With taper "gap", every reading counts as the narrowest.
2. If whole faces fit every reading within `take_up`, no board is ripped: the gaps take the difference,
   unless one would shrink below half.
3. Else there are as many courses as the widest reading needs, less `take_up`. A single course is ripped.
4. "full" starts with a full board, "balanced" rips both edges alike, "auto" starts full if the last course is
   then wide enough and balances if not. The last course takes the taper, or half of it with taper "split".
5. Gap, courses and finishing gap always add up to the reading.
"""

from collections.abc import Sequence
from itertools import accumulate
from typing import Annotated, Any, Literal, NamedTuple, get_args

from sheetcalc.compare import over, round_up, same, settled, under
from sheetcalc.errors import InputError, NotReadable, above, at_least, number, whole, within
from sheetcalc.kinds import (
    TEXT,
    Ceilings,
    Count,
    InMetric,
    Length,
    LengthPerCeiling,
    Readings,
    Shown,
    Takes,
    Text,
    Whole,
)
from sheetcalc.trade.cutting import cut_length
from sheetcalc.trade.lengths import inch_fraction
from sheetcalc.trade.tape import given, mean, places

__all__ = [
    "course_count",
    "course_ends",
    "course_marks",
    "course_note",
    "courses_crossed",
    "fence_setting",
    "layout_table",
    "open_per_course",
    "rip_width",
    "visible_width",
]

Start = Literal["auto", "full", "balanced"]
"""How the first course is chosen."""
Taper = Literal["last", "gap", "split"]
"""What takes the difference where the walls are not parallel."""
Edge = Literal["first", "last"]
TakeUp = Annotated[Length, InMetric(0.5)]

_STARTS, _TAPERS, _EDGES = map(get_args, (Start, Taper, Edge))

TAKE_UP = 1 / 64  # in: less than a saw cut shows
MOST_COURSES = 10_000  # more come from a face in the wrong unit, never from a ceiling


class CourseEnd(NamedTuple):
    """The edge courses at one reading, and the gap left there; None where there is no reading."""

    first: Length | None
    last: Length | None
    finish_gap: Length | None


class CourseMark(NamedTuple):
    """A course on the story pole; its far edge is the tongue's shoulder, measured from the starting wall."""

    course: Count
    width: Length
    far_edge: Length


class LayoutRow(NamedTuple):
    """One ceiling of a list; None throughout where it has no reading."""

    courses: Count | None
    first: Length | None
    last: Length | None
    cut_length: Length | None


class _Counted(NamedTuple):
    """The courses of one ceiling, before the first and the last are chosen. A list is as in `_Layout`."""

    courses: int
    usable: list[float]
    covered: list[float]  # by all courses together
    shift: float  # how much wider than asked the gap at the start becomes
    finish_gap: float  # as asked
    least: float


class _Layout(NamedTuple):
    """One ceiling laid out. A list holds one length for each reading, in order."""

    courses: int
    least: float
    gap: float  # left at the start
    first: list[float]
    last: list[float]  # of a single course, the same as first
    finish_gap: list[float]  # left at the finish


def _count(
    across: Readings,
    face: float,
    gap: float,
    finish_gap: float | None,
    layout: str,
    least: float | None,
    take_up: float,
    taper: str,
) -> _Counted:
    """Count the courses of a ceiling; the numbers are those of the rules in the module's docstring."""
    above(0, face=face)
    at_least(0, gap=gap)
    if finish_gap is None:
        finish_gap = gap
    else:
        at_least(0, finish_gap=finish_gap)
    if least is None:
        least = face / 2
    else:
        within(0, face, "must lie in 0 to the face", least=least)
    within(0, face / 2, "must lie in 0 to half the face", take_up=take_up)
    _choice(_STARTS, layout=layout)
    _choice(_TAPERS, taper=taper)
    readings = given("across", across)
    if over(max(readings) - min(readings), face):
        raise InputError("across", across, "must not vary by more than one face: they are different ceilings")

    usable = [reading - gap - finish_gap for reading in readings]  # 1
    narrowest, widest = min(usable), max(usable)
    if not over(narrowest, 0):
        raise InputError("across", min(readings), "must be over the two gaps together")
    if over(widest, MOST_COURSES * face):
        raise InputError("face", face, f"must not be so narrow that it takes over {MOST_COURSES} courses")
    counted = usable
    if taper == "gap":
        counted, widest = [narrowest] * len(usable), narrowest

    courses = max(1, round_up(mean(counted) / face - 0.5))  # 2: the nearest number of whole faces
    faces = courses * face
    if not over(max(widest - faces, faces - narrowest), take_up):
        shift = mean([width - faces for width in counted]) / 2
        if not under(shift, -gap / 2) and not under(narrowest - faces - shift, -finish_gap / 2):
            return _Counted(courses, usable, [faces] * len(usable), shift, finish_gap, least)

    courses = max(1, round_up((widest - take_up) / face))  # 3
    faces = courses * face
    return _Counted(courses, usable, [min(width, faces) for width in counted], 0.0, finish_gap, least)


def _lay(
    across: Readings,
    face: float,
    gap: float,
    finish_gap: float | None,
    layout: str,
    least: float | None,
    take_up: float,
    taper: str,
) -> _Layout:
    """Lay a ceiling out: count the courses, then choose the first and the last."""
    courses, usable, covered, shift, finish_gap, least = _count(
        across, face, gap, finish_gap, layout, least, take_up, taper
    )
    if courses == 1:
        first = last = covered
    else:
        edges = [width - (courses - 2) * face for width in covered]
        first, last = _edge_courses(edges, face, layout, least, taper)  # 4
    left = [finish_gap + (width - laid) - shift for width, laid in zip(usable, covered, strict=True)]  # 5
    return _Layout(courses, least, gap + shift, first, last, [settled(open_) for open_ in left])


def _edge_courses(
    both: list[float], face: float, layout: str, least: float, taper: str
) -> tuple[list[float], list[float]]:
    """First and last course at each reading, from the width of both together."""
    widest = max(both)

    def edges(first_at_widest: float) -> tuple[list[float], list[float]]:
        share = 0.5 if taper == "split" else 0.0  # of the taper, taken by the first course
        first = [first_at_widest - share * (widest - width) for width in both]
        return first, [settled(width - edge) for width, edge in zip(both, first, strict=True)]

    full = edges(face)
    narrowest = min(full[1])
    if layout == "full" and under(narrowest, 0):
        raise InputError(
            "layout", layout, "must not run the last course out before the wall ends: balance it"
        )
    if layout == "full" or (layout == "auto" and not under(narrowest, least)):
        return full
    return edges(_balanced_first([widest] if taper == "split" else both, face, least))


def _balanced_first(both: list[float], face: float, least: float) -> float:
    """First course of a balanced layout: half of both, moved only as far as needed.

    The last course, both less the first, may be no wider than a face and should be no narrower than `least`.
    """
    low, high = max(least, max(both) - face), min(both) - least
    if over(low, high):  # no layout keeps to `least`: make the narrowest edge as wide as possible
        return max(min(both) / 2, max(both) - face)
    return min(max(mean(both) / 2, low), high)


def _choice(words: tuple[str, ...], **values: str) -> None:
    for name, value in values.items():
        if value not in words:
            raise NotReadable(name, value, "must be " + ", ".join(words))


def course_count(
    across: Readings,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: TakeUp = TAKE_UP,
    taper: Taper = "last",
) -> Count:
    r"""How many courses a ceiling takes, ripped ones included.

    Parameters
    ----------
    across : float or sequence of float
        Readings across the boards, from one end of them to the other [in].
    face : float
        Width that one laid board covers [in].
    gap : float
        Open joint left at the starting wall [in].
    finish_gap : float, optional
        Open joint left at the finishing wall [in]; as `gap` if not given.
    layout : {"auto", "full", "balanced"}
        Start with a full board, rip both edges alike, or full only if the last course is then wide enough.
    least : float, optional
        Narrowest acceptable first or last course [in]; half of `face` if not given.
    take_up : float, optional
        How far the two gaps together may grow or shrink to save a rip [in]; 1/64 in (0.5 mm) if not given.
    taper : {"last", "gap", "split"}
        What takes the difference where walls are not parallel: the last course, the finishing gap, or both
        edge courses by halves.

    Returns
    -------
    int
        Courses, at least 1 [-].

    Raises
    ------
    InputError
        A reading not over the two gaps; readings that differ by more than one face; a negative gap; `least`
        not in 0 to the face, `take_up` not in 0 to half of it; a layout "full" whose last course runs out
        before the wall ends.
    NotReadable
        No reading, no number, or an unknown word for `layout` or `taper`.

    Notes
    -----
    .. math:: n = (\max u - t) / w, \quad u = a - g - f

    rounded up, where whole faces do not fit within `take_up`. Walls are taken to run straight from reading to
    reading.

    References
    ----------
    Edges equal and as large as possible: US Navy NAVEDTRA 14044, p. 5-16. All else: common practice, no
    source.

    Examples
    --------
    >>> course_count(across=120, face=5.125, gap=0.5)
    24
    """
    lay = _lay if layout == "full" else _count  # only a full start can still be refused after the count
    return lay(across, face, gap, finish_gap, layout, least, take_up, taper).courses


def rip_width(
    edge: Edge,
    across: Readings,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: TakeUp = TAKE_UP,
    taper: Taper = "last",
) -> Length:
    r"""Width of the first or the last course, at the mean reading.

    Parameters
    ----------
    edge : {"first", "last"}
        The course at the starting or at the finishing wall; a single course is both.
    across, face, gap, finish_gap, layout, least, take_up, taper
        The ceiling and how to lay it out, as for `course_count`.

    Returns
    -------
    float
        Face width that the course covers [in].

    Raises
    ------
    InputError, NotReadable
        As for `course_count`.

    Notes
    -----
    Over half a face at both edges where :math:`r = u \bmod w > 0` and the walls are parallel: balanced,
    :math:`(w + r) / 2`.

    References
    ----------
    Remainder added to one face and halved: "Suspended Ceilings: Planning Your Ceiling", DoItYourself.com, in
    part; edges equal and as large as possible: US Navy NAVEDTRA 14044, p. 5-16.

    Examples
    --------
    >>> rip_width(edge="first", across=120, face=5.125, gap=0.5)
    3.125
    """
    _choice(_EDGES, edge=edge)
    plan = _lay(across, face, gap, finish_gap, layout, least, take_up, taper)
    return mean(plan.first if edge == "first" else plan.last)


def course_ends(
    across: Readings,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: TakeUp = TAKE_UP,
    taper: Taper = "last",
) -> Annotated[list[CourseEnd], Whole.PER_READING]:
    """Width of the first and of the last course and the gap left at the finish, one row for each reading.

    Parameters
    ----------
    across, face, gap, finish_gap, layout, least, take_up, taper
        The ceiling and how to lay it out, as for `course_count`.

    Returns
    -------
    list of CourseEnd
        One row for each place measured [in]; a place without a reading keeps its row.

    Raises
    ------
    InputError, NotReadable
        As for `course_count`.

    Notes
    -----
    A last course may run to a point, width 0. Mark a tapered rip from these widths and cut it along a
    straight edge.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> course_ends(across=119, face=5, gap=0.5)
    [CourseEnd(first=5.0, last=3.0, finish_gap=0.5)]
    """
    plan = _lay(across, face, gap, finish_gap, layout, least, take_up, taper)
    ends = map(CourseEnd, plan.first, plan.last, plan.finish_gap)
    return [CourseEnd(None, None, None) if place is None else next(ends) for place in places(across)]


def course_marks(
    across: Readings,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: TakeUp = TAKE_UP,
    taper: Taper = "last",
) -> list[CourseMark]:
    """Story pole: every course with its width and where its far edge stands from the starting wall.

    Parameters
    ----------
    across, face, gap, finish_gap, layout, least, take_up, taper
        The ceiling and how to lay it out, as for `course_count`.

    Returns
    -------
    list of CourseMark
        Course, width and far edge, the shoulder of its tongue [in], at the mean reading.

    Raises
    ------
    InputError, NotReadable
        As for `course_count`.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> course_marks(across=11, face=5, gap=0.5)
    [CourseMark(course=1, width=5.0, far_edge=5.5), CourseMark(course=2, width=5.0, far_edge=10.5)]
    """
    plan = _lay(across, face, gap, finish_gap, layout, least, take_up, taper)
    widths = [mean(plan.first), *[face] * (plan.courses - 2), mean(plan.last)][: plan.courses]
    edges = accumulate(widths, initial=plan.gap)
    next(edges)
    return [CourseMark(course, *mark) for course, mark in enumerate(zip(widths, edges, strict=True), start=1)]


def course_note(
    across: Readings,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: TakeUp = TAKE_UP,
    taper: Taper = "last",
    *,
    shown: Shown = inch_fraction,
) -> Text:
    """Layout of a ceiling in a few words, with a warning where an edge course comes out too narrow.

    Parameters
    ----------
    across, face, gap, finish_gap, layout, least, take_up, taper
        The ceiling and how to lay it out, as for `course_count`.
    shown : callable, optional
        Words a length.

    Returns
    -------
    str
        Such as "full boards", "first full, last 3 1/8" or "balanced 3 1/8"; a tapered width is "2 to 2 1/2".

    Raises
    ------
    InputError, NotReadable
        As for `course_count`.

    Notes
    -----
    "balanced" where both edges are alike at the mean reading; "first W, last W" where the first had to move.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> course_note(across=120, face=5.125, gap=0.5)
    'balanced 3 1/8'
    """
    plan = _lay(across, face, gap, finish_gap, layout, least, take_up, taper)

    def worded(widths: list[float]) -> str:
        narrow, wide = shown(min(widths)), shown(max(widths))
        return narrow if narrow == wide else f"{narrow} to {wide}"

    def is_full(widths: list[float]) -> bool:
        return all(same(width, face) for width in widths)

    first, last = worded(plan.first), worded(plan.last)
    if is_full(plan.first) and is_full(plan.last):
        asked = gap, gap if finish_gap is None else finish_gap
        taken = plan.gap - gap if taper == "gap" else mean(plan.finish_gap) - asked[1]
        gaps = [shown(plan.gap), shown(asked[1] + taken)]
        note = "full boards"
        if gaps != [shown(open_) for open_ in asked]:
            note += ", gaps " + " and ".join(dict.fromkeys(gaps))
    elif plan.courses == 1:
        note = f"one course {first}"
    elif is_full(plan.first):
        note = f"first full, last {last}"
    elif same(mean(plan.first), mean(plan.last)):
        note = f"balanced {first}" + ("" if first == last else f", last {last}")
    else:
        note = f"first {first}, last {last}"
    finish = worded(plan.finish_gap)
    if taper == "gap" and finish != shown(min(plan.finish_gap)):
        note += f", finish gap {finish}"
    if under(min(plan.first + plan.last), plan.least):
        note += f"; warning: narrower than {shown(plan.least)}"
    return note


def layout_table(
    across: Ceilings,
    along: Ceilings,
    face: LengthPerCeiling,
    gap: LengthPerCeiling,
    finish_gap: LengthPerCeiling | None = None,
    layout: Annotated[Start | Sequence[str | None], TEXT, Takes.PER_CEILING] = "auto",
    least: LengthPerCeiling | None = None,
    take_up: Annotated[LengthPerCeiling, InMetric(0.5)] = TAKE_UP,
    taper: Annotated[Taper | Sequence[str | None], TEXT, Takes.PER_CEILING] = "last",
) -> list[LayoutRow]:
    """Courses, first, last and cut length of a whole list of ceilings, one row each.

    Parameters
    ----------
    across : sequence
        For each ceiling its readings across the boards [in].
    along : sequence
        For each ceiling its readings along the boards [in].
    face, gap, finish_gap, layout, least, take_up, taper
        As for `course_count`: one for all ceilings, or one for each; None where that one takes the default.

    Returns
    -------
    list of LayoutRow
        Courses [-], first and last course at the mean reading, cut length [in]; a ceiling without any reading
        keeps its row.

    Raises
    ------
    InputError, NotReadable
        As for `course_count` and `cut_length`; or lists that are not equally long.

    Notes
    -----
    The cut length keeps the same gaps at the ends of the boards as asked for at the walls beside them.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> layout_table(across=[[120, 120.5]], along=[[183.5, None]], face=5.125, gap=0.5)
    [LayoutRow(courses=24, first=3.25, last=3.25, cut_length=182.5)]
    """
    wide, long = _rows(across), _rows(along)
    if len(wide) != len(long):
        raise NotReadable("along", along, "must have as many rows as across")
    columns = dict(
        face=face, gap=gap, finish_gap=finish_gap, layout=layout, least=least, take_up=take_up, taper=taper
    )
    each = [_column(name, value, len(wide)) for name, value in columns.items()]
    return [_layout_row(*row) for row in zip(wide, long, *each, strict=True)]


def _rows(readings: Ceilings) -> list[list[float | None]]:
    return [places(row) for row in ([readings] if isinstance(readings, (int, float)) else readings)]


def _column(name: str, value: Any, count: int) -> list[Any]:
    if value is None or isinstance(value, (int, float, str)):
        return [value] * count
    if len(value) != count:
        raise NotReadable(name, value, "must be one value, or one for each ceiling")
    return list(value)


def _layout_row(
    across: list[float | None],
    along: list[float | None],
    face: float | None,
    gap: float | None,
    finish_gap: float | None,
    layout: str | None,
    least: float | None,
    take_up: float | None,
    taper: str | None,
) -> LayoutRow:
    if all(reading is None for reading in across + along):
        return LayoutRow(None, None, None, None)
    face, gap = number("face", face), number("gap", gap)
    take_up = TAKE_UP if take_up is None else take_up
    plan = _lay(across, face, gap, finish_gap, layout or "auto", least, take_up, taper or "last")
    return LayoutRow(plan.courses, mean(plan.first), mean(plan.last), cut_length(along, gap, finish_gap))


def visible_width(width: Length, gap: Length, trim_cover: Length) -> Length:
    """Width of an edge course that stays in sight once the trim is on.

    Parameters
    ----------
    width : float
        Width of the first or the last course [in].
    gap : float
        Gap between that course and the wall [in].
    trim_cover : float
        How far the trim reaches from the wall [in].

    Returns
    -------
    float
        Visible width, within 0 to `width` [in].

    Raises
    ------
    InputError
        Any of them negative.

    Notes
    -----
    .. math:: w + g - c

    A trim that covers less than the gap leaves the joint open to view.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> visible_width(width=3.125, gap=0.5, trim_cover=1.25)
    2.375
    """
    at_least(0, width=width, gap=gap, trim_cover=trim_cover)
    return min(max(settled(width + gap - trim_cover), 0.0), width)


def fence_setting(width: Length, tongue: Length, edge: Edge) -> Length:
    """Saw fence for ripping the first course (groove edge off) or the last course (tongue off).

    Parameters
    ----------
    width : float
        Width of that course [in].
    tongue : float
        How far the tongue stands out from its shoulder [in].
    edge : {"first", "last"}
        The first course runs with its tongue to the fence, the last with its groove edge.

    Returns
    -------
    float
        Distance from the fence to the blade [in].

    Raises
    ------
    InputError
        A negative width or tongue.
    NotReadable
        An unknown word for `edge`.

    Notes
    -----
    The first course keeps its tongue: :math:`w + t`. The last loses it: :math:`w`. A single course loses both
    edges, so its setting is its width: take "last". A course that tapers is cut along a marked line instead.

    Rip narrow boards with the guard and the riving knife on, a push stick, and eye protection.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> fence_setting(width=3.125, tongue=0.25, edge="first")
    3.375
    """
    at_least(0, width=width, tongue=tongue)
    _choice(_EDGES, edge=edge)
    return width + tongue if edge == "first" else width


def open_per_course(
    remaining: Length, courses_left: Count, face: Length, last_wanted: Length, finish_gap: Length
) -> Length:
    """How far to open (+) or close (−) the joint of each remaining course to end on the last course wanted.

    Parameters
    ----------
    remaining : float
        From the shoulder of the last board hung to the finishing wall [in].
    courses_left : int
        Courses still to hang, the last one included [-].
    face : float
        Width that one laid board covers [in].
    last_wanted : float
        Width that the last course shall have [in].
    finish_gap : float
        Open joint to leave at the finishing wall [in].

    Returns
    -------
    float
        Change at each of the joints still to close [in].

    Raises
    ------
    InputError
        A distance or face not over 0, a negative gap, no course left or part of one, or a last course wider
        than a face.

    Notes
    -----
    .. math:: (d - f - w_{last} - (n - 1) w) / n

    Each course still to hang has one joint to the course before it, the last one too. How far a joint may
    open is for the tongue to say.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> open_per_course(remaining=29.625, courses_left=6, face=5.125, last_wanted=3.125, finish_gap=0.5)
    0.0625
    """
    above(0, remaining=remaining, courses_left=courses_left, face=face)
    whole(courses_left=courses_left)
    within(0, face, "must lie in 0 to the face", last_wanted=last_wanted)
    at_least(0, finish_gap=finish_gap)
    spare = remaining - finish_gap - last_wanted - (courses_left - 1) * face
    return settled(spare / courses_left)


def courses_crossed(
    position: Length,
    size: Length,
    across: Readings,
    face: Length,
    gap: Length,
    finish_gap: Length | None = None,
    layout: Start = "auto",
    least: Length | None = None,
    take_up: TakeUp = TAKE_UP,
    taper: Taper = "last",
) -> Text:
    """Courses that an opening cuts, such as "7-9", "7" or "none"; touching a course is not cutting it.

    Parameters
    ----------
    position : float
        Centre of the opening from the starting wall [in].
    size : float
        Size of the opening across the boards [in].
    across, face, gap, finish_gap, layout, least, take_up, taper
        The ceiling and how to lay it out, as for `course_count`.

    Returns
    -------
    str
        First and last course cut, counted from the starting wall.

    Raises
    ------
    InputError
        A size not over 0, an opening that reaches outside the walls, or as for `course_count`.
    NotReadable
        As for `course_count`.

    Notes
    -----
    The courses stand as on the story pole, at the mean reading. A fan or a heavy light hangs from framing or
    a box listed for it, never from the boards; a licensed electrician wires it.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> courses_crossed(position=40, size=9, across=120, face=5.125, gap=0.5)
    '8-9'
    """
    above(0, size=size)
    near, far = number("position", position) - size / 2, position + size / 2
    marks = course_marks(across, face, gap, finish_gap, layout, least, take_up, taper)
    if under(near, 0) or over(far, mean(given("across", across))):
        raise InputError("position", position, "must keep the opening between the walls")
    cut = [
        mark.course for mark in marks if over(far, mark.far_edge - mark.width) and under(near, mark.far_edge)
    ]
    if not cut:
        return "none"
    return str(cut[0]) if len(cut) == 1 else f"{cut[0]}-{cut[-1]}"
