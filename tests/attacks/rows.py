"""Attacks on a logbook by whoever can write the file: each gets an open connection without triggers.

The triggers are put back afterwards, as somebody who knows how would do.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from typing import Any

from commission_tui.logbook.entries.chain import digest_of, without_none

Db = sqlite3.Connection


def value_changed(db: Db) -> None:
    """A reading is better than it was."""
    _body(db, "reading", '"value":600.0', '"value":900.0')


def value_changed_with_its_digest(db: Db) -> None:
    """The same, with the hash that is kept beside it."""
    value_changed(db)
    _digest_anew(db, _one(db, "SELECT id FROM entries WHERE body LIKE '%900.0%'"))


def value_said_twice(db: Db) -> None:
    """The program reads the measured value, SQL another."""
    _body(db, "reading", '{"kind"', '{"value":900.0,"kind"')


def place_said_twice(db: Db) -> None:
    """The program shows the reading where it was taken, SQL elsewhere."""
    _body(db, "reading", '{"kind"', '{"place":"point 9","kind"')


def kind_said_twice(db: Db) -> None:
    """SQL counts a reading as a note."""
    _body(db, "reading", '{"kind"', '{"kind":"note","kind"')


def replacement_said_twice(db: Db) -> None:
    """The program corrects to one value, SQL to another."""
    _body(db, "correction", '{"kind"', '{"replacement":null,"kind"')


def value_in_a_replacement_said_twice(db: Db) -> None:
    """The same, one level deeper."""
    _body(db, "correction", '"replacement":{', '"replacement":{"value":9.0,')


def reason_of_a_correction_said_twice(db: Db) -> None:
    """Another reason in SQL's list of corrections."""
    _body(db, "correction", '{"kind"', '{"reason":"agreed","kind"')


def fault_said_twice(db: Db) -> None:
    """SQL's punch list has another fault."""
    _body(db, "fault", '{"kind"', '{"location":"R1C1","kind"')


def key_that_nobody_knows(db: Db) -> None:
    """Something travels in the record."""
    _body(db, "note", '{"kind"', '{"secret":1,"kind"')


def text_spelled_with_escapes(db: Db) -> None:
    """What is searched for in the file is not found."""
    _body(db, "note", "House", "\\u0048ouse")


def text_spelled_with_spaces(db: Db) -> None:
    """Two logbooks of the same entries have other bytes."""
    _body(db, "note", '"kind":', '"kind" :')


def value_as_another_number(db: Db) -> None:
    """A number that SQL takes for another one."""
    _body(db, "reading", '"value":600.0', '"value":6e999')


def note_changed(db: Db) -> None:
    """Words that nobody wrote."""
    _body(db, "note", "House dark", "House lit")


def severity_of_a_fault_turned(db: Db) -> None:
    """A fault that blocks acceptance does not."""
    _body(db, "fault", '"severity":"near"', '"severity":"none"')


def who_changed(db: Db) -> None:
    """Somebody else answers for the reading."""
    db.execute("UPDATE entries SET by = 'Marit Hollis' WHERE kind = 'reading'")


def who_changed_with_its_digest(db: Db) -> None:
    """The same, with the hash that is kept beside it."""
    found = _one(db, "SELECT id FROM entries WHERE kind = 'reading'")
    db.execute("UPDATE entries SET by = 'Marit Hollis' WHERE id = ?", (found,))
    _digest_anew(db, found)


def who_with_a_space(db: Db) -> None:
    """SQL counts two people, the program one."""
    db.execute("UPDATE entries SET by = by || ' ' WHERE kind = 'reading'")


def time_changed(db: Db) -> None:
    """The reading was taken before the meter's calibration ran out."""
    db.execute("UPDATE entries SET at = '2026-05-01T12:00:00.000Z' WHERE kind = 'reading'")


def id_changed(db: Db) -> None:
    """A fault's number and order are others."""
    db.execute("UPDATE entries SET id = 'e' || substr(id, 2) WHERE kind = 'fault'")


def text_hidden_in_an_id(db: Db) -> None:
    """What is put together as JSON says another person."""
    db.execute("""UPDATE entries SET at = at || '","by":"Marit Hollis' WHERE kind = 'reading'""")


