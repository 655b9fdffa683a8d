"""Readings and entries, packed, are what went in."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Entry, Note, ReadingTaken
from commission_tui.logbook.state.packed_readings import Growing, Readings
from commission_tui.logbook.store.packed_entries import PAGE, Entries

MOMENT = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
NAMES = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=8)
BODIES = st.builds(
    ReadingTaken,
    check=st.just("own"),
    field=st.just("lux"),
    place=st.just("R1C1"),
    value=st.one_of(
        st.floats(allow_nan=False, allow_infinity=False), st.booleans(), st.just("1.0"), NAMES
    ),
    unit=st.sampled_from(["", "cd/m2"]),
    instrument=st.none() | NAMES,
    meter_time=st.none() | NAMES,
    again=st.sampled_from([None, True]),
    odd=st.sampled_from(["", "far from the others"]),
)


def ids(count: int) -> list[str]:
    source = IdSource(random.Random(1).getrandbits)  # noqa: S311 (a test that repeats)
    return [source.next(MOMENT + timedelta(milliseconds=7 * n)) for n in range(count)]


def logged(bodies: list[ReadingTaken], corrected: bool = False) -> list[Logged[ReadingTaken]]:
    return [
        Logged(key, f"2026-05-04T10:00:{n % 60:02d}.{n:03d}Z", "AB"[n % 2], body, corrected)
        for n, (key, body) in enumerate(zip(ids(len(bodies)), bodies, strict=True))
    ]


@given(st.lists(BODIES, min_size=1, max_size=12), st.booleans())
def test_readings_come_out_as_they_went_in(bodies: list[ReadingTaken], corrected: bool) -> None:
    listed = logged(bodies, corrected)
    packed = Readings.of(reversed(listed))
    assert list(packed) == listed
    assert [type(x.body.value) for x in packed] == [type(body.value) for body in bodies]
    assert packed[-1] == listed[-1]
    assert packed[1:] == tuple(listed[1:])
    assert packed.last_id == listed[-1].id
    assert packed.last_value == bodies[-1].value
    assert type(packed.last_value) is type(bodies[-1].value)
    assert packed.people == tuple(dict.fromkeys(x.by for x in listed))
    assert packed.instruments == {body.instrument for body in bodies}
    with pytest.raises(IndexError):
        packed[len(listed)]


@given(st.lists(BODIES, min_size=1, max_size=12), st.data())
def test_readings_are_added_taken_out_and_parted_by_id(
    bodies: list[ReadingTaken], data: Any
) -> None:
    listed = logged(bodies)
    order = data.draw(st.permutations(listed))
    grown = Readings.of(order[:1])
    for one in order[1:]:
        grown = grown.added(one)
    assert grown == Readings.of(listed)
    gone = data.draw(st.sampled_from(listed))
    left = grown.without(gone.id)
    assert (list(left) if left else []) == [x for x in listed if x is not gone]
    assert grown.without("~") == grown
    begin, end = sorted(data.draw(st.tuples(*[st.sampled_from(listed)] * 2)), key=lambda x: x.id)
    assert list(grown.between(begin.id, end.id)) == [x for x in listed if begin.id <= x.id < end.id]


@given(st.lists(BODIES, min_size=1, max_size=12))
def test_the_latest_with_those_it_repeats_are_counted(bodies: list[ReadingTaken]) -> None:
    expected = 1
    for body in reversed(bodies[1:]):
        if not body.again:
            break
        expected += 1
    assert Readings.of(logged(bodies)).repeats == expected


def test_nothing_read_is_an_empty_row() -> None:
    nothing = Readings("own", "lux", "R1C1", b"", ())
    assert not nothing
    assert nothing.repeats == 0
    assert list(nothing.between("", "~")) == []


def test_readings_that_grow_in_order_are_the_same() -> None:
    bodies = [
        ReadingTaken(check="own", field="lux", place="R1C1", value=float(n)) for n in range(9)
    ]
    growing = Growing()
    for one in logged(bodies):
        growing.take(one.id, one.at, one.by, one.body)
    assert growing.readings("own", "lux", "R1C1") == Readings.of(logged(bodies))


def entries(count: int) -> list[Entry]:
    keys = ids(count + 1)
    return [
        Entry(
            id=key, job=keys[0], at="2026-05-04T10:00:00.000Z", by="Ä. [b]", previous=f"{n:064x}",
            body=Note(text=f"note {n} \N{DEGREE SIGN}"),
        )
        for n, key in enumerate(keys[1:])
    ]  # fmt: skip


@pytest.mark.parametrize("count", [0, 1, PAGE - 1, PAGE, PAGE + 1, 3 * PAGE + 5])
def test_entries_come_out_as_they_went_in(count: int) -> None:
    listed = entries(count)
    kept = Entries()
    for entry in listed:
        kept = kept.added(entry)
    assert len(kept) == count
    assert list(kept.values()) == listed
    assert list(kept) == [entry.id for entry in listed]
    assert list(kept.latest_first()) == listed[::-1]
    assert kept == Entries.of(listed)
    assert (kept == Entries.of(entries(count + 1))) is False
    assert all(kept[entry.id] == entry for entry in listed[:: PAGE // 3])
    for missing in ("", "~", ids(1)[0]):
        assert missing not in kept
        assert kept.get(missing) is None


def test_adding_leaves_the_entries_before_as_they_were() -> None:
    listed = entries(PAGE + 2)
    before = Entries.of(listed[:PAGE])
    one, other = before.added(listed[PAGE]), before.added(listed[PAGE + 1])
    assert list(before.values()) == listed[:PAGE]
    assert list(one.values()) == listed[: PAGE + 1]
    assert list(other.values()) == [*listed[:PAGE], listed[PAGE + 1]]


@pytest.mark.parametrize("known", [0, 10, PAGE, 2 * PAGE + 3])
def test_what_others_lack_is_found_wherever_it_sorts(known: int) -> None:
    listed = entries(2 * PAGE + 9)
    assert list(Entries.of(listed).beyond(Entries.of(listed[:known]))) == listed[known:]
    grown = Entries.of(listed[:known])
    for entry in listed[known:]:
        grown = grown.added(entry)
    assert list(grown.beyond(Entries.of(listed[:known]))) == listed[known:]
    odd = Entries.of(listed[1::2])
    assert list(Entries.of(listed).beyond(odd)) == listed[0::2]


def test_entries_are_taken_out_by_id() -> None:
    listed = entries(PAGE + 3)
    left = Entries.of(listed).without({listed[0].id, listed[PAGE].id})
    assert list(left.values()) == [*listed[1:PAGE], *listed[PAGE + 1 :]]
