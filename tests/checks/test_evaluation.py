"""Judging a check: partial readings, stale readings, refused values; and any values at all."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission_tui.checks.evaluation import FAILED, evaluate, expected_places
from commission_tui.checks.faults.kinds import KINDS
from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.types import (
    CheckInput,
    Outcome,
    Reading,
    SeenFault,
    Value,
    Verdict,
)
from commission_tui.checks.registry import METHODS
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.errors import InputError
from tests.cases import case
from tests.characters import CHARACTERS
from tests.checks.helping import fellmoor, judge, shipped, wall_with

EXTREME = (0.0, -0.0, 1.0, -1.0, 1e-308, 5e-324, 1e308, -1e308, 1e16, 0.3127, 600.0, 6000.0)
NUMBERS = st.one_of(
    st.sampled_from(EXTREME),
    st.floats(allow_nan=False, allow_infinity=False),
    st.floats(0, 1000),
)
PARTS = st.one_of(st.sampled_from((0.0, 1e-300, 1e308)), st.floats(0, 100))
ERRORS = st.one_of(
    st.none(),
    st.builds(
        Errors,
        meter=st.sampled_from(("one", "other")),
        gain=st.floats(0, 1),
        offset=PARTS,
        scatter=PARTS,
        freedom=st.sampled_from((1.0, 9.0, math.inf)),
        fixed=PARTS,
        visit=st.sampled_from((-1, 0)),
    ),
)


def value_for(item: FieldDefinition) -> st.SearchStrategy[Value]:
    if item.kind == "number":
        return NUMBERS
    if item.kind == "yes-no":
        return st.booleans()
    if item.kind == "choice":
        return st.sampled_from(item.choices)
    return st.text(CHARACTERS, min_size=1, max_size=20)


@st.composite
def readings_of(draw: st.DrawFn, check: CheckDefinition) -> dict[str, dict[str, Reading]]:
    """Draw full, sparse or all-equal readings for the fields of a check."""
    wall = fellmoor()
    found: dict[str, dict[str, Reading]] = {}
    for item in check.fields:
        wanted = expected_places(check, wall)[item.name]
        chosen = wanted if draw(st.booleans()) else wanted[: draw(st.integers(0, 4))]
        pool = [
            Reading(draw(value_for(item)), item.unit, draw(ERRORS), measured=draw(st.booleans()))
            for _ in range(3)
        ]
        shift = draw(st.integers(0, 3))
        found[item.name] = {p: pool[(i * shift) % len(pool)] for i, p in enumerate(chosen)}
    return found


FAULTS = st.lists(
    st.builds(
        SeenFault,
        kind=st.sampled_from([kind.name for kind in KINDS] + ["something else"]),
        location=st.sampled_from(
            ("wall", "R3C7", "R3C7 m1,2", "R3C7 x59 y18", "x1211 y402", "R3C7 right", "R99C1", "?")
        ),
        state=st.sampled_from(("open", "mended", "verified", "accepted")),
    ),
    max_size=6,
)


def sound(outcome: Outcome) -> None:
    """What holds for every outcome, whatever was recorded."""
    assert outcome.reason
    assert FAILED not in outcome.reason
    assert "\n" not in outcome.reason
    assert "nan" not in outcome.reason.split()
    for figure in outcome.figures:
        assert math.isfinite(figure.value), figure
        assert figure.expanded is None or math.isfinite(figure.expanded), figure
    judged = outcome.so_far if outcome.so_far is not None else outcome.verdict
    verdicts = {figure.verdict for figure in outcome.figures}
    if Verdict.FAIL in verdicts:
        assert judged is Verdict.FAIL
    if judged is Verdict.PASS:
        assert verdicts <= {Verdict.PASS, None}
    if judged in {Verdict.FAIL, Verdict.MARGINAL}:
        assert outcome.next_step


@pytest.mark.parametrize("check_id", [check.id for check in shipped()])
@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_no_values_make_a_method_raise(check_id: str, data: st.DataObject) -> None:
    check = shipped().check(check_id)
    readings = data.draw(readings_of(check))
    faults = tuple(data.draw(FAULTS)) if check.method == "pixel_faults" else ()
    sound(evaluate(check, fellmoor(), readings, faults))


@pytest.mark.parametrize("number", [0.0, 1.0, 1e308, -1e308, 5e-324])
def test_one_number_everywhere_is_judged(number: float) -> None:
    wall = fellmoor()
    kinds: Mapping[str, Value] = {"number": number, "yes-no": True, "text": "x"}
    for check in shipped():
        wanted = expected_places(check, wall)
        readings = {
            item.name: dict.fromkeys(
                wanted[item.name],
                Reading(kinds.get(item.kind, item.choices[0] if item.choices else "x")),
            )
            for item in check.fields
        }
        with case(check.id):
            sound(evaluate(check, wall, readings))


def test_what_cannot_be_judged_says_whose_fault_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only what was typed is asked to be corrected; a slip of the program's own is called one."""
    readings = {"luminance_cd_m2": {"point 1": Reading(600.0)}}
    check = shipped().check("brightness")
    for error, reason, step in (
        (RefusedError("level is 0 lx"), "cannot be judged: level is 0 lx", "Look at the readings"),
        (OverflowError(34, "range"), "cannot be judged: the readings are too large", "Look at"),
        (ZeroDivisionError("by zero"), "cannot be judged: the readings are too large", "Look at"),
        (ValueError("max() of\nnothing"), f"{FAILED}: max() of nothing", "The readings are kept"),
    ):

        def fails(_: CheckInput, error: Exception = error) -> Outcome:
            raise error

        name = check.method
        monkeypatch.setitem(METHODS, name, replace(METHODS[name], function=fails))
        outcome = evaluate(check, fellmoor(), readings)
        with case(reason):
            assert reason in outcome.reason
            assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, None)
            assert outcome.next_step.startswith(step)


