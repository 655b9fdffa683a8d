"""The caution that every result on suspension carries, and how points are named."""

from __future__ import annotations

from collections.abc import Sequence

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
