"""Plans to print for the scaffold: every ceiling of a takeoff to scale, with its story pole."""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Literal, cast

from sheetcalc.cells.units import inches
from sheetcalc.cells.values import Cell, CellError
from sheetcalc.errors import EntryError
from sheetcalc.trade.courses import CourseEnd, Start, Taper, course_ends, course_marks
from sheetcalc.trade.drawing import Fixture, Point, drawn, drawn_by_corners, joints
from sheetcalc.trade.lengths import (
    MM_PER_INCH,
    feet_inches,
    inch_fraction,
    metre_words,
    millimetre_words,
    parse_length,
)
from sheetcalc.trade.shapes import CoursePiece, course_pieces, laid
from sheetcalc.workbooks.compute import Report, opened
from sheetcalc.workbooks.handles import HandleProblem
from sheetcalc.workbooks.paint import Page, Ring, Stroke, Words, pdf, svg, text_width
from sheetcalc.workbooks.paint import Path as Line
from sheetcalc.workbooks.shown import shown
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.package import FileProblem, check_free, write_file

PAPER = {"us": (792.0, 612.0), "metric": (842.0, 595.0)}  # Letter and A4 across, points
SCALES = {
    "us": (8, 12, 16, 20, 24, 32, 40, 48, 64, 80, 96, 128, 192),
    "metric": (5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 200),
}
BAR = {"us": 48.0, "metric": 1000 / 25.4}
MARGIN = 36.0
POLE = 104.0  # width of the story pole with its figures
STRETCHES = "Courses: stretches from the left (short points)"
LISTED = 8.6  # from line to line of the stretches beside a plan
JOINT = 6.8  # size of the figures of end joints
MARKED = 7.0  # least distance between the figures of the story pole
TINT = "E1EBEA"
SEEN = "Like a floor plan: the start wall behind you, left is left. Held up to the ceiling it is mirrored."
TRIM = "trim the last piece of each to the wall less the gap."
CAUTIONS = (
    "Measure and mark from the figures, never from the drawing.",
    "Fans and heavy lights hang from framing or a listed box, never from the boards; "
    "a licensed electrician wires them.",
    "Scaffold over 10 ft (3.0 m): fall protection, 29 CFR 1926.451(g)(1). Local codes and licensed practice "
    "decide.",
)


@dataclass(frozen=True, slots=True)
class Drawing:
    """What was drawn: the ceilings by their names, and the computed takeoff."""

    names: tuple[str, ...]
    report: Report


@dataclass(frozen=True, slots=True)
class Ceiling:
    """What the plan of one ceiling shows; lengths in inches."""

    name: str
    note: str
    wall: str
    runs: str
    readings: tuple[list[float], list[float]]  # along, across
    corners: list[tuple[float, float, float | None]]  # along, across, number of the opening
    laying: tuple[float, float, float, str, float, float, str]  # face to taper
    step: float  # of the saw
    cut: str
    pieces: tuple[list[float], list[float]]  # course of each, and where it starts
    fixtures: list[tuple[str, Fixture, str]]  # name, opening, courses cut


def draw(
    path: str | os.PathLike[str],
    output: str | os.PathLike[str],
    ceiling: str = "",
    *,
    force: bool = False,
) -> Drawing:
    """Draw the ceilings of a takeoff to scale; the workbook stays as it is.

    Parameters
    ----------
    path : path-like
        The takeoff; it is computed anew, so that nothing old is drawn.
    output : path-like
        The drawing: .svg, or .pdf with a page for each ceiling.
    ceiling : str, optional
        Name of the only ceiling to draw.
    force : bool, optional
        Overwrite a file of that name.

    Returns
    -------
    Drawing
        What was drawn.

    Raises
    ------
    Problem
        The file is no takeoff, a ceiling has no layout, or the drawing cannot be written.
    """
    target = Path(output)
    if target.suffix.lower() not in (".svg", ".pdf"):
        raise FileProblem(f"The name of a drawing ends in .svg or .pdf, but “{output}” does not.")
    check_free(target, force=force)
    takeoff = _Takeoff(opened(path))
    ceilings = list(takeoff.ceilings(ceiling))
    pages = [_Sheet(takeoff, each).page() for each in ceilings]
    write_file(target, (svg if target.suffix.lower() == ".svg" else pdf)(pages), like=Path(path))
    return Drawing(tuple(each.name for each in ceilings), takeoff.report)


