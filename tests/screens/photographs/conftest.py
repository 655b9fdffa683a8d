"""The small wall photographed by other code, once for all."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.screens.photographs import dialog
from tests.conftest import made_once
from tests.screens.photographs.fields import photographed


@pytest.fixture(autouse=True)
def looks_often(monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder is looked at as often as a picture can come: no test is about how often."""
    monkeypatch.setattr(dialog, "_LOOKED_EVERY_S", 0.03)


@pytest.fixture(scope="session")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made_once(tmp_path_factory, "fields", photographed)
