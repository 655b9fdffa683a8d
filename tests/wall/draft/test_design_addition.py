"""One thing more in a wall file; what is read back is checked by Python's own TOML reader."""

from __future__ import annotations

import tomllib

import pytest

from commission_tui.errors import CommissionError
from commission_tui.wall.draft.design_addition import ADDITIONS, with_added
from commission_tui.wall.model.wall_file import parse_wall
from tests.screens.conftest import SMALL_WALL

KINDS = {one.key: one for one in ADDITIONS}


@pytest.mark.parametrize("addition", ADDITIONS, ids=lambda one: one.key)
def test_two_of_everything_are_added_and_nothing_else_changes(addition: object) -> None:
    kind = next(one for one in ADDITIONS if one is addition)
    first = with_added(SMALL_WALL, kind, kind.example)
    second = with_added(first, kind, kind.example.replace(kind.example.split(",")[0], "Other"))
    file = parse_wall(second).file
    there = getattr(file.room if kind.in_room else file, kind.key)
    names = [getattr(one, "name", one) for one in there]
    assert names == [kind.example.split(",")[0], "Other"]
    rest = tomllib.loads(second)
    for key in (kind.key, *(["room"] if kind.in_room else [])):
        rest.pop(key, None)
    assert rest == tomllib.loads(SMALL_WALL)


def test_comments_stay_and_a_room_keeps_what_it_has() -> None:
    text = f'# ours\n[room]\n# yes\nwithout = ["cameras", "hoists"]\nseats = ["A"]\n{SMALL_WALL}'
    room = parse_wall(with_added(text, KINDS["seats"], "B")).file.room
    assert room is not None
    assert room.seats == ("A", "B")
    filmed = with_added(text, KINDS["cameras"], "Camera 1, 18 m, 1/50, 50")
    assert filmed.startswith("# ours\n[room]\n# yes\n")
    wall = parse_wall(filmed)
    assert wall.file.room is not None
    assert wall.file.room.without == ("hoists",)
    assert wall.has("cameras") is True


LISTED = 'seats = [\n  "A", # by the aisle\n  "B",\n]\n'


@pytest.mark.parametrize(
    ("text", "key", "line", "old", "new"),
    [
        (
            'stage_positions = [{name = "A"}] # marked\n{}',
            "stage_positions",
            "Lectern",
            '[{name = "A"}]',
            '[{name = "A"}, {name = "Lectern"}]',
        ),
        ('room = {seats = ["A"]}\n{}', "seats", "B", '["A"]', '["A", "B"]'),
        ('room.seats = ["A"] # ours\n{}', "seats", "B", '["A"]', '["A", "B"]'),
        ("{}[room]\n" + LISTED, "seats", "C", '  "B",\n', '  "B",\n  "C",\n'),
        (
            # Rows that do not stand together stay where they are.
            '[[stage_positions]]\nname = "L"\n{}[room]\n'
            + LISTED
            + '[[stage_positions]]\nname = "M"\n',
            "seats",
            "C",
            '  "B",\n',
            '  "B",\n  "C",\n',
        ),
    ],
)
def test_a_list_grows_where_it_stands_and_no_other_byte_changes(
    text: str, key: str, line: str, old: str, new: str
) -> None:
    whole = text.replace("{}", SMALL_WALL)
    assert whole.count(old) == 1
    grown = with_added(whole, KINDS[key], line)
    assert grown == whole.replace(old, new)
    parse_wall(grown)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        (SMALL_WALL, "", "found nothing|found 1 part|expected"),
        (f'{SMALL_WALL}[[stage_positions]]\nname = "Lectern"\n', "Lectern", "twice"),
        (f'stage_positions = [{{name = "Lectern"}}]\n{SMALL_WALL}', "Lectern", "twice"),
    ],
)
def test_what_cannot_be_added_is_refused(text: str, line: str, says: str) -> None:
    with pytest.raises(CommissionError, match=says):
        with_added(text, KINDS["stage_positions"], line)
