"""A signature drawn on the screen, printed in the document as the strokes it was drawn with."""

from __future__ import annotations

from pathlib import Path

from commission_tui.handover import page_pictures, record_fingerprint
from commission_tui.handover.content import build_document
from commission_tui.logbook import entries as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.service import body
from tests.handover.helping import make_job

STROKES = (((100, 100), (5000, 9000)), ((9900, 100),))


def signed(folder: Path, strokes: object) -> OpenJob:
    job = make_job(folder)
    job.record(
        body(
            e.Signature,
            role="client",
            name="Marit Hollis",
            organisation="Fellmoor Town Council",
            statement="Taken as it is described.",
            fingerprint=record_fingerprint(job),
            exceptions=0,
            strokes=strokes,
        )
    )
    return job


def test_strokes_are_drawn_on_the_page_of_signatures_and_nowhere_else(tmp_path: Path) -> None:
    drawn, typed = signed(tmp_path / "a", STROKES), signed(tmp_path / "b", None)
    block = next(b for b in build_document(drawn)["signatures"] if b["signed"])
    assert block["of"] == "Fellmoor Town Council"
    pages = list(zip(page_pictures(drawn), page_pictures(typed), strict=True))
    assert sum(one != other for one, other in pages) == 1
