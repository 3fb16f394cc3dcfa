"""Which entries move the price, against typing the moved values in."""

import re
from fractions import Fraction
from pathlib import Path

import pytest
from jobs import Job
from small_files import sheet_xml, workbook_parts, write_parts

from sheetcalc.workbooks.compare.screen import sensitivity_table
from sheetcalc.workbooks.compare.sensitivity import Moved, Sensitivity, Step, sensitivity, step
from sheetcalc.workbooks.compare.what_if import WhatIf
from sheetcalc.workbooks.handles import HandleProblem


@pytest.fixture(scope="module")
def porch(demo_file: Path) -> WhatIf:
    """Return the demo job, opened once: what is asked leaves no traces in it."""
    return WhatIf(demo_file)


@pytest.fixture(scope="module")
def found(porch: WhatIf) -> Sensitivity:
    return sensitivity(porch)


@pytest.fixture(scope="module")
def stepped(porch: WhatIf) -> Sensitivity:
    return sensitivity(porch, steps=[step("5%"), step("overhead=4%"), step("profit=2")])


def by(found: Sensitivity, handle: str) -> Moved:
    return next(one for one in found.moves if one.handle == handle)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("5%", ("", Step(Fraction(1, 20), True))),
        ("12.5 %", ("", Step(Fraction(1, 8), True))),
        ("gap=1/4", ("gap", Step(Fraction(1, 4), False))),
        ("gap = 1 1/2", ("gap", Step(Fraction(3, 2), False))),
        ("labor_rate=5%", ("labor_rate", Step(Fraction(1, 20), True))),
    ],
)
def test_steps(text: str, read: tuple[str, Step]):
    assert step(text) == read


@pytest.mark.parametrize("text", ["5", "gap=", "gap=0", "gap=-1", "gap=much", "%", ""])
def test_what_is_no_step(text: str):
    with pytest.raises(HandleProblem, match="--step takes a share such as 5%"):
        step(text)


def test_the_largest_move_comes_first(found: Sensitivity):
    sizes = [max(abs(change or 0) for change in found.change(one)) for one in found.moves]
    assert sizes == sorted(sizes, reverse=True)
    assert min(sizes) > 0
    assert found.moves[0].handle == "labor_rate"
    assert found.still > 10


@pytest.mark.parametrize(
    ("handle", "less", "more"),
    [
        ("labor_rate", "61.2", "74.8"),
        ("profit", "24", "26"),
        ("overhead", "9", "11"),
        ("crew", "1", "3"),
        ("order_price.trim", "10.26", "12.54"),
    ],
)
def test_like_typing_the_moved_values_in(found: Sensitivity, job: Job, handle: str, less: str, more: str):
    typed: list[float] = []
    for text in (less, more):
        job.type({handle: text})
        typed.append(job["price"])
        job.take_back()
    assert by(found, handle).results == tuple(typed)


def test_steps_are_stated(found: Sensitivity):
    steps = {handle: by(found, handle).step for handle in ("labor_rate", "profit", "crew", "bead")}
    assert steps == {"labor_rate": "10 %", "profit": "1 point", "crew": "1", "bead": "1/8 in"}
    assert "lengths 1/8 in" in found.steps


@pytest.mark.parametrize(
    ("handle", "less", "more", "words"),
    [
        ("contingency", "4.75", "5.25", "5 % of it"),
        ("overhead", "9.6", "10.4", "4 % of it"),
        ("profit", "23", "27", "2 points"),
    ],
)
def test_a_percentage_by_a_share_of_it_or_by_points(
    stepped: Sensitivity, job: Job, handle: str, less: str, more: str, words: str
):
    typed: list[float] = []
    for text in (less, more):
        job.type({handle: text})
        typed.append(job["price"])
        job.take_back()
    assert by(stepped, handle).step == words
    assert by(stepped, handle).results == tuple(typed)


def test_an_entry_that_cannot_be_moved_says_why(found: Sensitivity):
    reasons = {one.handle: one.reason for one in found.stuck}
    assert re.match(
        r"less: tax_rate is -1\.0%: type a share such as 12 %.* \(Price!\w+: Tax rate\)$", reasons["tax_rate"]
    )


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Write a workbook of somebody's own: a size from two entries, and an entry that does nothing."""
    cells = (
        '<row r="1"><c r="A1"><v>3</v></c><c r="B1"><f>A1*A1*A2</f><v>18</v></c></row>'
        '<row r="2"><c r="A2"><v>2.5</v></c><c r="B2" t="str"><f>"x"&amp;A1</f><v>x3</v></c></row>'
        '<row r="3"><c r="A3"><v>7</v></c><c r="B3"><f>1/(A1-3.3)+0*A3</f><v>1</v></c></row>'
    )
    names = "".join(
        f'<definedName name="{name}">Job!${cell[0]}${cell[1]}</definedName>'
        for name, cell in {
            "wide": "A1",
            "deep": "A2",
            "spare": "A3",
            "size": "B1",
            "words": "B2",
            "odd": "B3",
        }.items()
    )
    return write_parts(tmp_path / "own.xlsx", workbook_parts({"Job": sheet_xml(cells)}, names))


def test_a_workbook_of_somebodys_own(own: Path):
    found = sensitivity(WhatIf(own), "size")
    assert [(one.handle, one.results) for one in found.moves] == [
        ("wide", (pytest.approx(18.225), pytest.approx(27.225))),
        ("deep", (pytest.approx(20.25), pytest.approx(24.75))),
    ]
    assert found.still == 0


