"""What the client reads on the first page, in plain words: what, how bright, how even, whom to ring."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.checks.model.types import Figure, Verdict
from commission_tui.figures import with_unit
from commission_tui.handover.content.document_inputs import NOT_KNOWN, VERDICT_WORDS, Context
from commission_tui.handover.content.parts_and_people import people_to_call
from commission_tui.handover.content.printed_rows import Fact
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.state.agreed_checks import checks_not_agreed
from commission_tui.text import counted

_MEAN, _EVEN = "mean", "darkest over brightest point"
_RUNG = 2


def client_facts(context: Context) -> list[Fact]:
    """Return the lines of the first page; what nobody stated or measured is not known."""
    wall = context.wall
    size = context.printing.size(wall.width_mm, wall.height_mm)
    not_agreed = (
        f"{counted(len(checks_not_agreed(context.state)), 'check')} not agreed for this job"
    )
    warranty = facts_of_role(context, "warranty", keep=lambda item: item.kind in {"date", "text"})
    return [
        Fact(
            "Handed over",
            f"{counted(len(wall.cabinets), 'cabinet')}, {size}, "
            f"{wall.width_px} × {wall.height_px} pixels",
        ),
        Fact("How bright", _measured(context, _MEAN, lambda x: with_unit(x.number, x.unit))),
        Fact("How even", _measured(context, _EVEN, _darkest)),
        Fact("Faults", _faults(context)),
        Fact(
            "Left out",
            f"{not_agreed}, {context.undone_words}, "
            f"{context.count(Verdict.NOT_APPLICABLE)} that do not apply",
        ),
        Fact("Warranty", "; ".join(map(str, warranty)) or NOT_KNOWN),
        Fact("Ring", "; ".join(people_to_call(context)[:_RUNG]) or NOT_KNOWN),
    ]


def _measured(context: Context, name: str, words: Callable[[Figure], str]) -> str:
    """Say a figure of the points on white in each check, and what was agreed for it."""
    return (
        " ".join(
            as_sentence(f"{check.title}: {words(figure)}{_agreed(figure)}")
            for check in context.by_method("nine_point_brightness")
            if (outcome := context.printed[check.id]).verdict is not Verdict.OPEN
            for figure in [one for one in outcome.figures if one.name == name][:1]
        )
        or f"{NOT_KNOWN}: it was not measured"
    )


def house_level(context: Context) -> Figure | None:
    """Return the mean of the nine points at the level that is agreed for the house, as it was judged."""
    means = (
        figure
        for check in context.by_method("nine_point_brightness")
        if any(limit.from_target == "house_level_cd_m2" for limit in check.limits)
        and context.verdict(check) is not Verdict.OPEN
        for figure in context.printed[check.id].figures
        if figure.name == _MEAN
    )
    return next(means, None)


def _darkest(figure: Figure) -> str:
    return f"the darkest point is {100 * figure.value:.0f} % as bright as the brightest"


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
