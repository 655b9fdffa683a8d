"""Bands and moiré."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.viewing.camera import (
    band_contrast,
    clean_shutters,
    flicker_contrast,
    frame_beat_hz,
    parse_shutter_s,
    refreshes_per_exposure,
    rolling_shutter_bands,
)
from commission_tui.engineering.viewing.moire import (
    MoireZone,
    beat_period_photosites,
    farthest_clean_distance_m,
    moire,
    photosite_um,
    photosites_per_pixel,
    photosites_wanted,
    shortest_clean_focal_length_mm,
)

ANY = st.floats(allow_nan=True, allow_infinity=True)


def test_shutter_against_refresh() -> None:
    assert refreshes_per_exposure(1 / 250, 3840.0) == pytest.approx(15.36)
    assert band_contrast(1 / 250, 3840.0) == pytest.approx(0.0651, abs=1e-4)
    assert band_contrast(1 / 2000, 3840.0) == pytest.approx(1 / 1.92)
    assert band_contrast(1 / 60, 3840.0) == pytest.approx(0.0, abs=1e-12)
    assert band_contrast(0.3, 10.0) == pytest.approx(0.0, abs=1e-12)
    assert band_contrast(1 / 8000, 3840.0) == pytest.approx(1 / 0.48)


@pytest.mark.parametrize(
    ("refreshes", "lit", "contrast"),
    [
        (2.25, 0.5, 0.25 / (2.25 * 0.5)),
        (2.75, 0.5, 0.25 / (2.75 * 0.5)),
        (2.50, 0.1, 0.1 / (2.5 * 0.1)),
        (2.50, 0.9, 0.1 / (2.5 * 0.9)),
        (2.50, 1.0, 0.0),
        (2.00, 0.1, 0.0),
        (2.50, 0.0005, 1 / 2.5),
    ],
)
def test_longer_pulses_band_less(refreshes: float, lit: float, contrast: float) -> None:
    assert band_contrast(refreshes / 100.0, 100.0, lit) == pytest.approx(contrast)


def test_a_shutter_a_hair_off_a_whole_number_of_refreshes_shows_no_band() -> None:
    """1/60 s and its rounding to 0.016667 s at 480 Hz differ by 1.6e-4 refreshes: no line of it."""
    assert band_contrast(1 / 60, 480.0) < 1e-9
    assert band_contrast(0.016667, 480.0) < 0.005
    assert band_contrast(0.0165, 480.0) == pytest.approx(1 / 7.92)


@given(st.floats(24.0, 20000.0), st.floats(1e-4, 0.04), st.floats(-1e-6, 1e-6))
def test_bands_have_no_edge(refresh: float, shutter: float, off: float) -> None:
    """A change of the shutter by a millionth never changes the contrast by more than its slope."""
    slope = 1.2 * 1080 / 0.01 / shutter + 1 / (shutter**2 * refresh)
    here, there = (band_contrast(s, refresh) for s in (shutter, shutter * (1 + off)))
    assert abs(here - there) <= slope * shutter * abs(off) + 1e-12


def test_a_global_shutter_flickers_instead() -> None:
    assert flicker_contrast(1 / 100, 480.0, 50.0) == pytest.approx(1 / 4.8)
    assert flicker_contrast(1 / 60, 480.0, 50.0) == pytest.approx(0.0, abs=1e-12)
    # 0.01 refreshes off: every second second a frame of the other kind.
    assert flicker_contrast(8.01 / 480.0, 480.0, 50.0) == pytest.approx(0.5 / 8.01)


@pytest.mark.parametrize(
    ("camera", "wall", "beat"),
    [(50, 60, 10), (60, 50, 10), (25, 50, 0), (100, 50, 0), (24, 60, 12), (59.94, 60, 0.06)],
)
def test_frame_rates_beat(camera: float, wall: float, beat: float) -> None:
    assert frame_beat_hz(camera, wall) == pytest.approx(beat, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "rate", "seconds"),
    [
        ("1/50", None, 0.02),
        ("1/50 s", None, 0.02),
        ("20 ms", None, 0.02),
        ("0.02", None, 0.02),
        ("0,02", None, 0.02),
        ("180°", 25.0, 0.02),
        ("172.8 deg", 24.0, 0.02),
        ("360 degrees", 50.0, 0.02),
    ],
)
def test_shutters_as_cameras_show_them(text: str, rate: float | None, seconds: float) -> None:
    assert parse_shutter_s(text, rate) == pytest.approx(seconds)


def test_three_sensors_need_half_the_photosites_of_a_mosaic() -> None:
    assert (photosites_wanted(), photosites_wanted("three sensors")) == (4.0, 2.0)
    assert moire(2.5, 10.0, 10.0, 1.0).zone == MoireZone.COLOUR_ONLY
    assert moire(2.5, 10.0, 10.0, 1.0, "three sensors").zone == MoireZone.SAFE
    assert moire(1.9, 10.0, 10.0, 1.0, "three sensors").zone == MoireZone.ALIASED


def test_no_shutter_outlasts_the_frame() -> None:
    assert [s.refreshes for s in clean_shutters(480.0, 1 / 50, 3)] == [10, 9, 11]
    assert [s.refreshes for s in clean_shutters(480.0, 1 / 50, 3, 1 / 50)] == [9, 8, 7]
    assert [s.refreshes for s in clean_shutters(480.0, 1 / 60, 1, 1 / 60)] == [8]
    assert [s.refreshes for s in clean_shutters(480.0, 1 / 2, 1, 1 / 60)] == [8]
    assert clean_shutters(40.0, 1 / 50, 3, 1 / 50) == ()


def test_clean_shutters_near_a_wanted_one() -> None:
    found = clean_shutters(3840.0, 1 / 250)
    assert [shutter.refreshes for shutter in found] == [15, 16, 14]
    assert found[0].shutter_s == pytest.approx(15 / 3840)
    assert clean_shutters(3840.0, 1 / 60, 1)[0].refreshes == 64
    assert [s.refreshes for s in clean_shutters(100.0, 1e-4, 4)] == [1, 2, 3, 4]
    assert [s.refreshes for s in clean_shutters(100.0, math.sqrt(6.0) / 100.0, 2)] == [2, 3]


@given(st.floats(50.0, 20000.0), st.floats(1e-4, 0.1), st.integers(1, 8))
def test_every_clean_shutter_is_clean(refresh: float, wanted: float, count: int) -> None:
    found = clean_shutters(refresh, wanted, count)
    assert len(found) == count
    distances = [abs(math.log2(shutter.shutter_s / wanted)) for shutter in found]
    assert (
        distances == sorted(distances)
        or max(abs(a - b) for a, b in zip(distances, sorted(distances), strict=True)) < 1e-9
    )
    for shutter in found:
        assert band_contrast(shutter.shutter_s, refresh) == pytest.approx(0.0, abs=1e-9)
        assert shutter.refreshes >= 1


def test_rolling_bands() -> None:
    bands = rolling_shutter_bands(480.0, 1 / 250, 1 / 120, 1080, 60.0)
    assert bands.bands_in_picture == pytest.approx(4.0)
    assert bands.band_height_rows == pytest.approx(270.0)
    assert str(bands.drift_rows_per_frame) == "0.0"
    assert rolling_shutter_bands(480.0, 1.0, 0.0005, 2, 60.0).band_height_rows == pytest.approx(
        2 / 0.24
    )
    assert bands.contrast == pytest.approx(1 / 1.92)


def test_rolling_bands_drift_against_the_phase() -> None:
    # 480.6 Hz is 8.01 refreshes a frame: each frame starts 0.01 further on.
    up = rolling_shutter_bands(480.6, 1 / 250, 1 / 120, 1080, 60.0)
    assert up.drift_rows_per_frame == pytest.approx(-0.01 * up.band_height_rows, rel=1e-6)
    down = rolling_shutter_bands(479.4, 1 / 250, 1 / 120, 1080, 60.0)
    assert down.drift_rows_per_frame == pytest.approx(0.01 * down.band_height_rows, rel=1e-6)
    assert down.band_height_rows == pytest.approx(1080 * 120 / 479.4)


@pytest.mark.parametrize(
    ("distance", "width", "zone", "beat"),
    [
        (6.5, 4.006, MoireZone.SAFE, None),
        (6.6, 3.945, MoireZone.COLOUR_ONLY, None),
        (13.0, 2.003, MoireZone.COLOUR_ONLY, None),
        (13.1, 1.988, MoireZone.ALIASED, 2.012),
        (24.0, 1.085, MoireZone.ALIASED, 12.765),
        (28.0, 0.930, MoireZone.ALIASED, 13.286),
    ],
)
def test_moire_of_a_camera_position(
    distance: float, width: float, zone: MoireZone, beat: float | None
) -> None:
    found = moire(2.604, distance, 50.0, 5.0)
    assert found.photosites_per_pixel == pytest.approx(width, abs=6e-4)
    assert found.zone == zone
    if beat is None:
        assert found.beat_photosites is None
    else:
        assert found.beat_photosites == pytest.approx(beat, abs=2e-3)


def test_zones_include_their_lower_edge() -> None:
    assert moire(4.0, 10.0, 10.0, 1.0).zone == MoireZone.SAFE
    assert moire(2.0, 10.0, 10.0, 1.0).zone == MoireZone.COLOUR_ONLY
    assert moire(1.0, 10.0, 10.0, 1.0).zone == MoireZone.ALIASED


def test_no_bar_where_the_grids_lock() -> None:
    assert beat_period_photosites(1.0) is None
    assert beat_period_photosites(0.5) is None
    assert beat_period_photosites(2.0) is None
    assert beat_period_photosites(1.999) == pytest.approx(1.999 / 0.999)
    assert beat_period_photosites(1 / (1 + 1e-6)) == pytest.approx(1e6, rel=1e-3)
    assert beat_period_photosites(1 / (1 + 5e-10)) is None
    assert beat_period_photosites(1 / (100 + 5e-8)) is None
    assert beat_period_photosites(1.3e-6) is not None
    assert beat_period_photosites(0.4) == pytest.approx(2.0)


@given(st.floats(1.5, 20.0), st.floats(5.0, 200.0), st.floats(1.0, 10.0), st.floats(1.0, 6.0))
def test_clean_positions_have_the_wanted_photosites(
    pitch: float, focal: float, site: float, wanted: float
) -> None:
    distance = farthest_clean_distance_m(pitch, focal, site, wanted)
    assert photosites_per_pixel(pitch, distance, focal, site) == pytest.approx(wanted)
    again = shortest_clean_focal_length_mm(pitch, distance, site, wanted)
    assert again == pytest.approx(focal)


def test_photosite_width() -> None:
    assert photosite_um(0.005, 1) == pytest.approx(5.0)
    assert photosite_um(36.0, 6000) == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: refreshes_per_exposure(0.0, 1.0), "shutter_s is 0 s"),
        (lambda: refreshes_per_exposure(1.0, 0.0), "refresh_hz is 0 Hz"),
        (lambda: refreshes_per_exposure(1e5, 1e5), "refreshes per exposure is 1e[+]10"),
        (lambda: refreshes_per_exposure(1e-200, 1e-200), "refreshes per exposure is 0"),
        (lambda: band_contrast(0.5, 1.0, 0.0), "lit_fraction is 0"),
        (lambda: band_contrast(0.5, 1.0, 1.001), "lit_fraction is 1.001"),
        (lambda: band_contrast(0.5, 1.0, readout_s=0.0), "readout_s is 0 s"),
        (lambda: band_contrast(0.5, 1.0, lines=1), "lines is 1"),
        (lambda: flicker_contrast(0.5, 1.0, 0.0), "frame_hz is 0"),
        (lambda: clean_shutters(1.0, 1.0, longest_s=0.0), "longest_s is 0"),
        (lambda: frame_beat_hz(0.0, 60.0), "camera_hz is 0"),
        (lambda: frame_beat_hz(60.0, 1e-320), "ratio of the rates would be inf"),
        (lambda: parse_shutter_s("180°"), "is an angle, expected the camera's frame rate"),
        (lambda: parse_shutter_s("361°", 25.0), "shutter is 361 °, expected > 0 ° and <= 360 °"),
        (lambda: parse_shutter_s("0"), "shutter is 0 s"),
        (lambda: parse_shutter_s("-1/50"), "shutter is -0.02 s"),
        (lambda: parse_shutter_s("1/0"), "divided by 0"),
        (lambda: parse_shutter_s("fast"), "'fast'"),
        (lambda: photosites_wanted("two"), "sensor is 'two', expected one of colour mosaic"),  # type: ignore[arg-type]
        (lambda: clean_shutters(0.0, 1.0), "refresh_hz is 0"),
        (lambda: clean_shutters(1.0, 0.0), "wanted_s is 0"),
        (lambda: clean_shutters(1.0, 1.0, 0), "count is 0"),
        (lambda: clean_shutters(1.0, 1.0, 101), "count is 101"),
        (lambda: rolling_shutter_bands(0.0, 1.0, 0.01, 100, 50.0), "refresh_hz is 0"),
        (lambda: rolling_shutter_bands(100.0, 1.0, 0.01, 1, 50.0), "rows is 1"),
        (lambda: rolling_shutter_bands(100.0, 1.0, 0.021, 100, 50.0), "readout_s is 0.021 s"),
        (lambda: rolling_shutter_bands(100.0, 1.0, 0.0, 100, 50.0), "readout_s is 0 s"),
        (lambda: rolling_shutter_bands(100.0, 1.0, 0.01, 100, 0.0), "frame_hz is 0"),
        (lambda: photosites_per_pixel(0.0, 9.0, 50.0, 5.0), "pitch_mm is 0"),
        (lambda: photosites_per_pixel(2.5, 0.9, 50.0, 5.0), "distance_m is 0.9 m, expected >= 1 m"),
        (lambda: photosites_per_pixel(2.5, 9.0, 0.0, 5.0), "focal_length_mm is 0"),
        (lambda: photosites_per_pixel(2.5, 9.0, 50.0, 0.0), "photosite_um is 0"),
        (lambda: photosites_per_pixel(1e-320, 9.0, 50.0, 5e9), "photosites per pixel is 0"),
        (lambda: photosites_per_pixel(1e300, 9.0, 50.0, 1e-300), "would be inf"),
        (lambda: beat_period_photosites(9e-7), "photosites_per_pixel is 9e-07"),
        (lambda: photosite_um(0.0, 10), "sensor_width_mm is 0"),
        (lambda: photosite_um(1.0, 0), "columns is 0"),
        (lambda: farthest_clean_distance_m(0.0, 50.0, 5.0), "pitch_mm is 0"),
        (lambda: farthest_clean_distance_m(2.5, 0.0, 5.0), "focal_length_mm is 0"),
        (lambda: farthest_clean_distance_m(2.5, 50.0, 0.0), "photosite_um is 0"),
        (lambda: farthest_clean_distance_m(2.5, 50.0, 5.0, 0.0), "photosites is 0"),
        (lambda: farthest_clean_distance_m(0.1, 50.0, 5.0), "distance_m is 0.25 m, expected >= 1"),
        (lambda: shortest_clean_focal_length_mm(0.0, 9.0, 5.0), "pitch_mm is 0"),
        (lambda: shortest_clean_focal_length_mm(2.5, 0.0, 5.0), "distance_m is 0"),
        (lambda: shortest_clean_focal_length_mm(2.5, 9.0, 0.0), "photosite_um is 0"),
        (lambda: shortest_clean_focal_length_mm(2.5, 9.0, 5.0, 0.0), "photosites is 0"),
        (
            lambda: shortest_clean_focal_length_mm(0.1, 10.0, 5.0),
            "focal_length_mm is 2000 mm, expected > 0 mm and <= 500 mm",
        ),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


@given(ANY, ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: float, b: float, c: float, d: float) -> None:
    calls: list[Any] = [
        lambda: band_contrast(a, b, c),
        lambda: band_contrast(a, b),
        lambda: clean_shutters(a, b)[-1].shutter_s,
        lambda: rolling_shutter_bands(a, b, c, 1080, d).drift_rows_per_frame,
        lambda: moire(a, b, c, d).beat_photosites or 0.0,
        lambda: farthest_clean_distance_m(a, b, c, d),
        lambda: shortest_clean_focal_length_mm(a, b, c, d),
        lambda: photosite_um(a, 1920),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
