"""The page of the wall file's keys, and the comments in a file that is new."""

from __future__ import annotations

import tomllib

from commission_tui.wall.model.file_model import WallFile
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_file_keys import commented, page, tables
from tests.paths import ROOT


def test_the_page_is_current() -> None:
    """`commission-tui wall keys > docs/wall-file.md` makes it anew."""
    kept = (ROOT / "docs" / "wall-file.md").read_text(encoding="utf-8")
    assert kept.rstrip() == page().rstrip()


def test_every_key_of_every_table_is_explained() -> None:
    assert [table.key for table in tables()] == list(WallFile.model_fields)
    for table in tables():
        assert table.says, table.key
        for key in table.keys:
            assert key.says.endswith((".", "`.")), (table.key, key.key)


def test_a_file_written_with_comments_says_the_same_and_names_every_key(
    demo_wall_text: str,
) -> None:
    data = tomllib.loads(demo_wall_text)
    text = commented(data)
    assert parse_wall(text).file == parse_wall(demo_wall_text).file
    for table in tables():
        for key in table.keys:
            assert f"\n{key.key} =" in text or f"\n# {key.key} =" in text, (table.key, key.key)


def test_a_hostile_text_stays_a_value(demo_wall_text: str) -> None:
    data = tomllib.loads(demo_wall_text)
    data["wall"]["name"] = 'a"b\\c # [x]'
    assert parse_wall(commented(data)).name == 'a"b\\c # [x]'
