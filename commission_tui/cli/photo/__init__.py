"""Commands that read photographs of the wall."""

from __future__ import annotations

from commission_tui.cli.lazy import LazyGroup

photo = LazyGroup(
    "photo",
    lazy={"tiles": "commission_tui.cli.photo.tiles_command:tiles"},
    help="Read photographs: which tile every cabinet shows.",
)
