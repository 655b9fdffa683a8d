"""What each camera sees of the wall, and what its shutter and the refresh make of it."""

from __future__ import annotations

from commission_tui.checks import judgement as j
from commission_tui.checks.methods.camera import optics
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.camera import (
    BEAT_HZ,
    frame_beat_hz,
    refreshes_per_exposure,
)
from commission_tui.text import listed
from commission_tui.wall.model.file_model import Camera


@method(
    fields="shutter_s bands_grade moire_free grade_by_level?",
    limits="bands_grade band_contrast_percent",
)
def camera_shutter(data: CheckInput) -> Outcome:
    """Judge what was seen on each camera's picture beside what its shutter lets expect."""
    words = "grade of bands on {}"
    graded = ("bands_grade", "grade_by_level")
    seen = j.worst_first(
        f for name in graded for f in j.judged_places(data, words, name, limit="bands_grade")
    )
    expected = _expected(data)
    unfree = j.answered_no(data, "moire_free")
    figures = [*seen, *expected]
    moire = f"moiré on {listed(unfree)}" if unfree else ""
    bands_seen = j.clauses_of(figures) if not unfree or j.bad_places(figures) else ""
    return j.conclude(
        [*figures, *(f for camera, s in _shutters(data) for f in _records(data, camera, s))],
        j.phrased(moire, bands_seen),
        where=[*j.bad_places(figures), *unfree],
        next_step=_advice(data, j.bad_places([*expected, *seen]), unfree),
        failed=unfree,
    )


def _expected(data: CheckInput) -> list[Figure]:
    """Judge the worst that short light pulses would do at each shutter, at the refresh as measured."""
    limit = data.limits["band_contrast_percent"]
    found = [optics.bands(data, camera, shutter_s, limit) for camera, shutter_s in _shutters(data)]
    return j.worst_first(figure for figure in found if figure is not None)


def _shutters(data: CheckInput) -> list[tuple[Camera, float]]:
    there = data.numbers("shutter_s")
    return [(c, there[c.name]) for c in data.wall.file.cameras if c.name in there]


def _records(data: CheckInput, camera: Camera, shutter_s: float) -> list[Figure]:
    figures = []
    lowest = min(optics.refreshes(data).values(), key=lambda reading: reading.number, default=None)
    if lowest is not None:
        count = refreshes_per_exposure(shutter_s, lowest.number)
        figures.append(j.judged(f"refreshes in the shutter of {camera.name}", count, digits=4))
        figures += optics.rolling_bands(data, camera, shutter_s, lowest.number)
    beat = frame_beat_hz(optics.frame_hz(data, camera), data.wall.file.processor.frame_rate_hz)
    if beat > BEAT_HZ:
        figures.append(j.judged(f"beats of {camera.name} with the wall's frames", beat, "Hz"))
    found = optics.geometry_of(data.beside, camera)
    if found is None and camera.focal_length_mm is not None and camera.photosite_um is not None:
        found = (camera.distance_m, camera.focal_length_mm, camera.photosite_um)
    return figures + ([] if found is None else optics.moire_sampling(data, camera, *found))


def _advice(data: CheckInput, banded: list[str], unfree: list[str]) -> str:
    parts = []
    shutters = {camera.name: (camera, shutter_s) for camera, shutter_s in _shutters(data)}
    named = next(
        (c.name for b in banded for c in data.wall.file.cameras if b.startswith(c.name)), ""
    )
    if banded:
        parts.append("Set the shutter to a whole number of refresh periods and look again.")
    levels = [reading.number for reading in optics.refreshes(data).values()]
    if named in shutters and levels:
        camera, shutter_s = shutters[named]
        most = data.limits["band_contrast_percent"].high
        found = optics.clean_shutters_of(
            data, camera, shutter_s, 1, optics.CLEAN_PERCENT if most is None else most
        )
        parts[0] = (
            f"Set {named} to {optics.shutter_text(found[0])}, {found[0] * min(levels):.0f} whole refreshes, "
            "and look again at 10 % grey."
            if found
            else f"No shutter that fits the frame of {named} is clean at this refresh: raise the "
            "wall's refresh at low grey and look again."
        )
    if unfree:
        parts.append(f"Change framing or focus of {unfree[0]}.")
    return " ".join(parts) or "Look again at white, 50 % and 10 % grey."
