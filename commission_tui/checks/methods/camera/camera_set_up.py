"""Each camera as it stands: what it samples, which shutters and framings are clean, its colours."""

from __future__ import annotations

from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.judgement import (
    Placed,
    bad_places,
    clauses_of,
    conclude,
    judged,
    right_or_wrong,
    sentence_of,
    worst_first,
)
from commission_tui.checks.methods.camera.optics import (
    clean_shutters_of,
    finest_pitch_mm,
    frame_hz,
    moire_sampling,
    optics,
    sensor_of,
    shutters_text,
)
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.camera import (
    RESOLVED_PHOTOSITES,
    frame_beat_hz,
    photosite_um,
    photosites_per_pixel,
    photosites_wanted,
    shortest_clean_focal_length_mm,
)
from commission_tui.figures import shown
from commission_tui.text import listed, upper_first
from commission_tui.wall.model.file_model import Camera

_MOIRE = "moiré"
_CLEAN = "clean"
_AGREED_LOOK = "an agreed look"
_CHANNELS = ("red", "green", "blue")


@method(
    "camera_list",
    fields=("distance_m", "lens_mm", "sensor_width_mm", "raster_px"),
    limits=("distance_from_plan_percent",),
    optional_fields=("shutter_type", "frame_rate_hz", "wall_hz", "sensor", "photosites_px"),
    optional_limits=("beat_hz",),
)
def camera_list(data: CheckInput) -> Outcome:
    """Hold each camera's place and rate against plan and wall, and say how finely it samples it."""
    off, beats = worst_first(_off_plan(data)), worst_first(_beats(data))
    samples = [figure for camera in data.wall.file.cameras for figure in _sampling(data, camera)]
    figures = [figure for _, figure in (*off, *beats)]
    if not off and not samples:
        return Outcome(Verdict.OPEN, "distances are needed first")
    parts = [clauses_of(figures)] if figures else []
    parts += [f"{f.name} {shown(f.value, 2)}" for f in samples[:2]]
    step = (
        "Write the camera's place into the wall file; what it predicts for this camera is void."
        if bad_places(off)
        else ""
    )
    if bad_places(beats):
        step += (
            " Run the wall at the cameras' frame rate or a whole multiple of it, locked to their "
            "reference; a wall that runs at another rate shows torn and doubled pictures."
        )
    return conclude(
        [*figures, *samples],
        upper_first("; ".join(parts)),
        where=list(dict.fromkeys([*bad_places(off), *bad_places(beats)])),
        next_step=step.strip(),
    )


def _beats(data: CheckInput) -> list[Placed]:
    """Judge how often a camera meets a wall's frame at another moment than the one before."""
    found = data.one("wall_hz")
    wall_hz = data.wall.file.processor.frame_rate_hz if found is None else found.number
    if wall_hz <= 0:
        return []
    return [
        (
            camera.name,
            judged(
                f"beats of {camera.name} with the wall at {shown(wall_hz, 5)} Hz",
                frame_beat_hz(frame_hz(data, camera), wall_hz),
                "Hz",
                limit=data.limits.get("beat_hz"),
            ),
        )
        for camera in data.wall.file.cameras
    ]


def _off_plan(data: CheckInput) -> list[Placed]:
    placed: list[Placed] = []
    limit = data.limits["distance_from_plan_percent"]
    for camera in data.wall.file.cameras:
        reading = data.one("distance_m", camera.name)
        if reading is None:
            continue
        per_m = 100 / camera.distance_m
        figure = judged(
            f"distance from the plan's of {camera.name}",
            reading.number * per_m - 100,
            "%",
            limit=limit,
            expanded=budget_of(reading, per_m),
        )
        placed.append((camera.name, figure))
    return placed


def _sampling(data: CheckInput, camera: Camera) -> list[Figure]:
    """Return photosites, and columns of the picture given out, for each wall pixel."""
    found = optics(data.readings, camera)
    if found is None:
        return []
    figures = moire_sampling(data, camera, *found)
    out, sensor = data.one("raster_px", camera.name), data.one("sensor_width_mm", camera.name)
    if (
        data.one("photosites_px", camera.name) is None
        or out is None
        or sensor is None
        or not figures
    ):
        return figures
    columns = photosites_per_pixel(
        finest_pitch_mm(data), found[0], found[1], photosite_um(sensor.number, round(out.number))
    )
    zone = "resolved" if columns >= RESOLVED_PHOTOSITES else "aliased"
    name = f"columns given out for each wall pixel on {camera.name} ({zone})"
    return [*figures, judged(name, columns, digits=2)]


@method("shutter_steps", fields=("shutter_s", "grade"))
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
        figures.append(right_or_wrong(name, len(unbanded), ok=bool(unbanded)))
        if not unbanded:
            none_clean.append(camera.name)
        clean.append(f"{camera.name}: {shutters_text(unbanded) if unbanded else 'none clean'}")
    if not figures:
        return Outcome(Verdict.OPEN, "the shutter time and the grade of a step are needed")
    reason = f"Clean shutters seen on {'; '.join(clean)}"
    return conclude(figures, reason, where=none_clean, next_step=_shutters_to_try(data, none_clean))


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
    near = [] if camera is None else clean_shutters_of(data, camera, camera.shutter_s, 3)
    return f"{usual} On {camera.name} try {shutters_text(near)}." if camera and near else usual


