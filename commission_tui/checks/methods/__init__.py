"""The methods; importing this package registers every one of them."""

from commission_tui.checks.methods import (
    audience,
    colour,
    design,
    handing_over,
    inputs,
    luminance,
    mains,
    mapping,
    room,
    seams,
    structure,
    suspension,
)

__all__ = [
    "audience",
    "colour",
    "design",
    "handing_over",
    "inputs",
    "luminance",
    "mains",
    "mapping",
    "room",
    "seams",
    "structure",
    "suspension",
]
