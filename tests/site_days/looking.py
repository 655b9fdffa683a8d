"""What must hold after days of work: handed over, verified, read back, and whole."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.verify.document_import import import_document
from commission_tui.handover.verify.verification import verify_file
from commission_tui.logbook.entries.chain import chain_breaks, with_digests
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.fold import fold
from commission_tui.logbook.store.database_check import verify_database
from tests.handover.helping import export
from tests.site_days.days import Site


def look(site: Site, folder: Path) -> int:
    """Hold the job to everything that is promised of it; return how many entries it has."""
    job = site.book.open(site.job, "Ines Okafor")
    state = job.state
    entries = sorted(state.entries.values(), key=lambda entry: entry.id)
    assert fold(entries) == state
    assert chain_breaks(with_digests(entries)) == ()
    for person in site.people:
        person.refresh()
        assert person.state.entries == state.entries
        assert person.outcomes() == job.outcomes()
    assert verify_database(site.book.path) == []
    with contextlib.closing(sqlite3.connect(site.book.path)) as connection, connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()
    _handed_over(site, folder)
    return len(entries)


def _handed_over(site: Site, folder: Path) -> None:
    job = site.book.open(site.job, "Ines Okafor")
    paths = export(job, folder / "out", ("pdf", "json", "record"))
    mark = record_fingerprint(job)
    for path in paths:
        checked = verify_file(path, database=site.book.path)
        assert checked.holds, checked.first_failure
        book = Logbook(folder / f"{path.suffix[1:]}-{path.stem[-6:]}.db")
        try:
            came = import_document(book, path)
            again = book.open(came.job, "B. Reader")
            assert came.added == len(job.state.entries)
            assert record_fingerprint(again) == mark
            assert again.outcomes() == job.outcomes()
        finally:
            book.close()
