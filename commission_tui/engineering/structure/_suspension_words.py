"""The caution that every result on suspension carries, and how loads and points are read and named."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.engineering.numeric.bounds import finite

CAUTION = (
    "Computed to warn, not to approve. The suspension is designed, inspected and approved by a "
    "competent person, licensed where the law asks for it, under the local code."
)

MOST_KN = 1e6
LEAST_IN_ALL = 1e-6
"""Below this a load or a mass is none, and a share of it has no meaning."""


def warned(*sentences: str) -> str:
    return " ".join((*sentences, CAUTION))


def points_text(numbers: Sequence[int]) -> str:
    """Name points as a person counts them: ``point 3``, ``points 1, 4``."""
    named = ", ".join(str(number + 1) for number in numbers)
    return f"{'points' if len(numbers) > 1 else 'point'} {named}"


def point_loads_kn(
    name: str, values_kn: Sequence[float], *, count: int | None = None, low: float = 0.0
) -> list[float]:
    """Take one load for each point, or refuse them by place."""
    if not len(values_kn) or (count is not None and len(values_kn) != count):
        expected = "at least 1" if count is None else str(count)
        raise ValueError(f"{name} has {len(values_kn)} value(s), expected {expected}")
    return [
        finite(f"{name}[{i}]", value, "kN", low=low, high=MOST_KN)
        for i, value in enumerate(values_kn)
    ]
