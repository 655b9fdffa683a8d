"""The screen drawn whole when a test looks at it, and at its end."""

from __future__ import annotations

from typing import Any

import pytest
from textual._compositor import Compositor
from textual._context import visible_screen_stack
from textual.css.model import RuleSet
from textual.css.parse import parse
from textual.pilot import Pilot
from textual.strip import Strip


def drawn(pilot: Pilot[None]) -> list[Strip]:
    """Draw the screen whole and return its rows."""
    visible_screen_stack.set(pilot.app._background_screens)
    return pilot.app.screen._compositor.render_strips()


DRAWS_EACH_CHANGE = Compositor.render_update


def _left(compositor: Compositor, full: bool = False, **how: Any) -> object:
    if full:
        return DRAWS_EACH_CHANGE(compositor, full, **how)
    compositor._dirty_regions.clear()
    return None


def only_when_looked_at(patch: pytest.MonkeyPatch) -> None:
    """Draw no change for the terminal that is not there: it was a fourth of what these tests took."""
    patch.setattr(Compositor, "render_update", _left)


def style_sheets_read_once(patch: pytest.MonkeyPatch) -> None:
    """Read each style sheet once for all apps of a run: each app reads the same ones."""
    read: dict[tuple[object, ...], list[RuleSet]] = {}

    def once(*place: Any, variable_tokens: dict[str, Any], **how: Any) -> list[RuleSet]:
        variables = tuple((name, *tokens) for name, tokens in variable_tokens.items())
        key = (place, variables, *how.items())
        if key not in read:
            scope, css, location = place
            read[key] = list(parse(scope, css, location, variable_tokens=variable_tokens, **how))
        return read[key]

    patch.setattr("textual.css.stylesheet.parse", once)
