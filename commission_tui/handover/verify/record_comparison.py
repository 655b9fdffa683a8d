"""A record held against a logbook, and a logbook against every copy, document and record of its jobs.

The same entries, or the first that differs by name. Whoever computes a history anew in one file cannot
reach those that were handed on: each holds the end that its job's chain had, and that end must still be
in the logbook.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from commission_tui.errors import CommissionError, StoreError
from commission_tui.handover.verify.parse_document import ReadBack, read_back
from commission_tui.handover.verify.pdf_reading import read_file
from commission_tui.handover.verify.verification_result import Verification
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries.chain import entry_json, entry_name, is_contact
from commission_tui.logbook.entries.models import DocumentIssued, Entry, Signature
from commission_tui.logbook.entries.record_form import fingerprint
from commission_tui.logbook.store.backup import rolling_copies
from commission_tui.logbook.store.connections import open_to_read
from commission_tui.logbook.store.database_check import is_database
from commission_tui.logbook.store.ends_left import RESTORED, ends_kept
from commission_tui.logbook.store.rows import TEXT, TEXT_BEFORE_CHAIN, entries_from_rows
from commission_tui.logbook.store.sqlite_errors import as_store_errors, kept_json
from commission_tui.text import counted, quoted

_TAKEN = re.compile(r"(\d{4}-\d\d-\d\dT\d\d)(\d\d)(\d\d)Z\.db")


def has_job(database: Path, job: str) -> bool:
    """Whether a logbook has entries of a job; what cannot be read has none."""
    try:
        return bool(_entries(database, job))
    except StoreError:
        return False


def signed_otherwise(entries: Sequence[Entry]) -> Iterator[Entry]:
    """Yield the signatures whose fingerprint is not that of the record as their writer knew it.

    Nor that of one signed rightly before: who signs next in the same file signs the record in it.
    """
    signed = [entry for entry in entries if isinstance(entry.body, Signature)]
    if not signed:
        return
    by_digest = {chain.digest(entry): entry for entry in entries}
    unchained = [entry for entry in entries if entry.previous is None]
    right: set[str] = set()
    for entry in sorted(signed, key=lambda one: one.id):
        known = {one.id: one for one in unchained if one.id < entry.id}
        waiting = [*chain.parent_digests(entry)]
        while waiting:
            before = by_digest.get(waiting.pop())
            if before is not None and before.id not in known:
                known[before.id] = before
                waiting += chain.parent_digests(before)
        body = entry.body
        if not isinstance(body, Signature) or body.fingerprint in right:
            continue
        if body.fingerprint == fingerprint(known.values()):
            right.add(body.fingerprint)
        else:
            yield entry


def compare_with_logbook(found: Verification, read: ReadBack, database: Path) -> None:
    """Compare a record with the job of that id in a logbook, which is only read.

    Where it holds, the logbook has nothing more than what was written later.

    Raises
    ------
    StoreError
        When there is no logbook that can be read, or it has no such job: nothing can be compared.
    """
    theirs = _entries(database, read.job)
    if not theirs:
        raise StoreError(
            f"{database}: found no job {read.job} ({read.name}), expected the logbook that has it; "
            "the document itself was not judged"
        )
    found.add("logbook", *_first_difference(read, theirs, database))
    known = sum(
        isinstance(entry.body, DocumentIssued)
        and (entry.body.number, entry.body.fingerprint) == (found.document, read.fingerprint)
        for entry in theirs
    )
    if known > len(found.signatures):
        has = counted(len(found.signatures), "signature")
        found.add(
            "state",
            False,
            f"the logbook knows {counted(known, 'signature')} under this document, the file has "
            f"{has}: it is an earlier state of it, or was cut back",
        )


def _first_difference(read: ReadBack, theirs: Sequence[Entry], database: Path) -> tuple[bool, str]:
    left = {entry.id: entry for entry in theirs}
    for entry in read.entries:
        other = left.pop(entry.id, None)
        if other is None:
            return False, f"{database} lacks {entry_name(entry)}"
        if entry_json(other) != entry_json(entry):
            return False, f"{entry_name(entry)} differs in {_where(entry, other)}"
    later = [entry for entry in left.values() if not _may_lack(entry)]
    if not later:
        return True, f"{database} has the same entries"
    first = min(later, key=lambda entry: entry.id)
    more = f"{database} has {counted(len(later), 'entry', 'entries')} more, the first {entry_name(first)}"
    return first.id > read.entries[-1].id, more


def _may_lack(entry: Entry) -> bool:
    return isinstance(entry.body, Signature | DocumentIssued) or is_contact(entry)


def _where(ours: Entry, theirs: Entry) -> str:
    """Name what differs between two entries of one id."""
    one, other = entry_json(ours), entry_json(theirs)
    keys = [key for key in sorted({*one, *other}) if one.get(key) != other.get(key)]
    if keys == ["body"] and one["body"].get("kind") == other["body"].get("kind"):
        one, other = one["body"], other["body"]
        keys = [key for key in sorted({*one, *other}) if one.get(key) != other.get(key)]
    key = keys[0]
    return (
        f"{key}: record {quoted(str(one.get(key)), 60)}, logbook {quoted(str(other.get(key)), 60)}"
    )


def _entries(database: Path, job: str) -> list[Entry]:
    if not database.exists():
        raise StoreError(f"{database}: there is no such file, expected a logbook")
    if not is_database(database):
        raise StoreError(f"{database}: found no logbook, expected one")
    with as_store_errors(database), contextlib.closing(open_to_read(database)) as connection:
        columns = {row[1] for row in connection.execute("PRAGMA table_info(entries)")}
        wanted = TEXT if "previous" in columns else TEXT_BEFORE_CHAIN
        rows = connection.execute(
            f"SELECT {wanted} FROM entries WHERE job = ? ORDER BY id",  # noqa: S608
            (job,),
        ).fetchall()
    return entries_from_rows(database, rows)


def compare_ends(found: Verification, database: Path, given: Sequence[Path]) -> None:
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
            # One that may not be looked at, or cannot be a path, is none.
            if path in given or os.path.isfile(path):  # noqa: PTH113
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
    entries = read_back(read_file(path), str(path)).entries
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
