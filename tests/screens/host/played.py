"""The program in a terminal, telling a test when it has done what was typed.

With all of it read in, it waits at SOCKET for what to open, and is forked for each: nine tenths of a
start are reading it in, which is not what these tests are about.
"""

from __future__ import annotations

import json
import os
import socket
import sys
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Self

from textual import events

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app import app
from commission_tui.screens.app.app import CommissionApp
from commission_tui.screens.host.typed_keys import Hold
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
        self.put: list[Hold] = []
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
        self.put += [hold for hold in self._holds if hold not in self.put]
        self.told = {
            "came": self.came,
            "works": self._works(),
            "asks": self._asks(),
            "question": self.put.index(self._holds[-1]) if self._holds else None,
            "screen": type(self.screen).__name__,
        }
        os.write(self.pipe, f"{json.dumps(self.told)}\n".encode())

    def _asks(self) -> str:
        """Name the question that stands."""
        if not self._holds:
            return ""
        screen = self.screen
        if not isinstance(screen, WalkScreen):
            return "form"
        if screen.asking.has_strays:
            return "strays"
        asking = screen.asking
        return "over" if asking._over else "odd" if asking._asked else "wrong"


@dataclass(frozen=True, slots=True)
class Opening:
    """What the program is to open, and in what environment."""

    book: str
    job: str
    environment: Mapping[str, str]

    def sent(self, where: socket.socket, terminal: int, telling: int) -> int:
        """Have it opened on a terminal; return the id of its process, which tells through a pipe."""
        socket.send_fds(where, [json.dumps(asdict(self)).encode() + b"\n"], [terminal, telling])
        return int.from_bytes(where.recv(8))

    @classmethod
    def taken(cls, where: socket.socket) -> tuple[Self, list[int]] | None:
        """Wait for one, and for its terminal and its pipe; None when nobody asks any more."""
        said, handles, _, _ = socket.recv_fds(where, 65536, 2)
        while said and not said.endswith(b"\n"):
            said += where.recv(65536)
        return (cls(**json.loads(said)), handles) if said else None


def _open(asked: Opening, terminal: int, telling: int) -> None:
    os.setsid()
    for stream in range(3):
        os.dup2(terminal, stream)
    os.chdir(Path(asked.book).parent)
    os.environ.clear()
    os.environ.update(asked.environment)
    book = Logbook(Path(asked.book))
    played = Played(book, book.open(asked.job, "A. Technician"))
    played.pipe = telling
    played.run()


def main() -> None:
    where = socket.socket(fileno=int(sys.argv[1]))
    running: list[int] = []
    while (taken := Opening.taken(where)) is not None:
        asked, handles = taken
        child = os.fork()
        if child == 0:
            where.close()
            _open(asked, *handles)
            os._exit(0)
        running.append(child)
        for handle in handles:
            os.close(handle)
        where.sendall(child.to_bytes(8))
    for child in running:
        os.waitpid(child, 0)


if __name__ == "__main__":
    main()
