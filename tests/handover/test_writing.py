"""Files whole or not at all; names that every file system takes; photos and glyphs."""

from __future__ import annotations

import errno
import io
import os
from pathlib import Path

import pytest
from PIL import Image

from commission_tui.errors import DocumentError
from commission_tui.handover.font_coverage import printable
from commission_tui.handover.typeset.typst_document import downscaled
from commission_tui.handover.writing import file_stem, write_files
from tests.handover.helping import HOSTILE, export, make_job, photo


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("Fellmoor Town Hall, main auditorium", "fellmoor-town-hall-main-auditorium"),
        ("../../etc/passwd", "etc-passwd"),
        (HOSTILE, "panic-x-script-x-cmd"),
        ("漢字", "job"),
        ("Łódź café", "odz-cafe"),
        ("CON", "job-con"),
        ("x" * 200, "x" * 60),
        ("...", "job"),
    ],
)
def test_file_names_are_safe(name: str, stem: str) -> None:
    assert file_stem(name) == stem


def test_export_writes_every_format(tmp_path: Path) -> None:
    said: list[str] = []
    folder = tmp_path / "new" / "folder"
    paths = export(make_job(tmp_path), folder, ["pdf", "json", "csv", "html"], said.append)
    stem = "fellmoor-town-hall-main-auditorium"
    tables = ["readings", "verdicts", "faults", "instruments", "corrections"]
    assert [path.name for path in paths] == [
        f"{stem}.pdf",
        f"{stem}.json",
        *(f"{stem}-{name}.csv" for name in tables),
        f"{stem}.html",
    ]
    assert sorted(folder.iterdir()) == sorted(paths)
    assert said == [
        "pdf: drawings",
        "pdf: what it says",
        "pdf: setting the pages",
        "json",
        "csv",
        "html",
    ]


def test_an_unknown_format_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match="format: found 'docx', expected one of pdf"):
        export(make_job(tmp_path), tmp_path, ["docx"])


def test_a_full_disk_leaves_nothing_new_and_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "out"
    write_files(folder, {"a": b"old"})
    real, calls = os.fsync, 0

    def full(handle: int) -> None:
        nonlocal calls
        calls += 1
        if calls == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(handle)

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DocumentError, match="b: cannot be written: No space left on device"):
        write_files(folder, {"a": b"new", "b": b"new"})
    assert [path.name for path in folder.iterdir()] == ["a"]
    assert (folder / "a").read_bytes() == b"old"


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(DocumentError, match="cannot be written") as caught:
        write_files(tmp_path / "file" / "sub", {"a": b"x"})
    assert "\n" not in str(caught.value)


def test_a_folder_in_the_way_leaves_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    (folder / "b").mkdir(parents=True)
    with pytest.raises(DocumentError, match="found a folder, expected a file"):
        write_files(folder, {"a": b"x", "b": b"x"})
    assert [path.name for path in folder.iterdir()] == ["b"]


def test_a_photo_becomes_small_upright_and_forgets_its_camera(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010F] = "a maker"
    out = io.BytesIO()
    Image.new("RGB", (2000, 1000), "red").save(out, "JPEG", exif=exif)
    with Image.open(io.BytesIO(downscaled(out.getvalue()))) as small:
        assert small.size == (500, 1000)
        assert dict(small.getexif()) == {}


def test_a_picture_too_large_to_be_copied_becomes_small_by_strips() -> None:
    """Twelve thousand pixels a side, copied as a whole, took 3.4 GB; by strips 0.7."""
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    whole = Image.new("RGBA", (5000, 3400), (0, 0, 0, 0))
    whole.paste((255, 0, 0, 255), (0, 0, 2500, 1700))
    out = io.BytesIO()
    whole.save(out, "PNG", exif=exif, compress_level=1)
    with Image.open(io.BytesIO(downscaled(out.getvalue()))) as small:
        assert small.size == (680, 1000)
        assert small.getpixel((600, 100)) == pytest.approx((254, 0, 0), abs=3)
        assert small.getpixel((100, 900)) == pytest.approx((255, 255, 255), abs=3)


def test_a_see_through_picture_stands_on_white(tmp_path: Path) -> None:
    out = io.BytesIO()
    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(out, "PNG")
    with Image.open(io.BytesIO(downscaled(out.getvalue()))) as small:
        assert small.getpixel((5, 5)) == (255, 255, 255)


@pytest.mark.parametrize("damage", [b"", b"\xff\xd8\xff\x00", b"GIF89a", b"\x89PNG\r\n\x1a\n123"])
def test_what_is_no_picture_is_one_line(damage: bytes) -> None:
    with pytest.raises(DocumentError, match="photo: damaged") as caught:
        downscaled(damage)
    assert "\n" not in str(caught.value)


def test_a_cut_off_photo_is_one_line(tmp_path: Path) -> None:
    whole = photo(tmp_path).read_bytes()
    with pytest.raises(DocumentError, match="photo: damaged"):
        downscaled(whole[: len(whole) // 2])


def test_only_what_has_no_glyph_gives_way() -> None:
    assert printable("Aé Ω Ж ≤ ✓ °±²µ")[1] == ()
    assert printable("a\u202eb\u200b\u2066\xad\u200d\n\t")[1] == (
        *("\xad", "\u200b"),
        *("\u200d", "\u202e", "\u2066"),
    )
    assert printable("漢a字😀\ue123")[1] == ("字", "漢", "\ue123", "😀")
    data, lacking = printable({"a": ["漢\tx", 1, None], "漢": "b"})
    assert data == {"a": ["[U+6F22] x", 1, None], "漢": "b"}
    assert lacking == ("漢",)
