"""What each camera sees of the wall, and what its shutter and the refresh make of it."""

from __future__ import annotations

from commission_tui.checks.judgement import (
    Placed,
    bad_places,
    clauses,
    conclude,
    judged,
    noes,
    ranked,
)
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.engineering.viewing.camera import (
    band_contrast,
    clean_shutters,
    moire,
    refreshes_per_exposure,
)
from commission_tui.figures import shown
from commission_tui.text import listed, upper_first
from commission_tui.wall.model.file_model import Camera


@method(
    "camera_shutter",
    fields=("shutter_s", "bands_grade", "moire_free"),
    limits=("bands_grade", "band_contrast_percent"),
    optional_fields=("grade_by_level",),
)
def camera_shutter(data: CheckInput) -> Outcome:
    """Judge what was seen on each camera's picture beside what its shutter lets expect."""
    cameras = data.wall.file.cameras
    seen = ranked(_seen(data))
    expected = ranked(_expected(data))
    unfree = noes(data, "moire_free")
    figures = [figure for _, figure in (*seen, *expected)]
    parts = [f"moiré on {listed(unfree)}"] if unfree else []
    parts += [clauses(figures)] if not unfree or bad_places([*seen, *expected]) else []
    bad = [*bad_places(seen), *bad_places(expected), *unfree]
    return conclude(
        [*figures, *(f for camera in cameras for f in _records(data, camera))],
        upper_first("; ".join(parts)),
        where=list(dict.fromkeys(bad)),
        next_step=_advice(data, [*bad_places(expected), *bad_places(seen)], unfree),
        also=Verdict.FAIL if unfree else None,
    )


def _seen(data: CheckInput) -> list[Placed]:
    limit = data.limits["bands_grade"]
    worst = data.field("bands_grade").items()
    by_level = data.field("grade_by_level").items()
    return [
        (name, judged(f"grade of bands on {name}", r.number, limit=limit, expanded=r.expanded))
        for name, r in (*worst, *by_level)
    ]


def _expected(data: CheckInput) -> list[Placed]:
    """Judge the worst that short light pulses would do at each shutter; needs the refresh rate."""
    refresh_hz = data.wall.file.processor.refresh_hz
    if refresh_hz is None:
        return []
    limit = data.limits["band_contrast_percent"]
    return [
        (
            name,
            judged(
                f"contrast of bands to expect on {name}",
                100 * band_contrast(shutter_s, refresh_hz),
                "%",
                limit=limit,
            ),
        )
        for name, shutter_s in data.numbers("shutter_s").items()
    ]


def _records(data: CheckInput, camera: Camera) -> list[Figure]:
    refresh_hz = data.wall.file.processor.refresh_hz
    shutter = data.one("shutter_s", camera.name)
    figures = []
    if shutter is not None and refresh_hz is not None:
        count = refreshes_per_exposure(shutter.number, refresh_hz)
        figures.append(judged(f"refreshes in the shutter of {camera.name}", count, digits=4))
    if camera.focal_length_mm is not None and camera.photosite_um is not None:
        figures += _sampling(data, camera, camera.focal_length_mm, camera.photosite_um)
    return figures


def _sampling(data: CheckInput, camera: Camera, focal_mm: float, site_um: float) -> list[Figure]:
    """Return how finely the camera samples the wall; none where it stands too near to say."""
    pitch = min(pitch_mm(c.width_mm, c.width_px) for c in data.wall.cabinets.values())
    try:
        found = moire(pitch, camera.distance_m, focal_mm, site_um)
    except ValueError:
        return []
    name = f"photosites for each wall pixel on {camera.name} ({found.zone})"
    return [judged(name, found.photosites_per_pixel, digits=2)]


def _advice(data: CheckInput, banded: list[str], unfree: list[str]) -> str:
    refresh_hz = data.wall.file.processor.refresh_hz
    parts = []
    if banded:
        parts.append("Set the shutter to a whole number of refresh periods and look again.")
        name = next(c.name for c in data.wall.file.cameras if banded[0].startswith(c.name))
        shutter = data.one("shutter_s", name)
        if refresh_hz is not None and shutter is not None:
            clean = clean_shutters(refresh_hz, shutter.number, 1)[0]
            parts[0] = (
                f"Set {name} to 1/{shown(1 / clean.shutter_s, 4)} s, "
                f"{clean.refreshes} whole refreshes, and look again at 10 % grey."
            )
    if unfree:
        parts.append(f"Change framing or focus of {unfree[0]}.")
    return " ".join(parts) or "Look again at white, 50 % and 10 % grey."
