"""What each layer of the wall shows in a cabinet, its legend, and what is said of one cabinet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from commission_tui.checks.definition import CheckDefinition
from commission_tui.checks.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state import Fault
from commission_tui.screens.words import (
    FAULT_ROLE,
    VERDICT_ROLE,
    Glyphs,
    Line,
    Part,
    fault_part,
    verdict_part,
)
from commission_tui.wall.location import Cell, parse_location
from commission_tui.wall.model import ResolvedChain, Wall

LAYERS = ("progress", "chains", "circuits", "luminance", "faults")


@dataclass(frozen=True, slots=True)
class Look:
    """What one cabinet shows: a sign that always fits, more words where there is room."""

    sign: str
    """One character, which always fits."""
    text: str = ""
    """First row, where it fits."""
    role: str = ""
    below: str = ""
    """Second row, where a cabinet has one; its name when there is nothing to say."""
    single: str = ""
    """The only row of a low cabinet, where it fits."""
    ground: int | None = None
    """Which of two grounds, so that what belongs together looks so; a chequer when None."""
    short: str = ""
    """First row where the text does not fit, and the second where what belongs below does not."""
    below_short: str = ""


def looks(layer: str, job: OpenJob, glyphs: Glyphs, *, rear: bool = False) -> dict[Cell, Look]:
    """Return what every cabinet shows in a layer."""
    wall = job.state.wall
    if layer == "chains":
        return _chains(wall, glyphs, rear)
    if layer == "circuits":
        return _circuits(wall)
    if layer == "luminance":
        return _luminance(job, glyphs)
    if layer == "faults":
        return _faults(job, glyphs)
    return _progress(job, glyphs)


# --- progress


def cabinet_fields(job: OpenJob) -> list[tuple[CheckDefinition, str]]:
    """Return the fields that must be read at every cabinet, of checks that apply."""
    return [
        (check, item.name)
        for check in job.state.checklist
        for item in check.fields
        if item.per == "cabinet"
        and item.at_least is None
        and job.outcome(check.id).verdict is not Verdict.NOT_APPLICABLE
    ]


def cabinet_verdicts(job: OpenJob) -> dict[Cell, Verdict]:
    """Return how each cabinet stands: named by a check that fails, all read, or still open."""
    wanted = cabinet_fields(job)
    bad = _named_by_checks(job)
    found = {}
    for cell in job.state.wall.cabinets:
        read = all(job.state.latest(check.id, field, str(cell)) for check, field in wanted)
        found[cell] = bad.get(cell, Verdict.PASS if wanted and read else Verdict.OPEN)
    return found


def _named_by_checks(job: OpenJob) -> dict[Cell, Verdict]:
    found: dict[Cell, Verdict] = {}
    for outcome in job.outcomes().values():
        verdict = outcome.so_far or outcome.verdict
        if verdict not in {Verdict.FAIL, Verdict.MARGINAL}:
            continue
        for cell in _cells_in(outcome.where):
            if found.get(cell) is not Verdict.FAIL:
                found[cell] = verdict
    return found


def _cells_in(where: tuple[str, ...]) -> Iterator[Cell]:
    for place in where:
        try:
            location = parse_location(place)
        except InputError:
            continue
        if location.cell is not None:
            yield location.cell


def _progress(job: OpenJob, glyphs: Glyphs) -> dict[Cell, Look]:
    open_faults = {cell for cell, faults in faults_by_cell(job).items() if unclosed(faults)}
    found = {}
    for cell, verdict in cabinet_verdicts(job).items():
        mark = glyphs.fault["open"] if cell in open_faults else ""
        word = {Verdict.PASS: "read", Verdict.MARGINAL: "marg"}.get(verdict, str(verdict))
        sign = mark or glyphs.verdict[verdict]
        role = "fail" if mark else VERDICT_ROLE[verdict]
        found[cell] = Look(sign, f"{glyphs.verdict[verdict]}{mark} {word}", role)
    return found


# --- chains and circuits


def _chains(wall: Wall, glyphs: Glyphs, rear: bool) -> dict[Cell, Look]:
    found = {cell: Look("?", "none", "fail") for cell in wall.cabinets}
    for number, chain in enumerate(wall.chains):
        for place, cell in enumerate(chain.cells, start=1):
            arrow = chain_arrow(chain, place, glyphs, rear)
            role = "chain-first" if place == 1 else ""
            name = f"{chain.port}.{place}"
            ground = number % 2
            found[cell] = Look(arrow, arrow, role, name, f"{name}{arrow}", ground)
    return found


def chain_arrow(chain: ResolvedChain, place: int, glyphs: Glyphs, rear: bool) -> str:
    """Return the arrow to the next cabinet of a chain, as it is seen; a block at its end."""
    if place == len(chain.cells):
        return glyphs.arrow[0, 0]
    here, there = chain.cells[place - 1], chain.cells[place]
    down, across = there.row - here.row, there.column - here.column
    if rear:
        across = -across
    if abs(down) > abs(across):
        return glyphs.arrow[1 if down > 0 else -1, 0]
    return glyphs.arrow[0, 1 if across > 0 else -1]


def _circuits(wall: Wall) -> dict[Cell, Look]:
    found = {cell: Look("?", "none", "fail") for cell in wall.cabinets}
    for number, circuit in enumerate(wall.circuits, start=1):
        for cell in circuit.cells:
            letter, phase = _letter(number), circuit.circuit.phase
            found[cell] = Look(letter, letter, "", phase, f"{letter} {phase}", number % 2)
    return found


def _letter(number: int) -> str:
    """Return A for 1; past Z a digit, then a question mark."""
    return "ABCDEFGHJKLMNPQRSTUVWXYZ0123456789"[number - 1] if number <= 34 else "?"


# --- luminance


def luminance_of(job: OpenJob) -> tuple[str, dict[Cell, float]]:
    """Return the check that reads cd/m2 at every cabinet, and what it has so far."""
    by_name = {str(cell): cell for cell in job.state.wall.cabinets}
    for check in job.state.checklist:
        for item in check.fields:
            if item.per == "cabinet" and item.unit == "cd/m2":
                read = {
                    cell: job.state.latest(check.id, item.name, place)
                    for place, cell in by_name.items()
                }
                return check.id, {c: float(x.body.value) for c, x in read.items() if x}
    return "", {}


def short_number(value: float) -> str:
    """Say a number in as few characters as a cabinet has."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def _luminance(job: OpenJob, glyphs: Glyphs) -> dict[Cell, Look]:
    check_id, values = luminance_of(job)
    where = set(_cells_in(job.outcome(check_id).where)) if check_id else set()
    low, high = min(values.values(), default=0.0), max(values.values(), default=0.0)
    found = {}
    for cell in job.state.wall.cabinets:
        value = values.get(cell)
        if value is None:
            found[cell] = Look(glyphs.dash, glyphs.dash, "muted")
            continue
        step = int((value - low) / (high - low) * 3.999) if high > low else 3
        shade = glyphs.shades[step]
        mark = glyphs.caution if cell in where else ""
        role = "marginal" if mark else ""
        signs, number = f"{shade}{mark}", short_number(value)
        found[cell] = Look(mark or shade, signs, role, number, f"{signs}{number}")
    return found


