"""Exposure and white balance against published figures and colour-science."""

from __future__ import annotations

import math

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.exposure import (
    code_limit_fraction,
    illuminance_from_exposure_value_lx,
    luminance_from_exposure_value_cd_m2,
    mired,
    mired_shift,
)

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("ev", "luminance", "illuminance"),
    [(0, 0.125, 2.5), (5, 4.0, 80.0), (10, 128.0, 2560.0), (15, 4096.0, 81920.0)],
)
def test_the_exposure_value_table(ev: int, luminance: float, illuminance: float) -> None:
    """Light for EV at ISO 100 with K 12.5 and C 250, the table printed in meter handbooks
    (from memory)."""
    assert luminance_from_exposure_value_cd_m2(ev) == pytest.approx(luminance)
    assert illuminance_from_exposure_value_lx(ev) == pytest.approx(illuminance)


@pytest.mark.parametrize("speed", [25.0, 100.0, 125.0, 800.0])
def test_the_sunny_rule(speed: float) -> None:
    """f/16 at one over the film speed with K 12.5 is 3200 cd/m²: the worked example from the
    American exposure meter standard, quoted on a public photographers' forum."""
    ev = math.log2(16.0**2 * speed)
    assert luminance_from_exposure_value_cd_m2(ev, speed) == pytest.approx(3200.0)


@pytest.mark.parametrize(
    ("from_k", "to_k", "printed"), [(5500.0, 3200.0, 131), (3200.0, 5500.0, -131)]
)
def test_conversion_filters(from_k: float, to_k: float, printed: int) -> None:
    """Daylight to tungsten and back: filter tables print 131 and -131 mired (from memory)."""
    assert mired_shift(from_k, to_k) == pytest.approx(printed, abs=0.5)


@given(st.floats(1000.0, 20000.0))
def test_mired_against_colour_science(cct_k: float) -> None:
    """colour-science, CCT_to_mired."""
    theirs = float(np.ravel(colour.temperature.CCT_to_mired(cct_k))[0])
    assert mired(cct_k) == pytest.approx(theirs)


@given(st.floats(1.0, 600.0))
def test_the_content_limit_against_colour_science(target: float) -> None:
    """colour-science, eotf_inverse_BT1886 with no black."""
    theirs = float(np.ravel(colour.models.eotf_inverse_BT1886(target, L_B=0.0, L_W=600.0))[0])
    assert code_limit_fraction(target, 600.0, 2.4) == pytest.approx(theirs)
