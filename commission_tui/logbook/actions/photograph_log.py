"""What photographs show of faults, tiles and light, and what they answer of a check: kept, and logged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.checks.faults.kinds import known_kind, usual_severity
from commission_tui.checks.model.types import Value
from commission_tui.logbook.actions.mapping_log import mapping_check_id, table_bodies
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import fault_body
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.text import counted
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell, Location

if TYPE_CHECKING:
    from commission_tui.photo.close.pixel_report import PixelReport
    from commission_tui.photo.close.seam_profile import SeamLight, SeamReport
    from commission_tui.photo.light.light_reading import Shot
    from commission_tui.photo.light.light_report import LightReport
    from commission_tui.photo.perspective import Outlines
    from commission_tui.wall.model.wall_model import Wall

LEAST_CONTRAST = 0.05
"""Of the light of one pitch: seams above it are told with the right sign (docs/photographs.md)."""


@dataclass(frozen=True, slots=True)
class PhotographedFault:
    """A fault as a photograph shows it."""

    at: Location
    kind: str
    """As in the catalogue of faults."""
    strength: str
    """How strong it is, or how sure."""
    brief: str
    """The same in a few characters."""
    piece: KeptPicture
    """Of the photograph, round the fault."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What photographs answer of a check: a value of a field at a place."""

    field: str
    place: str
    value: Value


@dataclass(frozen=True, slots=True)
class PhotographFinding:
    """One thing that photographs say, taken or left out as a whole: a fault, answers, or both."""

    fault: PhotographedFault | None = None
    answers: tuple[Answer, ...] = ()


def seen_leds(shot: Shot, report: PixelReport, surest: float = 0.0) -> list[PhotographedFault]:
    """Return the faulty LEDs that are so sure, each with its piece of the photograph."""
    from commission_tui.photo.close.fault_pictures import piece_of

    return [
        PhotographedFault(
            fault.at,
            fault.kind,
            f"sure {fault.sure:.0%}",
            f"{fault.sure:.0%}",
            _piece(f"led-{number}.png", piece_of(shot, fault, report), fault.at, shot),
        )
        for number, fault in enumerate(report.faults, start=1)
        if fault.sure >= surest
    ]


def uneven_seams(report: SeamReport, least: float = LEAST_CONTRAST) -> list[SeamLight]:
    """Return the edges of cabinets and modules that differ by so much of a pitch's light, strongest first."""
    edges = (*report.seams, *report.modules)
    strong = [edge for edge in edges if edge.kind and abs(edge.contrast) >= least]
    return sorted(strong, key=lambda edge: -abs(edge.contrast))


def seen_seams(
    wall: Wall, outlines: Outlines, shot: Shot, edges: Sequence[SeamLight]
) -> list[PhotographedFault]:
    """Return edges as faults, each with its piece of the photograph."""
    from commission_tui.photo.close.fault_pictures import edge_piece

    return [
        PhotographedFault(
            edge.at,
            edge.kind,
            f"{-edge.contrast:+.0%} of a pitch's light, as {edge.gap_mm:+.2f} mm "
            f"± {edge.expanded_mm:.2f} mm of gap",
            f"{-edge.contrast:+.0%}, {abs(edge.gap_mm):.2f} mm",
            _piece(f"seam-{number}.jpg", edge_piece(wall, outlines, shot, edge.at), edge.at, shot),
        )
        for number, edge in enumerate(edges, start=1)
    ]


def _piece(name: str, picture: bytes, at: Location, shot: Shot) -> KeptPicture:
    return KeptPicture(name, picture, f"From a photograph: {at} in {shot.name}")


def leds_shown(
    wall: Wall, outlines: Outlines, shot: Shot, report: PixelReport, path: Path
) -> KeptPicture:
    """Return the photograph laid out flat beside the map of faulty LEDs, how it was taken, its hash."""
    what = (
        f"how many faulty LEDs were found ({{}}), at {report.px_a_led:.1f} px a LED; how sure each is "
        "stands with it"
    )
    return _shown(wall, outlines, shot, [fault.at for fault in report.faults], what, path)


def seams_shown(
    wall: Wall, outlines: Outlines, shot: Shot, edges: Sequence[SeamLight], path: Path
) -> KeptPicture:
    """Return the photograph laid out flat beside the map of edges that stand out, as `leds_shown`."""
    what = (
        "how many edges of cabinets and modules differ from an even wall ({}); a gap and a correction "
        "of the edges count alike; the uncertainty (k = 2) stands with each"
    )
    return _shown(wall, outlines, shot, [edge.at for edge in edges], what, path)


