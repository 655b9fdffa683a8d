"""Colorimetry and the grey scale against colour-science, scipy and published sets."""

from __future__ import annotations

from typing import Any

import colour
import numpy as np
import pytest
import scipy.optimize
import scipy.spatial
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.colour._cie1931 import COLOUR_MATCHING
from commission_tui.engineering.colour.colorimetry import (
    PRIMARIES,
    cct_duv_ohno,
    gamut_area,
    gamut_coverage,
    is_light,
    uv_prime_to_xy,
    xy_to_uv_prime,
)
from commission_tui.engineering.light.grey_scale import bt1886_luminance_cd_m2, fit_grey_scale

pytestmark = pytest.mark.outside

OHNO_ERROR_K = 1.0
"""Ohno (2014), abstract: "within an error of 1 K" from 1000 K to 20 000 K, Duv within 0.03."""


@pytest.fixture(scope="module")
def whites() -> list[tuple[float, float]]:
    """A thousand chromaticities spread over the method's whole range, made with colour-science."""
    draw = np.random.default_rng(20260101)
    whites: list[tuple[float, float]] = []
    while len(whites) < 1000:
        cct_k = float(np.exp(draw.uniform(np.log(1050.0), np.log(19000.0))))
        duv = float(draw.uniform(-0.028, 0.028))
        uv = colour.temperature.CCT_to_uv_Ohno2013(np.array([cct_k, duv]))
        x, y = (float(value) for value in colour.UCS_uv_to_xy(uv))
        if x > 0.0 and y > 0.0 and x + y < 1.0:
            whites.append((x, y))
    return whites


def test_the_observer_is_the_one_of_the_standard() -> None:
    """CIE 1931 2-degree observer as tabulated in colour-science."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    every = [(float(w), *map(float, observer[w])) for w in np.arange(360.0, 831.0, 5.0)]
    assert np.array(COLOUR_MATCHING) == pytest.approx(np.array(every), rel=1e-12, abs=1e-14)


def test_ohno_over_a_thousand_chromaticities(whites: list[tuple[float, float]]) -> None:
    """colour-science, uv_to_CCT_Ohno2013, within the paper's own error; Duv to its 5th decimal."""
    ours = np.array([cct_duv_ohno(x, y) for x, y in whites])
    uv = colour.xy_to_UCS_uv(np.array(whites))
    theirs = np.array(colour.temperature.uv_to_CCT_Ohno2013(uv))
    assert np.abs(ours[:, 0] - theirs[:, 0]).max() < OHNO_ERROR_K
    assert np.abs(ours[:, 1] - theirs[:, 1]).max() < 5e-6


def test_ohno_against_the_definition(whites: list[tuple[float, float]]) -> None:
    """CIE 15:2004: the temperature of the nearest point of the Planckian locus, found with
    scipy.optimize on the locus that colour-science computes every 1 nm."""
    for x, y in whites[::50]:
        uv = np.array(colour.xy_to_UCS_uv(np.array([x, y])))
        ours = cct_duv_ohno(x, y)

        def distance(cct_k: float, uv: Any = uv) -> float:
            locus = colour.temperature.CCT_to_uv_Planck1900(np.array([cct_k]))
            return float(np.hypot(*(np.ravel(locus) - uv)))

        around = (ours.cct_k * 0.97, ours.cct_k * 1.03)
        best = scipy.optimize.minimize_scalar(distance, bounds=around, method="bounded")
        # Below 2000 K colour-science sums its locus from 380 nm; the error allowed covers it.
        assert ours.cct_k == pytest.approx(best.x, abs=OHNO_ERROR_K)
        assert abs(ours.duv) == pytest.approx(best.fun, abs=5e-5)


@pytest.mark.parametrize(("xy", "cct_k"), [((0.3127, 0.3290), 6504.0), ((0.3457, 0.3585), 5003.0)])
def test_daylight_illuminants(xy: tuple[float, float], cct_k: float) -> None:
    """CIE 15:2004 gives D65 about 6504 K and D50 about 5003 K; 4 decimals of x and y carry 5 K."""
    assert cct_duv_ohno(*xy).cct_k == pytest.approx(cct_k, abs=5.0)


def test_illuminant_a_lies_on_the_locus() -> None:
    """CIE 15:2004: illuminant A is the Planckian radiator at about 2856 K, x 0.44758, y 0.40745."""
    cct_k, duv = cct_duv_ohno(0.44758, 0.40745)
    assert cct_k == pytest.approx(2856.0, abs=1.0)
    assert duv == pytest.approx(0.0, abs=2e-5)


