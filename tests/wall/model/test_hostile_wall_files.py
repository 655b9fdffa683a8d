"""Whatever a wall file holds, it is a wall or one printable line that names file and key."""

from __future__ import annotations

import re
import unicodedata
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission_tui.errors import CommissionError, WallFileError
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall, read_wall, route
from commission_tui.wall.review.design_review import review
from tests.cases import case
from tests.characters import CHARACTERS
from tests.wall.model.test_wall_file import SMALL, changed

HOSTILE = '"a\\u001b[31m\\u202e\\u2028\\nb"'
STRINGS = [match.span() for match in re.finditer(r'"[^"]*"', SMALL)]
KEYS = [match.span(1) for match in re.finditer(r"^(\w+) = ", SMALL, re.MULTILINE)]
NUMBERS = [match.span(1) for match in re.finditer(r"= (\d+)$", SMALL, re.MULTILINE)]
NOT_NUMBERS = (
    *("nan", "-inf", "-1", "1e300", "9" * 400, "true", '"500"', "[]", "{}"),
    "1979-05-27T07:32:00Z",
)


def refusal(text: str) -> str:
    with pytest.raises(WallFileError) as caught:
        parse_wall(text, "w.toml")
    said = str(caught.value)
    assert said.startswith("w.toml: ")
    assert said.isprintable()
    assert len(said) < 300
    return said


def test_control_characters_never_come_back() -> None:
    for start, end in [*STRINGS, *KEYS]:
        with case(SMALL[start:end]):
            said = refusal(SMALL[:start] + HOSTILE + SMALL[end:])
            assert re.search("x1b|found characters that cannot be printed", said)


@pytest.mark.parametrize("value", NOT_NUMBERS)
def test_every_number_is_checked(value: str) -> None:
    for start, end in NUMBERS:
        key = SMALL[:start].splitlines()[-1].removesuffix(" = ")
        with case(key):
            said = refusal(SMALL[:start] + value + SMALL[end:])
            assert all(word in said for word in (key, "found", "expected")), said


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        ("[[chains]]\nport = 2\norder = []", r"chains\[2\]\.order: found an empty list"),
        ("[[chains]]\nport = 2", r"chains\[2\]: found order and block both or neither"),
        (
            "[[chains]]\nport = 2\nbackup_port = 2\norder = ['R2C1']",
            r"chains\[2\]\.backup_port: found 2 a second time",
        ),
        (
            "[[chains]]\nport = 2\nblock = 'R2C1:R2C2:R2C3'\npattern = ''",
            "expected a position like R3C7",
        ),
        (
            "[[circuits]]\nname = 'C1'\nphase = 'L1'\nvoltage_v = 230\nbreaker_a = 16\ncabinets = []",
            r"circuits\[2\]\.name: found 'C1' twice",
        ),
        (
            "[[stated]]\ndocument = 'Q'\npitch_mm = 2.6",
            r"stated\[1\]\.pitch_mm: found 2\.6, expected text in quotes",
        ),
        (
            "[[stated]]\ndocument = 'Q'\npitch_mm = '0.0'",
            r"stated\[1\]\.pitch_mm: found 0\.0, expected more than 0",
        ),
        ("[[stated]]\ndocument = 'Q'\naspect = '16/9'", 'expected text such as "16:9"'),
        (
            "[[stated]]\ndocument = 'Q'\naspect = '16:0'",
            r"stated\[1\]\.aspect: found 16:0, expected both figures more than 0",
        ),
        (
            "[[stated]]\ndocument = '  '",
            r"stated\[1\]\.document: found nothing, expected some text",
        ),
        ("[[inputs]]\nname = 5", r"inputs\[1\]\.name: found 5, expected text in quotes"),
        ("stated = 5", "unknown key"),
        ("[canvas]\nwidth_px = 100\nheight_px = 100", "expected a canvas that holds every cabinet"),
        ("[targets]\nluminance_cdm2 = 600", r"did you mean 'luminance_cd_m2'"),
        ("[canvass]\nwidth_px = 100", r"canvass: unknown key \(did you mean 'canvas'"),
    ],
)
def test_each_slip_is_told_in_the_words_of_the_file(extra: str, said: str) -> None:
    assert re.search(said, refusal(SMALL + "\n" + extra + "\n"))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\x00",
        "[wall]",
        "wall = 1",
        "a." * 5000 + "b = 1",
        "a = " + "{a = " * 5000,
        "x = '" * 9999,
    ],
)
def test_what_is_no_wall_file_is_refused(text: str) -> None:
    refusal(text)


def test_a_file_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    file = tmp_path / "wall.toml"
    file.write_bytes(SMALL.encode("utf-8-sig"))
    assert read_wall(file).name == "Small"


def test_a_file_of_many_megabytes_is_refused_unread(tmp_path: Path) -> None:
    file = tmp_path / "wall.toml"
    with file.open("wb") as opened:
        opened.truncate(50_000_000)
    with pytest.raises(WallFileError, match="more than"):
        read_wall(file)


