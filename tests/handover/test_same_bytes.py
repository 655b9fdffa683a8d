"""The same record gives the same verdicts, document and exports on every machine and in every run."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from commission_tui.checks.places.places import places
from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.integrity.merge import database_source, merge
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from tests.handover.filled_job import filled
from tests.paths import ROOT

MACHINES = (
    {"PYTHONHASHSEED": "0", "OPENBLAS_CORETYPE": "Haswell"},
    {
        "PYTHONHASHSEED": "4",
        "OPENBLAS_CORETYPE": "Nehalem",
        "NPY_DISABLE_CPU_FEATURES": "AVX2 FMA3 AVX512F AVX512CD AVX512_SKX",
    },
    {"PYTHONHASHSEED": "7", "OPENBLAS_CORETYPE": "SkylakeX"},
)
"""Three kernels of the linear algebra, of old and new processors, each with a hash seed of its own.

With these seeds the sets of the library that writes DXF come in three orders.
"""
OTHERS = ("python3.12", "python3.13", "python3.14")


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job with exchanges, corrections, a change that left doubts, and another laptop's readings."""
    folder = tmp_path_factory.mktemp("bytes")
    job = filled(folder)
    _colours(job)
    _more_figures_than_are_shown(job)
    (folder / "second").mkdir()
    other = shutil.copy(job.database, folder / "second" / "book.db")
    book = Logbook(Path(other))
    second = book.open(job.id, "Tobias Brandl")
    for number in range(1, 10):
        second.read("house-level", "luminance_cd_m2", f"point {number}", 200.3, confirmed=True)
    book.close()
    _exchanges(job)
    change_setting(job, "brightness level", "80 %", place="wall")
    book = Logbook(job.database)
    with database_source(Path(other)) as source:
        merge(book, [source])
    book.close()
    return job.database


def _colours(job: OpenJob) -> None:
    accuracy = {"xy": Accuracy(absolute=0.002), "A": Accuracy(percent=1.5)}
    job.record(e.Instrument(key="c", name="Colorimeter", serial="C-1", accuracy=accuracy))
    for number in range(1, 10):
        place = f"point {number}"
        job.read("white-point", "x", place, 0.3127 + number / 7000, confirmed=True)
        job.read("white-point", "y", place, 0.3290 + number / 9000, confirmed=True)
    for phase, amps in (("L1", 20.1), ("L2", 15.7), ("L3", 10.3)):
        job.read("phase-balance", "phase_current_a", phase, amps, confirmed=True)


def _more_figures_than_are_shown(job: OpenJob) -> None:
    """Three fields of many readings: of each field only the extremes are shown, in the fields' order."""
    wall = job.state.wall
    meter = Accuracy(percent=1.0, absolute=0.5)
    job.record(
        e.Instrument(key="d", name="Tester", serial="D-1", accuracy={"dB": meter, "m": meter})
    )
    for field in ("margin_db", "backup_margin_db", "length_m"):
        where = job.state.checklist.check("copper-certification").field(field).where
        for number, place in enumerate(places(where, wall)):
            job.read("copper-certification", field, place, 3.6 + number / 10, confirmed=True)


def _exchanges(job: OpenJob) -> None:
    for number, place in enumerate(("R2C4", "R4C5", "R5C11")):
        for serial, replaces in ((f"OLD-{number}", None), (f"NEW-{number}", f"OLD-{number}")):
            job.record(
                e.PartFitted(part="cabinet", location=place, serial=serial, replaces=replaces)
            )


def digests(python: str, database: Path, machine: dict[str, str]) -> dict[str, str]:
    done = subprocess.run(
        [python, "-m", "tests.handover.same_bytes", str(database)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), **machine},
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return dict(json.loads(done.stdout))


def test_the_same_bytes_on_three_processors_with_three_seeds(database: Path) -> None:
    first, *others = (digests(sys.executable, database, machine) for machine in MACHINES)
    assert len(first) > 8
    for other in others:
        assert other == first


def test_the_same_bytes_with_another_python(database: Path) -> None:
    for name in OTHERS:
        python = os.environ.get("SECOND_PYTHON") or shutil.which(name)
        if python is None:
            continue
        needed = "import commission_tui.handover.export_process, numpy, pydantic, typst, openpyxl"
        here = {**os.environ, "PYTHONPATH": str(ROOT)}
        ready = subprocess.run([python, "-c", needed], env=here, capture_output=True, check=False)
        if ready.returncode == 0:
            seed = {"PYTHONHASHSEED": "1"}
            assert digests(python, database, seed) == digests(sys.executable, database, seed)
            return
    pytest.skip("no second Python with the libraries is installed")
