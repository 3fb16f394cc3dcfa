"""A LibreOffice without our functions, which recalculates workbooks as it opens them."""

import os
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from sheetcalc.hosts.calc.offices import OfficeProblem, environment, find_office, program_in

RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""
WITHIN = 300


def recalculated(files: Sequence[Path], folder: Path) -> list[Path]:
    """Open each file in an office with a profile of its own, and return what the office saves."""
    try:
        office = find_office()
    except OfficeProblem as problem:
        pytest.skip(str(problem))
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(RECALCULATE)
    out = folder / "recalculated"
    words = [
        str(program_in(office.programs, "soffice")),
        f"-env:UserInstallation={profile.as_uri()}",
        "--headless",
    ]
    words += ["--convert-to", "xlsx", "--outdir", str(out), *map(str, files)]
    for _ in range(2):  # it wants a second start with a new profile
        done = subprocess.run(words, env=environment(os.environ), timeout=WITHIN, capture_output=True)
        saved = [out / file.name for file in files]
        if done.returncode == 0 and all(file.exists() for file in saved):
            return saved
    pytest.fail(f"LibreOffice saved nothing: {done.stderr.decode(errors='replace')}")  # type: ignore[possibly-undefined]
