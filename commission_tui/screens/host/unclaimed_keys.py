"""Keys for which no field is there: lines of a list whose field somebody has left, and words that come at once."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import takewhile

from textual import events
from textual.app import App
from textual.widgets import Input

from commission_tui.screens.host.key_table import key_name
from commission_tui.screens.host.typed_keys import (
    Pace,
    Typed,
    is_spelt,
    is_text_line,
    is_word,
    whole_text,
)
from commission_tui.text import listed

_FIGURES = frozenset("0123456789.,")
_NO_FIELD = "no field here takes it"
_TOLD = 6
"""So many keys are told one by one."""


class UnclaimedKeys:
    """What came last and was not taken; what goes on behind it without a pause is no command either."""

    def __init__(self, app: App[None], pace: Pace) -> None:
        self._app, self._pace = app, pace
        self._lost: list[Typed] = []
        self._before: list[tuple[Typed, str]] = []
        """Letters that were taken as keys at once before, and what each did; with them it may be one line."""
        self._refused_at = -math.inf
        """When the latest key came that a form refused, or that came at once behind it."""
        self.why = _NO_FIELD

    def refuse(self, why: str) -> None:
        """Take nothing of what comes at once behind the key that is at work: it was for another screen."""
        self.forget()
        self._refused_at, self.why = self._pace.last_at, why

    def has(self, typed: Typed, behind: Iterable[Typed], reads_s: float) -> bool:
        """Whether a key is one of them; `behind` is what came since."""
        if not typed.is_escape and typed.at - self._refused_at < reads_s:
            self._refused_at = typed.at
            self._lost.append(typed)
            return True
        self._refused_at, self.why = -math.inf, _NO_FIELD
        lost, self._lost = self._lost, []
        before, self._before = self._before, []
        if typed.paste or isinstance(self._app.focused, Input):
            return False
        if not (typed.is_text or typed.is_enter):
            return False
        if not lost or typed.at - lost[-1].at >= reads_s:
            if before and typed.at - before[-1][0].at >= reads_s:
                before = []
            if not self._begins(typed, behind, reads_s):
                if typed.is_text:
                    self._before = [*before, (typed, self._does(typed))]
                return False
            lost = []
        self._before, self._lost = before, [*lost, typed]
        return True

    def _does(self, typed: Typed) -> str:
        """Return what a key does on this screen, as its help calls it; nothing where it does nothing."""
        bound = self._app.screen.active_bindings.get(typed.key)
        return bound.binding.description if bound else ""

    def _begins(self, typed: Typed, behind: Iterable[Typed], reads_s: float) -> bool:
        focused = self._app.focused
        parts = focused.ancestors_with_self if focused else [self._app.screen]
        if any(hasattr(part, "on_key") for part in parts):
            return False
        at_once = [typed, *takewhile(lambda one: one.is_text, behind)]
        is_figure = typed.text in _FIGURES and not self._is_bound(typed)
        spelt = self._pace.is_behind_form(typed, reads_s) and is_spelt(at_once, self._opening)
        # Where its first letter does nothing, the rest of a word is no command either.
        word = not (self._opening and self._is_bound(typed)) and is_word(at_once)
        return is_figure or spelt or word or is_text_line(at_once, self._opening)

    def goes_on(self, follows: Typed, reads_s: float) -> bool:
        """Whether the next key is one more."""
        return follows.is_one_more(self._lost[-1], reads_s)

    @property
    def text(self) -> str:
        """All that was typed together, and which of it was taken as a key."""
        before = self._before
        if any(
            typed.text in self._opening for typed, _ in before
        ):  # behind one, a passphrase may be typed
            before = []
        did = [f"{key_name(typed.key)}: {does}" for typed, does in before if does]
        whole = whole_text([*(typed for typed, _ in before), *self._lost])
        return f"{whole}. Taken as a key: {listed(did, _TOLD)}" if did else whole

    def forget(self) -> None:
        self._lost, self._before = [], []

    @property
    def _opening(self) -> str:
        """The letters behind which words are typed here."""
        return str(getattr(self._app.screen, "OPENING_KEYS", ""))

    def _is_bound(self, typed: Typed) -> bool:
        bound = self._app.screen.active_bindings
        return isinstance(typed.event, events.Key) and typed.event.key in bound
