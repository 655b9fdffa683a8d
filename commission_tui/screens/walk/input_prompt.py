"""What the walk asks for now and what may be typed; the line about what was: asked, wrong, or logged last."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.input_parsing import unit_hint
from commission_tui.checks.model.types import Value, Verdict
from commission_tui.checks.places.places import beside_gap_words
from commission_tui.figures import bare_reading, reading_text, unit_word
from commission_tui.logbook.actions.reading_corrections import chosen_since, meter_words
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Correction, ReadingTaken
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.outcomes import baseline_at
from commission_tui.logbook.judging.plausibility import doubts_of_value
from commission_tui.logbook.plan.planning import nearest_check
from commission_tui.logbook.state.state import State
from commission_tui.screens.photographs.check_tasks import is_filled
from commission_tui.screens.terminal.styled_text import CAUTION_SIGN, Line, Part, clock_text
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.view import LONG_PLACE, Preview, Step, needs_instrument
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.text import clipped, counted, lower_first


def baseline_part(state: State, check_id: str, step: Step | None) -> Line:
    """Say what the first visit read here, at a later visit; words are too long for this line."""
    known = baseline_at(state, check_id, *step.slot) if step is not None else None
    if known is None or step is None or step.field.kind == "text":
        return ()
    return (
        ("  first visit ", "muted"),
        (clipped(bare_reading(known.value, step.field.unit), 16), "strong"),
    )


def camera_part(asked: Line, room: int) -> Line:
    """Name the key with which photographs fill the check, where there is room for it."""
    part: Line = (("  ", ""), ("F6", "key"), (" photograph", "muted"))
    wide = sum(len(text) for text, _ in (*asked, *part))
    return part if wide <= room else ()


def asked_line(
    state: State, check: CheckDefinition, route: Route, again: int | None, room: int
) -> Line:
    """Name what to type now and where, and what fills it besides typing, where there is room."""
    step = route.step
    if step is None:
        return ()
    line = (
        *prompt_line(step, route.steps, route.at, again),
        *_beside_gap(state, step),
        *baseline_part(state, check.id, step),
    )
    return (*line, *camera_part(line, room)) if is_filled(check) else line


def _beside_gap(state: State, step: Step) -> Line:
    """Say which cabinet is meant where one of the nine points lies in a gap of the wall."""
    words = beside_gap_words(state.wall, step.place) if step.field.per == "nine points" else ""
    return ((f"  {words}", "strong"),) if words else ()


def prompt_line(step: Step, walk: Sequence[Step], at: int, again: int | None = None) -> Line:
    """Name what to type now, and where; `again` is how many readings it repeats."""
    if again is not None:
        many = "reading" if again == 1 else counted(again, "reading")
        return (
            (step.field.label, "strong"),
            ("  ", ""),
            (f" {clipped(step.place, LONG_PLACE)} ", "here"),
            (f"  once more, with the {many}  ", "marginal"),
            ("Ctrl+F", "key"),
            (" ends", "muted"),
        )
    place = "" if step.place == "wall" else f" {clipped(step.place, LONG_PLACE)} "
    count = f"  {at + 1} of {len(walk)}" if len(walk) > 1 else ""
    optional = "  optional" if step.is_optional else ""
    return (
        (step.field.label, "strong"),
        ("  " if place else "", ""),
        (place, "here"),
        (count, "muted"),
        (optional, "muted"),
    )


def both_words(route: Route, pair: tuple[str, str]) -> str:
    """Say how two values on one line are understood."""
    return ("= x {}, y {}" if route.is_y_next else "= {} by {}").format(*pair)


def placeholder_of(item: FieldDefinition) -> str:
    """Return what stands in the empty field: its unit, or y or n."""
    return unit_hint(item) if item.kind in {"number", "yes-no"} else ""


def fit(field: PlainInput, item: FieldDefinition, spelt: Callable[[str], str]) -> None:
    """Make the field as wide as what is typed there, with its unit in it while it is empty."""
    field.placeholder = spelt(placeholder_of(item))
    field.set_class(item.kind == "text", "-long")
    field.set_class(item.kind in {"choice", "yes-no"}, "-short")


def designed(state: State, check_id: str, step: Step) -> Line:
    """Say which of the ranges an input is designed for, and what that wants here."""
    if step.field.per != "input":
        return ()
    source = next((one for one in state.wall.file.inputs if one.name == step.place), None)
    if source is None:
        return ()
    limit = limits_of(state, check_id).get(f"{step.field.name}_{source.quantization}")
    if limit is None:
        return ()
    return ((f"  designed: {source.quantization} range, ", "muted"), (str(limit), "strong"))


def accepted_lines(
    item: FieldDefinition, value: Value | None, echo: str, width: int, *, typed: bool
) -> list[Line]:
    """Say what may be typed, and how what is typed is understood; a choice is never broken."""
    if placeholder_of(item):
        return [((echo, "") if echo else (placeholder_of(item) if typed else "", "muted"),)]
    if item.kind != "choice":
        return [((unit_hint(item), "muted"),)]
    rows: list[list[Part]] = [[]]
    room = width
    for number, choice in enumerate(item.choices, start=1):
        wide = len(f"{number} {choice}  ")
        if wide - 2 > room and rows[-1]:
            rows.append([])
            room = width
        room -= wide
        role = "here" if choice == value else "muted"
        rows[-1] += [(f"{number} ", "key"), (choice, role), ("  ", "")]
    return [tuple(row) for row in rows]


def with_replaced(line: Line, field: PlainInput) -> Line:
    """Say beside the field what typing does to what stands there, or how what stood comes back."""
    if field.replaced:
        key: Part = ("Ctrl+Z", "key")
        return (*line, ("  ", ""), key, (f" brings back {clipped(field.replaced, 12)}", "muted"))
    return (*line, ("  typing replaces it", "muted")) if field.is_offered else line


def last_line(job: OpenJob, check: CheckDefinition) -> Line:
    """Say what was logged last here, so that one sees that it is kept; and when all is."""
    state = job.state
    found = [slot[-1] for slot in state.readings.get(check.id, {}).values() if slot]
    done = () if job.outcome(check.id).to_do else _done(job, check)
    if withdrawn := _withdrawn_last(state, check):
        return (*withdrawn, ("  " if done else "", ""), *done)
    if not found:
        return done
    begun = state.visits[-1].id if state.visits else ""
    now = [one for one in found if one.id >= begun]
    if not now:
        return (
            ("Not read on this visit. ", "marginal"), ("F9", "key"),
            (" the same points as the first, ", "muted"), ("Enter", "key"), (" goes on", "muted"),
        )  # fmt: skip
    last, entry = max(((one, _written(state, one)) for one in now), key=lambda one: one[1].id)
    where = "" if last.body.place == "wall" else f"{last.body.place} "
    again = ", put right" if last.corrected else ""
    again += ", from a photograph" if last.body.photo else ""
    value = reading_text(last.body.value, last.body.unit)
    said = clipped(f"{where}{value}{_which(check, last.body)}", 44)
    who = f" {clock_text(entry.at, state)}, {clipped(entry.by, 20)}"
    of_meter = "" if done else _of_meter(state, last, _LINE - len(f"Logged {said}{who}{again}"))
    return (
        ("Logged ", "muted"), (said, ""), (f"{who}{of_meter}{again}", "muted"), ("  " if done else "", ""),
        *done,
    )  # fmt: skip


_LINE = 78
"""Columns of a line where the screen has 80."""


def _of_meter(state: State, reading: Logged[ReadingTaken], room: int) -> str:
    """Name the meter of a reading, which a merge may have changed, where there is room."""
    words = meter_words(state.meter_of(reading), ", ")
    return words if len(words) <= room else ""


def _withdrawn_last(state: State, check: CheckDefinition) -> Line:
    """Say which reading of a check was withdrawn, where that was done last of all."""
    entry = state.entries.get(state.last_id)
    if entry is None or not isinstance(entry.body, Correction) or entry.body.replacement:
        return ()
    *_, before, _ = state.history(entry.body.corrects)
    was = before.body.replacement if isinstance(before.body, Correction) else before.body
    if not isinstance(was, ReadingTaken) or was.check != check.id:
        return ()
    where = "" if was.place == "wall" else f"{was.place} "
    said = clipped(f"{where}{reading_text(was.value, was.unit)}{_which(check, was)}", 44)
    who = f" {clock_text(entry.at, state)}, {clipped(entry.by, 20)}"
    return (("Withdrawn ", "marginal"), (said, ""), (who, "muted"))


def _which(check: CheckDefinition, reading: ReadingTaken) -> str:
    """Name the field of a reading, where others are read at the same place."""
    at = {item.name: item for item in check.fields}
    here = at.get(reading.field)
    if here is None or sum(item.where == here.where for item in check.fields) < 2:
        return ""
    return f", {lower_first(here.label)}"


def _written(state: State, reading: Logged[ReadingTaken]) -> Logged[Any]:
    """Return the entry that made a reading what it is: its last correction, else itself."""
    return state.corrections[reading.id][-1] if reading.corrected else reading


def _done(job: OpenJob, check: CheckDefinition) -> Line:
    """Say that nothing is asked for any more, and where Enter goes."""
    verdict = job.outcome(check.id).verdict
    near = nearest_check(job.state, job.outcomes(), check.id)
    title = clipped(job.state.checklist.check(near).title, 40) if near else ""
    enter: Line = (("Enter", "key"), (f" goes on{' to ' if near else ''}", "muted"), (title, ""))
    if near and near != _next_open(job, check.id):
        enter = (*enter, (", nearest by people and meter", "muted"))
    if verdict is Verdict.NOT_APPLICABLE:
        return (("Does not apply: ", "muted"), *enter)
    if verdict is Verdict.OPEN:
        return (
            ("Still open, see below: ", "marginal"), ("Ctrl+S", "key"),
            (" another place, ", "muted"), ("Enter", "key"), (" goes on", "muted"),
        )  # fmt: skip
    return (("All recorded: ", "muted"), *enter)


def _next_open(job: OpenJob, check_id: str) -> str | None:
    """Return the open check that comes next in the list, which begins again at its end."""
    checks = [check.id for check in job.state.checklist]
    at = checks.index(check_id) + 1
    outcomes = job.outcomes()
    ahead = (*checks[at:], *checks[: at - 1])
    return next((one for one in ahead if outcomes[one].verdict is Verdict.OPEN), None)


def message(
    job: OpenJob,
    check: CheckDefinition,
    step: Step | None,
    shown: Preview,
    *,
    odd: bool = False,
    over: Logged[ReadingTaken] | None = None,
    waits: bool = False,
) -> Line:
    """Return what is asked about what was typed, or what is wrong with it; else what stands.

    `odd` says that Enter was pressed on a value with a warning, `over` what it would be logged over,
    `waits` that more was typed before this is answered.
    """
    if over is not None and not odd:
        return _over(job.state, over, waits)
    of_meter = "" if doubts_of_value(shown.warning) else "about the instrument, "
    if odd:
        return (
            (f"{CAUTION_SIGN} Enter again logs it as it is: {of_meter}{shown.warning}", "caution"),
        )
    if shown.error:
        return ((shown.error, "error"),)
    if step is not None and needs_instrument(job, step):
        what = unit_word(step.field.unit) or lower_first(step.field.label)
        return (
            (f"No instrument chosen for {what}: ", "caution-text"),
            ("Ctrl+T", "key"), (" chooses one", "caution-text"),
        )  # fmt: skip
    if shown.warning:
        return ((f"{CAUTION_SIGN} {of_meter}{shown.warning}", "caution-text"),)
    return last_line(job, check)


def waiting(lines: int, *, are_strays: bool) -> Line:
    """Ask what is done with lines that wait, also those that were typed for another field."""
    wait, them = ("1 line waits", "it") if lines == 1 else (f"{lines} lines wait", "them")
    return (
        (f"{wait}{', not typed for this' if are_strays else ''}: ", "caution-text"),
        ("Enter", "key"), (f" takes {them} from here on, ", "caution-text"),
        ("Esc", "key"), (f" drops {them}", "caution-text"),
    )  # fmt: skip


def _over(state: State, old: Logged[ReadingTaken], waits: bool) -> Line:
    value = old.body.value
    other = chosen_since(state, old) is not None
    meter = clipped(meter_words(state.meter_of(old), ", read with "), 40) if other else ""
    number = not isinstance(value, bool | str)
    repeat: Line = (("Ctrl+F", "key"), (" adds a repeat, ", "caution-text")) if number else ()
    return (
        (f"{CAUTION_SIGN} {clipped(bare_reading(value, old.body.unit), 16)} is logged here{meter}: ", "caution"),
        ("Ctrl+R", "key"), (" replaces it, ", "caution-text"), *repeat,
        ("Esc", "key"), (f" leaves it{' and goes on' if waits else ''}", "caution-text"),
    )  # fmt: skip
