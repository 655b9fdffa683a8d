"""Short ways to draw a pattern on a small wall and to look at its pixels."""

from __future__ import annotations

from PIL import Image

from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.pattern_files import picture
from tests.wall.model.test_wall_file import changed


def rgb(wall: Wall, name: str) -> Image.Image:
    return picture(wall, name).convert("RGB")


def colours(image: Image.Image) -> dict[tuple[int, ...], int]:
    found = image.getcolors(image.width * image.height)
    assert found is not None
    return {tuple(colour): count for count, colour in found if isinstance(colour, tuple)}


def with_grid(columns: int, rows: int, width_px: int, height_px: int, modules: int = 1) -> Wall:
    text = changed("columns = 3\nrows = 2", f"columns = {columns}\nrows = {rows}")
    text = text.replace("width_px = 192", f"width_px = {width_px}\nmodule_columns = {modules}")
    text = text.replace("height_px = 192", f"height_px = {height_px}\nmodule_rows = {modules}")
    return parse_wall(text.partition("[[chains]]")[0])
