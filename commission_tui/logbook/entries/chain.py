"""The chain of hashes that entries make: what was changed, taken out or put in is found and named.

Each entry names the digest of the entry that its writer last knew. Where two histories have come
together (two laptops, or two programs at once) the next entry names all their ends. Entries are thus
the nodes of a directed graph without cycles, and the union of two logbooks is again one.

Entries that hold people's contact data (`is_contact`) name those before them like any other, but
no entry ever names them: a document can then leave them out, as a person may demand of whoever
hands it on, and its chain is as whole as before. In a logbook a change of one is still found, by the
digest that was kept when it was written, and its removal by the count.

What a chain alone cannot find: entries cut off at the end, and a history computed anew from the
change onwards by somebody who knows how. Two things outside the chain find that: the database's own
count of what it wrote (`store.database_check`), unless that was changed as well, and the fingerprint in a signed
document, which nobody can compute anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import (
    Callable,
    Collection,
    Iterable,
    Iterator,
    Mapping,
    MutableMapping,
    Sequence,
)
from typing import Any

from commission_tui.logbook.entries import models as e

_ENCODE: Callable[[Any], str] = json.JSONEncoder(
    # Nothing of an entry holds itself, which need not be asked of each part of it.
    sort_keys=True, ensure_ascii=False, allow_nan=False, check_circular=False, separators=(",", ":"),
).encode  # fmt: skip


def canonical_json(value: Any) -> str:
    """Return JSON without spaces, its keys sorted."""
    return _ENCODE(value)


def entry_json(entry: e.Entry) -> dict[str, Any]:
    """Return an entry as JSON values; a key without a value is left out.

    A later version may therefore add a key to an entry when nothing is its default.
    """
    values: dict[str, Any] = e.ENTRY.dump_python(entry, mode="json", exclude_none=True)
    return values


def body_json(body: e.AnyBody) -> dict[str, Any]:
    """Return what an entry says as JSON values, as `entry_json` does."""
    values: dict[str, Any] = e.BODY.dump_python(body, mode="json", exclude_none=True)
    return values


def digest(entry: e.Entry) -> str:
    """Return the SHA-256, in hex, of an entry's canonical JSON."""
    return digest_of(entry_json(entry))


def digest_of(values: Any) -> str:
    """Return the SHA-256, in hex, of JSON values in canonical form."""
    return hashlib.sha256(canonical_json(values).encode("utf-8", "surrogatepass")).hexdigest()


def without_none(value: Any) -> Any:
    """Return JSON values without the keys that have no value, as `entry_json` leaves them out."""
    if isinstance(value, dict):
        return {key: without_none(item) for key, item in value.items() if item is not None}
    if isinstance(value, list):
        return [without_none(item) for item in value]
    return value


def parent_digests(entry: e.Entry) -> tuple[str, ...]:
    """Return the digests that an entry names."""
    named = () if entry.previous is None else (entry.previous,)
    return named + (entry.joins or ())


def is_contact(entry: e.Entry) -> bool:
    """Whether an entry is somebody's contact data: a person, or what a person should have been."""
    body = entry.body
    return isinstance(body.replacement if isinstance(body, e.Correction) else body, e.Person)


def entries_chained(entries: Iterable[e.Entry]) -> Iterator[e.Entry]:
    """Yield the entries whose naming of others counts: all but contact data."""
    return (entry for entry in entries if not is_contact(entry))


def with_digests(entries: Iterable[e.Entry]) -> list[tuple[e.Entry, str]]:
    """Return entries in their order, each with the digest that it has."""
    return [(entry, digest(entry)) for entry in _in_order(entries)]


def chain_ends(chained: Sequence[tuple[e.Entry, str]]) -> tuple[str, ...]:
    """Return the digests that no entry names, the latest entry's first; never of contact data.

    Of entries from before there was a chain only the last one counts.
    """
    chained = [pair for pair in chained if not is_contact(pair[0])]
    named = {one for entry, _ in chained for one in parent_digests(entry)}
    unchained = [entry.id for entry, _ in chained if entry.previous is None]
    left = [
        one
        for entry, one in chained
        if one not in named and (entry.previous is not None or entry.id == unchained[-1])
    ]
    return tuple(reversed(left))


def chain_breaks(
    chained: Sequence[tuple[e.Entry, str]], kept: Mapping[str, str] | None = None
) -> tuple[str, ...]:
    """Name every entry that was changed, taken out or put in, one plain line each.

    Parameters
    ----------
    chained
        All entries of one job in their order, with the digests that they have.
    kept
        Id to the digest that the database kept when the entry was written. With it, what was changed
        is told from what was taken out; without it, the line says that it was one of the two.
    """
    kept = kept or {}
    known = {one: number for number, (_, one) in enumerate(chained)}
    changed = {kept[entry.id]: entry for entry, one in chained if kept.get(entry.id, one) != one}
    lines = [f"{entry_name(entry)} was changed after it was written" for entry in changed.values()]
    named: set[str] = {one for entry, _ in chained for one in parent_digests(entry)}
    begun = False
    for number, (entry, _) in enumerate(chained):
        if any(known.get(one, -1) >= number for one in parent_digests(entry)):
            lines.append(f"{entry_name(entry)} names an entry that was written after it: put in")
        if entry.previous is None and begun:
            lines.append(
                f"{entry_name(entry)} names no entry before it: put in, "
                "or written by an older version of this program"
            )
        begun = begun or entry.previous is not None
        gone = [one for one in parent_digests(entry) if one not in known and one not in changed]
        lines += [_missing(entry, chained[:number], named, changed) for _ in gone]
    return tuple(dict.fromkeys(lines))


