"""The way back from codes to light."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from commission_tui.photo.light.response import ASSUMED, found_response, srgb_table


@pytest.mark.outside
def test_the_table_is_that_of_srgb() -> None:
    """colour-science (PyPI): IEC 61966-2-1, decoded."""
    codes = np.arange(256) / 255
    assert srgb_table(256) == pytest.approx(colour.cctf_decoding(codes, "sRGB"), abs=1e-6)


def test_a_bent_curve_is_found_from_known_shares() -> None:
    rng = np.random.default_rng(1)
    light = rng.uniform(0.4, 0.7, 400)
    share = rng.choice(np.arange(2, 17, 2) / 16, 400)

    def seen(true: np.ndarray) -> np.ndarray:
        return true**1.2 * rng.normal(1, 0.003, true.shape)

    found = found_response(seen(light), seen(light * share * 1.1), share)
    assert found.measures
    ratio = found.light(np.array([0.5**1.2, 0.45**1.2]))
    assert ratio[1] / ratio[0] == pytest.approx(0.9, abs=0.003)


def test_what_follows_no_curve_is_not_measured() -> None:
    rng = np.random.default_rng(1)
    share = rng.choice((0.25, 0.5, 1.0), 100)
    found = found_response(np.full(100, 0.6), 0.6 * share * rng.uniform(0.8, 1.2, 100), share)
    assert not found.measures


def test_too_few_places_are_refused() -> None:
    with pytest.raises(ValueError, match="places"):
        found_response(np.ones(5), np.ones(5), np.ones(5))


def test_without_a_curve_light_stays_as_it_is() -> None:
    assert ASSUMED.light(np.array([0.3])) == pytest.approx(0.3)
