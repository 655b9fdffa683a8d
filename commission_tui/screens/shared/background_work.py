"""A screen of a job that does long work: one at a time, with its progress, ended by Esc."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual.message import Message
from textual.timer import Timer
from textual.worker import Worker

from commission_tui.errors import CommissionError
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.shared.work_steps import working_line
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.subprocess_job import Step, StoppedError, SubprocessJob


class WorkingScreen(JobScreen):
    """Runs work in a thread, or in a process that the thread waits for; no key waits for either."""

    @dataclass
    class Progress(Message):
        """The next step begins; the last is done whole or not at all."""

        step: Step

    @dataclass
    class Failed(Message):
        """Nothing was written, and why."""

        text: str

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._worker: Worker[None] | None = None
        self._apart: SubprocessJob | None = None
        self._stopping = False
        self._doing = ""
        self._step: Step | None = None
        self._seconds = 0
        self._clock: Timer | None = None

    def on_unmount(self) -> None:
        super().on_unmount()
        if self.is_working and self._may_stop:
            self.action_stop()
            self.app.notify(f"{self._doing} was stopped; nothing was written", markup=False)

    def work_line(self, *lines: Line) -> None:
        """Show how far the work is, or what came of it."""
        raise NotImplementedError

    @property
    def is_working(self) -> bool:
        return self._worker is not None

    @property
    def _may_stop(self) -> bool:
        return self._step is None or self._step.number < self._step.count

    # --- in the screen

    def begin(self, doing: str, worker: Worker[None], step: Step | None = None) -> None:
        """Show that work has begun."""
        self._doing, self._worker, self._step, self._seconds = doing, worker, step, 0
        self._clock = self.set_interval(1.0, self._tick)
        self._say_progress()
        self.refresh_bindings()

    def _tick(self) -> None:
        self._seconds += 1
        self._say_progress()

    def _say_progress(self) -> None:
        width, glyphs = self.size.width - 2, self.host.glyphs
        line = working_line(self._doing, self._step, self._seconds, width, glyphs)
        self.work_line(line if self._may_stop else line[:-2])

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        if event.worker is self._worker and event.worker.error:
            self.ended(((f"{self._doing} failed: {event.worker.error}", "error"),))

    def on_working_screen_progress(self, event: Progress) -> None:
        if self.is_working:
            could_stop, self._step = self._may_stop, event.step
            self._say_progress()
            if could_stop != self._may_stop:
                self.refresh_bindings()

    def on_working_screen_failed(self, event: Failed) -> None:
        self.ended(((event.text, "error"),))

    def ended(self, *lines: Line) -> None:
        """Show what came of the work."""
        self._worker = self._apart = self._step = None
        self._stopping = False
        if self._clock is not None:
            self._clock.stop()
        self.work_line(*lines)
        self.refresh_bindings()

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 (Textual calls it so)
    ) -> bool | None:
        return self.is_working and self._may_stop if action == "stop" else True

    def action_stop(self) -> None:
        self._stopping = True
        if self._apart is not None:
            self._apart.stop()

    def action_back(self) -> None:
        """Stop what is being made; only then leave."""
        if self.is_working and self._may_stop:
            self.action_stop()
        else:
            super().action_back()

    # --- in the worker

    def report(self, make: Callable[[], Message]) -> None:
        """Do the work and say what came of it."""
        try:
            message = make()
        except CommissionError as error:
            message = self.Failed(str(error))
        except StoppedError:
            message = self.Failed("stopped; nothing was written")
        self.post_message(message)

    def tell_step(self, step: Step) -> None:
        """Say that a step begins, unless the work is to stop before it."""
        if self._stopping:
            raise StoppedError
        self.post_message(self.Progress(step))
