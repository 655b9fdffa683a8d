"""What the shutter, the refresh and the framing let expect, beside what a picture shows."""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.engineering.viewing.camera import (
    USUAL_READOUT_S,
    band_contrast,
    rolling_shutter_bands,
)
from commission_tui.figures import shown
from commission_tui.photo.bands.band_reading import BandReading

_ALIKE = 0.10
"""Periods that differ by no more agree: what reading one from a picture may be off by."""


@dataclass(frozen=True)
class Forecast:
    """What is known of wall and camera, and what the camera check reckons from it."""

    refresh_hz: float | None
    """Of the wall, [Hz]; None where neither the wall file nor a reading says it."""
    shutter_s: float | None
    """[s]."""
    readout_s: float = USUAL_READOUT_S
    """First line to last, [s]; the usual one where the wall file does not say it."""
    readout_known: bool = False
    rolling: bool | None = None
    """None where the wall file does not say which kind of shutter it is."""
    frame_hz: float | None = None
    """Of the camera, [Hz]."""

    @property
    def in_picture(self) -> float | None:
        """Bands over the picture's lines, [1]."""
        return None if self.refresh_hz is None else self.refresh_hz * self.readout_s

    def contrast(self, lines: int) -> float | None:
        """Return the most that short pulses would make, [1]; see `band_contrast`."""
        if self.refresh_hz is None or self.shutter_s is None:
            return None
        return band_contrast(self.shutter_s, self.refresh_hz, readout_s=self.readout_s, lines=lines)

    def drift_lines(self, lines: int) -> float | None:
        """Return by how many lines bands move from frame to frame."""
        if self.refresh_hz is None or self.frame_hz is None:
            return None
        readout = min(self.readout_s, 1 / self.frame_hz)
        shutter = self.shutter_s or 1 / self.frame_hz
        return rolling_shutter_bands(
            self.refresh_hz, shutter, readout, lines, self.frame_hz
        ).drift_rows_per_frame


def held_against(reading: BandReading, forecast: Forecast) -> list[str]:
    """Say what was found beside what was to be expected, and what is not known."""
    said = []
    if forecast.refresh_hz is None:
        said.append(
            "the refresh is not known: the wall file has no processor.refresh_hz and none was "
            "measured, so nothing is held against it"
        )
    if forecast.shutter_s is None:
        said.append("the shutter is not known: say it with --shutter")
    bands = reading.bands
    if bands is None:
        return said + _none_found(reading, forecast)
    lines = reading.size[0 if bands.upright else 1]
    if forecast.rolling is False:
        said.append("a global shutter makes no bands: is this picture of that camera?")
    said += _period(bands.in_picture, forecast)
    most = forecast.contrast(lines)
    if most is not None and bands.contrast is not None:
        here = (
            f"{100 * bands.contrast:.1f} % against at most {100 * most:.1f} % by the camera check"
        )
        if bands.contrast - bands.expanded <= most * (1 + _ALIKE):
            said.append(f"contrast as expected: {here}")
        else:
            said.append(
                f"contrast above what is expected: {here}; at this level the light comes less often "
                "than the refresh says, or the shutter is another"
            )
    wanted = forecast.drift_lines(lines)
    if wanted is not None and bands.drift_lines is not None:
        said.append(
            f"drift: {bands.drift_lines:+.1f} lines a frame, {wanted:+.1f} by refresh and frame rate"
            " (a hundredth of a per cent of the refresh turns it)"
        )
    return said


def _none_found(reading: BandReading, forecast: Forecast) -> list[str]:
    lines = reading.size[1]
    most, many = forecast.contrast(lines), forecast.in_picture
    if most is None or many is None or forecast.rolling is False:
        return []
    said = f"at most {100 * most:.1f} % were to be expected, {shown(many, 2)} over the picture"
    return [f"{said}; fewer than two are not told" if many < 2.0 else said]


def _period(found: float, forecast: Forecast) -> list[str]:
    """Hold the number of bands against refresh times readout, or say what one makes of the other."""
    if forecast.refresh_hz is None:
        if not forecast.readout_known:
            return []
        return [
            f"with this readout the light comes {shown(found / forecast.readout_s)} times a second"
        ]
    if not forecast.readout_known:
        readout_ms = 1000 * found / forecast.refresh_hz
        return [
            f"the readout of this camera is not known; by the refresh it is {shown(readout_ms)} ms: "
            "write it into the wall file as readout_ms"
        ]
    wanted = forecast.refresh_hz * forecast.readout_s
    here = f"{shown(found)} over the picture against {shown(wanted)} by refresh and readout"
    if abs(found / wanted - 1) <= _ALIKE:
        return [f"period as expected: {here}"]
    return [
        f"period not as expected: {here}; the light would come {shown(found / forecast.readout_s)} "
        f"times a second instead of {shown(forecast.refresh_hz)}"
    ]
