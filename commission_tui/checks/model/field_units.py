"""The units in which fields of checks are read."""

from __future__ import annotations

from commission_tui.engineering.numeric.units import known_unit
from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import quoted

UNITS = frozenset(
    {
        *("", "mm", "m", "cd/m2", "lx", "K", "xy", "%", "ms", "s", "min", "h", "A", "mA", "V", "W"),
        *("ohm", "kN", "kg", "px", "Hz", "count", "grade", "mired", "deg", "°C", "dBA", "dB"),
        *("mm/m", "ppm", "stops", "code", "arcmin", "MΩ", "kW", "N·m", "px/s", "µs", "dBm", "IRE"),
    }
)


def canonical_unit(typed: str) -> str:
    """Return the unit of a field that is meant: ``cd/m²`` and ``nits`` are ``cd/m2``.

    Raises
    ------
    InputError
        When no field of any check is read in it.
    """
    if typed and typed in UNITS:
        return typed
    meant = known_unit(typed)
    for unit in UNITS - {""}:
        if (known_unit(unit) is meant) if meant else (unit.casefold() == typed.casefold()):
            return unit
    raise InputError(
        f"unit: found {quoted(typed)}, expected one such as cd/m2{did_you_mean(typed, UNITS)}"
    )
