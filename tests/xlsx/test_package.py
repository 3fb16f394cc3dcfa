import os
import re
import struct
import zipfile
import zlib
from contextlib import suppress
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import Workbook as NewWorkbook
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.styles import Font
from small_files import sheet_xml, unpacked, workbook_parts, write_parts

from sheetcalc.xlsx import package
from sheetcalc.xlsx.package import FileProblem, Package, check_unlocked
from sheetcalc.xlsx.workbook import Workbook

BINARY = bytes(range(256)) * 40


@pytest.fixture
def rich_file(tmp_path: Path) -> Path:
    """A macro workbook with styles, a chart, a comment, print settings, and parts of every other sort."""
    book = NewWorkbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Job"
    sheet["B2"] = 120
    sheet["B2"].font = Font(bold=True)
    sheet["B2"].comment = Comment("measured twice", "someone")
    sheet["B3"] = "=B2/5"
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.oddFooter.center.text = "&P of &N"
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=2, min_row=2, max_row=3))
    sheet.add_chart(chart, "E2")
    book.create_sheet("Notes")["A1"] = "kept"
    written = BytesIO()
    book.save(written)
    path = tmp_path / "porch.xlsm"
    with zipfile.ZipFile(written) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        new.comment = b"a comment of the archive"
        for number, info in enumerate(old.infolist()):
            info.date_time = (2021, 3, 4, 5, number, 6)
            info.external_attr = number << 16
            new.writestr(info, old.read(info))
        image = zipfile.ZipInfo("xl/media/image1.png", (1999, 12, 31, 23, 58, 58))
        image.compress_type, image.create_system, image.external_attr = zipfile.ZIP_STORED, 0, 0
        image.extra = struct.pack("<HH4s", 0x7075, 4, b"more")
        image.comment = b"a comment of the entry"
        new.writestr(image, BINARY)
        new.writestr("xl/vbaProject.bin", BINARY)
        new.writestr("customXml/item1.xml", "<!DOCTYPE html><p>never read</p>")
        with new.open("xl/streamed.bin", "w") as stream:
            stream.write(BINARY)
    return path


def told(info: zipfile.ZipInfo) -> tuple[object, ...]:
    names = ("filename", "date_time", "compress_type", "comment", "extra", "create_system", "create_version")
    more = ("extract_version", "flag_bits", "internal_attr", "external_attr", "volume")
    return tuple(getattr(info, name) for name in (*names, *more))


def test_every_part_that_nobody_touched_keeps_its_bytes(rich_file: Path):
    before = rich_file.read_bytes()
    book = Workbook(rich_file)
    book.sheets["Job"].show(3, 2, 24.0)
    book.save()
    changed = "xl/worksheets/sheet1.xml"
    with zipfile.ZipFile(BytesIO(before)) as old, zipfile.ZipFile(rich_file) as new:
        assert new.testzip() is None
        assert new.comment == old.comment
        assert [told(info) for info in new.infolist()] == [told(info) for info in old.infolist()]
        for info in old.infolist():
            if info.filename != changed:
                assert new.read(info.filename) == old.read(info.filename)
        after = rich_file.read_bytes()
        for info in old.infolist():  # the packed bytes too
            if info.filename != changed:
                packed = before[info.header_offset : info.header_offset + 30 + info.compress_size]
                at = new.getinfo(info.filename).header_offset
                assert after[at : at + len(packed)] == packed
        was, now = old.read(changed).decode(), new.read(changed).decode()
    assert now == re.sub(r"<f>B2/5</f><v(?: ?/>|></v>)", "<f>B2/5</f><v>24</v>", was)
    assert now != was


