"""What the overview shows: stages and checks, what is next, what stands before acceptance."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Collection

from commission_tui.checks.model.definition import Stage
from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.integrity.clashes import clash_words
from commission_tui.logbook.integrity.clock_differences import clock_behind
from commission_tui.logbook.integrity.merge_conflicts import Differing
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import doubts
from commission_tui.logbook.judging.instruments import without_accuracy
from commission_tui.logbook.judging.visits import visit_title
from commission_tui.logbook.plan.latest_visit import visit_state
from commission_tui.logbook.plan.planning import OTHER_PEOPLE, Share, nearest_check, to_do
from commission_tui.logbook.state.agreed_checks import unsettled_checks, unsettled_features
from commission_tui.logbook.state.state import State
from commission_tui.screens.layers.progress_layers import progress_looks
from commission_tui.screens.layers.wall_geometry import small_drawing, small_plan
from commission_tui.screens.terminal.styled_text import (
    CAUTION_SIGN,
    VERDICT_ROLE,
    VERDICT_SHORT,
    VERDICT_SIGN,
    Line,
    Part,
    caution_line,
    local_time,
    verdict_part,
)
from commission_tui.text import clipped, counted, listed

_VERDICT_WIDTH = 13
_METER = 12
"""Characters of an instrument's name in the narrow column."""
_NAMED = 4
"""Features to settle that are named in the window; the form names all."""
_APART = {
    "correction": "corrected by two who did not know of each other; the latest counts: ",
    "entry": "logged by two who did not know of each other: ",
    "fault": "maybe one fault that two people logged: ",
}
"""What people must look at themselves, by the sort of clash."""


def rows(
    job: OpenJob,
    width: int,
    *,
    hidden_too: bool = True,
    marked: Collection[str] = (),
) -> list[tuple[tuple[Line, ...], str | None]]:
    """Return each stage with how far it is, and its checks with their verdicts and their ids.

    What does not apply is left out unless `hidden_too`; `marked` checks have a sign. A long title goes
    on in a row of its own.
    """
    found: list[tuple[tuple[Line, ...], str | None]] = []
    for stage in job.state.checklist.stages:
        shown = [check for check in stage.checks if hidden_too or applies(job, check.id)]
        if not shown:
            continue
        found.append(((stage_line(job, stage, width),), None))
        for check in shown:
            title = f"{'* ' if check.id in marked else ''}{check.title}"
            first, *more = textwrap.wrap(title, width - _VERDICT_WIDTH)
            goes_on: list[Line] = [((" " * _VERDICT_WIDTH, ""), (text, "")) for text in more]
            found.append(((_check_line(job, check.id, first), *goes_on), check.id))
    return found


def applies(job: OpenJob, check: str) -> bool:
    return job.outcome(check).verdict is not Verdict.NOT_APPLICABLE


def open_in_stage(job: OpenJob, check: str) -> tuple[str, ...]:
    """Return the checks of a check's stage of which nothing is recorded yet."""
    stage = job.state.checklist.stage_of(check)
    unread = [check.id for check in stage.checks if check.id not in job.state.readings]
    return tuple(check for check in unread if job.outcome(check).verdict is Verdict.OPEN)


def stage_line(job: OpenJob, stage: Stage, width: int) -> Line:
    every = [job.outcome(check.id).verdict for check in stage.checks]
    verdicts = [verdict for verdict in every if verdict is not Verdict.NOT_APPLICABLE]
    done = sum(verdict is not Verdict.OPEN for verdict in verdicts)
    far = f"{done} of {len(verdicts)} done" if verdicts else VERDICT_SHORT[Verdict.NOT_APPLICABLE]
    parts: list[Part] = [(f"  {far}", "muted")]
    tally = Counter(verdicts)
    for verdict in (Verdict.FAIL, Verdict.MARGINAL):
        if tally[verdict]:
            text, role = verdict_part(verdict)
            parts += [("  ", ""), (f"{text} {tally[verdict]}", role)]
    if set(verdicts) == {Verdict.PASS}:
        parts += [("  ", ""), verdict_part(Verdict.PASS)]
    rest = sum(len(text) for text, _ in parts)
    return ((clipped(stage.title, width - rest), "title"), *parts)