def kind_of_a_row_changed(db: Db) -> None:
    """A fault is not found by its kind."""
    db.execute("UPDATE entries SET kind = 'note' WHERE kind = 'fault'")


def digest_changed(db: Db) -> None:
    """Later tampering would look as if it was there before."""
    db.execute("UPDATE entries SET digest = ? WHERE kind = 'note'", ("0" * 64,))


def named_before_changed(db: Db) -> None:
    """An entry hangs on another one."""
    first = _one(db, "SELECT digest FROM entries ORDER BY id LIMIT 1")
    db.execute("UPDATE entries SET previous = ? WHERE kind = 'note'", (first,))


def named_beside_added(db: Db) -> None:
    """Two histories look as if they had come together."""
    first = _one(db, "SELECT digest FROM entries ORDER BY id LIMIT 1")
    db.execute("UPDATE entries SET joins = ? WHERE kind = 'note'", (json.dumps([first]),))


def entry_cut_loose(db: Db) -> None:
    """An entry that names nothing can be put anywhere."""
    db.execute("UPDATE entries SET previous = NULL WHERE kind = 'note'")


def bodies_of_two_rows_exchanged(db: Db) -> None:
    """Two people's readings are exchanged."""
    rows = db.execute("SELECT id, body FROM entries WHERE kind = 'reading' LIMIT 2").fetchall()
    for (one, _), (_, text) in zip(rows, reversed(rows), strict=True):
        db.execute("UPDATE entries SET body = ? WHERE id = ?", (text, one))


def row_taken_out_of_the_middle(db: Db) -> None:
    """A fault is gone."""
    db.execute("DELETE FROM entries WHERE kind = 'fault'")


def first_row_taken_out(db: Db) -> None:
    """Nobody knows when the job was opened."""
    db.execute(
        "DELETE FROM entries WHERE id = (SELECT min(id) FROM entries WHERE job = ?)", _job(db)
    )


def last_row_taken_out(db: Db) -> None:
    """The last thing that was found is gone."""
    db.execute("DELETE FROM entries WHERE id = ?", (_last(db),))


def last_row_taken_out_and_counted(db: Db) -> None:
    """The same, with the count put right."""
    last_row_taken_out(db)
    _line(db, "entries = entries - 1")


def last_row_taken_out_and_ends_emptied(db: Db) -> None:
    """The same, with no end that could be missed."""
    last_row_taken_out_and_counted(db)
    _line(db, "ends = '[]'")


def last_row_taken_out_and_line_written(db: Db) -> None:
    """The same, with the line's last id and time put right, but not its ends."""
    last_row_taken_out_and_counted(db)
    last = _last(db)
    db.execute(
        "UPDATE jobs SET last_id = ?1, last_at = (SELECT at FROM entries WHERE id = ?1)", (last,)
    )


def all_rows_taken_out(db: Db) -> None:
    """The job never was."""
    db.execute("DELETE FROM entries WHERE job = ?", _job(db))


def row_put_in(db: Db) -> None:
    """A reading that nobody took."""
    _copied(db, previous=None)


def row_put_in_and_counted(db: Db) -> None:
    """The same, with the count put right."""
    _copied(db, previous=None)
    _line(db, "entries = entries + 1")


def row_chained_on(db: Db) -> None:
    """The same, hung on the last entry."""
    end = _one(db, "SELECT digest FROM entries WHERE id = ?", _last(db))
    _copied(db, previous=end)


def row_chained_on_and_counted(db: Db) -> None:
    """The same, with the count put right."""
    row_chained_on(db)
    _line(db, "entries = entries + 1")


def row_of_another_job_chained_on(db: Db) -> None:
    """A reading of another wall under this one, count and ends put right."""
    job = _job(db)[0]
    other = db.execute(
        "SELECT * FROM entries WHERE job <> ? ORDER BY id LIMIT 1", (job,)
    ).fetchone()
    end = _one(db, "SELECT digest FROM entries WHERE id = ?", _last(db))
    db.execute(
        "INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, NULL, '', ?)",
        (other[0], job, other[2], other[3], other[4], end, other[8]),
    )
    new = _digest_anew(db, other[0], job)
    db.execute(
        "UPDATE jobs SET entries = entries + 1, ends = ?, last_id = ?, last_at = ? WHERE job = ?",
        (json.dumps([new]), other[0], other[2], job),
    )


