"""Logbooks of several laptops brought together: the union of their entries, in any order.

An entry is the same in both when its id and its digest are. The same id with other content is no
second opinion but tampering: it is refused and named, and nothing is written. What people must look
at themselves is told: what was said of one thing by two of whom neither knew of the other (readings,
corrections, limits, settings, parts, steps on a fault and whatever else only one can be right of), designs
that were made apart, punch list items that now have another number, and units that are now read with
another meter.
"""

from __future__ import annotations

import contextlib
import hashlib
import tempfile
from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path

from commission_tui.errors import StoreError
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries.models import Entry, Instrument
from commission_tui.logbook.integrity.clashes import Clash, clashes, told
from commission_tui.logbook.integrity.clock_differences import clock_differences
from commission_tui.logbook.judging.outcome_cache import OutcomeCache
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.fold import folded
from commission_tui.logbook.state.job_summary import summary_of
from commission_tui.logbook.state.meters import is_same_meter
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.backup import copy_database
from commission_tui.logbook.store.database_check import problems
from commission_tui.logbook.store.ends_left import keep_ends_of
from commission_tui.logbook.store.job_rows import MergedJob
from commission_tui.logbook.store.store import Store, StoredFile


@dataclass(frozen=True, slots=True)
class Source:
    """Entries with their digests, and files, of one database or document."""

    name: str
    chained: list[tuple[Entry, str]]
    files: Iterable[StoredFile] = ()


@dataclass(frozen=True, slots=True)
class Merged:
    """What a merge did, and what people must look at."""

    added: int
    known: int
    """Entries that were there already."""
    jobs: int
    told: tuple[str, ...]
    clashes: tuple[Clash, ...] = ()
    """What more than one person said of one thing, whole where `told` shortens it."""


@contextlib.contextmanager
def database_source(path: Path) -> Iterator[Source]:
    """Open a database to merge from; it is only read, whatever its schema.

    Raises
    ------
    StoreError
        When it is none, is damaged, or its entries are not as they were written.
    """
    if found := problems(path):
        raise StoreError(f"{path}: not merged: {found[0]}")
    with tempfile.TemporaryDirectory() as scratch:
        store = Store(copy_database(path, Path(scratch) / "source.db"))
        try:
            rows = [pair for job, _ in store.jobs() for pair in store.chained(job)]
            yield Source(str(path), rows, store.files())
        finally:
            store.close()


def document_source(name: str, entries: Sequence[Entry], files: Iterable[StoredFile]) -> Source:
    """Take the entries of a document or record.

    Raises
    ------
    StoreError
        When they are not as they were written.
    """
    chained = chain.with_digests(entries)
    if found := chain.chain_breaks(chained):
        raise StoreError(f"{name}: not merged: {found[0]}")
    return Source(name, chained, files)


def merge(book: Logbook, sources: Sequence[Source]) -> Merged:
    """Bring the entries and files of other logbooks into this one, in one transaction.

    Raises
    ------
    StoreError
        When the same id has different content, or entries do not make a job; nothing is written.
    """
    coming = _entries_of_all(sources)
    notes: list[str] = []
    clashing: list[Clash] = []
    added = known = 0
    with book.store.merging() as union:
        for job in sorted({entry.job for entry, _ in coming.values()}):
            ours = book.store.chained(job)
            new = _new(coming, ours, job, book.path)
            theirs = sum(entry.job == job for entry, _ in coming.values())
            added, known = added + len(new), known + theirs - len(new)
            if new:
                merged, lines, found = _merged(book, job, ours, new)
                union.put(merged)
                notes += lines
                clashing += found
        union.put_files(_sound(sources, notes))
    for source in sources:
        keep_ends_of(book.path, _ends_of_jobs(source), source.name)
    jobs = len({entry.job for entry, _ in coming.values()})
    return Merged(added, known, jobs, tuple(notes), tuple(clashing))


def _ends_of_jobs(source: Source) -> Iterator[tuple[str, int, tuple[str, ...]]]:
    """Yield what a source knows of each of its jobs: how many entries, and the ends of the chain."""
    jobs: dict[str, list[tuple[Entry, str]]] = {}
    for pair in source.chained:
        jobs.setdefault(pair[0].job, []).append(pair)
    for job, chained in jobs.items():
        yield job, len(chained), chain.chain_ends(sorted(chained, key=lambda pair: pair[0].id))


def _entries_of_all(sources: Sequence[Source]) -> dict[tuple[str, str], tuple[Entry, str]]:
    """Return every entry once, by job and id."""
    coming: dict[tuple[str, str], tuple[Entry, str]] = {}
    for source in sources:
        for entry, one in source.chained:
            if coming.setdefault((entry.job, entry.id), (entry, one))[1] != one:
                raise _conflict(entry, source.name)
    return coming


