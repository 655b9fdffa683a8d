"""The forms that several screens open: what each asks and what it logs."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.input_parsing import typed_value
from commission_tui.errors import InputError
from commission_tui.figures import reading_text
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import Fault, Logged
from commission_tui.screens.shared.fault_choices import severity_of
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import clock_text
from commission_tui.screens.walk.input_prompt import unit_hint
from commission_tui.screens.walk.view import without_label
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
            [Question("reason", "Why", "logged by mistake", replaced=True)],
            lambda answers: _drop(job.correct(last.id, None, answers["reason"])),
            notes=[((f"{last.by} said: ", "muted"), (last.body.reason, ""))],
        )
    return Form(
        f"{check.title}: does not apply",
        [Question("reason", "Why", hint="it is printed in the handover")],
        lambda answers: _drop(job.skip(check.id, answers["reason"])),
        draft=f"skip {check.id}",
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


def last_reading(job: OpenJob) -> Logged[e.ReadingTaken] | None:
    """Return the latest reading that stands, which is what a slip just now concerns."""
    found = [slot[-1] for check in job.state.readings.values() for slot in check.values() if slot]
    return max(found, key=lambda logged: logged.id, default=None)


def put_right(job: OpenJob, last: Logged[e.ReadingTaken]) -> Form:
    """Ask what the last reading should have been; empty withdraws it."""
    reading = last.body
    item = job.state.checklist.check(reading.check).field(reading.field)

    def fits(typed: str) -> None:
        """Take any value of the field, or nothing; the title says already what is asked for."""
        try:
            if typed.strip():
                typed_value(item, typed)
        except InputError as error:
            raise InputError(without_label(str(error), item)) from None

    def submit(answers: Mapping[str, str]) -> None:
        typed = answers["value"].strip()
        replacement = None
        if typed:
            value = typed_value(item, typed)
            # Whoever puts a value right has looked at it: it is not asked for again.
            made = job.reading(reading.check, reading.field, reading.place, value, confirmed=True)
            replacement = made.model_copy(update={"instrument": reading.instrument})
        job.correct(last.id, replacement, answers["reason"])

    place = "" if reading.place == "wall" else f" at {reading.place}"
    return Form(
        f"Correct: {item.label}{place}",
        [
            Question(
                "value",
                "Value",
                reading_text(reading.value),
                f"{unit_hint(item)}; empty withdraws it".removeprefix("; "),
                check=fits,
            ),
            Question("reason", "Reason", "typed wrong", replaced=True),
        ],
        submit,
        notes=[
            (
                (f"Logged {clock_text(last.at)} by {last.by}: ", "muted"),
                (reading_text(reading.value, reading.unit), "strong"),
            )
        ],
        at_once=True,
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
            Question("reason", "Reason", "typed wrong", replaced=True),
        ],
        submit,
    )


def choose_instrument(
    screen: JobScreen, unit: str, then: Callable[[], None] = lambda: None
) -> None:
    """Let the person pick an instrument that measures a unit, or add one; then go on."""
    job = screen.job
    fitting = [
        logged.body for _, logged in sorted(job.state.instruments.items())
        if unit in logged.body.accuracy
    ]  # fmt: skip
    if not fitting:
        _add_instrument(screen, unit, then)
        return
    choices = [Choice(f.key, ((f"{f.name} {f.serial}", ""), (_due(f), "muted"))) for f in fitting]
    chosen = job.state.instrument_for(unit)

    def picked(key: str | None) -> None:
        if key == "":
            _add_instrument(screen, unit, then)
        elif key is not None:
            entry = body(e.InstrumentChosen, instrument=key, units=(unit,))
            if screen.attempt(lambda: job.record(entry), "Instrument chosen"):
                then()

    screen.app.push_screen(
        Picker(
            f"Instrument for {unit}",
            choices,
            at=chosen.body.key if chosen else None,
            extra=Choice("", (("another one, not listed yet", "key"),)),
        ),
        picked,
    )


def _add_instrument(screen: JobScreen, unit: str, then: Callable[[], None]) -> None:
    def closed(logged: bool | None) -> None:
        if logged:
            screen.say("Instrument logged")
            then()

    screen.app.push_screen(new_instrument(screen.job, unit), closed)


def _due(instrument: e.Instrument) -> str:
    due = instrument.calibration_due
    return f"  calibration due {due}" if due else "  calibration due not stated"


def new_instrument(job: OpenJob, unit: str) -> Form:
    """Ask for an instrument's identity and accuracy."""

    def submit(answers: Mapping[str, str]) -> None:
        accuracy = {
            "percent": _number("of reading", answers["percent"]),
            "absolute": _number("fixed part", answers["absolute"]),
        }
        job.record(
            body(
                e.Instrument,
                key=_key(answers["name"], answers["serial"]),
                name=answers["name"],
                serial=answers["serial"],
                calibration_due=_day(answers["due"]),
                accuracy={unit: accuracy},
            )
        )

    return Form(
        f"Instrument that measures {unit}",
        [
            Question("name", "Name"),
            Question("serial", "Serial number"),
            Question("due", "Calibration due", hint="year-month-day; may be empty", check=_day),
            Question(
                "percent",
                "Accuracy, % of reading",
                hint="from its data sheet; may be empty",
                check=lambda typed: _number("of reading", typed),
            ),
            Question("absolute", f"Accuracy, fixed part in {unit}", hint="may be empty"),
        ],
        submit,
        draft=f"instrument {unit}",
    )


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
        raise InputError(f"accuracy, {what}: found {quoted(text)}, expected a number") from None


def _key(name: str, serial: str) -> str:
    slug = re.sub(r"[^a-z0-9]+", "-", f"{name} {serial}".lower()).strip("-")[:40].strip("-")
    return slug or "instrument"
