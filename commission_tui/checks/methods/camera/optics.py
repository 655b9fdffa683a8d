"""What the checks of cameras share: the pitch, the refresh as measured, what a shutter makes of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from commission_tui.checks.judgement import judged
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Reading
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.engineering.viewing.camera import (
    BEAT_HZ,
    USUAL_LINES,
    USUAL_READOUT_S,
    band_contrast,
    clean_shutters,
    flicker_contrast,
    frame_beat_hz,
    rolling_shutter_bands,
)
from commission_tui.engineering.viewing.moire import Sensor, moire, photosite_um
from commission_tui.figures import shown
from commission_tui.wall.model.file_model import Camera

_GLOBAL = "global"
_PLACE_AND_LENS = ("distance_m", "lens_mm", "sensor_width_mm")
_TRIED = 50

CLEAN_PERCENT = 2.0
"""Contrast up to which bands go unseen, where no limit says otherwise: common practice."""


def finest_pitch_mm(data: CheckInput) -> float:
    return min(pitch_mm(c.width_mm, c.width_px) for c in data.wall.cabinets.values())


def refreshes(data: CheckInput) -> dict[str, Reading]:
    """Return the refresh at each grey level as measured; only without a measurement as stated."""
    measured = {
        f" at {level}": reading
        for level, reading in data.beside.get("refresh_hz", {}).items()
        if reading.number > 0
    }
    stated = data.wall.file.processor.refresh_hz
    if measured or stated is None:
        return measured
    return {"": Reading(stated, "Hz")}


def frame_hz(data: CheckInput, camera: Camera) -> float:
    """Return a camera's frame rate as it was found, else as in the wall file."""
    for found in (data.field("frame_rate_hz"), data.beside.get("frame_rate_hz", {})):
        reading = found.get(camera.name)
        if reading is not None and reading.number > 0:
            return reading.number
    return camera.frame_rate_hz


def beats_of(data: CheckInput, wall: Reading | None) -> list[Figure]:
    """Judge how often a camera meets a wall's frame at another moment than the one before."""
    wall_hz = data.wall.file.processor.frame_rate_hz if wall is None else wall.number
    return [
        judged(
            f"beats of {camera.name} with the wall at {shown(wall_hz, 5)} Hz",
            frame_beat_hz(frame_hz(data, camera), wall_hz),
            "Hz",
            limit=data.limits.get("beat_hz"),
            place=camera.name,
        )
        for camera in (data.wall.file.cameras if wall_hz > 0 else ())
    ]


def sensor_of(data: CheckInput, camera: Camera) -> Sensor:
    found = data.one("sensor", camera.name) or data.beside.get("sensor", {}).get(camera.name)
    if found is None:
        return camera.sensor
    return "three sensors" if found.value == "three sensors" else "colour mosaic"


def _is_global(data: CheckInput, camera: Camera) -> bool:
    found = data.beside.get("shutter_type", {}).get(camera.name)
    return (camera.shutter if found is None else found.value) == _GLOBAL


def _contrast(data: CheckInput, camera: Camera, shutter_s: float, refresh_hz: float) -> float:
    """Return what the worst light, short pulses, makes of a shutter: bands, or flicker, [%]."""
    if not _is_global(data, camera):
        readout_s = USUAL_READOUT_S if camera.readout_ms is None else camera.readout_ms / 1000
        return 100 * band_contrast(shutter_s, refresh_hz, readout_s=readout_s)
    rate = frame_hz(data, camera)
    locked = data.beside.get("locked", {}).get(camera.name)
    if locked is not None and locked.value is True and frame_beat_hz(rate, refresh_hz) <= BEAT_HZ:
        return 0.0
    return 100 * flicker_contrast(shutter_s, refresh_hz, rate)


def bands(
    data: CheckInput, camera: Camera, shutter_s: float, limit: Limit | None = None
) -> Figure | None:
    """Return the worst that a shutter lets expect over the grey levels; None without a refresh.

    Raises
    ------
    ValueError
        For a shutter that is longer than the camera's frame.
    """
    frame_s = 1 / frame_hz(data, camera)
    if shutter_s > frame_s * (1 + 1e-6):
        raise RefusedError(
            f"the shutter of {camera.name} is {shutter_text(shutter_s)}, longer than its frame of "
            f"{shutter_text(frame_s)}"
        )
    what = "flicker" if _is_global(data, camera) else "contrast of bands"
    found = [
        judged(
            f"{what} to expect on {camera.name}{level}",
            _contrast(data, camera, shutter_s, refresh.number),
            "%",
            limit=limit,
            expanded=_expanded(data, camera, shutter_s, refresh),
            place=camera.name,
        )
        for level, refresh in refreshes(data).items()
    ]
    return max(found, key=lambda f: f.value + (f.expanded or 0.0), default=None)


