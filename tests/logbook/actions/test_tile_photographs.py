"""What photographs of the tiles show is logged with the pictures, or not at all."""

from __future__ import annotations

import hashlib

from commission_tui.logbook.actions.mapping_log import seen_table
from commission_tui.logbook.actions.tile_photographs import log_tiles
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.wall.mapping import Reading
from commission_tui.wall.model.location import Cell
from tests.screens.conftest import on_small_wall

PICTURE = KeptPicture("wall.jpg", b"\xff\xd8\xff\xe0 a picture", "From a photograph")


def test_only_what_was_read_is_logged_and_the_picture_is_kept(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    readings = dict.fromkeys(job.state.wall.cabinets, Reading())
    readings[Cell(1, 1)] = Reading(Cell(1, 2), 180)
    readings[Cell(1, 2)] = Reading("dark")
    assert log_tiles(job, readings, [PICTURE]) == 2
    table = seen_table(job.state)
    assert table.looked_at == (Cell(1, 1), Cell(1, 2))
    assert table.readings[Cell(1, 1)] == Reading(Cell(1, 2), 180)
    photo = job.state.photos[0].body
    assert photo.caption == "From a photograph"
    assert photo.sha256 == hashlib.sha256(PICTURE.content).hexdigest()
    assert job.file(photo.sha256) == PICTURE.content
