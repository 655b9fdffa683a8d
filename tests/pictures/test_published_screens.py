"""The pictures in docs/screens are those of the screens as they are."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.paths import ROOT
from tests.pictures.drawing import DEMO, FOLDER, draw, stable
from tests.screens.drawing import only_when_looked_at, style_sheets_read_once


def test_the_published_pictures_are_current(
    demo_database: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    only_when_looked_at(monkeypatch)
    style_sheets_read_once(monkeypatch)
    made = draw(DEMO, demo_database)
    published = {path.name: path.read_bytes() for path in FOLDER.iterdir()}
    assert sorted(made) == sorted(published)
    assert len(set(made.values())) == len(made), "a key leads nowhere: two pictures are the same"
    differing = [name for name, content in made.items() if published[name] != content]
    assert not differing, "run: python -m tests.pictures"


def test_every_picture_the_readme_shows_is_there() -> None:
    named = re.findall(r"!\[[^]]+\]\(([^)]+)\)", (ROOT / "README.md").read_text("utf-8"))
    assert [name for name in named if not (ROOT / name).is_file()] == []
    assert sum(name.startswith("docs/screens/") for name in named) >= 5


def test_a_picture_asks_no_network_and_begins_a_text_where_it_is_seen() -> None:
    svg = (
        '<style>@font-face { src: url("https://fonts.example/x.woff2"); }\n.terminal-12-r1 {}</style>'
        '<text class="terminal-12-r1" x="10" y="5" textLength="60" clip-path="url(#terminal-12-l)">'
        "&#160;&#160;ab&amp;c</text>"
        '<text class="terminal-12-r1" x="9" y="5" textLength="20" >&#160;&#160;</text>'
    )
    assert stable(svg) == (
        "<style>.s-r1 {}</style>"
        '<text class="s-r1" x="30" y="5" textLength="40" clip-path="url(#s-l)">ab&amp;c</text>'
    )
