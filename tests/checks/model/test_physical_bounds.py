"""Impossible is refused in one line; odd is only asked about."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.physical_bounds import why_impossible, why_no_light
from commission_tui.checks.model.vocabulary import FIELD_UNITS
from commission_tui.errors import InputError
from tests.checks.helping import shipped


@pytest.mark.parametrize(
    ("check", "field", "value", "said"),
    [
        ("walk-light", "light_lx", -5.0, "found -5 lx, expected at least 0 lx"),
        ("brightness", "luminance_cd_m2", -5.0, "found -5 cd/m², expected at least 0 cd/m²"),
        ("structural-documents", "mass_kg", -3.0, "found -3 kg, expected at least 0 kg"),
        ("seams", "grade", 5.0, "found 5, expected a grade from 0 to 4"),
        ("cameras", "bands_grade", -1.0, "found -1, expected a grade from 0 to 4"),
        ("white-point", "y", 0.94, "found 0.94, expected at most 0.85"),
        ("seam-gaps", "gap_mm", -1.0, "found -1 mm, expected at least 0 mm"),
        ("soak", "humidity_percent", 101.0, "found 101 %, expected at most 100 %"),
        ("card-temperatures", "card_c", -300.0, "expected at least -273.15 °C"),
        ("key-colour", "cct_k", -1.0, "expected at least 0 K"),
        ("wall-noise", "noise_dba", 200.0, "expected at most 194 dBA"),
        ("spares", "counted", 2.5, "found 2.5, expected a whole number"),
        ("cameras", "shutter_s", -0.02, "expected at least 0 s"),
    ],
)
def test_what_cannot_be_is_refused(check: str, field: str, value: float, said: str) -> None:
    item = shipped().check(check).field(field)
    with pytest.raises(InputError) as caught:
        item.accept(value)
    assert said in str(caught.value)
    assert str(caught.value).startswith(item.label)


@pytest.mark.parametrize(
    ("check", "field", "value"),
    [
        ("seam-gaps", "gap_mm", 50.0),
        ("sound-picture", "offset_ms", -80.0),
        ("camera-white", "blue_percent", -12.0),
        ("fibre-loss", "loss_out_db", -0.02),
        ("copper-certification", "margin_db", -1.0),
        ("walk-light", "light_lx", 90_000.0),
        ("terminal-temperatures", "load_percent", 130.0),
        ("frames-and-diagonals", "across_px", -1.5),
    ],
)
def test_what_is_only_odd_or_below_zero_by_its_nature_is_taken(
    check: str, field: str, value: float
) -> None:
    assert shipped().check(check).field(field).accept(value) == value


def test_no_field_refuses_a_value_inside_its_own_range() -> None:
    for check in shipped():
        for item in check.fields:
            ends = [end for end in (item.low, item.high) if end is not None]
            for value in ends if item.kind == "number" else ():
                assert item.accept(value) == value, (check.id, item.name)


def test_zero_is_possible_in_every_unit() -> None:
    assert {why_impossible(0.0, unit, 0.0) for unit in FIELD_UNITS} == {""}


def test_no_light_has_these_coordinates() -> None:
    said = "x 0.05 with y 0.94, expected a colour inside the spectral locus: no light has this one"
    assert why_no_light("x", 0.05, 0.94) == why_no_light("own_y", 0.94, 0.05) == said
    assert why_no_light("y", 0.3290, 0.3127) == ""
