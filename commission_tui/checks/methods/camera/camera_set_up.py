"""Each camera as it stands: what it samples, bands, which shutters and framings are clean, its colours."""

from __future__ import annotations

from commission_tui.checks import judgement as j
from commission_tui.checks.methods.camera import optics
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.camera import (
    BEAT_HZ,
    frame_beat_hz,
    refreshes_per_exposure,
)
from commission_tui.engineering.viewing.moire import (
    RESOLVED_PHOTOSITES,
    photosite_um,
    photosites_per_pixel,
    photosites_wanted,
    shortest_clean_focal_length_mm,
)
from commission_tui.figures import shown
from commission_tui.text import listed
from commission_tui.wall.model.file_model import Camera

_MOIRE = "moiré"
_CLEAN = "clean"
_AGREED_LOOK = "an agreed look"


@method(
    fields="distance_m lens_mm sensor_width_mm raster_px shutter_type? frame_rate_hz? wall_hz? "
    "sensor? photosites_px?",
    limits="distance_from_plan_percent beat_hz?",
)
def camera_list(data: CheckInput) -> Outcome:
    """Hold each camera's place and rate against plan and wall, and say how finely it samples it."""
    off = j.judged_places(
        data,
        "distance from the plan's of {}",
        *("distance_m", {c.name: Reading(c.distance_m) for c in data.wall.file.cameras}),
        by=lambda metres, plan: metres * (100 / plan) - 100,
        unit="%",
        limit="distance_from_plan_percent",
    )
    beats = j.worst_first(optics.beats_of(data, data.one("wall_hz")))
    samples = [figure for camera in data.wall.file.cameras for figure in _sampling(data, camera)]
    figures = [*off, *beats]
    if not off and not samples:
        return Outcome(Verdict.OPEN, "distances are needed first")
    parts = [j.clauses_of(figures)] if figures else []
    parts += [f"{f.name} {shown(f.value, 2)}" for f in samples[:2]]
    step = (
        "Write the camera's place into the wall file; what it predicts for this camera is void."
        if j.bad_places(off)
        else ""
    )
    if j.bad_places(beats):
        step += (
            " Run the wall at the cameras' frame rate or a whole multiple of it, locked to their "
            "reference; a wall that runs at another rate shows torn and doubled pictures."
        )
    return j.conclude(
        [*figures, *samples],
        j.phrased(*parts),
        next_step=step.strip(),
    )


def _sampling(data: CheckInput, camera: Camera) -> list[Figure]:
    """Return photosites, and columns of the picture given out, for each wall pixel."""
    found = optics.geometry_of(data.readings, camera)
    if found is None:
        return []
    figures = optics.moire_sampling(data, camera, *found)
    names = ("raster_px", "sensor_width_mm", "photosites_px")
    out, sensor, photosites = (data.one(name, camera.name) for name in names)
    if out is None or sensor is None or photosites is None or not figures:
        return figures
    site_um = photosite_um(sensor.number, round(out.number))
    columns = photosites_per_pixel(optics.finest_pitch_mm(data), *found[:2], site_um)
    zone = "resolved" if columns >= RESOLVED_PHOTOSITES else "aliased"
    name = f"columns given out for each wall pixel on {camera.name} ({zone})"
    return [*figures, j.judged(name, columns, digits=2)]


@method(fields="shutter_s grade")
def shutter_steps(data: CheckInput) -> Outcome:
    """List the shutters round the one in use that showed no bands; each camera needs one."""
    figures: list[Figure] = []
    clean, none_clean = [], []
    for camera in data.wall.file.cameras:
        graded = _graded(data, camera.name)
        if not graded:
            continue
        unbanded = [shutter for shutter, grade in graded if grade == 0]
        name = f"clean shutters of {camera.name}"
        figures.append(j.right_or_wrong(name, len(unbanded), ok=bool(unbanded)))
        if not unbanded:
            none_clean.append(camera.name)
        clean.append(
            f"{camera.name}: {optics.shutters_text(unbanded) if unbanded else 'none clean'}"
        )
    if not figures:
        return Outcome(Verdict.OPEN, "the shutter time and the grade of a step are needed")
    reason = f"Clean shutters seen on {'; '.join(clean)}"
    return j.conclude(
        figures, reason, where=none_clean, next_step=_shutters_to_try(data, none_clean)
    )


def _graded(data: CheckInput, camera: str) -> list[tuple[float, float]]:
    """Return shutter time and grade of each step of a camera that has both."""
    found = []
    for place, shutter in data.field("shutter_s").items():
        grade = data.one("grade", place)
        if place.rpartition(", ")[0] == camera and grade is not None:
            found.append((shutter.number, grade.number))
    return found


