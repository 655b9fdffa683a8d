"""Faulty LEDs from photographs: the tiles, then a full field from the same place; what was found proposed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.errors import InputError
from commission_tui.logbook.actions.led_photographs import (
    SeenFault,
    not_logged_yet,
    seen_faults,
    shown_whole,
)
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.screens.photographs.dialog import BRIGHT, Progress, Proposal
from commission_tui.screens.shared.picture_dialog import Shown
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.text import counted

if TYPE_CHECKING:
    from commission_tui.photo.light.light_samples import Outlines

FIELDS = ("white", "red", "green", "blue")


@dataclass(frozen=True, slots=True)
class FoundLeds:
    """What a photograph of a full field shows, and the pictures of it."""

    photograph: str
    field: str
    faults: tuple[SeenFault, ...] = ()
    evidence: tuple[KeptPicture, ...] = ()

    def without(self, left_out: frozenset[int]) -> FoundLeds:
        """Return the faults that are confirmed."""
        kept = (fault for number, fault in enumerate(self.faults) if number not in left_out)
        return replace(self, faults=tuple(kept))


def field_of(typed: str) -> str:
    """Return the field that was typed.

    Raises
    ------
    InputError
        When it is none of them.
    """
    field = typed.strip().lower()
    if field not in FIELDS:
        raise InputError(f"field: found '{field}', expected one of {', '.join(FIELDS)}")
    return field


def led_form(submit: Callable[[Mapping[str, str]], None]) -> Form:
    """Ask where the pictures arrive, and which field the wall shows."""
    notes: list[Line] = [
        (("First the pattern 'coded tiles', then the field, from the same place. ", ""),
         (BRIGHT, "caution-text")),
        (("Tripod or leaned, no flash, white at two thirds, 3 px of the picture a LED.", "muted"),),
    ]  # fmt: skip
    questions = [
        Question("path", "Folder", hint="it is watched; drop it here, or type it"),
        Question("field", "Field", "white", ", ".join(FIELDS), check=field_of),
    ]
    return Form("LEDs from photographs", questions, submit, notes=notes)


class LedReader:
    """Reads the latest picture by the tiles before it; which were the tiles is found, not asked."""

    def __init__(self, state: State, field: str) -> None:
        self._state, self._field = state, field

    def __call__(self, paths: Sequence[Path], progress: Progress) -> Proposal[FoundLeds]:
        """Propose faults of the last picture.

        Raises
        ------
        InputError
            As `read_pixels`; when no picture shows the tiles.
        """
        from commission_tui.photo.close.pixel_report import read_pixels
        from commission_tui.photo.shot_files import shot_from

        *before, last = paths
        progress(0, 2)
        if self._outlines(last) is not None:
            line = ((f"{last.name}: the tiles are read. Show {self._field}, and take it from the "
                     "same place.", ""),)  # fmt: skip
            return Proposal(FoundLeds(last.name, self._field), (line,), ready=False)
        outlines = next(filter(None, map(self._outlines, reversed(before))), None)
        if outlines is None:
            raise InputError(
                f"{last.name}: found no marks, expected first a picture of the pattern 'coded tiles'"
            )
        progress(1, 2)
        shot = shot_from(last, linear=False)
        report = read_pixels(self._state.wall, outlines, shot, self._field)  # type: ignore[arg-type]
        new = not_logged_yet(self._state, seen_faults(shot, report))
        whole = shown_whole(self._state.wall, outlines, shot, report, last)
        found = FoundLeds(last.name, self._field, tuple(new), (whole,))
        known = len(report.faults) - len(new)
        lines: list[Line] = [
            ((f"{counted(len(new), 'fault')} in {counted(report.looked_at, 'LED')} of "
              f"{counted(report.cabinets, 'cabinet')}", "strong"),
             (f"; {known} logged already" if known else "", "muted"),
             (f", {report.px_a_led:.1f} px a LED", "muted")),
        ]  # fmt: skip
        lines += [((note, "marginal"),) for note in report.notes]
        return Proposal(
            found,
            tuple(lines),
            items=tuple(_item(fault) for fault in new),
            pictures=tuple(_shown(fault.piece) for fault in new) or (_shown(whole),),
            ready=bool(new),
        )

    def _outlines(self, path: Path) -> Outlines | None:
        """Return where a picture has the cabinets; None when it shows no tiles."""
        from commission_tui.photo.tile_reading import read_tiles

        try:
            return read_tiles(self._state.wall, [path], own=True).pictures[0].corners or None
        except InputError:
            return None


def _item(fault: SeenFault) -> Line:
    return (f"{fault.at}", "strong"), (f"  {fault.kind}", ""), (f"  sure {fault.sure:.0%}", "muted")


def _shown(picture: KeptPicture) -> Shown:
    return Shown(picture.content, picture.name, ((picture.caption, "strong"),))
