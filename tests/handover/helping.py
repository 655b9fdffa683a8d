"""Invented jobs of all kinds, made with a clock and ids that repeat."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import threading
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from commission_tui.checks.places.places import GREY_STEPS, NINE_POINTS
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document import Document, build_from
from commission_tui.handover.drawings import dxf
from commission_tui.handover.export_process import make_files
from commission_tui.handover.formats import open_formats
from commission_tui.handover.progress_steps import OnStep
from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.typeset import typst_document
from commission_tui.handover.writing import write_files
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.fault_steps import AsItIs
from commission_tui.progress import unwatched
from tests.paths import ROOT

FELLMOOR = ROOT / "commission_tui" / "demo" / "fellmoor.toml"
HOSTILE = "#panic()[*x*] <script> $(x)` =cmd|'"
"""Markup of the typesetter, of a page, of a shell and of a spreadsheet in one."""


def export(
    job: OpenJob,
    folder: Path,
    formats: Sequence[str] = ("pdf",),
    on_step: OnStep = unwatched,
    *,
    without_contacts: bool = False,
) -> list[Path]:
    """Write a job's handover into a folder."""
    files = make_files(Context(job, without_contacts), formats, on_step)
    return write_files(folder, files, job.database)


def export_pdf(job: OpenJob, *, without_contacts: bool = False, draft: bool = False) -> bytes:
    return typst_document.export_pdf(Context(job, without_contacts, draft))


def page_pictures(job: OpenJob, *, draft: bool = False) -> list[bytes]:
    return typst_document.page_pictures(Context(job, draft=draft))


def export_alone(job: OpenJob, part: str) -> bytes:
    return typst_document.export_alone(Context(job), part)


def export_json(job: OpenJob, *, without_contacts: bool = False) -> bytes:
    return open_formats.export_json(Context(job, without_contacts))


def export_csv(job: OpenJob) -> dict[str, bytes]:
    return open_formats.export_csv(Context(job))


def export_html(job: OpenJob) -> bytes:
    return open_formats.export_html(Context(job))


def export_spreadsheet(job: OpenJob) -> bytes:
    return open_formats.export_spreadsheet(Context(job))


def export_dxf(job: OpenJob) -> bytes:
    return dxf.export_dxf(job.state.wall)


def export_record(job: OpenJob, *, without_contacts: bool = False) -> bytes:
    return record_bytes(Context(job, without_contacts).entries)


def build_document(job: OpenJob, *, draft: bool = False) -> Document:
    return build_from(Context(job, draft=draft))


