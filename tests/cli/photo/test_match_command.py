"""A telephone's folder from the command line: one list, then photos in the logbook without a place."""

from __future__ import annotations

import io
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PIL import ExifTags, Image

from commission_tui.photo.evening.clock_code import clock_rows, read_clock
from tests.cli.helping import Cli, as_json
from tests.photo.screens_seen import drawn
from tests.photo.test_picture_file import with_notes

FAST = timedelta(hours=3, minutes=7)


def taken(
    path: Path, at: datetime, pixels: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]
) -> None:
    """Write a picture of a telephone whose clock is fast, with the place where it was taken."""
    exif = with_notes()
    more = exif.get_ifd(ExifTags.IFD.Exif)
    more[ExifTags.Base.DateTimeOriginal] = f"{at + FAST:%Y:%m:%d %H:%M:%S}"
    Image.fromarray(pixels).convert("RGB").save(path, exif=exif, quality=92)


@pytest.fixture
def folder(cli: Cli, opened: str, tmp_path: Path) -> Path:
    assert opened
    status, _, err = cli("log", "fault", "Hall", "pixel dark", "R2C3 x4 y5")
    assert status == 0, err
    made = tmp_path / "telephone"
    made.mkdir()
    now = datetime.now(UTC).replace(microsecond=0)
    noise = np.random.default_rng(1).integers(0, 255, (80, 120, 3), np.uint8)
    taken(
        made / "a clock.jpg", now - timedelta(hours=1), drawn(clock_rows(now - timedelta(hours=1)))
    )
    taken(made / "b near.jpg", now + timedelta(seconds=40), noise)
    taken(made / "c far.jpg", now - timedelta(hours=2), noise[::-1])
    return made


def test_pictures_are_proposed_and_then_logged_without_their_place(
    cli: Cli, folder: Path, tmp_path: Path
) -> None:
    status, out, err = cli("photo", "match", "Hall", folder)
    assert status == 0, err
    assert "shows the clock" in out
    assert "nothing was logged within 5 minutes" in out
    assert "nothing logged; --log logs 1 photo" in out
    found = as_json(cli("photo", "match", "Hall", folder, "--log", "--json"))
    assert [one["goes_to"] for one in found["proposals"]] == [
        None,
        "fault 1, R2C3 x4 y5 pixel dark",
        None,
    ]
    assert found["clock_offsets_s"] == {"pocket camera": -FAST.total_seconds()}
    assert len(found["logged"]) == 1
    kept = sqlite3.connect(tmp_path / "logbook.db")
    contents = [row[0] for row in kept.execute("SELECT bytes FROM files")]
    kept.close()
    pictures = [c for c in contents if bytes(c[:2]) == b"\xff\xd8"]
    with Image.open(io.BytesIO(pictures[0])) as image:
        assert not image.getexif().get_ifd(ExifTags.IFD.GPSInfo)
        assert image.getexif()[ExifTags.Base.Model] == "pocket camera"
    again = as_json(cli("photo", "match", "Hall", folder, "--log", "--json"))
    assert again["logged"] == []
    assert again["proposals"][1]["logged_already"]


def test_what_is_left_out_is_not_logged(cli: Cli, folder: Path) -> None:
    found = as_json(
        cli("photo", "match", "Hall", folder, "--log", "--leave", "b near.jpg", "--json")
    )
    assert found["logged"] == []


def test_what_cannot_be_is_one_line(cli: Cli, folder: Path) -> None:
    for arguments in (
        (folder / "gone",),
        (folder, "--within", "0"),
        (folder, "--leave", "x.jpg"),
    ):
        status, out, err = cli("photo", "match", "Hall", *arguments)
        assert (status, out) == (2, "")
        assert len(err.splitlines()) == 1, err


def test_the_clock_shows_a_code_of_now(cli: Cli) -> None:
    status, out, _ = cli("photo", "clock")
    assert status == 0
    rows = [line for line in out.splitlines() if line[:1] in "█▀▄"]
    seen = read_clock(drawn(rows))
    assert seen is not None
    assert abs(datetime.now(UTC) - seen) < timedelta(minutes=1)
    assert "photograph this with the telephone" in out
