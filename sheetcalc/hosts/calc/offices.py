"""The LibreOffice of this machine: where it is, its extensions, and a file recalculated in it."""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sheetcalc.hosts.calc.extension import IDENTIFIER
from sheetcalc.xlsx.package import Problem

_UNOPKG_WITHIN = 120.0  # seconds
_RECALCULATES_WITHIN = 180.0
_STARTS_AGAIN = 81  # what an office ends with when its new profile wants a second start


class OfficeProblem(Problem):
    """Why something is not done in the office."""


@dataclass(frozen=True, slots=True)
class Office:
    """An installed LibreOffice.

    Parameters
    ----------
    programs : Path
        The folder of its programs.
    profile : Path
        The folder in which it keeps the user's settings and extensions.
    options : tuple of str, optional
        What it is started with besides.
    """

    programs: Path
    profile: Path
    options: tuple[str, ...] = ()

    def add(self, extension: Path) -> None:
        """Install an extension for this user, in place of an older one.

        Raises
        ------
        OfficeProblem
            The office runs, or refuses.
        """
        self.check_closed()
        self._unopkg("add", "--force", "--suppress-license", str(extension))

    def remove(self) -> bool:
        """Remove our extension; False if it is not installed.

        Raises
        ------
        OfficeProblem
            The office runs, or refuses.
        """
        self.check_closed()
        if f"Identifier: {IDENTIFIER}" not in self._unopkg("list").splitlines():
            return False  # what `remove` would say to this depends on the office's language
        self._unopkg("remove", IDENTIFIER)
        return True

    def recalculated(self, workbook: Path, folder: Path) -> Path:
        """Open a workbook, which works out the formulas whose names are new to it, and save it to a folder.

        Raises
        ------
        OfficeProblem
            The office runs, does not start, or gives no file.
        """
        return self._converted(workbook, "xlsx:Calc MS Excel 2007 XML", folder)

    def printed(self, workbook: Path, folder: Path) -> Path:
        """Print a workbook to a PDF of the same name in a folder, beside an office that may run.

        Raises
        ------
        OfficeProblem
            The office does not start, or gives no file.
        """
        profile = folder / "profile"  # one of its own: no lock of another office, no extension
        alone = Office(self.programs, profile, (*self.options, f"-env:UserInstallation={profile.as_uri()}"))
        return alone._converted(workbook, "pdf:calc_pdf_Export", folder)

    def _converted(self, workbook: Path, to: str, folder: Path) -> Path:
        self.check_closed()
        words = [*self.options, "--headless", "--norestore", "--nologo"]
        words += ["--convert-to", to, "--outdir", str(folder), str(workbook)]
        done = self._run("soffice", words, _RECALCULATES_WITHIN)
        if done.returncode == _STARTS_AGAIN:
            done = self._run("soffice", words, _RECALCULATES_WITHIN)
        saved = folder / workbook.with_suffix("." + to.partition(":")[0]).name
        if not saved.exists():
            raise OfficeProblem(f"LibreOffice in {self.programs} saved nothing: {_last_words(done)}.")
        return saved

    def check_closed(self) -> None:
        """Raise OfficeProblem if the office runs, as the lock in its profile tells."""
        lock = self.profile / ".lock"
        if lock.exists():
            raise OfficeProblem(f"LibreOffice is running: close it first. If none runs, delete {lock}.")

    def _unopkg(self, *words: str) -> str:
        done = self._run("unopkg", words, _UNOPKG_WITHIN)
        if done.returncode == 0:
            return done.stdout
        said = _last_words(done)
        if "root" in said:
            raise OfficeProblem(
                "LibreOffice takes no extension from the administrator (root): "
                "run this as the user who works with it."
            )
        raise OfficeProblem(f"LibreOffice in {self.programs} refused: {said}.")

    def _run(self, program: str, words: Sequence[str], within: float) -> subprocess.CompletedProcess[str]:
        found = program_in(self.programs, program)
        if found is None:
            raise OfficeProblem(f"{self.programs} holds no {program}.")
        try:
            running = subprocess.Popen(
                [str(found), *words],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                encoding="utf-8",
                errors="replace",
                env=environment(os.environ),
                start_new_session=True,
            )
        except OSError as problem:
            raise OfficeProblem(f"{found} does not start: {problem.strerror}.") from problem
        with running:
            try:
                said, _ = running.communicate(timeout=within)
            except BaseException as problem:
                end_all(running)
                if isinstance(problem, subprocess.TimeoutExpired):
                    raise OfficeProblem(
                        f"{found} was ended: it was not done after {within:.0f} seconds."
                    ) from None
                raise
        return subprocess.CompletedProcess(running.args, running.returncode, said)


