"""What screens may ask of the app they run in."""

from __future__ import annotations

from abc import abstractmethod
from pathlib import Path

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.host.begun_forms import Drafts
from commission_tui.screens.host.key_queue import KeyQueue
from commission_tui.screens.terminal.styled_text import ASCII, DRAWN, Glyphs


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
        self.at_check: str | None = None
        """The check that one was at last, in whatever screen."""
        self.drafts = Drafts()

    @property
    def glyphs(self) -> Glyphs:
        return ASCII if self.ascii_only else DRAWN

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
    def go(self, name: str) -> None:
        """Switch to one of the open job's screens: overview, walk, wall, punch, handover."""

    @abstractmethod
    def walk_to(self, check_id: str, place: str | None = None) -> None:
        """Switch to the walk, at a check."""

    @abstractmethod
    def find_check(self) -> None:
        """Switch to the walk, and ask for a check."""

    @abstractmethod
    def wall_at(self, place: str, layer: str = "") -> None:
        """Switch to the wall, at a cabinet, in a layer when one is named."""
