"""Sound files of every kind that the program reads: what the mutations start from."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

import openpyxl
from PIL import Image

import commission_tui.checks.faults
from commission_tui.checks.checklists.checklist_file import shipped_files
from commission_tui.handover.signing.keys import KeyMade, new_key
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.job import OpenJob
from commission_tui.wall.model.wall_model import Wall
from tests.handover.helping import FELLMOOR, export_json, export_pdf, export_record, make_job, photo
from tests.paths import ROOT

PASSPHRASE = "a long passphrase"  # noqa: S105 (of a key that is made for one run)
CHECKLIST = """
order = 60
id = "own"
title = "Own"
[[checks]]
id = "own-level"
title = "Own level"
why = "w"
do = ["look"]
pattern = "white"
instrument = "luminance meter"
method = "in_limits"
minutes = 6
[[checks.fields]]
name = "luminance_cd_m2"
label = "Luminance"
places = ["by day", "by night"]
unit = "cd/m2"
measured = true
low = 1
high = 5000
[[checks.fields]]
name = "sensor"
label = "Sensor"
kind = "choice"
choices = ["follows", "none"]
good = ["follows"]
[[checks.limits]]
name = "luminance_cd_m2"
label = "Luminance"
unit = "cd/m2"
high = 3000
source = "common practice, no published source"
standing = "common practice"
"""
_SCAN = b'location,across,down\nR1C1,backwards,\n"R1C2 m1,2",jumps,comb\nR2C3,,backwards\n'
_PLAIN = b"place,value\nR1C1,200\nR1C2,201.5\nR1C3,198.2\n"
_WHOLE = (
    "check,field,place,value,unit\n"
    "cabinet-luminance,luminance_cd_m2,R1C1,200,cd/m2\n"
    "brightness,luminance_cd_m2,point 1,600,cd/m2\n"
)
_PARTS = (
    "part,location,serial,batch,replaces,kept at\n"
    "module,R1C1 module 1,M-1,B7,,\n"
    "module,spare,M-2,B7,,shelf 1\n"
)
_MAPPED: list[list[Any]] = [["Point", "L (fL)"], ["R1C1", 58.4], ["R1C2", 60]]


class Seeds:
    """Two jobs, and everything that was ever written of them or could be brought to them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for name in ("whole", "small", "keys"):
            (folder / name).mkdir(parents=True, exist_ok=True)
        self.job = make_job(folder / "whole")
        _meter(self.job)
        self.small = self._small()

    def _small(self) -> OpenJob:
        """Make a job of one check, so that a mutation is likely to meet something that matters."""
        job = make_job(self.folder / "small", files={"own.toml": CHECKLIST})
        _meter(job)
        job.read("own-level", "luminance_cd_m2", "by day", 900.0)
        slip = job.read("own-level", "luminance_cd_m2", "by night", 400.0)
        right = job.reading("own-level", "luminance_cd_m2", "by night", 40.0)
        job.correct(slip.id, right, "one nought too many")
        job.fault("pixel dark", "R3C12 x7 y2", "near", note="on white")
        job.work(job.state.faults[0], "mended", note="module changed")
        job.photo(photo(self.folder, size=(64, 36)), caption="the wall")
        job.record(e.Person(name="Marit Hollis", role="client", mail="m@example.org"))
        return job

    @cached_property
    def key(self) -> KeyMade:
        return new_key(self.folder / "keys" / "own.p12", PASSPHRASE, name="A. Fitter")

    def of(self, reader: str) -> list[bytes]:
        """Return the sound files of one reader."""
        made: list[bytes] = getattr(self, f"_{reader}")
        return made

    @cached_property
    def _wall(self) -> list[bytes]:
        return [FELLMOOR.read_bytes()]

    @cached_property
    def _checklist(self) -> list[bytes]:
        return [CHECKLIST.encode(), min(shipped_files().values(), key=len).encode()]

    @cached_property
    def _cases(self) -> list[bytes]:
        folder = ROOT / "tests" / "checks" / "cases"
        return [(folder / f"{name}.toml").read_bytes() for name in ("50-light", "90-revisit")]

    @cached_property
    def _faults(self) -> list[bytes]:
        return [(Path(commission_tui.checks.faults.__file__).parent / "faults.toml").read_bytes()]

    @cached_property
    def _readings(self) -> list[bytes]:
        rows: list[list[Any]] = [["place", "value"], ["R1C1", 200.0], ["R1C2", "201,5"]]
        other = _WHOLE.replace(",", ";").encode("utf-16")
        return [_PLAIN, _WHOLE.encode(), other, workbook(rows)]

    @cached_property
    def _mapped(self) -> list[bytes]:
        return [b"Point;L (fL)\nR1C1;58,4\nR1C2;60,1\n", workbook(_MAPPED)]

    @cached_property
    def _parts(self) -> list[bytes]:
        return [_PARTS.encode(), workbook([row.split(",") for row in _PARTS.splitlines()])]

    @cached_property
    def _observations(self) -> list[bytes]:
        return [observed(self.job.state.wall)]

    @cached_property
    def _scan(self) -> list[bytes]:
        return [_SCAN]

    @cached_property
    def _record(self) -> list[bytes]:
        return [export_record(self.small), export_json(self.small)]

    @cached_property
    def _document(self) -> list[bytes]:
        return [export_pdf(self.small)]

    @cached_property
    def _photo(self) -> list[bytes]:
        return [picture("JPEG"), picture("PNG")]

    @cached_property
    def _strokes(self) -> list[bytes]:
        return [json.dumps([[[0, 0], [10, 20], [9999, 10000]], [[5, 5]]]).encode()]

    @cached_property
    def _certificate(self) -> list[bytes]:
        return [self.key.certificate.read_bytes()]

    @cached_property
    def _key(self) -> list[bytes]:
        return [self.key.key.read_bytes()]

    @cached_property
    def _database(self) -> list[bytes]:
        self.small._store._db.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return [self.small.database.read_bytes()]


def _meter(job: OpenJob) -> None:
    accuracy = {"cd/m2": Accuracy(percent=2.0)}
    job.record(e.Instrument(key="spot", name="Meter", serial="LM-1", accuracy=accuracy))


def observed(wall: Wall) -> bytes:
    rows = ["position,seen,angle,mirrored,dx,dy"]
    rows += [f"{cell},{cell},0,no,0,0" for cell in sorted(wall.cabinets)[:12]]
    return ("\n".join([*rows, "R2C1,dark,,,,"]) + "\n").encode()


def picture(form: str) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((64, 48), 40).convert("RGB").save(out, form)
    return out.getvalue()


def workbook(rows: Sequence[Sequence[Any]]) -> bytes:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    for row in rows:
        page.append(list(row))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