def _missing(
    entry: e.Entry,
    before: Sequence[tuple[e.Entry, str]],
    named: set[str],
    changed: Mapping[str, e.Entry],
) -> str:
    """Say what is known of an entry that another one names and that is not there."""
    odd = {found.id for found in changed.values()}
    last = next(
        (found for found, one in reversed(before) if one not in named and found.id not in odd),
        None,
    )
    if last is None:
        return f"an entry before {entry_name(entry)} was taken out"
    return (
        f"{entry_name(last)} was changed after the next one was written, or an entry between it and "
        f"{entry_name(entry)} was taken out"
    )


def entry_name(entry: e.Entry) -> str:
    """Name an entry so that a person finds it: the end of its id, what, when and who."""
    return f"entry {entry.id[-12:]} ({entry.body.kind}, {entry.at[:16].replace('T', ' ')} UTC, {entry.by})"


def designs_apart(entries: Iterable[e.Entry]) -> tuple[str, ...]:
    """Name the design revisions that were made apart and that no later one has settled.

    Two revisions are apart when neither of their writers knew the other's. Entries from before there
    was a chain count as known to each that sorts after them.
    """
    listed = _in_order(entries)
    corrections = (x.body for x in listed if isinstance(x.body, e.Correction))
    last = {correction.corrects: correction.replacement for correction in corrections}
    withdrawn = {entry_id for entry_id, replacement in last.items() if replacement is None}
    designs = [x for x in listed if isinstance(x.body, e.Design) and x.id not in withdrawn]
    if len(designs) < 2:
        return ()
    (apart,) = left_apart(listed, [[entry.id for entry in designs]])
    left = [entry for entry in designs if entry.id in apart]
    if len({entry.body.text for entry in left if isinstance(entry.body, e.Design)}) < 2:
        return ()
    return tuple(_revision(entry, entry is left[-1]) for entry in left)


def has_forks(entries: Iterable[e.Entry]) -> bool:
    """Whether two of the entries name the same one before them: their writers knew nothing of each other."""
    named = [one for entry in entries_chained(entries) for one in parent_digests(entry)]
    return len(set(named)) < len(named)


def left_apart(
    entries: Iterable[e.Entry],
    groups: Sequence[Collection[str]],
    digests: MutableMapping[str, str] | None = None,
) -> list[tuple[str, ...]]:
    """Return of each group of ids those whose entry no writer of another one of the group knew.

    An id may be in several groups. `digests`, by id, are taken from what was worked out before, and
    added to.
    """
    bits: dict[str, int] = {}
    alike: dict[str, int] = {}
    places: list[dict[str, int]] = []
    number = 0
    for ids in groups:
        mine = {one: 1 << at for at, one in enumerate(ids, start=number)}
        of_all = ((1 << len(mine)) - 1) << number
        number += len(mine)
        places.append(mine)
        for one, bit in mine.items():
            bits[one] = bits.get(one, 0) | bit
            alike[one] = alike.get(one, 0) | of_all
    settled = 0
    for entry, knew in _known_before(_in_order(entries), bits, digests):
        settled |= knew & alike.get(entry.id, 0)
    return [tuple(one for one, bit in mine.items() if not settled & bit) for mine in places]


def known_to_writers(
    entries: Iterable[e.Entry], ids: Collection[str], of: Collection[str] | None = None
) -> dict[str, frozenset[str]]:
    """Return of each of some entries, `of` others where they are named, which of `ids` its writer knew."""
    wanted = set(ids if of is None else of)
    bits = {one: 1 << number for number, one in enumerate(ids)}
    return {
        entry.id: frozenset(one for one, bit in bits.items() if knew & bit)
        for entry, knew in _known_before(_in_order(entries), bits, None)
        if entry.id in wanted
    }


def _known_before(
    listed: Sequence[e.Entry],
    bits: Mapping[str, int],
    digests: MutableMapping[str, str] | None,
) -> Iterator[tuple[e.Entry, int]]:
    """Yield each entry with those of some, as bits, that its writer knew."""
    seen: dict[str, int] = {}
    kept = {} if digests is None else digests
    unchained = 0
    for entry in listed:
        if entry.previous is None:
            knew = unchained
            unchained |= bits.get(entry.id, 0)
        else:
            knew = 0
            for one in parent_digests(entry):
                knew |= seen.get(one, 0)
        yield entry, knew
        if entry.id not in kept:
            kept[entry.id] = digest(entry)
        seen[kept[entry.id]] = knew | bits.get(entry.id, 0)


def _revision(entry: e.Entry, in_use: bool) -> str:
    reason = entry.body.reason if isinstance(entry.body, e.Design) else ""
    why = f": {reason}" if reason else ""
    return (
        f"design revision {entry.id[-12:]} by {entry.by}, {entry.at[:16].replace('T', ' ')} UTC{why}"
        f"{' (in use, since its id is the latest)' if in_use else ''}"
    )


def _in_order(entries: Iterable[e.Entry]) -> list[e.Entry]:
    return sorted(entries, key=lambda entry: entry.id)
