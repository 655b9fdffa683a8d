"""What the walk shows: the next place, what to do, what was read, what a typed value would mean."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import groupby

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.input_parsing import names_unit, typed_value, without_label
from commission_tui.checks.model.types import Outcome, Value, Verdict
from commission_tui.checks.places.applicability import features_to_settle
from commission_tui.checks.places.places import places
from commission_tui.errors import CommissionError
from commission_tui.figures import reading_text, unit_word, with_unit
from commission_tui.logbook.integrity.clashes import people_who_read
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.instruments import is_stated
from commission_tui.logbook.judging.plausibility import doubts_of_value
from commission_tui.logbook.plan.planning import nearest_check
from commission_tui.logbook.state.state import NO_READINGS, State
from commission_tui.screens.photographs.check_tasks import photographed
from commission_tui.screens.terminal.styled_text import (
    CAUTION_SIGN,
    Line,
    caution_line,
    source_text,
    verdict_part,
)
from commission_tui.text import clipped, lower_first
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns import named_in

_LEAST_STAGE = 10
_CONVERTED = re.compile(r"[^\d\s.,+-]")
"""In what is typed: it is no number alone, so that what it is in the field's unit is said too."""
PATHS = ("rows", "rows, serpentine", "columns, serpentine", "along the chains")


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to type: a field at a place."""

    field: FieldDefinition
    place: str
    is_optional: bool = False
    """Whether nothing needs to be read here, or no more than elsewhere: Enter comes here last."""

    @property
    def slot(self) -> tuple[str, str]:
        return self.field.name, self.place


def steps(check: CheckDefinition, wall: Wall, path: str = PATHS[0]) -> tuple[Step, ...]:
    """Return every step of a check as one walks: all fields of a place before the next place.

    The optional ones stand last, where Enter comes to them: who types a list reads it off the screen.
    """
    found: list[Step] = []
    for per, group in groupby(check.fields, key=lambda item: item.where):
        fields = list(group)
        there = wanted = places(per, wall)
        if per == "cabinet":
            wanted = tuple(str(cell) for cell in in_path(wall, path))
        # Of a sample those are asked for that stand first, however one walks.
        asked = {item.name: set(there[: item.places_wanted(there)]) for item in fields}
        found += [
            Step(item, place, is_optional=place not in asked[item.name])
            for place in wanted
            for item in fields
        ]
    return tuple(sorted(found, key=lambda step: step.is_optional))


def in_path(wall: Wall, path: str) -> list[Cell]:
    """Return the cabinets in the order in which the technician moves."""
    cells = list(wall.cabinets)
    if path == "rows, serpentine":
        return sorted(cells, key=lambda c: (c.row, c.column if c.row % 2 else -c.column))
    if path == "columns, serpentine":
        return sorted(cells, key=lambda c: (c.column, c.row if c.column % 2 else -c.row))
    if path == "along the chains":
        along = [cell for chain in wall.chains for cell in chain.cells]
        return along + [cell for cell in cells if cell not in set(along)]
    return cells


def next_index(
    walk: Sequence[Step], to_do: Collection[tuple[str, str]], after: int = -1
) -> int | None:
    """Return the first step after an index that is still to do, else the first of all; or None."""
    wanted = set(to_do)
    left = [index for index, step in enumerate(walk) if step.slot in wanted]
    return next((index for index in left if index > after), left[0] if left else None)


def places_read(state: State, check_id: str) -> frozenset[str]:
    """Return the places of a check where something was read on this visit."""
    readings = state.readings.get(check_id, NO_READINGS)
    if not state.visits:
        return frozenset(place for _, place in readings)
    begun = state.visits[-1].id
    return frozenset(place for (_, place), slot in readings.items() if slot[-1].id >= begun)


def first_open(job: OpenJob) -> str:
    """Return the first check that is open, else the first of all; nothing without checks."""
    checks = [check.id for check in job.state.checklist]
    is_open = (check for check in checks if job.outcome(check).verdict is Verdict.OPEN)
    return next(is_open, checks[0] if checks else "")


def check_line(job: OpenJob, check: CheckDefinition, width: int) -> tuple[Line, Line]:
    """Return where in the list one is, and how the check stands; the stage gives way first."""
    stage, outcomes = job.state.checklist.stage_of(check.id), job.outcomes()
    verdict = verdict_part(outcomes[check.id].verdict)
    apply = [
        item.id
        for item in stage.checks
        if item.id == check.id or outcomes[item.id].verdict is not Verdict.NOT_APPLICABLE
    ]
    number = f", check {apply.index(check.id) + 1} of {len(apply)}  "
    room = width - len(verdict[0]) - 2 - len(number)
    name = clipped(stage.title, max(_LEAST_STAGE, room - len(check.title)))
    where: Line = (
        (f"{name}{number}", "muted"),
        (clipped(check.title, room - len(name)), "strong"),
    )
    return where, (verdict,)


_ADDED = frozenset({"stage positions", "stage position", "cameras", "camera", "inputs", "input"})
"""What a check may be about that is added to the design on the overview."""


def guide(job: OpenJob, check: CheckDefinition, step: Step | None) -> list[Line]:
    """Return what to read before measuring: cautions first, then the work, then the limits."""
    lines = caution_lines(job, check)
    for feature in features_to_settle(check.applies, job.state.wall):
        settles: Line = (("Ctrl+O", "key"), (" answers yes or no", "muted"))
        lines.append((("Not settled: ", "marginal"), (f"{feature}? ", "strong"), *settles))
    named = _ADDED & {*check.applies, *(item.per for item in check.fields)}
    if named and job.outcome(check.id).verdict is Verdict.NOT_APPLICABLE:
        adds: Line = (("F2", "key"), (", then ", "muted"), ("+", "key"), (" adds one", "muted"))
        lines.append((("The design names none. ", "marginal"), *adds))
    if step is not None and len(step.place) > LONG_PLACE:
        lines.append((("Now ", "muted"), (step.place, "strong")))
    lines += _both_read(job.state, check, step)
    lines += [((f"{n} ", "key"), (text, "")) for n, text in enumerate(check.do, start=1)]
    if check.pattern:
        # Some name what no picture is, such as a flash and a click.
        writes: Line = (("  F6", "key"), (" writes it", "muted")) if named_in(check.pattern) else ()
        lines.append((("Pattern ", "muted"), (check.pattern, "strong"), *writes))
    if what := photographed(check):
        lines.append((("F6", "key"), (f" reads photographs: {what}", "")))
    lines += _instruments(job, check)
    for limit in limits_of(job.state, check.id).values():
        lines.append(
            (
                (f"Limit, {lower_first(limit.label)} ", "muted"),
                (str(limit), "strong"),
                (f" ({source_text(limit)})", "muted"),
            )
        )
    outcome = job.outcome(check.id)
    if check.suspect and Verdict.FAIL in {outcome.verdict, outcome.so_far}:
        lines.append((("Suspect, in this order: ", "key"), ("; ".join(check.suspect), "")))
    lines.append((("Why ", "muted"), (check.why, "")))
    if check.retest:
        lines.append((("To repeat after a change ", "muted"), (check.retest, "")))
    return lines


def caution_lines(job: OpenJob, check: CheckDefinition) -> list[Line]:
    """Return the cautions: whole until something was read under them in this job, then on one line."""
    read = job.state.readings
    known = {text for other in job.state.checklist if other.id in read for text in other.cautions}
    again = [re.split(r"[:;.,]", text)[0] for text in check.cautions if text in known]
    texts = [text for text in check.cautions if text not in known]
    return [caution_line(text) for text in (*texts, "; ".join(again)) if text]


def _both_read(state: State, check: CheckDefinition, step: Step | None) -> list[Line]:
    """Say who read what where more than one person read this place."""
    slot = state.slot(check.id, *step.slot) if step else None
    both = people_who_read(slot, state) if slot else ()
    if slot is None or len(both) < 2:
        return []
    last = {logged.by: logged.body for logged in slot if logged.by in both}
    said = ", ".join(f"{reading_text(r.value, r.unit)} by {name}" for name, r in last.items())
    return [(("Read here: ", "key"), (said, ""), ("; all kept, the latest counts", "muted"))]


def _instruments(job: OpenJob, check: CheckDefinition) -> list[Line]:
    if check.instrument is None:
        return []
    lines: list[Line] = [(("Instrument ", "muted"), (check.instrument, "strong"))]
    for unit in sorted({item.unit for item in check.fields if item.measured}):
        chosen, head = job.state.instrument_for(unit), f"  {unit_word(unit) or unit}: "
        if chosen is None:
            lines.append(((head, "muted"), ("none chosen yet", "caution")))
            continue
        body = chosen.body
        lines.append(((head, "muted"), (body.called, "")))
        if not is_stated(body.accuracy[unit]):
            said = "  accuracy not stated, so no uncertainty: "
            lines.append(((said, "caution-text"), ("Ctrl+T", "key"), (" corrects", "muted")))
        due = body.calibration_due
        if due is not None and body.is_overdue(job.today()):
            lines.append(((f"  {CAUTION_SIGN} calibration was due {due}", "caution"),))
    return lines


def needs_instrument(job: OpenJob, step: Step) -> bool:
    return step.field.measured and job.state.instrument_for(step.field.unit) is None


LONG_PLACE = 28
"""A longer place is told in full on top of the guide."""


@dataclass(frozen=True, slots=True)
class Preview:
    """What a value being typed would mean."""

    echo: str = ""
    """How a number was understood, with its unit."""
    value: Value | None = None
    warning: str = ""
    """Why it is odd; Enter asks once more."""
    error: str = ""
    outcome: Outcome | None = None


def preview(job: OpenJob, check: CheckDefinition, step: Step, text: str) -> Preview:
    """Judge what is typed as if it were logged."""
    if not text.strip():
        return Preview()
    try:
        value = typed_value(step.field, text, job.state.wall, step.place)
    except CommissionError as error:
        return Preview(error=without_label(str(error), step.field))
    echo = f"= {reading_text(value, step.field.unit)}" if step.field.kind == "number" else ""
    if needs_instrument(job, step):
        return Preview(echo, value)
    try:
        outcome = job.preview(check.id, step.field.name, step.place, value)
    except CommissionError as error:
        return Preview(echo, value, error=str(error))
    odd = job.questions(check.id, *step.slot, value, unit_named=names_unit(text))
    typed = text.strip()
    if isinstance(value, float) and doubts_of_value(odd) and _CONVERTED.search(typed):
        number = f"{value:g}"
        if not typed.replace(",", ".").startswith(number):
            odd = f"{typed} is {with_unit(number, step.field.unit)}; {odd}"
    return Preview(echo, value, odd, outcome=outcome)


def check_after(job: OpenJob, check_id: str) -> str:
    """Return the check that Enter goes on to: the nearest that is open, else the next in order."""
    near = nearest_check(job.state, job.outcomes(), check_id)
    return check_beside(job.state, check_id, 1) if near is None else near


def check_beside(state: State, check_id: str, by: int) -> str:
    """Return the check so many places on in the list, which begins again at its end."""
    checks = [check.id for check in state.checklist]
    return checks[(checks.index(check_id) + by) % len(checks)]
