"""Results by stage: figures against their limits, what was read with what, what was corrected."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple, dataclass, replace
from functools import partial
from itertools import groupby

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Figure, Limit, Outcome, Verdict
from commission_tui.checks.model.vocabulary import HAZARDS
from commission_tui.figures import with_unit
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.sections import (
    Chapter,
    DrawingRow,
    Fact,
    Listing,
    Section,
    chapter,
)
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.state.agreed_checks import (
    checks_not_agreed,
    unsettled_checks,
)

_LEADS_ON = frozenset({"of", "on", "at", "the", "for", "in", "from", "to", "a"})
"""Words that a list does not begin behind."""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure beside its limit, or a limit that no figure was held against yet."""

    name: str
    value: str
    expanded: str
    limit: str
    source: str
    verdict: str


@dataclass(frozen=True, slots=True)
class FigureGroup:
    """Figures beside each other with the same limit."""

    limit: str
    source: str
    lead: str
    items: Sequence[FigureRow]


@dataclass(frozen=True, slots=True)
class CheckResult:
    """A check with all that it found."""

    id: str
    title: str
    verdict: str
    reason: str
    record_only: str
    """That no limit was agreed, where none was."""
    figures: Listing
    """Those that are held against a limit."""
    groups: Sequence[FigureGroup]
    """The same in few lines."""
    plain_figures: Sequence[FigureRow]
    limits: Sequence[FigureRow]
    """Those that no figure was held against yet."""
    advice: Sequence[Fact]
    """Why it matters, what to do, what it was read with."""
    remarks: Sequence[Fact]
    """What was corrected, and what was noted."""
    caution: str


def results(context: Context, charts: Sequence[DrawingRow], maps: Sequence[DrawingRow]) -> Chapter:
    """Return the results as they are read: what is not met, what is not done, then the rest.

    What is not met or not decided comes whole, with its figures, limits and what to do; what is met
    in a few lines a check, stage by stage; then what does not apply.
    """
    opened = context.with_verdict(Verdict.OPEN)
    partly = [check for check in opened if context.printed[check.id].before is not None]
    undecided = [check for check in opened if check not in partly]
    begun = [_check(context, check) for check in undecided if _begun(context, check)]
    still = [check for check in undecided if not _begun(context, check)]
    undone, drawn = "Not done, or to be done again", "Charts and maps"
    return chapter(
        "Results",
        Section(
            "checks",
            [_check(context, check) for check in context.unmet()],
            "Not met, and not decided",
            none="None.",
        ),
        Section("checks", begun, undone),
        Section("reasons", _reasons(context, still), "" if begun else undone),
        Section("checks", [_check(context, c) for c in partly], "Met before, read again in part"),
        Section("drawings-abreast", charts, drawn),
        Section("drawings-small", maps, "" if charts else drawn),
        *_met(context),
        Section(
            "reasons",
            _reasons(context, context.with_verdict(Verdict.NOT_APPLICABLE)),
            "Does not apply",
        ),
        Section(
            "reasons",
            _not_settled(context),
            "Not settled",
            lead="Agreed, and not done: nobody has said whether there is what they look at.",
        ),
        Section(
            "not-agreed",
            _not_agreed(context),
            "Not agreed for this job",
            lead="These checks were left out when the scope was agreed. Nothing in this document speaks "
            "of them.",
        ),
        lead="First what is not met or not decided, then what is met, stage by stage. A verdict is "
        "marginal when the limit lies within the expanded uncertainty (95 %) of the reading. What the "
        "readings of one instrument share, its calibration, is not part of a ratio or a difference of "
        "them. Every single reading is in the appendix.",
    )


def _met(context: Context) -> Iterator[Section]:
    """Yield what is met in each stage, with one caution for all of it."""
    for stage in context.state.checklist.stages:
        met = [check for check in stage.checks if context.verdict(check) is Verdict.PASS]
        title = f"Met: {stage.title}"
        caution = HAZARDS.get(stage.hazard or "", "") if met else ""
        yield Section("stage-caution", caution, title)
        yield Section("met", [_check(context, c) for c in met], "" if caution else title)


