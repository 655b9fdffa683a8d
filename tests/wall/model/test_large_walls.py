"""Walls at and beyond what the program takes: done, or refused in one line.

Nothing is timed: what grew as the square of a wall, or of what it is said to have, would not end here.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission_tui.errors import InputError, WallFileError
from commission_tui.wall.draft.wall_draft import new_wall_text
from commission_tui.wall.model.wall_file import MOST_CABINETS, parse_wall
from commission_tui.wall.review.redundancy import graph_of
from tests.wall.model.test_wall_file import SMALL, changed
from tests.wall.review.test_design_review import plan

BARE = SMALL.partition("[[chains]]")[0]
PLACED = BARE.partition("[grid]")[0] + "[processor]" + BARE.partition("[processor]")[2]


def placed(places: Sequence[tuple[str, float, float, int, int]]) -> str:
    rows = [
        f"{{position='{name}', type='A', x_mm={x}, y_mm={y}, x_px={across}, y_px={down}}},"
        for name, x, y, across, down in places
    ]
    return "placements = [\n" + "\n".join(rows) + "\n]\n" + PLACED


def refusal(text: str) -> str:
    with pytest.raises(WallFileError) as caught:
        parse_wall(text, "w.toml")
    assert len(caught.value.lines) <= 100
    return str(caught.value)


def test_ten_thousand_cabinets_on_one_port_are_drafted_and_listed_failure_by_failure_no_more() -> (
    None
):
    drafted = plan(columns=100, rows=100, cabinet_px=(50, 50), ports=1, pixels_per_port=60_000_000)
    wall = parse_wall(new_wall_text(drafted))
    assert [len(chain.cells) for chain in wall.chains] == [10_000]
    with pytest.raises(InputError, match="found up to 10000 cabinets on one port, expected fewer"):
        graph_of(wall).failures()


def test_more_cabinets_than_hang_anywhere_are_refused() -> None:
    text = changed("columns = 3\nrows = 2", "columns = 401\nrows = 50")
    assert "grid: found 20050 cabinets, expected at most 20000" in refusal(text)
    with pytest.raises(InputError, match="expected 1 to 20000 cabinets"):
        new_wall_text(plan(columns=401, rows=50))
    many = [(f"R{n // 400 + 1}C{n % 400 + 1}", 0.0, 0.0, 0, 0) for n in range(MOST_CABINETS + 1)]
    assert "placements: found 20001 cabinets, expected at most 20000" in refusal(placed(many))


def test_more_than_a_thousand_million_pixels_are_refused() -> None:
    text = BARE.replace("columns = 3", "columns = 170").replace("rows = 2", "rows = 160")
    large = text.replace("_px = 192", "_px = 200").replace("columns = 170", "columns = 125")
    assert parse_wall(large).cabinets
    more = large.replace("height_px = 200", "height_px = 251")
    assert "wall: found 25000 x 40160 px, expected at most 1000 million pixels" in refusal(more)


def test_a_chain_that_names_the_whole_wall_again_and_again_is_refused_at_the_second() -> None:
    whole = BARE.replace("columns = 3", "columns = 200").replace("rows = 2", "rows = 100")
    order = ", ".join(["'R1C1:R100C200'"] * 100_000)
    said = refusal(f"{whole}[[chains]]\nport = 1\norder = [{order}]\n")
    assert "chains[1].order: found R1C1 twice, expected each cabinet once" in said


def test_what_is_wrong_thousands_of_times_is_looked_for_a_hundred_times() -> None:
    whole = BARE.replace("columns = 3", "columns = 100").replace("rows = 2", "rows = 100")
    chain = (
        "[[chains]]\nport = 1\nblock = 'R1C1:R100C100'\npattern = 'rows, same way, from top left'\n"
    )
    assert "each port once" in refusal(whole + chain * 1000)


def test_a_column_of_thousands_of_placements_is_held_against_its_neighbours_alone() -> None:
    flat = PLACED.replace("height_mm = 500", "height_mm = 50").replace("px = 192", "px = 3")
    column = [(f"R{n}C1", 0.0, 50.0 * (n - 1), 0, 3 * (n - 1)) for n in range(1, 10_000)]
    column[-1] = (*column[-1][:4], column[-1][4] - 1)
    said = refusal(placed(column).replace(PLACED, flat))
    assert "found R9998C1 and R9999C1 overlapping in px" in said


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=2, max_size=9))
def test_cabinets_overlap_just_when_two_of_them_do(corners: list[tuple[int, int]]) -> None:
    """Held against every pair; a cabinet is 500 mm, a step of a corner 125."""
    places = [
        (f"R1C{n}", 125.0 * x, 125.0 * y, 48 * x, 48 * y) for n, (x, y) in enumerate(corners, 1)
    ]
    over = any(
        abs(x - other_x) < 4 and abs(y - other_y) < 4
        for n, (x, y) in enumerate(corners)
        for other_x, other_y in corners[:n]
    )
    if not over:
        assert parse_wall(placed(places)).cabinets
        return
    assert "overlapping in mm" in refusal(placed(places))
