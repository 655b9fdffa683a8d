"""Set-up of a meter, flashes and brightness controls against outside figures."""

from __future__ import annotations

import numpy as np
import pytest

from commission_tui.engineering.light.brightness_control import proportional_error_percent
from commission_tui.engineering.light.metering_set_up import (
    off_whole_frames,
    pixels_in_spot,
    spot_diameter_mm,
)
from commission_tui.engineering.light.stage_light import walk_light
from commission_tui.engineering.viewing.flashing import flash, flash_from_signal


@pytest.mark.outside
def test_pixels_in_a_spot_counted_one_by_one() -> None:
    """Reference: numpy, counting the centres of a 2.6042 mm grid inside a round spot at 4 m."""
    pitch, radius = 500 / 192, spot_diameter_mm(4.0, 1.0) / 2
    centres = (np.arange(-60, 60) + 0.5) * pitch
    inside = np.add.outer(centres**2, centres**2) <= radius**2
    assert pixels_in_spot(4.0, 1.0, pitch, pitch) == pytest.approx(int(inside.sum()), rel=0.02)


@pytest.mark.outside
def test_a_reading_wanders_by_the_part_of_a_frame() -> None:
    """Reference: numpy, a light lit in half of each frame summed over 6.4 frames from any phase."""
    time = np.arange(0.0, 6.4, 0.001)
    sums = [((time + phase) % 1.0 < 0.5).mean() for phase in np.arange(0.0, 1.0, 0.01)]
    wander = (max(sums) - min(sums)) * 6.4
    assert wander == pytest.approx(off_whole_frames(6400 / 60, 60.0), abs=0.01)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("brighter", "darker", "area", "counts"),
    [
        (20.0, 0.0, 26.0, True),
        (180.0, 159.0, 26.0, True),
        (19.0, 0.0, 100.0, False),
        (20.0, 0.0, 25.0, False),
    ],
)
def test_the_rule_for_flashes(brighter: float, darker: float, area: float, counts: bool) -> None:
    """ITU-R BT.1702: 20 cd/m² or more, darker state below 160 cd/m², over 25 % of the picture."""
    assert flash(brighter, darker, area).counts is counts


def test_a_clip_safe_on_a_monitor_flashes_on_a_wall() -> None:
    """ITU-R BT.1886, L = Lw·V^2.4, written out here."""
    white = 600.0
    expected = white * 0.45**2.4 - white * 0.2**2.4
    assert flash_from_signal(45, 20, 100, white).step_cd_m2 == pytest.approx(expected)


def test_a_third_of_a_stop() -> None:
    """Definition of the stop: a third of one is 2^(1/3)."""
    assert walk_light([500.0, 500.0 * 2 ** (1 / 3)]).largest_step == pytest.approx(1.2599, abs=1e-4)


def test_half_a_code_is_not_half_the_light() -> None:
    """Power law of exponent 2.2: 0.5^2.2 = 0.2176 of the light, 56.5 % below half."""
    error = proportional_error_percent(50.0, 0.2176 * 600.0, 600.0)
    assert error == pytest.approx(-56.5, abs=0.05)
