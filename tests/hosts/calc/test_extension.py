"""The extension as a file: what it tells the office of every function."""

import json
import sys
import zipfile
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest

from sheetcalc import __version__
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.cells.values import CellError
from sheetcalc.cli import main
from sheetcalc.hosts.calc import addin
from sheetcalc.hosts.calc.check import alike
from sheetcalc.hosts.calc.extension import command, extension, parts
from sheetcalc.kinds import TEXT

OOR = "{http://openoffice.org/2001/registry}"


def nodes(element: ElementTree.Element, *names: str) -> list[ElementTree.Element]:
    for name in names:
        (element,) = [node for node in element if node.get(f"{OOR}name") == name]
    return [*element]


def texts(node: ElementTree.Element) -> dict[str, str]:
    return {each.get(f"{OOR}name", ""): each[0].text or "" for each in node if each.tag == "prop"}


def test_the_same_bytes_every_time():
    assert extension() == extension()
    with zipfile.ZipFile(BytesIO(extension())) as archive:
        assert archive.testzip() is None
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert archive.read("addin.py").decode() == Path(addin.__file__).read_text(encoding="utf-8")


def test_every_part_is_named_and_well_formed():
    made = parts()
    for name, text in made.items():
        if name.endswith((".xml", ".xcu", ".components")):
            ElementTree.fromstring(text)
    manifest = ElementTree.fromstring(made["META-INF/manifest.xml"])
    named = {entry.get(entry.keys()[1]) for entry in manifest} | {
        entry.get(entry.keys()[0]) for entry in manifest
    }
    assert {"functions.idl", "CalcAddIns.xcu", "Jobs.xcu", "addin.components"} <= named
    assert f'"{__version__}"' in made["description.xml"]


def test_the_interface_declares_every_function():
    lines = [line.strip() for line in parts()["functions.idl"].splitlines()]
    for function in REGISTRY.values():
        (line,) = [line for line in lines if f" {function.name}(" in line]
        kind, _, rest = line.partition(f" {function.name}(")
        assert kind == ("any" if function.answer is TEXT else "sequence<sequence<any> >")
        arguments = [each for each in rest.removesuffix(");").split(", ") if each]
        assert len(arguments) == len(function.parameters)
        for argument, parameter in zip(arguments, function.parameters, strict=True):
            assert argument.startswith("[in] sequence<any> " if parameter.rest else "[in] any ")


def test_the_configuration_tells_of_every_function_and_argument():
    root = ElementTree.fromstring(parts()["CalcAddIns.xcu"])
    told = {
        node.get(f"{OOR}name"): node for node in nodes(root, "AddInInfo", addin.FUNCTIONS, "AddInFunctions")
    }
    assert list(told) == list(REGISTRY)
    for name, node in told.items():
        said = texts(node)
        assert said["DisplayName"] == said["CompatibilityName"] == name
        assert said["Description"] == REGISTRY[name or ""].summary
        arguments = nodes(node, "Parameters")
        order = [each.get(f"{OOR}name", "") for each in arguments]
        assert order == sorted(order), "the office sorts them"
        assert [texts(each)["DisplayName"] for each in arguments] == [
            parameter.name for parameter in REGISTRY[name or ""].parameters
        ]
        for each in arguments:
            assert 0 < len(texts(each)["Description"]) <= 255


def test_what_the_addin_reads():
    told = json.loads(parts(["python", "serve"])["helper.json"])
    assert told["command"] == ["python", "serve"]
    assert told["rest"] == ["ENTRY_PROBLEM"]
    assert "INCH_FRACTION" in told["texts"]
    assert "COURSE_COUNT" not in told["texts"]
    assert told["package"] is None, "the command given may start another release"


def test_the_functions_that_need_no_helper():
    told = json.loads(parts()["helper.json"])
    assert Path(told["package"], "cells", "call.py").exists()
    assert {"COURSE_COUNT", "INCH_FRACTION", "COURSE_MARKS"} < set(told["near"])
    searching = {name for name in REGISTRY if name.startswith(("BUY_", "JOINT_", "SAW_", "SPARE"))} - {
        "JOINT_SPACE"
    }
    assert len(searching) > 8
    assert not searching & set(told["near"])
    assert "ENTRY_PROBLEM" not in told["near"], "it tells why the helper does not answer"


def test_the_helper_is_this_python():
    assert command()[0] == sys.executable
    assert command()[-2:] == ["calc", "serve"]


def test_answers_that_differ():
    near, far = 1 / 3, 1 / 3 + 1e-12
    assert alike([[near, "x", None]], [[near + 5e-17, "x", ""]])
    assert not alike([[near]], [[far]])
    assert not alike([[1.0]], [[1.0], [1.0]])
    assert not alike([["1"]], [[1.0]])
    assert not alike([[CellError.NUM]], [[CellError.VALUE]])


def test_package_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "sheetcalc.oxt"
    assert main(["calc", "package", str(file)]) == 0
    assert file.read_bytes() == extension()
    assert str(file) in capsys.readouterr().out
    assert main(["calc", "package", str(file)]) == 2
    assert (
        capsys.readouterr().err
        == "sheetcalc: sheetcalc.oxt already exists; with --force it is overwritten.\n"
    )
    assert main(["calc", "package", str(file), "--force"]) == 0
    assert main(["calc", "package", str(tmp_path / "sheetcalc.zip")]) == 2
