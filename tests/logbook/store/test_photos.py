"""What is kept of a picture that enters the logbook: what is seen, and not where it was taken."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import numpy as np
import pytest
from PIL import ExifTags, Image

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.photo.test_picture_file import with_notes
from tests.screens.conftest import on_small_wall

PIXELS = np.random.default_rng(1).integers(0, 255, (40, 60, 3), np.uint8)


@pytest.fixture
def job(logbook: Logbook) -> OpenJob:
    return on_small_wall(logbook)


@pytest.fixture
def placed(tmp_path: Path) -> Path:
    """A telephone's picture that says where it was taken."""
    path = tmp_path / "IMG 1.jpg"
    Image.fromarray(PIXELS).save(path, quality=90, exif=with_notes(6))
    return path


def kept(job: OpenJob) -> tuple[e.Photo, bytes, bool]:
    """Return the photo logged last, what is kept of it, and whether that says a place."""
    photo = job.state.photos[-1].body
    content = job.file(photo.sha256)
    assert content is not None
    with Image.open(io.BytesIO(content)) as image:
        return photo, content, bool(image.getexif().get_ifd(ExifTags.IFD.GPSInfo))


def test_the_place_is_not_kept_and_the_hash_of_the_file_is(job: OpenJob, placed: Path) -> None:
    job.photo(placed, caption="The ladder's foot")
    photo, content, says_place = kept(job)
    assert not says_place
    assert b"GPS" not in content
    original = hashlib.sha256(placed.read_bytes()).hexdigest()
    assert photo.caption == f"The ladder's foot; IMG 1.jpg as taken: SHA-256 {original}"
    with Image.open(io.BytesIO(content)) as image, Image.open(placed) as taken:
        assert image.tobytes() == taken.tobytes()
        assert image.getexif()[ExifTags.Base.Orientation] == 6


def test_the_place_is_kept_when_asked(job: OpenJob, placed: Path) -> None:
    job.photo(placed, caption="The ladder's foot", keep_place=True)
    photo, content, says_place = kept(job)
    assert says_place
    assert content == placed.read_bytes()
    assert photo.caption == "The ladder's foot"


def test_a_telephones_own_kind_is_kept_as_a_jpeg(job: OpenJob, tmp_path: Path) -> None:
    heif = pytest.importorskip("pillow_heif")
    path = tmp_path / "IMG 2.heic"
    heif.from_pillow(Image.fromarray(PIXELS).resize((120, 80))).save(path, quality=90)
    job.photo(path)
    photo, content, _ = kept(job)
    assert (photo.name, photo.media_type) == ("IMG 2.jpg", "image/jpeg")
    assert hashlib.sha256(path.read_bytes()).hexdigest() in photo.caption
    with Image.open(io.BytesIO(content)) as image:
        assert image.size == (120, 80)


@pytest.mark.parametrize(
    ("name", "size"), [("a.png", (12_000, 9_000)), ("b.png", (20_000, 10_000))]
)
def test_a_picture_of_more_pixels_than_are_read_is_not_kept_either(
    job: OpenJob, tmp_path: Path, name: str, size: tuple[int, int]
) -> None:
    Image.new("1", size).save(tmp_path / name)
    with pytest.raises(InputError, match="megapixels, expected at most 64 megapixels: save it sm"):
        job.photo(tmp_path / name)


def test_what_is_no_picture_is_refused_by_name(job: OpenJob, tmp_path: Path) -> None:
    path = tmp_path / "notes.jpg"
    path.write_text("no picture")
    with pytest.raises(InputError, match=r"notes\.jpg: found no picture that can be read"):
        job.photo(path)
