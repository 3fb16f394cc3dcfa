"""A spreadsheet file as parts: opened as untrusted, saved so that every part nobody touched keeps its bytes.

The file is a zip archive (ISO/IEC 29500-2, Open Packaging Conventions). A changed part gets new bytes; all
other entries, their compressed data, order and dates are copied as they stand.
"""

import os
import posixpath
import shutil
import stat
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Callable
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple
from xml.parsers import expat

MOST_BYTES = 128 * 2**20  # unpacked; a workbook of a million cells takes about 60 MB
MOST_PARTS = 5_000
MOST_RATIO = 200  # unpacked to packed; sheet XML reaches 30 or so
RATIO_MATTERS_FROM = 8 * 2**20

_MAY_WRITE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH
_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s6H3L5H2L")
_END = struct.Struct("<4s4H2LH")
_ZIP64 = 0xFFFFFFFF
_FIRST_DAY = 0x21  # 1 January 1980: the same file from the same entries
_SIZES_FOLLOW = 0x08  # flag: sizes stand behind the data


class Problem(Exception):  # noqa: N818  (it is the person's, and no failure of ours)
    """Why something that a person asked for is not done, as one sentence for them."""


class FileProblem(Problem):
    """Why a file cannot be read or written."""


class Relationship(NamedTuple):
    """What a part names another part: the last word of the type, and the part."""

    kind: str
    part: str