@given(st.floats(0.0, 0.7), st.floats(0.01, 0.8))
def test_uv_prime_against_colour_science(x: float, y: float) -> None:
    """colour-science, xy_to_Luv_uv and Luv_uv_to_xy."""
    if x + y > 1.0:
        return
    theirs = tuple(float(value) for value in colour.xy_to_Luv_uv(np.array([x, y])))
    assert xy_to_uv_prime(x, y) == pytest.approx(theirs, rel=1e-12)
    back = tuple(float(value) for value in colour.Luv_uv_to_xy(np.array(theirs)))
    assert uv_prime_to_xy(*theirs) == pytest.approx(back, rel=1e-9, abs=1e-12)


"""Sharma, Wu and Dalal (2005), table 1, all 34 pairs; 33 of them stand in colour-science's tests,
pair 14 in several public copies of the authors' data file."""


@pytest.mark.parametrize(
    ("name", "space"),
    [("BT.709", "ITU-R BT.709"), ("DCI-P3", "DCI-P3"), ("BT.2020", "ITU-R BT.2020")],
)
def test_primaries_and_their_area(name: str, space: str) -> None:
    """colour-science's primaries; area by scipy.spatial.ConvexHull (its `volume` in 2-D)."""
    theirs = colour.RGB_COLOURSPACES[space].primaries
    assert np.array(PRIMARIES[name]) == pytest.approx(np.array(theirs), abs=1e-12)
    hull = scipy.spatial.ConvexHull(colour.xy_to_Luv_uv(theirs))
    assert gamut_area(PRIMARIES[name]) == pytest.approx(hull.volume, rel=1e-9)


def triangle_in_common(first: Any, second: Any) -> float:
    """Area common to two triangles by scipy.spatial.HalfspaceIntersection."""
    hulls = [scipy.spatial.ConvexHull(colour.xy_to_Luv_uv(np.array(t))) for t in (first, second)]
    halfspaces = np.vstack([hull.equations for hull in hulls])
    inside = np.mean(colour.xy_to_Luv_uv(np.array([[0.3127, 0.3290]])), axis=0)
    common = scipy.spatial.HalfspaceIntersection(halfspaces, inside)
    return float(scipy.spatial.ConvexHull(common.intersections).volume / hulls[1].volume)


RED = st.tuples(st.floats(0.60, 0.70), st.floats(0.28, 0.30))
GREEN = st.tuples(st.floats(0.16, 0.30), st.floats(0.55, 0.70))
BLUE = st.tuples(st.floats(0.13, 0.17), st.floats(0.03, 0.08))


@given(st.tuples(RED, GREEN, BLUE), st.sampled_from(sorted(PRIMARIES)))
def test_coverage_against_scipy(primaries: Any, name: str) -> None:
    """scipy.spatial.HalfspaceIntersection, any plausible primaries against each standard."""
    theirs = triangle_in_common(primaries, PRIMARIES[name])
    assert gamut_coverage(primaries, PRIMARIES[name]) == pytest.approx(theirs, abs=1e-9)


@given(st.floats(0.0, 1.0), st.floats(50.0, 2000.0), st.floats(0.0, 5.0))
def test_bt1886_against_colour_science(signal: float, white: float, black: float) -> None:
    """colour-science, eotf_BT1886."""
    theirs = float(colour.models.eotf_BT1886(signal, L_B=black, L_W=white))
    assert bt1886_luminance_cd_m2(signal, white, black) == pytest.approx(theirs, rel=1e-9, abs=1e-9)


@given(st.lists(st.floats(0.8, 1.25), min_size=10, max_size=10), st.floats(1.5, 3.0))
def test_the_fit_against_scipy(noise: list[float], exponent: float) -> None:
    """scipy.stats.linregress in logarithms on uneven grey steps."""
    signals = np.arange(1, 11) / 10
    levels = 600.0 * signals**exponent * np.array(noise)
    theirs = scipy.stats.linregress(np.log(signals), np.log(levels))
    fit = fit_grey_scale(list(signals), list(levels))
    assert fit.exponent == pytest.approx(float(theirs.slope), rel=1e-9)
    assert np.log(fit.white_cd_m2) == pytest.approx(float(theirs.intercept), rel=1e-9)


@given(st.floats(0.0, 0.8), st.floats(0.0, 0.9))
def test_the_border_of_light_against_scipy(x: float, y: float) -> None:
    """scipy.spatial.Delaunay over the spectral locus as colour-science tabulates it."""
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    tristimulus = cmfs.values[(cmfs.wavelengths >= 400) & (cmfs.wavelengths <= 700)]
    locus = tristimulus[:, :2] / tristimulus.sum(axis=1, keepdims=True)
    inside = scipy.spatial.Delaunay(locus).find_simplex([x, y]) >= 0
    assert is_light(x, y, 0.005) or not inside
    assert inside or not is_light(x, y, 0.0)