def test_the_name_of_the_file_is_printed_safely(tmp_path: Path) -> None:
    file = tmp_path / "a\x1b[31m.toml"
    file.write_text("wall = 1")
    with pytest.raises(WallFileError) as caught:
        read_wall(file)
    assert str(caught.value).isprintable()


def test_a_huge_range_costs_no_more_than_the_wall_has() -> None:
    """99,980,001 cells by its corners; six cabinets hang there."""
    wall = parse_wall(changed("R1C1:R2C3", "R1C1:R9999C9999"))
    assert len(wall.circuits[0].cells) == 6


@given(st.text(CHARACTERS, min_size=1, max_size=80))
def test_a_name_is_kept_or_refused_never_changed_within(name: str) -> None:
    """TOML basic strings escape like JSON's; see also the names that `wall new` writes."""
    quoted = "".join(f"\\U{ord(c):08x}" for c in name)
    text = changed('name = "Small"', f'name = "{quoted}"')
    unwanted = any(unicodedata.category(c) in {"Cc", "Cf", "Cs", "Zl", "Zp"} for c in name)
    if name.strip() and not unwanted:
        assert parse_wall(text).name == name.strip()
        return
    said = ""
    try:
        parse_wall(text)
    except CommissionError as error:
        said = str(error)
    assert said.isprintable()


@settings(max_examples=60, deadline=None)
@given(
    rows=st.integers(1, 8),
    columns=st.integers(1, 8),
    gaps=st.sets(st.tuples(st.integers(1, 8), st.integers(1, 8)), max_size=12),
    line=st.sampled_from(["rows", "columns"]),
    turn=st.sampled_from(["serpentine", "same way"]),
    start=st.sampled_from(["top left", "top right", "bottom left", "bottom right"]),
)
def test_a_route_visits_each_cabinet_once_from_its_corner(
    rows: int, columns: int, gaps: set[tuple[int, int]], line: str, turn: str, start: str
) -> None:
    cells = {Cell(r, c) for r in range(1, rows + 1) for c in range(1, columns + 1)}
    ordered = route(cells - gaps, f"{line}, {turn}, from {start}")
    assert len(ordered) == len(set(ordered))
    assert set(ordered) == cells - gaps
    if gaps & cells:
        return
    vertical, horizontal = start.split()
    assert ordered[0] == (
        rows if vertical == "bottom" else 1,
        columns if horizontal == "right" else 1,
    )
    if turn == "serpentine":
        for a, b in pairwise(ordered):
            assert abs(a.row - b.row) + abs(a.column - b.column) == 1


@settings(max_examples=60, deadline=None)
@given(
    width_px=st.integers(1, 300),
    height_px=st.integers(1, 300),
    modules=st.tuples(st.integers(1, 8), st.integers(1, 8)),
    turned=st.sampled_from([0, 90, 180, 270]),
    data=st.data(),
)
def test_canvas_pixel_cabinet_pixel_and_module_agree(
    width_px: int, height_px: int, modules: tuple[int, int], turned: int, data: st.DataObject
) -> None:
    """Every pixel lies in one module, and all modules of a cabinet are met."""
    head = SMALL.partition("[grid]")[0]
    head = head.replace("width_px = 192", f"width_px = {width_px}\nmodule_columns = {modules[0]}")
    head = head.replace("height_px = 192", f"height_px = {height_px}\nmodule_rows = {modules[1]}")
    wall = parse_wall(
        head
        + "[processor]\nports = 1\npixels_per_port = 1\n[[placements]]\nposition = 'R2C3'\n"
        + f"type = 'A'\nx_mm = 0\ny_mm = 0\nx_px = 17\ny_px = 5\nrotation_deg = {turned}\n"
    )
    cabinet = wall.cabinets[Cell(2, 3)]
    x = data.draw(st.integers(0, cabinet.width_px - 1))
    y = data.draw(st.integers(0, cabinet.height_px - 1))
    assert wall.cabinet_at_pixel(x + 17, y + 5) == (cabinet, x, y)
    assert wall.canvas_pixel(cabinet.cell, x, y) == (x + 17, y + 5)
    row, column = wall.module_at(cabinet.cell, x, y)
    assert 1 <= row <= cabinet.module_rows
    assert 1 <= column <= cabinet.module_columns
    assert wall.module_at(cabinet.cell, 0, 0) == (1, 1)
    last = wall.module_at(cabinet.cell, cabinet.width_px - 1, cabinet.height_px - 1)
    if cabinet.width_px >= cabinet.module_columns and cabinet.height_px >= cabinet.module_rows:
        assert last == (cabinet.module_rows, cabinet.module_columns)


@pytest.mark.parametrize("value", ["1", "1000000", "65536", "0.001"])
def test_a_wall_that_is_read_can_be_reviewed(value: str) -> None:
    for start, end in NUMBERS:
        try:
            wall = parse_wall(SMALL[:start] + value + SMALL[end:])
        except WallFileError:
            continue
        for line in review(wall).lines():
            assert line.isprintable()
            assert "nan" not in line, line
            assert " inf" not in line, line
