"""What is recorded on the invented job; every person, firm and number here is made up.

The numbers are shaped so that a reader sees each verdict once: a wall a little darker at its top
corners (marginal uniformity), one cabinet too dark and mended, one camera that bands.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from datetime import date

from commission_tui.checks.places.places import GREY_STEPS, NINE_POINTS, places, point_fraction
from commission_tui.logbook.state.fault_steps import AsItIs
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

NAME = "Fellmoor Town Hall, main auditorium"
CLIENT = "Fellmoor Town Council"
INTEGRATOR = "Tarnside Integration"
REFERENCE = "FTH-26-014"
LEAD = "Ines Okafor"
SECOND = "Tobias Brandl"
CLIENT_PERSON = "Marit Hollis"

ACCEPTED = AsItIs(CLIENT_PERSON, INTEGRATOR, date(2027, 6, 12))
"""Of the fault that is taken as it is on the punch list: by whom, who puts it right, until when."""
USUAL_CONSENT = (INTEGRATOR, "2026-07-14", "M. H.")
CONSENTS: Mapping[str, tuple[str, str, str]] = {
    "Cameras see": (INTEGRATOR, "2026-07-14", "M. H., camera 2 stays at 1/60 s until then"),
    "bands or moire": (INTEGRATOR, "2026-07-14", "M. H., as for the cameras"),
    "Sound of the wall": (CLIENT, "2026-09-01", "M. H., we listen again with the house full"),
    "accepted": (INTEGRATOR, "2027-06-12", "M. H., only if it grows"),
}
"""What the client said to an exception, by words that it holds: owner, date, consent."""

SIGNERS = (
    (20, "integrator", LEAD, INTEGRATOR, "The results above were measured as stated."),
    (10, "client", CLIENT_PERSON, CLIENT,
     "I take over the wall as described in this record, with its exceptions."),
)  # fmt: skip
"""Who signs: after how many minutes, as what, name, organisation, statement."""

DARK_CABINET = Cell(4, 5)


def nine_points() -> dict[str, float]:
    """Full white, a little darker towards the top corners."""
    values = {}
    for point in NINE_POINTS:
        across, down = point_fraction(point)
        loss = 0.055 * ((across - 0.5) ** 2 / 0.111) + 0.035 * (0.84 - down)
        values[point] = round(604 * (1 - loss), 0)
    return values


def cabinet_levels(wall: Wall, *, mended: bool) -> dict[str, float]:
    """House-level white of every cabinet; one is too dark until its setting was put right."""
    noise = random.Random(6)  # noqa: S311 (the same invented wall each time)
    levels = {}
    for cell in wall.cabinets:
        slow = 1 - 0.012 * math.cos(math.pi * cell.column / 12) - 0.003 * (6 - cell.row)
        level = 201 * slow * (1 + noise.uniform(-0.004, 0.004))
        if cell == DARK_CABINET and not mended:
            level *= 0.87
        levels[str(cell)] = round(level, 1)
    return levels


def grey_scale() -> dict[str, float]:
    """Twenty-one steps near an exponent of 2.2, over a black of 0.06 cd/m2."""
    noise = random.Random(21)  # noqa: S311
    steps = {}
    for index, step in enumerate(GREY_STEPS):
        level = 0.06 + 600 * (index / 20) ** 2.21 * (1 + noise.uniform(-0.01, 0.01))
        steps[step] = round(level, 2 if level < 10 else 1)
    return steps


WHITE = {"x": 0.3121, "y": 0.3284}
"""Chromaticity about which white lies, near D65."""


def white(axis: str) -> dict[str, float]:
    """Chromaticity of white at the nine points, along one axis."""
    noise = random.Random(65)  # noqa: S311
    points = {
        name: {point: _near(mean, noise) for point in NINE_POINTS} for name, mean in WHITE.items()
    }
    return points[axis]


def _near(mean: float, noise: random.Random) -> float:
    return round(mean + noise.uniform(-0.0006, 0.0006), 4)


def spill() -> dict[str, float]:
    """Front light on the wall's face, most of it on the bottom row."""
    return {p: round(18 + 34 * point_fraction(p)[1] ** 2, 0) for p in NINE_POINTS}


def house_points() -> dict[str, float]:
    """Give the nine points again, at a third of full white."""
    return {point: round(level * 0.3485, 1) for point, level in nine_points().items()}


def cabinets_as_found(wall: Wall) -> dict[str, float]:
    """House-level white of every cabinet before anything was put right."""
    return cabinet_levels(wall, mended=False)


def cabinets_read_again(wall: Wall) -> dict[str, float]:
    """Give the cabinet that was put right, and its four neighbours."""
    mended = cabinet_levels(wall, mended=True)
    again = (DARK_CABINET, *wall.neighbours(DARK_CABINET))
    return {str(cell): mended[str(cell)] for cell in again}


def cabinet_white(wall: Wall, axis: str) -> dict[str, float]:
    """Chromaticity of every cabinet, all of one batch, along one axis."""
    noise = random.Random(f"cabinet {axis}")  # noqa: S311
    return {str(cell): _near(WHITE[axis], noise) for cell in wall.cabinets}


def grey(axis: str) -> dict[str, float]:
    """Chromaticity of the greys from 10 %, a little warmer in the dark ones, along one axis."""
    warmer = {"x": 0.0035, "y": 0.0012}[axis]
    return {
        step: round(WHITE[axis] + warmer * (1 - _signal(step)) ** 3, 4) for step in GREY_STEPS[2:]
    }


def _signal(step: str) -> float:
    return float(step.split()[0]) / 100


_STATES = {
    "Concert": {"white": 121.0, "black": 2.4},
    "Lecture": {"white": 203.0, "black": 4.6},
    "Blackout": {"white": 61.0, "black": 0.35},
}
"""White and black of the checkerboard in each light state, in cd/m2."""


def seat(wall: Wall, patch: str) -> dict[str, float]:
    """One patch of the checkerboard from every seat in every light state."""
    noise = random.Random(f"seats {('white', 'black').index(patch)}")  # noqa: S311
    found = {}
    for place in places("light state, viewing seat", wall):
        state, seat = place.split(", ", 1)
        aside = 0.78 if seat.startswith("widest") and patch == "white" else 1.0
        level = _STATES[state][patch] * aside * (1 + noise.uniform(-0.02, 0.02))
        found[place] = round(level, 1 if level >= 10 else 2)
    return found


_WITNESSED = (Cell(1, 3), Cell(2, 10), Cell(4, 5), Cell(5, 7), Cell(6, 12))
"""The cabinets that the client picked; among them the one that was put right."""


def witness(wall: Wall, what: str) -> dict[str, float]:
    """Give the cabinets that the client picked, read again with the meter's scatter: level, x or y."""
    before, scatter, digits = cabinet_levels(wall, mended=True), 0.006, 1
    if what != "level":
        before, scatter, digits = cabinet_white(wall, what), 0.0008, 4
    noise = random.Random(f"again 1.0 {digits}")  # noqa: S311
    return {
        str(cell): round(before[str(cell)] * (1 + noise.uniform(-scatter, scatter)), digits)
        for cell in _WITNESSED
    }


def levels_after_30_days(wall: Wall) -> dict[str, float]:
    """Twelve cabinets a month later, about one per cent darker; every sixth of the wall."""
    before = cabinet_levels(wall, mended=True)
    noise = random.Random(30)  # noqa: S311
    return {
        place: round(before[place] * (0.99 + noise.uniform(-0.003, 0.003)), 1)
        for place in list(before)[3::6]
    }
