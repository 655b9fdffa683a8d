"""The forms that several screens open: what each asks and what it logs."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping, Sequence

from commission_tui.checks.faults.fault_words import named_kind
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.input_parsing import (
    names_unit,
    typed_value,
    unit_hint,
    without_label,
)
from commission_tui.checks.model.types import Value
from commission_tui.errors import InputError
from commission_tui.figures import bare_reading, reading_text
from commission_tui.logbook.actions.reading_corrections import (
    averaged_with,
    chosen_since,
    counting_with,
    far_apart,
    meter_words,
    replace_reading,
)
from commission_tui.logbook.actions.taking_back import (
    LastAct,
    authors,
    issued_since,
    last_acts,
    signed_since,
    since_signed,
    take_back,
    taken_back_words,
)
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, in_words
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import Fault
from commission_tui.screens.shared.fault_choices import SEVERITY_HINT, severity_of
from commission_tui.screens.terminal.styled_text import Line, clock_text
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.text import counted, listed
from commission_tui.wall.model.location import parse_location


def applies_after_all(job: OpenJob, said: Logged[e.NotApplicable]) -> Form:
    """Ask why a check applies of which it was said that it does not."""
    return Form(
        f"{job.state.checklist.check(said.body.check).title}: applies after all",
        [Question("reason", "Why", "logged by mistake")],
        lambda answers: job.correct(said.id, None, answers["reason"]),
        notes=[((f"{said.by} said: ", "muted"), (said.body.reason, ""))],
    )


_LAST_REASON = "why it does not apply"


def skip(job: OpenJob, checks: Sequence[str], drafts: MutableMapping[str, dict[str, str]]) -> Form:
    """Ask once why checks do not apply; the next time Up takes the same reason."""

    def submit(answers: Mapping[str, str]) -> None:
        reason = in_words(answers["reason"])
        job.record_all([body(e.NotApplicable, check=check, reason=reason) for check in checks])
        drafts[_LAST_REASON] = {"reason": reason}

    titles = [job.state.checklist.check(check).title for check in checks]
    before = drafts.get(_LAST_REASON, {}).get("reason", "")
    hint = "it is printed in the handover" + (f"; Up takes: {before}" if before else "")
    return Form(
        f"{titles[0]}: does not apply"
        if len(titles) == 1
        else f"{len(titles)} checks do not apply",
        [Question("reason", "Why", hint=hint, offered=before)],
        submit,
        notes=[((title, "muted"),) for title in titles if len(titles) > 1],
        draft=f"skip {' '.join(checks)}",
    )


def note(job: OpenJob, check: CheckDefinition) -> Form:
    """Ask for a note on a check."""
    return Form(
        f"Note on {check.title}",
        [Question("text", "Note")],
        lambda answers: job.record(body(e.Note, text=answers["text"], check=check.id)),
        draft=f"note {check.id}",
    )


def kept_words(job: OpenJob, reading: Logged[e.ReadingTaken], others: Sequence[float] = ()) -> str:
    """Say what a correction, just logged, left in the record, and the reason it has there.

    `others` are the readings that were averaged with it, in the place of which it stands too.
    """
    last = list(job.state.history(reading.id))[-1].body
    reason = last.reason if isinstance(last, e.Correction) else ""
    done = "Withdrawn" if job.state.effective(reading.id) is None else "Corrected"
    unit = reading.body.unit
    was = listed([bare_reading(one, unit) for one in (*others, reading.body.value)])
    return f"{done}; {was} {'are' if others else 'is'} kept in the record, reason: {reason}"


def put_right(
    job: OpenJob,
    last: Logged[e.ReadingTaken],
    typed_over: str = "",
    is_last: bool = False,
) -> Form:
    """Ask what a reading should have been; empty withdraws it.

    `typed_over` is a value that was typed where this one stands: it was read again, and takes the place
    of all that counts there. `is_last` says
    that it is not the reading of where one is, but the one logged last.
    """
    reading = last.body
    others = averaged_with(job.state, last.id)
    averaged = [] if typed_over else others
    same = counting_with(job.state, last.id) or (last,)
    item = job.state.checklist.check(reading.check).field(reading.field)
    meter = meter_words(job.state.meter_of(last), ", with ")
    now = meter_words(chosen_since(job.state, last)) if typed_over else ""

    def meant(typed: str) -> Value | None:
        return typed_value(item, typed, job.state.wall, reading.place) if typed.strip() else None

    def fits(typed: str) -> None:
        """Take any other value of the field, or nothing; the title says already what is asked for."""
        try:
            value = meant(typed)
        except InputError as error:
            raise InputError(without_label(str(error), item)) from None
        if value == reading.value and not now:
            raise InputError("value: found what stands there already, expected another")

    def odd(typed: str) -> str:
        value = meant(typed)
        if value is None:
            return f"no value: Enter again withdraws {reading_text(reading.value, reading.unit)}"
        where = (reading.check, reading.field, reading.place)
        asked = "; ".join(
            filter(
                None,
                (
                    job.questions(*where, value, unit_named=names_unit(typed)),
                    far_apart(value, averaged, reading.unit),
                ),
            )
        )
        return f"{asked}: Enter again takes it" if asked else ""

    def submit(answers: Mapping[str, str]) -> None:
        value, reason = meant(answers["value"]), answers["reason"]
        if value is None:
            job.correct(last.id, None, reason)
        else:  # an odd one was asked about at its line
            replace_reading(
                job, last, value, reason,
                confirmed=True,
                same_instrument=not typed_over,
                unit_named=names_unit(answers["value"]),
            )  # fmt: skip

    place = "" if reading.place == "wall" else f" at {reading.place}"
    return Form(
        f"Correct{' the last reading' if is_last else ''}: {item.label}{place}",
        [
            Question(
                "value",
                "Value",
                typed_over or reading_text(reading.value),
                f"{unit_hint(item)}; empty withdraws it".removeprefix("; "),
                check=fits,
                odd=odd,
            ),
            Question("reason", "Reason", "read again" if typed_over else "typed wrong"),
        ],
        submit,
        notes=[
            (
                (f"Logged {clock_text(last.at, job.state)} by {last.by}: ", "muted"),
                (reading_text(reading.value, reading.unit), "strong"),
                (meter, ""),
            ),
            *((((f"Read again with {now}", "caution-text"),),) if now else ()),
            *(((f"Averaged with {reading_text(one, reading.unit)}", "muted"),) for one in averaged),
            *(
                ((f"In the place of {reading_text(one, reading.unit)} too", "muted"),)
                for one in others
                if typed_over
            ),
            *_no_longer_signed(since_signed(job.state, *(one.id for one in same))),
        ],
        begin_at="reason" if typed_over else "",
        draft=f"correct {last.id} {typed_over}",
    )


def _no_longer_signed(since: Sequence[str]) -> list[Line]:
    """Say that what somebody signed or was handed is not that any more."""
    words = "it is no longer what was signed or handed over"
    return [((f"{one}: {words}", "marginal"),) for one in since]


_NAMED = 6
"""So many entries that are taken back together are named."""
_READINGS_NAMED = 3
"""Of more readings of one check only the first and the last place."""


def named_acts(job: OpenJob, acts: Sequence[LastAct]) -> str:
    """Say what was done last.

    Raises
    ------
    InputError
        When there is nothing, or it is not taken back this way.
    """
    words = taken_back_words(job.state, acts)
    many = f"{counted(len(words), 'entry', 'entries')} logged in one go: " if words[1:] else ""
    return _readings_together(job, acts) or many + listed(words, _NAMED, "; ")


def _readings_together(job: OpenJob, acts: Sequence[LastAct]) -> str:
    """Say many readings of one check that are withdrawn together, from the first; else nothing."""
    logged = [job.state.entries[act.entry].body for act in reversed(acts) if act.before is None]
    read = [one for one in logged if isinstance(one, e.ReadingTaken)]
    checks = {one.check for one in read}
    if len(acts) <= _READINGS_NAMED or len(read) < len(acts) or len(checks) > 1:
        return ""
    return (
        f"{job.state.checklist.check(checks.pop()).title}: {len(read)} readings logged in one go, "
        f"{read[0].place} to {read[-1].place}"
    )


def taking_back(job: OpenJob, acts: Sequence[LastAct], said: str) -> Form:
    """Ask why what was done last is taken back, which is `said` by `named_acts`."""
    at = acts[0].at
    since = [*signed_since(job.state, at), *issued_since(job.state, at)]

    def submit(answers: Mapping[str, str]) -> None:
        job.refresh()  # another program may have taken it back meanwhile
        if last_acts(job.state) != acts:
            raise InputError("take back: found something logged since, expected what is shown")
        take_back(job, acts, answers["reason"])

    return Form(
        "Take back what was logged last",
        [Question("reason", "Why", "logged by mistake")],
        submit,
        notes=[
            ((said, "strong"),),
            *(((words, "marginal"),) for words in authors(job.state, acts, job.by)),
            *_no_longer_signed(since),
        ],
    )  # fmt: skip


def correct_fault(job: OpenJob, fault: Fault) -> Form:
    """Ask what an item of the punch list should have said; without a kind it is withdrawn."""
    found = fault.found.body

    def kind_of(typed: str) -> str:
        return found.fault if typed.strip() == found.fault else named_kind(typed).name

    def withdraws(typed: str) -> str:
        return "" if typed.strip() else f"Enter again withdraws fault {fault.number}"

    def submit(answers: Mapping[str, str]) -> None:
        replacement = None
        if answers["kind"].strip():
            at = job.state.wall.resolve(parse_location(answers["place"]))
            replacement = body(
                e.FaultFound,
                fault=kind_of(answers["kind"]),
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
            Question("kind", "What", found.fault, "empty withdraws the whole item",
                     check=lambda typed: kind_of(typed) if typed.strip() else "", odd=withdraws),
            Question("place", "Where", found.location, "front view"),
            Question("severity", "Severity", found.severity, SEVERITY_HINT),
            Question("note", "Description", found.note),
            Question("reason", "Reason", "typed wrong"),
        ],
        submit,
        draft=f"correct {fault.id}",
    )  # fmt: skip