def test_an_archive_written_as_a_stream(tmp_path: Path):
    out = BytesIO()

    class Stream:
        write, flush = out.write, out.flush

    with zipfile.ZipFile(Stream(), "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in workbook_parts({"Job": sheet_xml('<row r="1"><c r="A1"/></row>')}).items():
            archive.writestr(name, text)
    path = tmp_path / "job.xlsx"
    path.write_bytes(out.getvalue())
    book = Workbook(path)
    book.sheets["Job"].put(1, 1, 2.0)
    book.save()
    assert Workbook(path).sheets["Job"].value(1, 1) == 2
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        flags = {info.filename: info.flag_bits for info in archive.infolist()}
    assert flags["xl/workbook.xml"] & 8
    assert not flags["xl/sheets/1.xml"] & 8


# --- Saving ---


def entered(path: Path, value: float) -> Workbook:
    book = Workbook(path)
    book.sheets["Job"].put(1, 1, value)
    return book


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return write_parts(tmp_path / "porch.xlsx", workbook_parts({"Job": sheet_xml("")}))


def held(path: Path) -> object:
    return Workbook(path).sheets["Job"].value(1, 1)


def test_the_first_backup_is_never_lost(file: Path):
    first = file.read_bytes()
    for number in (1, 2, 3):
        entered(file, number).save()
    folder = file.parent
    assert (folder / "porch.bak.xlsx").read_bytes() == first
    assert held(folder / "porch.bak2.xlsx") == 2
    assert held(file) == 3
    assert sorted(path.name for path in folder.iterdir()) == [
        "porch.bak.xlsx",
        "porch.bak2.xlsx",
        "porch.xlsx",
    ]


def test_nothing_changed_nothing_written(file: Path):
    Workbook(file).save()
    assert [path.name for path in file.parent.iterdir()] == ["porch.xlsx"]


def test_another_file_is_written_and_the_workbook_left_alone(file: Path):
    before = file.read_bytes()
    entered(file, 1).save(file.with_name("out.xlsx"))
    assert held(file.with_name("out.xlsx")) == 1
    assert file.read_bytes() == before
    assert not file.with_name("porch.bak.xlsx").exists()


def test_an_unchanged_workbook_is_copied(file: Path):
    Workbook(file).save(file.with_name("out.xlsx"))
    assert file.with_name("out.xlsx").read_bytes() == file.read_bytes()


def test_another_file_is_overwritten_only_on_request(file: Path):
    other = write_parts(file.with_name("out.xlsx"), workbook_parts({"Job": sheet_xml("")}))
    before = other.read_bytes()
    with pytest.raises(FileProblem, match=r"out.xlsx already exists"):
        entered(file, 1).save(other)
    assert other.read_bytes() == before
    entered(file, 1).save(other, force=True)
    assert held(other) == 1


def test_its_own_path_is_no_other_file(file: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(file.parent)
    entered(file, 1).save("porch.xlsx")
    assert held(file) == 1
    assert file.with_name("porch.bak.xlsx").exists()


def test_the_ending_stays(file: Path):
    with pytest.raises(FileProblem, match=r"out.xlsm must end in .xlsx, as porch.xlsx does"):
        entered(file, 1).save(file.with_name("out.xlsm"))


@pytest.mark.parametrize("lock", ["~$porch.xlsx", ".~lock.porch.xlsx#"])
def test_a_file_open_elsewhere_is_not_written(file: Path, lock: str):
    book = entered(file, 1)
    file.with_name(lock).touch()
    with pytest.raises(FileProblem, match=r"porch.xlsx is open in another program"):
        book.save()
    with pytest.raises(FileProblem, match="open in another program"):
        check_unlocked(file)
    assert held(file) is None


def test_a_read_only_file_stays_and_its_copies_can_be_written(file: Path, tmp_path: Path):
    book = entered(file, 1)
    file.chmod(0o444)
    with pytest.raises(FileProblem, match=r"^porch.xlsx is read-only: give --output another name"):
        book.save()
    assert held(file) is None
    for value in (1, 2):
        entered(file, value).save(tmp_path / "other.xlsx", force=True)
    assert held(tmp_path / "other.xlsx") == 2


def test_a_file_changed_meanwhile_is_not_overwritten(file: Path):
    book = entered(file, 1)
    entered(file, 2).save()
    with pytest.raises(FileProblem, match="was changed by another program meanwhile"):
        book.save()
    assert held(file) == 2


def test_a_failing_write_leaves_the_file_as_it_was(file: Path, monkeypatch: pytest.MonkeyPatch):
    before = file.read_bytes()

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileProblem, match="cannot be written: No space left on device"):
        entered(file, 1).save()
    assert file.read_bytes() == before
    assert [path.name for path in file.parent.iterdir()] == ["porch.xlsx"]


def test_a_folder_that_is_not_there(file: Path):
    with pytest.raises(FileProblem, match=r"out.xlsx cannot be written: No such file or directory"):
        entered(file, 1).save(file.parent / "nowhere" / "out.xlsx")


@pytest.mark.skipif(os.name != "posix", reason="rights and links as POSIX has them")
def test_rights_and_links_stay(file: Path):
    file.chmod(0o640)
    link = file.with_name("link.xlsx")
    link.symlink_to(file)
    entered(link, 1).save()
    assert link.is_symlink()
    assert held(file) == 1
    assert file.stat().st_mode & 0o777 == 0o640
    assert file.with_name("porch.bak.xlsx").exists()


# --- Files that are no workbook, damaged or hostile ---


def problem(path: Path) -> str:
    with pytest.raises(FileProblem) as caught:
        _ = [*Workbook(path).sheets.values()]
    assert str(caught.value).endswith(".")
    return str(caught.value)


def written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def test_no_file(tmp_path: Path):
    assert problem(tmp_path / "porch.xlsx") == "porch.xlsx is not there."
    assert problem(tmp_path) == f"{tmp_path.name} is a folder, not a file."


def test_no_right_to_read(file: Path, monkeypatch: pytest.MonkeyPatch):
    def denied(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", denied)
    assert problem(file) == "porch.xlsx cannot be read: Permission denied."


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "is empty"),
        (b"hello", "is not an .xlsx file"),
        (b"PK\3\4 and no more", "is damaged or cut short"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"...", "is in the old .xls format"),
        (
            bytes.fromhex("d0cf11e0a1b11ae1") + "..EncryptedPackage".encode("utf-16-le"),
            "is protected with a password",
        ),
    ],
)
def test_no_workbook(tmp_path: Path, data: bytes, sentence: str):
    assert sentence in problem(written(tmp_path / "porch.xlsx", data))


