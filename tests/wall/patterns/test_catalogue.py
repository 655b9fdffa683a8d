"""Patterns pixel by pixel, held against the wall file and against another PNG decoder's reading."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from commission_tui.errors import InputError
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns import PATTERNS, find_pattern
from commission_tui.wall.patterns.fields import NEAR_BLACK_CODES, NEAR_WHITE_CODES
from commission_tui.wall.patterns.pattern_files import render
from commission_tui.wall.patterns.visible_area import largest_lit_box, unlit_boxes
from tests.wall.model.test_wall_file import changed, placed
from tests.wall.patterns.drawing_help import colours, rgb, with_grid

BLACK, WHITE = (0, 0, 0), (255, 255, 255)
RED, GREEN, BLUE, YELLOW = (255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 0)
SMALL_PX = (576, 384)
STILL = [name for name, pattern in PATTERNS.items() if not pattern.moving]


def is_known(name: str) -> bool:
    try:
        find_pattern(name)
    except InputError:
        return False
    return True


@pytest.mark.parametrize("name", ["black", "grey 0.5 %", "grey 50 %"])
def test_a_field_that_is_no_full_colour_does_not_prove_that_leds_light(name: str) -> None:
    assert "every LED" not in PATTERNS[name].proves
    assert "every LED" in PATTERNS["red"].proves


@pytest.mark.parametrize("name", PATTERNS)
def test_each_is_drawn_at_the_resolution_of_the_wall(
    small: Wall, name: str, tmp_path: Path
) -> None:
    path = tmp_path / "pattern.png"
    drawn = render(small, name, path)
    with Image.open(path) as read:
        read.load()
        assert read.size == SMALL_PX == (drawn.width_px, drawn.height_px)
        assert getattr(read, "n_frames", 1) == drawn.frames
    assert [p.name for p in tmp_path.iterdir()] == ["pattern.png"]
    if name in STILL:  # the same wall gives the same bytes
        content = path.read_bytes()
        render(small, name, path)
        assert path.read_bytes() == content


def test_each_says_what_it_proves_and_does_not() -> None:
    for pattern in PATTERNS.values():
        for text in (pattern.look_for, pattern.proves, pattern.does_not_prove):
            assert text.endswith(".")
            assert text.isprintable()


def test_what_moves_or_is_bright_carries_a_caution() -> None:
    for pattern in PATTERNS.values():
        if pattern.moving:
            assert "epilepsy" in pattern.caution
    for name in STILL:
        image = rgb(with_grid(2, 2, 192, 192), name)
        mean = sum(sum(c) * n for c, n in colours(image).items()) / (3 * image.width * image.height)
        bright = mean > 255 * 0.33
        assert not bright or "Bright" in PATTERNS[name].caution, name


def test_patterns_that_the_checklists_ask_for_can_be_drawn() -> None:
    """All but the one that needs sound, which a picture has not."""
    asked: set[str] = set()
    for file in Path("checklists").glob("*.toml"):
        for check in tomllib.loads(file.read_text(encoding="utf-8")).get("checks", []):
            asked |= {name.strip() for name in check.get("pattern", "").split(",")} - {""}
    assert asked
    assert {name for name in asked if not is_known(name)} <= {"flash and click"}


@pytest.mark.parametrize("name", ["grey-50", "GREY 50 %", "grey 50%", "Grey_50"])
def test_a_name_may_be_typed_without_its_signs(name: str) -> None:
    assert find_pattern(name).name == "grey 50 %"


def test_an_unknown_name_is_one_line_with_the_nearest() -> None:
    with pytest.raises(InputError, match="did you mean 'cabinet numbers'") as caught:
        find_pattern("cabnet numbers")
    assert str(caught.value).isprintable()
    with pytest.raises(InputError) as caught:
        find_pattern("\x1b[31m\n")
    assert str(caught.value).isprintable()


def test_tiles_differ_and_keep_to_their_cabinets(small: Wall) -> None:
    image = rgb(small, "cabinet numbers")
    tiles = {
        cell: image.crop((c.x_px, c.y_px, c.x_px + 192, c.y_px + 192)).tobytes()
        for cell, c in small.cabinets.items()
    }
    assert len(set(tiles.values())) == 6


def test_corner_marks_tell_all_eight_ways_round(small: Wall) -> None:
    """A mark has the same number of lit pixels however it is turned or mirrored."""
    tile = rgb(small, "cabinet numbers").crop((0, 0, 192, 192))
    ways = [tile, *(tile.transpose(way) for way in Image.Transpose)]
    far = 192 - 14 - 26
    boxes = [(x, y, x + 26, y + 26) for y in (14, far) for x in (14, far)]
    seen = [tuple(colours(way.crop(box))[WHITE] for box in boxes) for way in ways]
    assert len(set(seen[0])) == 4
    assert len(set(seen)) == len(ways) == 8


def test_the_arrow_points_up(small: Wall) -> None:
    image = rgb(small, "cabinet numbers")
    rows = [sum(image.getpixel((x, y)) == WHITE for x in range(70, 122)) for y in range(14, 50)]
    lit = [count for count in rows if count]
    assert lit[0] < lit[len(lit) // 3]
    assert max(lit[: len(lit) // 2 + 1]) > 2 * lit[-1]


def test_the_rulers_tick_every_tenth_pixel(small: Wall) -> None:
    image = rgb(small, "cabinet numbers")
    ground = image.getpixel((95, 2))
    ticks = [x for x in range(1, 191) if image.getpixel((x, 2)) != ground]
    assert ticks == list(range(10, 191, 10))
    down = [y for y in range(1, 191) if image.getpixel((2, y)) != ground]
    assert down == list(range(10, 191, 10))
    deep = [x for x in range(1, 191) if image.getpixel((x, 12)) == (200, 200, 200)]
    assert deep == [100]


def test_frames_close_round_every_cabinet_and_the_diagonals_go_through(demo_wall: Wall) -> None:
    image = rgb(demo_wall, "cabinet frames")
    for cabinet in demo_wall.cabinets.values():
        left, top = cabinet.x_px, cabinet.y_px
        for step in range(200):
            for place in (
                *((left + step, top), (left + step, top + 199)),
                *((left, top + step), (left + 199, top + step)),
            ):
                assert image.getpixel(place) == WHITE
    # 2400 x 1200: the diagonal passes pixel (2y, y).
    assert image.getpixel((211, 105)) == GREEN
    assert image.getpixel((2188, 105)) == GREEN
    assert set(colours(image)) == {BLACK, WHITE, GREEN}


def test_module_edges_are_where_the_model_changes_module() -> None:
    """128 px in three modules do not divide evenly."""
    wall = with_grid(1, 1, 128, 128, modules=3)
    image = rgb(wall, "module numbers")
    for x in range(1, 128):
        before, here = wall.module_at(Cell(1, 1), x - 1, 20), wall.module_at(Cell(1, 1), x, 20)
        if before != here:
            assert image.getpixel((x - 1, 20)) == WHITE
            assert image.getpixel((x, 20)) == WHITE


def test_seams_are_marked_on_both_sides(small: Wall) -> None:
    image = rgb(small, "seams")
    assert image.getpixel((191, 50)) == BLUE
    assert image.getpixel((192, 50)) == YELLOW
    assert image.getpixel((50, 191)) == BLUE
    assert image.getpixel((50, 192)) == YELLOW
    # 5, 15, 25 ... down: the comb crosses eight pixels on each side.
    row = [x for x in range(100, 300) if image.getpixel((x, 55)) == WHITE]
    assert row == [*range(184, 191), *range(193, 200)]


def test_a_gap_has_no_seam() -> None:
    image = rgb(parse_wall(placed(700, 300)), "seams")
    assert set(colours(image)) == {BLACK}


def test_corners_are_single_pixels(small: Wall) -> None:
    """Six cabinets have 24 corners; four of them are the canvas's own."""
    image = rgb(small, "canvas corners")
    assert colours(image) == {BLACK: 576 * 384 - 24, WHITE: 4, GREEN: 20}
    for corner in ((0, 0), (575, 0), (0, 383), (575, 383)):
        assert image.getpixel(corner) == WHITE


