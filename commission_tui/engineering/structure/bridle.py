"""Statics of what hangs: a bridle's legs, and where the weight acts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, one_for_each
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


@checked
def bridle_tension_kn(
    load_kn: Annotated[float, Range("kN", above=0, most=MOST_KN), "Load under the bridle"],
    angle_deg_from_horizontal: Annotated[
        float, Range("degree", least=1, most=90), "Inclination of each leg"
    ],
    legs: Annotated[int, Range(least=2, most=8)] = 2,
) -> BridleTension:
    """Tension in each leg of a bridle whose legs are equally long and equally inclined.

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
    angle = angle_deg_from_horizontal
    tension = load_kn / (legs * math.sin(math.radians(angle)))
    # cos 90° is not quite 0 in floating point.
    inward = 0.0 if angle == 90.0 else tension * math.cos(math.radians(angle))
    sentences = []
    if angle < _FLAT_BRIDLE_DEG:
        sentences.append(
            f"At {angle:g}° the legs lie flat: tension and inward pull rise steeply with every "
            "degree less."
        )
    if legs > 2:
        sentences.append(f"A stiff load may hang on two of the {counted(legs, 'leg')} alone.")
    return BridleTension(tension, tension * legs / 2.0, inward, warned(*sentences))


@dataclass(frozen=True, slots=True)
class CentreOfGravity:
    """Where a wall's weight acts."""

    x_mm: float
    y_mm: float
    mass_kg: float
    weight_kn: float
    caution: str


@checked
def centre_of_gravity(
    masses_kg: Annotated[
        Sequence[float], Range("kg", least=0, most=1e6), "Mass of each part, not all 0"
    ],
    centres_mm: Annotated[
        Sequence[tuple[float, float]], "Centre of each part in one common frame, -1e7 to 1e7, [mm]"
    ],
) -> CentreOfGravity:
    """Centre of gravity of parts whose own centres are known.

    Raises
    ------
    ValueError
        Lists of different lengths, or no mass.

    Notes
    -----
    Σ m·x / Σ m. Weight with standard gravity 9.80665 m/s², exact by definition (3rd CGPM, 1901).

    Examples
    --------
    >>> centre_of_gravity([10.0, 30.0], [(0.0, 0.0), (400.0, 0.0)]).x_mm
    300.0
    """
    one_for_each("centres_mm", centres_mm, masses_kg, "mass")
    places = [
        tuple(
            Range("mm", least=-1e7, most=1e7).figure(f"centres_mm[{i}]", x) for x in (across, down)
        )
        for i, (across, down) in enumerate(centres_mm)
    ]
    total = math.fsum(masses_kg)
    if total < LEAST_IN_ALL:
        raise RefusedError(f"masses_kg is {total:g} kg in all, expected a mass")
    x, y = (
        math.fsum(m * p[axis] for m, p in zip(masses_kg, places, strict=True)) / total
        for axis in (0, 1)
    )
    return CentreOfGravity(x, y, total, total * _GRAVITY_M_S2 / 1000.0, CAUTION)
