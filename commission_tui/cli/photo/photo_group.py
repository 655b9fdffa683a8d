"""The group ``photo``; each command is imported when it runs."""

from __future__ import annotations

from commission_tui.cli.lazy import LazyGroup

photo = LazyGroup(
    "photo",
    lazy={"tiles": "commission_tui.cli.photo.tiles_command:tiles"},
    help="Read photographs of the wall: which tile every cabinet shows.",
)