def _new(
    coming: dict[tuple[str, str], tuple[Entry, str]],
    ours: Sequence[tuple[Entry, str]],
    job: str,
    path: Path,
) -> list[tuple[Entry, str]]:
    """Return the entries of a job that this database does not have."""
    left = {key: pair for key, pair in coming.items() if key[0] == job}
    for entry, one in ours:
        found = left.pop((job, entry.id), None)
        if found is not None and found[1] != one:
            raise _conflict(entry, str(path))
    return [left[key] for key in sorted(left)]


def _conflict(entry: Entry, name: str) -> StoreError:
    return StoreError(
        f"{name}: {chain.entry_name(entry)} is not the same in all that is merged: one of them was "
        "changed; nothing was merged"
    )


def _merged(
    book: Logbook, job: str, ours: list[tuple[Entry, str]], new: list[tuple[Entry, str]]
) -> tuple[MergedJob, list[str], list[Clash]]:
    union = sorted([*ours, *new], key=lambda pair: pair[0].id)
    entries = [entry for entry, _ in union]
    state = folded(book.path, entries)
    at = book.clock().astimezone(UTC).isoformat(timespec="seconds")
    rows = OutcomeCache().rows(state, [c.id for c in state.whole_checklist], job, at)
    row = MergedJob(job, new, entries, chain.chain_ends(union), summary_of(state), rows)
    if apart := chain.designs_apart(entries):
        many = f"found {len(apart)} design revisions made apart"
        apart = (f"{many}; log the one that holds again to settle it", *apart)
    came = {entry.id for entry, _ in new}
    found = [one for one in clashes(state) if any(said.entry in came for said in one.said)]
    clocks = clock_differences(union, came, book.clock())
    lines = [*apart, *told(found), *clocks]
    if ours:
        before = folded(book.path, [entry for entry, _ in ours])
        lines += [*_renumbered(before, state, came), *_stamped_otherwise(before, state)]
    return row, [f"{state.title.name}: {line}" for line in lines], found


def _renumbered(before: State, after: State, came: Set[str]) -> Iterator[str]:
    """Name the faults that have another number than here before, or than where they were found."""
    numbers = {fault: number for number, fault in enumerate(before.ever_found, start=1)}
    theirs = came & set(after.ever_found)
    knew = chain.known_to_writers(after.entries.values(), after.ever_found, theirs)
    for fault in after.faults:
        found = fault.found.body
        old = len(knew[fault.id]) + 1 if fault.id in theirs else numbers[fault.id]
        if old != fault.number:
            who, now = (f" of {fault.found.by}", "here") if fault.id in theirs else ("", "now")
            yield (
                f"fault {old}{who} ({found.fault} at {found.location}, id {fault.id[-4:]}) is {now} "
                f"fault {fault.number}: numbers follow the time of finding"
            )


def _stamped_otherwise(before: State, after: State) -> Iterator[str]:
    """Name the units whose readings are stamped with another meter than here before, and what undoes it."""
    chosen = [one.body for one in after.chosen]
    units = {u for b in chosen for u in (b.accuracy if isinstance(b, Instrument) else b.units)}
    changed: dict[tuple[str, str], list[str]] = {}
    for unit in sorted(units):
        was, now = before.instrument_for(unit), after.instrument_for(unit)
        choice = after.choice_for(unit)
        if now is None or choice is None or (was and is_same_meter(was.body, now.body)):
            continue
        said = f"{now.body.called}, chosen by {choice.by}", _back(after, was.body if was else None)
        changed.setdefault(said, []).append(unit)
    for (now_words, back), of in changed.items():
        yield f"readings in {', '.join(of)} are now stamped {now_words}; {back}"


def _back(state: State, was: Instrument | None) -> str:
    """Say which meter it was, and how it is chosen again."""
    if was is None:
        return "none was chosen here"
    there = state.instruments.get(was.key)
    if there is not None and is_same_meter(there.body, was):
        return f"was {was.called}: 'log instrument JOB {was.key}' takes it back"
    return f"was {was.called}: stated anew under a key of its own it is chosen again"


def _sound(sources: Sequence[Source], notes: list[str]) -> Iterator[StoredFile]:
    """Yield the files that are what their hash says; of others, say so."""
    for source in sources:
        for file in source.files:
            if hashlib.sha256(file.content).hexdigest() == file.sha256:
                yield file
            else:
                notes.append(f"{source.name}: file {file.sha256[:16]} is damaged and was left out")
