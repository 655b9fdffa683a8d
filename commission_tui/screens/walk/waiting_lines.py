"""Lines that wait on the walk: behind a question, or because they were typed for another field."""

from __future__ import annotations

from commission_tui.checks.model.input_parsing import size_pair, xy_pair
from commission_tui.screens.host.typed_keys import Asked, Hold, lines_of
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk import input_prompt
from commission_tui.screens.walk.route import Route


class WaitingLines:
    """What waits at the field of the walk, and whether it was typed for what is asked for now."""

    def __init__(self, screen: JobScreen, route: Route) -> None:
        self._screen, self._route = screen, route
        self.hold: Hold | None = None
        """The question they wait for, if any."""
        self.is_behind_both = False
        """Whether the line that was refused before them named both halves of a pair: both are typed anew."""

    @property
    def are_there(self) -> bool:
        return self.hold is not None and bool(self.hold.typed)

    @property
    def count(self) -> int:
        return self.hold.lines if self.hold is not None and self.hold.typed else 0

    @property
    def are_strays(self) -> bool:
        """Whether lines wait that were typed for another field or place than the one asked for now."""
        hold, at = self.hold, self._route.asks_for
        if hold is None or not hold.typed or hold.meant_for is None:
            return False
        return hold.is_carried or hold.meant_for != at

    def carry(self) -> None:
        """Keep them while one looks at another place, until Enter lets them in there."""
        if self.hold is not None and self.hold.typed:
            self.hold.is_carried = True
            self.are_for_here()
            self.say_strays()

    def let_in(self) -> None:
        """Take them up here, whatever they were typed for."""
        hold, self.hold, at = self.hold, None, self._route.asks_for
        if at is not None:
            self._screen.host.let_in(hold, at)

    def are_for_here(self) -> None:
        """Keep them for what is asked for now: another field may come once a wrong value is right."""
        if self.hold is not None:
            self.hold.meant_for = self.hold.meant_for or self._route.asks_for

    @property
    def is_pair_too_early(self) -> bool:
        """Whether a line waits that is no second half, where that of another pair is asked for."""
        if self.hold is None or not self.hold.typed or not self._route.is_second_half:
            return False
        if self.is_behind_both:
            return True
        first = lines_of(self.hold.typed)[0]
        return xy_pair(first) is not None or size_pair(first) is not None

    def hold_strays(self, meant_for: Asked) -> Hold:
        """Return the hold in which lines wait that came to a field they were not pasted for."""
        self.hold = self._screen.host.put_question(self._screen, self.hold)
        self.hold.meant_for = self.hold.meant_for or meant_for
        self.say_strays()
        return self.hold

    def say_strays(self) -> None:
        if self.hold is not None and self.hold.meant_for is not None:
            waits = input_prompt.strays_wait(self.hold.meant_for.label)
            self._screen.host.say_waits(self.hold, waits)

    def wait_again(self, text: str, meant_for: Asked) -> None:
        """Let lines wait that waited when the program ended, and say so."""
        if text.strip():
            host = self._screen.host
            self.hold = host.put_question(self._screen, self.hold)
            self.hold.came_back = True
            self.hold.add(text, meant_for)
            host.say_waits(self.hold, input_prompt.LEFT)
