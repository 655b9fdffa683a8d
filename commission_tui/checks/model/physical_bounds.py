"""What no quantity can be, however it was measured: refused, where what is only odd is asked about."""

from __future__ import annotations

from commission_tui.engineering.colour.colorimetry import is_light

_BOUNDS: dict[str, tuple[float | None, float | None]] = {
    **dict.fromkeys(("cd/m2", "lx", "kg", "kN", "N·m", "A", "mA", "W", "kW", "V"), (0.0, None)),
    **dict.fromkeys(
        ("ohm", "MΩ", "Hz", "h", "min", "count", "code", "px/s", "arcmin"), (0.0, None)
    ),
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
    shown = f" {unit}" if unit not in ("", "count", "xy") else ""
    if least is not None and value < least:
        return f"at least {least:g}{shown}"
    if most is not None and value > most:
        return f"at most {most:g}{shown}"
    return "a whole number" if unit in _WHOLE and not value.is_integer() else ""


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