class _Takeoff:
    """Reads what is drawn from a computed takeoff, by its handles."""

    def __init__(self, report: Report) -> None:
        self.report = report
        if "pole_marks" not in set(report.handles):
            raise HandleProblem(f"{report.file.name} is no takeoff: it holds no ceilings to draw.")
        area = report.handles.area("pole_marks")
        text = report.host.book.sheets[area.sheet].formulas[area.top, area.left].text
        self.system: Literal["us", "metric"] = "metric" if '"metric"' in text else "us"
        self.unit = " Lengths are in mm." if self.system == "metric" else ""
        self.bar = (metre_words if self.system == "metric" else feet_inches)(BAR[self.system])

    def feet(self, length: float) -> str:
        """Word a length as a tape shows it: feet and inches, or millimetres."""
        return millimetre_words(length) if self.system == "metric" else feet_inches(length)

    def fraction(self, length: float) -> str:
        """Word a width: inches, or millimetres."""
        return millimetre_words(length) if self.system == "metric" else inch_fraction(length)

    def rows(self, handle: str) -> list[list[Cell]]:
        value = self.report.value(handle)
        return value if isinstance(value, list) else [[value]]

    def column(self, handle: str) -> list[Cell]:
        return [row[0] for row in self.rows(handle)]

    def inches(self, value: Cell) -> float | None:
        """Length of a cell that holds a number."""
        if not isinstance(value, float):
            return None
        return value / float(MM_PER_INCH) if self.system == "metric" else value

    def ceilings(self, only: str) -> Iterator[Ceiling]:
        names = [(row, shown(name)) for row, name in enumerate(self.column("name_used")) if name]
        if only:
            wanted = [pair for pair in names if pair[1].casefold() == only.strip().casefold()]
            if not wanted:
                known = ", ".join(name for _, name in names)
                raise HandleProblem(f"There is no ceiling “{only}” in {self.report.file.name}: {known}.")
            names = wanted
        if not names:
            raise HandleProblem(f"{self.report.file.name} has no ceiling yet.")
        for row, name in names:
            yield self._ceiling(row, name)

    def _ceiling(self, row: int, name: str) -> Ceiling:
        def text(handle: str) -> str:
            value = self.column(handle)[row]
            return "" if isinstance(value, CellError) else shown(value)

        def length(handle: str) -> float:
            found = self.inches(self.column(handle)[row])
            if found is None:
                raise HandleProblem(f"{name} has no layout yet: see the sheets Checks and Layout.")
            return found

        def readings(handle: str) -> list[float]:
            return [found for cell in self.rows(handle)[row] if (found := self.inches(cell)) is not None]

        take_up = self.inches(self._used("take_up"))
        laying = (length("face_of"), length("gap_used"), length("finish_gap_used"), text("layout_used"))
        length("courses")  # a layout that is refused has none
        return Ceiling(
            name,
            text("layout_note"),
            text("start_wall"),
            text("direction"),
            (readings("along_used"), readings("across_used")),
            list(self._corners(row)),
            (*laying, length("least_used"), take_up or 0.0, text("taper_used")),
            self.inches(self._used("saw_step")) or 0.0,
            text("layout_cut"),
            self._pieces(row, name),
            list(self._fixtures(row)),
        )

    def _used(self, handle: str) -> Cell:
        """Value that counts for an entry: typed, or the one beside it."""
        area = self.report.handles.area(handle)
        cells = (self.report.host.get(area.sheet, address(area.top, area.left + more)) for more in (3, 2, 0))
        return next((cell for cell in cells if isinstance(cell, float)), None)

    def _corners(self, row: int) -> Iterator[tuple[float, float, float | None]]:
        """Corners of this ceiling, as typed; none of a rectangle."""
        columns = [
            self.column(handle) for handle in ("corner_no", "corner_along", "corner_across", "corner_opening")
        ]
        for number, along, across, opening in zip(*columns, strict=True):
            if number == row + 1:
                yield self._typed(along), self._typed(across), opening if isinstance(opening, float) else None

    def _typed(self, cell: Cell) -> float:
        """Inches of a typed length; a layout says that it can be read."""
        number = self.inches(cell)
        return inches(parse_length(shown(cell)), self.system) if number is None else number

    def _pieces(self, row: int, name: str) -> tuple[list[float], list[float]]:
        """Ask for the pieces of jointed courses as the sheet Layout would show them for this ceiling."""
        if self.column("jointed")[row] != 1:
            return [], []
        host, handles = self.report.host, self.report.handles

        def get(sheet: str, at: tuple[int, int]) -> Cell:
            value = host.get(sheet, address(*at))
            assert not isinstance(value, list)
            return value

        # A story pole of another ceiling is no concern of the file: what is typed here is never stored.
        for (sheet, at), value in handles.entries("pole_ceiling", f"'{name}", get).items():
            host.set(sheet, address(*at), value)
        host.recalculate()
        courses, starts = list[float](), list[float]()
        pieces = [  # of a rectangle, or of a ceiling by its corners; the others are blank
            piece
            for kind in ("", "shape_")
            for piece in zip(
                self.column(f"{kind}piece_course"), self.column(f"{kind}piece_start"), strict=True
            )
        ]
        for course, start in pieces:
            if isinstance(course, CellError):
                raise HandleProblem(f"The end joints of {name} cannot be laid out: see the sheet Order.")
            place = self.inches(start)
            if isinstance(course, float) and place is not None:
                courses.append(course)
                starts.append(place)
        return courses, starts

    def _fixtures(self, row: int) -> Iterator[tuple[str, Fixture, str]]:
        columns = [self.column(handle) for handle in ("fixture_no", "fixture", "shape", "courses_cut")]
        sizes = [self.column(handle) for handle in ("hole_width", "half_along", "hole_across", "hole_along")]
        for (number, name, shape, cut), lengths in zip(
            zip(*columns, strict=True), zip(*sizes, strict=True), strict=True
        ):
            width, half, across, along = map(self.inches, lengths)
            if number == row + 1 and width and across is not None:
                opening = Fixture(shown(shape), width, 2 * (half or 0), across, along)
                yield shown(name), opening, "" if isinstance(cut, CellError) else shown(cut)


