"""Keys that come while the window is too small to be seen: none is taken, and it is said afterwards."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import dropwhile
from typing import Any

from textual.app import App

from commission_tui.screens.host.typed_keys import Typed, whole_text

LEAST_WIDTH, LEAST_HEIGHT = 80, 24
_QUITS = "ctrl+q"


def is_covered(app: App[Any]) -> bool:
    """Whether a notice covers the screen, so that nothing unseen may be typed or logged."""
    return app.size.width < LEAST_WIDTH or app.size.height < LEAST_HEIGHT


class CoveredKeys:
    """What was typed under the notice."""

    def __init__(self, app: App[Any]) -> None:
        self._app = app
        self._typed: list[Typed] = []

    def takes(self, typed: Iterable[Typed]) -> bool:
        """Whether keys that came now are for nobody; the one that quits always works."""
        keys = list(typed)
        if not is_covered(self._app) or any(one.text == f"<{_QUITS}>" for one in keys):
            return False
        self._typed += [one for one in keys if one.is_text or one.is_enter]
        return True

    def told(self) -> str:
        """Return what was typed, once it can be read that it was not taken."""
        if is_covered(self._app) or not self._typed:
            return ""
        typed, self._typed = self._typed, []
        return whole_text(list(dropwhile(lambda one: one.is_enter, typed)))
