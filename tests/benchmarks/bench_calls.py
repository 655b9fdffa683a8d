"""How many Python calls into the package one Enter on the walk of the demo job takes, and which.

Run ``python -m tests.benchmarks.bench_calls [LINES]``. A call is what `sys.setprofile` says is one: a
function entered, a generator gone on with. It is a count, not a time: it is the same on every machine.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import CodeType, FrameType

import commission_tui
from commission_tui.demo.demo_walk import make_demo
from commission_tui.logbook.actions.taking_back import undo
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app import app
from commission_tui.screens.walk.screen import WalkScreen
from tests.screens.helping import ROOMY, running

_WITHIN = f"{Path(commission_tui.__file__).parent}/"
AT = ("brightness", "luminance_cd_m2", "point 5")
MOST = 4000
"""Calls of one Enter."""


class Calls:
    """Functions of the package by how often they were called, and how often the file changed."""

    def __init__(self) -> None:
        self.hops = 0
        self._by_code: Counter[CodeType] = Counter()
        self._last = ""

    def note(self, frame: FrameType, event: str, _: object) -> None:
        """Count a call, as `sys.setprofile` reports it."""
        if event == "call" and (code := frame.f_code).co_filename.startswith(_WITHIN):
            self._by_code[code] += 1
            if code.co_filename != self._last:
                self.hops += 1
                self._last = code.co_filename

    @property
    def by_function(self) -> Counter[str]:
        found: Counter[str] = Counter()
        for code, calls in self._by_code.items():
            found[f"{code.co_filename.removeprefix(_WITHIN)}:{code.co_qualname}"] += calls
        return found

    @property
    def files(self) -> int:
        return len({code.co_filename for code in self._by_code})

    def __str__(self) -> str:
        return (
            f"{self.by_function.total():,} calls, {len(self.by_function)} functions, "
            f"{self.files} files, {self.hops:,} hops between files"
        )


@contextmanager
def counted() -> Iterator[Calls]:
    """Count the calls made in this thread meanwhile."""
    calls = Calls()
    sys.setprofile(calls.note)
    try:
        yield calls
    finally:
        sys.setprofile(None)


def reads(job: OpenJob) -> Calls:
    """Count one reading logged without any screen."""
    before = job.state.latest(*AT)
    if before is None:
        raise SystemExit(f"the demo job has no reading at {AT}")
    with counted() as calls:
        job.read(*AT, before.body.value)
    undo(job)  # else Enter would ask about the reading that stands
    return calls


async def enters(book: Logbook, job: OpenJob) -> tuple[Calls, Calls]:
    """Count a digit typed on the walk, and the Enter that logs the value."""
    app._LOOK_AGAIN_S = 3600.0  # what other programs wrote is looked for by the clock, not by a key
    async with running(book, job, size=ROOMY) as pilot:
        await pilot.press("f3")
        screen = pilot.app.screen
        assert isinstance(screen, WalkScreen)
        screen.go_to(AT[0], AT[2])
        await pilot.pause()
        before = len(job.state.entries)
        last = job.state.latest(*AT)
        typed = f"{last.body.value:.0f}" if last else "600"
        await pilot.press(*typed[:-1])
        await pilot.pause()
        with counted() as digit:
            await pilot.press(typed[-1])
            await pilot.pause()
        with counted() as enter:
            await pilot.press("enter")
            await pilot.pause()
        if len(job.state.entries) == before:
            raise SystemExit("the value was asked about, not logged")
    return digit, enter


def main() -> None:
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else 25
    with tempfile.TemporaryDirectory() as scratch:
        book = Logbook(Path(scratch) / "demo.db")
        make_demo(book, on_step=lambda _: None)
        (row,) = book.jobs()
        job = book.open(row.id, "A. Technician")
        job.outcomes()
        read = reads(job)
        digit, enter = asyncio.run(enters(book, job))
        book.close()
    for name, calls in (("OpenJob.read", read), ("a digit", digit), ("Enter", enter)):
        print(f"{name}: {calls}")  # noqa: T201
    for name, calls in (("OpenJob.read", read), ("Enter", enter)):
        print(f"\n{name}, functions by calls")  # noqa: T201
        for function, count in calls.by_function.most_common(lines):
            print(f"{count:>6}  {function}")  # noqa: T201
    total = enter.by_function.total()
    word = "holds" if total <= MOST else "FALLS SHORT"
    print(f"\none Enter: {total:,} calls (at most {MOST:,}): {word}")  # noqa: T201


if __name__ == "__main__":
    main()
