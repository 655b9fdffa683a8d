"""A picture as characters: four points to a cell in two colours, as large as there is room."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.color import Color
from textual.theme import Theme

from commission_tui.bounded_picture import smaller_on_white
from commission_tui.errors import InputError
from commission_tui.screens.terminal.terminal_size import CHARACTER_ASPECT

if TYPE_CHECKING:
    from PIL import Image

_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By which of the four points are light: 1 top left, 2 top right, 4 bottom left, 8 bottom right."""
_MOST_CELLS = 400_000
_ENOUGH_PX = 2_000
_FAINT = 24

Run = tuple[str, str, str]
"""Characters, the colour they are drawn in, and the colour behind them."""
Tint = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Cells:
    """A picture as rows of runs."""

    columns: int
    rows: tuple[tuple[Run, ...], ...]


def paper_tint(theme: Theme) -> Tint:
    """Return what white becomes: no brighter than the text round it in a dark house."""
    return Color.parse(theme.foreground or "white").rgb if theme.dark else (255, 255, 255)


def size_to_fit(size: tuple[int, int], room: tuple[int, int]) -> tuple[int, int]:
    """Return the columns and rows of a picture that shows whole, undistorted, in the room."""
    width, height = size
    columns, rows = room
    wanted = columns * height / (width * CHARACTER_ASPECT)
    if wanted <= rows:
        return max(1, columns), max(1, round(wanted))
    return max(1, round(rows * CHARACTER_ASPECT * width / height)), max(1, rows)


def size_to_width(size: tuple[int, int], columns: int) -> tuple[int, int]:
    """Return the columns and rows of a picture as wide as the columns, however high."""
    width, height = size
    return max(1, columns), max(1, round(columns * height / (width * CHARACTER_ASPECT)))


def open_picture(content: bytes) -> Image.Image:
    """Open a JPEG or PNG upright, decoding no more of a large photo than a screen can show.

    Raises
    ------
    InputError
        When the bytes are not a picture that can be shown.
    """
    return smaller_on_white(content, "picture", InputError, _ENOUGH_PX)


def without_margins(page: Image.Image) -> Image.Image:
    """Cut the empty margins left and right off a page, so that its text is larger."""
    from PIL import ImageChops

    empty = ImageChops.invert(page.convert("L"))
    box = empty.point(lambda level: 255 if level > _FAINT else 0).getbbox()
    if box is None:
        return page
    left, _, right, _ = box
    beside = page.width // 50
    return page.crop((max(0, left - beside), 0, min(page.width, right + beside), page.height))


def cells_of(
    picture: Image.Image, grid: tuple[int, int], tint: Tint = (255, 255, 255), *, ink: float = 1.0
) -> Cells:
    """Draw a picture on a grid of columns and rows; white becomes the tint.

    The tint keeps a white page from lighting up a dark house; ink above 1 keeps the thin strokes of
    print from fading when they are drawn small.

    Raises
    ------
    InputError
        When the grid is larger than any screen needs.
    """
    import numpy as np
    from PIL import Image

    columns, rows = grid
    if columns * rows > _MOST_CELLS:
        raise InputError(f"picture: found {columns} x {rows} characters, expected fewer")
    small = picture.resize((columns * 2, rows * 2), Image.Resampling.LANCZOS)
    light = (np.asarray(small).astype(np.float32) / 255) ** ink
    tinted = light * np.asarray(tint, dtype=np.float32)
    # (rows, 2, columns, 2, rgb) to four points a cell, in the order of the quadrants' bits.
    four = tinted.reshape(rows, 2, columns, 2, 3).transpose(0, 2, 1, 3, 4)
    return _drawn(four.reshape(rows, columns, 4, 3))


def _drawn(four: Any) -> Cells:
    """Choose for each cell which of its points are light, and the mean colour of either kind."""
    import numpy as np

    light = four @ np.asarray((0.2126, 0.7152, 0.0722), dtype=np.float32)
    middle = (light.max(axis=2) + light.min(axis=2)) / 2
    is_light = light > middle[:, :, None]
    above = _mean(four, is_light)
    below = _mean(four, ~is_light)
    number = (is_light * np.asarray((1, 2, 4, 8))).sum(axis=2)
    rows = tuple(
        _runs(signs, over, under)
        for signs, over, under in zip(number, _packed(above), _packed(below), strict=True)
    )
    return Cells(four.shape[1], rows)


def _mean(four: Any, chosen: Any) -> Any:
    count = chosen.sum(axis=2)[:, :, None]
    return (four * chosen[:, :, :, None]).sum(axis=2) / count.clip(min=1)


def _packed(colours: Any) -> Any:
    """Return each colour as one number; neighbours that differ by nothing one sees are one colour."""
    import numpy as np

    coarse = (colours.clip(0, 255) / 5).round() * 5
    whole = coarse.astype(np.int64)
    return (whole[:, :, 0] << 16) | (whole[:, :, 1] << 8) | whole[:, :, 2]


def _runs(signs: Any, over: Any, under: Any) -> tuple[Run, ...]:
    """Join what has the same two colours, so that little is sent to the terminal."""
    runs: list[tuple[str, int, int]] = []
    for sign, above, below in zip(signs.tolist(), over.tolist(), under.tolist(), strict=True):
        if runs and runs[-1][2] == below and (sign == 0 or runs[-1][1] in (above, -1)):
            text, kept, _ = runs[-1]
            runs[-1] = (text + _QUADRANTS[sign], kept if sign == 0 else above, below)
        else:
            runs.append((_QUADRANTS[sign], above if sign else -1, below))
    return tuple(
        (text, _hex(below if over < 0 else over), _hex(below)) for text, over, below in runs
    )


def _hex(colour: int) -> str:
    return f"#{colour:06x}"
