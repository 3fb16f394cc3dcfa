"""A LibreOffice for the tests, with a profile of its own and the extension beside it, worked by a driver."""

import contextlib
import json
import os
import queue
import subprocess
import threading
import zipfile
from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest

from sheetcalc.cells.values import CellError
from sheetcalc.hosts.calc.extension import extension
from sheetcalc.hosts.calc.offices import Office, OfficeProblem, end_all, environment, find_office, program_in

DRIVER = Path(__file__).with_name("calc_driver.py")
STARTS_WITHIN = 60
ANSWERS_WITHIN = 120


def office_or_skip() -> Office:
    """Return the office of this machine; skip where there is none."""
    try:
        return find_office()
    except OfficeProblem as problem:
        pytest.skip(str(problem))


def prepared(office: Office, folder: Path, starts: Sequence[str] | None = None) -> Office:
    """Return the office with a profile of its own in `folder` and the extension as if it came with it."""
    beside = folder / "extensions" / "sheetcalc"
    beside.mkdir(parents=True)
    with zipfile.ZipFile(BytesIO(extension(starts))) as archive:
        archive.extractall(beside)
    profile = folder / "profile"
    return replace(
        office,
        profile=profile,
        options=(
            f"-env:UserInstallation={profile.as_uri()}",
            f"-env:BUNDLED_EXTENSIONS={beside.parent.as_uri()}",
        ),
    )


def bared(office: Office, folder: Path) -> Office:
    """Return the office with a profile of its own in `folder`, without our functions."""
    profile = folder / "profile"
    return replace(office, profile=profile, options=(f"-env:UserInstallation={profile.as_uri()}",))


def python_with_uno(office: Office) -> str:
    """Return a Python that can work an office; skip where there is none."""
    beside = program_in(office.programs, "python")
    for python in [str(beside)] if beside else ["/usr/bin/python3"]:
        with contextlib.suppress(OSError, subprocess.TimeoutExpired):
            done = subprocess.run([python, "-c", "import uno"], env=environment(os.environ), timeout=60)
            if done.returncode == 0:
                return python
    pytest.skip("no Python with UNO is here (package python3-uno) to work LibreOffice with")


class LiveOffice:
    """A running office; each name of the driver's commands is a method here."""

    def __init__(self, folder: Path, starts: Sequence[str] | None = None, *, bare: bool = False) -> None:
        office = bared(office_or_skip(), folder) if bare else prepared(office_or_skip(), folder, starts)
        python = python_with_uno(office)
        pipe = f"sheetcalc{os.getpid()}{folder.name}"
        words = [str(program_in(office.programs, "soffice")), *office.options]
        words += ["--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp"]
        nowhere = subprocess.DEVNULL
        env = environment(os.environ)
        while True:
            self._office = subprocess.Popen(
                words, stdout=nowhere, stderr=nowhere, env=env, start_new_session=True
            )
            try:
                if self._office.wait(timeout=3) != 81:  # it wants a second start with a new profile
                    pytest.fail(f"LibreOffice ended at once with {self._office.returncode}")
            except subprocess.TimeoutExpired:
                break
        self._driver = subprocess.Popen(
            [python, str(DRIVER), pipe, str(STARTS_WITHIN)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            encoding="utf-8",
            env=env,
        )
        self._lines: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._listen, daemon=True).start()
        try:
            assert self._line(2 * STARTS_WITHIN), "the driver ended at once"
        except BaseException:
            self.quit()
            raise

    def helpers(self) -> set[int]:
        """Helpers that this office has started; others may run at the same time."""
        listed = subprocess.run(
            ["ps", "-wweo", "pid,ppid,args"], capture_output=True, text=True, check=True
        ).stdout.splitlines()[1:]
        processes = [
            (int(pid), int(parent), args) for pid, parent, args in (line.split(None, 2) for line in listed)
        ]
        family, grown = {self._office.pid}, 0
        while len(family) > grown:
            grown = len(family)
            family |= {pid for pid, parent, _ in processes if parent in family}
        return {pid for pid, _, args in processes if pid in family and "sheetcalc.cli calc serve" in args}

    def _listen(self) -> None:
        assert self._driver.stdout is not None
        for line in self._driver.stdout:
            self._lines.put(line)
        self._lines.put("")

    def _line(self, within: float) -> str:
        try:
            return self._lines.get(timeout=within)
        except queue.Empty:
            pytest.fail(f"LibreOffice did not answer within {within} seconds")

    def __getattr__(self, name: str) -> Any:
        def command(*words: Any) -> Any:
            assert self._driver.stdin is not None
            self._driver.stdin.write(json.dumps([name, *words]) + "\n")
            self._driver.stdin.flush()
            told = json.loads(self._line(ANSWERS_WITHIN))
            assert "error" not in told, told["error"]
            return told["answer"]

        return command

    def cells(self, sheet: str, cells: str | None = None) -> list[list[Any]]:
        """Rows of values; one of Calc's own errors stays its text in a list."""
        return [[plain(cell) for cell in row] for row in self.values(sheet, cells)]

    def quit(self) -> None:
        """End the office, whatever it does."""
        with contextlib.suppress(BaseException):
            self.end()
        try:
            self._office.wait(timeout=15)
        except subprocess.TimeoutExpired:
            end_all(self._office)
            self._office.wait()
        self._driver.kill()
        self._driver.wait()
        for stream in (self._driver.stdin, self._driver.stdout):
            assert stream is not None
            with contextlib.suppress(OSError):
                stream.close()


def plain(cell: Any) -> Any:
    if isinstance(cell, list):
        return next((error for error in CellError if error.value == cell[0]), cell)
    return cell
