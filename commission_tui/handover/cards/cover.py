"""The first page, for the client: the state of the job, what he gets, how bright, how even, whom to ring."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from commission_tui.checks.model.types import Figure, Verdict
from commission_tui.figures import with_unit
from commission_tui.handover.content.acceptance import VisitLine, statement, visit_line
from commission_tui.handover.content.document_inputs import NOT_KNOWN, VERDICT_WORDS, Context
from commission_tui.handover.content.parts_and_people import people_to_call
from commission_tui.handover.content.punch_list import fault_counts
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.content.sections import Fact
from commission_tui.handover.document_number import DocumentHead, EarlierDocument
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.judging.acceptance_state import AcceptanceState
from commission_tui.logbook.judging.doubts import holding_in_doubt
from commission_tui.logbook.judging.visits import visit_title
from commission_tui.logbook.state.agreed_checks import checks_not_agreed, unsettled_checks
from commission_tui.text import clipped, counted, listed

_MEAN, _EVEN = "mean", "darkest over brightest point"
_STEP = "largest step between neighbours"
_ONLY_WORSE = ("darkest over brightest", _STEP)
"""What further readings can make worse and never better: the ends of all, the largest of all."""
_POINTS, _CABINETS = "nine_point_brightness", "cabinet_luminance"
_RUNG = 2
_OF_VISIT = 3
_HEADER_LENGTH = 80
_STATE_MEANING: Mapping[str, str] = {
    AcceptanceState.DRAFT: "Not for signature: something was not done, or not looked at.",
    AcceptanceState.READY: "Everything was looked at; the client has yet to decide.",
    AcceptanceState.ACCEPTED: "The client has taken the wall as it is described here.",
    AcceptanceState.WITH_EXCEPTIONS: "The client has taken the wall, with the exceptions that are "
    "numbered here.",
    AcceptanceState.REFUSED: "The client has refused the wall.",
}


@dataclass(frozen=True, slots=True)
class Cover:
    """What the first page says, and what every page repeats of it."""

    kind: str
    job: str
    header: str
    """The job on every page."""
    where: str
    integrator: str
    date: str
    state: str
    """One of `AcceptanceState`."""
    meaning: str
    visit: VisitLine | None
    supplement: Sequence[Fact]
    """Which document it supplements, and what names that one."""
    facts: Sequence[Fact]


def cover(context: Context, head: DocumentHead) -> Cover:
    title, wall = context.state.title, context.wall.file.wall
    visit = visit_line(context)
    return Cover(
        kind="Handover of an LED video wall",
        job=title.name,
        header=clipped(title.name, _HEADER_LENGTH),
        where=f"{wall.name}, {wall.site}",
        integrator=title.integrator,
        date=context.printing.day(context.last_at),
        state=context.standing_word,
        meaning=_STATE_MEANING[context.standing_word],
        visit=visit,
        supplement=[] if head.supplement is None else _supplement(head.supplement),
        facts=[
            Fact("Document", head.number),
            Fact("Client", title.client),
            Fact("Integrator", title.integrator),
            Fact("Reference", title.reference or "none"),
            Fact("State", statement(context)),
            *([_visit(visit)] if visit else []),
            *client_facts(context),
            _record(context),
        ],
    )


def _supplement(before: EarlierDocument) -> list[Fact]:
    return [
        Fact(
            "Supplement",
            f" to document {before.number}, signed on {before.date}. "
            "What was signed there stays as it was; this one says what was recorded since.",
        ),
        Fact("Fingerprint of its record", before.fingerprint),
        Fact("SHA-256 of its file", before.sha256),
    ]


def _visit(visit: VisitLine) -> Fact:
    found = [*visit.to_put_right, *visit.changed]
    said, more = found[:_OF_VISIT], len(found) - _OF_VISIT
    if more > 0:
        said.append(f"{more} more under {visit_title(visit.name, ': ')}.")
    return Fact(visit_title(visit.name), " ".join(said), first=visit.state)


def _record(context: Context) -> Fact:
    designs, entries = len(context.state.designs), len(context.state.entries)
    design = f"design revision {designs}" if designs > 1 else "design as first received"
    day = context.printing.day(context.last_at)
    return Fact("Record", f"{design}, {entries} entries to {day}", digest=context.fingerprint)


def client_facts(context: Context) -> list[Fact]:
    """Return the lines of the first page; what nobody stated or measured is not known."""
    wall = context.wall
    size = context.printing.size(wall.width_mm, wall.height_mm)
    not_agreed = (
        f"{counted(len(checks_not_agreed(context.state)), 'check')} not agreed for this job"
    )
    waiting = len(unsettled_checks(context.state))
    waits = f"{waiting} not settled, " if waiting else ""
    warranty = facts_of_role(context, "warranty", keep=lambda item: item.kind in {"date", "text"})
    return [
        Fact(
            "Handed over",
            f"{counted(len(wall.cabinets), 'cabinet')}, {size}, "
            f"{wall.width_px} × {wall.height_px} pixels",
        ),
        Fact("How bright", _measured(context, _MEAN, _number)),
        Fact("How even", _evenness(context)),
        Fact("Faults", fault_counts(context)),
        Fact(
            "Left out",
            f"{not_agreed}, {waits}{context.undone_words}, "
            f"{context.count(Verdict.NOT_APPLICABLE)} that do not apply",
        ),
        Fact("Warranty", "; ".join(map(str, warranty)) or NOT_KNOWN),
        Fact("Ring", "; ".join(people_to_call(context)[:_RUNG]) or NOT_KNOWN),
    ]


def _measured(context: Context, name: str, words: Callable[[Figure], str]) -> str:
    """Say a figure of the points on white in each check, and what was agreed for it."""
    return " ".join(_points(context, name, words)) or _not_known(context, _POINTS)


def _points(context: Context, name: str, words: Callable[[Figure], str]) -> list[str]:
    return [
        as_sentence(f"{title}: {words(figure)}{_agreed(figure)}")
        for title, figures in _judged(context, _POINTS)
        for figure in [one for one in figures if one.name == name][:1]
    ]


def _evenness(context: Context) -> str:
    """Say how even the points are and the cabinets: of these the step, and whatever is not met."""
    cabinets = [
        as_sentence(f"{title}: {figure.name} {_number(figure)}{_agreed(figure)}")
        for title, figures in _judged(context, _CABINETS)
        for figure in _telling(figures)
    ]
    return " ".join([*_points(context, _EVEN, _darkest), *cabinets]) or _not_known(
        context, _POINTS, _CABINETS
    )


def _judged(context: Context, method: str) -> Iterator[tuple[str, Sequence[Figure]]]:
    """Give the title of each check of a method with its figures.

    Of one that is measured in part only those that are out of their limit whatever is still read.
    """
    again = context.in_doubt()
    for check in context.by_method(method):
        outcome = context.printed[check.id]
        if outcome.verdict is not Verdict.OPEN:
            yield check.title, outcome.figures
        elif outcome.before is not None:
            read = len(context.slots(check.id))
            many = f"{read} of {counted(read + len(outcome.to_do), 'reading')}"
            yield f"{check.title}, before {many} were taken again", outcome.before.figures
        elif check not in again:
            missed = [one for one in outcome.figures if one.verdict is Verdict.FAIL]
            kept = [one for one in missed if one.name.startswith(_ONLY_WORSE)]
            yield f"{check.title}, so far, measured in part", kept


def _telling(figures: Sequence[Figure]) -> list[Figure]:
    """Return the largest step between cabinets, and what else is not met."""
    steps = [one for one in figures if one.name.startswith(_STEP)]
    unmet = [one for one in figures if one.limit and one.verdict is not Verdict.PASS]
    return [*steps[:1], *(one for one in unmet if one not in steps)]


def _number(figure: Figure) -> str:
    return with_unit(figure.number, figure.unit)


def _not_known(context: Context, *methods: str) -> str:
    """Say whether it was never measured, in part, or is no longer good, and since what."""
    checks = [check for method in methods for check in context.by_method(method)]
    again = [check for check in context.in_doubt() if check in checks]
    since = dict.fromkeys(
        change.words for one in again for change, _ in holding_in_doubt(context.state, one.id)
    )
    if since:
        return f"{NOT_KNOWN}: it was measured, and is no longer good since {listed(list(since))}"
    if any(context.slots(check.id) for check in checks):
        return f"{NOT_KNOWN}: it was measured in part"
    return f"{NOT_KNOWN}: it was not measured"


def _darkest(figure: Figure) -> str:
    return f"the darkest point is {100 * figure.value:.0f} % as bright as the brightest"


def _agreed(figure: Figure) -> str:
    if figure.limit is None:
        return ""
    verdict = f", {VERDICT_WORDS[figure.verdict]}" if figure.verdict is not None else ""
    return f" (limit: {figure.limit}{verdict})"
