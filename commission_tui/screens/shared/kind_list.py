"""The kinds of fault that fit what is typed, as a list in which one is chosen, or none yet."""

from __future__ import annotations

from textual.widgets.option_list import Option

from commission_tui.checks.faults.kinds import KINDS, FaultKind
from commission_tui.checks.faults.severity import SEVERITY_MEANING
from commission_tui.screens.shared.fault_choices import first_is_said, kinds_offered
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.lists import ChoiceList
from commission_tui.screens.widgets.text_lines import content_of


class KindList(ChoiceList):
    """Nothing is chosen before somebody types or goes down: a stray key would log it."""

    def __init__(self) -> None:
        super().__init__(id="fault-kinds")
        self.offered: tuple[FaultKind, ...] = KINDS
        self.form = ""
        """The form of the place for which they are offered: the same word means another kind at a pixel."""
        self.went_down = False
        """Whether somebody chose another kind than the first that fits what is typed."""

    @property
    def kind(self) -> FaultKind | None:
        """The kind that is chosen."""
        at = self.highlighted
        return self.offered[at] if at is not None and at < len(self.offered) else None

    @property
    def fits_none(self) -> bool:
        """Whether what is typed fits no kind: only something else is left to choose."""
        return len(self.offered) == 1

    def narrow(self, words: str, form: str) -> None:
        """Offer what words mean at a place of that form; what fits none, or is only hinted at, is not taken."""
        self.form, self.went_down = form, False
        self.offered = kinds_offered(words, form)
        self.set_options(Option(content_of([_line(kind)])) for kind in self.offered)
        self.highlighted = 0 if first_is_said(self.offered, words, form) else None

    def move(self, by: int) -> None:
        super().move(by)
        self.went_down = True

    def choose(self, name: str | None) -> bool:
        """Choose a kind that somebody went down to before; return whether it is still offered."""
        for number, kind in enumerate(self.offered):
            if kind.name == name:
                self.highlighted, self.went_down = number, True
        return self.went_down


def _line(kind: FaultKind) -> Line:
    return (kind.name, ""), (f"  {kind.severity}, {SEVERITY_MEANING[kind.severity]}", "muted")