def test_a_file_cut_short(file: Path):
    whole = file.read_bytes()
    for size in range(1, len(whole) - 1, 97):
        problem(written(file, whole[:size]))


def test_any_byte_may_be_damaged(file: Path):
    whole = file.read_bytes()
    for at in range(0, len(whole), 11):
        damaged = bytearray(whole)
        damaged[at] ^= 0x55
        with suppress(FileProblem):
            _ = [*Workbook(written(file, bytes(damaged))).sheets.values()]


def test_other_archives(tmp_path: Path):
    path = tmp_path / "porch.xlsx"
    assert problem(write_parts(path, {"mimetype": "text"})).endswith(
        "is not an .xlsx file: it holds no workbook."
    )
    parts = workbook_parts({"Job": sheet_xml("")})
    assert "part xl/workbook.xml" in problem(write_parts(path, {**parts, "xl/workbook.xml": "<workbook>"}))
    assert "it holds no sheets" in problem(write_parts(path, {**parts, "xl/workbook.xml": "<document/>"}))
    binary = parts["_rels/.rels"].replace("workbook.xml", "workbook.bin")
    assert "binary workbook" in problem(write_parts(path, {**parts, "_rels/.rels": binary}))
    del parts["xl/sheets/1.xml"]
    assert problem(write_parts(path, parts)) == "porch.xlsx is damaged: its part xl/sheets/1.xml is missing."


