"""What a client takes: every exception listed, each or all taken in words, with an owner and a date.

What can hurt somebody is taken one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta

from textual.app import App

from commission_tui.checks.model.calendar_days import parsed_day
from commission_tui.errors import InputError
from commission_tui.logbook.actions.signature_entry import (
    Consent,
    exceptions_not_taken,
    exceptions_taken,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.acceptance_state import Item
from commission_tui.logbook.state.fault_steps import USUAL_DAYS, due_day
from commission_tui.screens.host.begun_forms import Drafts
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import Choice, Picker
from commission_tui.text import counted, listed, quoted

Done = Callable[[Mapping[str, Consent] | None], None]
"""Takes every consent; None when the client stopped before he had given all."""
_KEPT = "consent to "
"""Begins the name of the draft in which a consent is kept until the client signs."""
_ALL, _GO_ON = "all that are left", "go on"
_CLIENTS = "{} is what the client said before: Enter again takes it as a name"
_LONG_NAME = "{} reads as more than a name: Enter again takes it as who puts it right"
_WORDS_IN_NAME = 4
"""More words than these are a sentence, and no name of a person or a firm (common practice, no published source)."""
_ANEW = "What is typed here takes its place; no name and no words take it back."
_NAMED = 3
"""So many of the exceptions taken together are named once more."""
_OFFERED = 4
"""Names of whoever put other exceptions right, which are offered."""


def kept_consents(job: OpenJob, drafts: Drafts) -> dict[str, Consent]:
    """Return what a client took and has not signed, by exception; nothing of what reads otherwise now."""
    found = {}
    for item in job.acceptance().left:
        kept = drafts.get(_KEPT + item.key, {})
        due = parsed_day(kept.get("due", ""))
        if due is not None and kept.get("what") == item.what:
            found[item.key] = Consent(kept.get("owner", ""), due, kept.get("words", ""))
    return found


def drop_consents(drafts: Drafts) -> None:
    """Forget what a client took: he has signed it."""
    for name in [name for name in drafts if name.startswith(_KEPT)]:
        drafts.pop(name)


class ExceptionForms:
    """Asks until every exception is taken or the client stops; nothing is logged before he signs.

    Each consent is kept as a draft as soon as it is given: what a client has taken, perhaps a hundred
    lines, outlives a crash.
    """

    def __init__(self, app: App[object], job: OpenJob, drafts: Drafts, done: Done) -> None:
        self._app = app
        self._job = job
        self._done = done
        self._drafts = drafts
        self._taken = {**exceptions_taken(job), **kept_consents(job, drafts)}

    def ask(self, after: str | None = None) -> None:
        """List what is not taken and then what is; at once go on where there is no exception.

        Each has the number that it has on the Handover screen. Behind one that was asked
        about, the next that is not taken is selected.
        """
        left = self._job.acceptance().left
        if not left:
            self._done({})
            return
        missing = {item.key for item in exceptions_not_taken(self._job, self._taken)}
        choices: list[Choice] = []
        if not missing:
            choices.append(Choice(_GO_ON, (("Every exception is taken: sign", "pass"),)))
        alike = self._alike()
        if alike and alike[0].key in missing:
            apart = len(missing) - len(alike)
            alone = f"; {apart} that can hurt somebody one by one" if apart else ""
            choices.append(Choice(_ALL, ((f"Take all that are left, {len(alike)}{alone}", "key"),)))
        elif len(alike) > 1:
            all_anew = f"Take all {len(alike)} anew, or take them back"
            choices.append(Choice(_ALL, ((all_anew, "key"),), last=True))
        numbered = [
            Choice(item.key, self._line(number, item.what, item.key), last=item.key not in missing)
            for number, item in enumerate(left, start=1)
        ]
        choices += sorted(numbered, key=lambda choice: choice.last)
        title = f"{counted(len(left), 'exception')}, {len(missing)} to take before the client signs"
        at = self._next_to_take(after) if missing and after else None
        picker = Picker(title, choices, at=at)
        self._app.push_screen(picker.by_itself() if after else picker, self._picked)

    def _next_to_take(self, after: str) -> str:
        missing = [item.key for item in exceptions_not_taken(self._job, self._taken)]
        keys = [item.key for item in self._job.acceptance().left]
        begin = keys.index(after) if after in keys else 0
        return next((key for key in keys[begin:] if key in missing), missing[0])

    def _alike(self) -> list[Item]:
        """Return what may be taken in one stroke, or all of it anew; what can hurt is read by itself."""
        checks = self._job.state.checklist
        missing = exceptions_not_taken(self._job, self._taken)
        alike = [
            item
            for item in self._job.acceptance().left
            if item.check is None or not checks.check(item.check).hurts
        ]
        return [item for item in alike if item in missing] or alike

    def _line(self, number: int, what: str, key: str) -> Line:
        consent = self._taken.get(key)
        if consent is None:
            return ((f"{number}. ", "muted"), (what, ""), ("  not taken", "marginal"))
        consented = f"  {consent.owner}, {consent.due}; {consent.words}"
        return ((f"{number}. ", "muted"), (what, ""), (consented, "pass"))

    def _picked(self, key: str | None) -> None:
        if key is None or key == _GO_ON:
            self._done(self._taken if key else None)
            return
        keys = [item.key for item in self._alike()] if key == _ALL else [key]

        def submit(answers: Mapping[str, str]) -> None:
            if before and not (answers["owner"].strip() or answers["words"].strip()):
                for key in keys:
                    self._taken.pop(key)
                    self._drafts.pop(_KEPT + key, None)
                self._taken = {**exceptions_taken(self._job), **self._taken}
                return
            consent = consent_of(answers, offered, self._job.today())
            self._taken.update(dict.fromkeys(keys, consent))
            for item in chosen:
                said = {"what": item.what, "owner": consent.owner, "words": consent.words}
                self._drafts.begin(_KEPT + item.key, {**said, "due": consent.due.isoformat()})

        chosen = [item for item in self._job.acceptance().left if item.key in keys]
        named = listed([item.what for item in chosen], _NAMED, "; ")
        notes: list[Line] = [((named, ""),)]  # the list before showed each
        before = self._taken.get(keys[0])
        stands = ""
        if before is not None:
            more = f", and {len(keys) - 1} more" if keys[1:] else ""
            stands = f"Taken already: {before.owner}, until {before.due}; {before.words}{more}"
            notes.append(((f"{stands}. ", "pass"), (_ANEW, "")))
        last = before or next(reversed(self._taken.values()), None)
        due = last.due if last else self._job.today() + timedelta(days=USUAL_DAYS)
        # Offered, not filled in: whoever puts this one right is said anew. A number stays who it was.
        owners = [consent.owner for consent in self._taken.values()]
        offered = list(dict.fromkeys([self._job.state.title.integrator, *owners]))[:_OFFERED]
        names = ", ".join(f"{number} {name}" for number, name in enumerate(offered, start=1))
        words = {consent.words for consent in self._taken.values()}

        def no_name(typed: str) -> str:
            """Ask about words in the line for who puts it right."""
            typed = typed.strip()
            if typed in words:
                return _CLIENTS.format(typed)
            long = sum(any(map(str.isalpha, part)) for part in typed.split()) > _WORDS_IN_NAME
            return _LONG_NAME.format(quoted(typed)) if long and typed not in offered else ""

        def odd(typed: str) -> str:
            """Ask about a name in the line for the client's words, and before what stands is changed."""
            if typed.strip() in offered:
                return f"{typed.strip()} puts it right: Enter again takes it as the client's words"
            does = "puts this in its place" if typed.strip() else "takes it back"
            return f"{stands}: Enter again {does}" if before else ""

        title = "Take as it is" if len(keys) == 1 else f"Take all {len(keys)} as they are"
        form = Form(
            "Taken already: take it anew" if before else title,
            [
                Question(
                    "owner",
                    "Who puts it right",
                    before.owner if before else "",
                    hint=f"a name, or its number: {names}",
                    odd=no_name,
                ),
                Question(
                    "due",
                    "Until",
                    due.isoformat(),
                    "year-month-day",
                    check=lambda typed: due_day(typed, self._job.today()),
                ),
                Question(
                    "words",
                    "The client's initials or words",
                    hint="typed by the client",
                    odd=odd,
                ),
            ],
            submit,
            notes=notes,
            draft=f"take {' '.join(keys)}",
        )
        self._app.push_screen(form, lambda _: self.ask(key))


def consent_of(answers: Mapping[str, str], offered: Sequence[str], today: date) -> Consent:
    """Read who puts it right (a name, or the number of one offered), until when, the client's words.

    Raises
    ------
    InputError
        Names what is missing, no word, no date or past.
    """
    owner, words = answers["owner"].strip(), answers["words"].strip()
    numbered = {str(number): name for number, name in enumerate(offered, start=1)}
    owner = numbered.get(owner, owner)
    for what, answer in (("who puts it right", owner), ("the client's initials or words", words)):
        if not any(map(str.isalpha, answer)):  # a day, where two lines were exchanged
            found = quoted(answer) if answer else "nothing"
            raise InputError(f"{what}: found {found}, expected some")
    return Consent(owner, due_day(answers["due"], today), words)