def row_hung_on_a_later_one(db: Db) -> None:
    """An entry that was put in early hangs on what came after it."""
    end = _one(db, "SELECT digest FROM entries WHERE id = ?", _last(db))
    early = _one(db, "SELECT id FROM entries WHERE kind = 'reading' AND job = ? LIMIT 1", *_job(db))
    new = early[:-4] + "abcd"
    db.execute(
        "INSERT INTO entries SELECT ?, job, at, by, kind, ?, NULL, '', body FROM entries WHERE id = ?",
        (new, end, early),
    )
    made = _digest_anew(db, new)
    _line(db, f"entries = entries + 1, ends = '{json.dumps([made])}'")


def row_moved_to_another_job(db: Db) -> None:
    """A fault is another wall's."""
    other = _one(db, "SELECT job FROM jobs WHERE job <> ?", _job(db)[0])
    db.execute("UPDATE entries SET job = ? WHERE kind = 'fault'", (other,))


def client_in_the_list_changed(db: Db) -> None:
    """The list of jobs names another client."""
    _summary(db, "client", "Another council")


def name_in_the_list_changed(db: Db) -> None:
    """The job is opened under another job's name."""
    _summary(db, "name", "Another hall")


def site_in_the_list_changed(db: Db) -> None:
    """The list says another place."""
    _summary(db, "site", "Elsewhere")


def wall_in_the_list_changed(db: Db) -> None:
    """The list says another wall."""
    _summary(db, "wall", "foyer")


def open_faults_in_the_list_changed(db: Db) -> None:
    """The list says that nothing is open."""
    _summary(db, "open_faults", 0)


def something_more_in_the_list(db: Db) -> None:
    """Something travels in the line."""
    _summary(db, "note", "paid")


def last_id_in_the_list_changed(db: Db) -> None:
    """What comes after it is not taken in."""
    _line(db, "last_id = 'ffffffff-ffff-7fff-bfff-ffffffffffff'")


def last_time_in_the_list_changed(db: Db) -> None:
    """The list says that nobody has worked since."""
    _line(db, "last_at = '2026-05-01T12:00:00.000Z'")


def count_raised(db: Db) -> None:
    """The job looks as if entries were lost."""
    _line(db, "entries = entries + 1")


def count_lowered(db: Db) -> None:
    """Room for an entry that is put in later."""
    _line(db, "entries = entries - 1")


def ends_emptied(db: Db) -> None:
    """Nothing says where the chain ended."""
    _line(db, "ends = '[]'")


def ends_of_another_entry(db: Db) -> None:
    """The next entry hangs elsewhere, and what is after it can be cut off."""
    first = _one(db, "SELECT digest FROM entries ORDER BY id LIMIT 1")
    _line(db, f"ends = '{json.dumps([first])}'")


def end_added(db: Db) -> None:
    """The next entry names one that never was."""
    end = json.loads(_one(db, "SELECT ends FROM jobs WHERE job = ?", _job(db)[0]))
    _line(db, f"ends = '{json.dumps([*end, '0' * 64])}'")


def line_taken_out(db: Db) -> None:
    """The job is in no list."""
    db.execute("DELETE FROM jobs WHERE job = ?", _job(db))


def line_of_a_job_that_is_not_there(db: Db) -> None:
    """A job in the list that cannot be opened."""
    db.execute(
        "INSERT INTO jobs SELECT '00000000-0000-7000-8000-000000000000', entries, last_id, last_at, "
        "ends, summary FROM jobs LIMIT 1"
    )


def verdict_turned(db: Db) -> None:
    """Whoever reads with SQL sees a pass."""
    db.execute("UPDATE computed SET verdict = 'pass' WHERE verdict = 'open'")


def reason_of_a_verdict_changed(db: Db) -> None:
    """The same verdict for another reason."""
    db.execute("UPDATE computed SET reason = 'as agreed' WHERE \"check\" = 'brightness'")


def figure_of_a_verdict_changed(db: Db) -> None:
    """A figure that nobody measured, in SQL."""
    db.execute("UPDATE computed SET figures = '[]' WHERE figures <> '[]'")


