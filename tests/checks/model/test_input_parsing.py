"""From what is typed to a value."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.input_parsing import names_unit, typed_value, xy_pair
from commission_tui.checks.model.types import Value
from commission_tui.checks.places.places import places
from commission_tui.errors import InputError
from tests.characters import CHARACTERS
from tests.checks.helping import fellmoor, shipped


def _typed(item: FieldDefinition, text: str) -> Value:
    """Type at the first place where the field is read."""
    wall = fellmoor()
    return typed_value(item, text, wall, places(item.where, wall)[0])


@pytest.mark.parametrize(
    ("check_id", "field", "text", "value"),
    [
        ("brightness", "luminance_cd_m2", " 571,5 ", 571.5),
        ("overall-size", "width_mm", "6.003 m", 6003.0),
        ("earth-bond", "conductor_mm2", "6 mm2", 6.0),
        ("earth-bond", "conductor_mm2", "6 mm²", 6.0),
        ("cameras", "shutter_s", "1/50", 0.02),
        ("cameras", "shutter_s", "20 ms", 0.02),
        ("cameras", "shutter_s", "360°", 0.02),
        ("shutter-steps", "shutter_s", "180 deg", 0.01),
        ("cards-on-ports", "cards_found", "12", 12.0),
        ("cabinet-mapping", "arrow", "3", "down"),
        ("cabinet-mapping", "arrow", "mir", "mirrored"),
        ("cabinet-mapping", "arrow", "UP", "up"),
        ("backups", "restored", "yes", True),
        ("backups", "saved", "a.cfg", "a.cfg"),
        ("warranty", "ends_on", " 2031-06-12 ", "2031-06-12"),
        ("warranty", "ends_on", "12.06.2031", "2031-06-12"),
        ("warranty", "ends_on", "12 June 2031", "2031-06-12"),
    ],
)
def test_values_as_typed(check_id: str, field: str, text: str, value: Value) -> None:
    assert _typed(shipped().check(check_id).field(field), text) == value


def test_footcandles_become_lux() -> None:
    """Definition: 1 fc is 1 lm/ft², 10.7639 lx."""
    item = shipped().check("front-light").field("presenter_lx")
    assert _typed(item, "65fc") == pytest.approx(65 * 10.7639, rel=1e-5)


@pytest.mark.parametrize(
    ("check_id", "field", "text"),
    [
        ("brightness", "luminance_cd_m2", "12 kg"),
        ("brightness", "luminance_cd_m2", "-12"),
        ("brightness", "luminance_cd_m2", "641.5  0,3290"),
        ("white-point", "x", "0.9"),
        ("brightness", "luminance_cd_m2", ""),
        ("cabinet-mapping", "arrow", "9"),
        ("cabinet-mapping", "arrow", ""),
        ("scan-direction", "line_does", "d x"),
        ("backups", "restored", "1/2"),
        ("warranty", "ends_on", "12 June"),
        ("warranty", "ends_on", "2031-02-30"),
        ("cameras", "shutter_s", "400°"),
        ("cameras", "shutter_s", "-1/50"),
        ("latency", "latency_ms", "180°"),
    ],
)
def test_what_has_no_meaning_is_refused_in_one_line(check_id: str, field: str, text: str) -> None:
    item = shipped().check(check_id).field(field)
    with pytest.raises(InputError) as caught:
        _typed(item, text)
    assert str(caught.value).startswith(item.label)
    assert "\n" not in str(caught.value)


def test_every_number_field_takes_a_number_in_its_own_unit() -> None:
    for check in shipped():
        for item in check.fields:
            if item.kind == "number":
                number = "0.2" if item.unit == "xy" else "2"
                assert _typed(item, number) == float(number), (check.id, item.name)
                assert _typed(item, f"{number} {item.unit}") == float(number), (check.id, item.name)


@pytest.mark.parametrize(
    ("text", "pair"),
    [
        ("0.3127\t0.3290", ("0.3127", "0.3290")),
        (" 0,3127  0,3290 ", ("0,3127", "0,3290")),
        ("0,3127;0,3290", ("0,3127", "0,3290")),
        ("0,3127, 0,3290", ("0,3127", "0,3290")),
        ("0.3127,.3290", ("0.3127", ".3290")),
        ("x=0.3140 y=0.3310", ("0.3140", "0.3310")),
        ("x 0,3140, y 0,3310", ("0,3140", "0,3310")),
        ("X: 0.3140; Y: 0.3310", ("0.3140", "0.3310")),
        ("y=0.3310 x=0.3140", None),
        ("0,3127,0,3290", None),  # four numbers, or two
        ("0.3127 0,3290 0.1", None),
        ("0.3127", None),
        ("0 312", None),
        ("641 0.3290", None),
    ],
)
def test_x_and_y_on_one_line_are_two_where_no_other_reading_is_left(
    text: str, pair: tuple[str, str] | None
) -> None:
    assert xy_pair(text) == pair


@given(text=st.text(CHARACTERS, max_size=30))
def test_any_text_is_a_value_or_an_input_error(text: str) -> None:
    for check_id, field in (("brightness", "luminance_cd_m2"), ("cabinet-mapping", "arrow")):
        item = shipped().check(check_id).field(field)
        try:
            value = _typed(item, text)
        except InputError:
            continue
        assert item.holds(value)


@pytest.mark.parametrize(
    ("typed", "limit"),
    [(">200", "least"), ("> 200", "least"), ("<200", "largest"), ("≥ 200", "least")],
)
def test_a_bound_is_no_value_and_the_way_to_log_it_is_said(typed: str, limit: str) -> None:
    field = shipped().check("insulation").field("insulation_mohm")
    with pytest.raises(
        InputError, match=f"is a bound: where the limit is a {limit} value, type 200 and add a note"
    ):
        _typed(field, typed)


@pytest.mark.parametrize(
    ("typed", "named"),
    [
        *(("28,9 fL", True), ("28.9fL", True), ("65 fc", True), ("21' 6\"", True), ("3 m", True)),
        *(("28,9", False), ("1 000", False), ("3k2", False), ("5k", False), ("1e3", False)),
        *(("1e-3", False), ("-12", False), ("", False)),
    ],
)
def test_a_unit_that_was_typed_is_told_from_an_exponent_and_a_letter_code(
    typed: str, named: bool
) -> None:
    assert names_unit(typed) is named


def test_a_load_in_kilograms_is_told_the_unit_of_its_weight() -> None:
    item = next(f for c in shipped() for f in c.fields if f.unit == "kN")
    with pytest.raises(
        InputError, match="expected force in kN, or kgf for the weight of that mass"
    ):
        _typed(item, "620 kg")
