"""Bands and moiré against pictures rendered with numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from commission_tui.engineering.viewing.camera import band_contrast, rolling_shutter_bands
from commission_tui.engineering.viewing.moire import beat_period_photosites

pytestmark = pytest.mark.outside

SIDE = 1024
SUBSAMPLES = 16


def photographed(width: float, emitter: float) -> NDArray[np.float64]:
    """A row of photosites in front of a grid: square emitters, or a cosine where `emitter` is 0.

    Each photosite averages 16 points over 30 % of its width.
    """
    inside = (np.arange(SUBSAMPLES) / SUBSAMPLES - 0.5) * 0.3
    places = (np.arange(SIDE)[:, None] + inside[None, :]) / width
    if emitter == 0.0:
        light = 0.5 + 0.5 * np.cos(2 * np.pi * places)
    else:
        light = (np.mod(places, 1.0) < emitter).astype(float)
    return np.asarray(light.mean(axis=1))


@given(st.floats(0.55, 1.95))
@settings(max_examples=50, deadline=None)
def test_the_beat_is_the_strongest_frequency(width: float) -> None:
    """numpy.fft.rfft2 of a rendered picture, 1024 photosites square, of the grid's fundamental."""
    beat = beat_period_photosites(width)
    assume(beat is not None and 2.05 < beat < SIDE / 4)
    assert beat is not None
    row = photographed(width, 0.0) * np.hanning(SIDE)
    picture = np.outer(np.hanning(SIDE), row)
    spectrum = np.abs(np.fft.rfft2(picture))[0]
    spectrum[:3] = 0.0
    assert int(spectrum.argmax()) == pytest.approx(SIDE / beat, abs=1.0)


@given(st.floats(0.7, 1.9), st.floats(0.2, 0.45))
@settings(max_examples=50, deadline=None)
def test_small_emitters_show_the_beat_too(width: float, emitter: float) -> None:
    """numpy.fft.rfft of a rendered row of square emitters: a peak stands at the beat."""
    beat = beat_period_photosites(width)
    assume(beat is not None and 2.2 < beat < SIDE / 8)
    assert beat is not None
    spectrum = np.abs(np.fft.rfft(photographed(width, emitter) * np.hanning(SIDE)))
    expected = SIDE / beat
    near = slice(int(expected), int(expected) + 2)
    assert spectrum[near].max() > 20.0 * float(np.median(spectrum))


@given(st.floats(2.05, 12.0))
@settings(max_examples=50, deadline=None)
def test_a_resolved_grid_is_seen_at_its_own_frequency(width: float) -> None:
    """numpy.fft.rfft: from 2 photosites a pixel on, the strongest frequency is the grid itself."""
    assert beat_period_photosites(width) is None
    spectrum = np.abs(np.fft.rfft(photographed(width, 0.0) * np.hanning(SIDE)))
    spectrum[:3] = 0.0
    assert int(spectrum.argmax()) == pytest.approx(SIDE / width, abs=1.0)


@given(st.floats(0.3, 40.0))
def test_counts_of_pulses_agree_with_counting(refreshes: float) -> None:
    """numpy.searchsorted counts the pulses that rows exposed at 2000 phases catch."""
    assume(abs(refreshes - round(refreshes)) > 0.01)
    pulses = np.arange(0.0, refreshes + 3.0)
    starts = np.linspace(0.0, 1.0, 2000, endpoint=False) + 1e-6
    counts = np.searchsorted(pulses, starts + refreshes) - np.searchsorted(pulses, starts)
    found = band_contrast(refreshes / 480.0, 480.0)
    assert found == pytest.approx(np.ptp(counts) / counts.mean(), rel=0.02)


@given(st.floats(0.3, 20.0), st.floats(0.05, 0.95))
def test_long_pulses_agree_with_integration(refreshes: float, lit: float) -> None:
    """numpy: the light let in between two moments, by the running integral of a square wave."""
    starts = np.linspace(0.0, 1.0, 4001)

    def let_in(moments: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.floor(moments) * lit + np.minimum(np.mod(moments, 1.0), lit)

    caught = let_in(starts + refreshes) - let_in(starts)
    expected = np.ptp(caught) / (refreshes * lit)
    found = band_contrast(refreshes / 1000.0, 1000.0, lit)
    assert found == pytest.approx(expected, abs=0.002 / (refreshes * lit))


@given(st.floats(1.05, 40.0), st.floats(0.0, 0.02))
def test_thin_bands_agree_with_integration(refreshes: float, off: float) -> None:
    """numpy: light of pulses as long as one line's time, caught by lines that open one after the
    other, near a whole number of refreshes."""
    refresh, readout, lines = 960.0, 0.01, 1080
    shutter = (round(refreshes) + off) / refresh
    width = refresh * readout / lines
    opened = np.linspace(0.0, 1.0, 200_001)

    def let_in(moments: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.floor(moments) * width + np.minimum(np.mod(moments, 1.0), width)

    caught = let_in(opened + shutter * refresh) - let_in(opened)
    expected = float(np.ptp(caught)) / (width * shutter * refresh)
    found = band_contrast(shutter, refresh, readout_s=readout, lines=lines)
    assert found == pytest.approx(expected, abs=1e-3)


def rows_lit(frame: int, refresh: float, rows: int) -> NDArray[np.float64]:
    """Phase of the wall at the start of each row's exposure."""
    starts = frame / 60.0 + np.arange(rows) / rows / 120.0
    return np.asarray(0.5 + 0.5 * np.cos(2 * np.pi * refresh * starts))


def test_rolling_bands_in_a_rendered_frame() -> None:
    """numpy.fft.rfft of a rendered column gives the number of bands; the peak of
    numpy.correlate between two frames gives the drift in rows."""
    rows, refresh = 1200, 962.0
    found = rolling_shutter_bands(refresh, 1 / 250, 1 / 120, rows, 60.0)
    first, second = (rows_lit(frame, refresh, rows) - 0.5 for frame in (0, 1))
    spectrum = np.abs(np.fft.rfft(first, 10 * rows))
    assert spectrum.argmax() / 10 == pytest.approx(found.bands_in_picture, abs=0.1)
    shifts = np.arange(-60, 61)
    alike = [float(np.dot(second[60:-60], np.roll(first, shift)[60:-60])) for shift in shifts]
    assert shifts[int(np.argmax(alike))] == pytest.approx(found.drift_rows_per_frame, abs=1.0)
