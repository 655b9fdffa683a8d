"""Scan direction from the stepped line. Common practice, no published source."""

from __future__ import annotations

from pathlib import Path
from typing import cast

import pytest

from commission_tui.errors import InputError
from commission_tui.wall.mapping.scan import (
    ScanDiagnosis,
    ScanReading,
    Sweep,
    diagnose_scan,
    read_scan_table,
)
from commission_tui.wall.model.location import Cell, Location, parse_location
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.walls import HEAD, vector_wall

WALL = vector_wall()
BACK = ScanReading("backwards", "backwards")


def scan(wall: Wall, places: dict[str, ScanReading]) -> ScanDiagnosis:
    """Every cabinet the right way, but for some."""
    readings = {Location(cell=cell): ScanReading() for cell in wall.cabinets}
    return diagnose_scan(wall, readings | {parse_location(p): r for p, r in places.items()})


def test_a_wall_scanned_the_right_way_has_nothing_to_say() -> None:
    assert scan(WALL, {}) == ScanDiagnosis((), ())


def test_one_cabinet_upside_down_tears_on_all_its_seams() -> None:
    found = scan(WALL, {"R2C3": BACK})
    (finding,) = found.findings
    assert (finding.kind, finding.scope, finding.where) == ("turned", "cabinet", "R2C3")
    assert "row 2, 4th from left" in finding.correction
    assert {str(seam) for seam in found.tearing_seams} == {
        "R2C3 right", "R2C2 right", "R2C3 bottom", "R1C3 bottom",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("reading", "kind"),
    [
        (BACK, "turned"),
        (ScanReading("backwards", "right way"), "scan-direction"),
        (ScanReading("right way", "backwards"), "scan-direction"),
        (ScanReading("jumps", "right way"), "hub-order"),
        (ScanReading("right way", "comb"), "scan-table"),
        (ScanReading("jumps", "comb"), "scan-table"),
    ],
)
def test_what_the_line_does_names_the_fault(reading: ScanReading, kind: str) -> None:
    assert [f.kind for f in scan(WALL, {"R1C1": reading}).findings] == [kind]


def test_most_of_a_type_is_its_programme_and_corrected_once() -> None:
    readings = {Location(cell=cell): ScanReading("comb", "comb") for cell in WALL.cabinets}
    (finding,) = diagnose_scan(WALL, readings).findings
    assert (finding.scope, finding.where) == ("cabinet type", "F500")
    assert len(finding.places) == 24
    assert "once" in finding.correction


def test_the_same_module_in_every_cabinet_is_the_programme_in_one_a_cable() -> None:
    bad = ScanReading("jumps", "jumps")
    readings = {Location(cell=cell, module=(1, 2)): bad for cell in WALL.cabinets}
    (finding,) = diagnose_scan(WALL, readings).findings
    assert (finding.kind, finding.scope, finding.where) == (
        "hub-order",
        "cabinet type",
        "F500 m1,2",
    )
    readings = {place: ScanReading() for place in readings} | {parse_location("R3C3 m1,2"): bad}
    (finding,) = diagnose_scan(WALL, readings).findings
    assert (finding.scope, finding.where) == ("module", "R3C3 m1,2")
    assert "flat cable" in finding.correction


def test_four_modules_turned_alike_are_a_turned_cabinet() -> None:
    readings = {
        Location(cell=Cell(1, 1), module=(row, column)): BACK for row in (1, 2) for column in (1, 2)
    }
    (finding,) = diagnose_scan(WALL, readings).findings
    assert (finding.kind, finding.scope, finding.where) == ("turned", "cabinet", "R1C1")


def test_a_cabinet_hung_turned_by_design_tears_although_the_line_runs_right() -> None:
    text = HEAD
    for column, turn in ((1, 0), (2, 180)):
        text += f'[[placements]]\nposition = "R1C{column}"\ntype = "F500"\n'
        text += f"x_mm = {500 * column}\ny_mm = 0\nx_px = {192 * column}\ny_px = 0\n"
        text += f"rotation_deg = {turn}\n"
    found = scan(parse_wall(text), {})
    assert found.findings == ()
    assert [str(seam) for seam in found.tearing_seams] == ["R1C1 right"]


@pytest.mark.parametrize("place", ["R9C9", "R1C1 m3,1", "R1C1 right", "wall"])
def test_a_place_that_is_no_cabinet_or_module_is_refused(place: str) -> None:
    with pytest.raises(InputError):
        diagnose_scan(WALL, {parse_location(place): ScanReading()})


def test_an_unknown_movement_is_refused() -> None:
    with pytest.raises(InputError, match="R1C1: found 'wobbles'"):
        diagnose_scan(WALL, {parse_location("R1C1"): ScanReading(cast("Sweep", "wobbles"))})


def test_a_table_parted_by_semicolons_is_read(tmp_path: Path) -> None:
    table = tmp_path / "seen.csv"
    table.write_text("location;across;down\nR1C1;backwards;\nR1C2 m1,1;;backwards\n", "utf-8")
    assert read_scan_table(table, WALL) == {
        parse_location("R1C1"): ScanReading(across="backwards"),
        parse_location("R1C2 m1,1"): ScanReading(down="backwards"),
    }
