"""Suspension against an outside beam solver and printed coefficients."""

from __future__ import annotations

import importlib
import itertools
import random
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from scipy import constants

from commission_tui.engineering.structure.bridle import bridle_tension_kn, centre_of_gravity
from commission_tui.engineering.structure.suspension import beam_reactions_kn

pytestmark = pytest.mark.outside


@contextmanager
def _pandas_for_tables_only() -> Iterator[None]:
    """Let ``indeterminatebeam`` 2.4 be imported where pandas is not installed.

    It imports pandas without declaring it, and uses it only to print tables.
    """
    installed = importlib.util.find_spec("pandas") is not None
    if not installed:
        sys.modules["pandas"] = types.ModuleType("pandas")
    try:
        yield
    finally:
        if not installed:
            del sys.modules["pandas"]


@pytest.fixture(scope="module")
def solver() -> Any:
    with _pandas_for_tables_only():
        return importlib.import_module("indeterminatebeam")


def _their_reactions_kn(
    solver: Any, places: list[float], length: float, spread: float, loads: list[tuple[float, float]]
) -> list[float]:
    class Unplotted(solver.Beam):  # type: ignore[misc]
        """Half the time goes into curves that are not looked at here."""

        def _set_plotting_vectors(self) -> None: ...

    beam = Unplotted(length, E=1, I=1)
    for index, place in enumerate(places):
        beam.add_supports(solver.Support(place, (int(index == 0), 1, 0)))
    beam.add_loads(solver.UDLV(-spread, (0, length)))
    for position, load in loads:
        beam.add_loads(solver.PointLoadV(-load, position))
    beam.analyse()
    return [float(beam.get_reaction(place, "y")) for place in places]


def test_beams_agree_with_an_outside_solver(solver: Any) -> None:
    """PyPI ``indeterminatebeam``: random beams of 1 to 4 spans, each without point loads and with three."""
    chance = random.Random(20240)  # noqa: S311
    for bays, points in itertools.product(range(1, 5), (0, 3)):
        spans = [round(chance.uniform(0.5, 8.0), 2) for _ in range(bays)]
        ends = tuple(round(chance.choice((0.0, chance.uniform(0.1, 2.0))), 2) for _ in range(2))
        length = round(sum(spans) + sum(ends), 2)
        spread = round(chance.uniform(0.1, 5.0), 2)
        loads = [
            (round(chance.uniform(0.01, length - 0.01), 3), round(chance.uniform(0.1, 10.0), 2))
            for _ in range(points)
        ]
        places = [round(ends[0] + sum(spans[:i]), 2) for i in range(len(spans) + 1)]
        theirs = _their_reactions_kn(solver, places, length, spread, loads)
        ours = beam_reactions_kn(spans, spread, (ends[0], ends[1]), loads).reactions_kn
        assert ours == pytest.approx(theirs, rel=1e-6, abs=1e-6), (spans, ends, spread, loads)


@pytest.mark.parametrize(
    ("spans", "coefficients"),
    [
        (2, (0.375, 1.250, 0.375)),
        (3, (0.400, 1.100, 1.100, 0.400)),
        (4, (0.3929, 1.1429, 0.9286, 1.1429, 0.3929)),
    ],
)
def test_equal_spans_agree_with_printed_coefficients(
    spans: int, coefficients: tuple[float, ...]
) -> None:
    """Reactions of equal spans under an even load, in w·L, as steel handbooks print them."""
    ours = beam_reactions_kn([2.5] * spans, 4.0).reactions_kn
    assert [r / 10.0 for r in ours] == pytest.approx(coefficients, abs=5e-5)


def test_load_in_one_of_two_spans_agrees_with_printed_coefficients() -> None:
    """Middle of the first of two equal spans: 13/32, 22/32 and -3/32 of P (steel handbooks).

    Recalled from memory, not looked up; the solver above confirms the kind.
    """
    ours = beam_reactions_kn([4.0, 4.0], 0.0, (0.0, 0.0), [(2.0, 32.0)])
    assert ours.reactions_kn == pytest.approx((13.0, 22.0, -3.0))
    assert ours.lifting == (2,)


@pytest.mark.parametrize(("angle", "factor"), [(90, 0.5), (60, 0.5774), (45, 0.7071), (30, 1.0)])
def test_bridle_agrees_with_printed_factors(angle: int, factor: float) -> None:
    """Two-leg factors as rigging tables print them, W / (2 sin θ)."""
    assert bridle_tension_kn(1.0, angle).tension_kn == pytest.approx(factor, abs=5e-5)


def test_weight_uses_standard_gravity() -> None:
    """``scipy.constants.g`` (3rd CGPM, 1901)."""
    assert centre_of_gravity([1000.0], [(0, 0)]).weight_kn == pytest.approx(constants.g)
