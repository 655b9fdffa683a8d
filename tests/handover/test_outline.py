"""How the handover stands is counted from the state, and is what the document then lists."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.handover.document import Document
from commission_tui.handover.outline import outline
from commission_tui.logbook.job import OpenJob
from tests.handover.filled_job import filled
from tests.handover.helping import build_document, make_job


def listed(document: Document) -> dict[str, int]:
    """Count what stands in each part of a document."""
    found = document.results
    shown = [*found.unmet, *found.begun, *found.open, *found.not_applicable]
    return {
        "exceptions": len(document.exceptions),
        "open_items": len(document.open_items),
        "contradictions": len(document.contradictions),
        "results": len(shown) + sum(len(stage.checks) for stage in found.stages),
        "instruments": len(document.instruments.rows),
        "limits": len(document.limits.rows),
        "settings": len(document.settings.left.rows) + len(document.settings.changes.rows),
        "punch_list": len(document.punch_list),
        "corrections": len(document.corrections.rows),
        "parts": len(document.parts.fitted.rows),
        "files": len(document.files.rows),
        "revisits": len(document.revisits),
        "notes": len(document.notes),
        "readings": sum(len(row.cells) for table in document.readings for row in table.rows),
        "photos": len(document.photos),
    }


def same(job: OpenJob) -> None:
    stands, document = outline(job), build_document(job)
    assert stands.counts == listed(document)
    assert stands.state == document.cover.state
    assert stands.fingerprint == document.fingerprint
    assert stands.signatures == document.signatures


def test_it_counts_what_the_document_lists(tmp_path: Path) -> None:
    same(filled(tmp_path))


def test_it_counts_an_empty_job(tmp_path: Path) -> None:
    same(make_job(tmp_path))


def test_it_counts_the_demo_job(demo_job: OpenJob) -> None:
    same(demo_job)


def test_nothing_of_the_document_is_built_for_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def built(*_: object) -> None:
        raise AssertionError("the document was built")

    job = filled(tmp_path)
    for part in ("results.results", "reading_tables.readings", "limits_and_settings.limits"):
        monkeypatch.setattr(f"commission_tui.handover.content.{part}", built)
    assert outline(job).counts["readings"] > 0