def _shown(
    wall: Wall, outlines: Outlines, shot: Shot, places: Sequence[Location], what: str, path: Path
) -> KeptPicture:
    from commission_tui.photo.close.fault_pictures import wall_with_faults
    from commission_tui.photo.rectified import LEGEND

    many = Counter(place.cell for place in places if place.cell is not None)
    picture = wall_with_faults(wall, outlines, shot, many)
    return _beside_map("wall", picture, f"{what.format(LEGEND)}.", path)


def _beside_map(kind: str, picture: bytes, legend: str, path: Path) -> KeptPicture:
    from commission_tui.photo.picture_file import source_words

    caption = f"From a photograph: cabinets as they hang, and {legend} Of {source_words(path)}"
    return KeptPicture(f"{kind}-of-{path.stem}.jpg", picture, caption)


def not_logged_yet(state: State, faults: Sequence[PhotographedFault]) -> list[PhotographedFault]:
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


def log_findings(
    job: OpenJob,
    findings: Sequence[PhotographFinding],
    evidence: Sequence[KeptPicture],
    *,
    seen_on: str,
    check: str | None = None,
) -> str:
    """Log what was confirmed, and what shows it; return in words how much that was.

    Parameters
    ----------
    job : OpenJob
    findings : sequence of PhotographFinding
        Faults that stand on the punch list already are left out; answers are of `check`.
    evidence : sequence of KeptPicture
        Of all of them, kept when anything is logged; the last, which says of which photographs it
        is, is the source of each answer.
    seen_on : str
        What the wall showed.
    check : str, optional
        The check that it was done for.
    """
    new = not_logged_yet(job.state, [one.fault for one in findings if one.fault is not None])
    answers = [answer for one in findings for answer in one.answers]
    if not new and not answers:
        return "nothing new"
    readings = [
        job.reading(
            *(check or "", answer.field, answer.place, answer.value),
            confirmed=True,
            photo=evidence[-1].stored.sha256,
        )
        for answer in answers
    ]
    many, pieces = len(new), [fault.piece for fault in new]
    faults = [_fault(job.state, fault, seen_on, check) for fault in new]
    kept = [picture.body(check=check) for picture in evidence]
    job.record_all(
        [*faults, *(piece.body() for piece in pieces), *kept, *readings],
        files=[picture.stored for picture in (*pieces, *evidence)],
        about=[(many + at, at) for at in range(many)],
    )
    logged = [counted(many, "fault")] if new else []
    return " and ".join([*logged, *([counted(len(answers), "answer")] if answers else [])])


def _fault(state: State, fault: PhotographedFault, seen_on: str, check: str | None) -> e.FaultFound:
    kind = known_kind(fault.kind)
    assert kind is not None  # noqa: S101 (sorted out first)
    severity = usual_severity(kind, state.wall, fault.at)
    note = f"{fault.piece.caption}, {fault.strength}".replace("From a", "from a", 1)
    return fault_body(
        state, fault.kind, str(fault.at), severity, note=note, check=check, seen_on=seen_on
    )


def log_tiles(
    job: OpenJob, readings: Mapping[Cell, Observation], pictures: Sequence[KeptPicture]
) -> int:
    """Log what was read and keep the pictures, in one transaction; return how many cabinets.

    The last picture, which names the others, is the source of each reading.

    Raises
    ------
    InputError
        When the checklist has no mapping check.
    """
    read = {cell: reading for cell, reading in readings.items() if reading.seen is not None}
    check = mapping_check_id(job.state)
    source = pictures[-1].stored.sha256
    bodies: list[e.Body] = list(table_bodies(job, read, source))
    bodies += [picture.body(check=check) for picture in pictures]
    job.record_all(bodies, files=[picture.stored for picture in pictures])
    return len(read)


def shown_light(
    wall: Wall, outlines: Outlines, white: Shot, report: LightReport, path: Path
) -> KeptPicture:
    """Return the photograph laid out flat beside the map of relative luminance, with its uncertainty."""
    from commission_tui.photo.rectified import LEGEND, CellLabel, photograph_beside_map

    levels = {
        cell: CellLabel(
            "apart" if cell in report.white.outliers else "as it should be",
            f"{round(share - 1, 3) + 0.0:+.1%}",
        )
        for cell, share in report.white.relative.items()
    }
    how_well = (
        "not linear: shows, does not measure"
        if report.expanded is None
        else f"steps between neighbours good to ± {report.expanded:.1%} (k = 2, median)"
    )
    gradient = "" if report.gradient else "; the wall's slow gradient is not in it"
    legend = (
        f"light against the middle cabinet's ({LEGEND}); {how_well}{gradient}. It takes no meter's "
        "place."
    )
    picture = photograph_beside_map(wall, white.pixels, outlines, levels, linear=white.linear)
    return _beside_map("light", picture, legend, path)