def _check_line(job: OpenJob, check_id: str, title: str) -> Line:
    outcome = job.outcome(check_id)
    word = "started" if outcome.so_far is not None else VERDICT_SHORT[outcome.verdict]
    text = f"  {VERDICT_SIGN[outcome.verdict]} {word}"
    return (text.ljust(_VERDICT_WIDTH), VERDICT_ROLE[outcome.verdict]), (title, "")


def next_check(job: OpenJob) -> str | None:
    """Return the check to go on with: from one that is just done the nearest open, as the walk does.

    Else, also where one is begun, the first that is open in the order of the stages.
    """
    last = _last_read(job.state)
    if last is not None and job.outcome(last).verdict is not Verdict.OPEN:
        return nearest_check(job.state, job.outcomes(), last)
    is_open = (c.id for c in job.state.checklist if job.outcome(c.id).verdict is Verdict.OPEN)
    return next(is_open, None)


def _last_read(state: State) -> str | None:
    """Return the check of the latest reading of this visit."""
    latest = {
        check.id: max(slot[-1].id for slot in slots.values())
        for check in state.checklist
        if (slots := state.readings.get(check.id))
    }
    last = max(latest, key=latest.__getitem__, default=None)
    begun = state.visits[-1].id if state.visits else ""
    return last if last is not None and latest[last] >= begun else None


def next_lines(job: OpenJob) -> list[Line]:
    """Say what is next, how long all of it takes, and what is no longer good."""
    return [*_next(job), *_accuracy(job), *_time(job), *_to_settle(job.state)]


def _accuracy(job: OpenJob) -> list[Line]:
    """Say of which instrument nobody stated how accurate it is, while readings of it have been taken."""
    unknown = job.once(without_accuracy)
    if not unknown:
        return []
    first = unknown[0].body
    more = f" +{len(unknown) - 1}" if unknown[1:] else ""
    name = clipped(first.called, _METER - len(more))
    return [(("Accuracy? ", "marginal"), (f"{name}{more}", "strong"), ("  u", "key"))]


def signed_line(job: OpenJob, width: int) -> Line:
    """Say whose name signs what is logged now."""
    name = clipped(job.by, width - len("Logged by   i"))
    return (("Logged by ", "muted"), (name, "strong"), ("  i", "key"))


def _to_settle(state: State) -> list[Line]:
    """Say what nobody has said of the wall yet, a line each; what can hurt somebody has its sign."""
    left = list(unsettled_features(state).items())
    if not left:
        return []
    more = len(left) - _NAMED
    also = f"  and {more} more" if more > 0 else " answers"
    head: Line = (("To settle ", "marginal"), ("s", "key"), (also, "muted"))
    return [
        head,
        *(
            # What hurts has its check on the left, open.
            ((f"{CAUTION_SIGN} ", "caution"), (f" {feature}?", "strong"))
            if waits.hurts
            else ((f"{feature}?", "strong"), (f"  {counted(len(waits.checks), 'check')}", "muted"))
            for feature, waits in left[:_NAMED]
        ),
    ]


def clock_lines(job: OpenJob) -> list[Line]:
    """Say so where this computer's clock is behind the entries."""
    doubt = clock_behind(job.state, job.now())
    return [caution_line(doubt)] if doubt else []


def merged_lines(state: State, differing: Differing) -> list[Line]:
    """Say what two people's work left to look at: designs made apart, what both read, corrected, found."""
    lines: list[Line] = []
    apart = differing.designs_apart(state)
    if apart:
        caution = f"{len(apart)} design revisions were made apart: log the one that holds again"
        lines.append(caution_line(caution))
    twice = differing.read_by_several(state)
    if twice:
        first = state.checklist.check(next(c.id for c in state.checklist if c.id in twice)).title
        more = f" and {counted(len(twice) - 1, 'more check')}" if len(twice) > 1 else ""
        lines.append(
            ((f"{sum(twice.values())} ", "strong"),
             ("read by more than one person; all kept, the latest counts: ", "muted"),
             (f"{clipped(first, 40)}{more}", ""))
        )  # fmt: skip
    apart_too = differing.made_apart(state)
    for sort, words in _APART.items():
        if alike := [clash for clash in apart_too if clash.sort == sort]:
            said = [clash_words(clash) for clash in alike]
            if sort == "entry":
                said = [f"{one.what}: {words}" for one, words in zip(alike, said, strict=True)]
            first = listed(said, 1)
            lines.append(((f"{len(alike)} ", "strong"), (words, "muted"), (first, "")))
    return lines


