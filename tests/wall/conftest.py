"""The wall that patterns are drawn on."""

from __future__ import annotations

import pytest

from commission_tui.wall.model import Wall
from commission_tui.wall.reading import parse_wall
from tests.wall.test_wall_file import SMALL


@pytest.fixture(scope="session")
def small() -> Wall:
    return parse_wall(SMALL)
