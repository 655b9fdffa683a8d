"""Forms of a job's course: a setting that changed, a limit agreed anew, a later visit, a person."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.checks.checklists.checklist import ALL, sizes
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.input_parsing import typed_number
from commission_tui.errors import InputError
from commission_tui.figures import exact
from commission_tui.logbook.actions.scope_actions import (
    SETTINGS,
    agree_scope,
    change_setting,
    keep_results,
    setting_body,
    settle,
)
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limit_body, limits_of, slipped_bound
from commission_tui.logbook.judging.doubts import Change, Doubt, doubts, settings_now
from commission_tui.logbook.judging.visits import odd_hours, visit_begun
from commission_tui.logbook.state.agreed_checks import unsettled_features
from commission_tui.screens.host.app_protocol import Host
from commission_tui.screens.host.kept_name import proper_name
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line, source_text
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import pick
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.text import counted, lower_first, upper_first
from commission_tui.wall.draft.design_addition import ADDITIONS, Addition, with_added
from commission_tui.wall.draft.typed_design import feature_words
from commission_tui.wall.model.location import known_location


def pick_setting(screen: JobScreen) -> None:
    """Let the person pick a setting and say what it now is."""
    now = settings_now(screen.job.state)
    lines: dict[str, Line] = {}
    for name in SETTINGS:
        value = f"  {now[name, 'wall']}" if (name, "wall") in now else ""
        lines[name] = ((name, ""), (value, "muted"))

    def picked(name: str) -> None:
        screen.ask(setting(screen.job, name), lambda: _logged(screen.job))

    pick(screen, "What was changed", lines, picked)


def _logged(job: OpenJob) -> str:
    """Say that a setting is logged, and what the change leaves no longer good."""
    again = len(doubts(job.state, job.state.settings[-1].id))
    rested = f"{counted(again, 'result')} no longer good: d shows what to look at again"
    return f"Setting logged; {rested if again else 'nothing to look at again'}"


def setting(job: OpenJob, name: str) -> Form:
    """Ask what a setting now is, where, and whether it was so all along."""
    return Form(
        upper_first(name),
        [
            Question("value", "Now it is", check=_some_value, odd=_place_for_value),
            Question("place", "Where", "wall", "wall, R3C7, P4; or an input, camera, circuit, loudspeakers"),
            Question("note", "Note", hint="may be empty"),
            Question("kept", "Was it so all along? Then say how you know", hint="else leave empty"),
        ],
        lambda typed: change_setting(
            job, name, typed["value"], place=typed["place"].strip() or "wall",
            note=typed["note"], kept=typed["kept"].strip() or None,
        ),
        notes=[(("Results that rest on it are no longer valid.", "muted"),)],
        draft=f"setting {name}",
    )  # fmt: skip


def _some_value(typed: str) -> None:
    if not typed.strip():
        raise InputError("now it is: found nothing, expected what was set")


def _place_for_value(typed: str) -> str:
    """Ask about a place typed in the line before that for places: the whole wall would be in doubt."""
    place = typed.strip()
    if place.casefold() == "wall" or known_location(place) is None:
        return ""
    return f"{place[:20]} is a place, and Where is the next line; Enter again takes it as it is"


def correct_setting(job: OpenJob, change: Change) -> Form:
    """Ask what a setting's entry should have said; without a value it is withdrawn.

    Raises
    ------
    InputError
        When the change is no setting: a part goes back as it came.
    """
    was = job.state.effective(change.id)
    if not isinstance(was, e.SettingLogged):
        raise InputError(f"{change.words}: fit the part that is there now where it is")

    def submit(typed: Mapping[str, str]) -> None:
        made = None
        if typed["value"].strip():
            place = typed["place"].strip() or "wall"
            made = setting_body(
                job.state, was.setting, typed["value"], place=place, note=typed["note"]
            )
        job.correct(change.id, made, typed["reason"])

    return Form(
        f"Correct: {change.words}",
        [
            Question("value", "Now it is", was.value, "empty withdraws it: nothing was changed"),
            Question("place", "Where", was.place, "wall, R3C7, or an input, camera, circuit, P4"),
            Question("note", "Note", was.note, "may be empty"),
            Question("reason", "Reason", "logged by mistake"),
        ],
        submit,
        draft=f"correct {change.id}",
    )


def keep(job: OpenJob, doubt: Doubt) -> Form:
    """Ask why a result that a change put in doubt still stands."""
    return Form(
        f"{doubt.title}: still stands",
        [Question("reason", "Why", hint="it is printed in the handover")],
        lambda answers: keep_results(job, doubt.change.id, [doubt.check], answers["reason"]),
        notes=[((doubt.change.words, "strong"),)],
        draft=f"keep {doubt.check}",
    )


def pick_addition(screen: JobScreen) -> None:
    """Let the person pick what the wall or its room has besides, and say what it is."""
    known = {one.words: one for one in ADDITIONS}
    lines: dict[str, Line] = {
        words: ((words, "strong"), (f"  such as {one.example}", "muted"))
        for words, one in known.items()
    }

    def picked(words: str) -> None:
        form = addition(screen.job, known[words])
        screen.call_after_refresh(screen.ask, form, f"Added to the design: {words}")

    pick(screen, "Add to the design", lines, picked)


def addition(job: OpenJob, kind: Addition) -> Form:
    """Ask what is to be added to the wall's design, and log it as a revision of it."""

    def text(line: str) -> str:
        return with_added(job.state.wall.text, kind, line)

    number = len(job.state.designs) + 1
    return Form(
        f"Add to the design: {kind.words}",
        [
            Question("line", upper_first(kind.words), hint=f"such as {kind.example}", check=text),
            Question("reason", "Why", f"{kind.words} added on site", "it is printed in the handover"),
        ],
        lambda typed: job.record(
            body(e.Design, text=text(typed["line"]), reason=typed["reason"])
        ),
        notes=[
            (("Logged as ", "muted"), (f"revision {number}", "strong"),
             (" of the wall file; what was read stays, and what is checked there is asked.", "muted")),
        ],
        draft=f"add {kind.key}",
    )  # fmt: skip