def _reasons(context: Context, checks: Iterable[CheckDefinition]) -> Listing:
    """Return the checks of which there is no more to say than why."""
    return Listing(
        ("Check", "Why", "Stage"),
        [
            (
                *(check.title, as_sentence(context.printed[check.id].reason)),
                context.state.checklist.stage_of(check.id).title,
            )
            for check in checks
        ],
    )


def _not_settled(context: Context) -> Listing:
    """Return the agreed checks that wait for a feature to be settled, in no count until then."""
    whole = context.state.whole_checklist
    return Listing(
        ("Check", "Why", "Stage"),
        [
            (one.check.title, as_sentence(one.why), whole.stage_of(one.check.id).title)
            for one in unsettled_checks(context.state)
        ],
    )


def _not_agreed(context: Context) -> Listing:
    """Return the checks outside the scope that was agreed, stage by stage."""
    outside = set(checks_not_agreed(context.state))
    left_out = {
        stage.title: [check.title for check in stage.checks if check.id in outside]
        for stage in context.state.whole_checklist.stages
    }
    return Listing(
        ("Stage", "Checks"),
        [(stage, "; ".join(there)) for stage, there in left_out.items() if there],
    )


def _begun(context: Context, check: CheckDefinition) -> bool:
    """Whether something of a check that is open is recorded already."""
    noted = any(note.body.check == check.id for note in context.state.notes)
    return noted or bool(context.slots(check.id))


def stage_counts(context: Context) -> Listing:
    columns = {
        Verdict.PASS: "Met",
        Verdict.FAIL: "Not met",
        Verdict.MARGINAL: "Marginal",
        Verdict.OPEN: "To do",
        Verdict.NOT_APPLICABLE: "Does not apply",
    }
    rows = []
    for stage in context.state.checklist.stages:
        count = Counter(context.verdict(check) for check in stage.checks)
        rows.append((stage.title, *(str(count[verdict] or "–") for verdict in columns)))
    return Listing(("Checks by stage", *columns.values()), rows)


def _check(context: Context, check: CheckDefinition) -> CheckResult:
    outcome = context.printed[check.id]
    wrong = outcome.verdict in {Verdict.FAIL, Verdict.MARGINAL}
    standing = list(context.standing(check.id))
    judged = [_figure(figure) for figure in outcome.figures if figure.limit]
    so_far = f" (So far: {outcome.so_far}.)" if outcome.so_far else ""
    return CheckResult(
        id=check.id,
        title=check.title,
        verdict=str(outcome.verdict),
        reason=as_sentence(outcome.reason) + so_far,
        record_only="Recorded only: no limit was agreed." if check.record_only else "",
        figures=Listing(
            ("Figure", "Value", "± (95 %)", "Limit", "Who says so", "Verdict"),
            [astuple(row) for row in judged],
        ),
        groups=_groups(judged),
        plain_figures=[_figure(f) for f in outcome.figures if not f.limit],
        limits=_unjudged_limits(context, check, outcome),
        advice=[
            *([Fact("Why it matters", check.why)] if wrong and check.why else []),
            *(
                [Fact("What to do", as_sentence(outcome.next_step))]
                if wrong and outcome.next_step
                else []
            ),
            *(Fact("Read with", f"{line}.") for line in _instruments(context, standing)),
        ],
        remarks=[
            *(Fact("Corrected", line) for line in _corrected(context, check, standing)),
            *(
                Fact("Note", f"{note.body.text} ({note.by}, {context.printing.moment(note.at)})")
                for note in context.state.notes
                if note.body.check == check.id
            ),
        ],
        caution=HAZARDS.get(context.state.checklist.stage_of(check.id).hazard or "", ""),
    )


def _groups(figures: Iterable[FigureRow]) -> list[FigureGroup]:
    """Return figures that have a limit, those beside each other with the same one together."""
    return [
        FigureGroup(limit, source, *_with_lead(list(items)))
        for (limit, source), items in groupby(figures, key=lambda f: (f.limit, f.source))
    ]


