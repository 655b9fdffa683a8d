"""Dew point against printed vapour pressures of water."""

from __future__ import annotations

import itertools

import pytest

from commission_tui.engineering.structure.humidity import dew_point_c

pytestmark = pytest.mark.outside

SATURATION_KPA = {5: 0.8726, 10: 1.2282, 15: 1.7058, 20: 2.3393, 25: 3.1699, 30: 4.2470, 35: 5.6291}
"""IAPWS-IF97 saturation pressure by temperature in °C, as steam tables print it (from memory)."""


@pytest.mark.parametrize(
    ("dew_c", "air_c"), list(itertools.combinations_with_replacement(SATURATION_KPA, 2))
)
def test_dew_point_by_the_steam_table(dew_c: int, air_c: int) -> None:
    """IAPWS-IF97 as steam tables print it (from memory): air whose vapour presses as saturated vapour at
    another temperature has its dew point there.
    """
    humidity = 100 * SATURATION_KPA[dew_c] / SATURATION_KPA[air_c]
    assert dew_point_c(air_c, humidity) == pytest.approx(dew_c, abs=0.05)