def every_check(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Return every check that the results say something of beyond its title."""
    (results,) = [one for one in document["chapters"] if one["title"] == "Results"]
    return [
        check
        for section in results["sections"]
        if section["form"] in {"checks", "met"}
        for check in section["body"]
    ]


def document_data(job: OpenJob, *, draft: bool = False) -> dict[str, Any]:
    """Return the document as the typesetter reads it: plain data."""
    data: dict[str, Any] = json.loads(json.dumps(asdict(build_document(job, draft=draft))))
    return data


def under(document: dict[str, Any], heading: str, form: str = "") -> Any:
    """Return what stands under a heading, of a form where one is named; an empty list for nothing."""
    for one in (*document["cards"], *document["chapters"]):
        above = one["title"]
        for section in one["sections"]:
            above = section["title"] or above
            if above == heading and form in {"", section["form"]}:
                return [] if section["form"] == "nothing" else section["body"]
    return []


def facts_of(facts: list[dict[str, str]]) -> dict[str, str]:
    return {one["label"]: one["value"] for one in facts}


def rows_of(listing: dict[str, Any]) -> list[dict[str, str]]:
    """Return each row of a listing with its texts under their heads."""
    rows = listing["rows"] if listing else []
    return [dict(zip(listing["heads"], row, strict=True)) for row in rows]


class Clock:
    def __init__(self) -> None:
        self.moment = datetime(2026, 6, 8, 13, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.moment += timedelta(seconds=20)
        return self.moment


def make_job(
    folder: Path,
    *,
    name: str = "Fellmoor Town Hall, main auditorium",
    client: str = "Fellmoor Town Council",
    changes: Iterable[tuple[str, str]] = (),
    files: dict[str, str] | None = None,
    text: str = "",
) -> OpenJob:
    """Open a job on the demo wall, or on that of `text`; pieces of its file may be replaced."""
    text = text or FELLMOOR.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    book = Logbook(folder / "book.db", Clock(), IdSource(lambda bits: 1 << bits - 1))
    return book.create(
        by="Ines Okafor",
        name=name,
        client=client,
        integrator="Tarnside Integration",
        reference="FTH-26-014",
        wall_text=text,
        checklist_files=files,
    )


def fill(job: OpenJob) -> OpenJob:
    """Record an evening: every verdict, every state of a fault, a correction, an old instrument."""
    _instruments(job)
    for point in NINE_POINTS:
        job.read("brightness", "luminance_cd_m2", point, 600.0, confirmed=True)
    slip = job.read("brightness", "room_cd_m2", "wall", 40.0, confirmed=True)
    right = job.reading("brightness", "room_cd_m2", "wall", 0.04)
    job.correct(slip.id, right, "decimal point forgotten")
    levels = {f"R{row}C{n}": 200.0 + n / 10 for row in range(1, 7) for n in range(1, 13)}
    levels["R4C5"] = 150.0
    of = ("cabinet-luminance", "luminance_cd_m2")
    job.record_all([job.reading(*of, one, x, confirmed=True) for one, x in levels.items()])
    for index, step in enumerate(GREY_STEPS):
        level = round(0.06 + 600 * (index / 20) ** 2.2, 3)
        job.read("grey-scale", "luminance_cd_m2", step, level, confirmed=True)
    job.read("brightness", "luminance_cd_m2", "point 1", 601.5, confirmed=True)
    job.skip("loop-failure", "no redundant return was ordered")
    for seat, offset in (("nearest seat", 38.0), ("middle seat", 25.0), ("farthest seat", 12.0)):
        job.read("sound-picture", "offset_ms", seat, offset, confirmed=True)
    job.read("legibility", "smallest_read_px", "wall", 46.0, confirmed=True)
    job.read("legibility", "template_px", "wall", 50.0, confirmed=True)
    _faults(job)
    job.record(e.Note(text="House dark, exit signs on."))
    return job


def _instruments(job: OpenJob) -> None:
    job.record(
        e.Instrument(
            key="spot",
            name="Luminance meter, 1 degree",
            serial="LM-2045",
            calibration_due=date(2026, 5, 31),
            certificate="K-5533",
            accuracy={"cd/m2": Accuracy(percent=2.0)},
        )
    )
    job.record(
        e.Instrument(
            key="sync",
            name="Flash and click timer",
            serial="FC-0032",
            accuracy={"ms": Accuracy(absolute=2.0)},
        )
    )


def _faults(job: OpenJob) -> None:
    job.fault("pixel dark", "R3C12 x7 y2", "near", note="found on white", seen_on="white, 2 m")
    job.fault("dark seam", "R3C9 right", "near", note="only on white")
    job.fault("cabinet tinted", "R2C4", "shows", note="a little green")
    job.fault("bands or moire on camera", "wall", "shows", note="camera 2 at 1/100 s")
    first, seam, tinted, _ = job.state.faults
    job.work(
        first,
        "accepted",
        note="not seen from row 1",
        taken=AsItIs("Marit Hollis", "Our firm", date(2026, 7, 14)),
    )
    job.work(seam, "mended", note="lock closed")
    job.work(tinted, "mended", note="module changed")
    job.work(job.state.faults[2], "verified", note="looked at with the client")


def sign(job: OpenJob, role: str, name: str, exceptions: int = 0) -> None:
    job.record(
        e.Signature(
            role=role,
            name=name,
            statement="Measured as stated.",
            fingerprint=record_fingerprint(job),
            exceptions=exceptions,
        )
    )


def photo(folder: Path, name: str = "wall.jpg", size: tuple[int, int] = (1600, 900)) -> Path:
    path = folder / name
    out = io.BytesIO()
    Image.new("RGB", size, (40, 90, 160)).save(out, "JPEG" if name.endswith("jpg") else "PNG")
    path.write_bytes(out.getvalue())
    return path


def need(program: str) -> str:
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not installed")
    return found


def pdf_text(content: bytes, folder: Path, *options: str) -> str:
    """Return the words of a PDF as poppler reads them, lines and columns run together."""
    path = folder / "read.pdf"
    path.write_bytes(content)
    done = subprocess.run(
        [need("pdftotext"), "-raw", *options, str(path), "-"], capture_output=True, check=True
    )
    return done.stdout.decode("utf-8")


def squeezed(text: str) -> str:
    """Return a text without any space, since a page may break a line wherever it must."""
    return "".join(text.split())


def is_alive(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    return not _is_waited_for(number)


def _is_waited_for(number: int) -> bool:
    """Whether it has ended, and only nobody has asked how: an orphan's lot where init is slow."""
    try:
        said = Path(f"/proc/{number}/stat").read_text(encoding="utf-8")
    except OSError:
        return False
    return said.rpartition(")")[2].split()[0] == "Z"


def gone_by_itself(number: int) -> None:
    """Wait until a process has ended, and fail when it never does."""
    clock = threading.Event()
    for _ in range(6000):
        if not is_alive(number):
            return
        clock.wait(0.01)
    raise AssertionError(f"process {number} is still there")
