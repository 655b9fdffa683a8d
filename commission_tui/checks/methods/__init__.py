"""The methods; importing this package registers every one of them."""

from commission_tui.checks.methods import (
    audience,
    cameras,
    colour,
    design,
    general,
    handing_over,
    inputs,
    luminance,
    mains,
    mapping,
    pixels,
    room,
    seams,
    structure,
    suspension,
)

__all__ = [
    "audience",
    "cameras",
    "colour",
    "design",
    "general",
    "handing_over",
    "inputs",
    "luminance",
    "mains",
    "mapping",
    "pixels",
    "room",
    "seams",
    "structure",
    "suspension",
]
