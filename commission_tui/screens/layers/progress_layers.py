"""The layers "progress" and "faults": how each cabinet stands."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import doubtful_readings
from commission_tui.logbook.state.state import Fault, State
from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.screens.terminal.styled_text import (
    DASH,
    FAULT_ROLE,
    FAULT_SIGN,
    VERDICT_ROLE,
    VERDICT_SIGN,
    Line,
    Part,
    fault_part,
    verdict_part,
)
from commission_tui.wall.model.location import Cell, known_location


def cabinet_readings(job: OpenJob) -> list[tuple[CheckDefinition, FieldDefinition]]:
    """Return every field that is read at cabinets, in the order of the checks that apply."""
    return [
        (check, item)
        for check in job.state.checklist
        for item in check.fields
        if item.per == "cabinet" and job.outcome(check.id).verdict is not Verdict.NOT_APPLICABLE
    ]


def cabinet_verdicts(job: OpenJob) -> dict[Cell, Verdict]:
    """Return how each cabinet stands: named by a check that fails, all read, or still open."""
    # What must be read at every cabinet.
    wanted = [(c.id, item.name) for c, item in cabinet_readings(job) if item.at_least is None]
    bad = _named_by_checks(job)
    doubted = {
        (check, *slot) for check in dict(wanted) for slot in doubtful_readings(job.state, check)
    }
    found = {}
    for cell in job.state.wall.cabinets:
        slots = [(*field, str(cell)) for field in wanted]
        read = all(job.state.slot(*slot) and slot not in doubted for slot in slots)
        found[cell] = bad.get(cell, Verdict.PASS if wanted and read else Verdict.OPEN)
    return found


def _named_by_checks(job: OpenJob) -> dict[Cell, Verdict]:
    found: dict[Cell, Verdict] = {}
    for outcome in job.outcomes().values():
        verdict = outcome.so_far or outcome.verdict
        if verdict not in {Verdict.FAIL, Verdict.MARGINAL}:
            continue
        for cell in cells_in(outcome.where):
            if found.get(cell) is not Verdict.FAIL:
                found[cell] = verdict
    return found


def cells_in(where: tuple[str, ...]) -> Iterator[Cell]:
    """Yield the cabinets that places name; what names none is left out."""
    for location in filter(None, map(known_location, where)):
        if location.cell is not None:
            yield location.cell


def progress_looks(job: OpenJob) -> dict[Cell, Look]:
    """Return how each cabinet stands: its verdict, and how many faults wait there."""
    waiting = {cell: len(unclosed(faults)) for cell, faults in job.once(faults_by_cell).items()}
    look = cache(_progress)  # one for all that look the same
    return {c: look(verdict, waiting.get(c, 0)) for c, verdict in cabinet_verdicts(job).items()}


def _progress(verdict: Verdict, faults: int) -> Look:
    word = {Verdict.PASS: "read", Verdict.MARGINAL: "marginal"}.get(verdict, str(verdict))
    sign = VERDICT_SIGN[verdict]
    mark = f"{FAULT_SIGN['open']}{faults}" if faults else ""
    return Look(
        mark[:1] or sign,
        f"{sign} {mark}" if mark else sign,
        "fail" if mark else VERDICT_ROLE[verdict],
        word,
        f"{sign}{mark} {word}",
        short=f"{sign}{mark}",
        below_short=word[:4],
    )


def progress_legend() -> Line:
    gap: Part = ("   ", "")
    return (
        (f"{VERDICT_SIGN[Verdict.PASS]} read", VERDICT_ROLE[Verdict.PASS]), gap,
        (f"{VERDICT_SIGN[Verdict.OPEN]} open", ""), gap,
        verdict_part(Verdict.MARGINAL), gap,
        verdict_part(Verdict.FAIL), gap,
        (f"{FAULT_SIGN['open']} has a fault", "fail"),
    )  # fmt: skip


# --- faults


def faults_by_cell(state: State) -> dict[Cell, list[Fault]]:
    """Return the faults of each cabinet."""
    found: dict[Cell, list[Fault]] = {}
    for fault in state.faults:
        for cell in cells_in((fault.found.body.location,)):
            found.setdefault(cell, []).append(fault)
    return found


def faults_at(job: OpenJob, cell: Cell) -> list[Fault]:
    """Return the faults of one cabinet, whatever their state."""
    return job.once(faults_by_cell).get(cell, [])


def unclosed(faults: list[Fault]) -> list[Fault]:
    return [fault for fault in faults if fault.state in {"open", "mended"}]


def fault_looks(job: OpenJob) -> dict[Cell, Look]:
    found = dict.fromkeys(job.state.wall.cabinets, Look(DASH, "", "muted"))
    for cell, faults in job.once(faults_by_cell).items():
        if cell not in found:
            continue
        states = [fault.state for fault in faults]
        worst = next(state for state in FAULT_ROLE if state in states)
        sign = FAULT_SIGN[worst]
        found[cell] = Look(sign, f"{sign}{len(faults)}", FAULT_ROLE[worst], worst)
    return found


def fault_legend() -> Line:
    return tuple(part for state in FAULT_ROLE for part in (fault_part(state), ("   ", "")))
