"""The forms that several screens open: what each asks and what it logs."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, MutableMapping, Sequence
from datetime import date

from commission_tui.checks.checklists.checklist import unit_named
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.input_parsing import typed_value, unit_hint, without_label
from commission_tui.errors import InputError
from commission_tui.figures import reading_text, unit_word
from commission_tui.logbook.actions.standing import replace_reading
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OddReadingError, OpenJob
from commission_tui.logbook.judging.instruments import UNKNOWN, with_same_serial
from commission_tui.logbook.state.state import Fault, Logged
from commission_tui.screens.shared.fault_choices import severity_of
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import clock_text
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import Choice, Picker
from commission_tui.text import quoted
from commission_tui.wall.model.location import parse_location


def skip(job: OpenJob, check: CheckDefinition) -> Form:
    """Ask why a check does not apply; when that was said already, why it applies after all."""
    said = job.state.skipped.get(check.id)
    if said:
        last = said[-1]
        return Form(
            f"{check.title}: applies after all",
            [Question("reason", "Why", "logged by mistake")],
            lambda answers: _drop(job.correct(last.id, None, answers["reason"])),
            notes=[((f"{last.by} said: ", "muted"), (last.body.reason, ""))],
        )
    return Form(
        f"{check.title}: does not apply",
        [Question("reason", "Why", hint="it is printed in the handover")],
        lambda answers: _drop(job.skip(check.id, answers["reason"])),
        draft=f"skip {check.id}",
    )


_LAST_REASON = "why it does not apply"


def skip_several(
    job: OpenJob, checks: Sequence[str], drafts: MutableMapping[str, dict[str, str]]
) -> Form:
    """Ask once why several checks do not apply; the reason is offered again the next time."""

    def submit(answers: Mapping[str, str]) -> None:
        reason = answers["reason"]
        job.record_all([body(e.NotApplicable, check=check, reason=reason) for check in checks])
        drafts[_LAST_REASON] = {"reason": reason}

    titles = [job.state.checklist.check(check).title for check in checks]
    before = drafts.get(_LAST_REASON, {}).get("reason", "")
    return Form(
        f"{titles[0]}: does not apply"
        if len(titles) == 1
        else f"{len(titles)} checks do not apply",
        [Question("reason", "Why", before, "it is printed in the handover")],
        submit,
        notes=[((title, "muted"),) for title in titles[:12]],
    )


def note(job: OpenJob, check: CheckDefinition) -> Form:
    """Ask for a note on a check."""
    return Form(
        f"Note on {check.title}",
        [Question("text", "Note")],
        lambda answers: _drop(job.record(body(e.Note, text=answers["text"], check=check.id))),
        draft=f"note {check.id}",
    )


def _drop(_entry: object) -> None:
    """Take an entry and return nothing, as a form wants it."""


def put_right(job: OpenJob, last: Logged[e.ReadingTaken], typed_over: str = "") -> Form:
    """Ask what a reading should have been; empty withdraws it.

    `typed_over` is a value that was typed where this one stands: it was read again.
    """
    reading = last.body
    item = job.state.checklist.check(reading.check).field(reading.field)
    asked: set[str] = set()

    def fits(typed: str) -> None:
        """Take any other value of the field, or nothing; the title says already what is asked for."""
        if not typed_over and typed.strip() == reading_text(reading.value):
            raise InputError("value: found what stands there already, expected another")
        try:
            if typed.strip():
                typed_value(item, typed, job.state.wall, reading.place)
        except InputError as error:
            raise InputError(without_label(str(error), item)) from None

    def submit(answers: Mapping[str, str]) -> None:
        typed, reason = answers["value"].strip(), answers["reason"]
        known = typed in asked
        asked.add(typed)
        if typed:
            value = typed_value(item, typed, job.state.wall, reading.place)
            try:
                replace_reading(
                    job, last, value, reason, confirmed=known, same_instrument=not typed_over
                )
            except OddReadingError as odd:
                raise OddReadingError(f"{odd}: Enter again logs it") from None
        elif known:
            job.correct(last.id, None, reason)
        else:
            raise InputError("no value: Enter again withdraws what was logged")

    place = "" if reading.place == "wall" else f" at {reading.place}"
    return Form(
        f"Correct: {item.label}{place}",
        [
            Question(
                "value",
                "Value",
                typed_over or reading_text(reading.value),
                f"{unit_hint(item)}; empty withdraws it".removeprefix("; "),
                check=fits,
            ),
            Question("reason", "Reason", "read again" if typed_over else "typed wrong"),
        ],
        submit,
        notes=[
            (
                (f"Logged {clock_text(last.at, job.state)} by {last.by}: ", "muted"),
                (reading_text(reading.value, reading.unit), "strong"),
            )
        ],
        # Of words nobody sees which are the value and which the reason: Enter goes on to the reason.
        at_once=item.kind != "text",
        begin_at="reason" if typed_over else "",
    )


def correct_fault(job: OpenJob, fault: Fault) -> Form:
    """Ask what an item of the punch list should have said; without a kind it is withdrawn."""
    found = fault.found.body

    def submit(answers: Mapping[str, str]) -> None:
        replacement = None
        if answers["kind"].strip():
            at = job.state.wall.resolve(parse_location(answers["place"]))
            replacement = body(
                e.FaultFound,
                fault=answers["kind"],
                location=str(at),
                severity=severity_of(answers["severity"]),
                note=answers["note"],
                check=found.check,
                seen_on=found.seen_on,
            )
        job.correct(fault.id, replacement, answers["reason"])

    return Form(
        f"Correct fault {fault.number}",
        [
            Question("kind", "What", found.fault, "empty withdraws the whole item"),
            Question("place", "Where", found.location, "front view"),
            Question("severity", "Severity", found.severity),
            Question("note", "Description", found.note),
            Question("reason", "Reason", "typed wrong"),
        ],
        submit,
    )


def choose_instrument(
    screen: JobScreen,
    unit: str,
    then: Callable[[], None] = lambda: None,
    without: Callable[[], None] = lambda: None,
) -> None:
    """Let the person pick an instrument that measures a unit, or add one; go on with it or without."""
    job = screen.job
    fitting = [
        logged.body for _, logged in sorted(job.state.instruments.items())
        if unit in logged.body.accuracy
    ]  # fmt: skip
    if not fitting:
        _add_instrument(screen, unit, then, without)
        return
    choices = [Choice(f.key, ((f"{f.name} {f.serial}", ""), (_due(f), "muted"))) for f in fitting]
    chosen = job.state.instrument_for(unit)

    def picked(key: str | None) -> None:
        if key == "":
            _add_instrument(screen, unit, then, without)
            return
        entry = key and body(e.InstrumentChosen, instrument=key, units=(unit,))
        if entry and screen.attempt(lambda: job.record(entry), "Instrument chosen"):
            then()
        else:
            without()

    screen.app.push_screen(
        Picker(
            f"Instrument for {unit}",
            choices,
            at=chosen.body.key if chosen else None,
            extra=Choice("", (("another one, not listed yet", "key"),)),
        ),
        picked,
    )


def _add_instrument(
    screen: JobScreen, unit: str, then: Callable[[], None], without: Callable[[], None]
) -> None:
    def closed(logged: bool | None) -> None:
        if logged:
            screen.say("Instrument logged")
            then()
        else:
            without()

    screen.app.push_screen(new_instrument(screen.job, unit), closed)


def _due(instrument: e.Instrument) -> str:
    due = instrument.calibration_due
    return f"  calibration due {due}" if due else "  calibration due not stated"


def new_instrument(job: OpenJob, unit: str) -> Form:
    """Ask once for an instrument: its identity, and every unit that it measures with its errors."""

    def submit(answers: Mapping[str, str]) -> None:
        made = body(
            e.Instrument,
            key=_key(answers["name"], answers["serial"]),
            name=UNKNOWN if answers["name"].strip() == "?" else answers["name"],
            serial=UNKNOWN if answers["serial"].strip() == "?" else answers["serial"],
            calibration_due=_day(answers["due"]),
            accuracy=measured_units(answers["units"]),
        )
        job.record(with_same_serial(job.state, made))

    others = [other for other in units_of(job) if other != unit]
    return Form(
        f"Instrument that measures {unit_word(unit) or unit}",
        [
            Question("name", "Name", hint="not known: ?", check=_instrument_name),
            Question(
                "serial",
                "Serial number",
                hint="not known: ?",
                check=lambda typed: _said("serial number", typed),
            ),
            Question(
                "due", "Calibration due", hint="year-month-day; not stated: leave empty", check=_day
            ),
            Question(
                "units",
                "All that it measures",
                unit,
                f"accuracy where stated: {unit} 2 % + 0.1; also used here: {', '.join(others[:8])}",
                check=measured_units,
            ),
        ],
        submit,
        draft=f"instrument {unit}",
    )


def _instrument_name(typed: str) -> None:
    """Refuse a bare number: readings that were pasted too early are no instrument."""
    _said("name", typed)
    if re.fullmatch(r"[\s\d.,+-]+", typed):
        raise InputError(
            f"name: found {typed.strip()[:20]!r}, expected what the instrument is called"
        )


def _said(what: str, typed: str) -> None:
    """Refuse silence: who does not know says so."""
    if not typed.strip():
        raise InputError(f"{what}: found nothing, expected what stands on it, or ? for not known")


def units_of(job: OpenJob) -> tuple[str, ...]:
    """Return the units that instruments are wanted for in this job, the most used first."""
    count = Counter(
        item.unit for check in job.state.checklist for item in check.fields if item.measured
    )
    return tuple(unit for unit, _ in count.most_common())


_MEASURED = re.compile(
    r"(?P<unit>[^\s=+]+)(?:[\s=]+(?P<percent>[\d.,]+)\s*%?)?(?:\s*\+\s*(?P<absolute>[\d.,]+))?"
    r"(?:\s+repeats\s+(?P<repeatability_percent>[\d.,]+)\s*%?"
    r"(?:\s*\+\s*(?P<repeatability_absolute>[\d.,]+))?)?"
    r"(?:\s+step\s+(?P<resolution>[\d.,]+))?"
)


def measured_units(typed: str) -> dict[str, dict[str, float]]:
    """Read ``cd/m2 2 % + 0.1 repeats 0.3 % step 0.01; lx 3; xy 0 + 0.002``: units with what is stated.

    `repeats` is the scatter from reading to reading (one standard deviation), `step` that of the last
    digit.

    Raises
    ------
    InputError
        When a part is no unit that a check reads, or an accuracy is no number.
    """
    found = {}
    for part in filter(None, (part.strip() for part in re.split(r";|,(?!\d)", typed))):
        match = _MEASURED.fullmatch(part)
        if match is None:
            raise InputError(
                f"measures: found {part[:40]!r}, expected units such as 'cd/m2 2 % + 0.1; lx 3'"
            )
        stated = {part: text for part, text in match.groupdict().items() if text and part != "unit"}
        found[unit_named(match["unit"])] = {
            part: _number(part.replace("_", " "), text) for part, text in stated.items()
        }
    if not found:
        raise InputError("measures: found nothing, expected a unit such as cd/m2")
    return found


def _day(text: str) -> date | None:
    typed = text.strip()
    try:
        return date.fromisoformat(typed) if typed else None
    except ValueError:
        raise InputError(
            f"calibration due: found {quoted(typed)}, expected year-month-day such as 2027-09-30"
        ) from None


def _number(what: str, text: str) -> float:
    cleaned = text.strip().replace(",", ".")
    if not cleaned:
        return 0.0
    try:
        return float(cleaned)
    except ValueError:
        raise InputError(f"{what}: found {quoted(text)}, expected a number") from None


def _key(name: str, serial: str) -> str:
    slug = re.sub(r"[^a-z0-9]+", "-", f"{name} {serial}".lower()).strip("-")[:40].strip("-")
    return slug or "instrument"
