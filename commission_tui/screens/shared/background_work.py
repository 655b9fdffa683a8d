"""Work of a screen in a thread, or in a process that the thread waits for; no key waits for either."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, TypeVar

from textual.dom import DOMNode
from textual.screen import Screen
from textual.timer import Timer
from textual.worker import Worker, get_current_worker

from commission_tui.errors import CommissionError
from commission_tui.progress import StoppedError
from commission_tui.screens.terminal.styled_text import SHADES, Line
from commission_tui.subprocess_job import Step, SubprocessJob

_STOPS: Line = (("   Esc", "key"), (" stops", "muted"))
_LEAST_CELLS, _MOST_CELLS = 5, 20
_WIDE = 36


def progress_line(what: str, done: float, of: float, width: int, more: str = "") -> Line:
    """Say how far work is; `of` is 0 while that is not known. `more` replaces the two numbers."""
    if not of:
        so_far = f"{done:,.0f} so far" if done else "..."
        return ((f"{what} ", "muted"), (so_far, "strong"), *_STOPS)
    share = min(1.0, done / of)
    numbers = more or f"{done:,.0f} of {of:,.0f}"
    cells = max(_LEAST_CELLS, min(_MOST_CELLS, width - len(what) - len(numbers) - 20))
    full = round(share * cells)
    return (
        (f"{what} ", "muted"),
        (SHADES[-1] * full + SHADES[0] * (cells - full), ""),
        (f" {share:4.0%} ", "strong"),
        (numbers, "muted"),
        *_STOPS,
    )


def working_line(doing: str, step: Step | None, seconds: int, width: int) -> Line:
    """Say how far long work is, for how long it has run, and that Esc stops it."""
    if step is None:
        return progress_line(doing, 0, 0, width)
    more = f"{step.number} of {step.count}: {step.says}, {seconds} s"
    # As wide for every step, so that the bar does not jump.
    return progress_line(doing, step.number - 1, step.count, width, f"{more:<{_WIDE}}")


T = TypeVar("T")
Tell = Callable[..., None]
"""Called in the thread: with a function, and what it is to be called with on the screen's side."""


def _nothing() -> None:
    pass


class Background:
    """One piece of work at a time; what is no longer wanted is told to nobody."""

    def __init__(self, node: DOMNode, group: str = "background") -> None:
        self._node, self._group = node, group
        self._worker: Worker[None] | None = None
        self._wanted: object = None

    def start(
        self,
        what: str,
        make: Callable[[Tell], T],
        done: Callable[[T], None],
        failed: Callable[[CommissionError], None],
        stopped: Callable[[], None] = _nothing,
    ) -> None:
        """Do something in the place of what was begun before.

        `make` runs in the thread, everything else on the screen's side. What it hands its first
        argument is shown meanwhile; where it does so it ends, once `stop` was called.
        """
        self.forget()
        self._wanted = wanted = object()
        later: Callable[..., object] = partial(self._node.call_later, self._call_if_wanted, wanted)
        at_end: Callable[..., object] = partial(self._node.call_later, self._end, wanted)

        def work() -> None:
            worker = get_current_worker()

            def tell(show: Callable[..., None] = _nothing, *values: Any) -> None:
                if worker.is_cancelled:
                    raise StoppedError
                if show is not _nothing:
                    later(show, *values)

            try:
                made = make(tell)
            except StoppedError:
                at_end(stopped)
            except CommissionError as error:
                at_end(failed, error)
            except (
                Exception
            ) as error:  # the thread's edge: of one that was stopped nobody would hear
                at_end(failed, CommissionError(f"{what} failed: {error!r:.200}"))
            else:
                at_end(done, made)

        self._worker = self._node.run_worker(
            work, thread=True, group=self._group, exit_on_error=False, description=what
        )

    def _call_if_wanted(self, wanted: object, show: Callable[..., None], *values: Any) -> None:
        if wanted is self._wanted:
            show(*values)

    def _end(self, wanted: object, show: Callable[..., None], *values: Any) -> None:
        """Show what came of the work, which is over: what is begun then has nothing to stop."""
        if wanted is self._wanted:
            self._worker = None
            show(*values)

    def stop(self) -> None:
        """Ask the work to end; what comes of it is still told."""
        if self._worker is not None:
            self._worker.cancel()

    def forget(self) -> None:
        """Ask the work to end, and let nothing of it be told."""
        self.stop()
        self._wanted = None

    @property
    def is_stopping(self) -> bool:
        return self._worker is not None and self._worker.is_cancelled


class SteppedWork:
    """Long work that goes by steps: how far it is, for how long; ended up to its last step."""

    def __init__(self, screen: Screen[Any], show: Callable[..., None]) -> None:
        """Work for a screen; `show` shows lines: how far it is, and what came of it."""
        self._screen, self._show = screen, show
        self._background = Background(screen)
        self._apart: SubprocessJob | None = None
        self._doing = ""
        self._step: Step | None = None
        self._seconds = 0
        self._clock: Timer | None = None

    @property
    def is_on(self) -> bool:
        return bool(self._doing)

    @property
    def may_stop(self) -> bool:
        """Whether something is made; its last step is done whole or not at all."""
        return self.is_on and (self._step is None or self._step.number < self._step.count)

    def begin(
        self,
        doing: str,
        make: Callable[[Callable[[Step], None]], T],
        done: Callable[[T], Sequence[Line]],
        *,
        apart: SubprocessJob | None = None,
        step: Step | None = None,
    ) -> None:
        """Begin to make something, in a process of its own where there is one.

        `make` says each step before it begins; `done` takes what was made and says what to show.
        """
        self._doing, self._apart, self._step, self._seconds = doing, apart, step, 0
        self._clock = self._screen.set_interval(1.0, self._tick)
        self._background.start(
            doing,
            lambda tell: make(partial(tell, self._go_on)),
            lambda made: self._end(*done(made)),
            lambda error: self._end(((str(error), "error"),)),
            lambda: self._end((("stopped; nothing was written", "error"),)),
        )
        self._say()
        self._screen.refresh_bindings()

    def stop(self) -> bool:
        """End what is being made; False when there is nothing to end."""
        if not self.may_stop:
            return False
        self._background.stop()
        if self._apart is not None:
            self._apart.stop()
        return True

    def leave(self) -> None:
        """End it with the screen that it was for."""
        if self.stop():
            notice = f"{self._doing} was stopped; nothing was written"
            self._screen.app.notify(notice, markup=False)

    def _tick(self) -> None:
        self._seconds += 1
        self._say()

    def _say(self) -> None:
        line = working_line(self._doing, self._step, self._seconds, self._screen.size.width - 2)
        self._show(line if self.may_stop else line[:-2])

    def _go_on(self, step: Step) -> None:
        could_stop, self._step = self.may_stop, step
        self._say()
        if could_stop != self.may_stop:
            self._screen.refresh_bindings()

    def _end(self, *lines: Line) -> None:
        self._doing, self._apart, self._step = "", None, None
        if self._clock is not None:
            self._clock.stop()
        self._show(*lines)
        self._screen.refresh_bindings()
