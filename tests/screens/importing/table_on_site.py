"""What the tests of the import share: a table, the way to its dialog, what is logged."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from commission_tui.checks.model.types import Value
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.importing.dialog import ImportDialog
from commission_tui.screens.importing.file_choice import ImportFileDialog
from tests.screens.helping import (
    put,
    until,
)

FIELD = "luminance_cd_m2"
NASTY = "[red]x[/] [nothing \x1b[31mred\x07"
NINE = "Point;L;Time\n" + "".join(f"{n};{600 + n};09:0{n}\n" for n in range(1, 10))


def table(folder: Path, text: str | bytes, name: str = "meter.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


async def opened(pilot: Pilot[None], typed: str = "meter") -> ImportDialog:
    """Go to the import of a table of the folder and wait until it is read."""
    await pilot.press("f3", "f6", "enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, ImportFileDialog)
    await put(pilot, "#table-path", typed)
    await pilot.press("enter")
    await pilot.pause()
    return await read(pilot)


async def read(pilot: Pilot[None]) -> ImportDialog:
    screen = pilot.app.screen
    assert isinstance(screen, ImportDialog)
    await until(pilot, lambda: screen._seen is not None)
    return screen


def logged(job: OpenJob) -> dict[str, Value]:
    job.refresh()
    found: dict[str, Value] = {}
    for number in range(1, 10):
        latest = job.state.latest("nine", FIELD, f"point {number}")
        if latest is not None:
            found[f"point {number}"] = latest.body.value
    return found
