"""With what a value was read, asked for by Enter before the value is logged."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.screens.instruments import instrument_forms
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.view import Step
from commission_tui.screens.walk.waiting_lines import WaitingLines

_YES_NO = frozenset({"y", "n", "yes", "no"})


class MeterQuestion:
    """Asks which instrument is in use, and logs the value that waits for the answer."""

    def __init__(
        self,
        screen: JobScreen,
        lines: WaitingLines,
        log: Callable[[Step, str], None],
        left: Callable[[], None],
    ) -> None:
        """`log` logs a value, `left` is called when the question was closed without an answer."""
        self._screen, self._lines = screen, lines
        self._log, self._left = log, left
        self._of: tuple[Step, str] | None = None
        """The value for which it was asked."""

    def is_open(self, step: Step) -> bool:
        """Whether nobody said yet with what a value here is read."""
        return walk_view.needs_instrument(self._screen.job, step)

    def is_about(self, step: Step, text: str) -> bool:
        """Whether it was asked for this value."""
        return self._of == (step, text)

    def ask(self, step: Step, text: str) -> None:
        self._of = (step, text)
        instrument_forms.choose_instrument(
            self._screen, step.field.unit, lambda: self.answered(step, text),
            self._left, later=self._waits_too,
        )  # fmt: skip

    def answered(self, step: Step, text: str) -> None:
        """Log what was entered before the instrument was asked for, unless that measures something else."""
        if not self.is_open(step):
            self._log(step, text)

    def _waits_too(self, text: str) -> bool:
        """Let one line more wait for the instrument; whether it is a reading or an answer."""
        is_one = text.strip().casefold() in _YES_NO or instrument_forms.is_figure(text)
        return is_one and self._screen.host.questions.add_line(self._lines.question, text)
