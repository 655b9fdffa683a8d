"""Limits as a checklist defines them: targets, tolerances, regions, and who says so."""

from __future__ import annotations

import re

import pytest

from commission_tui.checks.model.types import Limit
from commission_tui.wall.model.contract_model import Targets
from tests.checks.helping import fellmoor, shipped, wall_with


def test_a_contract_limit_names_its_target() -> None:
    limit = shipped().check("brightness").limits[0].limit(fellmoor())
    assert (limit.low, limit.high) == pytest.approx((540, 660))
    assert limit.source.startswith(
        "contract: luminance 600 cd/m², -10 % +10 %: tolerance by common"
    )


def test_a_tolerance_keeps_its_own_standing_round_a_target_of_the_contract() -> None:
    standing = {
        (check.id, limit.name): limit.limit(fellmoor()).standing
        for check in shipped()
        for limit in check.limits
        if limit.from_target is not None
    }
    assert standing["brightness", "mean_cd_m2"] == standing["white-point", "x"] == "common practice"
    assert standing["pixel-faults", "faults_ppm"] == "contract", "a target without a tolerance"


@pytest.mark.parametrize(
    ("region", "quoted", "standing"),
    [
        ("", "common practice", "common practice"),
        ("GB", "common practice", "common practice"),
        ("US", "NEC 2020", "law"),
        ("US-NY", "NEC 2020", "law"),
    ],
)
def test_a_national_code_is_quoted_only_where_the_wall_stands(
    region: str, quoted: str, standing: str
) -> None:
    head = f'mounting = "flown"\nregion = "{region}"' if region else 'mounting = "flown"'
    wall = wall_with(('mounting = "flown"', head))
    for check, name in (("power-schedule", 0), ("circuit-currents", 0)):
        limit = shipped().check(check).limits[name].limit(wall)
        assert (limit.source.startswith(quoted), limit.standing) == (True, standing), limit
        assert limit.high == 80


def test_a_region_may_have_bounds_of_its_own() -> None:
    at = {
        region: shipped()
        .check("circuit-voltages")
        .limits[0]
        .limit(wall_with(('mounting = "flown"', f'mounting = "flown"\nregion = "{region}"')))
        for region in ("DE", "US")
    }
    assert (at["DE"].low, at["DE"].high) == (-10, 10)
    assert (at["US"].low, at["US"].high) == (-5, 5)


NATIONAL = ("NEC", "NFPA", "BS 7671", "ASCE", "ANSI C84")


def test_no_limit_quotes_a_national_code_or_memory_outside_its_region() -> None:
    for check in shipped():
        for limit in check.limits:
            source = limit.limit(fellmoor()).source
            assert not [code for code in NATIONAL if code in source], (check.id, source)
            assert "from memory" not in limit.source.lower(), (check.id, limit.source)


def test_every_standard_that_gives_a_limit_its_weight_is_named_with_its_edition() -> None:
    """A year, the number of a revision (BT.1702-3, TIA-568-C), or a version (WCAG 2.2)."""
    edition = re.compile(
        r":(19|20)\d\d|\((19|20)\d\d\)|-(19|20)\d\d|BT\.\d+-\d|568(\.\d)?-[A-Z]|2\.2"
    )
    for check in shipped():
        for limit in check.limits:
            if limit.standing == "standard":
                assert edition.search(limit.source), (check.id, limit.source)


@pytest.mark.parametrize("source", ["IEC 99999 (from memory)", "From memory: a handbook"])
def test_a_source_that_nobody_looked_up_is_printed_as_common_practice(source: str) -> None:
    limit = Limit("x", "", source, "standard", high=1.0)
    assert limit.source == "common practice, no published source"
    assert limit.standing == "common practice"


def test_a_target_that_the_wall_file_does_not_state_is_no_contract() -> None:
    wall = wall_with(("white_x = 0.3127\n", ""), ("luminance_cd_m2 = 600\n", ""))
    assert Targets().white_x == 0.3127
    white = shipped().check("white-point").limits[0].limit(wall)
    assert white.standing == "common practice"
    assert (white.low, white.high) == pytest.approx((0.3077, 0.3177))
    bright = shipped().check("brightness").limits[0].limit(wall)
    assert str(bright) == "record only"