def test_a_bomb(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    parts = workbook_parts({"Job": sheet_xml("")})
    path = write_parts(tmp_path / "porch.xlsx", {**parts, "zeros": bytes(20 * 2**20)})
    assert "unpacks to more than 200 times its size" in problem(path)
    monkeypatch.setattr(package, "MOST_BYTES", 2**20)
    assert "unpacks to more than is believed" in problem(path)
    monkeypatch.setattr(package, "MOST_BYTES", 1000)
    assert "porch.xlsx is larger than 0 MB" in problem(path)


def test_too_many_parts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(package, "MOST_PARTS", 3)
    path = write_parts(tmp_path / "porch.xlsx", workbook_parts({"Job": sheet_xml("")}))
    assert "unpacks to more than is believed" in problem(path)


def test_an_entry_larger_than_it_owns_up_to(tmp_path: Path):
    parts = workbook_parts({"Job": sheet_xml("<!-- " + "x" * 100_000 + " -->")})
    path = write_parts(tmp_path / "porch.xlsx", parts)
    data = bytearray(path.read_bytes())
    real = struct.pack("<L", len(parts["xl/sheets/1.xml"].encode()))
    while (at := data.find(real)) >= 0:
        data[at : at + 4] = struct.pack("<L", 100)
    assert "its part xl/sheets/1.xml cannot be unpacked" in problem(written(path, bytes(data)))


def test_two_parts_of_one_name(tmp_path: Path):
    path = write_parts(tmp_path / "porch.xlsx", workbook_parts({"Job": sheet_xml("")}))
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("XL/workbook.xml", "<other/>")
    assert "two parts of one name" in problem(path)


def test_other_ways_to_pack(tmp_path: Path):
    path = tmp_path / "porch.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("a", "a")
    assert "packed in a way" in problem(path)


def test_an_encrypted_entry(file: Path):
    data = bytearray(file.read_bytes())
    at = data.index(b"PK\1\2")
    data[at + 8] |= 1
    assert "protected with a password" in problem(written(file, bytes(data)))


def test_sizes_of_zip64(file: Path):
    data = bytearray(file.read_bytes())
    with zipfile.ZipFile(file) as archive:
        info = archive.infolist()[0]
        at = archive.start_dir
    extra = struct.pack("<HHQ", 1, 8, info.header_offset)
    data[at + 42 : at + 46] = b"\xff" * 4
    data[at + 30 : at + 32] = struct.pack("<H", len(extra))
    name_end = at + 46 + len(info.filename)
    data[name_end:name_end] = extra
    end = data.index(b"PK\5\6")
    struct.pack_into("<L", data, end + 12, struct.unpack_from("<L", data, end + 12)[0] + len(extra))
    written(file, bytes(data))
    with pytest.raises(FileProblem, match="packed as zip64"):
        entered(file, 1).save()


@pytest.mark.parametrize(
    "target", ["http://127.0.0.1:9/x", "../../../../etc/passwd", "/etc/passwd", "file:///etc/passwd", ""]
)
def test_nothing_outside_the_file_is_opened(tmp_path: Path, target: str, monkeypatch: pytest.MonkeyPatch):
    parts = workbook_parts({"Job": sheet_xml("")})
    rels = parts["xl/_rels/workbook.xml.rels"].replace("sheets/1.xml", target)
    path = write_parts(tmp_path / "porch.xlsx", {**parts, "xl/_rels/workbook.xml.rels": rels})
    opened: list[Path] = []
    real = Path.read_bytes
    monkeypatch.setattr(Path, "read_bytes", lambda self: opened.append(self) or real(self))  # pyright: ignore
    assert "is missing" in problem(path)
    assert opened == [path]


def test_an_external_relationship_is_left_alone(tmp_path: Path):
    parts = workbook_parts({"Job": sheet_xml("")})
    external = (
        '<Relationship Id="e" Type="x/externalLinkPath" Target="http://127.0.0.1:9" TargetMode="External"/>'
    )
    rels = parts["xl/_rels/workbook.xml.rels"].replace("</Relationships>", external + "</Relationships>")
    path = write_parts(tmp_path / "porch.xlsx", {**parts, "xl/_rels/workbook.xml.rels": rels})
    assert "e" not in Package(path).relationships("xl/workbook.xml")


@pytest.mark.parametrize(
    "part", ["_rels/.rels", "xl/workbook.xml", "xl/sharedStrings.xml", "xl/sheets/1.xml"]
)
def test_entities_are_refused(tmp_path: Path, part: str):
    parts = workbook_parts(
        {"Job": sheet_xml('<row><c t="s"><v>0</v></c></row>')}, strings="<si><t>a</t></si>"
    )
    lines = "".join(f'<!ENTITY a{number} "{f"&a{number - 1};" * 10}">' for number in range(1, 10))
    bomb = f'<!DOCTYPE x [<!ENTITY a0 "aaaaaaaaaa">{lines}]>'
    path = write_parts(tmp_path / "porch.xlsx", {**parts, part: bomb + parts[part]})
    assert "declares a document type" in problem(path)


def test_other_encodings_are_refused(tmp_path: Path):
    parts: dict[str, str | bytes] = {**workbook_parts({"Job": sheet_xml("")})}
    for encoding in ("utf-16", "utf-16-le", "utf-16-be", "latin-1"):
        text = f'<?xml version="1.0" encoding="{encoding[:6]}"?>' + sheet_xml("<!-- \xdf -->")
        parts["xl/sheets/1.xml"] = text.encode(encoding)
        assert "is not well-formed XML in UTF-8" in problem(write_parts(tmp_path / "porch.xlsx", parts))


def test_deep_nesting_is_no_trouble(tmp_path: Path):
    deep = "<a>" * 100_000 + "</a>" * 100_000
    path = write_parts(tmp_path / "porch.xlsx", workbook_parts({"Job": sheet_xml("", after=deep)}))
    assert list(Workbook(path).sheets) == ["Job"]


def test_parts_are_found_in_any_case(tmp_path: Path):
    parts = {name.upper(): text for name, text in workbook_parts({"Job": sheet_xml("")}).items()}
    found = Package(write_parts(tmp_path / "porch.xlsx", parts))
    assert "xl/Workbook.xml" in found
    assert found.parts == list(parts)
    book = Workbook(found.path)
    book.sheets["Job"].put(1, 1, 1.0)
    book.save()
    assert held(found.path) == 1


def test_the_same_change_gives_the_same_file(file: Path):
    for name in ("one.xlsx", "two.xlsx"):
        entered(file, 1).save(file.with_name(name))
    assert file.with_name("one.xlsx").read_bytes() == file.with_name("two.xlsx").read_bytes()
    assert zlib.crc32(unpacked(file.with_name("one.xlsx"))["xl/sheets/1.xml"]) != 0
