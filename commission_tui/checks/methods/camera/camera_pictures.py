"""What cameras make of wall and face: their lock, exposure, phones, the widest shot."""

from __future__ import annotations

import math
from statistics import fmean

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.judgement import judged, judged_from
from commission_tui.checks.methods.camera.optics import (
    beats_of,
    geometry_of,
    moire_sampling,
    phone_bands,
)
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading
from commission_tui.checks.registry import method
from commission_tui.engineering.light.exposure import waveform_stops
from commission_tui.engineering.viewing.camera import parse_shutter_s
from commission_tui.engineering.viewing.frame_cadence import drift_slip_s
from commission_tui.figures import shown
from commission_tui.wall.model.file_model import Camera

_CLIPS = 100.0
_FAINTEST, _TOP = 0.1, 109.0
"""Ends of what a waveform monitor shows, [IRE]."""


@method(
    fields="locked stable_min phase_deg? phase_later_deg?",
    limits="stable_min beat_hz? drift_deg_min?",
)
def camera_lock(data: CheckInput) -> Outcome:
    """Hold each camera's rate against the wall's, and the phase against itself later."""
    found = data.beside.get("wall_hz", {}).get("wall")
    wall_hz = data.wall.file.processor.frame_rate_hz if found is None else found.number
    drift, records = _drift(data, wall_hz)
    return with_answers(
        data,
        [*beats_of(data, found), *drift],
        records=records,
        leave_out={"phase_deg", "phase_later_deg"},
        next_step="Run cameras and wall at one rate from one reference, set the phase, watch again.",
    )


def _drift(data: CheckInput, wall_hz: float) -> tuple[list[Figure], list[Figure]]:
    """Judge what a phase in degrees of a frame moved while the picture was watched."""
    first, later = data.one("phase_deg"), data.one("phase_later_deg")
    watched = max(data.numbers("stable_min").values(), default=0.0)
    if first is None or wall_hz <= 0:
        return [], []
    records = [judged("phase set in the processor", first.number / 0.36 / wall_hz, "ms")]
    if later is None or watched <= 0:
        return [], records
    # The short way round: a phase is the same after a whole turn.
    moved = math.remainder(later.number - first.number, 360.0)
    drift = judged(
        "drift of the phase in a minute",
        abs(moved) / watched,
        "deg",
        limit=data.limits.get("drift_deg_min"),
        budget=function_budget(lambda before, after: (after - before) / watched, first, later),
        place="wall",
    )
    slip = drift_slip_s(moved / 360 / wall_hz * 1e6, 60 * watched, wall_hz)
    if slip is not None:
        records.append(judged("time until this drift is a whole frame", slip / 3600, "h"))
    return [drift], records


@method(
    fields="face_level wall_level not_clipped",
    limits="face_level wall_level face_reflectance_percent?",
)
def camera_exposure(data: CheckInput) -> Outcome:
    """Hold the levels on the waveform against the light that was measured on face and wall."""
    placed: list[Figure] = []
    records: list[Figure] = []
    for camera in data.wall.file.cameras:
        face, wall = data.one("face_level", camera.name), data.one("wall_level", camera.name)
        if face is None or wall is None or face.number <= 0 or not 0 < wall.number < _CLIPS:
            continue
        name = f"wall over the face on the waveform of {camera.name}"
        records.append(judged_from(name, face, wall, by=_stops, unit="stops"))
        placed += _reflectance(data, camera, face, wall)
    return with_answers(
        data,
        placed,
        records=records,
        remark="a face's share of the light follows from levels and meters" if placed else "",
        next_step="Lower the wall, raise the light on the face or move the iris; where the light that "
        "a face seems to give back cannot be, look for a knee in the camera or a meter read wrong.",
    )


def _stops(face: float, wall: float) -> float:
    """Return wall over face in stops; levels that only an error could reach count as the ends."""
    return waveform_stops(*(min(max(level, _FAINTEST), _TOP) for level in (face, wall)))


def _reflectance(data: CheckInput, camera: Camera, face: Reading, wall: Reading) -> list[Figure]:
    """Judge the share of the front light that the face gives back, which no face can exceed."""
    white = data.beside.get("wall_white_cd_m2", {}).get("wall")
    lights = list(data.beside.get("presenter_lx", {}).values())
    if white is None or not lights or min(r.number for r in lights) <= 0 or white.number <= 0:
        return []

    def percent(white: float, face: float, wall: float, *lights: float) -> float:
        return float(100 * math.pi * white / 2.0 ** _stops(face, wall) / fmean(lights))

    figure = judged_from(
        f"light that the face gives back by {camera.name}",
        *(white, face, wall, *lights),
        by=percent,
        unit="%",
        limit=data.limits.get("face_reflectance_percent"),
        digits=2,
        place=camera.name,
    )
    return [figure]


@method(fields="grade client_told", limits="grade?")
def phones_and_stills(data: CheckInput) -> Outcome:
    """Record what a phone's shutters let expect beside what was graded."""
    records = [
        figure
        for place in data.expected.get("grade", ())
        if (figure := phone_bands(data, place, parse_shutter_s(place))) is not None
    ]
    return with_answers(
        data,
        records=records,
        next_step="Show the client the pictures at each shutter and log that it was told.",
    )


@method(fields="accepted lens_mm? still? looked_at_by?")
def widest_shot(data: CheckInput) -> Outcome:
    """Say how finely each camera's widest shot samples the wall."""
    records: list[Figure] = []
    for camera in data.wall.file.cameras:
        lens = data.field("lens_mm").get(camera.name)
        there = {**data.beside, **({} if lens is None else {"lens_mm": {camera.name: lens}})}
        found = geometry_of(there, camera)
        if found is not None:
            records += moire_sampling(data, camera, *found)
    phrases = [f"{figure.name} {shown(figure.value, 2)}" for figure in records[:2]]
    return with_answers(
        data,
        records=records,
        remark="; ".join(phrases),
        leave_out={"lens_mm"},
        next_step="Change level, white, light or framing with the technical director and look again.",
    )
