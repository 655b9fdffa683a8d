"""Choosing, adding and correcting the instrument that a reading is taken with."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import partial
from itertools import count

from commission_tui.checks.model.calendar_days import typed_day
from commission_tui.checks.model.input_parsing import canonical_unit, typed_number
from commission_tui.engineering.numeric.units import convert, known_unit
from commission_tui.errors import InputError
from commission_tui.figures import unit_word
from commission_tui.logbook.actions.instrument_entry import stated_instrument
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, changed_body
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.instruments import without_accuracy
from commission_tui.logbook.state.meters import UNKNOWN, is_same_meter
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import Choice, Picker

_CORRECT = "? correct"
"""Not the key of an instrument, which has no question mark."""


def choose_instrument(
    screen: JobScreen,
    unit: str,
    then: Callable[[], None] = lambda: None,
    without: Callable[[], None] = lambda: None,
    *,
    later: Callable[[str], bool] | None = None,
    by_itself: bool = False,
    read_with: Logged[e.Instrument] | None = None,
) -> None:
    """Let the person pick an instrument that measures a unit, or add one; go on with it or without.

    `later` takes what can be no instrument, but is one more reading for when it is known. `read_with`
    is that of the reading one is at, which is then the one that can be corrected.
    """
    job = screen.job

    def added(logged: bool | None) -> None:
        if logged:
            screen.say("Instrument logged")
        (then if logged else without)()

    fitting = [
        logged.body for _, logged in sorted(job.state.instruments.items())
        if unit in logged.body.accuracy
    ]  # fmt: skip
    if not fitting:
        form = new_instrument(job, unit, later)
        screen.app.push_screen(form.by_itself() if by_itself else form, added)
        return
    choices = [Choice(f.key, ((f.called, ""), (_due(f), "muted"))) for f in fitting]
    chosen = job.state.instrument_for(unit)
    wrong = read_with or chosen
    if wrong is not None:
        named = f"correct what is logged of {wrong.body.called}"
        if wrong is not chosen:
            named += ", with which this was read"
        choices.append(Choice(_CORRECT, ((named, "key"),), last=True))

    def picked(key: str | None) -> None:
        if key == "":
            screen.app.push_screen(new_instrument(job, unit, later), added)
            return
        if key == _CORRECT and wrong is not None:
            screen.ask(correct_instrument(job, wrong), "Instrument corrected")
            without()
            return
        entry = key and body(e.InstrumentChosen, instrument=key, units=(unit,))
        if entry and screen.attempt(lambda: job.record(entry), "Instrument chosen"):
            then()
        else:
            without()

    picker = Picker(
        f"Instrument for {unit}",
        choices,
        at=chosen.body.key if chosen else None,
        extra=Choice("", (("another one, not listed yet", "key"),)),
    )
    screen.app.push_screen(picker.by_itself() if by_itself else picker, picked)


def _due(instrument: e.Instrument) -> str:
    return f"  calibration due {instrument.due_words()}"


def new_instrument(job: OpenJob, unit: str, later: Callable[[str], bool] | None = None) -> Form:
    """Ask once for an instrument: its identity, and every unit that it measures with its errors.

    `later` takes a reading that was typed here, on lines where no number can be.
    """
    others = [other for other in units_of(job) if other != unit]
    stated = partial(measured_units, read=(unit, *others))

    def submit(answers: Mapping[str, str]) -> None:
        name, serial = (
            UNKNOWN if answers[line].strip() == "?" else answers[line].strip()
            for line in ("name", "serial")
        )
        made = body(
            e.Instrument,
            key=_key(answers["name"], answers["serial"]),
            name=name,
            serial=serial,
            calibration_due=_day(answers["due"]),
            accuracy=stated(answers["units"]),
        )
        entered = stated_instrument(job.state, _under_a_free_key(job, made))
        if entered.asked:
            raise InputError(f"{entered.asked}; Ctrl+T on a reading of it corrects it")
        job.record_all(entered.bodies)

    notes = [(("Wrong afterwards? Ctrl+T on a reading it measures corrects it.", "muted"),)]
    if later is not None:
        waits = "A number typed here is one more reading: it waits until the instrument is named."
        notes = [((waits, ""),), *notes]
    return Form(
        f"Instrument that measures {unit_word(unit) or unit}",
        [
            Question("name", "Name", hint="what stands on it, in words; not known: ?",
                     check=_instrument_name, not_for_here=later),
            Question("serial", "Serial number", hint="not known: ?",
                     check=_serial, odd=_no_serial),
            Question("due", "Calibration due", hint="year-month-day; not stated: leave empty",
                     check=_day, not_for_here=later and (lambda typed: not _is_date(typed) and later(typed))),
            Question("units", "All that it measures", unit,
                     f"accuracy where stated: {unit} 2 % + 0.1; also used here: {', '.join(others[:8])}",
                     check=stated),
        ],
        submit,
        notes=notes,
        draft=f"instrument {unit}",
    )  # fmt: skip


_FIGURE = re.compile(r"[<>~=]?\s*[+-]?[\d.,][\d\s.,]*(?P<unit>[^\d\s.,+-]\S*)?")


def is_figure(typed: str) -> bool:
    """Whether a line is a number, alone or with its unit: a reading, and no name of an instrument."""
    found = _FIGURE.fullmatch(typed.strip())
    return found is not None and (found["unit"] is None or known_unit(found["unit"]) is not None)


def state_accuracy(job: OpenJob) -> Form | None:
    """Ask for an accuracy that nobody stated of an instrument readings were taken with; None of none."""
    unknown = job.once(without_accuracy)
    return correct_instrument(job, unknown[0], accuracy=True) if unknown else None


def correct_instrument(
    job: OpenJob, logged: Logged[e.Instrument], *, accuracy: bool = False
) -> Form:
    """Ask what an instrument's entry should have said; its readings keep it.

    With `accuracy` it is that which was not known, and one begins there.
    """
    was = logged.body
    stated = partial(measured_units, read=(*was.accuracy, *units_of(job)))

    def submit(answers: Mapping[str, str]) -> None:
        made = changed_body(
            was,
            name=answers["name"].strip(),
            serial=answers["serial"].strip(),
            calibration_due=_day(answers["due"]),
            # What is not named again stays: the line is replaced by typing.
            accuracy={**(was.accuracy if accuracy else {}), **stated(answers["units"])},
        )
        job.correct(logged.id, made, answers["reason"])

    due = was.calibration_due
    return Form(
        f"Correct: {was.called}",
        [
            Question("name", "Name", was.name, check=_instrument_name),
            Question("serial", "Serial number", was.serial, check=_serial),
            Question("due", "Calibration due", due.isoformat() if due else "",
                     "year-month-day; not stated: leave empty", check=_day),
            Question("units", "All that it measures", units_text(was.accuracy),
                     "accuracy: cd/m2 2 % + 0.1; lx 3 %; xy + 0.003", check=stated),
            Question("reason", "Reason", "accuracy not known before" if accuracy else "typed wrong"),
        ],
        submit,
        notes=[(("The uncertainty of all its readings follows.", "muted"),)],
        begin_at="units" if accuracy else "",
        draft=f"correct {logged.id}",
    )  # fmt: skip


def _instrument_name(typed: str) -> None:
    """Refuse a figure: readings that were typed or pasted too early are no instrument."""
    _not_empty("name", typed)
    if is_figure(typed):
        raise InputError(
            f"name: found {typed.strip()[:20]!r}, expected what the instrument is called"
        )


def _serial(typed: str) -> None:
    _not_empty("serial number", typed)


def _no_serial(typed: str) -> str:
    """Ask about a serial that could be a reading or an accuracy, typed or pasted before the form was seen."""
    serial = typed.strip()
    if "%" in serial or "±" in serial:
        return f"{serial[:20]} reads like an accuracy; Enter again takes it as serial number"
    if not is_figure(serial):
        return ""
    return f"{serial[:20]} is a number alone: a reading typed too early? Enter again takes it as serial number"


def _not_empty(what: str, typed: str) -> None:
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
    r"(?P<unit>[^\s=+±]+)(?:[\s=]+(?P<percent>[\d.,]+)(?:\s*%|(?=\s*[+±])))?"
    r"(?:\s*[+±]\s*(?P<absolute>[\d.,]+))?"
    r"(?:\s+repeats(?:\s+(?P<repeatability_percent>[\d.,]+)\s*%)?"
    r"(?:\s*[+±]\s*(?P<repeatability_absolute>[\d.,]+))?)?"
    r"(?:\s+step\s+(?P<resolution>[\d.,]+))?"
)
_BARE = re.compile(r"(?P<unit>[^\s=+±]+)[\s=]+(?P<number>[\d.,]+)")


def measured_units(typed: str, read: Sequence[str] = ()) -> dict[str, dict[str, float]]:
    """Read ``cd/m2 2 % + 0.1 repeats 0.3 % step 0.01; lx 3 %; xy + 0.002``: units with what is stated.

    Of two numbers the first is in percent, as on the command line: ``xy=0+0.002``.
    A number alone is refused: 0.003 of a colour meter is mostly meant in xy, 3 of a lux meter in percent.
    `repeats` is the scatter from reading to reading (one standard deviation), `step` that of the last
    digit. What is stated in another unit of a quantity that is `read` is turned into that one: ``lbf`` into ``kN``.

    Raises
    ------
    InputError
        When a part is no unit that a check reads, or an accuracy is no number.
    """
    found = {}
    for part in filter(None, (part.strip() for part in re.split(r";|,(?!\d)", typed))):
        match = _MEASURED.fullmatch(part)
        if match is None:
            raise InputError(f"measures: found {part[:40]!r}, expected {_meant(part)}")
        stated = {part: text for part, text in match.groupdict().items() if text and part != "unit"}
        numbers = {
            part: typed_number(part.replace("_", " "), text) or 0.0 for part, text in stated.items()
        }
        unit, numbers = _in_unit_read(match["unit"], numbers, read)
        found[unit] = numbers
    if not found:
        raise InputError("measures: found nothing, expected a unit such as cd/m2")
    return found


def _in_unit_read(
    typed: str, numbers: dict[str, float], read: Sequence[str]
) -> tuple[str, dict[str, float]]:
    """Return the unit in which checks read, and what is stated in it; shares stay what they are."""
    try:
        return canonical_unit(typed), numbers
    except InputError:
        stated = known_unit(typed)
        same = [
            unit for unit in read
            if stated and (known := known_unit(unit)) and known.quantity == stated.quantity
        ]  # fmt: skip
        if not same:
            raise
    return same[0], {
        part: value if "percent" in part else convert(value, typed, same[0], difference=True)
        for part, value in numbers.items()
    }


def _meant(part: str) -> str:
    bare = _BARE.fullmatch(part)
    if bare is None:
        return "units such as 'cd/m2 2 % + 0.1; xy + 0.003'"
    unit, number = bare["unit"][:20], bare["number"][:20]
    return f"'{unit} {number} %' of the reading, or '{unit} + {number}' in {unit}"


def units_text(accuracy: Mapping[str, Accuracy]) -> str:
    """Write what an instrument measures, and what is stated of it, as `measured_units` reads it."""
    return "; ".join(_unit_text(unit, stated) for unit, stated in accuracy.items())


def _unit_text(unit: str, stated: Accuracy) -> str:
    def both(percent: float | None, absolute: float | None) -> str:
        share = f" {percent:.12g} %" if percent or not absolute else ""
        return share + (f" + {absolute:.12g}" if absolute else "")

    text = unit
    if stated.percent or stated.absolute:
        text += both(stated.percent, stated.absolute)
    if stated.stated_repeatability(1.0) is not None:
        text += " repeats" + both(stated.repeatability_percent, stated.repeatability_absolute)
    return text + (f" step {stated.resolution:.12g}" if stated.resolution else "")


def _day(text: str) -> date | None:
    return typed_day(text, "calibration due") if text.strip() else None


_DATE = re.compile(
    r"20\d\d(?:[.,]\d*)?|\d{1,4}\s*[-/]\s*\d{1,4}(?:\s*[-/]\s*\d{0,4})?"
    r"|20\d\d[-./ ]+\d{0,2}|\d{1,2}[-./ ]+20\d\d|\d{1,4}\.\s*\d{1,2}\.\s*\d{0,4}"
)
"""A year, two parts of a date, or three, in the calendar or not."""


def _is_date(text: str) -> bool:
    """Whether a line where a day is asked for is one, or the part of one, and no reading."""
    return _DATE.fullmatch(text.strip()) is not None


def _under_a_free_key(job: OpenJob, made: e.Instrument) -> e.Instrument:
    """Return an instrument under a key that no other meter has; long names are cut to one."""
    known, key = job.state.instruments, made.key
    for number in count(2):
        if key not in known or is_same_meter(known[key].body, made):
            break
        key = f"{made.key[:36].strip('-')}-{number}"
    return changed_body(made, key=key)


def _key(name: str, serial: str) -> str:
    slug = re.sub(r"[^a-z0-9]+", "-", f"{name} {serial}".lower()).strip("-")[:40].strip("-")
    return slug or "instrument"
