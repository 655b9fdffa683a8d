"""The wall that patterns are drawn on."""

from __future__ import annotations

import pytest

from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.wall.model.test_wall_file import SMALL


@pytest.fixture(scope="session")
def small() -> Wall:
    return parse_wall(SMALL)