def test_steps_of_ones_own(own: Path):
    found = sensitivity(
        WhatIf(own), "size", [("", Step(Fraction(1, 5), True)), ("deep", Step(Fraction(2), False))]
    )
    assert by(found, "wide").results == (pytest.approx(14.4), pytest.approx(32.4))
    assert by(found, "deep").results == (pytest.approx(4.5), pytest.approx(40.5))
    assert by(found, "deep").step == "2"
    assert found.steps == "Each entry moved by 20 % of its value, unless its own step says otherwise."


def test_an_error_one_way(own: Path):
    found = sensitivity(WhatIf(own), "odd")
    (stuck,) = found.stuck
    assert (stuck.handle, stuck.reason) == ("wide", "more: no number comes out")
    assert found.change(stuck)[1] is None
    assert found.still == 1


@pytest.mark.parametrize(
    ("of", "steps", "sentence"),
    [
        ("words", [], "words is no number as the workbook stands"),
        ("nosuch", [], "There is no handle “nosuch”"),
        (
            "size",
            [("spare", Step(Fraction(1), False))],
            "size depends on no number or length that is entered as spare",
        ),
        ("size", [("dep", Step(Fraction(1), False))], "Close to it: deep"),
    ],
)
def test_what_cannot_be_asked(own: Path, of: str, steps: list[tuple[str, Step]], sentence: str):
    with pytest.raises(HandleProblem, match=sentence):
        sensitivity(WhatIf(own), of, steps)


def stated(tmp_path: Path, *steps: tuple[str, str]) -> WhatIf:
    """A workbook with a price of two entries, steps in rows 5 and on; style 1 is of percents, 2 of dates."""

    def text(cell: str, words: str) -> str:
        return f'<c r="{cell}" t="inlineStr"><is><t>{words}</t></is></c>' if words else ""

    rows = f'<row r="1">{text("A1", "Hourly rate")}<c r="B1"><v>50</v></c></row>'
    rows += f'<row r="2">{text("A2", "Hours")}<c r="B2"><v>8</v></c></row>'
    rows += '<row r="3"><c r="B3"><f>B1*B2</f><v>400</v></c></row>'
    for row, (entry, size) in enumerate(steps, 5):
        typed = size if size.startswith("<c") else text(f"B{row}", size)
        rows += f'<row r="{row}">{text(f"A{row}", entry)}{typed}</row>'
    known = {
        "rate": "$B$1",
        "hours": "$B$2",
        "price": "$B$3",
        "step_entry": "$A$5:$A$8",
        "step_size": "$B$5:$B$8",
    }
    names = "".join(f'<definedName name="{name}">Job!{cells}</definedName>' for name, cells in known.items())
    looks = "".join(f'<xf numFmtId="{number}"/>' for number in (0, 9, 14))
    parts = workbook_parts({"Job": sheet_xml(rows)}, names, styles=f"<cellXfs>{looks}</cellXfs>")
    return WhatIf(write_parts(tmp_path / "own.xlsx", parts))


def test_a_step_that_the_workbook_states_counts(tmp_path: Path):
    job = stated(tmp_path, ("hourly RATE", "5%"), ("hours", "1/2"))
    found = sensitivity(job)
    assert [found.change(by(found, handle)) for handle in ("rate", "hours")] == [(-20, 20), (-25, 25)]
    assert found.steps.endswith(" Stated in the workbook: hourly rate, hours.")
    found = sensitivity(job, steps=[step("hours=2"), step("10%")])  # what the command says comes first
    assert [found.change(by(found, handle)) for handle in ("rate", "hours")] == [(-20, 20), (-100, 100)]


@pytest.mark.parametrize(
    ("entry", "size", "sentence"),
    [
        ("rate", "some", "Job, row 5: the step of rate is “some”: type 1/4, 5% or 2."),
        ("rate", "", "Job, row 5: the step of rate is missing: type 1/4, 5% or 2."),
        ("rote", "5%", "Job: there is no entry “rote” to move by a step."),
    ],
)
def test_a_stated_step_that_cannot_be_taken(tmp_path: Path, entry: str, size: str, sentence: str):
    with pytest.raises(HandleProblem, match=re.escape(sentence)):
        sensitivity(stated(tmp_path, (entry, size)))


def test_a_step_of_which_a_program_made_a_number_is_what_was_typed(tmp_path: Path):
    found = sensitivity(stated(tmp_path, ("rate", '<c r="B5" s="1"><v>0.05</v></c>')))
    assert by(found, "rate").step == "5 %"
    with pytest.raises(HandleProblem, match="Job, row 5: the step of rate has become a date: type '1/4"):
        sensitivity(stated(tmp_path, ("rate", '<c r="B5" s="2"><v>46026</v></c>')))


def test_a_step_stated_twice_is_refused(tmp_path: Path):
    with pytest.raises(HandleProblem, match="Job, row 6: the step of Rate is stated twice"):
        sensitivity(stated(tmp_path, ("rate", "5%"), ("Rate", "2")))


def test_entries_that_cannot_be_moved_are_counted_and_listed_when_asked(found: Sensitivity):
    short, long = (sensitivity_table(found, 100, saved=False, verbose=verbose) for verbose in (False, True))
    assert short[-1] == f"{len(found.stuck)} cannot be moved so far; --verbose says which and why."
    assert len(long) == len(short) + len(found.stuck)
    assert any(line.startswith("  tax_rate by 1 point less: tax_rate is -1.0%") for line in long)
    assert all(len(line) <= 100 for line in short)
    assert re.match(r"  Loaded rate +labor_rate +68\.00 ", short[4])
