"""Rows changed, taken out or put in behind the program's back: found and named."""

# ruff: noqa: S608 (it does what somebody with an SQL tool does)

from __future__ import annotations

import contextlib
import json
import random
import re
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from commission_tui.errors import StoreError
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.entries.models import BODY, ENTRY, Entry
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.fold import fold
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.database_check import verify_database
from tests.conftest import TickingClock

CHECK = ("brightness", "luminance_cd_m2")


@pytest.fixture
def walked(job: OpenJob, tmp_path: Path) -> OpenJob:
    """A job with readings, a correction, a fault with work, a photo and a note at the end."""
    accuracy = {"cd/m2": {"percent": 2.0}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    for number in range(1, 7):
        job.read(*CHECK, f"point {number}", 590.0 + 3 * number)
    wrong = job.read(*CHECK, "point 7", 6120.0, confirmed=True)
    job.correct(wrong.id, job.reading(*CHECK, "point 7", 612.0), "a digit too many")
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    job.work(job.state.faults[0], "mended")
    picture = tmp_path / "seam.png"
    Image.new("RGB", (40, 30), "grey").save(picture)
    job.photo(picture)
    job.record(body(e.Note, text="the last entry"))
    return job


def listed(job: OpenJob) -> list[Entry]:
    return sorted(job.state.entries.values(), key=lambda entry: entry.id)


def behind(path: Path, *statements: str) -> None:
    """Change a database as somebody with an SQL tool would."""
    with contextlib.closing(sqlite3.connect(path)) as other, other:
        names = other.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for (name,) in names:
            other.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            other.execute(statement)


def test_a_sound_job_has_nothing_to_tell(walked: OpenJob) -> None:
    assert chain.chain_breaks(chain.with_digests(listed(walked))) == ()
    assert verify_database(walked.database) == []
    assert chain.chain_ends(chain.with_digests(listed(walked))) == (
        chain.digest(listed(walked)[-1]),
    )


def test_every_entry_names_the_one_before_it(walked: OpenJob) -> None:
    entries = listed(walked)
    assert [entry.previous for entry in entries] == [
        None,
        *(chain.digest(entry) for entry in entries[:-1]),
    ]


def test_the_row_and_the_entry_have_the_same_digest(walked: OpenJob) -> None:
    """As the migration of an older database and `verify` compute it, without the models."""
    kept = dict(walked._store._db.execute("SELECT id, digest FROM entries").fetchall())
    assert kept == {entry.id: chain.digest(entry) for entry in listed(walked)}


@pytest.mark.parametrize("number", range(1, 14))
def test_an_entry_taken_out_of_a_record_is_noticed(walked: OpenJob, number: int) -> None:
    entries = listed(walked)
    entries.pop(number)
    (line,) = chain.chain_breaks(chain.with_digests(entries))
    assert chain.entry_name(entries[number]) in line  # the one after it
    assert chain.entry_name(entries[number - 1]) in line


def test_an_entry_changed_in_a_record_is_named(walked: OpenJob) -> None:
    entries = listed(walked)
    for number, entry in enumerate(entries[:-1]):
        forged = [*entries]
        forged[number] = replace(entry, by="Somebody Else")
        (line,) = chain.chain_breaks(chain.with_digests(forged))
        assert chain.entry_name(forged[number]) in line
        (line,) = chain.chain_breaks(chain.with_digests(forged), {entry.id: chain.digest(entry)})
        assert line == f"{chain.entry_name(forged[number])} was changed after it was written"


def test_an_entry_put_into_a_record_without_a_chain_is_named(walked: OpenJob) -> None:
    entries = listed(walked)
    extra = replace(entries[5], id=entries[5].id[:-1] + "f", previous=None)
    (line,) = chain.chain_breaks(chain.with_digests([*entries, extra]))
    assert f"{chain.entry_name(extra)} names no entry before it: put in" in line


READING = "(SELECT min(id) FROM entries WHERE kind = 'reading')"
CASES: list[tuple[str, list[str], str]] = [
    (
        "a figure changed",
        [f"UPDATE entries SET body = json_set(body, '$.value', 999.5) WHERE id = {READING}"],
        r"\(reading, .*\) was changed after it was written",
    ),
    (
        "who changed",
        [f"UPDATE entries SET by = 'Somebody Else' WHERE id = {READING}"],
        r"\(reading, .*Somebody Else\) was changed after it was written",
    ),
    (
        "when changed",
        [f"UPDATE entries SET at = '2020-01-01T00:00:00.000Z' WHERE id = {READING}"],
        r"\(reading, 2020-01-01 00:00 UTC, .*\) was changed after it was written",
    ),
    (
        "a reason of a correction changed",
        ["UPDATE entries SET body = json_set(body, '$.reason', 'x') WHERE kind = 'correction'"],
        r"\(correction, .*\) was changed after it was written",
    ),
    (
        "the very last one changed",
        ["UPDATE entries SET body = json_set(body, '$.text', 'x') WHERE kind = 'note'"],
        r"\(note, .*\) was changed after it was written",
    ),
    (
        "one changed with its digest",
        [f"UPDATE entries SET by = 'X', digest = '{'0' * 64}' WHERE id = {READING}"],
        r"\(reading, .*X\) was changed after",
    ),
    (
        "one in the middle taken out",
        [f"DELETE FROM entries WHERE id = {READING}"],
        r"or an entry between it and entry .* was taken out",
    ),
    (
        "the last one taken out",
        ["DELETE FROM entries WHERE kind = 'note'"],
        r"entries were written and \d+ are there: the rest was taken out after entry .*\(photo",
    ),
    (
        "the first one taken out",
        ["DELETE FROM entries WHERE kind = 'job-opened'"],
        r"an entry before .* was taken out",
    ),
    (
        "a copy put in",
        [
            "INSERT INTO entries SELECT substr(id, 1, 35) || 'f', job, at, by, kind, previous, "
            "joins, digest, body FROM entries WHERE kind = 'fault'"
        ],
        r"\(fault, .*\) was changed after it was written",
    ),
    ("a job taken out", ["DELETE FROM entries"], r"entries were written and none is there"),
    ("a job's line taken out", ["DELETE FROM jobs"], r"own line about it was taken out"),
    ("a photo changed", ["UPDATE files SET bytes = x'00'"], r"file .* was changed after"),
    (
        "nonsense",
        [f"UPDATE entries SET body = '[1]' WHERE id = {READING}"],
        r"is damaged: it cannot be read",
    ),
]


@pytest.mark.parametrize(("statements", "said"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_what_somebody_did_with_an_sql_tool_is_found(
    walked: OpenJob, statements: list[str], said: str
) -> None:
    behind(walked.database, *statements)
    before = walked.database.read_bytes()
    lines = verify_database(walked.database)
    assert any(re.search(said, line) for line in lines), lines
    assert all("\n" not in line for line in lines)
    assert walked.database.read_bytes() == before


def test_an_entry_put_in_with_a_sound_chain_of_its_own_is_found_by_the_count(
    walked: OpenJob,
) -> None:
    entry = listed(walked)[6]
    forged = replace(entry, id=entry.id[:-1] + "f", by="Somebody Else")
    row = "', '".join(
        (forged.id, forged.job, forged.at, forged.by, "reading", str(forged.previous))
    )
    behind(
        walked.database,
        f"INSERT INTO entries VALUES ('{row}', NULL, '{chain.digest(forged)}', "
        f"'{BODY.dump_json(forged.body).decode()}')",
    )
    lines = verify_database(walked.database)
    assert any(
        chain.entry_name(forged) in line and "put in by something else" in line for line in lines
    )


def test_any_bit_of_any_row_is_found(walked: OpenJob) -> None:
    """Random single characters of random rows changed, in every column: none goes unnoticed."""
    rng = random.Random(41)  # noqa: S311
    connection = walked._store._db.conn
    rows = connection.execute("SELECT id, at, by, kind, previous, body FROM entries").fetchall()
    copies = walked.database.with_name("changed.db")
    missed = []
    for _ in range(15):
        row = rng.choice(rows)
        column = rng.choice([1, 2, 3, 4, 5])
        old = row[column]
        if old is None:
            continue
        at = rng.randrange(len(old))
        new = old[:at] + chr((ord(old[at]) - 31) % 95 + 32) + old[at + 1 :]
        with contextlib.closing(sqlite3.connect(copies)) as other:
            connection.backup(other)
        name = ("id", "at", "by", "kind", "previous", "body")[column]
        with contextlib.suppress(sqlite3.IntegrityError):  # no JSON any more: SQLite refuses it
            behind(
                copies,
                f"UPDATE entries SET {name} = '{new.replace(chr(39), chr(39) * 2)}' "
                f"WHERE id = '{row[0]}'",
            )
            same_json = name == "body" and _json(new) == _json(old)
            if not same_json and not verify_database(copies):
                missed.append((name, old[at - 20 : at + 20], new[at - 20 : at + 20]))
    assert missed == []


def _json(text: str) -> object:
    return json.loads(text)


def test_two_programs_at_once_make_two_ends_and_the_next_entry_joins_them(
    job: OpenJob, logbook: Logbook
) -> None:
    book = Logbook(logbook.path, TickingClock())
    other = book.open(job.id, "B. Technician")
    first = job.record(body(e.Note, text="from one"))
    second = other.record(body(e.Note, text="from the other"))
    book.close()
    assert first.previous == second.previous
    job.refresh()
    third = job.record(body(e.Note, text="knows both"))
    assert {third.previous, *(third.joins or ())} == {chain.digest(first), chain.digest(second)}
    assert verify_database(job.database) == []
    assert logbook.store.ends(job.id) == (chain.digest(third),)


def _of_another_program(path: Path) -> None:
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE x (y)")


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: path.parent, "found no such file"),
        (lambda path: path.write_bytes(b"no database" * 100), "not a database"),
        (_of_another_program, "another program"),
    ],
)
def test_what_is_no_logbook_is_one_line(
    tmp_path: Path, make: Callable[[Path], object], said: str
) -> None:
    make(tmp_path / "x.db")
    with pytest.raises(StoreError, match=said):
        verify_database(tmp_path / "x.db")


