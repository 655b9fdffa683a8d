"""Every verdict with its figures and limits, as the open formats have them, and the schema of both.

The published JSON Schema (2020-12) of the record and of the export in JSON is made from the models here.
``text`` is a figure or a limit as the document prints it, in the job's units; numbers are whole, in
the units of the record.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import StringConstraints, TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from commission_tui import __version__
from commission_tui.checks.model.types import Figure, Limit, Standing, Verdict
from commission_tui.handover.content.document_inputs import Context
from commission_tui.logbook.entries.models import Entry
from commission_tui.logbook.state.agreed_checks import NOT_SETTLED, unsettled_checks

Digest = Annotated[str, StringConstraints(pattern="^[0-9a-f]{64}$")]


@dataclass(frozen=True, slots=True)
class LimitText:
    """A limit, with who says so and what standing that has."""

    low: float | None
    high: float | None
    unit: str
    text: str
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True)
class FigureText:
    """A figure, with the limit that it was held against."""

    name: str
    value: float
    unit: str
    expanded: float | None
    text: str
    verdict: Verdict | None
    limit: LimitText | None


@dataclass(frozen=True, slots=True)
class CheckVerdict:
    """A check as it is judged; `so_far` while readings are missing.

    An agreed check that waits until a feature is settled has no verdict: it is not settled.
    """

    check: str
    title: str
    stage: str
    verdict: Verdict | Literal["not settled"]
    so_far: Verdict | None
    reason: str
    next_step: str
    where: tuple[str, ...]
    figures: tuple[FigureText, ...]


@dataclass(frozen=True, slots=True)
class JobHead:
    """Which job it is."""

    id: str
    name: str
    client: str
    integrator: str
    reference: str | None


@dataclass(frozen=True, slots=True)
class Results:
    """What an export says besides the record."""

    fingerprint: Digest
    job: JobHead
    program: str
    verdicts: tuple[CheckVerdict, ...]


@dataclass(frozen=True, slots=True)
class PhotoNamed:
    """A photo that an entry names."""

    media_type: str
    sha256: Digest
    size: int


@dataclass(frozen=True, slots=True)
class Record:
    """Every entry as it was written."""

    entries: list[Entry]
    photos: list[PhotoNamed]
    record: Literal[1]


@dataclass(frozen=True, slots=True)
class Export(Results):
    """A record, its fingerprint, and the verdicts that follow from it."""

    record: Record


def results(context: Context) -> Results:
    title = context.state.title
    return Results(
        context.fingerprint,
        JobHead(context.job.id, title.name, title.client, title.integrator, title.reference),
        __version__,
        tuple(check_verdicts(context)),
    )


def check_verdicts(context: Context) -> Iterator[CheckVerdict]:
    """Yield every check of a job with its verdict, stage by stage, then those that are not settled."""
    for stage in context.state.checklist.stages:
        for check in stage.checks:
            found = context.outcomes[check.id]
            yield CheckVerdict(
                *(check.id, check.title, stage.id, found.verdict, found.so_far),
                *(found.reason, found.next_step, found.where),
                tuple(_figure(context, figure) for figure in found.figures),
            )
    whole = context.state.whole_checklist
    for one in unsettled_checks(context.state):
        check, stage = one.check, whole.stage_of(one.check.id)
        yield CheckVerdict(check.id, check.title, stage.id, NOT_SETTLED, None, one.why, "", (), ())


def _figure(context: Context, figure: Figure) -> FigureText:
    printed = context.printing.figure(figure)
    limit = _limit(figure.limit, str(printed.limit)) if figure.limit else None
    return FigureText(
        *(figure.name, figure.value, figure.unit, figure.expanded),
        *(str(printed), figure.verdict, limit),
    )


def _limit(limit: Limit, text: str) -> LimitText:
    return LimitText(limit.low, limit.high, limit.unit, text, limit.source, limit.standing)


def export_schema() -> bytes:
    """Return the schema; it is the same for every job."""
    text = json.dumps(schema(), sort_keys=True, ensure_ascii=False, indent=1)
    return f"{text}\n".encode()


def schema() -> dict[str, Any]:
    """Return the schema as data: a record, or an export that has one under `record`."""
    made = TypeAdapter(Record | Export).json_schema()
    for part in made["$defs"].values():
        if part["type"] == "object":
            part["additionalProperties"] = False
    return {
        "$schema": GenerateJsonSchema.schema_dialect,
        "title": "Record of the commissioning of an LED video wall",
        "description": (
            "A record: every entry as it was written. Or an export: a record, its fingerprint, and "
            "the verdicts that follow from it. A key without a value is left out of an entry."
        ),
        **made,
    }
