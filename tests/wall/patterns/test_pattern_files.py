"""What is written: moving patterns read back frame by frame, what cannot be drawn or written, memory."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from commission_tui.errors import InputError
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.pattern_files import picture, render
from tests.wall.model.test_wall_file import SMALL, changed
from tests.wall.patterns.drawing_help import with_grid

PEAK = """
import resource, sys
from pathlib import Path
from commission_tui.wall.patterns.pattern_files import render
from commission_tui.wall.patterns.visible_area import largest_lit_box
from commission_tui.wall.model.wall_file import parse_wall
wall = parse_wall(Path(sys.argv[1]).read_text())
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
drawn = render(wall, sys.argv[3], Path(sys.argv[2]))
after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(drawn.width_px, drawn.height_px, (after - before) // 1024)
"""


def test_a_line_steps_over_every_column_then_every_row(tmp_path: Path) -> None:
    """Read back as an animation by the imaging library, which composes the changed parts."""
    render(with_grid(2, 1, 40, 30), "stepping line", tmp_path / "line.png", steps_per_s=4)
    seen = []
    with Image.open(tmp_path / "line.png") as read:
        for number in range(read.n_frames):  # type: ignore[attr-defined]
            read.seek(number)
            assert read.info["duration"] == 250
            seen.append(read.convert("L").getbbox())
    across = [(x, 0, x + 1, 30) for x in range(80)]
    assert seen == across + [(0, y, 80, y + 1) for y in range(30)]


def test_a_line_steps_through_all_cabinets_at_once(tmp_path: Path) -> None:
    wall = with_grid(2, 1, 40, 30)
    render(wall, "stepping line in every cabinet", tmp_path / "line.png")
    with Image.open(tmp_path / "line.png") as read:
        assert read.n_frames == 70  # type: ignore[attr-defined]
        read.seek(7)
        image = read.convert("L")
    lit = [x for x in range(80) if image.getpixel((x, 15))]
    assert lit == [7, 47]


def test_the_bar_moves_evenly_and_its_loop_has_no_jump(small: Wall, tmp_path: Path) -> None:
    drawn = render(small, "moving bar", tmp_path / "bar.png")
    lefts = []
    with Image.open(tmp_path / "bar.png") as read:
        for number in range(drawn.frames):
            read.seek(number)
            row = read.convert("L").crop((0, 100, 576, 101)).tobytes()
            lit = [x for x in range(576) if row[x]]
            assert len(lit) == 576 // 20
            lefts.append(next(x for x in lit if not row[x - 1]))
    steps = {(b - a) % 576 for a, b in zip(lefts, [*lefts[1:], lefts[0]], strict=True)}
    assert len(steps) == 1


def test_frames_as_numbered_pictures(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    folder = tmp_path / "frames"
    wall = with_grid(2, 1, 40, 30)
    render(wall, "stepping line", folder, progress=lambda done, of: told.append((done, of)))
    names = sorted(p.name for p in folder.iterdir())
    assert names == [f"{n:03}.png" for n in range(1, 111)]
    assert told[-1] == (110, 110)
    with Image.open(folder / "080.png") as last_across:
        assert last_across.convert("L").getbbox() == (79, 0, 80, 30)
    with pytest.raises(InputError, match="expected a new or empty one"):
        render(wall, "stepping line", folder)


@pytest.mark.parametrize(
    ("name", "path", "steps_per_s", "said"),
    [
        ("white", "white.jpg", 10, "expected a name ending in .png"),
        ("white", "missing/white.png", 10, "cannot be written"),
        ("stepping line", "line.png", 0, "steps per second: found 0"),
        ("stepping line", "line.png", float("nan"), "steps per second: found nan"),
    ],
)
def test_what_cannot_be_written_is_one_line(
    small: Wall, name: str, path: str, steps_per_s: float, said: str, tmp_path: Path
) -> None:
    with pytest.raises(InputError, match=said):
        render(small, name, tmp_path / path, steps_per_s=steps_per_s)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["cabinet numbers", "port and place", "module numbers"])
def test_a_tile_too_small_for_its_name_is_refused_not_smudged(name: str) -> None:
    with pytest.raises(InputError, match="expected room for a legible name"):
        picture(with_grid(1, 1, 12, 12), name)


def test_a_canvas_beyond_memory_is_refused() -> None:
    text = SMALL.partition("[[chains]]")[0] + "[canvas]\nwidth_px = 65536\nheight_px = 65536\n"
    with pytest.raises(InputError, match="65536 x 65536 px, expected at most"):
        picture(parse_wall(text), "white")


@pytest.mark.skipif(sys.platform == "win32", reason="the measure is POSIX's")
def test_the_largest_wall_takes_one_byte_a_pixel(tmp_path: Path) -> None:
    """16,384 x 4,096 is 64 MiB once; two copies would be 128."""
    text = changed("columns = 3\nrows = 2", "columns = 64\nrows = 16").partition("[[chains]]")[0]
    text = text.replace("width_px = 192", "width_px = 256")
    text = text.replace("height_px = 192", "height_px = 256")
    (tmp_path / "wall.toml").write_text(text)
    arguments = [tmp_path / "wall.toml", tmp_path / "big.png", "cabinet numbers"]
    done = subprocess.run(
        [sys.executable, "-c", PEAK, *map(str, arguments)],
        capture_output=True,
        text=True,
        check=True,
    )
    width, height, grown_mib = map(int, done.stdout.split())
    assert (width, height) == (16_384, 4_096)
    assert grown_mib < 100
