"""What was logged wrongly: taken back, withdrawn or corrected; every entry is kept."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import ValueCommand, json_option, on_job
from commission_tui.cli.output import answer, say
from commission_tui.errors import InputError
from commission_tui.text import counted, listed, quoted

if TYPE_CHECKING:
    from commission_tui.logbook.logbook import OpenJob


_reason = click.option("--reason", default="typed wrong", show_default=True)
_although_signed = click.option(
    "--confirm",
    is_flag=True,
    help="Withdraw it although another logged it, or somebody signed since.",
)

_TOLD_EACH = 3
"""So many entries that are taken back as one are told each."""


@click.command("undo")
@on_job
@_reason
@_although_signed
@json_option
def undo(opened: OpenJob, reason: str, confirm: bool) -> None:
    """Take back what was done last, and say what it was; once more, what was before it.

    A reading, a fault, a step on one, a withdrawal, a correction, a setting, a limit, a part, an
    instrument, a visit. An imported table, faults logged together and a run that was moved are one act;
    the name by which a table's columns are remembered is another, before it. What another person logged is
    named and left. The entry itself is kept. Of what is not taken back this way it says why, and
    goes on to nothing older.
    """
    from commission_tui.logbook.actions.reading_corrections import stand_again
    from commission_tui.logbook.actions.taking_back import (
        authors,
        issued_since,
        last_acts,
        signed_since,
        take_back,
        taken_back_words,
    )
    from commission_tui.logbook.state.entry_words import words_with_subject

    acts = last_acts(opened.state)
    was = taken_back_words(opened.state, acts)
    at = acts[0].at
    asked = [
        *authors(opened.state, acts, opened.by),
        *signed_since(opened.state, at),
        *issued_since(opened.state, at),
    ]
    over = _unless_confirmed(opened, acts[0].entry, asked, confirm)
    correction = take_back(opened, acts, reason)
    now = [words_with_subject(opened.state, act.entry) for act in acts]
    said = [
        f"withdrawn: {words}"
        if act.before is None
        else f"put back: {stands}; it was {words.removeprefix(f'{stands}, ')}"
        for act, words, stands in zip(acts, was, now, strict=True)
    ]
    if len(said) > _TOLD_EACH:
        rest = f"and {len(said) - _TOLD_EACH} more"
        many = f"{counted(len(said), 'entry', 'entries')} logged in one go taken back"
        said = [many, *said[: -_TOLD_EACH - 1 : -1], rest]
    gone = [opened.state.entries[act.entry].body for act in acts[::-1] if act.before is None]
    again = stand_again(opened.state, gone)
    if again:
        said.append(f"stands again: {listed(again)}")
    last = acts[0]
    data = {
        "entry": correction.id,
        "entries": len(acts),
        "stands_again": again,
        "withdrawn": last.entry if last.before is None else None,
        "put_back": None if last.before is None else last.entry,
        "what": was[0],
        "signed_since": _signed_since(opened, last.at),
    }
    answer(data, f"{said[0]}{over}", *said[1:])


@click.command("withdrawn")
@on_job
@click.argument("number", type=int)
@_reason
@_although_signed
@json_option
def withdrawn(opened: OpenJob, number: int, reason: str, confirm: bool) -> None:
    """Log that fault NUMBER was none: it leaves the punch list; no other fault gets its number.

    The entry itself is kept, with the reason; 'log reopened' brings it back.
    """
    from commission_tui.logbook.actions.taking_back import signed_since
    from commission_tui.logbook.state.entry_words import words_with_subject
    from commission_tui.logbook.state.fault_steps import fault_numbered

    found = fault_numbered(opened.state, number).id
    over = _unless_confirmed(opened, found, signed_since(opened.state, found), confirm)
    words = words_with_subject(opened.state, found)
    correction = opened.correct(found, None, reason)
    data = {
        "entry": correction.id,
        "withdrawn": found,
        "put_back": None,
        "what": words,
        "signed_since": _signed_since(opened, found),
    }
    answer(data, f"withdrawn: {words}{over}")


def _unless_confirmed(opened: OpenJob, entry: str, asked: list[str], confirm: bool) -> str:
    """Say whose an entry is, and what was signed or handed over since; take none back unless told to."""
    from commission_tui.logbook.state.entry_words import words_with_subject

    if asked and not confirm:
        raise InputError(
            f"{click.get_current_context().info_name}: {words_with_subject(opened.state, entry)}: "
            f"{', '.join(asked)}; add --confirm to withdraw it anyway"
        )
    return f"; {', '.join(asked)}" if asked else ""


def _signed_since(opened: OpenJob, entry_id: str) -> int:
    return sum(one.id > entry_id for one in opened.state.signatures)


@click.command("correct", cls=ValueCommand)
@on_job
@click.argument("which", metavar="CHECK FIELD PLACE", nargs=-1, required=True)
@click.argument("value")
@_reason
@click.option(
    "--confirm",
    is_flag=True,
    help="Log a value that is asked about, or although somebody signed since.",
)
def correct(
    opened: OpenJob, which: tuple[str, ...], value: str, reason: str, confirm: bool
) -> None:
    """Give the latest reading of a field at a place the right VALUE; the old one is kept, struck through.

    What 'log reading' asks about is asked about here too, and what somebody has signed or handed over
    since. In the place of CHECK FIELD PLACE an entry's id will do, as 'log reading --json' says it.
    """
    from commission_tui.checks.model.input_parsing import names_unit, typed_value
    from commission_tui.figures import reading_text
    from commission_tui.logbook.actions.reading_corrections import averaged_with, far_apart
    from commission_tui.logbook.actions.taking_back import since_signed
    from commission_tui.logbook.entries.entry_factory import changed_body
    from commission_tui.logbook.entries.models import ReadingTaken

    entry = which[0] if len(which) == 1 else _read_last(opened, which)
    known = opened.state.entries.get(entry)
    standing = opened.state.effective(entry) if known else None
    if not isinstance(standing, ReadingTaken):
        raise InputError(
            f"entry: found {quoted(entry)}, expected the id of a reading of this job, or check, field "
            "and place"
        )
    item = opened.state.checklist.check(standing.check).field(standing.field)
    typed = typed_value(item, value, opened.state.wall, standing.place)
    right_value = item.accept(typed)
    where = standing.check, standing.field, standing.place
    odd = opened.questions(*where, right_value, unit_named=names_unit(value))
    averaged = averaged_with(opened.state, entry)
    apart = far_apart(right_value, averaged, standing.unit)
    since = since_signed(opened.state, entry)
    asked = "; ".join(filter(None, (odd, apart, *since)))
    if asked and not confirm:
        raise InputError(
            f"{item.label} at {standing.place}: {asked}; add --confirm to log it anyway"
        )
    right = changed_body(standing, value=right_value, odd=odd)
    opened.correct(entry, right, reason)
    if averaged:
        say(f"averaged with {listed([reading_text(one, standing.unit) for one in averaged])}")
    for words in since:
        say(words)
    say(f"{opened.outcome(standing.check).verdict}: {opened.outcome(standing.check).reason}")


def _read_last(opened: OpenJob, which: Sequence[str]) -> str:
    """Return the id of the latest reading of a check, field and place."""
    if len(which) != 3:
        raise InputError(
            f"correct: found {len(which)} words before the value, expected 3: check, field, place"
        )
    from commission_tui.checks.places.spelling import place_on

    words, field, typed = which
    check = opened.state.checklist.find(words)
    item = check.field(field)
    place = place_on(opened.state.wall, item.where, typed)
    latest = opened.state.latest(check.id, item.name, place)
    if latest is None:
        raise InputError(f"{item.label} at {place}: found nothing read there, expected a reading")
    return latest.id
