"""What is typed at a place of the walk and not logged: it waits there until one comes back."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk.route import Route
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.text import clipped


class HalfTyped:
    """The value in the field of the walk, kept with the unfinished forms by where it was typed."""

    def __init__(self, screen: JobScreen, route: Route, field: PlainInput) -> None:
        self._screen, self._route, self._field = screen, route, field

    @property
    def now(self) -> dict[str, str]:
        """Where one is and what is half typed there."""
        step = self._route.step
        if step is None or not self._screen.is_mounted:
            return {}
        at = {"check": self._route.check_id, "field": step.field.name, "place": step.place}
        return {**at, "value": self._field.value}

    @property
    def _draft(self) -> str:
        step = self._route.step
        return f"reading {self._route.check_id} {' '.join(step.slot)}" if step is not None else ""

    def put_aside(self) -> None:
        if self.now.get("value"):
            self._screen.host.drafts[self._draft] = self.now

    def take_up(self) -> None:
        """Put what was half typed here back into the field, where nothing was logged since."""
        step = self._route.step
        kept = self._screen.host.drafts.pop(self._draft, {})
        state, check = self._screen.job.state, self._route.check_id
        if step is not None and state.latest(check, *step.slot) is None:
            self.put_back(kept)

    def put_back(self, kept: Mapping[str, str]) -> None:
        typed = kept.get("value")
        if typed:
            self._field.take_up(typed)
            self._screen.say(
                f"Half typed here and not logged: {clipped(typed, 20)}. Typing replaces it, Esc drops it"
            )
