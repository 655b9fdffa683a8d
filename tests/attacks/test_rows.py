"""Every way of tampering with a logbook's file is named, by `verify` or before that by opening it."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
from functools import cache
from pathlib import Path

import pytest

from commission_tui.handover.verify.verification import verify_file
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook
from tests.attacks import rows
from tests.attacks.book import Attack, attacks
from tests.handover.filled_job import filled
from tests.handover.helping import photo
from tests.handover.signing_help import folder

ASKED_FOR = 62


@cache
def sound() -> Path:
    """Return a logbook of two jobs, with everything in one of them that an attack needs."""
    place = folder() / "rows"
    place.mkdir()
    job = filled(place)
    job.fault("pixel dark", "R1C1 x1 y1", "near", note="seen from row 3")
    job.photo(photo(place, size=(64, 48)))
    slip = job.read("brightness", "room_cd_m2", "wall", 0.05, confirmed=True)
    job.correct(slip.id, None, "typed wrong")
    job.record(e.Note(text="House dark again."))
    job.leave_end("document hall.pdf")
    book = Logbook(job.database)
    book.create(
        by="Ines Okafor",
        name="Another",
        client="The council",
        integrator="Tarnside Integration",
        wall_text=(Path(rows.__file__).parents[2] / "commission_tui/demo/fellmoor.toml").read_text(
            encoding="utf-8"
        ),
    )
    book.close()
    with contextlib.closing(sqlite3.connect(job.database)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return job.database


def attacked(attack: Attack | None, path: Path) -> Path:
    shutil.copyfile(sound(), path)
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode = DELETE")
        triggers = db.execute("SELECT name, sql FROM sqlite_master WHERE type='trigger'").fetchall()
        for name, _ in triggers:
            db.execute(f"DROP TRIGGER {name}")
        if attack is not None:
            attack(db)
        gone = db.execute("SELECT name FROM sqlite_temp_master WHERE name = 'not_put_back'")
        skipped = (
            {name for (name,) in db.execute("SELECT name FROM not_put_back")}
            if gone.fetchone()
            else set()
        )
        for name, sql in triggers:
            if name not in skipped and "entries_become" not in getattr(attack, "__name__", ""):
                db.execute(sql)
    return path


def test_the_book_has_as_many_as_were_asked_for() -> None:
    assert len(attacks(rows)) >= ASKED_FOR


def test_what_nobody_changed_holds(tmp_path: Path) -> None:
    found = verify_file(attacked(None, tmp_path / "a.db"))
    assert found.proof == "proved", found.said


@pytest.mark.parametrize("attack", attacks(rows), ids=lambda attack: attack.__name__)
def test_it_is_named(attack: Attack, tmp_path: Path) -> None:
    path = attacked(attack, tmp_path / "a.db")
    before = path.read_bytes()
    found = verify_file(path)
    assert found.proof == "changed", found.said
    assert path.read_bytes() == before
