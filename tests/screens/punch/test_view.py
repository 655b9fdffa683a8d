"""The punch list filtered, sorted, searched."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

from commission_tui.logbook.entries.ids_and_clock import short_id
from commission_tui.logbook.logbook import OpenJob
from commission_tui.screens.punch import view as punch_view
from commission_tui.screens.terminal.styled_text import (
    plain_line,
)


def test_the_punch_list_filters_and_sorts(ready: OpenJob) -> None:
    ready.fault("cabinet dark", "R2C1", "stop", note="after rain")
    ready.fault("dark seam", "R1C1 right", "near")
    ready.fault("lock or bolt not home", "R2C2", "danger")
    ready.work(ready.state.faults[0], "mended")
    faults = ready.state.faults
    assert [f.number for f in punch_view.filtered(faults, "rain MENDED")] == [1]
    orders = {
        sort: [f.number for f in punch_view.in_order(faults, sort)] for sort in punch_view.SORTS
    }
    assert orders == {
        "number": [1, 2, 3],
        "severity": [3, 1, 2],
        "place": [2, 1, 3],
        "state": [2, 3, 1],
    }
    history = [plain_line(line) for line in punch_view.history(ready, faults[2])]
    assert history[0].startswith("▲ CAUTION")
    assert "from behind: row 2, 3rd from left" in history[2]


def test_a_correction_stands_in_the_history_when_it_was_made(ready: OpenJob) -> None:
    """One made after mending and looking again stood before both."""
    ready.fault("cabinet dark", "R2C1", "stop")
    for action in ("mended", "verified"):
        ready.work(ready.state.faults[0], action)
    (fault,) = ready.state.faults
    ready.correct(fault.id, replace(fault.found.body, note="after rain"), "said by the operator")
    lines = [plain_line(line) for line in punch_view.history(ready, ready.state.faults[0])]
    order = [
        word for line in lines for word in ("mended", "verified", "corrected") if f" {word}" in line
    ]
    assert order == ["mended", "verified", "corrected"]


def test_the_punch_list_finds_a_fault_by_its_id(ready: OpenJob) -> None:
    ready.fault("cabinet dark", "R2C1", "stop")
    ready.fault("dark seam", "R1C1 right", "near")
    first, second = (
        replace(fault, found=replace(cast("Any", fault.found), id=f"{fault.id[:-4]}{end}"))
        for fault, end in zip(ready.state.faults, ("7c0e", "7cf3"), strict=True)
    )

    def found(typed: str) -> list[int]:
        return [fault.number for fault in punch_view.filtered((first, second), typed)]

    assert found("7cf3") == found("7CF") == found("seam 7c") == found(second.id) == [2]
    assert found("7c0e") == [1]
    assert found("7c") == [1, 2]
    assert found("cf3") == found("0e") == []
    assert " 7cf3 " in plain_line(punch_view.row(second, with_id=True))
    assert "7cf3" not in plain_line(punch_view.row(second))
    history = "\n".join(map(plain_line, punch_view.history(ready, ready.state.faults[1])))
    assert f"2  dark seam  id {short_id(ready.state.faults[1].id)}" in history


def test_the_line_over_the_list_holds_all_counts_in_the_least_window() -> None:
    held = {"open": 20, "mended": 1, "verified": 3, "accepted": 1}
    faults = [
        cast("Any", SimpleNamespace(state=state))
        for state, many in held.items()
        for _ in range(many)
    ]
    said = plain_line(punch_view.summary(faults, 25, "severity", 12))
    assert said == "12 marked, 25 of 25 shown   20 open, 1 mended, 3 verified, 1 accepted"
    assert ", by severity" in plain_line(punch_view.summary(faults[:20], 20, "severity", 12))