def test_a_whole_job_folds_as_one_entry_after_the_other(
    walked: OpenJob, demo_wall_text: str
) -> None:
    """Corrected at random, also by entries that sort before what they correct: both folds give one state."""
    rng = random.Random(8)  # noqa: S311
    later = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
    start = listed(walked)
    kinds: list[Callable[[int], e.Body]] = [
        lambda n: walked.reading(*CHECK, f"point {n % 9 + 1}", 600.0),
        lambda n: body(e.NotApplicable, check=f"check {n % 3}", reason="no"),
        lambda n: body(e.FaultWork, found=start[-4].id, action="mended", note=str(n)),
        lambda n: body(e.Note, text=f"note {n}"),
        lambda n: body(e.InstrumentChosen, instrument="m", units=(f"u{n}",)),
        lambda n: body(e.Design, text=demo_wall_text + "\n" * (n % 3)),
        lambda n: body(
            e.Instrument, key=f"m{n % 2}", name="M", serial="1", accuracy={"lx": {"percent": 1.0}}
        ),
    ]
    for _ in range(30):
        entries = [*start]
        for number in range(rng.randrange(40)):
            made: e.Body = rng.choice(kinds)(number)
            if rng.random() < 0.4:
                aim = rng.choice(entries[2:])
                target = aim.body
                if not isinstance(target, e.Correction):
                    kept = None if rng.random() < 0.5 or aim in start[:3] else target
                    if aim not in start[:3]:
                        made = body(e.Correction, corrects=aim.id, replacement=kept, reason="wrong")
            moment = later + timedelta(seconds=rng.randrange(3600))
            values = {
                "id": IdSource(rng.getrandbits).next(moment),
                "job": walked.id,
                "at": "2026-05-04T10:00:00.000Z",
                "by": "A",
                "body": made,
            }
            entries.append(ENTRY.validate_python(values))
        entries.sort(key=lambda entry: entry.id)
        steps = State()
        for entry in entries:
            steps = fold([entry], steps)
        assert fold(entries) == steps
