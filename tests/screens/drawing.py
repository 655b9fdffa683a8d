"""The screen drawn when a test looks at it, and at its end.

Textual draws every change also where there is no terminal, and throws the drawing away: a third of the
time that tests of screens take.
"""

from __future__ import annotations

from textual._compositor import Compositor
from textual._context import visible_screen_stack
from textual.pilot import Pilot
from textual.screen import Screen
from textual.strip import Strip

draw_each_change = Compositor.render_update
"""What a test takes that looks at what a change draws."""


def only_when_looked_at() -> None:
    """Leave out the drawing of changes; pictures of whole screens are drawn all the same."""

    def render_update(
        compositor: Compositor,
        full: bool = False,
        screen_stack: list[Screen[object]] | None = None,
        simplify: bool = False,
    ) -> object:
        if full:
            return draw_each_change(compositor, full, screen_stack, simplify)
        compositor._dirty_regions.clear()
        return None

    Compositor.render_update = render_update  # type: ignore[method-assign, assignment]


def drawn(pilot: Pilot[None]) -> list[Strip]:
    """Draw the screen whole and return its rows."""
    visible_screen_stack.set(pilot.app._background_screens)
    return pilot.app.screen._compositor.render_strips()
