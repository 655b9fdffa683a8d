"""Every verdict with its figures and limits, as the open formats have them; the schema follows from it.

``text`` is a figure or a limit as the document prints it, in the job's units; numbers are whole, in
the units of the record.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import ConfigDict, StringConstraints

from commission_tui import __version__
from commission_tui.checks.model.types import Figure, Limit, Standing, Verdict
from commission_tui.handover.content.document_inputs import Context

Digest = Annotated[str, StringConstraints(pattern="^[0-9a-f]{64}$")]


@dataclass(frozen=True, slots=True)
class LimitText:
    """A limit, with who says so and what standing that has."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    low: float | None
    high: float | None
    unit: str
    text: str
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True)
class FigureText:
    """A figure, with the limit that it was held against."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    name: str
    value: float
    unit: str
    expanded: float | None
    text: str
    verdict: Verdict | None
    limit: LimitText | None


@dataclass(frozen=True, slots=True)
class CheckVerdict:
    """A check as it is judged; `so_far` while readings are missing."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    check: str
    title: str
    stage: str
    verdict: Verdict
    so_far: Verdict | None
    reason: str
    next_step: str
    where: tuple[str, ...]
    figures: tuple[FigureText, ...]


@dataclass(frozen=True, slots=True)
class JobHead:
    """Which job it is."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    id: str
    name: str
    client: str
    integrator: str
    reference: str | None


@dataclass(frozen=True, slots=True)
class Results:
    """What an export says besides the record."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    fingerprint: Digest
    job: JobHead
    program: str
    verdicts: tuple[CheckVerdict, ...]


def results(context: Context) -> Results:
    title = context.state.title
    return Results(
        context.fingerprint,
        JobHead(context.job.id, title.name, title.client, title.integrator, title.reference),
        __version__,
        tuple(check_verdicts(context)),
    )


def check_verdicts(context: Context) -> Iterator[CheckVerdict]:
    """Yield every check of a job with its verdict, stage by stage."""
    for stage in context.state.checklist.stages:
        for check in stage.checks:
            found = context.outcomes[check.id]
            yield CheckVerdict(
                *(check.id, check.title, stage.id, found.verdict, found.so_far),
                *(found.reason, found.next_step, found.where),
                tuple(_figure(context, figure) for figure in found.figures),
            )


def _figure(context: Context, figure: Figure) -> FigureText:
    printed = context.printing.figure(figure)
    limit = _limit(figure.limit, str(printed.limit)) if figure.limit else None
    return FigureText(
        *(figure.name, figure.value, figure.unit, figure.expanded),
        *(str(printed), figure.verdict, limit),
    )


def _limit(limit: Limit, text: str) -> LimitText:
    return LimitText(limit.low, limit.high, limit.unit, text, limit.source, limit.standing)
