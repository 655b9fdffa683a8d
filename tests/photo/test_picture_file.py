"""Picture files: what is read of them, and what is refused in one line."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import EpsImagePlugin, ExifTags, Image

from commission_tui.errors import InputError
from commission_tui.photo.picture_file import Picture, how_taken, read_picture


@pytest.fixture
def shot() -> Image.Image:
    values = np.zeros((20, 30, 3), np.uint8)
    values[:5, :5] = (200, 10, 10)
    return Image.fromarray(values)


def written(image: Image.Image, path: Path, **more: object) -> Path:
    image.save(path, **more)  # type: ignore[arg-type]
    return path


def with_notes(orientation: int = 1) -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.Model] = "pocket camera"
    more = exif.get_ifd(ExifTags.IFD.Exif)
    more[ExifTags.Base.ExposureTime] = 0.02
    more[ExifTags.Base.DateTimeOriginal] = "2026:03:14 19:02:11"
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[1], gps[2], gps[3], gps[4] = "N", (10.0, 30.0, 0.0), "W", (20.0, 0.0, 36.0)
    return exif


def test_a_picture_is_turned_upright_and_its_place_is_not_kept(
    shot: Image.Image, tmp_path: Path
) -> None:
    path = written(shot, tmp_path / "a.jpg", exif=with_notes(6), quality=95)
    picture = read_picture(path)
    assert picture.pixels.shape == (30, 20, 3)
    assert picture.pixels[2, 17, 0] > 150  # upper left came to the upper right
    assert (picture.exposure_s, picture.taken) == (0.02, "2026:03:14 19:02:11")
    assert picture.camera == "pocket camera"
    assert "10.5" not in repr({**vars(picture), "pixels": None})


@pytest.mark.parametrize("kind", ["png", "tiff"])
def test_sixteen_bits_stay_sixteen(kind: str, tmp_path: Path) -> None:
    cv2 = pytest.importorskip("cv2")
    values = np.arange(12 * 10 * 3, dtype=np.uint16).reshape(12, 10, 3) * 100
    cv2.imwrite(str(tmp_path / f"a.{kind}"), values[:, :, ::-1])
    read = read_picture(tmp_path / f"a.{kind}").pixels
    assert read.dtype == np.uint16
    assert (read == values).all()


def test_a_heic_picture_is_read(shot: Image.Image, tmp_path: Path) -> None:
    heif = pytest.importorskip("pillow_heif")
    heif.from_pillow(shot.resize((120, 80))).save(tmp_path / "a.heic", quality=90)
    assert read_picture(tmp_path / "a.heic").pixels.shape == (80, 120, 3)


def test_heic_without_the_extra_says_how_to_install_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    (tmp_path / "a.heic").write_bytes(b"0000ftypheic")
    with pytest.raises(InputError, match=r"pip install '\.\[photo\]'"):
        read_picture(tmp_path / "a.heic")


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tiff"])
def test_a_file_that_is_cut_off_is_refused(shot: Image.Image, tmp_path: Path, name: str) -> None:
    noisy = Image.fromarray(np.random.default_rng(1).integers(0, 255, (200, 200, 3), np.uint8))
    held = io.BytesIO()
    noisy.save(held, {"jpg": "JPEG", "png": "PNG", "tiff": "TIFF"}[name[2:]])
    (tmp_path / name).write_bytes(held.getvalue()[: len(held.getvalue()) // 2])
    with pytest.raises(InputError, match=f"{name}: .*(cut off|cannot be read|no picture)"):
        read_picture(tmp_path / name)


@pytest.mark.parametrize(("name", "content"), [("a.jpg", b"no picture"), ("a.dng", b"II*\x00 no")])
def test_what_is_no_picture_is_refused(name: str, content: bytes, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputError, match=f"{name}: "):
        read_picture(tmp_path / name)


def test_a_kind_of_picture_that_no_camera_writes_is_not_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """PostScript by the name of a photograph would start another program."""
    started: list[object] = []
    monkeypatch.setattr(EpsImagePlugin, "Ghostscript", lambda *given, **_: started.append(given))
    path = tmp_path / "a.jpg"
    Image.new("RGB", (20, 20)).save(path, "EPS")
    with pytest.raises(InputError, match="found no picture that can be read"):
        read_picture(path)
    assert started == []


def test_a_picture_of_200_megapixels_is_refused(tmp_path: Path) -> None:
    Image.new("1", (20_000, 10_000)).save(tmp_path / "a.png")
    with pytest.raises(InputError, match="expected at most 64 megapixels"):
        read_picture(tmp_path / "a.png")


def test_a_picture_in_which_nothing_can_be_seen_is_refused(tmp_path: Path) -> None:
    Image.new("RGB", (1, 1)).save(tmp_path / "one.png")
    with pytest.raises(InputError, match="found a picture of 1 x 1 px, expected 8 px or more"):
        read_picture(tmp_path / "one.png")


def test_how_a_picture_was_taken() -> None:
    pixels = np.zeros((2, 2, 3), np.uint8)
    assert how_taken(Picture(pixels, linear=False)) == ""
    said = Picture(
        pixels, linear=False, camera="pocket", exposure_s=0.02, f_number=2.8, iso=100, taken="now"
    )
    assert how_taken(said) == "pocket, 20 ms, f/2.8, ISO 100, by its clock now"
