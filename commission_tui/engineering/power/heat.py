"""Heat that a wall gives to the room."""

from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

_BTU_J = 1055.05585262
_BTU_H_PER_TON = 12_000.0


@checked
def heat_btu_h(
    power_w: Annotated[
        float, Range("W", least=0), "Electrical; nearly all of it becomes heat in the room"
    ],
) -> Annotated[float, Range("BTU/h")]:
    """Heat that a wall gives to the room.

    References
    ----------
    .. [1] International table BTU, 1055.05585262 J (BS 350, NIST SP 811 appendix B.8).

    Examples
    --------
    >>> round(heat_btu_h(1000.0), 1)
    3412.1
    """
    return computed("heat", power_w * 3600.0 / _BTU_J, "BTU/h")


@checked
def heat_tons(
    power_w: Annotated[float, Range("W", least=0), "Electrical"],
) -> Annotated[float, Range("ton of refrigeration"), "Of 12,000 BTU/h"]:
    """Heat that a wall gives to the room, in tons of refrigeration.

    References
    ----------
    .. [1] NIST SP 811, appendix B.8: 1 ton of refrigeration is 12,000 BTU/h.

    Examples
    --------
    >>> round(heat_tons(6300.0), 2)
    1.79
    """
    return heat_btu_h(power_w) / _BTU_H_PER_TON