def test_nothing_recorded_is_open() -> None:
    outcome = judge("brightness", {})
    assert (outcome.verdict, outcome.reason) == (Verdict.OPEN, "nothing recorded yet")


def test_readings_at_places_the_wall_no_longer_has_do_not_count() -> None:
    check = shipped().check("cards-on-ports")
    ports = {f"P{n}": Reading(12.0) for n in range(1, 6)}
    stale = ports | {"P99": Reading(12.0)}
    assert evaluate(check, fellmoor(), {"cards_found": stale}).to_do == (("cards_found", "P6"),)
    outcome = evaluate(check, fellmoor(), {"cards_found": stale})
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason.startswith("5 of 6 recorded")


def test_a_reading_of_another_kind_is_left_out() -> None:
    check = shipped().check("cards-on-ports")
    ports = {f"P{n}": Reading("twelve") for n in range(1, 7)}
    assert evaluate(check, fellmoor(), {"cards_found": ports}).reason == "nothing recorded yet"


def test_a_choice_that_is_no_longer_one_is_left_out() -> None:
    check = shipped().check("cabinet-mapping")
    outcome = evaluate(
        check,
        fellmoor(),
        {"all_in_place": {"wall": Reading(True)}, "arrow": {"R1C1": Reading("sideways")}},
    )
    assert outcome.verdict is Verdict.PASS


def test_a_check_that_does_not_apply_says_why() -> None:
    wall = wall_with(('mounting = "flown"', 'mounting = "stacked"'))
    outcome = judge("suspension-loads", {}, wall=wall)
    assert outcome.verdict is Verdict.NOT_APPLICABLE
    assert outcome.reason == "this wall is not flown"


@pytest.mark.parametrize(
    ("check_id", "field", "value", "expected"),
    [
        ("brightness", "luminance_cd_m2", 600, 600.0),
        ("backups", "restored", "Y", True),
        ("backups", "restored", "no", False),
        ("cabinet-mapping", "arrow", "DOWN", "down"),
        ("backups", "saved", "  a.cfg ", "a.cfg"),
    ],
)
def test_a_field_takes_values_of_its_kind(
    check_id: str, field: str, value: Value, expected: Value
) -> None:
    assert shipped().check(check_id).field(field).accept(value) == expected


@pytest.mark.parametrize(
    ("check_id", "field", "value"),
    [
        ("brightness", "luminance_cd_m2", "much"),
        ("brightness", "luminance_cd_m2", True),
        ("brightness", "luminance_cd_m2", float("inf")),
        ("backups", "restored", "perhaps"),
        ("cabinet-mapping", "arrow", "north"),
        ("backups", "saved", "   "),
        ("backups", "saved", "x" * 2001),
    ],
)
def test_a_field_refuses_other_values(check_id: str, field: str, value: Value) -> None:
    with pytest.raises(InputError):
        shipped().check(check_id).field(field).accept(value)


def test_a_value_outside_the_sane_range_is_asked_about_not_refused() -> None:
    field = shipped().check("brightness").field("luminance_cd_m2")
    assert "above the expected maximum of 10000 cd/m²" in field.odd(20000.0)
    assert "below the expected minimum of 1 cd/m²" in field.odd(0.5)
    assert field.odd(600.0) == ""
    assert field.accept(20000.0) == 20000.0
