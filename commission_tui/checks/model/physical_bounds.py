"""What no quantity can be, however it was measured: refused, where what is only odd is asked about."""

from __future__ import annotations

from commission_tui.engineering.colour.colorimetry import is_light
from commission_tui.figures import with_unit

_BOUNDS: dict[str, tuple[float | None, float | None]] = {
    **dict.fromkeys(("cd/m2", "lx", "kg", "N", "kN", "N·m", "A", "mA", "kA", "V"), (0.0, None)),
    **dict.fromkeys(("W", "kW", "VA", "kVA", "Wh", "kWh", "ohm", "mΩ", "MΩ", "mm²"), (0.0, None)),
    **dict.fromkeys(("Hz", "kHz", "MHz", "h", "min", "count", "code"), (0.0, None)),
    **dict.fromkeys(("px/s", "arcmin"), (0.0, None)),
    "K": (0.0, None),
    "°C": (-273.15, None),
    "ppm": (0.0, 1e6),
    "xy": (0.0, 0.85),
    "grade": (0.0, 4.0),
    "dBA": (-30.0, 194.0),
}
"""Lowest and highest value that a unit allows. 194 dB is a sound as strong as the air itself."""
_WHOLE = frozenset({"count", "code"})
_SIGNED = frozenset({"", "mm", "m", "px", "ms", "s", "%", "deg", "mm/m"})
"""Units of sizes, times and shares as well as of differences: what is never below 0 by the field's
own range cannot be, and what ends at 100 % is a share of a whole."""


def why_impossible(
    value: float, unit: str, low: float | None = None, high: float | None = None
) -> str:
    """Say what a value in a unit would have to be; nothing where it can be.

    `low` and `high` are the range that one would expect of it.
    """
    least, most = _BOUNDS.get(unit, (None, None))
    if unit in _SIGNED and low is not None and low >= 0:
        least = 0.0
    if unit == "%" and high == 100 and low is not None and low >= 0:
        most = 100.0
    if unit == "grade" and not 0 <= value <= 4:
        return "a grade from 0 to 4"
    if least is not None and value < least:
        return f"at least {with_unit(f'{least:g}', unit)}"
    if most is not None and value > most:
        return f"at most {with_unit(f'{most:g}', unit)}"
    return "a whole number" if unit in _WHOLE and not value.is_integer() else ""


LIT, OFF = "luminance_cd_m2", "room_cd_m2"
"""Fields of a check: what is read with the wall lit, and what of it is the room's, taken off."""
_ROOM_MOVES = 1.0
"""cd/m2 by which a lit place that is dark may read less than the wall when off: the room moves."""


def darker_than_off(lit: float, off: float) -> bool:
    """Whether a place of the lit wall was read darker than the wall when off, which cannot be."""
    return lit < off - _ROOM_MOVES


def why_darker(place: str, lit: float, off: float) -> str:
    return (
        f"{place}: found {lit:g} cd/m² lit and {off:g} cd/m² with the wall off, expected more light "
        "with the wall on"
    )


def other_coordinate(field: str) -> str:
    """Return the field of the other coordinate of a chromaticity: ``y`` of ``x``, ``own_x`` of ``own_y``."""
    return field[:-1] + {"x": "y", "y": "x"}.get(field[-1], field[-1])


def why_no_light(field: str, value: float, other: float) -> str:
    """Say that two coordinates make no colour of light; nothing where they do."""
    x, y = (value, other) if field.endswith("x") else (other, value)
    if is_light(x, y):
        return ""
    return (
        f"x {x:g} with y {y:g}, expected a colour inside the spectral locus: no light has this one"
    )