def _with_lead(items: list[FigureRow]) -> tuple[str, list[FigureRow]]:
    """Take the words that all names begin with out of them: ``errors an hour on: P1, P2``."""
    names = [item.name.split() for item in items]
    same = 0
    while all(len(name) > same + 1 and name[same] == names[0][same] for name in names):
        same += 1
    # A place that is a number alone reads as a figure, so it keeps the word before it.
    same -= any(name[same][:1].isdigit() for name in names)
    if len(items) == 1 or same < 2:
        return "", items
    last = _same_end([name[same:] for name in names])
    lead = names[0][:same]
    while not last and len(lead) > 1 and lead[-1] in _LEADS_ON:
        lead.pop()
    words = " ".join(lead)
    if last:
        words = f"{words} … {' '.join(names[0][-last:])}"
    rest = [" ".join(name[same : len(name) - last]).strip(",") for name in names]
    return words.rstrip(","), [
        replace(item, name=name) for item, name in zip(items, rest, strict=True)
    ]


def _same_end(names: list[list[str]]) -> int:
    """Return how many words all names end in, of which none is left without a word of its own."""
    same = 0
    while all(len(name) > same + 1 and name[-1 - same] == names[0][-1 - same] for name in names):
        same += 1
    return same


def _figure(figure: Figure) -> FigureRow:
    limit = figure.limit
    return FigureRow(
        name=figure.name,
        value=with_unit(figure.number, figure.unit),
        expanded=with_unit(figure.spread_text, figure.unit) if figure.spread_text else "",
        limit="" if limit is None else str(limit),
        source="" if limit is None else _source(limit),
        verdict=str(figure.verdict) if figure.verdict else "",
    )


def _unjudged_limits(context: Context, check: CheckDefinition, outcome: Outcome) -> list[FigureRow]:
    """Return the limits that no figure was held against yet, so that every limit is on paper."""
    judged = {figure.limit.name for figure in outcome.figures if figure.limit}
    printing = context.printing
    return [
        FigureRow(printing.words(limit.label), "", "", printing.limit(limit), _source(limit), "")
        for name, limit in limits_of(context.state, check.id).items()
        if name not in judged and outcome.verdict is not Verdict.NOT_APPLICABLE
    ]


def _source(limit: Limit) -> str:
    """Name who says so and what standing that has, each once."""
    return limit.source if limit.names_standing else f"{limit.source} ({limit.standing})"


def _instruments(context: Context, standing: Iterable[Logged[e.ReadingTaken]]) -> list[str]:
    used: dict[tuple[str, str], tuple[str, Logged[e.Instrument] | None]] = {}
    seen: dict[str, None] = {}
    for logged in standing:
        key = logged.body.instrument
        if key:
            meter = context.state.meter_of(logged)
            one = key, meter.id if meter else ""
            used[one] = max(used.get(one, ("",))[0], logged.at), meter
        if logged.body.photo:
            seen[logged.body.photo] = None
    kept = {photo.body.sha256: photo.id for photo in reversed(context.state.photos)}
    numbers = context.photo_numbers
    return [
        *(_instrument_line(context, one[0], *used[one]) for one in sorted(used)),
        *(
            "from a photograph, "
            + (f"photo {numbers[kept[digest]]}" if digest in kept else f"SHA-256 {digest}")
            for digest in seen
        ),
    ]


def _instrument_line(
    context: Context, key: str, last_at: str, known: Logged[e.Instrument] | None
) -> str:
    if known is None:
        return f"{key}: no longer in the record"
    due = "no calibration date recorded"
    if day := known.body.calibration_due:
        due = f"calibration due {context.printing.date(day)}"
    if known.body.is_overdue(context.state.day(last_at)):
        due += ", OUT OF DATE when read"
    return f"{known.body.name}, serial {known.body.serial}, {due}"


def _corrected(
    context: Context, check: CheckDefinition, standing: Iterable[Logged[e.ReadingTaken]]
) -> list[str]:
    """Name every value that stands in place of another, with the reason."""
    lines = []
    for logged in standing:
        if logged.corrected:
            first, *later = context.state.history(logged.id)
            was = first.body.value if isinstance(first.body, e.ReadingTaken) else ""
            last = later[-1].body
            reason = last.reason if isinstance(last, e.Correction) else ""
            of = check.field(logged.body.field)
            value = partial(context.printing.value, unit=logged.body.unit, of=of)
            lines.append(
                f"{context.printing.words(of.label)}, {logged.body.place}: "
                f"{value(logged.body.value)} in place of {value(was)}: {reason}"
            )
    return lines
