"""Scripts of keys, sent to the program in a terminal in one write or key by key.

Whoever plays answers each question as it comes, so that what is compared is what the keys do that
were not meant as an answer.
"""

from __future__ import annotations

import fcntl
import json
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from commission_tui.logbook.entries.chain import body_json
from commission_tui.logbook.logbook import Logbook
from tests.paths import ROOT

KEYS = {
    "enter": "\r", "down": "\x1b[B", "up": "\x1b[A", "page down": "\x1b[6~", "page up": "\x1b[5~",
    "walk": "\x1bOR", "wall": "\x1bOS", "clear": "\x15", "fault": "\x0c", "note": "\x0e",
    "find": "\x07", "place": "\x13", "done": "\x13", "again": "\x06", "right": "\x12",
    "backspace": "\x7f", "tab": "\t", "escape": "\x1b[27u", "overview": "\x1bOQ",
    "punch": "\x1b[15~", "handover": "\x1b[19~",
}  # fmt: skip
"""As a terminal sends them; Escape as terminals send it that tell it from the start of another key."""
_LIMIT_S = 120.0
_ANSWERS = {
    "odd": [["enter"]],
    # Read again, if it is a number: behind a correction one goes back to where one was, unless lines wait.
    "over": [["again"], ["right", "enter"]],
    "strays": [["clear", "enter"]],
    # Right at the same place: whoever leaves it instead drops what waits for it.
    "wrong": [
        ["clear", *"601", "enter"],
        ["clear", "y", "enter"],
        ["clear", "1", "enter"],
        ["clear", *"black", "enter"],
    ],
    "form": [
        ["x", "done"],
        ["clear", *"dead pixel", "done"],
        ["clear", *"r1c1", "enter"],
        ["clear", *"601", "done"],
        ["clear", *"605", "done"],
        ["clear", "y", "done"],
        ["clear", "n", "done"],
        ["clear", *"white", "done"],
        ["clear", *"black", "done"],
    ],
}
"""What to type at each kind of question; the next if that is not an answer."""
_TRIES = 60


def paste(text: str) -> str:
    return f"\x1b[200~{text}\x1b[201~"


def sent(key: str) -> str:
    """Return what a terminal sends for one key, by name, or for a paste or a character as it is."""
    return KEYS.get(key, key)


class Player:
    """The program on one job, in a terminal of 80 x 24; use as a context."""

    def __init__(self, book: Path, job: str, **environment: str) -> None:
        self._book, self._job = book, job
        self._keyboard, inner = pty.openpty()
        fcntl.ioctl(inner, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self._told, telling = os.pipe()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.screens.host.played", str(book), job, str(telling)],
            stdin=inner, stdout=inner, stderr=inner, pass_fds=(telling,), start_new_session=True,
            cwd=book.parent,
            env={
                **os.environ, "TERM": "xterm-256color", "TEXTUAL_ANIMATIONS": "none",
                "TEXTUAL_FPS": "60",  # as a person has it: each picture here is a whole one, and sent
                "PYTHONPATH": str(ROOT), **environment,
            },
        )  # fmt: skip
        os.close(inner)
        os.close(telling)
        self._typed = 0
        self._rest = b""
        self.last: dict[str, Any] = {}
        self._until_done()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._process.kill()
        self._process.wait()
        os.close(self._keyboard)
        os.close(self._told)

    def _until_done(self) -> None:
        """Wait until all that was typed has come and been done."""
        self._wait(lambda: bool(self.last.get("came", -1) == self._typed))

    def until_idle(self) -> None:
        """Wait until no work is left in the background."""
        self._wait(lambda: not self.last["works"])

    def _wait(self, done: Callable[[], bool]) -> None:
        while not done():
            ready, _, _ = select.select([self._told, self._keyboard], [], [], _LIMIT_S)
            if not ready:
                raise TimeoutError(f"nothing came; the last was {self.last}")
            if self._keyboard in ready:
                os.read(self._keyboard, 65_536)
            if self._told in ready:
                self._rest += os.read(self._told, 65_536)
                *lines, self._rest = self._rest.split(b"\n")
                self.last = json.loads(lines[-1]) if lines else self.last

    def _send(self, keys: Sequence[str]) -> None:
        os.write(self._keyboard, "".join(sent(key) for key in keys).encode())
        self._typed += len(keys)
        self._until_done()

    def killed(self, keys: Sequence[str], when: Callable[[], bool]) -> None:
        """Type all in one write, and kill the program as soon as something is so; whatever it is at."""
        os.write(self._keyboard, "".join(sent(key) for key in keys).encode())
        ends = time.monotonic() + _LIMIT_S
        while not when():
            if time.monotonic() > ends:
                raise TimeoutError("never so")
            for pipe in select.select([self._told, self._keyboard], [], [], 0.001)[0]:
                os.read(pipe, 65_536)
        self._process.kill()
        self._process.wait()

    def _answer(self) -> None:
        asked, tried = None, 0
        for _ in range(_TRIES):
            if not self.last["asks"]:
                return
            question = self.last["question"], self.last["asks"]
            tried = tried + 1 if question == asked else 0
            asked, answers = question, _ANSWERS[self.last["asks"]]
            for key in answers[tried % len(answers)]:
                self._send([key])
        raise AssertionError(f"no answer to {self.last}")

    def burst(self, keys: Sequence[str]) -> None:
        """Type all in one write."""
        self._send(keys)
        self._answer()

    def slowly(self, keys: Sequence[str]) -> None:
        """Type each key once the one before it has done its work."""
        for key in keys:
            self._send([key])
            self._answer()

    def logged(self) -> list[dict[str, Any]]:
        """Return what is in the logbook, entry by entry, without its time and with numbers for ids."""
        book = Logbook(self._book)
        try:
            entries = book.open(self._job, "A. Reader").state.in_order()
        finally:
            book.close()
        names = {entry.id: f"entry {number}" for number, entry in enumerate(entries)}
        bodies = [body_json(entry.body) for entry in entries]
        return [
            {k: names.get(v, v) if isinstance(v, str) else v for k, v in b.items()} for b in bodies
        ]
