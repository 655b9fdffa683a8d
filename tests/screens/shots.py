"""Every screen and dialog in one walk over the keyboard, each as text with its styles."""

from __future__ import annotations

import os
import string
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PIL import Image
from rich.segment import Segment
from rich.style import Style
from textual.pilot import Pilot

from commission_tui.logbook.logbook import OpenJob
from tests.screens.drawing import drawn
from tests.screens.helping import metered

_SETTLE_TURNS = 3
_MARKS = string.ascii_letters + string.digits


_TABLE_AT = 1777888800  # 4 May 2026, 10:00 UTC
_TABLE = (
    "Spot meter 0042;Fellmoor side wall\nNo;Point;L (fL);Time;Remark\n"
    "1;1;175,2;09:41;\n2;2;176,0;09:42;\n3;3;17600;09:43;[glare]\n4;4;?;09:44;\n5;44;175,8;09:45;\n"
)


@dataclass(frozen=True, slots=True)
class Shot:
    """What to press from the shot before, and how the screen is then called."""

    name: str
    keys: tuple[str, ...]


WALK: Sequence[Shot] = (
    Shot("jobs", ()),
    Shot("jobs-new", ("n",)),
    Shot("overview", ("escape", "enter")),
    Shot("overview-time-left", ("t", "6")),
    Shot("overview-setting", ("escape", "c")),
    Shot("overview-which-limit", ("escape", "a")),
    Shot("overview-limit", ("enter",)),
    Shot("overview-visits", ("escape", "v")),
    Shot("overview-visit", ("n",)),
    Shot("overview-fault", ("escape", "escape", "l", *"dark")),
    Shot("help", ("escape", "f1")),
    Shot("walk", ("escape", "f3")),
    Shot("walk-verdict", (*"58", "0")),
    Shot("walk-note", ("ctrl+n",)),
    Shot("walk-go-to", ("escape", "ctrl+g")),
    Shot("walk-files", ("escape", "f6")),
    Shot("import-file", ("enter",)),
    Shot("import", ("enter",)),
    Shot("patterns", ("escape", "escape", "f6", "down", "enter")),
    Shot("wall", ("escape", "escape", "f4")),
    Shot("wall-layer-2", ("2",)),
    Shot("wall-layer-3", ("3",)),
    Shot("wall-layer-4", ("4",)),
    Shot("wall-layer-5", ("5",)),
    Shot("wall-layer-6", ("6",)),
    Shot("wall-mark-many", ("1", "m")),
    Shot("cabinet", ("escape", "enter")),
    Shot("punch", ("q", "f5")),
    Shot("punch-marked", ("t",)),
    Shot("punch-mend-many", ("m",)),
    Shot("punch-photo-form", ("escape", "t", "home", "p")),
    Shot("punch-photo", ("escape", "i")),
    Shot("charts", ("escape", "f7")),
    Shot("handover", ("f8",)),
    Shot("handover-sign", ("s",)),
    Shot("handover-signature-pad", ("1", "enter", *"Marit", "enter", "enter", "enter")),
    Shot("handover-new-key", ("escape", "f")),
    Shot("handover-sign-file", ("escape",)),
    Shot("handover-verify", ("escape", "v")),
    Shot("handover-export", ("escape", "e")),
    Shot("handover-pages", ("escape", "p")),
)


def prepared(job: OpenJob, folder: Path) -> OpenJob:
    """Put into the small job what its screens have to show."""
    metered(job)
    for place, value in (("point 1", 590.0), ("point 2", 612.0)):
        job.read("nine", "luminance_cd_m2", place, value)
    job.read("order", "clear", "wall", value=True)
    job.fault("cabinet dark", "R1C2", "stop", note="after the second switch-on")
    job.fault("dark seam", "R2C1 right", "near")
    job.fault("lock or bolt not home", "R2C3", "danger")
    job.work(job.state.faults[1], "mended", note="pulled in")
    path = folder / "R1C2.png"
    made = Image.linear_gradient("L").resize((60, 40)).convert("RGB")
    made.paste((190, 60, 30), (20, 10, 40, 30))
    made.save(path)
    job.photo(path, about=job.state.faults[0].id, caption="R1C2 from the front")
    table = folder / "spot-meter.csv"
    table.write_text(_TABLE, encoding="utf-8")
    os.utime(table, (_TABLE_AT, _TABLE_AT))
    return job


async def press(pilot: Pilot[None], keys: tuple[str, ...]) -> None:
    """Press keys and wait until the screen stands still."""
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
    for _ in range(_SETTLE_TURNS):
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
    pilot.app.clear_notifications()
    await pilot.pause()


def as_text(pilot: Pilot[None]) -> tuple[str, str]:
    """Return what stands on the screen, and how: runs of styles row by row, then what each is."""
    known: dict[str, str] = {}
    rows, styles = [], []
    for strip in drawn(pilot):
        rows.append(strip.text.rstrip())
        styles.append(" ".join(_runs(list(strip), known)))
    legend = [f"{mark} = {name}" for name, mark in known.items()]
    return "\n".join(rows), "\n".join((*styles, *legend))


def _runs(segments: Sequence[Segment], known: dict[str, str]) -> list[str]:
    runs: list[tuple[str, int]] = []
    for segment in segments:
        name = _named(segment.style or Style.null())
        number = len(known)
        mark = known.setdefault(name, _MARKS[number % 62] + "'" * (number // 62))
        if runs and runs[-1][0] == mark:
            runs[-1] = (mark, runs[-1][1] + segment.cell_length)
        else:
            runs.append((mark, segment.cell_length))
    return [f"{mark}{length}" for mark, length in runs if length]


def _named(style: Style) -> str:
    return str(style.without_color + Style(color=style.color, bgcolor=style.bgcolor)) or "plain"