def _shutters_to_try(data: CheckInput, none_clean: list[str]) -> str:
    camera = next((c for c in data.wall.file.cameras if c.name in none_clean), None)
    usual = (
        "Look for a shutter that holds whole refreshes, or for another refresh mode of the wall."
    )
    near = [] if camera is None else optics.clean_shutters_of(data, camera, camera.shutter_s, 3)
    return (
        f"{usual} On {camera.name} try {optics.shutters_text(near)}." if camera and near else usual
    )


@method(fields="framing clean_from_mm clean_to_mm written_limit?")
def camera_framing(data: CheckInput) -> Outcome:
    """Weigh what was seen of moiré over the zoom with the framings that are used.

    Where there is moiré there may be no clean range; where there is none, the range is asked for.
    """
    wrong: dict[str, str] = {}
    for camera in data.wall.file.cameras:
        seen, name, lens_mm = data.one("framing", camera.name), camera.name, camera.focal_length_mm
        if seen is None:
            continue
        if seen.value == _MOIRE:
            wrong[name] = f"moiré in the framings used on {name}"
            continue
        low, high = (data.one(end, name) for end in ("clean_from_mm", "clean_to_mm"))
        if low is None or high is None:
            return Outcome(Verdict.OPEN, f"the clean range of {name} is needed")
        if seen.value != _CLEAN and data.one("written_limit") is None:
            wrong[name] = f"the limit for {name} is not written down"
        elif seen.value == _CLEAN and lens_mm and not low.number <= lens_mm <= high.number:
            wrong[name] = f"the lens of {name} in the wall file is outside its clean range"
    return j.conclude(
        [figure for camera in data.wall.file.cameras for figure in _ends(data, camera)],
        j.phrased(*wrong.values()) or "Every framing in use is clean or within a written limit",
        where=wrong,
        next_step=_framing_advice(data, list(wrong)),
        failed=wrong,
    )


def _ends(data: CheckInput, camera: Camera) -> list[Figure]:
    """Record how finely the wall is sampled at both ends of the clean range."""
    figures = []
    for name, words in (("clean_from_mm", "widest"), ("clean_to_mm", "longest")):
        lens = data.one(name, camera.name)
        if lens is None or camera.photosite_um is None:
            continue
        try:
            found = photosites_per_pixel(
                optics.finest_pitch_mm(data), camera.distance_m, lens.number, camera.photosite_um
            )
        except ValueError:
            continue
        label = f"photosites for each wall pixel at the {words} clean lens of {camera.name}"
        figures.append(j.judged(label, found, digits=2))
    return figures


def _framing_advice(data: CheckInput, bad: list[str]) -> str:
    usual = "Change framing, focus or the camera's place, or agree a limit in writing"
    camera = next((c for c in data.wall.file.cameras if c.name in bad), None)
    if camera is None or camera.photosite_um is None:
        return usual + "."
    try:
        lens = shortest_clean_focal_length_mm(
            optics.finest_pitch_mm(data),
            camera.distance_m,
            camera.photosite_um,
            photosites_wanted(optics.sensor_of(data, camera)),
        )
    except ValueError:
        return usual + "."
    return f"{usual}; from about {shown(lens, 2)} mm upward {camera.name} shows no moiré."


@method(fields="red_percent green_percent blue_percent look", limits="channel_percent")
def white_in_camera(data: CheckInput) -> Outcome:
    """Judge the wall's white against a white card in each camera, colour channel by channel."""
    looks = [c for c, r in data.field("look").items() if r.value == _AGREED_LOOK]
    limit = data.limits["channel_percent"]
    figures = j.worst_first(
        j.judged_from(
            f"{colour} of the wall off the card on {camera}",
            reading,
            unit="%",
            limit=None if camera in looks else limit,
            place=camera,
        )
        for colour in ("red", "green", "blue")
        for camera, reading in data.field(f"{colour}_percent").items()
    )
    reason = j.sentence_of(figures) + (f"; an agreed look on {listed(looks)}" if looks else "")
    step = (
        "Set the wall's white to the front light's colour temperature, or agree the look in writing; "
        "balance the cameras to the card, not to the wall."
    )
    return j.conclude(figures, reason, next_step=step)


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
    limit, shutters = data.limits["band_contrast_percent"], _shutters(data)
    found = [optics.bands(data, camera, shutter_s, limit) for camera, shutter_s in shutters]
    expected = j.worst_first(figure for figure in found if figure is not None)
    unfree = j.answered_no(data, "moire_free")
    figures = [*seen, *expected]
    moire = f"moiré on {listed(unfree)}" if unfree else ""
    bands_seen = j.clauses_of(figures) if not unfree or j.bad_places(figures) else ""
    return j.conclude(
        [*figures, *(f for camera, s in shutters for f in _records(data, camera, s))],
        j.phrased(moire, bands_seen),
        where=[*j.bad_places(figures), *unfree],
        next_step=_advice(data, j.bad_places([*expected, *seen]), unfree),
        failed=unfree,
    )


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
