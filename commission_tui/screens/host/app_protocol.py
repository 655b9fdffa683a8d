"""What screens may ask of the app they run in."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from pathlib import Path

from textual.filter import LineFilter

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import Doubt
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.host.begun_forms import Drafts
from commission_tui.screens.host.key_queue import KeyQueue
from commission_tui.screens.terminal.ascii_signs import SPELT, AsciiSigns


class Host(KeyQueue):
    """The app as its screens know it."""

    def __init__(
        self, logbook: Logbook, by: str, export_dir: Path | None, ascii_only: bool
    ) -> None:
        super().__init__()
        self.logbook = logbook
        self.by = by
        self.export_dir = export_dir or Path()
        self.ascii_only = ascii_only
        self._signs = [AsciiSigns()] if ascii_only else []
        self.at_check: str | None = None
        """The check that one was at last, in whatever screen."""
        self.drafts = Drafts()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Set ASCII's signs on what is painted, where the terminal has no others."""
        return [*super().get_line_filters(), *self._signs]

    def spelt(self, text: str) -> str:
        """Return a text with what no sign of ASCII stands for spelt out, where there are no others."""
        return text.translate(SPELT) if self.ascii_only else text

    @abstractmethod
    def open_job(self, job: OpenJob) -> None:
        """Show a job's overview."""

    @abstractmethod
    def sign_as(self, name: str) -> bool:
        """Log from here on by another name; whether it is kept for the next start."""

    @abstractmethod
    def leave_job(self) -> None:
        """Go back to the jobs."""

    @abstractmethod
    def half_typed(self) -> tuple[str, ...]:
        """Return each value that is half typed on the walk and not logged, with where it is."""

    @abstractmethod
    def go(self, name: str) -> None:
        """Switch to one of the open job's screens: overview, walk, wall, punch, handover."""

    @abstractmethod
    def walk_to(self, check_id: str, place: str | None = None) -> None:
        """Switch to the walk, at a check."""

    @abstractmethod
    def read_again(self, doubt: Doubt) -> None:
        """Switch to the walk, at the first line that a change left no longer good."""

    @abstractmethod
    def find_check(self) -> None:
        """Switch to the walk, and ask for a check."""

    @abstractmethod
    def wall_at(self, place: str, layer: str = "") -> None:
        """Switch to the wall, at a cabinet, in a layer when one is named."""
