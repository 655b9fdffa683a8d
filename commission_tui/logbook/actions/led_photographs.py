"""Faulty LEDs that a photograph shows, logged as faults, each with its piece of the picture."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.checks.faults.kinds import known_kind, usual_severity
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.wall.model.location import Location

if TYPE_CHECKING:
    from commission_tui.photo.close.pixel_report import PixelReport
    from commission_tui.photo.light.light_reading import Shot
    from commission_tui.photo.light.light_samples import Outlines
    from commission_tui.wall.model.wall_model import Wall


@dataclass(frozen=True, slots=True)
class SeenFault:
    """A fault as a photograph shows it."""

    at: Location
    kind: str
    """As in the catalogue of faults."""
    sure: float
    piece: KeptPicture
    """Of the photograph, round the fault."""


def seen_faults(shot: Shot, report: PixelReport) -> list[SeenFault]:
    """Return what was read, each with its piece of the photograph."""
    from commission_tui.photo.close.fault_pictures import piece_of

    return [
        SeenFault(
            fault.at,
            fault.kind,
            fault.sure,
            KeptPicture(
                f"led-{number}.png",
                piece_of(shot, fault, report),
                f"From a photograph: {fault.at} in {shot.name}",
            ),
        )
        for number, fault in enumerate(report.faults, start=1)
    ]


def shown_whole(
    wall: Wall, outlines: Outlines, shot: Shot, report: PixelReport, path: Path
) -> KeptPicture:
    """Return the photograph laid out flat beside the map of faults, with how it was taken and its hash."""
    from commission_tui.photo.close.fault_pictures import wall_with_faults
    from commission_tui.photo.picture_file import how_taken, read_picture
    from commission_tui.photo.rectified import LEGEND

    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    how = how_taken(read_picture(path))
    caption = (
        f"From a photograph: cabinets as they hang, and how many faulty LEDs were found ({LEGEND}), at "
        f"{report.px_a_led:.1f} px a LED; how sure each is stands with it. "
        f"Of {f'{how}; ' if how else ''}{path.name} as taken: SHA-256 {digest}"
    )
    picture = wall_with_faults(wall, outlines, shot, report)
    return KeptPicture(f"wall-of-{path.stem}.jpg", picture, caption)


def not_logged_yet(state: State, faults: Sequence[SeenFault]) -> list[SeenFault]:
    """Return faults of kinds in the catalogue that no open item of the punch list has."""
    known = {
        (fault.found.body.fault, fault.found.body.location)
        for fault in state.faults
        if fault.state == "open"
    }
    return [
        fault
        for fault in faults
        if (fault.kind, str(fault.at)) not in known and known_kind(fault.kind) is not None
    ]


def log_leds(
    job: OpenJob,
    faults: Sequence[SeenFault],
    *,
    photograph: str,
    seen_on: str,
    evidence: Sequence[KeptPicture] = (),
) -> int:
    """Log faults that are not on the punch list yet, and what shows them; return how many.

    Parameters
    ----------
    job : OpenJob
    faults : sequence of SeenFault
    photograph : str
        The name of the picture.
    seen_on : str
        The field that the wall showed.
    evidence : sequence of KeptPicture
        Pictures of all of them, kept with the job when any is logged.
    """
    new = not_logged_yet(job.state, faults)
    if not new:
        return 0
    found = job.record_all([_fault(job.state, fault, photograph, seen_on) for fault in new])
    # A fault's picture names the fault's entry, which has its id only now.
    pictures = [fault.piece.body(about=entry.id) for fault, entry in zip(new, found, strict=True)]
    files = [fault.piece.stored for fault in new] + [picture.stored for picture in evidence]
    job.record_all([*pictures, *(picture.body() for picture in evidence)], files=files)
    return len(new)


def _fault(state: State, fault: SeenFault, photograph: str, seen_on: str) -> e.FaultFound:
    kind = known_kind(fault.kind)
    assert kind is not None  # noqa: S101 (sorted out first)
    return body(
        e.FaultFound,
        fault=fault.kind,
        location=str(state.wall.resolve(fault.at)),
        severity=usual_severity(kind, state.wall, fault.at),
        note=f"from a photograph, {photograph}, sure {fault.sure:.0%}",
        check=None,
        seen_on=seen_on,
    )
