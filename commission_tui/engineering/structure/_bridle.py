"""Statics of what hangs: a bridle's legs, and where the weight acts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import finite, whole
from commission_tui.engineering.structure._suspension_words import (
    CAUTION,
    LEAST_IN_ALL,
    MOST_KN,
    warned,
)
from commission_tui.text import counted

_GRAVITY_M_S2 = 9.80665
_FLAT_BRIDLE_DEG = 45.0


@dataclass(frozen=True, slots=True)
class BridleTension:
    """Tension in the legs of a symmetrical bridle."""

    tension_kn: float
    """In each leg, all legs carrying alike."""
    tension_two_legs_kn: float
    """In each leg if only two carry, as rigid loads on more legs can make them."""
    inward_kn: float
    """Horizontal pull of each leg on what it hangs from or holds."""
    caution: str


def bridle_tension_kn(
    load_kn: float, angle_deg_from_horizontal: float, legs: int = 2
) -> BridleTension:
    """Tension in each leg of a bridle whose legs are equally long and equally inclined.

    Parameters
    ----------
    load_kn : float
        Load under the bridle, above 0 to 1e6, [kN].
    angle_deg_from_horizontal : float
        Inclination of each leg, 1 to 90, [degree].
    legs : int
        2 to 8.

    Returns
    -------
    BridleTension
        Tension and horizontal pull of each leg, and the caution.

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    T = W / (n sin θ). With more than two legs the sharing depends on lengths to the millimetre;
    the figure for two legs is the one to count on without the competent person's word.

    References
    ----------
    .. [1] Statics of a concurrent system of forces, any textbook.

    Examples
    --------
    >>> round(bridle_tension_kn(1.0, 60.0).tension_kn, 4)
    0.5774
    """
    load = finite("load_kn", load_kn, "kN", low=0.0, high=MOST_KN, low_open=True)
    angle = finite(
        "angle_deg_from_horizontal", angle_deg_from_horizontal, "degree", low=1.0, high=90.0
    )
    count = whole("legs", legs, "", low=2, high=8)
    tension = load / (count * math.sin(math.radians(angle)))
    # cos 90° is not quite 0 in floating point.
    inward = 0.0 if angle == 90.0 else tension * math.cos(math.radians(angle))
    sentences = []
    if angle < _FLAT_BRIDLE_DEG:
        sentences.append(
            f"At {angle:g}° the legs lie flat: tension and inward pull rise steeply with every "
            "degree less."
        )
    if count > 2:
        sentences.append(f"A stiff load may hang on two of the {counted(count, 'leg')} alone.")
    return BridleTension(tension, tension * count / 2.0, inward, warned(*sentences))


@dataclass(frozen=True, slots=True)
class CentreOfGravity:
    """Where a wall's weight acts."""

    x_mm: float
    y_mm: float
    mass_kg: float
    weight_kn: float
    caution: str


def centre_of_gravity(
    masses_kg: Sequence[float], centres_mm: Sequence[tuple[float, float]]
) -> CentreOfGravity:
    """Centre of gravity of parts whose own centres are known.

    Parameters
    ----------
    masses_kg : sequence of float
        Mass of each part, 0 to 1e6, not all 0, [kg].
    centres_mm : sequence of (x, y)
        Centre of each part in one common frame, -1e7 to 1e7, [mm].

    Returns
    -------
    CentreOfGravity
        Its place, the whole mass, its weight, and the caution.

    Raises
    ------
    ValueError
        A figure out of its range, lists of different lengths, or no mass.

    Notes
    -----
    Σ m·x / Σ m. Weight with standard gravity 9.80665 m/s², exact by definition (3rd CGPM, 1901).

    Examples
    --------
    >>> centre_of_gravity([10.0, 30.0], [(0.0, 0.0), (400.0, 0.0)]).x_mm
    300.0
    """
    if len(masses_kg) != len(centres_mm):
        raise ValueError(
            f"centres_mm has {len(centres_mm)} value(s), expected {len(masses_kg)} as masses_kg"
        )
    masses = [
        finite(f"masses_kg[{i}]", mass, "kg", low=0.0, high=1e6) for i, mass in enumerate(masses_kg)
    ]
    places = [
        tuple(finite(f"centres_mm[{i}]", x, "mm", low=-1e7, high=1e7) for x in (across, down))
        for i, (across, down) in enumerate(centres_mm)
    ]
    total = math.fsum(masses)
    if total < LEAST_IN_ALL:
        raise ValueError(f"masses_kg is {total:g} kg in all, expected a mass")
    x, y = (
        math.fsum(m * p[axis] for m, p in zip(masses, places, strict=True)) / total
        for axis in (0, 1)
    )
    return CentreOfGravity(x, y, total, total * _GRAVITY_M_S2 / 1000.0, CAUTION)
