"""What others vouch for: certificates and inspections as they were seen, and those that are kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.parts_and_people import CERTIFICATE, files
from commission_tui.handover.content.reading_tables import Keep, facts_of_check
from commission_tui.handover.content.sections import Chapter, Listing, Section, chapter


def certificates(context: Context) -> Chapter:
    """Return what was recorded of others' certificates: what it says, who wrote it down, when."""
    recorded = _papers(
        context,
        context.in_role("certificate"),
        lambda item: _is_written(item) and item.per == "wall" and not item.places,
    )
    return chapter(
        "Certificates",
        Section("certificates", recorded, none="None was recorded."),
        Section(
            "files",
            files(context, lambda what: what == CERTIFICATE),
            "Certificates kept in the record",
            none="None: the papers themselves are with whoever is named above.",
        ),
        lead="Certificates from third parties, as seen on site. This document records their work and "
        "approves none of it.",
    )


def papers_of_hazard(context: Context, hazard: str) -> Section:
    """Return what was written in the checks of a hazard that are others' papers or have a date."""
    checklist = context.state.checklist
    about = [
        check
        for check in checklist
        if hazard in (checklist.stage_of(check.id).hazard, *check.rests_on)
        and (check.role == "certificate" or any(item.kind == "date" for item in check.fields))
    ]
    return Section(
        "papers",
        _papers(context, about, _is_written),
        "Certificates and inspections",
        none="Not known: none was recorded.",
    )


def _papers(context: Context, checks: Iterable[CheckDefinition], keep: Keep) -> Listing:
    return Listing(
        ("Subject", "Content", "Recorded by", "Verdict"), [*_paper_rows(context, checks, keep)]
    )


def _paper_rows(
    context: Context, checks: Iterable[CheckDefinition], keep: Keep
) -> Iterator[Sequence[str]]:
    for check in checks:
        written = facts_of_check(context, check, keep)
        standing = [x for x in context.standing(check.id) if isinstance(x.body.value, str)]
        if written and standing:
            last = max(standing, key=lambda logged: logged.at)
            yield (
                *(check.title, "; ".join(map(str, written))),
                *(f"{last.by}, {context.printing.day(last.at)}", str(context.verdict(check))),
            )


def _is_written(item: FieldDefinition) -> bool:
    return item.kind in {"text", "date"}