def verdict_taken_out(db: Db) -> None:
    """SQL counts a check less."""
    db.execute("DELETE FROM computed WHERE \"check\" = 'brightness'")


def verdict_of_a_check_that_is_none(db: Db) -> None:
    """A check that was never agreed has passed."""
    db.execute("INSERT INTO computed VALUES (?, 'invented', 'pass', '', '[]', '')", _job(db))


def verdict_of_a_job_that_is_none(db: Db) -> None:
    """The same, of a job that never was."""
    db.execute("INSERT INTO computed VALUES ('none', 'brightness', 'pass', '', '[]', '')")


def view_of_readings_says_more(db: Db) -> None:
    """SQL reads each value a tenth better."""
    _view(db, "readings", "json_extract(body, '$.value')", "json_extract(body, '$.value') * 1.1")


def view_of_faults_says_mended(db: Db) -> None:
    """SQL reads that every fault is mended."""
    _view(db, "faults", "'open') AS state", "'open') || 'x' AS state")


def view_of_verdicts_says_pass(db: Db) -> None:
    """SQL reads that every check has passed."""
    _view(db, "verdicts", '"check", verdict', "\"check\", 'pass' AS verdict")


def view_of_what_stands_leaves_out(db: Db) -> None:
    """Corrections are not seen, by SQL nor by what the program looks up with it."""
    _view(db, "standing", "WHERE e.kind <> 'correction'", "WHERE e.kind = 'reading'")


def view_taken_out(db: Db) -> None:
    """SQL finds no faults."""
    db.execute("DROP VIEW faults")


def view_added(db: Db) -> None:
    """A view of the attacker's own beside the real ones."""
    db.execute("CREATE VIEW results AS SELECT 'pass' AS verdict")


def trigger_taken_out(db: Db) -> None:
    """From now on rows can be changed by any tool."""
    db.execute("DROP TABLE IF EXISTS kept_triggers")
    db.execute("CREATE TEMP TABLE not_put_back AS SELECT 'entries_refuse_update' AS name")


def trigger_weakened(db: Db) -> None:
    """The same, with a trigger of that name still there."""
    db.execute("CREATE TEMP TABLE not_put_back AS SELECT 'entries_refuse_update' AS name")
    db.execute("CREATE TRIGGER entries_refuse_update BEFORE UPDATE ON entries BEGIN SELECT 1; END")


def trigger_that_changes_what_is_logged(db: Db) -> None:
    """Every fault is gone from the line as it is logged."""
    db.execute(
        "CREATE TRIGGER helper AFTER INSERT ON entries BEGIN "
        "UPDATE jobs SET summary = NULL WHERE job = NEW.job; END"
    )


def table_added(db: Db) -> None:
    """Something travels in the logbook."""
    db.execute("CREATE TABLE other (x)")


def entries_become_a_view(db: Db) -> None:
    """What is read are no rows: it can be endless, or another each time."""
    db.execute("ALTER TABLE entries RENAME TO held")
    db.execute("CREATE VIEW entries AS SELECT * FROM held")


def constraint_taken_out(db: Db) -> None:
    """From now on a body need not be JSON."""
    _schema(db, "entries", "CHECK (json_valid(body))", "")


def column_added(db: Db) -> None:
    """Something travels beside every entry."""
    db.execute("ALTER TABLE entries ADD COLUMN note TEXT")


def index_taken_out(db: Db) -> None:
    """The list of corrections takes minutes."""
    db.execute("DROP INDEX corrections")


def index_added(db: Db) -> None:
    """Two readings of the same place cannot be logged."""
    db.execute("CREATE UNIQUE INDEX one_only ON entries (job, id, at)")


def migration_taken_out(db: Db) -> None:
    """The next start makes the chain anew, from what is then there."""
    db.execute("DELETE FROM _sqlite_migrations WHERE name = 'm004_chain'")


def last_migration_taken_out(db: Db) -> None:
    """The next start makes what was left elsewhere anew, and empty."""
    db.execute("DELETE FROM _sqlite_migrations WHERE name = 'm005_ends_seen'")


