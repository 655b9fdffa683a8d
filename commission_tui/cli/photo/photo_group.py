"""The group ``photo``; each command is imported when it runs."""

from __future__ import annotations

from commission_tui.cli.lazy import LazyGroup

photo = LazyGroup(
    "photo",
    lazy={
        "tiles": "commission_tui.cli.photo.tiles_command:tiles",
        "light": "commission_tui.cli.photo.light_command:light",
        "pixels": "commission_tui.cli.photo.pixels_command:pixels",
        "seams": "commission_tui.cli.photo.pixels_command:seams",
        "bands": "commission_tui.cli.photo.bands_command:bands",
        "scan": "commission_tui.cli.photo.scan_command:scan",
        "match": "commission_tui.cli.photo.match_command:match",
        "clock": "commission_tui.cli.photo.match_command:clock",
    },
    help="Read photographs of the wall: tiles, evenness, faulty LEDs, seams, a camera's bands.",
)
