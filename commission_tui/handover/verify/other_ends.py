"""A logbook held against every copy, document and record of its jobs that can be found.

Whoever computes a history anew in one file cannot reach those that were handed on: each holds the end
that its job's chain had, and that end must still be in the logbook.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from commission_tui.errors import CommissionError
from commission_tui.handover.verify.parse_document import read_document
from commission_tui.handover.verify.verification import Verification
from commission_tui.logbook.entries import chain
from commission_tui.logbook.store.backup import rolling_copies
from commission_tui.logbook.store.connections import open_to_read
from commission_tui.logbook.store.database_check import is_database
from commission_tui.logbook.store.ends_left import RESTORED, ends_kept
from commission_tui.logbook.store.sqlite_errors import as_store_errors, kept_json
from commission_tui.text import counted

_TAKEN = re.compile(r"(\d{4}-\d\d-\d\dT\d\d)(\d\d)(\d\d)Z\.db")


def compare_ends(found: Verification, database: Path, given: Sequence[Path] = ()) -> None:
    """Compare a logbook with what was given, its rolling copies, and where its ends were left.

    Raises
    ------
    StoreError, DocumentError
        When what was given cannot be read.
    """
    ours = _digests(database)
    elsewhere = ends_kept(database)
    restored = max((one.at for one in elsewhere if one.place.startswith(RESTORED)), default="")
    rolling = [path for path in rolling_copies(database) if _taken(path) > restored]
    noted = [Path(one.place) for one in elsewhere if not one.place.startswith(RESTORED)]
    missing: list[str] = []
    count = 0
    for path in dict.fromkeys((*given, *rolling, *noted)):
        with contextlib.nullcontext() if path in given else contextlib.suppress(CommissionError):
            if path in given or _is_file(path):
                held = _ends(path)
                count += 1
                missing += _missing(path, ours, held)
    for line in missing:
        found.add("other places", False, line)
    if not count:
        nothing = "no copy, document or record of its jobs was found to compare it with"
        line = f"{nothing}; what was computed anew as a whole cannot be told"
        found.add("other places", None, line)
    elif not missing:
        what = "copy, document or record" if count == 1 else "copies, documents and records"
        line = f"{count} {what} of its jobs: what they end with is in it"
        found.add("other places", True, line)


def _missing(
    path: Path, ours: Mapping[str, set[str]], held: Mapping[str, set[str]]
) -> Iterator[str]:
    for job, ends in held.items():
        if job not in ours:
            yield f"job {job[-12:]} is in {path} and not in it"
        elif gone := ends - ours[job]:
            yield (
                f"job {job[-12:]}: {path} ends with {counted(len(gone), 'entry', 'entries')} that "
                "it does not have: taken out, or changed and the rest computed anew"
            )


def _ends(path: Path) -> dict[str, set[str]]:
    """Return the ends of each job's chain that a copy, a document or a record has."""
    if is_database(path):
        rows = _rows(path, "SELECT job, ends FROM jobs")
        return {str(job): set(kept_json(text, list)) for job, text in rows}
    entries, _ = read_document(path)
    return {entries[0].job: {*chain.chain_ends(chain.with_digests(entries))}}


def _digests(database: Path) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for job, digest in _rows(database, "SELECT job, digest FROM entries"):
        found.setdefault(str(job), set()).add(str(digest))
    return found


def _rows(database: Path, query: str) -> list[tuple[str, str]]:
    with as_store_errors(database), contextlib.closing(open_to_read(database)) as connection:
        return connection.execute(query).fetchall()


def _taken(path: Path) -> str:
    named = _TAKEN.fullmatch(path.name)
    return f"{named[1]}:{named[2]}:{named[3]}" if named else ""


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False
