"""Pictures of an evening to what was logged, by time and by the marks that they show."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from commission_tui.errors import InputError
from commission_tui.photo.evening import folder_matching
from commission_tui.photo.evening.folder_matching import (
    Moment,
    Proposal,
    Taken,
    clock_offsets,
    matched,
    read_folder,
)
from commission_tui.wall.model.location import Cell
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.walls_hung import small_wall

EVENING = datetime(2026, 3, 14, 19, 0, tzinfo=UTC)
FIVE = timedelta(minutes=5)
FAULT = Moment(EVENING, "fault 1", about="f1", cell=Cell(2, 3))
CHECK = Moment(EVENING + timedelta(minutes=20), "check brightness", check="brightness")


def taken(
    minutes: float | None,
    *,
    clock: datetime | None = None,
    cells: tuple[Cell, ...] = (),
    camera: str = "telephone",
) -> Taken:
    """A picture of a telephone whose clock is 47 minutes fast and says no zone."""
    own = None
    if minutes is not None:
        own = (EVENING + timedelta(minutes=minutes + 47)).replace(tzinfo=None)
    return Taken(Path("a.jpg"), "0" * 64, own, camera, clock, cells)


CLOCK = taken(-30, clock=EVENING - timedelta(minutes=30))


def proposed(*pictures: Taken, moments: tuple[Moment, ...] = (FAULT, CHECK)) -> Proposal:
    return matched([CLOCK, *pictures], moments, FIVE)[-1]


def test_the_clock_sets_a_telephone_right() -> None:
    assert clock_offsets([CLOCK]) == {"telephone": timedelta(minutes=-47)}
    assert proposed().moment is None
    assert proposed().why == "shows the clock"


@pytest.mark.parametrize(("minutes", "moment"), [(1, FAULT), (-4, FAULT), (18, CHECK)])
def test_a_picture_goes_to_what_was_logged_nearest(minutes: float, moment: Moment) -> None:
    found = proposed(taken(minutes))
    assert found.moment == moment
    assert found.why.startswith("taken ")


def test_far_from_everything_nothing_is_proposed() -> None:
    found = proposed(taken(10))
    assert found.moment is None
    assert "nothing was logged within 5 minutes" in found.why
    assert proposed(taken(None)).moment is None
    assert proposed(taken(1), moments=()).moment is None


def test_a_mark_says_more_than_the_time() -> None:
    later = Moment(EVENING + timedelta(hours=1), "fault 2", about="f2", cell=Cell(1, 1))
    found = proposed(taken(1, cells=(Cell(1, 1),)), moments=(FAULT, later))
    assert found.moment == later
    assert found.why == "shows the mark of R1C1"
    assert proposed(taken(None, cells=(Cell(2, 3),))).moment == FAULT


def test_another_camera_that_never_saw_the_clock_is_not_set_by_it() -> None:
    other = taken(1, camera="camera")
    assert other.at is not None
    assert proposed(other).at == other.at.astimezone(UTC)


def test_the_mark_of_a_cabinet_is_read_from_a_picture_of_it(tmp_path: Path) -> None:
    wall = small_wall(6, 4)
    shown = np.asarray(picture(wall, "coded tiles").convert("L"))
    cabinet = wall.cabinets[Cell(3, 2)]
    tile = shown[
        cabinet.y_px : cabinet.y_px + cabinet.height_px,
        cabinet.x_px : cabinet.x_px + cabinet.width_px,
    ]
    large = Image.fromarray(tile).resize((700, 700), Image.Resampling.BICUBIC)
    Image.fromarray(np.pad(np.asarray(large), 90)).save(tmp_path / "mark.png")
    (tmp_path / "cut.jpg").write_bytes(b"\xff\xd8\xff\xe0")
    (tmp_path / "words.txt").write_text("no picture", encoding="utf-8")
    pictures, broken = read_folder(wall, tmp_path)
    assert [found.cells for found in pictures] == [(Cell(3, 2),)]
    assert len(broken) == 1
    assert "cut.jpg" in broken[0]


def test_a_folder_that_is_none_or_empty_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="found no picture, expected"):
        read_folder(small_wall(2, 2), tmp_path)
    with pytest.raises(InputError, match="cannot be read"):
        read_folder(small_wall(2, 2), tmp_path / "gone")


def test_a_library_that_lacks_is_said_once_for_all_pictures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def lacks(_wall: object, _path: Path) -> None:
        raise InputError("photographs: needs OpenCV, which is not installed")

    monkeypatch.setattr(folder_matching, "_taken", lacks)
    for number in range(3):
        (tmp_path / f"{number}.jpg").write_bytes(b"-")
    _, broken = read_folder(small_wall(2, 2), tmp_path)
    assert broken == ("photographs: needs OpenCV, which is not installed",)
