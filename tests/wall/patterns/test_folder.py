"""Several patterns into one folder: whole files only, whatever happens on the way."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from commission_tui.errors import InputError
from commission_tui.progress import StoppedError
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns import PATTERNS, find_pattern
from commission_tui.wall.patterns.catalogue import named_in
from commission_tui.wall.patterns.folder import Step, file_name, there_already, write_patterns


def nothing(_step: Step) -> None:
    return


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("white", ["white"]),
        ("white, grey 50 %,  Grey-10", ["white", "grey 50 %", "grey 10 %"]),
        ("flash and click", []),
        ("red, something of our own, red", ["red"]),
        ("", []),
    ],
)
def test_what_a_check_names_is_found(text: str, names: list[str]) -> None:
    assert [pattern.name for pattern in named_in(text)] == names


def test_each_pattern_has_a_file_of_its_own_that_names_the_canvas(demo_wall: Wall) -> None:
    names = {file_name(pattern, demo_wall) for pattern in PATTERNS.values()}
    assert len(names) == len(PATTERNS)
    assert "grey-0.5-2400x1200.png" in names
    assert not any(set(name) & set("/\\ %:") for name in names)


def test_files_are_written_into_a_new_folder_at_the_walls_resolution(
    demo_wall: Wall, tmp_path: Path
) -> None:
    folder = tmp_path / "new" / "folder"
    told: list[Step] = []
    wanted = [find_pattern(name) for name in ("white", "moving bar")]
    assert there_already(wanted, demo_wall, folder) == 0
    paths = list(write_patterns(demo_wall, wanted, folder, told.append))
    assert set(folder.iterdir()) == set(paths)
    for path in paths:
        with Image.open(path) as picture:
            assert picture.size == (demo_wall.width_px, demo_wall.height_px)
    assert there_already(wanted, demo_wall, folder) == 2
    assert [step.number for step in told] == sorted(step.number for step in told)
    assert (told[0].number, told[0].of, told[0].frame) == (1, 2, 0)
    last = told[-1]
    assert last.frame == last.frames > 100


@pytest.mark.parametrize("at", [0, 1, 2, 3, 4, 5, 40])
def test_stopped_at_any_moment_no_part_of_a_file_stays(
    demo_wall: Wall, tmp_path: Path, at: int
) -> None:
    folder = tmp_path / "new" / "folder"
    seen = 0

    def stop(_step: Step) -> None:
        nonlocal seen
        if seen == at:
            raise StoppedError
        seen += 1

    wanted = [find_pattern(name) for name in ("white", "moving bar")]
    done: list[Path] = []
    with pytest.raises(StoppedError):
        done.extend(write_patterns(demo_wall, wanted, folder, stop))
    left = sorted(tmp_path.rglob("*.*"))
    assert left == done
    assert len(done) == (at > 2)
    if not done:
        assert not list(tmp_path.iterdir())


def test_what_was_there_before_stays_when_writing_ends_early(
    demo_wall: Wall, tmp_path: Path
) -> None:
    kept = tmp_path / file_name(find_pattern("white"), demo_wall)
    kept.write_bytes(b"before")

    def stop(step: Step) -> None:
        if step.frame:
            raise StoppedError

    with pytest.raises(StoppedError):
        list(write_patterns(demo_wall, [find_pattern("white")], tmp_path, stop))
    assert kept.read_bytes() == b"before"
    assert list(tmp_path.iterdir()) == [kept]


@pytest.mark.parametrize("name", ["file/below", "file", "nul\0"])
def test_a_folder_that_cannot_be_made_is_one_line(
    demo_wall: Wall, tmp_path: Path, name: str
) -> None:
    (tmp_path / "file").write_text("a file")
    with pytest.raises(InputError, match="cannot be written") as caught:
        list(write_patterns(demo_wall, [find_pattern("white")], tmp_path / name, nothing))
    assert str(caught.value).isprintable()
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_a_full_disk_is_one_line_and_leaves_nothing(
    demo_wall: Wall, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The part goes to a device that is always full, as Linux has one."""
    if not Path("/dev/full").exists():
        pytest.skip("this system has no device that is always full")
    opened = Path.open

    def full(self: Path, *args: object, **kwargs: object) -> object:
        real = Path("/dev/full") if self.suffix == ".part" else self
        return opened(real, *args, **kwargs)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", full)
    for name in ("white", "moving bar"):
        with pytest.raises(InputError, match=r"cannot be written: .*[Nn]o space") as caught:
            list(write_patterns(demo_wall, [find_pattern(name)], tmp_path / "new", nothing))
        assert str(caught.value).isprintable()
        assert not list(tmp_path.iterdir())


def test_a_wall_without_room_for_a_pattern_is_one_line(
    demo_wall: Wall, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("commission_tui.wall.patterns.sheet.MOST_PIXELS", 100)
    with pytest.raises(InputError, match="expected at most"):
        list(write_patterns(demo_wall, [find_pattern("white")], tmp_path / "new", nothing))
    assert not list(tmp_path.iterdir())
