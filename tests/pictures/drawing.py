"""Screens driven by keys and drawn as SVG: the same bytes from the same screen."""

from __future__ import annotations

import asyncio
import html
import os
import re
import shutil
import tempfile
import time
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from commission_tui.demo import cast
from commission_tui.demo.demo_walk import make_demo
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app.app import CommissionApp
from tests.paths import ROOT
from tests.screens.settling import wait_by_the_event_loop

FOLDER = ROOT / "docs" / "screens"
LEAST, ROOMY = (80, 24), (120, 40)
_SETTLE_TURNS = 3
_WEB_FONT = re.compile(r"@font-face\s*\{[^}]*\}\s*", re.DOTALL)
_WINDOW_BUTTONS = re.compile(r"<g transform=\"translate\(26,22\)\">.*?</g>\s*", re.DOTALL)
_PREFIX = re.compile(r"terminal-\d+-")
_TEXT = re.compile(r'<text (class="[^"]*") x="([\d.]+)" (y="[^"]*") textLength="([\d.]+)" '
                   r'([^>]*)>((?:&#160;)*)([^<]*)</text>')  # fmt: skip
_SPACE = "&#160;"
_SAME_EVERYWHERE = {"TZ": "UTC", "TEXTUAL_ANIMATIONS": "none"}


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture: the keys that lead to it from the overview, and how large the window is."""

    name: str
    keys: tuple[str, ...]
    size: tuple[int, int] = ROOMY
    theme: str = "dark house"


DEMO = (
    Shot("overview", ()),
    Shot("time-left", ("t", "9", "0")),
    Shot("walk", ("f3", "ctrl+g", *"brightness", "enter", *"598")),
    Shot("walk-80", ("f3", "ctrl+g", *"brightness", "enter", *"598"), LEAST),
    Shot("wall", ("f4",)),
    Shot("wall-brightness", ("f4", "4")),
    Shot("wall-chains", ("f4", "2")),
    Shot("cabinet", ("f4", "enter", "enter")),
    Shot("punch-list", ("f5", "space", "space")),
    Shot("punch-list-80", ("f5",), LEAST),
    Shot("charts", ("f7",)),
    Shot("handover", ("f8",)),
    Shot("pages", ("f8", "p", "pagedown", "z", "z")),
    Shot("wall-low-blue", ("f4",), LEAST, "low blue"),
    Shot("overview-office", (), LEAST, "office"),
)


def stable(svg: str) -> str:
    """Return a screenshot that asks no network for a font and looks the same in every viewer.

    Some viewers drop spaces at the beginning of a text, so the text begins after them.
    """
    for what, by in ((_WEB_FONT, ""), (_WINDOW_BUTTONS, ""), (_PREFIX, "s-")):
        svg = what.sub(by, svg)
    return _TEXT.sub(_without_leading_spaces, svg)


def _without_leading_spaces(found: re.Match[str]) -> str:
    look, x, y, length, rest, spaces, text = found.groups()
    if not text:
        return ""
    count = len(spaces) // len(_SPACE)
    cells = count + len(html.unescape(text))
    step = float(length) / cells
    begin, wide = float(x) + count * step, float(length) - count * step
    return f'<text {look} x="{begin:g}" {y} textLength="{wide:g}" {rest}>{text}</text>'


def draw(shots: Sequence[Shot], told: Path | None = None) -> dict[str, bytes]:
    """Return each picture by its file's name, drawn on a demo job of its own, or one told before."""
    wait_by_the_event_loop()
    os.environ.update(_SAME_EVERYWHERE)
    for name in ("NO_COLOR", "COMMISSION_TUI_COLOURS"):
        os.environ.pop(name, None)
    if hasattr(time, "tzset"):
        time.tzset()
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "demo.db"
        if told is not None:
            shutil.copy(told, path)
        with closing(Logbook(path)) as book:
            job = book.open(make_demo(book, on_step=lambda _text: None), cast.LEAD)
            last = max(datetime.fromisoformat(known.last_entry_at) for known in book.jobs())
            book.clock = lambda: last.astimezone(UTC)
            return {f"{shot.name}.svg": _pictured(shot, book, job) for shot in shots}


def _pictured(shot: Shot, book: Logbook, job: OpenJob) -> bytes:
    """Draw on the job as the demo left it: what one picture leaves half typed is not in the next."""
    entries = len(job.state.entries)
    picture = asyncio.run(_drawn(shot, book, job)).encode()
    if len(job.state.entries) != entries:
        raise AssertionError(f"{shot.name} logged something, which the next pictures would show")
    for kept in book.path.parent.glob(f"{book.path.name}.unfinished-*"):
        kept.unlink()
    return picture


async def _drawn(shot: Shot, book: Logbook, job: OpenJob) -> str:
    app = CommissionApp(book, cast.LEAD, job=job, export_dir=Path("/handover"))
    app.theme = shot.theme
    async with app.run_test(size=shot.size) as pilot:
        for key in ("", *shot.keys):
            if key:
                await pilot.press(key)
            for _ in range(_SETTLE_TURNS):
                await app.workers.wait_for_complete()
                await pilot.pause()
        app.clear_notifications()
        await pilot.pause()
        return stable(app.export_screenshot(title="commission_tui"))