@method(
    "camera_framing",
    fields=("framing", "clean_from_mm", "clean_to_mm"),
    optional_fields=("written_limit",),
)
def camera_framing(data: CheckInput) -> Outcome:
    """Weigh what was seen of moiré over the zoom with the framings that are used.

    Where there is moiré there may be no clean range; where there is none, the range is asked for.
    """
    unknown = [camera.name for camera in data.wall.file.cameras if _range_missing(data, camera)]
    if unknown:
        return Outcome(Verdict.OPEN, f"the clean range of {unknown[0]} is needed")
    figures: list[Figure] = []
    bad, phrases = [], []
    for camera in data.wall.file.cameras:
        seen = data.one("framing", camera.name)
        figures += _ends(data, camera)
        if seen is not None and seen.value == _MOIRE:
            bad.append(camera.name)
            phrases.append(f"moiré in the framings used on {camera.name}")
        elif seen is not None and seen.value == _CLEAN and _lens_outside(data, camera):
            bad.append(camera.name)
            phrases.append(f"the lens of {camera.name} in the wall file is outside its clean range")
        elif seen is not None and seen.value != _CLEAN and data.one("written_limit") is None:
            bad.append(camera.name)
            phrases.append(f"the limit for {camera.name} is not written down")
    reason = (
        upper_first("; ".join(phrases)) or "Every framing in use is clean or within a written limit"
    )
    also = Verdict.FAIL if bad else None
    return conclude(figures, reason, where=bad, next_step=_framing_advice(data, bad), also=also)


def _range_missing(data: CheckInput, camera: Camera) -> bool:
    seen = data.one("framing", camera.name)
    ends = [data.one(name, camera.name) for name in ("clean_from_mm", "clean_to_mm")]
    return seen is not None and seen.value != _MOIRE and None in ends


def _lens_outside(data: CheckInput, camera: Camera) -> bool:
    low, high = (data.one(name, camera.name) for name in ("clean_from_mm", "clean_to_mm"))
    lens = camera.focal_length_mm
    if low is None or high is None or lens is None:
        return False
    return not low.number <= lens <= high.number


def _ends(data: CheckInput, camera: Camera) -> list[Figure]:
    """Record how finely the wall is sampled at both ends of the clean range."""
    figures = []
    for name, words in (("clean_from_mm", "widest"), ("clean_to_mm", "longest")):
        lens = data.one(name, camera.name)
        if lens is None or camera.photosite_um is None:
            continue
        try:
            found = photosites_per_pixel(
                finest_pitch_mm(data), camera.distance_m, lens.number, camera.photosite_um
            )
        except ValueError:
            continue
        label = f"photosites for each wall pixel at the {words} clean lens of {camera.name}"
        figures.append(judged(label, found, digits=2))
    return figures


def _framing_advice(data: CheckInput, bad: list[str]) -> str:
    usual = "Change framing, focus or the camera's place, or agree a limit in writing"
    camera = next((c for c in data.wall.file.cameras if c.name in bad), None)
    if camera is None or camera.photosite_um is None:
        return usual + "."
    try:
        lens = shortest_clean_focal_length_mm(
            finest_pitch_mm(data),
            camera.distance_m,
            camera.photosite_um,
            photosites_wanted(sensor_of(data, camera)),
        )
    except ValueError:
        return usual + "."
    return f"{usual}; from about {shown(lens, 2)} mm upward {camera.name} shows no moiré."


@method(
    "white_in_camera",
    fields=("red_percent", "green_percent", "blue_percent", "look"),
    limits=("channel_percent",),
)
def white_in_camera(data: CheckInput) -> Outcome:
    """Judge the wall's white against a white card in each camera, colour channel by channel."""
    placed: list[Placed] = []
    for colour in _CHANNELS:
        for camera, reading in data.field(f"{colour}_percent").items():
            look = data.one("look", camera)
            agreed = look is not None and look.value == _AGREED_LOOK
            figure = judged(
                f"{colour} of the wall off the card on {camera}",
                reading.number,
                "%",
                limit=None if agreed else data.limits["channel_percent"],
                expanded=budget_of(reading),
            )
            placed.append((camera, figure))
    order = worst_first(placed)
    looks = [c for c, r in data.field("look").items() if r.value == _AGREED_LOOK]
    figures = [figure for _, figure in order]
    reason = sentence_of(figures) + (f"; an agreed look on {listed(looks)}" if looks else "")
    step = (
        "Set the wall's white to the front light's colour temperature, or agree the look in writing; "
        "balance the cameras to the card, not to the wall."
    )
    bad = bad_places(order)
    return conclude(figures, reason, where=bad, next_step=step)
