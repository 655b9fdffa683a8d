"""The words and digits of a verdict."""

from __future__ import annotations

import operator

import pytest

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Reading, Verdict
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.text import listed
from tests.checks.helping import fellmoor, meter

LIMIT = Limit("x", "mm", "source", "contract", 540, 660)
LOW = Limit("x", "", "source", "contract", low=0.9)
HIGH = Limit("x", "mm", "source", "contract", high=3)


def test_a_number_beside_its_limit_does_not_look_like_it() -> None:
    # 89.6 % is not 90 %: TRADE rounding habit of the trade, print 89.6 next to a limit of 90.
    figure = j.judged("ratio", 0.8996, limit=LOW, digits=2)
    assert figure.verdict is Verdict.FAIL
    assert figure.number == "0.8996"
    assert j.judged("ratio", 0.9, limit=LOW, digits=2).number == "0.9"


@pytest.mark.parametrize(
    ("value", "expanded", "verdict", "said"),
    [
        (571.0, 5.0, Verdict.PASS, "mean 571.0 mm is within 540 to 660 mm"),
        (500.0, 5.0, Verdict.FAIL, "mean 500.0 mm is outside 540 to 660 mm"),
        (
            542.0,
            5.0,
            Verdict.MARGINAL,
            "mean 542.0 mm is within its uncertainty (± 5.0 mm) of the limit, 540 to 660 mm",
        ),
    ],
)
def test_three_verdicts_in_words(
    value: float, expanded: float, verdict: Verdict, said: str
) -> None:
    figure = j.judged("mean", value, "mm", limit=LIMIT, expanded=expanded)
    assert figure.verdict is verdict
    assert j.against_limit(figure) == said


def test_one_sided_limits_are_met_or_missed() -> None:
    met = j.judged("gap", 2.0, "mm", limit=HIGH)
    assert j.against_limit(met) == "gap 2 mm meets the limit, at most 3 mm"
    missed = j.judged("gap", 4.0, "mm", limit=HIGH)
    assert j.against_limit(missed) == "gap 4 mm exceeds the limit of 3 mm"


def test_the_worst_figure_decides() -> None:
    good = j.judged("a", 600, limit=LIMIT)
    bad = j.judged("b", 1, limit=LIMIT)
    unsure = j.judged("c", 540, limit=LIMIT, expanded=1)
    assert j.conclude([good]).verdict is Verdict.PASS
    assert j.conclude([good, unsure]).verdict is Verdict.MARGINAL
    assert j.conclude([good, unsure, bad]).verdict is Verdict.FAIL
    assert j.conclude([good], also=Verdict.FAIL).verdict is Verdict.FAIL
    assert j.sentence_of([good, unsure, bad]).startswith("B 1")


def test_figures_without_a_limit_are_a_record() -> None:
    outcome = j.conclude([Figure("a", 1.0)])
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == "Recorded, no limit agreed"
    assert j.judged("a", 1, limit=Limit("x", "", "s", "contract")).verdict is None


def test_a_pass_has_no_next_step_and_no_places() -> None:
    outcome = j.conclude([j.judged("a", 600, limit=LIMIT)], where=["R1C1"], next_step="Again.")
    assert (outcome.next_step, outcome.where) == ("", ())


def test_marginal_says_how_often_to_repeat() -> None:
    ends = [Reading(value, "cd/m2", meter(3.0, gain=0.02), at=f"point {place}")
            for value, place in ((546.0, 9), (600.0, 1))]  # fmt: skip
    spread = function_budget(lambda low, high: low / high, *ends)
    outcome = j.conclude([j.judged("ratio", 0.91, limit=LOW, budget=spread)])
    assert outcome.next_step.endswith(
        "more readings each at point 9 and at point 1 to decide, logged as repeats."
    )
    count = int(outcome.next_step.split()[1])
    # U = 0.0135 has to fall below 0.01, and the figure itself moves by half as much.
    assert 4 <= count <= 12


@pytest.mark.parametrize(
    ("taken", "step"),
    [
        (1, "Take 4 more readings at point 1 to decide, logged as repeats."),
        (6, "Take 24 more readings at point 1 to decide, logged as repeats."),
        (
            9,
            "Mean: nobody takes the 36 more readings that would decide this; "
            "read again with a better instrument, or agree in writing what counts.",
        ),
    ],
)
def test_no_more_readings_are_asked_for_than_anybody_takes(taken: int, step: str) -> None:
    """Scatter 1.2, 2 from the limit. Four times as many more leave U = 2 × 1.2/√5 = 1.07 and move the
    mean by as much, so that it is clear of the limit in Φ((2 − 1.07)/1.07) = 81 of 100 cases; three
    times as many leave 1.2 and move it by 1.04: 78 of 100.
    """
    mean = Reading(542.0, "mm", meter(1.2), at="point 1", taken=taken)
    assert j.conclude([j.judged_from("mean", mean, unit="mm", limit=LIMIT)]).next_step == step


def test_a_reading_of_the_whole_wall_is_named_beside_one_of_a_place() -> None:
    """Repeated at one of them only, as the words once said, the figure seldom was decided."""
    pair = [
        Reading(value, "K", meter(9.0), at=at)
        for value, at in ((5600.0, "Lectern"), (6200.0, "wall"))
    ]
    spread = function_budget(lambda low, high: low / high, *pair)
    outcome = j.conclude([j.judged("ratio", 0.9032, limit=LOW, budget=spread)])
    assert "more readings each at Lectern and of the wall to decide" in outcome.next_step


