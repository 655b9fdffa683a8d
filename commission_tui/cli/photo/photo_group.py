"""The group ``photo``, each command imported when it runs, and what its commands share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from commission_tui.cli.lazy import LazyGroup
from commission_tui.cli.options import any_file

tiles_option: Callable[[Any], Any] = click.option(
    "--tiles",
    type=any_file,
    required=True,
    help="The photograph of the pattern 'coded tiles' from the same place.",
)
linear_option: Callable[[Any], Any] = click.option(
    "--linear", is_flag=True, help="The 16-bit files were developed without a tone curve."
)

photo = LazyGroup(
    "photo",
    modules={
        "photo.tiles_command": "tiles",
        "photo.light_command": "light",
        "photo.pixels_command": "pixels seams",
        "photo.bands_command": "bands",
        "photo.scan_command": "scan",
        "photo.match_command": "match clock",
    },
    help="Read photographs of the wall: tiles, evenness, faulty LEDs, seams, a camera's bands.",
)
