"""The templates beside the package, and the command that writes them."""

import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest

from sheetcalc.takeoff import __main__ as templates

KEPT = Path(__file__).parents[2] / "workbook_templates"


def test_the_templates_kept_are_what_the_code_builds():
    built = templates.built()
    assert {file.name for file in KEPT.iterdir()} == {*built}
    for name, file in built.items():
        assert templates.parts((KEPT / name).read_bytes()) == templates.parts(file), name


def test_they_are_written_and_checked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    def small(word: str) -> Callable[[], dict[str, bytes]]:
        out = BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("part", word)
        return lambda: {"one.xlsx": out.getvalue(), "two.xlsx": out.getvalue()}

    monkeypatch.setattr(templates, "TEMPLATES", tmp_path)
    monkeypatch.setattr(templates, "built", small("as it was"))
    assert templates.main(["--check"]) == 1
    said = capsys.readouterr().out
    assert "one.xlsx is not what the code builds" in said
    assert "two.xlsx" in said
    assert templates.main([]) == 0
    assert templates.main(["--check"]) == 0
    monkeypatch.setattr(templates, "built", small("as it is now"))
    assert templates.main(["--check"]) == 1
