"""What the client reads on the first page, in plain words: what, how bright, how even, whom to ring."""

from __future__ import annotations

from commission_tui.checks.model.types import Figure, Outcome, Verdict
from commission_tui.figures import with_unit
from commission_tui.handover.content.document_inputs import NOT_KNOWN, VERDICT_WORDS, Context
from commission_tui.handover.content.parts_and_people import people_to_call
from commission_tui.handover.content.printed_rows import Fact
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.state.agreed_checks import checks_not_agreed
from commission_tui.text import counted

_BRIGHT, _MEAN, _EVEN = "nine_point_brightness", "mean", "darkest over brightest point"
_RUNG = 2


def client_facts(context: Context) -> list[Fact]:
    """Return the lines of the first page; what nobody stated or measured is not known."""
    wall, printing = context.wall, context.printing
    size = printing.size(wall.width_mm, wall.height_mm)
    lines = (
        (
            "Handed over",
            f"{counted(len(wall.cabinets), 'cabinet')}, {size}, "
            f"{wall.width_px} × {wall.height_px} pixels",
        ),
        ("How bright", _bright(context)),
        ("How even", _even(context)),
        ("Faults", _faults(context)),
        ("Left out", _left_out(context)),
        ("Warranty", _warranty(context)),
        ("Ring", "; ".join(people_to_call(context)[:_RUNG]) or NOT_KNOWN),
    )
    return [Fact(*one) for one in lines]


def _judged(context: Context, name: str) -> list[tuple[str, Outcome, Figure]]:
    found = []
    for check in context.by_method(_BRIGHT):
        outcome = context.printed[check.id]
        figure = next((one for one in outcome.figures if one.name == name), None)
        if figure is not None and outcome.verdict is not Verdict.OPEN:
            found.append((check.title, outcome, figure))
    return found


def _bright(context: Context) -> str:
    """Say the mean on white, and what was agreed for it."""
    return (
        " ".join(
            as_sentence(f"{title}: {with_unit(one.number, one.unit)}{_agreed(one)}")
            for title, _, one in _judged(context, _MEAN)
        )
        or f"{NOT_KNOWN}: it was not measured"
    )


def _even(context: Context) -> str:
    """Say how bright the darkest of the points is beside the brightest."""
    return (
        " ".join(
            as_sentence(
                f"{title}: the darkest point is {100 * one.value:.0f} % as bright as the brightest"
                f"{_agreed(one)}"
            )
            for title, _, one in _judged(context, _EVEN)
        )
        or f"{NOT_KNOWN}: it was not measured"
    )


def _agreed(figure: Figure) -> str:
    if figure.limit is None:
        return ""
    verdict = f", {VERDICT_WORDS[figure.verdict]}" if figure.verdict is not None else ""
    return f" (agreed: {figure.limit}{verdict})"


def _faults(context: Context) -> str:
    if not context.faults:
        return "None was logged"
    gone = sum(fault.state == "verified" for fault in context.faults)
    left = len(context.faults) - gone
    return f"{len(context.faults)} found; {gone} put right and looked at again, {left} still there"


def _left_out(context: Context) -> str:
    """Say what was not agreed, not done, or cannot be; each is listed under Results."""
    verdicts = [context.verdict(check) for check in context.state.checklist]
    parts = [
        f"{counted(len(checks_not_agreed(context.state)), 'check')} not agreed for this job",
        f"{verdicts.count(Verdict.OPEN)} not done",
        f"{verdicts.count(Verdict.NOT_APPLICABLE)} that do not apply",
    ]
    return ", ".join(parts)


def _warranty(context: Context) -> str:
    written = [
        f"{one.label}: {one.value}"
        for one in facts_of_role(
            context, "warranty", keep=lambda item: item.kind in {"date", "text"}
        )
    ]
    return "; ".join(written) or NOT_KNOWN
