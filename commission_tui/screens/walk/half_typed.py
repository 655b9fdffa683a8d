"""What is typed at a place of the walk and not logged: it waits there until one comes back."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.screens.host.begun_forms import is_of_visit, reading_draft, visit_now
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk.route import Route
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.text import clipped, listed


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
        check, stands = self._route.check_id, self._screen.job.state.latest
        logged = stands(check, *step.slot)
        at = {"check": check, "field": step.field.name, "place": step.place}
        at["visit"] = visit_now(self._screen.job.state)
        return {**at, "over": logged.id if logged else "", "value": self._field.value}

    def put_aside(self, left: Mapping[str, str]) -> None:
        """Keep what was half typed at the place that was left, and say that it waits there."""
        if left.get("value"):
            self._screen.host.drafts[reading_draft(left)] = dict(left)
            typed = clipped(left["value"], 20)
            self._screen.say(f"Not logged, and waits where it was typed, {left['place']}: {typed}")

    def take_up(self) -> str:
        """Put what was half typed here back into the field, where nothing was logged since; return it."""
        here = self.now
        kept = self._screen.host.drafts.pop(reading_draft(here), {}) if here else {}
        if kept.get("over", "") != here.get("over", ""):
            return ""
        if kept and not is_of_visit(kept, self._screen.job.state):
            self.say_dropped(kept.get("value", ""))
            return ""
        self.put_back(kept)
        return kept.get("value", "")

    def put_back(self, kept: Mapping[str, str]) -> None:
        typed = kept.get("value")
        if typed:
            self._field.take_up(typed)
            self._screen.say(
                f"Half typed here and not logged: {clipped(typed, 20)}. Typing replaces it, Esc drops it"
            )

    def say_dropped(self, *typed: str) -> None:
        """Say that what was begun on an earlier visit is no reading of this one."""
        if found := [clipped(line.strip(), 20) for line in typed if line.strip()]:
            self._screen.say(
                f"Half typed before this visit, and dropped: {listed(found, 4, ' | ')}"
            )

    def drop(self) -> None:
        """Clear the field, and say what of."""
        typed = self._field.value
        self._field.empty()
        self._screen.say(f"Not logged, and dropped: {clipped(typed, 40)}")
