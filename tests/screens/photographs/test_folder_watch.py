"""Which files of a folder are waited for."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.photo.extra import FILMS
from commission_tui.photo.film import is_film
from commission_tui.screens.photographs.folder_watch import FolderWatch


@pytest.mark.parametrize("name", ["wall.mp4", "WALL.MXF", "00001.m2ts"])
def test_a_film_of_any_kind_that_is_read_is_waited_for(name: str, tmp_path: Path) -> None:
    watch = FolderWatch(tmp_path, FILMS)
    path = tmp_path / name
    path.write_bytes(b"a film")
    assert is_film(path)
    assert watch.arrived() == []  # it may still be growing
    assert watch.arrived() == [path]
