from pathlib import Path

from sheetcalc.takeoff import __main__ as templates

HERE = Path(__file__).parents[2] / "workbook_templates"


def test_the_template_is_what_the_code_builds(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(templates, "TEMPLATES", tmp_path)
    assert templates.main(["--check"]) == 1
    assert "porch_ceiling_us.xlsx" in capsys.readouterr().out
    assert templates.main([]) == 0
    assert templates.main(["--check"]) == 0
    built = (tmp_path / "porch_ceiling_us.xlsx").read_bytes()
    assert templates.parts(built) == templates.parts((HERE / "porch_ceiling_us.xlsx").read_bytes())