class _Sheet:
    """One ceiling on one sheet of paper."""

    def __init__(self, takeoff: _Takeoff, ceiling: Ceiling) -> None:
        self.takeoff, self.ceiling = takeoff, ceiling
        self.wide, self.high = PAPER[takeoff.system]
        face, gap, finish_gap, layout, least, take_up, taper = ceiling.laying
        along, across = ceiling.readings
        block = (face, gap, finish_gap, cast("Start", layout), least, take_up, cast("Taper", taper))
        try:
            self.marks = course_marks(across, *block)
            self.ends: list[CourseEnd] = course_ends(across, *block)
            if ceiling.corners:
                xs, ys, openings = map(list, zip(*ceiling.corners, strict=True))
                self.plan = drawn_by_corners(laid(xs, ys, *block[:-1], openings), face)
                self.pieces = course_pieces(xs, ys, *block[:-1], openings, cut_step=ceiling.step)
            else:
                self.pieces = list[CoursePiece]()
                self.plan = drawn(along, across, *block)
            self.joints = joints(self.plan, *ceiling.pieces)
        except EntryError as wrong:
            raise HandleProblem(f"{ceiling.name} cannot be drawn: {wrong}.") from None
        self.stretches = self._stretches()
        self.listed = -(-len(ceiling.fixtures) // 2)  # lines of the list of fixtures
        top = 110.0
        bottom = self.high - MARGIN - 52 - (14 + 9 * self.listed if self.listed else 0)
        left = MARGIN + POLE
        wide, high = self.wide - MARGIN - left, bottom - 22 - top
        xs, ys = zip(*self.plan.walls, strict=True)
        size = max(xs), max(ys) - min(ys)
        # stretches stand where they leave more room: in columns beside the plan, or below it
        self.column = max(
            text_width(STRETCHES, 7) + 14, *(text_width(words, 7) + 50 for _, words in self.stretches), 0
        )
        listed = len(self.stretches)
        most = int(high / LISTED) - 1
        beside = -(-listed // most)
        below = max(1, int((self.wide - 2 * MARGIN) / self.column))
        lines = min(-(-listed // below), most // 2)
        narrow = self._ratio(size, (wide - beside * self.column, high))
        low = self._ratio(size, (wide, high - (LISTED * (lines + 2) if lines else 0)))
        self.beside = narrow <= low and beside * self.column <= wide / 2
        self.ratio = narrow if self.beside else low
        self.columns, self.lines = (beside, most) if self.beside else (below, lines)
        self.scale = 72 / self.ratio
        self.left = left
        self.top, self.foot = top, top + size[1] * self.scale  # the far wall and the starting one

    def _ratio(self, size: tuple[float, float], room: tuple[float, float]) -> int:
        """Find the largest scale at which the ceiling fits into a room, or the smallest there is."""
        scales = SCALES[self.takeoff.system]
        fits = (s for s in scales if all(a * 72 / s <= most for a, most in zip(size, room, strict=True)))
        return next(fits, scales[-1])

    def at(self, point: Point | tuple[float, float]) -> tuple[float, float]:
        x, y = point
        return self.left + x * self.scale, self.foot - y * self.scale

    def page(self) -> Page:
        ceiling, plan = self.ceiling, self.plan
        strokes = [
            *self._head(),
            *self._courses(),
            *self._openings(),
            Line([self.at(point) for point in plan.walls], 1.8),
            *self._joints(),
            *self._fixtures(),
            *self._pole(),
            *self._walls(),
            *self._listed(),
            *self._below(),
        ]
        says = (
            f"{ceiling.name} to scale, {len(self.marks)} courses from the start wall: {ceiling.note}. "
            f"{len(self.joints)} end joints, {len(ceiling.fixtures)} fixtures."
        )
        return Page(self.wide, self.high, f"Plan: {ceiling.name}", says, strokes)

    def _fitted(self, text: str, size: float, room: float) -> str:
        while text and text_width(text, size) > room:
            text = text[:-2].rstrip() + "…"
        return text

    def _head(self) -> Iterator[Stroke]:
        ceiling, takeoff = self.ceiling, self.takeoff
        feet, fraction = takeoff.feet, takeoff.fraction
        along, across = ceiling.readings
        face, gap = ceiling.laying[:2]
        job = ", ".join(
            shown(value)
            for handle in ("job", "place")
            if (value := takeoff.column(handle)[0]) not in (None, "")
        )
        yield Words((MARGIN, 50), ceiling.name, 16, bold=True)
        room = self.wide - 2 * MARGIN
        heading = text_width(ceiling.name, 16) + 30
        yield Words((self.wide - MARGIN, 50), self._fitted(job, 9, room - heading), 9, side="end")
        lines = (
            f"{_span(along, feet)} along the boards, {_span(across, feet)} across; boards run "
            + (ceiling.runs or "from side to side")
            + f"; {len(self.marks)} courses, face {fraction(face)}: {ceiling.note}",
            f"Gaps: start {fraction(self._start_gap())}, finish {self._span('finish_gap')}, "
            f"board ends {fraction(gap)}. First course {self._span('first')}, "
            f"last {self._span('last')}; ripped courses are tinted.{self.takeoff.unit}",
            self._cut(),
        )
        for number, line in enumerate(lines):
            yield Words((MARGIN, 65 + 11 * number), self._fitted(line, 8.5, room), 8.5)

    def _start_gap(self) -> float:
        return self.marks[0].far_edge - self.marks[0].width

    def _span(self, part: Literal["first", "last", "finish_gap"]) -> str:
        """Word the edge courses, or the gap at the last wall, from reading to reading."""
        widths = [width for end in self.ends if (width := getattr(end, part)) is not None]
        return _span(widths or [self.marks[0].width], self.takeoff.fraction)

    def _cut(self) -> str:
        """Word how long boards are, and where end joints are counted from."""
        ceiling = self.ceiling
        longest = ceiling.cut.startswith("longest")  # so Layout says where the walls at the ends run apart
        if not self.joints:
            if ceiling.corners:
                return "One board a stretch: the lengths are listed, between long points."
            return f"One board a course, {f'{ceiling.cut}: {TRIM}' if longest else f'cut to {ceiling.cut}.'}"
        gap = f"where the boards start, {self.takeoff.fraction(self.plan.boards_from)} off the left wall"
        origin = "the line of the left-most corner" if ceiling.corners else gap
        trim = f" Pieces add up to the longest course: {TRIM}" if longest else ""
        return f"{len(self.joints)} end joints: figures are from {origin}.{trim}"

    def _courses(self) -> Iterator[Stroke]:
        for board in self.plan.boards:
            if board.ripped:
                for ring, fill in zip(board.rings, (TINT, *["FFFFFF"] * len(board.rings)), strict=False):
                    yield Line([self.at(point) for point in ring], fill=fill)
        for board in self.plan.boards:
            for ring in board.rings:
                yield Line([self.at(point) for point in ring], 0.4)

    def _openings(self) -> Iterator[Stroke]:
        for ring in self.plan.openings:
            places = [self.at(point) for point in ring]
            yield Line(places, fill="FFFFFF")
            yield Line(places, 1.2)

    def _joints(self) -> Iterator[Stroke]:
        for cuts in self.joints:
            for cut in cuts:
                yield Line([self.at(point) for point in cut], 1.6)
        for cuts in self.joints:
            low, high = cuts[0][0], cuts[-1][1]
            x, y = self.at(((low.x + high.x) / 2, (low.y + high.y) / 2))
            words = self.takeoff.feet(low.x - self.plan.boards_from)
            foot = min(max(y + 2.4, self.top + JOINT + 1), self.foot - 2)  # a narrow course has no room
            wide = text_width(words, JOINT) + 4
            hidden = any(
                abs(at - x - wide / 2) < half + wide / 2 and abs(up - y) < half + JOINT
                for at, up, half in self._rings()
            )
            yield from self._label((x + 2 - hidden * wide, foot), words, JOINT)

    def _rings(self) -> Iterator[tuple[float, float, float]]:
        """Where fixtures are drawn, and half of their larger size."""
        for _, fixture, _ in self.ceiling.fixtures:
            if fixture.along is not None:
                yield *self.at((fixture.along, fixture.across)), max(fixture.half) * self.scale

    def _label(
        self, foot: tuple[float, float], words: str, size: float, *, bold: bool = False
    ) -> Iterator[Stroke]:
        """Words that no line runs through."""
        (x, y), wide = foot, text_width(words, size)
        low, high = y + 0.15 * size, y - 0.8 * size
        yield Line(
            [(x - 0.5, low), (x + wide + 1, low), (x + wide + 1, high), (x - 0.5, high)], fill="FFFFFF"
        )
        yield Words(foot, words, size, bold=bold)

    def _fixtures(self) -> Iterator[Stroke]:
        for number, (_, fixture, _) in enumerate(self.ceiling.fixtures, 1):
            if fixture.along is None:
                continue
            half, centre = fixture.half, (fixture.along, fixture.across)
            x, y = self.at(centre)
            wide, high = half.x * self.scale, half.y * self.scale
            box = [(x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high)]
            yield Line(box, fill="FFFFFF")
            if fixture.shape == "round":
                yield Ring((x, y), wide, 1.2)
            else:
                yield Line([*box, box[0]], 1.2)
            yield Line([(x - wide - 3, y), (x + wide + 3, y)], 0.4)
            yield Line([(x, y - high - 3), (x, y + high + 3)], 0.4)
            yield from self._label((x + wide + 5, y - 1), f"F{number}", 7.5, bold=True)

    def _pole(self) -> Iterator[Stroke]:
        x = self.left - 16
        top = self.at((0, self.marks[-1].far_edge))[1]
        yield Line([(x, self.foot), (x, top)], 1.2)
        yield Line([(x - 4, self.foot), (x + 4, self.foot)], 1.2)
        pitch = self.ceiling.laying[0] * self.scale
        every = next((step for step in (1, 2, 5, 10) if step * pitch >= MARKED), 20)
        size = 7.5
        for mark in self.marks:
            y = self.at((0, mark.far_edge))[1]
            yield Line([(x - 4, y), (x + 4, y)], 0.6)
            course = round(mark.course)
            if course == len(self.marks):  # a narrow one has no room for its figures beside the others
                y -= max(0.0, size - mark.width * self.scale)
            if course % every == 0 or course in (1, len(self.marks)):
                yield Words((x - 7, y + 0.36 * size), self.takeoff.feet(mark.far_edge), size, side="end")
                yield Words((MARGIN, y + 0.36 * size), str(course), size, bold=True)
        yield Words((MARGIN, top - 12), "Story pole: far edge from the start wall", 6.5)

    def _walls(self) -> Iterator[Stroke]:
        wall = f"start wall: {self.ceiling.wall}" if self.ceiling.wall else "start wall"
        right = self.at((max(point.x for point in self.plan.walls), 0))[0]
        middle = (self.left + right) / 2
        yield Words((middle, self.foot + 10), f"{wall} (course 1)", 8, bold=True, side="middle")
        yield Words((self.left, self.foot + 10), "left end", 7.5)
        yield Words((right, self.foot + 10), "right end", 7.5, side="end")
        yield Words((self.left, self.foot + 20), SEEN, 7.5)

    def _stretches(self) -> list[tuple[str, str]]:
        """Word the stretches of each course, courses alike in one line, and openings after them."""
        feet = self.takeoff.feet
        found: list[tuple[str, str]] = []
        by_course = [
            (
                round(course),
                " + ".join(
                    feet(piece.length)
                    + (f" ({feet(piece.short)})" if piece.length - piece.short >= self.ceiling.step else "")
                    for piece in pieces
                ),
            )
            for course, pieces in groupby(self.pieces, key=lambda piece: piece.course)
        ]
        for words, alike in groupby(by_course, key=lambda each: each[1]):
            courses = [course for course, _ in alike]
            found.append((_span([*map(float, courses)], lambda at: f"{at:g}"), words))
        for ring in self.plan.openings if self.pieces else ():
            xs, ys = zip(*ring, strict=True)
            size = f"{feet(max(xs) - min(xs))} along x {feet(max(ys) - min(ys))}"
            found += [("opening", size), ("", f"from {feet(min(xs))} along, {feet(min(ys))} across")]
        return found

    def _listed(self) -> Iterator[Stroke]:
        """List the stretches of a ceiling by its corners."""
        left = self.wide - MARGIN - self.columns * self.column + 12 if self.beside else MARGIN
        top = self.top - 4 if self.beside else self.foot + 34
        listed, room = self.stretches, self.columns * self.lines
        if len(listed) > room:
            listed = [*listed[: room - 1], ("", "more on Shapes")]
        if listed:
            yield Words((left, top), STRETCHES, 7, bold=True)
        for number, (course, words) in enumerate(listed):
            column, line = divmod(number, self.lines)
            x, y = left + column * self.column, top + LISTED * (line + 1)
            yield Words((x, y), course, 7, bold=True)
            yield Words((x + 36, y), words, 7)

    def _below(self) -> Iterator[Stroke]:
        takeoff = self.takeoff
        y = self.high - MARGIN - 40 - 9 * self.listed
        if self.ceiling.fixtures:
            yield Words(
                (MARGIN, y - 1), "Fixtures: centre from the start wall, from the left end", 8, bold=True
            )
        for number, (name, fixture, cut) in enumerate(self.ceiling.fixtures):
            column, line = divmod(number, self.listed)
            along = "not measured" if fixture.along is None else takeoff.feet(fixture.along)
            size = takeoff.fraction(fixture.width)
            if fixture.shape == "round":
                size = f"hole {size} round"
            else:
                size = f"hole {size} across x {takeoff.fraction(fixture.height or 0)}"
            where = f"{takeoff.feet(fixture.across)}, {along}"
            text = f"F{number + 1} {name}: {where}; {size}; courses {cut or 'not known'}"
            room = self.wide / 2 - MARGIN - 6
            place = (MARGIN + column * (self.wide / 2 - MARGIN + 6), y + 9 + 9 * line)
            yield Words(place, self._fitted(text, 8, room), 8)
        foot = self.high - MARGIN
        for number, caution in enumerate(CAUTIONS):
            yield Words((MARGIN, foot - 18 + 9 * number), self._fitted(caution, 7, self.wide - 260), 7)
        bar = BAR[takeoff.system]
        length = bar * self.scale
        right = self.wide - MARGIN
        yield Line([(right - length, foot - 14), (right, foot - 14)], 1.8)
        for x in (right - length, right):
            yield Line([(x, foot - 17), (x, foot - 11)], 0.8)
        words = f"scale 1:{self.ratio} printed at full size; bar {takeoff.bar}"
        yield Words((right, foot), words, 7.5, side="end")


def _span(lengths: list[float], words: Callable[[float], str]) -> str:
    low, high = words(min(lengths)), words(max(lengths))
    return low if low == high else f"{low} to {high}"