def rolling_bands(
    data: CheckInput, camera: Camera, shutter_s: float, refresh_hz: float
) -> list[Figure]:
    """Record how many bands a rolling shutter shows and how they move; nothing for a global one."""
    if _is_global(data, camera):
        return []
    rate = frame_hz(data, camera)
    readout_s = USUAL_READOUT_S if camera.readout_ms is None else camera.readout_ms / 1000
    found = rolling_shutter_bands(
        refresh_hz, shutter_s, min(readout_s, 1 / rate), USUAL_LINES, rate
    )
    moves = found.drift_rows_per_frame * rate / USUAL_LINES
    return [
        judged(f"bands over the height of {camera.name}, if any", found.bands_in_picture, digits=2),
        judged(f"heights a second that they move on {camera.name}", abs(moves), digits=2),
    ]


def phone_bands(data: CheckInput, place: str, shutter_s: float) -> Figure | None:
    """Return what a phone's rolling shutter lets expect at worst; None without a refresh."""
    found = [
        (100 * band_contrast(shutter_s, refresh.number), level)
        for level, refresh in refreshes(data).items()
    ]
    if not found:
        return None
    worst, level = max(found)
    return judged(f"contrast of bands to expect at {place}{level}", worst, "%", digits=2)


def _expanded(data: CheckInput, camera: Camera, shutter_s: float, refresh: Reading) -> float | None:
    """Return the most that the refresh's uncertainty can change: the way there is not smooth."""
    if refresh.expanded is None or refresh.expanded >= refresh.number:
        return None
    here = _contrast(data, camera, shutter_s, refresh.number)
    ends = (refresh.number - refresh.expanded, refresh.number + refresh.expanded)
    return max(abs(_contrast(data, camera, shutter_s, end) - here) for end in ends)


def clean_shutters_of(
    data: CheckInput, camera: Camera, wanted_s: float, count: int, most: float = CLEAN_PERCENT
) -> list[float]:
    """Return shutters near a wanted one that fit the frame and are clean at every grey level."""
    levels = [reading.number for reading in refreshes(data).values()]
    if not levels:
        return []
    near = clean_shutters(min(levels), wanted_s, _TRIED, 1 / frame_hz(data, camera))
    found = [
        item.shutter_s
        for item in near
        if all(_contrast(data, camera, item.shutter_s, hz) <= most for hz in levels)
    ]
    return found[:count]


def shutter_text(shutter_s: float) -> str:
    """Say a shutter as cameras do, ``1/60 s``."""
    return f"1/{shown(1 / shutter_s, 4)} s"


def shutters_text(shutters_s: Iterable[float]) -> str:
    ordered = sorted({s for s in shutters_s if s > 0}, reverse=True)
    return ", ".join(shutter_text(s) for s in ordered)


def moire_sampling(
    data: CheckInput, camera: Camera, distance_m: float, lens_mm: float, site_um: float
) -> list[Figure]:
    """Return how finely a framing samples the wall; none where the camera stands too near to say."""
    try:
        found = moire(finest_pitch_mm(data), distance_m, lens_mm, site_um, sensor_of(data, camera))
    except ValueError:
        return []
    name = f"photosites for each wall pixel on {camera.name} ({found.zone})"
    return [judged(name, found.photosites_per_pixel, digits=2)]


def geometry_of(
    found: Mapping[str, Mapping[str, Reading]], camera: Camera
) -> tuple[float, float, float] | None:
    """Return distance, lens and photosite of a camera as it stands, [m], [mm], [µm]."""
    named = {
        name: found[name][camera.name].number
        for name in (*_PLACE_AND_LENS, "photosites_px", "raster_px")
        if camera.name in found.get(name, {})
    }
    columns = named.get("photosites_px", named.get("raster_px"))
    if columns is None or not named.keys() >= set(_PLACE_AND_LENS):
        return None
    try:
        site_um = photosite_um(named["sensor_width_mm"], round(columns))
    except ValueError:
        return None
    return named["distance_m"], named["lens_mm"], site_um
