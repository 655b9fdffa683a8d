"""What the record itself answers when a job is agreed, handed over and looked at again."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.checks.judgement import joined_by_semicolons, judged
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.calendar_days import parsed_day
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.figures import shown
from commission_tui.text import flat, listed

_DAYS_A_MONTH = 365.2425 / 12
_NOTHING = {"", "no", "nil", "n/a"}


@method(
    fields="agreed_for_client? agreed_for_integrator? agreed_on? agreed_in?",
    limits="undecided",
    reads_record=True,
)
def limits_agreed(data: CheckInput) -> Outcome:
    """Count the checks of this job with a limit that has no bound and that nobody agreed to record."""
    without_bound = data.record().without_bound
    name = "checks with neither a bound nor 'record only' agreed"
    return with_answers(
        data,
        [_count(data, name, without_bound, "undecided")],
        remark=f"undecided: {listed(without_bound)}" if without_bound else "",
        next_step="Agree a bound for the named checks, or log that they are only recorded.",
    )


def _count(data: CheckInput, name: str, things: Sequence[str], limit: str) -> Figure:
    return judged(name, len(things), limit=data.limits[limit], digits=5)


@method(fields="each_has_an_owner each_has_a_date each_consequence_told agreed?", reads_record=True)
def exceptions_read(data: CheckInput) -> Outcome:
    """Weigh the answers beside the exceptions that the record holds, counted and named."""
    there = data.record().exceptions
    figure = Figure("exceptions in the record", len(there), digits=5)
    return with_answers(
        data,
        records=[figure],
        remark=f"in the record: {joined_by_semicolons(there)}"
        if there
        else "the record holds no exception",
        next_step="Give each exception an owner and a date, say what it means, and read them again.",
    )


@method(fields="fingerprint_shown signers_complete", limits="unfinished", reads_record=True)
def record_frozen(data: CheckInput) -> Outcome:
    """Hold the record against what has to be in it before somebody signs."""
    facts = data.record()
    name = "checks that block acceptance and are not judged"
    phrases = [f"still to do: {listed(facts.unfinished)}"] if facts.unfinished else []
    phrases += [f"named: {joined_by_semicolons(facts.people)}"] if facts.people else []
    return with_answers(
        data,
        [_count(data, name, facts.unfinished, "unfinished")],
        wrong=() if facts.people else ("nobody is named in the record",),
        remark="; ".join(phrases),
        next_step="Finish the named checks or log why they do not apply, name who signs, and make the "
        "document once more.",
    )


@method(fields="all_compared what_differs?", limits="unexplained", reads_record=True)
def settings_again(data: CheckInput) -> Outcome:
    """Count the settings that were logged as changed at this visit, and those without a reason.

    A difference that is only written down has neither an entry of its own nor a reason.
    """
    changed = data.record().changed
    bare = [words for words, why in changed if not why.strip()]
    named = {"changed": [words for words, _ in changed], "without a reason": bare}
    written = _written(data)
    if written and changed:
        named["written"] = [written]
    return with_answers(
        data,
        [_count(data, "changed settings without a reason", bare, "unexplained")],
        records=[Figure("settings logged as changed", len(changed), digits=5)],
        wrong=[f"written and not logged as a setting: {written}"]
        if written and not changed
        else [],
        remark="; ".join(
            f"{what}: {joined_by_semicolons(words)}" for what, words in named.items() if words
        ),
        next_step="Ask who changed the named settings and why; log the reason, or put them back.",
    )


def _written(data: CheckInput) -> str:
    """Return what is written of differences; nothing where it says that there is none."""
    found = data.one("what_differs")
    text = "" if found is None else flat(str(found.value)).strip()
    plain = text.casefold().strip(".- ")
    said_none = plain.startswith(("none", "nothing", "no difference")) or plain in _NOTHING
    return "" if said_none else text


@method(
    fields="starts_on ends_on start_as_contract serials_registered reference? response? "
    "term_months?"
)
def warranty(data: CheckInput) -> Outcome:
    """Work out the term of a warranty and hold it against the contract's and the day of the visit."""
    begins, ends = (
        None if (found := data.one(name)) is None else parsed_day(str(found.value))
        for name in ("starts_on", "ends_on")
    )
    wrong: list[str] = []
    records: list[Figure] = []
    if begins is not None and ends is not None:
        months = ((ends - begins).days + 1) / _DAYS_A_MONTH
        records.append(Figure("months of warranty", months))
        if ends <= begins:
            wrong.append(f"the warranty ends on {ends.isoformat()}, before it begins")
        term = data.one("term_months")
        # A month of 28 days and one of 31 are both a month.
        if term is not None and months < term.number - 0.1:
            wrong.append(
                f"{shown(months)} months of warranty, of {shown(term.number)} in the contract"
            )
    return with_answers(
        data,
        records=records,
        wrong=wrong,
        leave_out={"term_months"},
        next_step="Have the dates put right in writing by whoever gives the warranty.",
    )
