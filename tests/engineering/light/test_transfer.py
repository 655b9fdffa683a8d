"""Signals of high dynamic range as light, and levels on a waveform as stops."""

from __future__ import annotations

import math
from typing import Any

import colour
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.exposure import waveform_stops
from commission_tui.engineering.light.transfer import (
    hlg_luminance_cd_m2,
    pq_luminance_cd_m2,
    signal_luminance_cd_m2,
)

SIGNAL = st.floats(0.0, 1.0)


@pytest.mark.outside
@given(SIGNAL)
def test_perceptual_quantisation_against_colour_science(signal: float) -> None:
    """colour-science, eotf_BT2100_PQ."""
    theirs = float(colour.models.eotf_BT2100_PQ(signal))
    assert pq_luminance_cd_m2(signal) == pytest.approx(theirs, rel=1e-6, abs=1e-9)


@pytest.mark.outside
@given(SIGNAL, st.sampled_from([600.0, 1000.0, 2000.0]))
def test_hybrid_log_gamma_against_colour_science(signal: float, peak: float) -> None:
    """colour-science, eotf_BT2100_HLG with black 0, of grey."""
    grey = [signal] * 3
    theirs = colour.models.eotf_BT2100_HLG(grey, L_B=0, L_W=peak, method="ITU-R BT.2100-2")
    assert hlg_luminance_cd_m2(signal, peak) == pytest.approx(theirs[0], rel=1e-3, abs=1e-6)


@pytest.mark.outside
@given(st.floats(1.0, 109.0), st.floats(1.0, 109.0))
def test_waveform_levels_against_colour_science(one: float, other: float) -> None:
    """colour-science, oetf_inverse_BT709."""
    light = [float(colour.models.oetf_inverse_BT709(level / 100)) for level in (one, other)]
    assert waveform_stops(one, other) == pytest.approx(math.log2(light[1] / light[0]), abs=0.02)


def test_a_wall_clips_what_is_above_its_peak() -> None:
    assert signal_luminance_cd_m2("PQ", 1.0, 600.0) == 600.0
    assert signal_luminance_cd_m2("PQ", 0.5, 600.0) == pq_luminance_cd_m2(0.5)
    assert signal_luminance_cd_m2("HLG", 1.0, 600.0) == pytest.approx(600.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: pq_luminance_cd_m2(1.01), r"signal_fraction is 1\.01"),
        (lambda: hlg_luminance_cd_m2(-0.1), r"signal_fraction is -0\.1"),
        (lambda: hlg_luminance_cd_m2(0.5, 99.0), "peak_cd_m2 is 99"),
        (lambda: signal_luminance_cd_m2("SDR", 0.5, 600.0), "transfer is 'SDR'"),  # type: ignore[arg-type]
        (lambda: signal_luminance_cd_m2("PQ", 0.5, 0.0), "peak_cd_m2 is 0"),
        (lambda: waveform_stops(0.0, 50.0), "one_percent is 0 IRE"),
        (lambda: waveform_stops(50.0, 110.0), "other_percent is 110 IRE"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