def end_all(running: subprocess.Popen[Any]) -> None:
    """End a program with a session of its own, and what it started: the office is a grandchild."""
    if sys.platform == "win32":  # pragma: no cover  (no tests run there)
        running.kill()
    else:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(running.pid, signal.SIGKILL)


def find_office(given: Path | None = None) -> Office:
    """Find the office: in the folder given, or at the usual places.

    Raises
    ------
    OfficeProblem
        There is none.
    """
    home = Path.home()
    places = [*_inside(given)] if given else [*usual_places(sys.platform, os.environ, home)]
    for folder in places:
        if program_in(folder, "soffice") and program_in(folder, "unopkg"):
            return Office(folder, profile_folder(sys.platform, os.environ, home))
    if given:
        raise OfficeProblem(f"There is no LibreOffice in {given}.")
    if any(place.exists() for place in _closed_places(home)):
        raise OfficeProblem(
            "LibreOffice is here as a Snap or Flatpak only, which cannot start a program outside itself: "
            "install it from your distribution or from libreoffice.org."
        )
    raise OfficeProblem(
        "No LibreOffice was found at the usual places; tell its folder with --office, "
        "such as --office /opt/libreoffice25.2."
    )


def _closed_places(home: Path) -> Iterator[Path]:
    """Files that a LibreOffice leaves which is shut in by Snap or Flatpak."""
    yield Path("/snap/bin/libreoffice")
    for top in (Path("/var/lib"), home / ".local/share"):
        yield top / "flatpak/exports/bin/org.libreoffice.LibreOffice"


def _inside(folder: Path) -> Iterator[Path]:
    for inside in ("", "program", "Contents/MacOS", "LibreOffice.app/Contents/MacOS"):
        yield (folder / inside).resolve()


def usual_places(platform: str, environ: Mapping[str, str], home: Path) -> Iterator[Path]:
    """Folders that may hold the office's programs, the likeliest first."""
    if platform == "win32":
        for name in ("ProgramFiles", "ProgramW6432", "ProgramFiles(x86)"):
            if name in environ:
                yield Path(environ[name], "LibreOffice", "program")
    elif platform == "darwin":
        for top in (Path("/Applications"), home / "Applications"):
            yield top / "LibreOffice.app/Contents/MacOS"
    else:
        for name in ("soffice", "libreoffice"):
            if found := shutil.which(name, path=environ.get("PATH")):
                yield Path(found).resolve().parent
        for top in ("/usr/lib", "/usr/lib64", "/usr/local/lib"):
            yield Path(top, "libreoffice/program")
        yield from sorted(Path("/opt").glob("libreoffice*/program"), reverse=True)


def profile_folder(platform: str, environ: Mapping[str, str], home: Path) -> Path:
    """Folder in which the office keeps what is the user's."""
    if platform == "win32":
        return Path(environ.get("APPDATA", home), "LibreOffice", "4")
    if platform == "darwin":
        return home / "Library/Application Support/LibreOffice/4"
    return Path(environ.get("XDG_CONFIG_HOME") or home / ".config", "libreoffice/4")


def program_in(folder: Path, name: str) -> Path | None:
    """Return the file of a program; on Windows the one that can be waited for."""
    for ending in (".com", ".exe", ""):
        if (found := folder / f"{name}{ending}").is_file():
            return found
    return None


def environment(environ: Mapping[str, str], platform: str = sys.platform) -> dict[str, str]:
    """Return the environment without our own Python, which the office would else take for its own."""
    ours = {name: value for name, value in environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
    if platform != "win32":
        system = ("/usr/bin", "/bin")
        folders = environ.get("PATH", "").split(os.pathsep)
        kept = [each for each in folders if each in system or not Path(each, "python3").exists()]
        ours["PATH"] = os.pathsep.join([*kept, *(each for each in system if each not in kept)])
    return ours


def _last_words(done: subprocess.CompletedProcess[str]) -> str:
    lines = [line.strip() for line in done.stdout.splitlines() if line.strip()]
    told = [line for line in lines if "ERROR" in line and "failed" not in line] or lines
    return told[-1].removeprefix("ERROR: ").rstrip(".") if told else f"it ended with {done.returncode}"