# --- faults


def faults_by_cell(job: OpenJob) -> dict[Cell, list[Fault]]:
    found: dict[Cell, list[Fault]] = {}
    for fault in job.state.faults:
        for cell in _cells_in((fault.found.body.location,)):
            found.setdefault(cell, []).append(fault)
    return found


def unclosed(faults: list[Fault]) -> list[Fault]:
    return [fault for fault in faults if fault.state in {"open", "mended"}]


def _faults(job: OpenJob, glyphs: Glyphs) -> dict[Cell, Look]:
    found = {cell: Look(glyphs.dash, "", "muted") for cell in job.state.wall.cabinets}
    for cell, faults in faults_by_cell(job).items():
        if cell not in found:
            continue
        states = [fault.state for fault in faults]
        worst = next(state for state in FAULT_ROLE if state in states)
        glyph = glyphs.fault[worst]
        found[cell] = Look(glyph, f"{glyph}{len(faults)}", FAULT_ROLE[worst], worst)
    return found


# --- the legend


def legend(layer: str, job: OpenJob, glyphs: Glyphs) -> Line:
    """Return a layer's signs with their words, on one line."""
    gap: Part = ("   ", "")
    if layer == "progress":
        parts: list[Part] = [
            (f"{glyphs.verdict[Verdict.PASS]} read", VERDICT_ROLE[Verdict.PASS]), gap,
            (f"{glyphs.verdict[Verdict.OPEN]} open", ""), gap,
            verdict_part(Verdict.MARGINAL, glyphs), gap,
            verdict_part(Verdict.FAIL, glyphs), gap,
            (f"{glyphs.fault['open']} has a fault", "fail"),
        ]  # fmt: skip
        return tuple(parts)
    if layer == "chains":
        end = glyphs.arrow[0, 0]
        return (
            ("1.1 port and place", "chain-first"), (" first of its chain   ", "muted"),
            (f"arrow: where the data goes next, {end} end", "muted"),
        )  # fmt: skip
    if layer == "circuits":
        named = [f"{_letter(n)} {c.name}" for n, c in enumerate(job.state.wall.circuits, start=1)]
        return (("  ".join(named), "muted"),)
    if layer == "luminance":
        _, values = luminance_of(job)
        shades = glyphs.shades
        span = f"{min(values.values()):.4g} to {max(values.values()):.4g}" if values else "none yet"
        return (
            (f"cd/m2 {span}  {shades[0]} darkest {shades[-1]} brightest   ", "muted"),
            (f"{glyphs.caution} named by the check", "marginal"),
        )
    return tuple(
        part for state in FAULT_ROLE for part in (fault_part(state, glyphs), gap)
    )  # fmt: skip


def overview_looks(job: OpenJob, glyphs: Glyphs) -> Mapping[Cell, Look]:
    """Return what the small wall of the overview shows."""
    return _progress(job, glyphs)