def pick_limit(screen: JobScreen, check: CheckDefinition) -> None:
    """Let the person pick which limit of a check was agreed anew, where there is more than one."""
    known = limits_of(screen.job.state, check.id)
    if not known:
        screen.say(f"{check.title}: it has no limit, it is recorded only", error=True)
        return

    def picked(name: str) -> None:
        form = limit(screen.job, check, name)
        # Once the screen below has been laid out: it stays so while the form stands over it.
        screen.call_after_refresh(screen.ask, form, "Limit logged, with who agreed to it")

    if len(known) == 1:
        picked(next(iter(known)))
        return
    lines: dict[str, Line] = {
        name: ((one.label, "strong"), (f"  {one}", "muted")) for name, one in known.items()
    }
    pick(screen, "Which limit", lines, picked)


def limit(job: OpenJob, check: CheckDefinition, name: str) -> Form:
    """Ask for a limit that was agreed anew."""
    now = limits_of(job.state, check.id)[name]

    def slipped(typed: float | None, value: float | None) -> str:
        asked = slipped_bound(typed, value)
        return f"{asked}: Enter again takes it as it is" if asked else ""

    def bound(key: str, what: str, value: float | None) -> Question:
        return Question(
            key, f"{what}, {now.unit}" if now.unit else what, "" if value is None else exact(value),
            "leave blank for no limit", odd=lambda typed: slipped(read(key, typed), value),
            check=lambda typed: in_order() if key == "high" else read(key, typed),
        )  # fmt: skip

    def read(key: str, typed: str) -> float | None:
        return typed_number(lower_first(_BOUNDS[key]), typed, now.unit)

    def in_order() -> None:
        low, high = (read(key, made.answers()[key]) for key in _BOUNDS)
        if low is not None and high is not None and low > high:
            raise InputError(
                f"at most: found {exact(high)}, expected {exact(low)} or more, which is At least"
            )

    made = Form(
        f"New limit for {check.title}: {lower_first(now.label)}",
        [
            bound("low", _BOUNDS["low"], now.low),
            bound("high", _BOUNDS["high"], now.high),
            Question("source", "Reference", hint="addendum, mail, minutes"),
            Question("agreed_by", "Agreed by"),
            Question("reason", "Why"),
        ],
        lambda typed: job.record(
            limit_body(
                job.state, check.id, name,
                low=read("low", typed["low"]), high=read("high", typed["high"]),
                source=typed["source"], agreed_by=typed["agreed_by"], reason=typed["reason"],
            )
        ),
        notes=[((f"{now}", "strong"), (f"  {source_text(now)}", "muted"))],
        draft=f"limit {check.id} {name}",
    )  # fmt: skip
    return made


