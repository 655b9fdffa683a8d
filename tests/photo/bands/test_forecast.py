"""What was found beside what was to be expected, and what is not known said."""

from __future__ import annotations

from dataclasses import replace

from commission_tui.photo.bands.band_reading import BandReading, Bands
from commission_tui.photo.bands.forecast import Forecast, held_against

BANDS = Bands(100.0, 10.8, upright=False, contrast=0.1, expanded=0.01, drift_lines=None)
READING = BandReading(
    name="frame.jpg",
    size=(1920, 1080),
    frames=1,
    frames_per_s=None,
    exposure_s=None,
    camera="",
    linear=True,
    clipped=0.0,
    bands=BANDS,
    fringes=None,
    pixel_px=None,
)


def said(forecast: Forecast, reading: BandReading = READING) -> str:
    return "\n".join(held_against(reading, forecast))


def test_what_agrees_is_said_to() -> None:
    found = said(Forecast(1080.0, 0.0065, 0.01, readout_known=True))
    assert "period as expected: 10.8 over the picture against 10.8" in found
    assert "contrast as expected" in found


def test_what_does_not_says_by_how_much() -> None:
    found = said(Forecast(3840.0, 0.02, 0.01, readout_known=True))
    assert "period not as expected: 10.8 over the picture against 38.4" in found
    assert "the light would come 1080 times a second instead of 3840" in found
    assert "contrast above what is expected: 10.0 % against at most" in found


def test_what_is_not_known_is_said() -> None:
    found = said(Forecast(None, None))
    assert "the refresh is not known" in found
    assert "the shutter is not known" in found
    assert "contrast" not in found
    assert "by the refresh it is 11.3 ms" in said(Forecast(960.0, 0.01))


def test_a_global_shutter_and_no_bands() -> None:
    assert "a global shutter makes no bands" in said(Forecast(960.0, 0.01, rolling=False))
    none = replace(READING, bands=None)
    assert "at most" in said(Forecast(960.0, 0.0123, 0.01, readout_known=True), none)
    assert "fewer than two are not told" in said(Forecast(96.0, 0.0123), none)