def photo_changed(db: Db) -> None:
    """The photo shows a wall without the fault."""
    db.execute("UPDATE files SET bytes = x'00'")


def photo_of_another_kind(db: Db) -> None:
    """A reader takes the picture for a page and runs it."""
    db.execute("UPDATE files SET media_type = 'text/html'")


def photo_taken_out(db: Db) -> None:
    """The photo of the fault is gone, and nothing asks for it."""
    db.execute("DELETE FROM files")
    db.execute(
        "UPDATE entries SET body = replace(body, '\"size\":', '\"size\":1') WHERE kind='photo'"
    )


def photo_under_another_name(db: Db) -> None:
    """The picture is there and is not found."""
    db.execute("UPDATE files SET sha256 = ?", ("0" * 64,))


def photo_exchanged_with_its_hash(db: Db) -> None:
    """Another picture, under its own hash, which no entry names."""
    db.execute(
        "UPDATE files SET sha256 = ?, bytes = ?", (hashlib.sha256(b"other").hexdigest(), b"other")
    )


def file_added(db: Db) -> None:
    """Something travels in the logbook."""
    db.execute(
        "INSERT INTO files VALUES (?, 'text/plain', ?)", (hashlib.sha256(b"x").hexdigest(), b"x")
    )


def end_left_elsewhere_changed(db: Db) -> None:
    """A list of ends that fits what will be written anew."""
    db.execute("UPDATE ends_seen SET ends = ?", (json.dumps(["0" * 64]),))


def _one(db: Db, sql: str, *given: Any) -> Any:
    return db.execute(sql, given).fetchone()[0]


def _job(db: Db) -> tuple[str]:
    """Return the job that is attacked: the one with a fault."""
    return (_one(db, "SELECT job FROM entries WHERE body LIKE '%seen from row 3%'"),)


def _last(db: Db) -> str:
    found: str = _one(db, "SELECT max(id) FROM entries WHERE job = ?", *_job(db))
    return found


def _line(db: Db, change: str) -> None:
    db.execute(f"UPDATE jobs SET {change} WHERE job = ?", _job(db))  # noqa: S608


def _summary(db: Db, key: str, value: object) -> None:
    db.execute(
        "UPDATE jobs SET summary = json_set(summary, ?, ?) WHERE job = ?",
        (f"$.{key}", value, *_job(db)),
    )


def _body(db: Db, kind: str, old: str, new: str) -> None:
    done = db.execute(
        "UPDATE entries SET body = replace(body, ?1, ?2) WHERE kind = ?3 AND instr(body, ?1)",
        (old, new, kind),
    )
    assert done.rowcount, (kind, old)


def _digest_anew(db: Db, entry_id: str, job: str = "") -> str:
    row = db.execute(
        "SELECT id, job, at, by, previous, joins, body FROM entries WHERE id = ? AND job = ?",
        (entry_id, job or _job(db)[0]),
    ).fetchone()
    values = dict(zip(("id", "job", "at", "by", "previous"), row[:5], strict=True))
    joins = None if row[5] is None else json.loads(row[5])
    made = digest_of(without_none({**values, "joins": joins, "body": json.loads(row[6])}))
    db.execute("UPDATE entries SET digest = ? WHERE id = ? AND job = ?", (made, entry_id, row[1]))
    return made


def _copied(db: Db, previous: str | None) -> None:
    new = "f" + _last(db)[1:]
    db.execute(
        "INSERT INTO entries SELECT ?, job, at, by, kind, ?, NULL, '', body FROM entries "
        "WHERE kind = 'reading' AND job = ? LIMIT 1",
        (new, previous, *_job(db)),
    )
    _digest_anew(db, new)


def _view(db: Db, name: str, old: str, new: str) -> None:
    sql = _one(db, "SELECT sql FROM sqlite_master WHERE name = ?", name)
    assert old in sql, sql
    db.execute(f"DROP VIEW {name}")
    db.execute(sql.replace(old, new))


def _schema(db: Db, name: str, old: str, new: str) -> None:
    db.execute("PRAGMA writable_schema = ON")
    db.execute("UPDATE sqlite_master SET sql = replace(sql, ?, ?) WHERE name = ?", (old, new, name))
    db.execute("PRAGMA writable_schema = OFF")