_BOUNDS = {"low": "At least", "high": "At most"}


def visit(job: OpenJob) -> Form:
    """Ask what a later visit is called."""

    def odd(typed: str) -> str:
        asked = odd_hours(job.state, _hours(typed), job.now())
        return f"{asked}: Enter again takes them" if asked else ""

    return Form(
        "Begin a later visit",
        [
            Question("name", "Visit name", hint="such as 30 days, 1 year"),
            Question(
                "hours", "Hours run since the handover", hint="may be empty", check=_hours, odd=odd
            ),
            Question("reason", "What for", hint="may be empty"),
        ],
        lambda typed: job.record(
            visit_begun(job.state, typed["name"], typed["reason"], _hours(typed["hours"]))
        ),
        notes=[(("From here on, what is read again stands beside the first visit.", "muted"),)],
        draft="visit",
    )


def _hours(typed: str) -> float | None:
    return typed_number("hours", typed, "h")


_AT_ONCE = 6
"""Features on one form: as many as a window of 24 rows shows."""


def settle_features(
    screen: JobScreen, check: str | None = None, *, by_itself: bool = False
) -> None:
    """Ask of everything that is not settled whether it is there; Enter leaves one not known.

    With a check, of what that check waits for.
    """
    left = unsettled_features(screen.job.state)
    features = tuple(f for f, waits in left.items() if check is None or check in waits.checks)
    if features:
        _settle(screen, features, by_itself=by_itself)
    else:
        screen.say("Nothing is left to settle")


def _settle(screen: JobScreen, features: tuple[str, ...], *, by_itself: bool) -> None:
    """Ask of some of them, and then of the rest."""
    job, now, rest = screen.job, features[:_AT_ONCE], features[_AT_ONCE:]

    def submit(answers: Mapping[str, str]) -> None:
        for feature in now:
            if answers[_key(feature)].strip():
                settle(job, feature, answers[_key(feature)])

    def settled(_: bool) -> None:
        if rest:
            screen.call_after_refresh(_settle, screen, rest, by_itself=True)
        else:
            screen.say("Settled")

    form = Form(
        f"Is there …{f'  ({len(rest)} more after these)' if rest else ''}",
        [
            Question(
                _key(feature),
                feature_words(feature),
                hint="y, n; not known: leave empty",
                check=_answer,
            )
            for feature in now
        ],
        submit,
    )
    open_dialog(screen, form.by_itself() if by_itself else form, settled)


def _key(feature: str) -> str:
    return feature.replace(" ", "-")


def _answer(typed: str) -> None:
    if typed.strip().lower() not in {"", "y", "n", "yes", "no", "?", "not known"}:
        raise InputError(f"found {typed.strip()[:30]!r}, expected y, n or nothing")


def who_logs(host: Host) -> Form:
    """Ask whose name signs what is logged from here on."""

    def submit(answers: Mapping[str, str]) -> None:
        if not host.sign_as(proper_name(answers["name"])):
            host.notify("The name is not kept here for the next start", markup=False)

    return Form(
        "Who logs",
        [Question("name", "Name", host.by)],
        submit,
        notes=[(("What was logged before keeps the name that it was logged by.", "muted"),)],
    )


def scope(screen: JobScreen) -> None:
    """Ask for another scope."""
    job = screen.job
    known = sizes(job.state.whole_checklist)
    listed_sizes = ", ".join(f"{size} {len(checks)} checks" for size, checks in known.items())
    agreed = job.state.scopes[-1].body.size if job.state.scopes else ALL
    form = Form(
        "What is agreed",
        [
            Question(
                "size", "Size, or one check more", agreed, f"{listed_sizes}; or a check's name"
            ),
            Question("reason", "Why less than before", hint="empty where it is more"),
        ],
        lambda answers: agree_scope(job, answers["size"], answers["reason"]),
        notes=[(("What can hurt somebody and what was read stays in.", "muted"),)],
    )
    screen.ask(form, "Scope agreed")