class Package:
    """The parts of one file.

    Parameters
    ----------
    path : path-like
        The file. All of it is read at once; nothing else is ever opened.

    Raises
    ------
    FileProblem
        Not there, not readable, encrypted, damaged, no zip archive, or larger than is believed.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path)
        self._file = _read(self.path)
        self._archive = _archive(self._file, self.path.name)
        self._entries = {info.filename.lower(): info for info in self._archive.infolist()}
        self._changed: dict[str, bytes] = {}
        self._added: dict[str, bytes] = {}

    def __contains__(self, part: str) -> bool:
        return part.lower() in self._entries or part in self._added

    @property
    def parts(self) -> list[str]:
        """Names of all parts, in the order of the file."""
        return self._archive.namelist()

    def read(self, part: str) -> bytes:
        """Bytes of a part.

        Raises
        ------
        FileProblem
            There is no such part, or its data is damaged.
        """
        if part in self._added:
            return self._added[part]
        if part.lower() in self._changed:
            return self._changed[part.lower()]
        info = self._entries.get(part.lower())
        if info is None:
            raise FileProblem(f"{self.path.name} is damaged: its part {part} is missing.")
        try:
            with self._archive.open(info) as packed:
                return packed.read(info.file_size + 1)  # never unpacks more than the entry owns up to
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as problem:
            raise FileProblem(
                f"{self.path.name} is damaged: its part {part} cannot be unpacked."
            ) from problem

    def change(self, part: str, data: bytes) -> None:
        """Give an existing part new bytes."""
        if part in self._added:
            self._added[part] = data
        elif data != self.read(part):
            self._changed[part.lower()] = data

    def add(self, part: str, data: bytes) -> None:
        """Add a part; what names it is for the caller to change.

        Raises
        ------
        FileProblem
            There is a part of that name already.
        """
        if part in self:
            raise FileProblem(f"{self.path.name} already holds a part {part}.")
        self._added[part] = data

    def walk(
        self,
        part: str,
        start: Callable[[str, dict[str, str]], None],
        end: Callable[[str], None] | None = None,
        text: Callable[[str], None] | None = None,
    ) -> bytes:
        """Read a part's XML with `read_xml` and return its bytes."""
        data = self.read(part)
        read_xml(data, f"{self.path.name} is damaged: its part {part}", start, end, text)
        return data

    def relationships(self, part: str) -> dict[str, Relationship]:
        """Parts that `part` names, by id; "" stands for the whole package. External targets are left out."""
        folder, name = posixpath.split(part)
        found: dict[str, Relationship] = {}

        def start(tag: str, attributes: dict[str, str]) -> None:
            if local(tag) == "Relationship" and attributes.get("TargetMode") != "External":
                target = posixpath.normpath(
                    posixpath.join("/" + folder, attributes.get("Target", ""))
                ).lstrip("/")
                kind = attributes.get("Type", "").rpartition("/")[2]
                found[attributes.get("Id", "")] = Relationship(kind, target)

        rels = posixpath.join(folder, "_rels", f"{name}.rels")
        if rels in self:
            self.walk(rels, start)
        return found

    def save(self, path: str | os.PathLike[str] | None = None, *, force: bool = False) -> None:
        """Write the file: to a temporary one in the same folder, flushed to disk, then renamed.

        Without `path`, or with its own path, the file is replaced and what was there is kept: the first time
        as ``porch.bak.xlsx``, which nothing ever overwrites, later as ``porch.bak2.xlsx``, which holds the
        state before the last run. A file that would not change is left alone.

        Raises
        ------
        FileProblem
            It is open in another program, was changed meanwhile, cannot be written, or another file of that
            name exists and `force` is not given.
        """
        own = self.path.resolve()  # a link stays a link
        target = own if path is None else Path(path).resolve()
        if target.suffix.lower() != own.suffix.lower():
            raise FileProblem(f"{target.name} must end in {own.suffix}, as {own.name} does.")
        replaces = target == own
        if not replaces:
            check_free(target, force=force)
        check_unlocked(target)
        if replaces:
            if not self._changed and not self._added:
                return
            if _read(own) != self._file:
                raise FileProblem(
                    f"{own.name} was changed by another program meanwhile; nothing was written."
                )
            first = own.with_suffix(f".bak{own.suffix}")
            write_file(own.with_suffix(f".bak2{own.suffix}") if first.exists() else first, self._file, own)
        write_file(target, self._packed(), own)

    def _packed(self) -> bytes:
        """Pack the whole file with its changed parts."""
        if not self._changed and not self._added:
            return self._file
        infos = self._archive.infolist()
        directory = self._archive.start_dir
        records: dict[int, bytearray] = {}  # of the central directory, by where the entry stands
        at = directory
        for info in infos:
            fixed = _CENTRAL.unpack_from(self._file, at)
            size = _CENTRAL.size + sum(fixed[10:13])
            records[info.header_offset] = bytearray(self._file[at : at + size])
            if _ZIP64 in (fixed[8], fixed[9], fixed[16]):
                raise FileProblem(
                    f"{self.path.name} is packed as zip64: save it once in a spreadsheet program."
                )
            at += size
        out = bytearray()
        offsets = [*sorted(records), directory]
        by_offset = {info.header_offset: info for info in infos}
        for offset, following in pairwise(offsets):
            info, record = by_offset[offset], records[offset]
            struct.pack_into("<L", record, 42, len(out))
            data = self._changed.get(info.filename.lower())
            if data is None:
                out += self._file[offset:following]
                continue
            packed = _deflated(data) if info.compress_type == zipfile.ZIP_DEFLATED else data
            flags = info.flag_bits & ~_SIZES_FOLLOW
            sizes = (zlib.crc32(data), len(packed), len(data))
            struct.pack_into("<H", record, 8, flags)
            struct.pack_into("<3L", record, 16, *sizes)
            header = _LOCAL.unpack_from(self._file, offset)
            name_at = offset + _LOCAL.size
            out += _LOCAL.pack(*header[:2], flags, *header[3:6], *sizes, header[9], 0)
            out += self._file[name_at : name_at + header[9]] + packed
        new = [_new_entry(out, part, data) for part, data in self._added.items()]
        start = len(out)
        for info in infos:
            out += records[info.header_offset]
        for record in new:
            out += record
        comment, count = self._archive.comment, len(infos) + len(new)
        out += _END.pack(b"PK\5\6", 0, 0, count, count, len(out) - start, start, len(comment)) + comment
        return bytes(out)


def local(tag: str) -> str:
    """Name of an element without its prefix."""
    return tag.rpartition(":")[2]


def read_xml(
    data: bytes,
    where: str,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
    parser: expat.XMLParserType | None = None,
) -> None:
    """Hand the elements of an XML part to `start`, `end` and `text`, names as written.

    Raises
    ------
    FileProblem
        Not well-formed, not UTF-8, or with a document type, in which entities could be declared.
    """

    def refuse(*_: object) -> None:
        raise FileProblem(f"{where} declares a document type, which no spreadsheet program writes.")

    if data.startswith((b"\xfe\xff", b"\xff\xfe")) or b"\0" in data[:4]:  # UTF-16, which the parser takes too
        raise FileProblem(f"{where} is not well-formed XML in UTF-8.")
    parser = parser or new_parser()
    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text
    try:
        parser.Parse(data, True)
    except expat.ExpatError as problem:
        raise FileProblem(f"{where} is not well-formed XML in UTF-8 ({problem}).") from problem


