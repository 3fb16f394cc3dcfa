from pathlib import Path

import pytest

from sheetcalc.takeoff import __main__ as templates

HERE = Path(__file__).parents[2] / "workbook_templates"


def test_the_templates_are_what_the_code_builds(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(templates, "TEMPLATES", tmp_path)
    assert templates.main(["--check"]) == 1
    said = capsys.readouterr().out
    assert "porch_ceiling_us.xlsx" in said
    assert "porch_ceiling_metric.xlsx" in said
    assert templates.main([]) == 0
    assert templates.main(["--check"]) == 0


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_template_kept_is_what_the_code_builds(tmp_path, monkeypatch, system):
    monkeypatch.setattr(templates, "TEMPLATES", tmp_path)
    templates.main([])
    name = f"porch_ceiling_{system}.xlsx"
    assert templates.parts((tmp_path / name).read_bytes()) == templates.parts((HERE / name).read_bytes())
