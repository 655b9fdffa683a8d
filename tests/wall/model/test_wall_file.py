"""A wall file is read whole or refused in one line: file, key, what was found, what was expected."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission_tui.errors import CommissionError, WallFileError
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall, read_wall, route
from tests.characters import CHARACTERS

SMALL = """
[wall]
name = "Small"
mounting = "stacked"
[cabinet_types.A]
width_mm = 500
height_mm = 500
width_px = 192
height_px = 192
weight_kg = 8
power_max_w = 170
[grid]
columns = 3
rows = 2
type = "A"
[processor]
ports = 2
pixels_per_port = 650000
[[chains]]
port = 1
block = "R1C1:R1C3"
pattern = "rows, serpentine, from top left"
[[circuits]]
name = "C1"
phase = "L1"
voltage_v = 230
breaker_a = 16
cabinets = ["R1C1:R2C3"]
"""


def changed(old: str, new: str) -> str:
    assert old in SMALL
    return SMALL.replace(old, new, 1)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("weight_kg", "wieght_kg", r"cabinet_types\.A.*unknown key \(did you mean 'weight_kg'"),
        (
            "width_mm = 500",
            "width_mm = -500",
            r"cabinet_types\.A\.width_mm: found -500, expected more than 0",
        ),
        ("width_mm = 500", "width_mm = nan", r"width_mm: found nan, expected"),
        (
            'mounting = "stacked"',
            'mounting = "stacked"\ntime_zone = "London"',
            r"time_zone: found 'London', expected a time zone such as Europe/London$",
        ),
        ("width_mm = 500", "width_mm = inf", r"width_mm: found inf, expected"),
        (
            "width_mm = 500",
            "width_mm = 1e300",
            r"width_mm: found 1e\+300, expected at most 1000000",
        ),
        ("width_px = 192", "width_px = 192.5", r"width_px: found 192\.5, expected"),
        ("width_px = 192", "width_px = 0", r"width_px: found 0, expected more than 0"),
        ("columns = 3", "columns = 100000", r"grid\.columns: found 100000"),
        (
            'mounting = "stacked"',
            'mounting = "hung"',
            r"wall\.mounting: found 'hung', expected 'flown'",
        ),
        ('name = "Small"', 'name = ""', r"wall\.name: found nothing, expected some text"),
        ('name = "Small"', 'name = "a\\u001bb"', r"wall\.name: found"),
        ('type = "A"', 'type = "B"', r"grid\.type: found 'B', expected one of A"),
        ("port = 1", "port = 3", r"chains\[1\]\.port: found 3, expected 1 to 2"),
        ('"R1C1:R1C3"', '"R1C4:R1C5"', r"chains\[1\]\.block: found 'R1C4:R1C5', expected cabinets"),
        ('"R1C1:R1C3"', '"R1C3:R1C1"', r"expected a range from top left to bottom right"),
        ("serpentine", "snake", r"chains\[1\]\.pattern: found 'rows, snake"),
        ('"R1C1:R2C3"]', '"R1C1", "R1C1"]', r"circuits\[1\]\.cabinets: found R1C1 twice"),
        ('"R1C1:R2C3"]', '"R1C9"]', r"circuits\[1\]\.cabinets: found 'R1C9', expected cabinets"),
        ("[wall]", "[wall", r"not TOML"),
        ("[processor]", "[processing]", r"processor: missing|processing: unknown key"),
    ],
)
def test_one_thing_wrong_is_one_line(old: str, new: str, said: str) -> None:
    with pytest.raises(WallFileError, match=said) as caught:
        parse_wall(changed(old, new), "small.toml")
    text = str(caught.value)
    assert text.startswith("small.toml: ")
    assert text.isprintable()


def test_a_cabinet_on_two_ports_is_refused() -> None:
    second = '\n[[chains]]\nport = 2\norder = ["R2C1", "R1C3"]\n'
    with pytest.raises(WallFileError, match=r"chains\[2\]: found R1C3 also on port 1"):
        parse_wall(SMALL + second)


def test_a_port_on_two_chains_is_refused() -> None:
    second = '\n[[chains]]\nport = 1\norder = ["R2C1"]\n'
    with pytest.raises(WallFileError, match=r"chains\[2\]\.port: found 1 a second time"):
        parse_wall(SMALL + second)


def test_a_chain_naming_an_absent_cabinet_is_refused() -> None:
    text = changed('type = "A"', 'type = "A"\nabsent = ["R2C2"]')
    second = '\n[[chains]]\nport = 2\norder = ["R2C1", "R2C2"]\n'
    with pytest.raises(WallFileError, match=r"chains\[2\]\.order: found 'R2C2', expected cabinets"):
        parse_wall(text + second)


PLACED = """
[[placements]]
position = "R1C1"
type = "A"
x_mm = 0
y_mm = 0
x_px = 0
y_px = 0
[[placements]]
position = "R1C2"
type = "A"
x_mm = {x_mm}
y_mm = 0
x_px = {x_px}
y_px = 0
"""


def placed(x_mm: float, x_px: int) -> str:
    head, _, rest = SMALL.partition("[grid]")
    _, _, tail = rest.partition("[processor]")
    tail = tail.replace("R1C1:R1C3", "R1C1:R1C2").replace("R1C1:R2C3", "R1C1:R1C2")
    return head + "[processor]" + tail + PLACED.format(x_mm=x_mm, x_px=x_px)


def test_placements_may_leave_a_gap() -> None:
    wall = parse_wall(placed(700, 192))
    assert (wall.width_mm, wall.width_px) == (1200, 384)


@pytest.mark.parametrize(("x_mm", "x_px", "unit"), [(499, 192, "mm"), (500, 191, "px")])
def test_overlapping_cabinets_are_refused(x_mm: float, x_px: int, unit: str) -> None:
    with pytest.raises(WallFileError, match=f"R1C1 and R1C2 overlapping in {unit}"):
        parse_wall(placed(x_mm, x_px))


def test_a_turned_cabinet_is_as_wide_as_it_was_high() -> None:
    text = placed(500, 192).replace("width_mm = 500", "width_mm = 1000")
    text = text.replace(
        'position = "R1C1"\ntype = "A"', 'position = "R1C1"\ntype = "A"\nrotation_deg = 90'
    )
    wall = parse_wall(text)
    assert wall.cabinets[Cell(1, 1)].width_mm == 500
    assert wall.cabinets[Cell(1, 1)].height_mm == 1000


def test_a_gap_has_no_seams_and_no_pixels() -> None:
    wall = parse_wall(changed('type = "A"', 'type = "A"\nabsent = ["R1C2"]'))
    assert {str(seam) for seam in wall.seams} == {
        *("R1C1 bottom", "R1C3 bottom", "R2C1 right", "R2C2 right")
    }
    assert wall.cabinet_at_pixel(200, 10) is None
    assert wall.lit_pixels == 5 * 192 * 192


def test_a_file_that_cannot_be_read_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(WallFileError, match="cannot be read"):
        read_wall(tmp_path / "missing.toml")
    with pytest.raises(WallFileError, match="cannot be read"):
        read_wall(tmp_path)
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(WallFileError, match="not UTF-8"):
        read_wall(binary)


def test_deep_nesting_is_refused() -> None:
    with pytest.raises(WallFileError):
        parse_wall("a = " + "[" * 100_000)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_damaged_file_is_never_a_traceback(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(SMALL) - 1))
    length = data.draw(st.integers(0, 30))
    text = SMALL[:start] + data.draw(st.text(CHARACTERS, max_size=12)) + SMALL[start + length :]
    said = ""
    try:
        parse_wall(text)
    except CommissionError as error:
        said = str(error)
    assert "\n" not in said


@pytest.mark.parametrize(
    ("pattern", "order"),
    [
        ("rows, serpentine, from top left", "R1C1 R1C2 R1C3 R2C3 R2C2 R2C1"),
        ("rows, same way, from top right", "R1C3 R1C2 R1C1 R2C3 R2C2 R2C1"),
        ("columns, serpentine, from bottom left", "R2C1 R1C1 R1C2 R2C2 R2C3 R1C3"),
        ("columns, same way, from top right", "R1C3 R2C3 R1C2 R2C2 R1C1 R2C1"),
        ("rows, serpentine, from bottom right", "R2C3 R2C2 R2C1 R1C1 R1C2 R1C3"),
    ],
)
def test_routes(pattern: str, order: str) -> None:
    cells = {Cell(r, c) for r in (1, 2) for c in (1, 2, 3)}
    assert " ".join(str(cell) for cell in route(cells, pattern)) == order


CAMERA = """
[[cameras]]
name = "Balcony"
distance_m = 18
shutter_s = 0.02
frame_rate_hz = 25
"""


@pytest.mark.parametrize("shutter", ['"1/50"', '"180°"', '"20 ms"', '"1/50 s"', "0.02"])
def test_a_shutter_stands_as_the_camera_shows_it(shutter: str) -> None:
    text = SMALL + CAMERA.replace("0.02", shutter)
    assert parse_wall(text).file.cameras[0].shutter_s == pytest.approx(0.02)


@pytest.mark.parametrize("shutter", ['"wide"', '"400°"', '"0"', "0", "true", '"1/0"'])
def test_what_is_no_shutter_is_one_line(shutter: str) -> None:
    with pytest.raises(WallFileError, match=r"cameras\[1\]\.shutter_s: found .*, expected ") as one:
        parse_wall(SMALL + CAMERA.replace("0.02", shutter))
    assert str(one.value).isprintable()


def test_a_white_that_no_light_has_is_refused() -> None:
    with pytest.raises(WallFileError, match=r"targets\.white_y: found 0\.8, expected a colour"):
        parse_wall(SMALL + "[targets]\nwhite_x = 0.4\nwhite_y = 0.8\n")