def new_parser() -> expat.XMLParserType:
    """Return a parser for one part; it takes UTF-8 alone, since edits count places in bytes."""
    parser = expat.ParserCreate("UTF-8")
    parser.buffer_text = True
    return parser


def check_free(path: Path, *, force: bool = False) -> None:
    """Raise FileProblem if there is a file of that name and `force` does not let it go."""
    if path.exists() and not force:
        raise FileProblem(f"{path.name} already exists; with --force it is overwritten.")


def check_unlocked(path: Path) -> None:
    """Raise FileProblem if nobody may write the file, or a program has it open, as its lock file tells."""
    if path.exists() and not path.stat().st_mode & _MAY_WRITE:
        raise FileProblem(f"{path.name} is read-only: give --output another name, or allow it to be changed.")
    for lock in (path.parent / f"~${path.name}", path.parent / f".~lock.{path.name}#"):
        if lock.exists():
            raise FileProblem(
                f"{path.name} is open in another program: close it there first. "
                f"If no program has it open, delete {lock.name}."
            )


def _read(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise FileProblem(f"{path.name} is larger than {MOST_BYTES // 2**20} MB.")
        return path.read_bytes()
    except FileNotFoundError as problem:
        raise FileProblem(f"{path.name} is not there.") from problem
    except IsADirectoryError as problem:
        raise FileProblem(f"{path.name} is a folder, not a file.") from problem
    except OSError as problem:
        raise FileProblem(f"{path.name} cannot be read: {problem.strerror}.") from problem


def _archive(data: bytes, name: str) -> zipfile.ZipFile:
    """Open the archive, if it is one and as small as it should be."""
    if not data:
        raise FileProblem(f"{name} is empty.")
    if data.startswith(_OLE):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise FileProblem(f"{name} is protected with a password: save it without one first.")
        raise FileProblem(f"{name} is in the old .xls format: save it as .xlsx first.")
    if not data.startswith(b"PK"):
        raise FileProblem(f"{name} is not an .xlsx file.")
    try:
        archive = zipfile.ZipFile(BytesIO(data))
    except (zipfile.BadZipFile, NotImplementedError, ValueError, struct.error) as problem:
        raise FileProblem(f"{name} is damaged or cut short.") from problem
    infos = archive.infolist()
    unpacked = sum(info.file_size for info in infos)
    if len(infos) > MOST_PARTS or unpacked > MOST_BYTES:
        raise FileProblem(f"{name} unpacks to more than is believed of a workbook.")
    if unpacked > RATIO_MATTERS_FROM and unpacked > MOST_RATIO * len(data):
        raise FileProblem(f"{name} unpacks to more than {MOST_RATIO} times its size, which no workbook does.")
    if len({info.filename.lower() for info in infos}) < len(infos):
        raise FileProblem(f"{name} is damaged: it holds two parts of one name.")
    if any(info.flag_bits & 1 for info in infos):
        raise FileProblem(f"{name} is protected with a password: save it without one first.")
    if any(info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for info in infos):
        raise FileProblem(f"{name} is packed in a way that no spreadsheet program uses.")
    return archive


def _deflated(data: bytes) -> bytes:
    packer = zlib.compressobj(6, zlib.DEFLATED, -zlib.MAX_WBITS)
    return packer.compress(data) + packer.flush()


def _new_entry(out: bytearray, part: str, data: bytes) -> bytes:
    """Pack a new part at the end of `out`; return its record of the central directory."""
    name, packed, at = part.encode(), _deflated(data), len(out)
    common = (20, 0x800, zipfile.ZIP_DEFLATED, 0, _FIRST_DAY, zlib.crc32(data), len(packed), len(data))
    out += _LOCAL.pack(b"PK\3\4", *common, len(name), 0) + name + packed
    return _CENTRAL.pack(b"PK\1\2", 20, *common, len(name), 0, 0, 0, 0, 0, at) + name


def write_file(path: Path, data: bytes, like: Path) -> None:
    """Write a file under a temporary name beside `path`, then rename it; its rights are those of `like`."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-", suffix=".tmp")
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            shutil.copymode(like, temporary)
            temporary.chmod(temporary.stat().st_mode | stat.S_IWUSR)  # a copy of what is read-only is not
            temporary.replace(path)
        finally:
            temporary.unlink(missing_ok=True)
    except OSError as problem:
        raise FileProblem(f"{path.name} cannot be written: {problem.strerror}.") from problem
