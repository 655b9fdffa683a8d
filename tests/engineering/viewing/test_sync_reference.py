"""Sound and picture against the documents' own figures, handbook values and pint."""

from __future__ import annotations

import math

import pint
import pytest
import scipy.constants
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.viewing.sync import (
    SyncVerdict,
    frames_to_ms,
    lipsync,
    ms_to_frames,
    sound_speed_m_s,
    sound_travel_ms,
)

pytestmark = pytest.mark.outside

UNITS = pint.get_application_registry()


@pytest.mark.parametrize(("celsius", "speed"), [(0.0, 331.3), (20.0, 343.2), (30.0, 349.0)])
def test_handbook_speeds_of_sound(celsius: float, speed: float) -> None:
    """Dry air, the values printed in handbooks of acoustics to one decimal (from memory)."""
    assert sound_speed_m_s(celsius) == pytest.approx(speed, abs=0.06)


@given(st.floats(-50.0, 60.0))
def test_speed_of_sound_from_the_gas_constant(celsius: float) -> None:
    """scipy.constants: sqrt(1.4 R T / M) with M = 28.9647 g/mol (ISO 2533:1975, from memory)."""
    kelvin = scipy.constants.convert_temperature(celsius, "Celsius", "Kelvin")
    ideal = math.sqrt(1.4 * scipy.constants.R * kelvin / 0.0289647)
    assert sound_speed_m_s(celsius) == pytest.approx(ideal, rel=3e-4)


@given(st.floats(0.0, 100.0), st.sampled_from([24.0, 25.0, 50.0, 60000 / 1001, 60.0]))
def test_durations_against_pint(number: float, rate: float) -> None:
    """pint, converting seconds to milliseconds."""
    units = UNITS
    frames = number / (rate * units.hertz)
    assert frames_to_ms(number, rate) == pytest.approx(frames.to("ms").magnitude)
    back = (number * units.millisecond * rate * units.hertz).to("dimensionless").magnitude
    assert ms_to_frames(number, rate) == pytest.approx(back)
    travel = (number * units.meter / (sound_speed_m_s(20.0) * units.meter / units.second)).to("ms")
    assert sound_travel_ms(number) == pytest.approx(travel.magnitude)


def test_the_recommendation_s_thresholds_and_sign() -> None:
    """ITU-R BT.1359-1 (1998), considering g, read in a public copy: detectability "about +45 ms to
    -125 ms", acceptability "about +90 ms to -185 ms", "a positive value indicates that sound is
    advanced with respect to vision"."""
    assert lipsync(45.0).verdict == lipsync(-125.0).verdict == SyncVerdict.UNNOTICED
    assert lipsync(90.0).verdict == lipsync(-185.0).verdict == SyncVerdict.NOTICED
    assert lipsync(91.0).verdict == lipsync(-186.0).verdict == SyncVerdict.UNACCEPTABLE


def test_the_broadcasters_tolerance() -> None:
    """EBU R37: sound 40 ms before to 60 ms after (read in a public secondary page)."""
    assert lipsync(40.0).within_r37
    assert lipsync(-60.0).within_r37
    assert not lipsync(41.0).within_r37
    assert not lipsync(-61.0).within_r37