def test_edge_lines_count_lost_pixels(small: Wall) -> None:
    image = rgb(small, "edge frame")
    wanted = [WHITE, BLACK, RED, BLACK, GREEN, BLACK, BLUE, BLACK]
    assert [image.getpixel((x, 190)) for x in range(8)] == wanted
    assert [image.getpixel((575 - x, 190)) for x in range(8)] == wanted
    assert [image.getpixel((280, y)) for y in range(8)] == wanted
    assert [image.getpixel((280, 383 - y)) for y in range(8)] == wanted


def test_one_pixel_patterns_repeat_over_the_whole_canvas() -> None:
    """Odd sizes, more than one strip high, so that no period ends at an edge by luck."""
    wall = with_grid(3, 5, 43, 37)
    lit_by_name: dict[str, Callable[[int, int], bool]] = {
        "one-pixel checkerboard": lambda x, y: (x + y) % 2 == 0,
        "one-pixel vertical lines": lambda x, _: x % 2 == 0,
        "one-pixel horizontal lines": lambda _, y: y % 2 == 0,
    }
    for name, lit in lit_by_name.items():
        image = rgb(wall, name)
        assert all(
            image.getpixel((x, y)) == (WHITE if lit(x, y) else BLACK)
            for x in range(129)
            for y in range(185)
        ), name
    lines = rgb(wall, "one-pixel colour lines")
    row = [lines.getpixel((x, 100)) for x in range(8)]
    assert row == [RED, BLACK, GREEN, BLACK, BLUE, BLACK, WHITE, BLACK]