@pytest.mark.parametrize(
    ("serials", "remarks", "step"),
    [
        ("aa", (), "Ratio: the limit is met by less than anybody can measure; agree in writing"),
        (
            "ab",
            (),
            "2 meters were mixed, whose calibrations do not cancel: read again with one meter,",
        ),
        (
            "aa",
            ("overdue",),
            "Ratio: a meter's calibration is out of date: read again with one meter, in date",
        ),
        ("ab", ("overdue",), "do not cancel; a meter's calibration is out of date: read again"),
    ],
)
def test_what_another_choice_of_meter_would_mend_is_not_to_be_agreed(
    serials: str, remarks: tuple[str, ...], step: str
) -> None:
    low, high = (
        Reading(value, "cd/m2", Errors(f"{serial} cd/m2 ", offset=6.0), remarks=remarks)
        for value, serial in zip((540.1, 600.0), serials, strict=True)
    )
    figure = j.judged_from("ratio", low, high, by=lambda a, b: a / b, limit=LOW)
    assert step in j.conclude([figure]).next_step


def test_a_value_on_the_limit_asks_for_a_better_instrument() -> None:
    figure = j.judged("ratio", 0.9001, limit=LOW, expanded=0.026)
    assert "with a better one" in j.conclude([figure]).next_step


@pytest.mark.parametrize("bad", [float("inf"), float("nan")])
def test_numbers_beyond_the_range_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="beyond the range"):
        j.judged("a", bad)
    with pytest.raises(ValueError, match="beyond the range"):
        j.judged("a", 1.0, expanded=bad)


def test_long_lists_of_places_are_counted() -> None:
    assert listed(["a", "b"]) == "a, b"
    assert listed([f"R1C{n}" for n in range(1, 9)]).endswith("R1C5 and 3 more")


def test_places_are_ranked_by_verdict_then_by_excess() -> None:
    placed = [
        j.judged("s", 2.9, limit=HIGH, place="near"),
        j.judged("s", 9.0, limit=HIGH, place="far"),
        j.judged("s", 4.0, limit=HIGH, place="over"),
        j.judged("s", 0.1, limit=HIGH, place="low"),
    ]
    assert [figure.place for figure in j.worst_first(placed)] == ["far", "over", "near", "low"]
    assert j.bad_places(j.worst_first(placed)) == ["far", "over"]


def test_the_binding_limit_is_the_lowest() -> None:
    assert j.lowest(HIGH, LIMIT) is HIGH
    assert j.lowest(LOW, HIGH) is HIGH


def test_a_number_that_only_many_digits_part_from_its_limit() -> None:
    figure = j.judged("ratio", 0.8999996, limit=LOW, digits=3)
    assert figure.number == "0.8999996"


def test_excess_is_the_distance_past_the_limit() -> None:
    both = [
        j.judged("s", 530.0, limit=LIMIT, place="a"),
        j.judged("s", 675.0, limit=LIMIT, place="b"),
        j.judged("s", 520.0, limit=LIMIT, place="c"),
    ]
    assert [figure.place for figure in j.worst_first(both)] == ["c", "b", "a"]


def _pairs(**fields: dict[str, float]) -> CheckInput:
    readings = {
        name: {place: Reading(value, "mm", meter(0.5), at=place) for place, value in at.items()}
        for name, at in fields.items()
    }
    return CheckInput(fellmoor(), readings, {"apart": HIGH})


def test_a_figure_of_two_fields_stands_where_both_were_read_worst_first() -> None:
    data = _pairs(a={"R1C1": 9.0, "R1C2": 12.0, "R1C3": 7.0}, b={"R1C1": 8.0, "R1C2": 2.0})
    found = j.judged_places(data, "apart at {}", "a", "b", by=operator.sub, limit="apart")
    assert [(f.name, f.place, f.value) for f in found] == [
        ("apart at R1C2", "R1C2", 10.0),
        ("apart at R1C1", "R1C1", 1.0),
    ]
    # Two readings with a standard deviation of 0.5 each, k = 2: twice the root of two of it.
    assert found[0].expanded == pytest.approx(2 * 0.5 * 2**0.5)
    outcome = j.conclude(found)
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("R1C2",))


def test_a_figure_at_one_place_waits_for_what_it_is_made_of() -> None:
    data = _pairs(a={"wall": 2.0, "R1C1": 2.5})
    assert j.judged_at(data, "apart", "a", "b", by=operator.sub) == []
    (figure,) = j.judged_at(data, "apart", "a", limit=HIGH)
    assert (figure.value, figure.limit, figure.place) == (2.0, HIGH, "")
    (figure,) = j.judged_at(data, "apart", "a", at="R1C1")
    assert (figure.value, figure.limit, figure.place) == (2.5, None, "R1C1")


def test_a_check_with_a_limit_is_not_said_to_have_none() -> None:
    assert j.clauses_of([], has_limits=True) == "recorded, nothing of it is held against the limit"
    assert j.clauses_of([]) == "recorded, no limit agreed"
