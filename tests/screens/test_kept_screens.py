"""Every screen and dialog is as it was when somebody last looked at it as a picture.

Recorded by this program, not taken from outside. After a change that is meant, look at the screens
(``python -m tests.pictures``), then write them anew with ``KEEP_SCREENS=1 pytest`` on this file.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.handover import key_signing
from tests.conftest import TickingClock
from tests.screens.helping import LEAST, ROOMY, app_of, running
from tests.screens.shots import WALK, as_text, prepared, press

KEPT = Path(__file__).parent / "kept"
LOOKS = ((LEAST, "dark"), (LEAST, "no-colour"), (ROOMY, "dark"))
KEEP = bool(os.environ.get("KEEP_SCREENS"))


@pytest.fixture(autouse=True)
def same_everywhere(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.setattr(key_signing, "known_keys", list)
    monkeypatch.setattr(key_signing, "key_folder", lambda: Path("/home/keys"))
    if hasattr(time, "tzset"):
        time.tzset()
    yield
    monkeypatch.undo()
    if hasattr(time, "tzset"):
        time.tzset()


@pytest.fixture
def logbook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Logbook]:
    """Where it is kept is shown on the first screen, so it is the same everywhere."""
    monkeypatch.chdir(tmp_path)
    book = Logbook(Path("logbook.db"), TickingClock(), IdSource(Random(1).getrandbits))  # noqa: S311
    yield book
    book.close()


@pytest.mark.parametrize(("size", "colours"), LOOKS, ids=lambda of: f"{of}")
async def test_every_screen_and_dialog_is_as_it_was(
    logbook: Logbook,
    small: OpenJob,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    size: tuple[int, int],
    colours: str,
) -> None:
    if colours == "no-colour":
        monkeypatch.setenv("NO_COLOR", "1")
    prepared(small, tmp_path)
    folder = KEPT / f"{size[0]}x{size[1]}"
    differing = []
    async with running(logbook, size=size, export_dir=Path("/site/handover")) as pilot:
        assert app_of(pilot).no_color == (colours == "no-colour")
        for shot in WALK:
            await press(pilot, shot.keys)
            text, styles = as_text(pilot)
            kept = {f"{shot.name}.txt": text, f"{shot.name}.{colours}.txt": styles}
            differing += [name for name, said in kept.items() if not _same(folder / name, said)]
    assert not differing, f"{folder.name}: look at {', '.join(differing)}"


def _same(path: Path, said: str) -> bool:
    if KEEP:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(said + "\n", encoding="utf-8")
    return path.is_file() and path.read_text(encoding="utf-8") == said + "\n"


def test_nothing_is_kept_that_is_not_looked_at() -> None:
    wanted = {
        f"{size[0]}x{size[1]}/{shot.name}{more}.txt"
        for shot in WALK
        for size, colours in LOOKS
        for more in ("", f".{colours}")
    }
    assert {str(path.relative_to(KEPT)) for path in KEPT.glob("*/*")} == wanted
