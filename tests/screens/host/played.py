"""The program in a terminal, telling a test when it has done what was typed: LOGBOOK JOB PIPE."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

from textual import events

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app import app
from commission_tui.screens.app.app import CommissionApp
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.shared.background_work import SteppedWork
from commission_tui.screens.walk.screen import WalkScreen
from tests.screens import answers  # noqa: F401 (registers the method of the small checklist)


class Played(CommissionApp):
    """Tells through a pipe how many keys have come, once none is left to do, and what is asked."""

    # Of a class elsewhere they would be looked for there.
    CSS_PATH = [Path(app.__file__).parent / style for style in CommissionApp.CSS_PATH]  # noqa: RUF012
    reads_s = 0.0  # what answers here has read the question, however soon
    pipe = -1
    came = 0

    def __init__(self, book: Logbook, job: OpenJob) -> None:
        super().__init__(book, job.by, job=job)
        self.put: list[PendingQuestion] = []
        self.told: dict[str, object] = {}

    def on_mount(self) -> None:
        self.call_after_refresh(self._tell)
        self.set_interval(0.2, self._by_itself)

    def _by_itself(self) -> None:
        """Tell of work that ended; and end with the test: one that was killed ends nothing itself."""
        if os.getppid() == 1:
            self.exit()
        elif self.told and not self.takes_keys and self.told["works"] != self._works():
            self._tell()

    def _works(self) -> bool:
        works = [getattr(screen, "_work", None) for screen in self.screen_stack]
        return any(isinstance(work, SteppedWork) and work.is_on for work in works)

    async def on_event(self, event: events.Event) -> None:
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            self.came += 1
        await super().on_event(event)

    async def _hand_over(self) -> None:
        await super()._hand_over()
        self._tell()

    def _tell(self) -> None:
        pending = self.questions._pending
        self.put += [question for question in pending if question not in self.put]
        self.told = {
            "came": self.came,
            "works": self._works(),
            "asks": self._asks(),
            "question": self.put.index(pending[-1]) if pending else None,
            "screen": type(self.screen).__name__,
            "at": self._at(),
        }
        os.write(self.pipe, f"{json.dumps(self.told)}\n".encode())

    def _at(self) -> list[str]:
        """Name check, field and place that are asked for."""
        screen = self.screen
        if not isinstance(screen, WalkScreen) or screen.step_now is None:
            return []
        return [screen.check_now.id, *screen.step_now.slot]

    def _asks(self) -> str:
        """Name the question that stands."""
        if not self.questions._pending:
            return ""
        screen = self.screen
        if not isinstance(screen, WalkScreen):
            return "form"
        if screen.asking.has_strays:
            return "strays"
        asking = screen.asking
        return "over" if asking._logged_here else "odd" if asking._odd_value else "wrong"


def main() -> None:
    book = Logbook(Path(sys.argv[1]))
    played = Played(book, book.open(sys.argv[2], "A. Technician"))
    played.pipe = int(sys.argv[3])
    played.run()


if __name__ == "__main__":
    main()
