"""Lines that wait on the walk: behind a question, or because they were typed for another field."""

from __future__ import annotations

from commission_tui.checks.model.input_parsing import size_pair, xy_pair
from commission_tui.screens.host import waiting_words
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.host.typed_keys import Asked, lines_of
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk.route import Route


class WaitingLines:
    """What waits at the field of the walk, and whether it was typed for what is asked for now."""

    def __init__(self, screen: JobScreen, route: Route) -> None:
        self._screen, self._route = screen, route
        self.question: PendingQuestion | None = None
        """The question they wait for, if any."""
        self.is_behind_both = False
        """Whether the line that was refused before them named both halves of a pair: both are typed anew."""

    @property
    def are_there(self) -> bool:
        return self.question is not None and bool(self.question.keys)

    @property
    def count(self) -> int:
        return self.question.line_count if self.question is not None and self.question.keys else 0

    @property
    def are_strays(self) -> bool:
        """Whether lines wait that were typed for another field or place than the one asked for now."""
        question, at = self.question, self._route.asks_for
        if question is None or not question.keys or question.meant_for is None:
            return False
        return question.is_carried or question.meant_for != at

    def carry(self) -> None:
        """Keep them while one looks at another place, until Enter lets them in there."""
        if self.question is not None and self.question.keys:
            self.question.is_carried = True
            self.are_for_here()
            self.say_strays()

    def let_in(self) -> None:
        """Take them up here, whatever they were typed for."""
        question, self.question, at = self.question, None, self._route.asks_for
        if at is not None:
            self._screen.host.questions.answer_at(question, at)

    def are_for_here(self) -> None:
        """Keep them for what is asked for now: another field may come once a wrong value is right."""
        if self.question is not None:
            self.question.meant_for = self.question.meant_for or self._route.asks_for

    @property
    def is_pair_too_early(self) -> bool:
        """Whether a line waits that is no second half, where that of another pair is asked for."""
        if self.question is None or not self.question.keys or not self._route.is_second_half:
            return False
        if self.is_behind_both:
            return True
        first = lines_of(self.question.keys)[0]
        return xy_pair(first) is not None or size_pair(first) is not None

    def ask_about_strays(self, meant_for: Asked) -> PendingQuestion:
        """Return the question for which lines wait that came to a field they were not pasted for."""
        self.question = self._screen.host.questions.put(self._screen, self.question)
        self.question.meant_for = self.question.meant_for or meant_for
        self.say_strays()
        return self.question

    def say_strays(self) -> None:
        if self.question is not None and self.question.meant_for is not None:
            words = waiting_words.strays(self.question.meant_for.label)
            self._screen.host.questions.reword(self.question, words)

    def wait_again(self, text: str, meant_for: Asked) -> None:
        """Let lines wait that waited when the program ended, and say so."""
        if text.strip():
            host = self._screen.host
            self.question = host.questions.put(self._screen, self.question)
            self.question.came_back = True
            self.question.add(text, meant_for)
            host.questions.reword(self.question, waiting_words.LAST_TIME)
