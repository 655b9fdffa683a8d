"""The demo job, walked from first power-up to signatures through the same calls as any other."""

from __future__ import annotations

import hashlib
import re
import tempfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from importlib import resources
from pathlib import Path

from commission_tui.demo import cast
from commission_tui.demo.clock import ScriptClock, demo_id, same_ids
from commission_tui.demo.story import Player, chapters
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document_number import document_identity
from commission_tui.handover.export_process import make_files
from commission_tui.handover.progress_steps import OnStep
from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.typeset.typst_document import export_pdf
from commission_tui.handover.writing import file_stem, write_files
from commission_tui.logbook.actions.signature_entry import Consent, signature_body
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.acceptance_state import Item
from commission_tui.logbook.logbook import Logbook, OpenJob, body

_LATER_VISIT = "90-revisit"
_FORMATS = ("pdf", "sheet", "card", "csv", "record", "png")
_SHOWN_PAGES = (1, 2, 3, 4, 5)
_NOT_SHOWN = re.compile(
    r"-(corrections|faults|instruments)\.csv$"
    rf"|-page-(?!({'|'.join(f'{page:02}' for page in _SHOWN_PAGES)})\.)"
)
"""Of what is written, what nobody opens by itself: the document has it too."""


@dataclass(frozen=True, slots=True)
class DemoResult:
    """What an unattended walk leaves."""

    files: list[Path]
    verdicts: dict[str, str]


def make_demo(
    logbook: Logbook, on_step: OnStep, at_handover: Callable[[OpenJob], None] | None = None
) -> str:
    """Put the demo job into a logbook, unless it is there; return its id.

    `at_handover` is called with the job as it stands when both sides have signed, a month before
    the visit that follows.
    """
    job_id = demo_id()
    if job_id in {known for known, _ in logbook.store.jobs()}:
        return job_id
    clock = ScriptClock()
    with closing(Logbook(logbook.path, clock, same_ids())) as scripted:
        return _walk(scripted, clock, on_step, at_handover)


def walk_unattended(folder: Path, on_step: OnStep) -> DemoResult:
    """Walk the demo in a database of its own and write its handover into a folder.

    Written is what a reader opens: the document as it stood when it was signed, its first pages as
    pictures, one for each reader, the content specification, the operator's card, readings and verdicts, the record; and
    the document of the visit a month later.
    """
    write_files(folder, {})  # before a long story is told in vain
    files: list[Path] = []
    verdicts: dict[str, str] = {}

    def hand_over(job: OpenJob) -> None:
        made = make_files(Context(job), _FORMATS, on_step)
        shown = {name: content for name, content in made.items() if not _NOT_SHOWN.search(name)}
        files.extend(write_files(folder, shown))
        document = made[f"{file_stem(job.state.title.name)}.pdf"]
        now = record_fingerprint(job)
        job.record(
            body(
                e.DocumentIssued,
                number=document_identity(job.state, now)[0],
                fingerprint=now,
                sha256=hashlib.sha256(document).hexdigest(),
            )
        )
        verdicts.update({check: str(result.verdict) for check, result in job.outcomes().items()})

    with (
        tempfile.TemporaryDirectory() as scratch,
        closing(Logbook(Path(scratch) / "demo.db")) as book,
    ):
        job = book.open(make_demo(book, on_step, hand_over), cast.LEAD)
        name = f"{file_stem(job.state.title.name)}-after-30-days.pdf"
        files += write_files(folder, {name: export_pdf(Context(job))})
    return DemoResult(files, verdicts)


def _walk(
    book: Logbook,
    clock: ScriptClock,
    on_step: OnStep,
    at_handover: Callable[[OpenJob], None] | None,
) -> str:
    """Walk the evening at Fellmoor Town Hall, the next morning, and the visit a month later."""
    job = book.create(
        by=cast.LEAD,
        name=cast.NAME,
        client=cast.CLIENT,
        integrator=cast.INTEGRATOR,
        reference=cast.REFERENCE,
        wall_text=(resources.files("commission_tui.demo") / "fellmoor.toml").read_text("utf-8"),
    )
    player = Player(job, clock)
    for name, steps in chapters():
        if name == _LATER_VISIT:
            _sign(job, clock)
            if at_handover is not None:
                at_handover(job)
        on_step(f"{name}: {len(job.state.entries)} entries so far")
        for step in steps:
            player.play(step)
    return job.id


def _sign(job: OpenJob, clock: ScriptClock) -> None:
    """Let the integrator sign, then the client, who takes each exception in words."""
    job.by = cast.LEAD
    for minutes, role, name, organisation, statement in cast.SIGNERS:
        clock.pass_minutes(minutes)
        left = job.acceptance().left if role == "client" else ()
        job.record(
            signature_body(
                job,
                role=role,
                name=name,
                organisation=organisation,
                statement=statement,
                taken={item.key: _consent(item) for item in left},
            )
        )


def _consent(item: Item) -> Consent:
    """Return who puts an exception right and until when, as it was agreed with the client."""
    kind = next((kind for kind in cast.CONSENTS if kind in item.what), "")
    owner, due, words = cast.CONSENTS.get(kind, cast.USUAL_CONSENT)
    return Consent(owner, date.fromisoformat(due), words)
