"""Which cabinets are called outliers, of walls whose light is known; through a camera: `bench_photo`."""

from __future__ import annotations

import numpy as np
import pytest

from commission_tui.photo.light.evenness import evenness
from commission_tui.wall.model.location import Cell
from tests.wall.mapping.walls import grid_wall

WALL = grid_wall(12, 6, [])
PLACES = np.array([0.2, 0.4, 0.6, 0.8])


def called(rng: np.random.Generator, scatter: float, made: list[Cell]) -> set[Cell]:
    """Return what is called an outlier where cabinets scatter and those `made` are 4 % off."""
    logs = {}
    for cell in WALL.cabinets:
        gain = 1 + (rng.choice((-0.04, 0.04)) if cell in made else rng.normal(0, scatter))
        logs[cell] = np.log(gain) + rng.normal(0, 0.002, (4, 4))
    return set(evenness(WALL, logs, PLACES).outliers)


@pytest.mark.parametrize("scatter", [0.005, 0.01])
def test_an_outlier_of_four_per_cent_is_found_where_cabinets_scatter(scatter: float) -> None:
    rng, found = np.random.default_rng(2), 0
    for _ in range(10):
        made = [list(WALL.cabinets)[i] for i in rng.choice(72, 3, replace=False)]
        found += len(called(rng, scatter, made) & set(made))
    assert found >= 29


@pytest.mark.parametrize("scatter", [0.0, 0.005])
def test_an_even_wall_has_none(scatter: float) -> None:
    rng = np.random.default_rng(3)
    assert [called(rng, scatter, []) for _ in range(10)] == [set()] * 10
