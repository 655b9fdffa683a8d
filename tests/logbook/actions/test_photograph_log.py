"""Faults that photographs show are logged with the pictures of them, or not at all."""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing

import pytest

from commission_tui.errors import CommissionError
from commission_tui.logbook.actions.mapping_log import seen_table
from commission_tui.logbook.actions.photograph_log import (
    Answer,
    PhotographedFault,
    PhotographFinding,
    log_findings,
    log_tiles,
)
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell, parse_location
from tests.screens.conftest import on_small_wall

WHOLE = KeptPicture("wall.jpg", b"\xff\xd8\xff\xe0 the wall", "From a photograph: the wall")
FINDINGS = [
    PhotographFinding(
        PhotographedFault(
            parse_location(place),
            "pixel dark",
            "sure 99%",
            "99%",
            KeptPicture(
                f"{place}.png", b"\x89PNG " + place.encode(), f"From a photograph: {place}"
            ),
        )
    )
    for place in ("R1C1 x40 y30", "R2C3 x60 y50")
]
SWEPT = PhotographFinding(answers=(Answer("swept", "white", value=True),))
PICTURE = KeptPicture("wall.jpg", b"\xff\xd8\xff\xe0 a picture", "From a photograph")


def test_each_fault_has_its_own_picture_and_the_answer_the_whole(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    said = log_findings(job, [*FINDINGS, SWEPT], [WHOLE], seen_on="white", check="pixel-faults")
    assert said == "2 faults and 1 answer"
    for fault, finding in zip(job.state.faults, FINDINGS, strict=True):
        assert finding.fault is not None
        (picture,) = fault.photos
        assert picture.body.caption == finding.fault.piece.caption
        assert job.file(picture.body.sha256) == finding.fault.piece.content
    swept = job.state.latest("pixel-faults", "swept", "white")
    assert swept is not None
    assert swept.body.photo == WHOLE.stored.sha256
    kinds = [entry.body.kind for entry in job.state.entries.values()]
    assert kinds.count("limits-frozen") == 1  # what the places among the entries are counted after


@pytest.mark.parametrize("kind", ["photo", "reading"])
def test_a_failure_in_between_leaves_neither_faults_nor_pictures(
    logbook: Logbook, kind: str
) -> None:
    job = on_small_wall(logbook, None)
    before = len(job.state.entries)
    with closing(sqlite3.connect(job.database)) as connection, connection:
        connection.execute(
            f"CREATE TRIGGER full BEFORE INSERT ON entries WHEN NEW.kind = '{kind}' "
            "BEGIN SELECT RAISE(ABORT, 'disk full'); END"
        )
    with pytest.raises(CommissionError, match="disk full"):
        log_findings(job, [*FINDINGS, SWEPT], [WHOLE], seen_on="white", check="pixel-faults")
    with closing(sqlite3.connect(job.database)) as connection, connection:
        connection.execute("DROP TRIGGER full")
        assert connection.execute("SELECT count(*) FROM files").fetchone() == (0,)
    for seen in (job, Logbook(job.database).open(job.id, "B. Helper")):
        assert len(seen.state.entries) == before
        assert not seen.state.faults


def test_only_what_was_read_is_logged_and_the_picture_is_kept(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    readings = dict.fromkeys(job.state.wall.cabinets, Observation())
    readings[Cell(1, 1)] = Observation(Cell(1, 2), 180)
    readings[Cell(1, 2)] = Observation("dark")
    assert log_tiles(job, readings, [PICTURE]) == 2
    table = seen_table(job.state)
    assert table.looked_at == (Cell(1, 1), Cell(1, 2))
    assert table.readings[Cell(1, 1)] == Observation(Cell(1, 2), 180)
    photo = job.state.photos[0].body
    assert photo.caption == "From a photograph"
    assert photo.sha256 == hashlib.sha256(PICTURE.content).hexdigest()
    assert job.file(photo.sha256) == PICTURE.content
