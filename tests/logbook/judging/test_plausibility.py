"""A slip is asked about at entry, and taken when it is confirmed."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.checks.places.places import GREY_STEPS, NINE_POINTS, places
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OddReadingError, OpenJob
from commission_tui.logbook.judging.plausibility import doubt_word, doubts_of_value, slips

CHECK, FIELD = "cabinet-luminance", "luminance_cd_m2"


def with_meter(job: OpenJob, due: date | None = None) -> OpenJob:
    job.record(
        body(
            e.Instrument, key="m", name="Meter", serial="7", calibration_due=due,
            accuracy={"cd/m2": {"percent": 2}},
        )
    )  # fmt: skip
    return job


@pytest.mark.parametrize(
    ("check", "field", "value", "asked"),
    [
        ("bottom-edge", "height_mm", 2.5, True),
        ("bottom-edge", "height_mm", 0.0, False),  # it stands on the floor
        ("bottom-edge", "height_mm", 2500.0, False),
        ("bottom-edge", "height_mm", 80.0, False),
        ("heat-and-air", "rear_mm", 0.8, True),
        ("level-flatness", "level_mm", 0.8, False),
    ],
)
def test_a_length_of_the_building_in_a_few_millimetres_is_asked_about(
    job: OpenJob, check: str, field: str, value: float, asked: bool
) -> None:
    said = slips(job.state, check, field, "wall", value)
    assert said == (
        (f"{value:g} mm: is it in mm? in metres it would be {value * 1000:g} mm",) if asked else ()
    )


def row(job: OpenJob, levels: list[float], number: int = 1) -> None:
    for column, level in enumerate(levels, start=1):
        job.read(CHECK, FIELD, f"R{number}C{column}", level, confirmed=True)


LEVELS = [605.0, 604.0, 606.0, 603.0, 607.0]


@pytest.mark.parametrize(
    ("typed", "words", "would_be"),
    [
        # 605 / 3.42626 (NIST SP 811, appendix B.8) read in footlamberts.
        (176.6, "footlamberts where cd/m² is meant", "605.1 cd/m2"),
        (60.5, "a decimal point out of place", "605 cd/m2"),
        (6050.0, "a decimal point out of place", "605 cd/m2"),
        (650.0, "two digits swapped, 605", "605 cd/m2"),
    ],
)
def test_the_question_says_what_it_would_be(
    job: OpenJob, typed: float, words: str, would_be: str
) -> None:
    row(with_meter(job), LEVELS)
    (said,) = slips(job.state, CHECK, FIELD, "R1C6", typed)
    assert words in said
    assert f"it would be {would_be}" in said
    with pytest.raises(OddReadingError, match=r"R1C6: .*it would be"):
        job.read(CHECK, FIELD, "R1C6", typed)
    assert job.state.latest(CHECK, FIELD, "R1C6") is None
    entry = job.read(CHECK, FIELD, "R1C6", typed, confirmed=True)
    assert isinstance(entry.body, e.ReadingTaken)
    assert words in entry.body.odd


@pytest.mark.parametrize("typed", [605.0, 590.0, 620.0, 571.0, 500.0])
def test_a_value_that_no_slip_explains_is_taken(job: OpenJob, typed: float) -> None:
    row(with_meter(job), LEVELS)
    assert slips(job.state, CHECK, FIELD, "R1C6", typed) == ()
    job.read(CHECK, FIELD, "R1C6", typed)


# The ratios by which one unit is typed for another: 1 ft = 0.3048 m exactly, 1 fc = 10.7639 lx and
# 1 fL = 3.42626 cd/m2 (NIST SP 811:2008, appendix B.8).
@pytest.mark.parametrize("typed", [60.5, 6.05, 6050.0, 60500.0, 605 / 3.43, 605 * 3.43, 62.0, 52.0])
def test_one_other_reading_is_enough_to_ask(job: OpenJob, typed: float) -> None:
    row(with_meter(job), [605.0])
    assert "it would be" in slips(job.state, CHECK, FIELD, "R1C2", typed)[0]


@pytest.mark.parametrize("typed", [605.0, 560.0, 420.0, 300.0, 1200.0, 650.0])
def test_one_other_reading_asks_about_nothing_that_a_wall_may_show(
    job: OpenJob, typed: float
) -> None:
    row(with_meter(job), [605.0])
    assert slips(job.state, CHECK, FIELD, "R1C2", typed) == ()


@pytest.mark.parametrize(
    ("check", "target"),
    [("brightness", "luminance_cd_m2"), ("house-level", "house_level_cd_m2")],
)
def test_the_target_is_enough_to_ask_at_the_first_reading(
    job: OpenJob, check: str, target: str
) -> None:
    aimed_at = getattr(job.state.wall.file.targets, target)
    assert aimed_at > 0
    for ratio in (10, 100, 1 / 10, 1 / 100, 1 / 3.43):
        (said,) = slips(with_meter(job).state, check, FIELD, "point 1", aimed_at * ratio)
        assert f"the {aimed_at:g} aimed at" in said
    assert slips(job.state, check, FIELD, "point 1", aimed_at * 0.7) == ()


def test_an_illuminance_in_footcandles_is_asked_about_at_the_second_reading(job: OpenJob) -> None:
    check, field, where = next(
        (c.id, f.name, f.where) for c in job.state.checklist for f in c.fields
        if f.unit == "lx" and f.where == "stage position"
    )  # fmt: skip
    first, second, *_ = places(where, job.state.wall)
    also = {first: 700.0}
    (said,) = slips(job.state, check, field, second, 700 / 10.76, also=also)
    assert "footcandles where lux is meant" in said
    assert slips(job.state, check, field, second, 300.0, also=also) == ()


def test_numbers_that_differ_widely_by_nature_are_not_asked_about_beside_one(job: OpenJob) -> None:
    """Dark levels, insulation of circuits, gaps of seams and counts."""
    with_meter(job)
    dark = {"point 1": 0.05}
    asked = slips(job.state, "brightness", FIELD, "point 2", 0.5, also=dark)
    assert not any("beside" in question for question in asked)
    circuits = places("circuit", job.state.wall)
    found = {circuits[0]: 20.0}
    assert slips(job.state, "insulation", "insulation_mohm", circuits[1], 170.0, also=found) == ()


@pytest.mark.parametrize("ratio", [10.0, 0.1, 0.01, 1 / 3.42626])
def test_a_grey_step_is_held_against_what_the_curve_makes_of_the_one_beside_it(
    job: OpenJob, ratio: float
) -> None:
    check, field = grey(with_meter(job))
    # By hand, exponent 2.2: (0.50 / 0.45)^2.2 = 1.2609, of 104 cd/m2.
    also = {"10 %": 3.8, "45 %": 104.0}
    (said,) = slips(job.state, check, field, "50 %", 131.13 * ratio, also=also)
    assert "the 131.1" in said
    assert "that the step beside it gives" in said
    assert slips(job.state, check, field, "50 %", 131.13 * 1.3, also=also) == ()
    assert slips(job.state, check, field, "5 %", 8.3, also=also) == ()  # the room is in it


def test_an_insulation_ten_times_another_or_a_part_of_its_limit_is_asked_about(
    job: OpenJob,
) -> None:
    first, second, *_ = places("circuit", job.state.wall)
    where = "insulation", "insulation_mohm"
    (said,) = slips(job.state, *where, second, 2000.0, also={first: 200.0})
    assert "a decimal point out of place" in said
    assert slips(job.state, *where, first, 0.5) == ()
    (said,) = slips(job.state, *where, first, 0.02)
    assert said == "0.02 MΩ is 1/50 of the 1 agreed at least: are unit and decimal sign right?"


def test_a_bond_is_held_against_its_limit_and_at_a_later_visit_against_the_first(
    job: OpenJob,
) -> None:
    where = "earth-bond", "bond_ohm", "R1C1"
    assert slips(job.state, *where, 0.6) == ()
    (said,) = slips(job.state, *where, 1.3)
    assert said.startswith("1.3 ohm is 13 times the 0.1 agreed at most")
    job.record(
        body(e.Instrument, key="b", name="Bond", serial="1", accuracy={"ohm": {"percent": 2}})
    )
    job.read(*where, 0.05)
    job.record(body(e.VisitBegun, name="after a year"))
    (said,) = slips(job.state, *where, 0.5)
    assert "of the first visit" in said


def test_a_table_whose_rows_all_slipped_alike_is_held_against_what_is_known(job: OpenJob) -> None:
    """A comma for thousands read as one for decimals: 1,605 as 1.605 in every row of the table."""
    with_meter(job)
    where = "brightness", FIELD, "point 1"
    rows = {f"point {n}": 1.6 for n in range(1, 10)}
    (question,) = slips(job.state, *where, 1.605, also=rows)
    assert question == ("1.605 cd/m2 where 600 is agreed: are unit and decimal sign right?")
    job.read(*where, 605.2)
    logged, _ = slips(job.state, *where, 1.605, also=rows)
    assert logged.startswith("1.605 cd/m2 where 605.2 is logged here")
    assert slips(job.state, *where, 603.0, also={"point 2": 603.0}) == ()


def test_a_bond_ten_times_the_one_beside_it_is_asked_about(job: OpenJob) -> None:
    also = {"R1C1": 0.13}
    (question,) = slips(job.state, "earth-bond", "bond_ohm", "R2C1", 1.3, also=also)
    assert "a decimal point out of place" in question
    assert slips(job.state, "earth-bond", "bond_ohm", "R2C1", 0.4, also=also) == ()


def test_rows_of_a_table_stand_beside_each_other(job: OpenJob) -> None:
    with_meter(job)
    also = {f"R1C{c}": 600.0 for c in range(1, 5)}
    assert slips(job.state, CHECK, FIELD, "R1C5", 60.0, also=also)
    assert not slips(job.state, CHECK, FIELD, "R6C12", 60.0, also=also)


def test_an_instrument_that_is_out_of_date_is_asked_about_once_a_check(job: OpenJob) -> None:
    with_meter(job, date(2026, 5, 3))  # the test's clock begins on the day after
    with pytest.raises(OddReadingError, match="Meter 7 was due on 2026-05-03"):
        job.read("brightness", FIELD, "point 1", 600.0)
    job.read("brightness", FIELD, "point 1", 600.0, confirmed=True)
    latest = job.state.latest("brightness", FIELD, "point 1")
    assert latest is not None
    assert "Meter 7" in latest.body.odd
    assert doubt_word(latest.body.odd) == "meter overdue"
    assert doubt_word("600: is it in mm?") == "odd"
    assert doubts_of_value(f"{latest.body.odd}; too low?") == "too low?"
    job.read("brightness", FIELD, "point 2", 600.0)
    with pytest.raises(OddReadingError, match="was due"):
        job.read(CHECK, FIELD, "R1C1", 600.0)


def test_an_instrument_due_today_is_in_date(job: OpenJob) -> None:
    with_meter(job, date(2026, 5, 4))
    job.read("brightness", FIELD, "point 1", 600.0)


def test_a_meter_of_another_trade_is_asked_about_before_the_first_reading(job: OpenJob) -> None:
    meter = body(e.Instrument, key="t", name="Tester", serial="9", accuracy={"ms": {"percent": 2}})
    job.record(meter)
    circuit = places("protected circuit", job.state.wall)[0]
    port = places("backed-up port", job.state.wall)[0]
    job.read("residual-device-times", "trip_ms", circuit, 24.0)
    with pytest.raises(OddReadingError, match="last use of Tester 9 was for Trip time"):
        job.read("loop-failure", "gap_ms", port, 300.0)
    job.read("loop-failure", "gap_ms", port, 300.0, confirmed=True)
    latest = job.state.latest("loop-failure", "gap_ms", port)
    assert latest is not None
    assert doubt_word(latest.body.odd) == "meter?"
    job.read("shared-part-failure", "gap_ms", places("shared part", job.state.wall)[0], 300.0)


def test_a_meter_that_was_named_since_is_not_asked_about(job: OpenJob) -> None:
    meter = body(e.Instrument, key="t", name="Tester", serial="9", accuracy={"ms": {"percent": 2}})
    job.record(meter)
    circuit = places("protected circuit", job.state.wall)[0]
    job.read("residual-device-times", "trip_ms", circuit, 24.0)
    job.record(body(e.InstrumentChosen, instrument="t", units=("ms",)))
    job.read("loop-failure", "gap_ms", places("backed-up port", job.state.wall)[0], 300.0)


def grey(job: OpenJob) -> tuple[str, str]:
    for check in job.state.checklist:
        for item in check.fields:
            if item.where == "grey step" and item.unit == "cd/m2":
                return check.id, item.name
    raise AssertionError("no check reads grey steps")


def test_grey_steps_that_merge_ask_for_the_range(job: OpenJob) -> None:
    check, field = grey(with_meter(job))
    job.read(check, field, "100 %", 600.0, confirmed=True)
    (said,) = slips(job.state, check, field, "95 %", 598.0)
    assert "95 % is as bright as white" in said
    assert "full into limited" in said
    # Apart as 0.95 to the 2.2 of white, 0.893, they are right.
    assert slips(job.state, check, field, "95 %", 536.0) == ()


def test_grey_steps_that_are_lifted_ask_for_the_range(job: OpenJob) -> None:
    # By hand, exponent 2.2: (16/235)^2.2 = 0.00271 and (37.9/235)^2.2 = 0.0181 of white.
    check, field = grey(with_meter(job))
    job.read(check, field, "100 %", 500.0, confirmed=True)
    job.read(check, field, "10 %", 9.05, confirmed=True)
    (said,) = slips(job.state, check, field, "0 %", 1.36)
    assert "limited into full" in said
    assert slips(job.state, check, field, "0 %", 0.02) == ()


def test_a_right_grey_scale_asks_nothing(job: OpenJob) -> None:
    check, field = grey(with_meter(job))
    for step in GREY_STEPS:
        level = 600.0 * (float(step.split()[0]) / 100) ** 2.2 + 0.05
        job.read(check, field, step, level)


UNEVEN = [600.0, 612.0, 589.0, 595.0, 620.0, 604.0, 581.0, 633.0, 598.0, 607.0, 591.0, 615.0]


def test_a_run_read_from_the_other_end_is_asked_about(job: OpenJob) -> None:
    row(with_meter(job), UNEVEN)
    job.record(body(e.VisitBegun, name="after a year"))
    backwards = [level * 0.97 for level in reversed(UNEVEN)]
    said: dict[int, tuple[str, ...]] = {}
    for column, level in enumerate(backwards, start=1):
        said[column] = slips(job.state, CHECK, FIELD, f"R1C{column}", level)
        job.read(CHECK, FIELD, f"R1C{column}", level, confirmed=True)
    assert [column for column in said if said[column]][:1] == [6]
    assert "back to front" in said[12][0]


def test_a_run_that_only_aged_asks_nothing(job: OpenJob) -> None:
    row(with_meter(job), UNEVEN)
    job.record(body(e.VisitBegun, name="after a year"))
    for column, level in enumerate(UNEVEN, start=1):
        job.read(CHECK, FIELD, f"R1C{column}", level * 0.93)


def test_words_and_answers_are_never_a_slip(job: OpenJob) -> None:
    assert slips(job.state, "cabinet-mapping", "all_in_place", "wall", True) == ()
    assert slips(job.state, "brightness", FIELD, "point 1", float("nan")) == ()


@given(
    levels=st.lists(st.floats(-1e12, 1e12), min_size=9, max_size=9),
    typed=st.floats(allow_nan=True, allow_infinity=True),
)
def test_no_number_stops_the_question(levels: list[float], typed: float) -> None:
    from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
    from commission_tui.logbook.state.state import State
    from tests.checks.helping import fellmoor

    state = State(design=fellmoor(), checklist=parse_checklist(shipped_files()))
    also = dict(zip(NINE_POINTS, levels, strict=True))
    assert isinstance(slips(state, "brightness", FIELD, "point 5", typed, also=also), tuple)


def test_two_coordinates_that_no_light_has_are_refused(job: OpenJob) -> None:
    accuracy = {"xy": {"absolute": 0.002}}
    job.record(body(e.Instrument, key="c", name="Meter", serial="8", accuracy=accuracy))
    job.read("white-point", "x", "point 1", 0.6, confirmed=True)
    before = len(job.state.entries)
    with pytest.raises(InputError, match=r"point 1: found x 0\.6 with y 0\.5, expected a colour"):
        job.read("white-point", "y", "point 1", 0.5, confirmed=True)
    assert len(job.state.entries) == before
    job.read("white-point", "y", "point 2", 0.33, confirmed=True)
    pair = [
        body(e.ReadingTaken, check="white-point", field=f, place="point 3", value=v, unit="xy")
        for f, v in (("x", 0.05), ("y", 0.84))
    ]
    with pytest.raises(InputError, match="no light has this one"):
        job.record_all(pair)


def test_a_gap_of_many_pitches_is_asked_about(job: OpenJob) -> None:
    seam = places("seam", job.state.wall)[0]
    accuracy = {"mm": {"absolute": 0.1}}
    job.record(body(e.Instrument, key="g", name="Gauge", serial="9", accuracy=accuracy))
    with pytest.raises(OddReadingError, match=r"50 mm is 20 pitches of 2\.5 mm"):
        job.read("seam-gaps", "gap_mm", seam, 50.0)
    assert slips(job.state, "seam-gaps", "gap_mm", seam, 0.2) == ()


@pytest.mark.parametrize(
    ("typed", "asked"), [("981", True), ("60,5", True), ("3", False), ("M. Lund, 77", False)]
)
def test_a_bare_number_in_the_place_of_a_name_is_asked_about(
    job: OpenJob, typed: str, asked: bool
) -> None:
    """Readings pasted into the wrong check would be the name of whoever certified the suspension."""
    found = slips(job.state, "suspension-certificate", "person", "wall", typed)
    assert bool(found) == asked
    assert slips(job.state, "known-good-files", "card_firmware", "wall", typed) == ()


@pytest.mark.parametrize("off_first", [True, False])
def test_a_wall_darker_lit_than_off_is_refused_naming_the_point(
    job: OpenJob, off_first: bool
) -> None:
    with_meter(job)
    lit, off = (FIELD, "point 8", 10.0), ("room_cd_m2", "wall", 35.0)
    first, second = (off, lit) if off_first else (lit, off)
    job.read("brightness", *first, confirmed=True)
    with pytest.raises(InputError, match="point 8: found 10 cd/m² lit and 35 cd/m² with the wall"):
        job.read("brightness", *second, confirmed=True)
    assert len(job.state.readings["brightness"]) == 1


@pytest.mark.parametrize(
    ("typed", "asks"), [("y", True), ("No", True), ("2", True), ("tile of R1C3", False)]
)
def test_an_answer_or_a_number_where_words_are_asked_for_is_asked_about(
    job: OpenJob, typed: str, asks: bool
) -> None:
    said = slips(job.state, "solid-colours", "shows", "R1C2", typed)
    assert bool(said) is asks
    assert all("takes words" in one for one in said)


def _white(job: OpenJob, x: float, y: float, place: str = "point 1") -> tuple[str, ...]:
    job.record(
        body(e.Instrument, key="c", name="C", serial="8", accuracy={"xy": {"absolute": 0.003}})
    )
    job.read("white-point", "x", place, x)
    return slips(job.state, "white-point", "y", place, y)


def test_coordinates_that_were_exchanged_are_asked_about(job: OpenJob) -> None:
    (asked,) = _white(job, 0.3298, 0.3128)
    assert asked == (
        "x 0.3298 with y 0.3128, where the design wants 0.3127 / 0.329: are x and y exchanged?"
    )


@pytest.mark.parametrize(("x", "y"), [(0.3128, 0.3298), (0.325, 0.325), (0.29, 0.30), (0.34, 0.35)])
def test_a_white_that_is_only_off_is_not_called_exchanged(job: OpenJob, x: float, y: float) -> None:
    assert _white(job, x, y) == ()


def test_exchanged_coordinates_are_told_by_the_sheet_and_by_those_beside(job: OpenJob) -> None:
    job.record(
        body(e.Instrument, key="c", name="C", serial="8", accuracy={"xy": {"absolute": 0.003}})
    )
    job.read("primaries", "sheet_x", "red", 0.68)
    job.read("primaries", "sheet_y", "red", 0.31)
    job.read("primaries", "x", "red, centre", 0.312)
    (asked,) = slips(job.state, "primaries", "y", "red, centre", 0.679)
    assert "the maker's sheet says 0.68 / 0.31: are x and y exchanged?" in asked
    assert slips(job.state, "primaries", "y", "red, centre", 0.33) == ()
    for column in (1, 2, 3):
        job.read(CHECK, "x", f"R1C{column}", 0.31)
        job.read(CHECK, "y", f"R1C{column}", 0.33)
    job.read(CHECK, "x", "R1C4", 0.331, confirmed=True)
    (asked,) = slips(job.state, CHECK, "y", "R1C4", 0.311)
    assert "by their median, 0.31 / 0.33: are x and y exchanged?" in asked


SHEET = {"red": (0.69, 0.305), "green": (0.17, 0.698), "blue": (0.136, 0.05)}


def _with_sheet(job: OpenJob) -> None:
    for colour, (x, y) in SHEET.items():
        job.read("primaries", "sheet_x", colour, x)
        job.read("primaries", "sheet_y", colour, y)


@pytest.mark.parametrize(
    ("colour", "axis", "value"),
    [("green", "y", 0.06), ("green", "y", 0.0698), ("green", "x", 0.017), ("red", "x", 0.069),
     ("red", "y", 0.03), ("blue", "x", 0.0136), ("blue", "y", 0.5), ("blue", "y", 0.005)],
)  # fmt: skip
def test_a_decimal_sign_that_slipped_in_a_primary_is_asked_about(
    job: OpenJob, colour: str, axis: str, value: float
) -> None:
    _with_sheet(job)
    known = SHEET[colour]["xy".index(axis)]
    asked = f"{axis} {value:g}, where the maker's sheet says {known:g}: are colour and decimal sign right?"
    assert asked in slips(job.state, "primaries", axis, f"{colour}, centre", value)


def test_a_decimal_sign_that_slipped_is_asked_about_where_no_sheet_is_known(job: OpenJob) -> None:
    asked = slips(job.state, "primaries", "sheet_y", "green", 0.0698)
    assert asked == ("y 0.0698, where BT.709 has green at 0.6: are colour and decimal sign right?",)
    (meters,) = [c.id for c in job.state.checklist if any(f.name == "own_y" for f in c.fields)]
    assert slips(job.state, meters, "own_y", "white", 0.0329) == (
        "y 0.0329, where the design wants 0.329: are colour and decimal sign right?",
    )
    (asked_of_white,) = slips(job.state, "white-point", "x", "point 1", 0.031)
    assert "x 0.031, where the design wants 0.3127" in asked_of_white


@pytest.mark.parametrize(
    ("colour", "axis", "value"),
    [("green", "y", 0.62), ("green", "x", 0.30), ("green", "x", 0.10), ("blue", "y", 0.02),
     ("blue", "y", 0.11), ("red", "y", 0.35), ("red", "x", 0.60), ("blue", "x", 0.16)],
)  # fmt: skip
def test_a_primary_that_is_only_off_is_not_asked_about(
    job: OpenJob, colour: str, axis: str, value: float
) -> None:
    assert slips(job.state, "primaries", axis, f"{colour}, centre", value) == ()
    _with_sheet(job)
    assert slips(job.state, "primaries", axis, f"{colour}, centre", value) == ()


def test_a_width_far_from_what_an_input_is_designed_for_is_asked_about(job: OpenJob) -> None:
    source = job.state.wall.file.inputs[0]
    check = next(
        check.id for check in job.state.checklist
        if any(item.name == "width_px" and item.where == "input" for item in check.fields)
    )  # fmt: skip
    (asked,) = slips(job.state, check, "width_px", source.name, 8.0)
    assert asked.startswith(f"8 px where this input is designed for {source.width_px}")
    assert slips(job.state, check, "width_px", source.name, source.width_px / 3) == ()
    assert slips(job.state, "edid-presented", "preferred_hz", source.name, 5.0)
