"""The small wall photographed by other code, once for all."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import made_once
from tests.screens.photographs.fields import photographed


@pytest.fixture(scope="session")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made_once(tmp_path_factory, "fields", photographed)
