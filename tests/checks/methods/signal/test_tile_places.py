"""Cards, tiles, scan lines, redundant loops."""

from __future__ import annotations

from commission_tui.checks.model.types import SeenFault, Verdict
from tests.checks.helping import Values, figure, judge, wall_with, with_at

PORTS = dict.fromkeys(("P1", "P2", "P3", "P4", "P5", "P6"), 12.0)
NO_BACKUPS = tuple((f"backup_port = {number}\n", "") for number in (7, 8, 9))
LOOPS: Values = {"picture_held": True, "gap_ms": 120.0}


def test_all_cards_pass() -> None:
    outcome = judge("cards-on-ports", {"cards_found": PORTS})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "cards found").value == 72
    assert outcome.reason == "Every card answers on 6 of 6 ports"


def test_a_short_count_names_the_jumper() -> None:
    outcome = judge("cards-on-ports", {"cards_found": PORTS | {"P3": 7.0, "P5": 11.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("P3", "P5")
    assert outcome.reason == "P3 answers with 7 of 12 cards; also wrong: P5"
    # Port 3 runs R3C1 to R3C6, then back on row 4 from R4C6.
    assert outcome.next_step.startswith("Look at the jumper between R4C6 and R4C5 (P3.8)")


def test_no_card_at_all_points_at_the_processor() -> None:
    outcome = judge("cards-on-ports", {"cards_found": PORTS | {"P1": 0.0}})
    assert "between the processor and R1C1 (P1.1)" in outcome.next_step


def test_too_many_cards_fail() -> None:
    outcome = judge("cards-on-ports", {"cards_found": PORTS | {"P1": 24.0}})
    assert outcome.verdict is Verdict.FAIL
    assert "more cards than designed" in outcome.next_step


def test_ports_not_yet_read_are_open() -> None:
    outcome = judge("cards-on-ports", {"cards_found": {"P1": 12.0}})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.PASS)


def test_card_schedule_against_the_grid_counted_by_hand() -> None:
    """Arithmetic: 12 columns by 6 rows are 72 cabinets, 12 on each of six ports."""
    outcome = judge("cards-on-ports", {"cards_found": PORTS})
    assert figure(outcome, "cards designed").value == 12 * 6


def test_every_tile_in_place_passes() -> None:
    outcome = judge("cabinet-mapping", {"all_in_place": True})
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == "All 72 cabinets in their place, upright"


def test_exceptions_fail_and_are_named_once() -> None:
    values: Values = {
        "all_in_place": False,
        "seen": {"R2C3": "R2C4", "R2C4": "R2C3", "R1C1": "r1c1"},
        "arrow": {"R5C5": "down", "R2C3": "up"},
    }
    outcome = judge("cabinet-mapping", values)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("R2C3", "R2C4", "R5C5")
    assert outcome.reason == (
        "R2C3 shows R2C4, R2C4 shows R2C3, R5C5 has its arrow down; 68 cabinets not looked at"
    )
    assert figure(outcome, "cabinets in their place").value == 1


def test_yes_with_an_exception_is_a_contradiction() -> None:
    outcome = judge("cabinet-mapping", {"all_in_place": True, "seen": {"R1C2": "dark"}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Said to be right everywhere, yet R1C2 shows dark"


def test_a_fault_on_the_punch_list_contradicts_a_yes_until_it_is_mended() -> None:
    for state, verdict in (
        ("open", Verdict.FAIL),
        ("mended", Verdict.PASS),
        ("verified", Verdict.PASS),
    ):
        fault = SeenFault("cabinet dark", "R2C5", state)
        outcome = judge("cabinet-mapping", {"all_in_place": True}, faults=(fault,))
        assert outcome.verdict is verdict, state
    wrong = SeenFault("cabinet shows wrong tile", "R2C5", "open")
    outcome = judge("cabinet-mapping", {"all_in_place": True}, faults=(wrong,))
    assert outcome.reason == (
        "Said to be right everywhere, yet the punch list has R2C5: cabinet shows wrong tile"
    )
    assert outcome.where == ("R2C5",)
    assert "verify it there" in outcome.next_step
    assert figure(outcome, "cabinets in their place").value == 71
    tinted = SeenFault("cabinet tinted", "R2C5", "open")
    assert (
        judge("cabinet-mapping", {"all_in_place": True}, faults=(tinted,)).verdict is Verdict.PASS
    )


def test_cabinets_that_nobody_looked_at_are_neither_right_nor_wrong() -> None:
    seen = {f"R1C{column}": f"R1C{column}" for column in range(1, 13)}
    outcome = judge("cabinet-mapping", {"all_in_place": False, "seen": seen | {"R2C1": "dark"}})
    assert figure(outcome, "cabinets in their place").value == 12
    assert outcome.reason == "R2C1 shows dark; 59 cabinets not looked at"
    outcome = judge("cabinet-mapping", {"seen": seen})
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason.startswith("0 of 1 recorded; so far: Not looked at: R2C1, R2C2")


def test_each_of_six_dark_cabinets_is_named_and_none_that_was_mended() -> None:
    seen = {
        f"R{row}C{column}": f"R{row}C{column}" for row in range(1, 7) for column in range(1, 13)
    }
    dark = {f"R3C{column}": "dark" for column in range(1, 7)}
    mended = tuple(SeenFault("cabinet dark", f"R4C{n}", "mended") for n in range(1, 9))
    values: Values = {"all_in_place": False, "seen": seen | dark}
    outcome = judge("cabinet-mapping", values, faults=mended)
    assert figure(outcome, "cabinets in their place").value == 66
    assert outcome.reason == ", ".join(f"{cell} shows dark" for cell in sorted(dark))
    assert outcome.where == tuple(sorted(dark))


def test_a_cabinet_logged_as_wrong_and_on_the_punch_list_is_named_once() -> None:
    fault = SeenFault("cabinet dark", "R1C2", "open")
    outcome = judge(
        "cabinet-mapping", {"all_in_place": False, "seen": {"R1C2": "dark"}}, faults=(fault,)
    )
    assert outcome.reason == "R1C2 shows dark; 71 cabinets not looked at"


def test_no_without_an_exception_asks_for_it() -> None:
    outcome = judge("cabinet-mapping", {"all_in_place": False})
    assert outcome.verdict is Verdict.FAIL
    assert "Log what each wrong cabinet shows" in outcome.next_step


def test_cabinets_put_right_since_leave_the_whole_wall_to_be_answered_for() -> None:
    outcome = judge("cabinet-mapping", {"all_in_place": False, "seen": {"R1C2": "R1C2"}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.endswith("no cabinet stands as wrong")
    assert "look at the whole wall again and answer for it" in outcome.next_step


def test_an_exception_alone_leaves_the_check_open() -> None:
    outcome = judge("cabinet-mapping", {"arrow": {"R1C2": "mirrored"}})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.FAIL)


def test_scan_direction() -> None:
    assert judge("scan-direction", {"all_right": True}).verdict is Verdict.PASS
    outcome = judge("scan-direction", {"all_right": False, "line_does": {"R3C3": "backwards"}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "In R3C3 the line runs backwards"
    assert outcome.where == ("R3C3",)


def test_a_cabinet_logged_as_right_is_no_exception() -> None:
    outcome = judge("scan-direction", {"all_right": True, "line_does": {"R3C3": "right way"}})
    assert outcome.verdict is Verdict.PASS


def test_loops_hold() -> None:
    outcome = judge("loop-failure", LOOPS)
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == "Gap on P1 120 ms meets the limit, at most 500 ms"


def test_a_lost_picture_and_a_long_gap_fail() -> None:
    lost = with_at(LOOPS, "picture_held", "P4", False, "loop-failure")
    outcome = judge("loop-failure", with_at(lost, "gap_ms", "P2", 900.0, "loop-failure"))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("P4", "P2")
    assert outcome.reason == "Picture lost on P4; gap on P2 900 ms exceeds the limit of 500 ms"


def test_gap_near_the_limit_is_marginal_when_its_uncertainty_is_known() -> None:
    # 120 frames a second: one frame is 8.3 ms.
    outcome = judge("loop-failure", LOOPS | {"gap_ms": 495.0}, expanded={"gap_ms": 8.3})
    assert outcome.verdict is Verdict.MARGINAL


def test_a_wall_without_loops_needs_no_failure_test() -> None:
    wall = wall_with(*NO_BACKUPS, *((f"backup_port = {n}\n", "") for n in (10, 11, 12)))
    outcome = judge("loop-failure", {}, wall=wall)
    assert outcome.verdict is Verdict.NOT_APPLICABLE
    assert outcome.reason == "this wall has no backed-up port"


def test_only_backed_up_ports_are_asked_for() -> None:
    wall = wall_with(*NO_BACKUPS)
    assert judge("loop-failure", LOOPS, wall=wall).verdict is Verdict.PASS


def test_right_cabinets_are_counted() -> None:
    outcome = judge("scan-direction", {"all_right": False, "line_does": {"R3C3": "jumps"}})
    assert figure(outcome, "cabinets scanned").value == 71
    assert outcome.reason == "In R3C3 the line jumps"


def test_a_cabinet_not_looked_at_leaves_the_check_open() -> None:
    outcome = judge("cabinet-mapping", {"all_in_place": True, "seen": {"R1C2": "not looked at"}})
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason == "Not looked at: R1C2"


def test_the_arrow_of_a_cabinet_that_went_dark_counts_no_more() -> None:
    values: Values = {"all_in_place": False, "seen": {"R1C2": "dark"}, "arrow": {"R1C2": "down"}}
    assert judge("cabinet-mapping", values).reason.startswith("R1C2 shows dark; ")
