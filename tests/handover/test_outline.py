"""How the handover stands is counted from the state, and is what the document then lists."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from commission_tui.handover.outline import outline
from commission_tui.logbook.actions.taking_back import undo
from commission_tui.logbook.job import OpenJob
from tests.handover.filled_job import filled
from tests.handover.helping import (
    build_document,
    document_data,
    every_check,
    make_job,
    rows_of,
    under,
)


def listed(document: dict[str, Any]) -> dict[str, int]:
    """Count what stands in each part of a document."""

    def rows(heading: str, form: str = "") -> int:
        return len(rows_of(under(document, heading, form)))

    short = ("Not done, or to be done again", "Does not apply")
    return {
        "exceptions": len(document["exceptions"]["body"]["rows"]),
        "open_items": len(under(document, "The faults that are still there")),
        "contradictions": rows("Documents compared", "contradictions"),
        "results": len(every_check(document)) + sum(rows(one, "reasons") for one in short),
        "instruments": rows("Instruments and method"),
        "limits": rows("Limits agreed"),
        "settings": rows("Settings as left", "settings") + rows("Changes"),
        "punch_list": len(under(document, "Punch list and its history")),
        "corrections": rows("Corrections"),
        "parts": rows("What is fitted where"),
        "files": rows("Certificates kept in the record") + rows("Files kept in the record"),
        "revisits": sum(one["title"].startswith("Visit: ") for one in document["chapters"]),
        "notes": rows("Notes"),
        "readings": sum(
            len(row["cells"])
            for table in under(document, "Appendix: every reading")
            for row in table["rows"]
        ),
        "photos": len(document["photos"]),
    }


def same(job: OpenJob) -> None:
    stands, document = outline(job), build_document(job)
    assert stands.counts == listed(document_data(job))
    assert stands.state == document.cover.state
    assert stands.fingerprint == document.fingerprint
    assert stands.signatures == document.signatures


def test_it_counts_what_the_document_lists(tmp_path: Path) -> None:
    same(filled(tmp_path))


def test_it_counts_a_table_that_was_taken_back_once(tmp_path: Path) -> None:
    job = filled(tmp_path)
    before = outline(job).counts["corrections"]
    job.record_all([
        job.reading("cabinet-luminance", "luminance_cd_m2", f"R1C{column}", 640.0, confirmed=True)
        for column in range(1, 8)
    ])  # fmt: skip
    undo(job)
    assert outline(job).counts["corrections"] == before + 1
    same(job)


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
