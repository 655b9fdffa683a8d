"""Invented keys and signed documents, made once a run: making them is what takes the time."""

from __future__ import annotations

import tempfile
from datetime import date
from functools import cache
from pathlib import Path

from commission_tui.checks.checklists.checklist_file import shipped_files
from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.signing.keys import KeyKind, KeyMade, SigningKey, new_key, read_key
from commission_tui.handover.typeset.signature_block import SignatureBlock
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import AsItIs
from tests.handover.helping import export_pdf, make_job, photo

A_STAGE = {"00-design.toml": shipped_files()["00-design.toml"]}
_HEAD, *_CHECKS = A_STAGE["00-design.toml"].split("[[checks]]\n")
_FEW = ('id = "canvas-rasters"', 'id = "acceptance-list"')
TWO_CHECKS = {
    "00-design.toml": "[[checks]]\n".join(
        [_HEAD, *(one for one in _CHECKS if one.startswith(_FEW))]
    )
}
A_SMALL_WALL = """
[wall]
name = "Main auditorium"
site = "Fellmoor Town Hall"
mounting = "stacked"
[cabinet_types.A]
width_mm = 500
height_mm = 500
width_px = 200
height_px = 200
module_columns = 2
module_rows = 2
weight_kg = 8
power_max_w = 100
[grid]
columns = 2
rows = 1
type = "A"
[processor]
ports = 1
pixels_per_port = 650000
[[chains]]
port = 1
block = "R1C1:R1C2"
pattern = "rows, serpentine, from top left"
[[inputs]]
name = "Stage laptop"
connector = "HDMI 1"
width_px = 400
height_px = 200
frame_rate_hz = 60
"""
"""A document of few parts is signed and verified in half the time."""
PASSPHRASE = "lamps and ladders"  # noqa: S105 (of invented keys)
INTEGRATOR = SignatureBlock(
    role="integrator",
    name="Ines Okafor",
    statement="Measured as stated.",
    exceptions=1,
    organisation="Tarnside Integration",
    strokes=(((0, 5000), (5000, 0), (10000, 10000)), ((2500, 2500),)),
)
SECOND = SignatureBlock(
    role="consultant",
    name="Marit Hollis",
    statement="Taken as described.",
    exceptions=1,
    organisation="Fellmoor Town Council",
)


@cache
def folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="signing-"))


def key_made(kind: KeyKind = "ec") -> KeyMade:
    return _made(kind)


@cache
def _made(kind: KeyKind) -> KeyMade:
    name = INTEGRATOR.name if kind == "ec" else SECOND.name
    path = folder() / "keys" / f"{kind}.p12"
    return new_key(path, PASSPHRASE, name=name, organisation="Tarnside Integration", kind=kind)


def key(kind: KeyKind = "ec") -> SigningKey:
    return _read(kind)


@cache
def _read(kind: KeyKind) -> SigningKey:
    return read_key(key_made(kind).key, PASSPHRASE)


def short_job(where: Path) -> OpenJob:
    """Return a small job of a few checks, with a fault taken as it is and two photos."""
    job = make_job(where, files=TWO_CHECKS, text=A_SMALL_WALL)
    job.fault("pixel dark", "R1C2 x7 y2", "near", note="found on white")
    job.work(
        job.state.faults[0], "accepted", taken=AsItIs("Marit Hollis", "Our firm", date(2026, 7, 14))
    )
    job.photo(photo(where, size=(320, 180)), caption="The wall, lit")
    job.photo(photo(where, "seam.png", (40, 30)))
    return job


@cache
def job() -> OpenJob:
    return short_job(folder())


@cache
def unsigned() -> bytes:
    return export_pdf(job())


@cache
def signed_once() -> bytes:
    return sign_document(unsigned(), key("ec"), INTEGRATOR)


@cache
def signed_twice() -> bytes:
    return sign_document(signed_once(), key("rsa"), SECOND)
