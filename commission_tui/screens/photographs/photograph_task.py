"""A task for a camera: what the wall shows, how the pictures are read, and how what was read is logged."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from commission_tui.errors import CommissionError, InputError
from commission_tui.photo.extra import PICTURES
from commission_tui.screens.photographs.dialog import PhotographDialog, Progress, Proposal
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.screen_frame import open_dialog

_KEPT = "photographs"
"""Under which name the folder is kept that pictures came from last, to be offered."""
_BRIGHT = "Bright in a dark room: warn the people in front of the wall."


@dataclass(frozen=True)
class PhotographTask:
    """What is asked of a camera; only `read` runs in a thread."""

    title: str
    show: str
    """What the wall shows, in the order in which it is photographed."""
    stand: str
    """How to stand, and how near."""
    read: Callable[[Sequence[Path], Progress], Proposal]
    caution: str = _BRIGHT
    endings: Collection[str] = PICTURES
    """How the names of the files end that are waited for."""


def begin(screen: JobScreen, task: PhotographTask, done: Callable[[], None] = lambda: None) -> None:
    """Ask where the pictures arrive, read them as they come, log what is confirmed; then go on."""
    where: list[Path] = []
    caution: Line = ((task.caution, "caution-text"),)
    stand: Line = ((task.stand, "muted"),)

    def submit(answers: Mapping[str, str]) -> None:
        if not answers["path"].strip():
            raise InputError("folder: found nothing, expected a folder or a file")
        where.append(_there(typed_path(answers["path"])))
        folder = where[-1].parent if where[-1].is_file() else where[-1]
        screen.host.drafts[_KEPT] = {"folder": str(folder)}

    def watch(_: bool) -> None:
        waiting = (((task.show, ""),), stand, caution)
        open_dialog(screen, PhotographDialog(where[-1], task.read, waiting, task.endings), take)

    def take(log: Callable[[], str]) -> None:
        try:
            what = log()
        except CommissionError as error:
            screen.say(str(error), error=True)
            return
        screen.say(f"Logged from a photograph: {what}")
        done()

    notes: list[Line] = [((f"{task.show} ", ""), *caution), stand]
    question = Question(
        "path", "Folder or file", screen.host.drafts.get(_KEPT, {}).get("folder", ""),
        "a folder is watched; drop it here, or type it",
    )  # fmt: skip
    form = Form(task.title, [question], submit, notes=notes)
    # An o is also the first letter of what the wall is said to show: no more of that is a path.
    open_dialog(screen, form.by_itself(), watch)


def _there(path: Path) -> Path:
    try:
        there = path.exists()
    except (OSError, ValueError):  # a name that no file can have
        there = False
    if not there:
        raise InputError(f"folder: found nothing at {path}, expected a folder or a file")
    return path
