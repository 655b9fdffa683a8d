"""The photos of a fault, and how one is attached."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from urllib.parse import unquote, urlsplit

from commission_tui.errors import InputError
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Photo
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import Fault
from commission_tui.screens.shared.picture_dialog import PictureDialog, Shown
from commission_tui.screens.terminal.styled_text import moment_text
from commission_tui.screens.widgets.form import Form, Question


class PhotoDialog(PictureDialog):
    """The photos of one fault."""

    def __init__(self, job: OpenJob, fault: Fault) -> None:
        super().__init__()
        self.pictures, self._lacking = photos_of(job, fault)

    def on_mount(self) -> None:
        if not self.pictures:
            self.show_title((("Photos", "title"),))
            self.tell((self._lacking, "error"))


def photos_of(job: OpenJob, fault: Fault) -> tuple[Sequence[Shown], str]:
    """Return the photos that this database holds, and one line when it holds none of them."""
    found: list[Shown] = []
    for photo in fault.photos:
        content = job.file(photo.body.sha256)
        if content is not None:
            found.append(
                Shown(content, photo.body.name, (("Photo ", "muted"), *_caption(job, photo)))
            )
    lacking = "" if found else "The photos are not in this database; only their hashes are."
    return found, lacking


def _caption(job: OpenJob, photo: Logged[Photo]) -> tuple[tuple[str, str], ...]:
    caption = photo.body.caption or photo.body.name
    return (caption, "strong"), (f"  {moment_text(photo.at, job.state)} {photo.by}", "muted")


def attach_form(job: OpenJob, fault: Fault, *, marked: int = 0) -> Form:
    """Ask for a photo of a fault: a path, as typed or as a file dropped on the terminal gives it.

    It is of this one, however many are marked, which is said.
    """

    def submit(answers: Mapping[str, str]) -> None:
        path = typed_path(answers["path"])
        try:
            job.photo(path, about=fault.id, caption=answers["caption"].strip())
        except InputError as error:
            raise InputError(f"file: {error}") from None

    found = fault.found.body
    alone = f"; of this one alone, not of the {marked} marked" if marked else ""
    return Form(
        f"Photo of fault {fault.number}",
        [
            Question("path", "File", hint="JPEG or PNG; type the path, or drop the file here"),
            Question("caption", "Caption", hint="may be empty"),
        ],
        submit,
        notes=[((f"{found.location}  {found.called}", ""), (alone, "caution-text"))],
        draft=f"photo {fault.id}",
    )


def typed_path(text: str, what: str = "file", expected: str = "the path of a photo") -> Path:
    """Return a path as it is typed, pasted in quotes, or dropped as an address of a file.

    Raises
    ------
    InputError
        When there is none: names what is asked for, and what was expected.
    """
    typed = text.strip()
    if len(typed) > 1 and typed[0] == typed[-1] and typed[0] in "'\"":
        typed = typed[1:-1]
    if typed.startswith("file://"):
        typed = unquote(urlsplit(typed).path)
    if not typed:
        raise InputError(f"{what}: found nothing, expected {expected}")
    if "\\ " in typed and not os.path.exists(typed):  # noqa: PTH110 (never raises)
        typed = typed.replace("\\ ", " ")
    try:
        return Path(typed).expanduser()
    except RuntimeError:
        return Path(typed)
