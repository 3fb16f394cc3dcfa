"""Plans to print: what the pages say is what the takeoff says."""

import math
import re
import shutil
import xml.etree.ElementTree as ET
import zlib
from pathlib import Path

import openpyxl
import pytest

import sheetcalc
from sheetcalc.cli import main
from sheetcalc.workbooks.compute import compute
from sheetcalc.workbooks.draw import draw
from sheetcalc.workbooks.handles import HandleProblem
from sheetcalc.workbooks.paint import Page, Ring, Words, pdf, svg, text_width
from sheetcalc.workbooks.paint import Path as Line
from sheetcalc.xlsx.package import FileProblem

TEMPLATES = Path(__file__).parents[2] / "workbook_templates"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def takeoff(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("draw") / "porch.xlsx"
    shutil.copy(TEMPLATES / "porch_ceiling_us.xlsx", file)
    return file


@pytest.fixture(scope="module")
def drawing(takeoff: Path) -> ET.Element:
    before = takeoff.read_bytes()
    assert main(["draw", str(takeoff), "--svg", str(takeoff.with_suffix(".svg"))]) == 0
    assert takeoff.read_bytes() == before
    return ET.fromstring(takeoff.with_suffix(".svg").read_text(encoding="utf-8"))


def texts(page: ET.Element) -> list[str]:
    return [found.text or "" for found in page.iter(f"{SVG}text")]


def test_every_ceiling_is_drawn_and_said(drawing: ET.Element):
    pages = drawing.findall(f"{SVG}g")
    assert [texts(page)[0] for page in pages] == ["Front porch", "Side porch", "Garden porch"]
    said = drawing.findtext(f"{SVG}desc") or ""
    assert "Garden porch to scale, 19 courses" in said
    assert "26 end joints, 2 fixtures" in said


def test_marks_joints_fixtures_and_cautions_are_there_in_figures(drawing: ET.Element):
    front, _, garden = map(texts, drawing.findall(f"{SVG}g"))
    assert front.count("8'-8\"") == 1  # far edge of the last course
    assert {str(course) for course in range(1, 22)} <= set(front)
    assert any(text.startswith("F1 Light 1: 4'-4 1/4\", 3'-9\"; hole 6 3/8 round; courses") for text in front)
    assert sum(bool(re.fullmatch(r"\d+'-[\d /]+\"", text)) for text in garden) == 19 + 26
    assert any("start wall: house" in text for text in front)
    assert any("licensed electrician" in text for text in front)
    assert any(text.startswith("scale 1:24") for text in front)


def test_it_is_to_scale(drawing: ET.Element):
    front = drawing.findall(f"{SVG}g")[0]
    walls = next(line for line in front.iter(f"{SVG}polyline") if line.get("stroke-width") == "1.8")
    xs = [float(place.split(",")[0]) for place in (walls.get("points") or "").split()]
    assert max(xs) - min(xs) == pytest.approx((15 * 12 + 3.625) * 72 / 24, abs=0.02)


def test_one_ceiling_as_pdf(takeoff: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "plan.pdf"
    assert main(["draw", str(takeoff), "--pdf", str(file), "--ceiling", "garden porch"]) == 0
    assert capsys.readouterr().out == f"{file} written: Garden porch\n"
    assert file.read_bytes().count(b"/Type /Page ") == 1
    assert main(["draw", str(takeoff), "--pdf", str(file)]) == 2  # it is there already


def test_a_metric_takeoff_is_drawn_in_millimetres_on_a4(tmp_path: Path):
    file = tmp_path / "plan.svg"
    done = draw(TEMPLATES / "porch_ceiling_metric.xlsx", file)
    words = file.read_text(encoding="utf-8")
    assert done.names == ("Street porch", "Kitchen porch", "Verandah")
    assert 'viewBox="0 0 842 1785"' in words
    assert "bar 1 m" in words
    assert not re.search(r"\d'-\d|\d/16|\d in\b", words)
    verandah = texts(ET.fromstring(words).findall(f"{SVG}g")[2])
    assert [text for text in verandah if text in ("78", "1047.5", "2204")] == ["78", "1047.5", "2204"]
    assert any(text.startswith("7930 to 7932 along the boards, 2215 to 2218 across") for text in verandah)
    assert any(text.endswith("Lengths are in mm.") for text in verandah)


@pytest.mark.parametrize(
    ("name", "ceiling", "problem", "says"),
    [
        ("plan.png", "", FileProblem, "ends in .svg or .pdf"),
        ("plan.svg", "Attic", HandleProblem, "no ceiling “Attic”.*Front porch, Side porch"),
    ],
)
def test_what_cannot_be_drawn_is_said(takeoff: Path, tmp_path: Path, name, ceiling, problem, says):
    with pytest.raises(problem, match=says):
        draw(takeoff, tmp_path / name, ceiling)
    assert not (tmp_path / name).exists()


def test_another_workbook_is_no_takeoff(tmp_path: Path):
    openpyxl.Workbook().save(tmp_path / "other.xlsx")
    with pytest.raises(HandleProblem, match="is no takeoff"):
        draw(tmp_path / "other.xlsx", tmp_path / "plan.svg")


# --- The two ways to write a page ---

PAGE = Page(
    200,
    100,
    "A (small) page",
    "Says <it>.",
    [
        Line([(10, 10), (20, 30)], 1, (2, 1)),
        Line([(0, 0), (5, 0), (5, 5)], fill="FFFFFF"),
        Ring((50, 50), 10),
        Words((100, 90), "Fir & (oak) \\ 字", 10, bold=True, side="end"),
    ],
)


def test_svg_is_well_formed_and_pages_stand_one_below_the_other():
    root = ET.fromstring(svg([PAGE, PAGE]).decode())
    assert root.get("viewBox") == "0 0 200 200"
    assert root.findtext(f"{SVG}desc") == "Says <it>. Says <it>."
    assert [page.get("transform") for page in root.findall(f"{SVG}g")] == [
        "translate(0 0)",
        "translate(0 100)",
    ]


def test_every_object_of_a_pdf_stands_where_its_table_says():
    data = pdf([PAGE, PAGE])
    start = int(data.rsplit(b"startxref\n", 1)[1].split()[0])
    assert data[start : start + 4] == b"xref"
    places = [int(line[:10]) for line in data[start:].splitlines()[3:] if line.endswith(b"n ")]
    assert [data[at:].split(b"\n", 1)[0] for at in places] == [
        f"{n} 0 obj".encode() for n in range(1, len(places) + 1)
    ]


def test_a_pdf_counts_from_below_and_escapes_brackets():
    data = pdf([PAGE])
    packed = re.search(rb"stream\n(.*?)\nendstream", data, re.DOTALL)
    assert packed is not None
    content = zlib.decompress(packed[1]).decode("cp1252")
    assert "10.00 90.00 m 20.00 70.00 l S" in content
    assert "(Fir & \\(oak\\) \\\\ ?) Tj" in content
    x = 100 - text_width("Fir & (oak) \\ 字", 10)
    assert f"{x:.2f} 10.00 Td" in content
    assert b"/Title (A \\(small\\) page)" in data


# --- Ceilings by their corners ---

BACK = [(0, 0), (320, 0), (280, 94), (0, 94), (120, 40), (150, 60)]  # walls, and a chimney


@pytest.fixture(scope="module")
def pages(takeoff: Path, tmp_path_factory: pytest.TempPathFactory) -> list[ET.Element]:
    folder = tmp_path_factory.mktemp("corners")
    typed = {"ceiling.4": "Back porch", "first_framing.4": "12", "along.3": "59';59';59'"}
    for row, (along, across) in enumerate(BACK, 1):
        typed |= {f"corner_ceiling.{row}": "Back porch", f"corner_along.{row}": f"{along / 12:g}'"}
        typed |= {f"corner_across.{row}": str(across), f"corner_opening.{row}": "1" if row > 4 else ""}
    compute(takeoff, folder / "shaped.xlsx", typed)
    assert main(["draw", str(folder / "shaped.xlsx"), "--svg", str(folder / "all.svg")]) == 0
    drawing = ET.fromstring((folder / "all.svg").read_text(encoding="utf-8"))
    return drawing.findall(f"{SVG}g")


@pytest.fixture
def back_porch(pages: list[ET.Element]) -> ET.Element:
    return pages[3]


def test_figures_are_large_enough_to_read_however_long_the_ceiling(pages: list[ET.Element]):
    assert any(words.startswith("scale 1:96") for words in texts(pages[2]))
    assert min(float(words.get("font-size") or 0) for words in pages[2].iter(f"{SVG}text")) >= 6.5


def lines(page: ET.Element, width: str) -> list[list[tuple[float, float]]]:
    """Places of the lines of a width, in inches from the lower left corner of the walls."""
    found = {
        each: [
            [tuple(map(float, place.split(","))) for place in (line.get("points") or "").split()]
            for line in page.iter(f"{SVG}polyline")
            if line.get("stroke-width") == each
        ]
        for each in ("1.8", width)
    }
    walls = found["1.8"][0]
    left, foot = min(x for x, _ in walls), max(y for _, y in walls)
    scale = (max(x for x, _ in walls) - left) / 320
    return [[((x - left) / scale, (foot - y) / scale) for x, y in line] for line in found[width]]


def near(found: list[tuple[float, float]], places: list[tuple[float, float]]) -> bool:
    return all(min(math.dist(place, each) for each in found) < 0.1 for place in places)


def test_walls_and_openings_stand_where_the_corners_say(back_porch: ET.Element):
    assert texts(back_porch)[0] == "Back porch"
    assert near(lines(back_porch, "1.8")[0], [(float(x), float(y)) for x, y in BACK[:4]])
    chimney = next(line for line in lines(back_porch, "1.2") if len(line) == 5)
    assert near(chimney, [(120, 40), (150, 60), (120, 60), (150, 40)])


def test_courses_end_at_the_walls_and_around_openings(back_porch: ET.Element):
    pieces = sheetcalc.course_pieces(
        *map(list, zip(*BACK, strict=True)), 5.125, 0.5, openings=[None] * 4 + [1, 1]
    )
    drawn = lines(back_porch, "0.4")
    for piece in pieces:
        ends = [piece.start, piece.start + piece.length]
        spans = [[min(x for x, _ in line), max(x for x, _ in line)] for line in drawn]
        assert any(math.dist(ends, span) < 0.1 for span in spans), piece


def test_joints_and_the_story_pole_are_in_figures(back_porch: ET.Element):
    said = texts(back_porch)
    assert "16 end joints: figures are from the line of the left-most corner." in said
    courses = [str(course) for course in range(1, 20)]
    assert [words for words in said if re.fullmatch(r"\d+", words)] == courses * 2  # on the pole, in the list
    assert len(lines(back_porch, "1.6")) == 16
    assert said.count("7'-9 1/2\"") == 1  # far edge of the last course
    assert any("the start wall behind you, left is left" in words for words in said)


def test_a_ceiling_named_by_a_number_has_its_joints(takeoff: Path, tmp_path: Path):
    compute(
        takeoff,
        tmp_path / "numbered.xlsx",
        dict.fromkeys(["ceiling.3", "fixture_ceiling.6", "fixture_ceiling.7"], "'12"),
    )
    draw(tmp_path / "numbered.xlsx", tmp_path / "plan.svg", "12")
    assert "26 end joints, 2 fixtures" in (tmp_path / "plan.svg").read_text(encoding="utf-8")


def test_a_drawing_that_cannot_be_written(takeoff: Path, tmp_path: Path):
    with pytest.raises(FileProblem, match="cannot be written"):
        draw(takeoff, tmp_path / "no folder" / "plan.svg", "Side porch")


def test_svg_drops_what_xml_forbids():
    page = Page(9, 9, "A\x0b", "B\x00\x1f", [Words((0, 0), "C\x07\ufffe\ud800\tD")])
    root = ET.fromstring(svg([page]))
    assert (root.findtext(f"{SVG}title"), root.findtext(f"{SVG}desc")) == ("A", "B")
    assert root.findtext(f"{SVG}g/{SVG}text") == "C\tD"


def test_stretches_and_openings_are_listed_beside_the_plan(back_porch: ET.Element):
    said = texts(back_porch)
    corners, openings = map(list, zip(*BACK, strict=True)), [None] * 4 + [1, 1]
    pieces = sheetcalc.course_pieces(*corners, 5.125, 0.5, take_up=0.25, openings=openings, cut_step=1 / 16)
    feet = sheetcalc.feet_inches
    assert f"{feet(pieces[0].length)} ({feet(pieces[0].short)})" in said
    left, right = (piece for piece in pieces if piece.course == 10)  # the chimney parts it
    assert f"{feet(left.length)} + {feet(right.length)} ({feet(right.short)})" in said
    at = said.index("opening")
    assert said[at + 1 : at + 4 : 2] == ["2'-6\" along x 1'-8\"", "from 10'-0\" along, 3'-4\" across"]
