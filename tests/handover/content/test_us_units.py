"""A job in US units prints them for what is built, read and agreed, beside the metric figure."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Limit
from commission_tui.handover.figure_text import Printing

SOURCE = "common practice, no published source"


def limit(unit: str, low: float | None = None, high: float | None = None) -> Limit:
    return Limit("x", unit, SOURCE, "common practice", low, high)


# 1 in = 25.4 mm and 1 fc = 1 lm/ft² = 10.7639 lx: NIST SP 811 (2008), appendix B.8.
@pytest.mark.parametrize(
    ("given", "said"),
    [
        (limit("lx", 500, 1000), "500 to 1000 lx (46.5 to 92.9 fc)"),
        (limit("mm", high=3), "at most 3 mm (0.118 in)"),
        (limit("°C", high=70), "at most 70 °C (158 °F)"),
        (limit("cd/m2", 540, 660), "540 to 660 cd/m²"),
    ],
)
def test_a_limit_has_the_unit_beside_it(given: Limit, said: str) -> None:
    assert Printing(us=True).limit(given) == said
    assert Printing(us=False).limit(given) == said.partition(" (")[0]


def test_what_is_built_and_read_is_said_in_feet_and_footcandles() -> None:
    us, metric = Printing(us=True), Printing(us=False)
    assert us.value(500.0, "lx") == "500 lx (46.45 fc)"
    assert metric.value(500.0, "lx") == "500 lx"
    assert us.size(500, 500) == "1' 7 3/4\" (500 mm) × 1' 7 3/4\" (500 mm)"
    assert metric.size(500, 500) == "500 × 500 mm"
    assert us.value("behind the pillar", "") == "behind the pillar"
