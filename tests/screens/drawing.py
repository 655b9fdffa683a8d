"""The screen drawn whole when a test looks at it, and at its end."""

from __future__ import annotations

from textual._context import visible_screen_stack
from textual.pilot import Pilot
from textual.strip import Strip


def drawn(pilot: Pilot[None]) -> list[Strip]:
    """Draw the screen whole and return its rows."""
    visible_screen_stack.set(pilot.app._background_screens)
    return pilot.app.screen._compositor.render_strips()