def _time(job: OpenJob) -> list[Line]:
    left = to_do(job.state, job.outcomes())
    lines: list[Line] = [
        (("To do alone ", "key"), (_counts(left.own), "strong"), (f", {_long(left.own)}; ", "muted"),
         ("t", "key"), (" plans", "muted")),
    ]  # fmt: skip
    if _counts(left.others):
        words: Line = ((_counts(left.others), "strong"), (f", {_long(left.others)}", "muted"))
        lines.append((("With others ", "key"), *words))
    verdicts = [outcome.verdict for outcome in job.outcomes().values()]
    if left_out := verdicts.count(Verdict.NOT_APPLICABLE):
        waiting = len(unsettled_checks(job.state))
        waits = f", {waiting} wait" if waiting else ""
        agreed = len(verdicts) + waiting
        note = f"{len(verdicts) - left_out} count: {agreed} agreed, {left_out} n/a{waits}; "
        lines.append(((note, "muted"), ("h", "key"), (" shows", "muted")))
    doubted = doubts(job.state)
    if doubted:
        lines.append(
            ((f"{counted(len(doubted), 'result')} no longer good ", "marginal"), ("d", "key"),
             (" shows them", "muted"))
        )  # fmt: skip
    return lines


def _counts(share: Share) -> str:
    """Say what a part of the work is; its open checks and the done ones are all that count."""
    counts = (
        (share.checks, counted(share.checks, "check")),
        (share.again, f"{share.again} again"),
        (share.faults, counted(share.faults, "fault")),
    )
    return ", ".join(words for number, words in counts if number)


def _long(share: Share) -> str:
    hours = share.minutes / 60
    return f"{hours:.1f} h" if share.minutes >= 90 else f"{share.minutes:.0f} min"


def _next(job: OpenJob) -> list[Line]:
    check_id = next_check(job)
    if check_id is None:
        return [(("Next ", "key"), ("every check is done: the handover", "strong"))]
    check = job.state.checklist.check(check_id)
    to_do = len(job.outcome(check_id).to_do)
    many = f", {to_do} to record" if to_do else ""
    minutes = f"  {check.minutes:g} min{many}"
    others = [need for need in check.needs if need in OTHER_PEOPLE]
    wants: Part = (f"  with {listed(others)}" if others else "", "marginal")
    return [(("Next ", "key"), (check.title, "strong"), (minutes, "muted"), wants)]


def acceptance_lines(job: OpenJob) -> list[Line]:
    """Return the state of the handover, of the latest later visit, and each exception."""
    stands, visit = job.acceptance(), visit_state(job)
    head: list[Line] = [(("Handover ", "key"), (str(stands.state), "strong"))]
    if stands.signature is not None:
        day = local_time(stands.signature.at, job.state).date().isoformat()
        head.append(((f"  {stands.signature.body.name}, {day}", "muted"),))
    if past := stands.past(lambda at: local_time(at, job.state).date().isoformat()):
        head.append(((past, ""),))
    if visit is not None:
        head.append(((f"{visit_title(visit.name)} ", "key"), (visit.word, "strong")))
        head += [((line, ""),) for line in (*visit.to_put_right, *visit.changed)]
    if not stands.count:
        return [*head, (("No exception", "pass"),)]
    title = "Exceptions taken " if stands.state.is_accepted else "Exceptions if signed now "
    head.append(((title, "key"), (str(stands.count), "strong")))
    if stands.state.is_accepted:
        return [*head, *(((f"{one.number}. {one.what}", ""),) for one in stands.exceptions)]
    # What failed needs somebody; what was not done yet is in the list on the left.
    order = sorted(stands.left, key=lambda item: item.check is not None and item.unseen)
    return [*head, *(((item.what, ""),) for item in order)]


def wall_lines(job: OpenJob, width: int, height: int) -> list[Line]:
    """Return the wall in small, each cabinet with its sign."""
    plan = job.state.wall.once(small_plan, width, height)
    return small_drawing(plan, progress_looks(job))


def wall_facts(job: OpenJob) -> tuple[Line, Line]:
    wall = job.state.wall
    size = f"{wall.width_mm / 1000:.3g} x {wall.height_mm / 1000:.3g} m"
    cabinets = counted(len(wall.cabinets), "cabinet")
    return (
        ((f"{cabinets}, {size}", "muted"),),
        ((f"{wall.width_px} x {wall.height_px} px", "muted"),),
    )