@pytest.mark.parametrize(
    ("name", "colour"),
    [
        *(("white", WHITE), ("black", BLACK), ("red", RED), ("green", GREEN), ("blue", BLUE)),
        # Share of 255, halves up: 127.5, 51, 25.5.
        *(("grey 50 %", (128,) * 3), ("grey 20 %", (51,) * 3), ("grey 10 %", (26,) * 3)),
        # 12.75, 5.1, 2.55 and 1.275.
        *(("grey 5 %", (13,) * 3), ("grey 2 %", (5,) * 3), ("grey 1 %", (3,) * 3)),
        ("grey 0.5 %", (1,) * 3),
    ],
)
def test_a_field_is_one_colour(small: Wall, name: str, colour: tuple[int, ...]) -> None:
    assert colours(rgb(small, name)) == {colour: 576 * 384}


def test_sixteen_patches_are_half_white_and_take_turns(small: Wall) -> None:
    image = rgb(small, "sixteen patches")
    assert colours(image) == {BLACK: 576 * 384 // 2, WHITE: 576 * 384 // 2}
    centres = [[image.getpixel((72 + 144 * c, 48 + 96 * r)) for c in range(4)] for r in range(4)]
    for r, row in enumerate(centres):
        assert row == [WHITE if (r + c) % 2 else BLACK for c in range(4)]


def test_thin_lines_cross_in_the_middle_of_every_cabinet(small: Wall) -> None:
    image = rgb(small, "thin lines on grey")
    for cabinet in small.cabinets.values():
        box = (cabinet.x_px, cabinet.y_px)
        part = image.crop((*box, box[0] + cabinet.width_px, box[1] + cabinet.height_px))
        lit = cabinet.width_px + cabinet.height_px - 1
        assert colours(part)[WHITE] == lit
        assert part.getpixel((cabinet.width_px // 2, 0)) == WHITE
        assert part.getpixel((0, cabinet.height_px // 2)) == WHITE


def test_the_window_is_a_tenth_of_the_canvas_in_its_middle(demo_wall: Wall) -> None:
    image = rgb(demo_wall, "white window")
    lit = colours(image)[WHITE]
    assert lit / (2400 * 1200) == pytest.approx(0.1, abs=0.0005)
    left, top, right, bottom = image.convert("L").getbbox() or (0, 0, 0, 0)
    assert (left + right, top + bottom) == (2400, 1200)


def test_the_ramp_has_every_code_and_never_steps_back() -> None:
    image = rgb(with_grid(4, 1, 192, 192), "grey ramp")
    upper = [image.getpixel((x, 10))[0] for x in range(768)]  # type: ignore[index]
    assert upper == sorted(upper)
    assert set(upper) == set(range(256))
    assert {upper.count(code) for code in range(256)} == {3}
    lower = [image.getpixel((x, 180))[0] for x in range(768)]  # type: ignore[index]
    assert lower == upper[::-1]


def test_twenty_one_steps_of_five_percent(demo_wall: Wall) -> None:
    image = rgb(demo_wall, "grey steps")
    seen = [image.getpixel((x, 10))[0] for x in range(2400)]  # type: ignore[index]
    steps = sorted(set(seen))
    assert len(steps) == 21
    assert all(abs(code - 255 * n / 20) <= 0.5 for n, code in enumerate(steps))
    assert {seen.count(code) for code in steps} <= {114, 115}


def test_range_steps_show_codes_on_both_sides_of_limited_range(demo_wall: Wall) -> None:
    """Limited range puts black at 16 and white at 235 (ITU-R BT.709-6, 8 bits)."""
    for needed, codes in (
        ((1, 16, 17), NEAR_BLACK_CODES),
        ((254, 236, 235, 234), NEAR_WHITE_CODES),
    ):
        assert set(needed) <= set(codes)
    greys = {colour[0] for colour in colours(rgb(demo_wall, "range steps"))}
    assert set(NEAR_BLACK_CODES) | set(NEAR_WHITE_CODES) | {0, 255} <= greys


def test_bars_fall_in_luminance(small: Wall) -> None:
    """Weights of R, G and B by ITU-R BT.709."""
    image = rgb(small, "colour bars")
    bars = [image.getpixel((x * 72 + 36, 20)) for x in range(8)]
    light = [0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in bars]  # type: ignore[misc]
    assert light == sorted(light, reverse=True)
    below = [image.getpixel((x * 72 + 36, 370)) for x in range(8)]
    assert below == [tuple(round(v * 0.75) for v in bar) for bar in bars]  # type: ignore[union-attr]


def test_text_lines_have_capitals_as_high_as_they_say(demo_wall: Wall) -> None:
    """Rows of lit pixels at the far left belong to the first figure, as high as a capital."""
    image = rgb(demo_wall, "text lines").convert("L")
    rows = [image.crop((0, y, 2400, y + 1)).getbbox() is not None for y in range(1200)]
    assert any(rows)
    heights: list[int] = []
    for before, lit in zip([False, *rows], rows, strict=False):
        if lit and not before:
            heights.append(0)
        if lit:
            heights[-1] += 1
    # The p of "px" hangs below the line by no more than half a capital.
    for said, seen in zip((7, 8, 9, 10, 12, 14, 16, 20), heights, strict=False):
        assert said <= seen <= said * 1.5


@settings(max_examples=80, deadline=None)
@given(
    rows=st.integers(1, 5),
    columns=st.integers(1, 5),
    gaps=st.sets(st.tuples(st.integers(1, 5), st.integers(1, 5)), max_size=10),
)
def test_the_largest_lit_box_is_the_largest_by_trying_all(
    rows: int, columns: int, gaps: set[tuple[int, int]]
) -> None:
    cells = {(r, c) for r in range(1, rows + 1) for c in range(1, columns + 1)}
    if not cells - gaps:
        return
    absent = [f'"R{r}C{c}"' for r, c in sorted(gaps & cells)]
    text = changed("columns = 3\nrows = 2", f"columns = {columns}\nrows = {rows}")
    text = text.replace('type = "A"', f'type = "A"\nabsent = [{", ".join(absent)}]')
    wall = parse_wall(text.partition("[[chains]]")[0])
    left, top, right, bottom = largest_lit_box(wall)
    full = [
        (r2 - r1 + 1) * (c2 - c1 + 1)
        for r1 in range(1, rows + 1)
        for r2 in range(r1, rows + 1)
        for c1 in range(1, columns + 1)
        for c2 in range(c1, columns + 1)
        if all((r, c) in wall.cabinets for r in range(r1, r2 + 1) for c in range(c1, c2 + 1))
    ]
    assert (right - left) * (bottom - top) == max(full) * 192 * 192
    assert all(
        wall.cabinet_at_pixel(x, y) is not None
        for x in range(left, right, 96)
        for y in range(top, bottom, 96)
    )
    unlit = unlit_boxes(wall)
    for x in range(96, wall.width_px, 192):
        for y in range(96, wall.height_px, 192):
            around = [box for box in unlit if box[0] <= x < box[2] and box[1] <= y < box[3]]
            assert len(around) == (wall.cabinet_at_pixel(x, y) is None)
    missing = sum((right - left) * (bottom - top) for left, top, right, bottom in unlit)
    assert missing == wall.width_px * wall.height_px - wall.lit_pixels


@pytest.mark.parametrize(
    "name", ["text lines", "reading direction", "near-black steps", "range steps", "grey steps"]
)
def test_what_must_be_read_stands_where_cabinets_are(name: str) -> None:
    text = changed('type = "A"', 'type = "A"\nabsent = ["R1C1:R1C2"]').partition("[[chains]]")[0]
    image = rgb(parse_wall(text), name).convert("L")
    assert image.crop((0, 0, 384, 192)).getbbox() is None
    assert image.getbbox() is not None
