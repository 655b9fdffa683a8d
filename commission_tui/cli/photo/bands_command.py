"""Bands and moiré in a frame or a video, held against what the camera check reckons."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import Measured, any_file, json_option
from commission_tui.cli.output import Session, emitted, message, say
from commission_tui.errors import InputError
from commission_tui.figures import shown
from commission_tui.text import listed, quoted

if TYPE_CHECKING:
    from commission_tui.photo.bands.band_reading import BandReading
    from commission_tui.photo.bands.forecast import Forecast
    from commission_tui.wall.model.file_model import Camera
    from commission_tui.wall.model.wall_model import Wall

_TOLD_EVERY = 25
_HIGHEST_HZ = 1_000_000


@click.command("bands")
@click.argument("job")
@click.argument("photo", type=any_file)
@click.option(
    "--camera", help="Which camera of the wall file took it; the only one need not be said."
)
@click.option(
    "--shutter", help="1/50, 180° or 20 ms; else as the picture's file or the wall file says."
)
@click.option(
    "--refresh",
    type=Measured("Hz"),
    help="Of the wall at this level, Hz; else as measured or stated.",
)
@click.option("--linear", is_flag=True, help="The file's values go with light; raw files say so.")
@json_option
@click.pass_obj
def bands(
    session: Session,
    job: str,
    photo: Path,
    camera: str | None,
    shutter: str | None,
    refresh: float | None,
    linear: bool,
) -> None:
    """Read bands and moiré from a frame of the show's camera, or a video, of an even field.

    JOB is a job, or a wall file whose name ends in .toml. Show white, 50 % or 10 % grey; the camera
    still, at the show's shutter and framing, nothing clipped, all four corners of the wall in for
    moiré. Of a video the first hundred frames are read; only a video tells the drift. Stripes from
    about 3 % contrast on are found; fewer than two in the picture, and fainter ones, may be missed.
    Bars can flicker on a monitor: warn people who are sensitive to flashing light.
    """
    from commission_tui.photo.bands.band_reading import read_bands
    from commission_tui.photo.bands.forecast import held_against

    if refresh is not None and not 1 <= refresh <= _HIGHEST_HZ:
        raise InputError(f"--refresh: found {refresh:g}, expected 1 to {_HIGHEST_HZ} Hz")
    wall, measured = _wall(session, job)
    taken_by = _camera(wall, camera)
    _shutter(shutter, 50.0)  # before the picture is read: that takes a while
    found = read_bands(wall, photo, linear=linear, progress=_progress)
    forecast = _forecast(wall, found, taken_by, shutter, measured if refresh is None else refresh)
    said = held_against(found, forecast)
    if emitted(_as_dict(found, forecast, said), figures=6):
        return
    _report(found, forecast)
    for line in said:
        say(line)


def _wall(session: Session, job: str) -> tuple[Wall, float | None]:
    """Return the wall and the lowest refresh that was measured on it."""
    if job.lower().endswith(".toml"):
        return session.wall(job), None
    from commission_tui.logbook.judging.outcomes import current_readings

    with session.job(job) as opened:
        state = opened.state
        read = current_readings(state, "refresh").get("refresh_hz", {})
        return state.wall, min((r.number for r in read.values() if r.number > 0), default=None)


def _camera(wall: Wall, name: str | None) -> Camera | None:
    cameras = wall.file.cameras
    if name is None:
        return cameras[0] if len(cameras) == 1 else None
    for camera in cameras:
        if camera.name == name:
            return camera
    named = listed([quoted(camera.name) for camera in cameras]) or "a wall file that has cameras"
    raise InputError(f"--camera: found {quoted(name)}, expected {named}")


def _forecast(
    wall: Wall,
    found: BandReading,
    camera: Camera | None,
    shutter: str | None,
    refresh: float | None,
) -> Forecast:
    from commission_tui.engineering.viewing.camera import USUAL_READOUT_S
    from commission_tui.photo.bands.forecast import Forecast

    frame = found.frames_per_s or (camera.frame_rate_hz if camera else None)
    stated = found.exposure_s or (camera.shutter_s if camera else None)
    stated = _shutter(shutter, frame) or stated
    readout = camera.readout_ms / 1000 if camera and camera.readout_ms else None
    return Forecast(
        refresh_hz=refresh or wall.file.processor.refresh_hz,
        shutter_s=stated,
        readout_s=readout or USUAL_READOUT_S,
        readout_known=readout is not None,
        rolling=None if camera is None or camera.shutter is None else camera.shutter == "rolling",
        frame_hz=frame,
    )


def _shutter(text: str | None, frame_hz: float | None) -> float | None:
    from commission_tui.engineering.viewing.camera import parse_shutter_s

    if text is None:
        return None
    try:
        return parse_shutter_s(text, frame_hz)
    except ValueError as error:
        raise InputError(f"--shutter: {error}") from None


def _progress(done: int, of: int) -> None:
    if done and done % _TOLD_EVERY == 0:
        message(f"frame {done} of {of}")


def _report(found: BandReading, forecast: Forecast) -> None:
    what = f"{found.frames} frames" if found.frames > 1 else "one picture"
    shutter = f", shutter {shown(forecast.shutter_s * 1000)} ms" if forecast.shutter_s else ""
    say(f"{found.name}: {what} of {found.size[0]} x {found.size[1]}{shutter}")
    bands = found.bands
    if bands is None:
        say("bands: none found")
    else:
        lines = "columns" if bands.upright else "lines"
        contrast = "not told, the picture is clipped: expose darker"
        if bands.contrast is not None:
            contrast = f"{100 * bands.contrast:.1f} % ± {100 * bands.expanded:.1f} % (k = 2)"
        say(
            f"bands: {shown(bands.period_lines)} {lines} apart, {shown(bands.in_picture)} over the "
            f"picture; contrast {contrast}"
        )
        say(f"drift: {_drift(found)}")
    say(f"moiré: {_moire(found)}")
    if not found.linear:
        say(
            "not linear: light is taken from the file by the curve of sRGB; --linear says otherwise"
        )


def _drift(found: BandReading) -> str:
    bands = found.bands
    if found.frames == 1:
        return "not told by one picture: take a video"
    if bands is None or bands.drift_lines is None:
        return "they do not move evenly: frames are missing, or the rates change"
    if not bands.drift_lines:
        return "none, they stand"
    return f"{bands.drift_lines:+.1f} lines from frame to frame, or whole bands more"


def _moire(found: BandReading) -> str:
    if found.pixel_px is None:
        return "not looked for: that needs all four corners of a rectangular wall in the picture"
    scale = f"{found.pixel_px:.2f} pixels of the picture a pixel of the wall"
    fringes = found.fringes
    if fringes is None:
        return f"none of 2 % or more ({scale})"
    lie = f"fringes {fringes.period_px:.1f} px apart, lying at {fringes.direction_deg:.0f}° from level"
    return (
        f"{100 * fringes.contrast:.1f} % in brightness, {100 * fringes.colour_contrast:.1f} % in "
        f"colour at x {fringes.at[0]}, y {fringes.at[1]}; {lie} ({scale})"
    )


def _as_dict(found: BandReading, forecast: Forecast, said: list[str]) -> dict[str, Any]:
    bands = found.bands
    lines = found.size[0 if bands and bands.upright else 1]
    return {
        "width": found.size[0],
        "height": found.size[1],
        "frames": found.frames,
        "linear": found.linear,
        "clipped": found.clipped,
        "bands": bands,
        "moire": found.fringes,
        "pixels_a_wall_pixel": found.pixel_px,
        "expected": {
            "refresh_hz": forecast.refresh_hz,
            "shutter_s": forecast.shutter_s,
            "readout_s": forecast.readout_s if forecast.readout_known else None,
            "in_picture": forecast.in_picture if forecast.readout_known else None,
            "contrast": forecast.contrast(lines),
            "drift_lines": forecast.drift_lines(lines) if forecast.readout_known else None,
        },
        "says": said,
    }
