"""Transfer of high dynamic range: the light that a signal stands for."""

import math
from typing import Annotated, Literal, get_args

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, computed

Transfer = Literal["PQ", "HLG"]

_PQ_MOST_CD_M2 = 10_000.0
_M1, _M2 = 2610 / 16384, 2523 / 4096 * 128
_C1, _C2, _C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
"""ITU-R BT.2100-2 table 4."""
_A, _B, _C = 0.17883277, 0.28466892, 0.55991073
"""ITU-R BT.2100-2 table 5: a, b = 1 - 4a, c = 0.5 - a ln 4a."""
_NOMINAL_CD_M2, _NOMINAL_GAMMA = 1000.0, 1.2


SignalFraction = Annotated[float, Range(least=0, most=1)]


@checked
def pq_luminance_cd_m2(
    signal_fraction: SignalFraction,
) -> Annotated[float, Range("cd/m²"), "0 to 10 000, whatever the display is"]:
    """Return the luminance that a signal of perceptual quantisation stands for.

    References
    ----------
    .. [1] ITU-R BT.2100-2 table 4, reference PQ EOTF.

    Examples
    --------
    >>> round(pq_luminance_cd_m2(0.58), 0), round(pq_luminance_cd_m2(1.0), 0)
    (202.0, 10000.0)
    """
    root = signal_fraction ** (1.0 / _M2)
    linear = max(root - _C1, 0.0) / (_C2 - _C3 * root)
    return float(_PQ_MOST_CD_M2 * linear ** (1.0 / _M1))


@checked
def hlg_luminance_cd_m2(
    signal_fraction: SignalFraction,
    peak_cd_m2: Annotated[
        float, Range("cd/m²", least=100, most=_PQ_MOST_CD_M2), "Of the display"
    ] = _NOMINAL_CD_M2,
) -> Annotated[float, Range("cd/m²")]:
    """Return the luminance of grey that a signal of hybrid log-gamma stands for on a display.

    Notes
    -----
    Black is taken as 0, and no light of the room is allowed for. The system gamma is
    1.2 + 0.42·log10(peak/1000).

    References
    ----------
    .. [1] ITU-R BT.2100-2 table 5, HLG inverse OETF, OOTF and its note 5f on the gamma.

    Examples
    --------
    >>> round(hlg_luminance_cd_m2(0.75), 0), round(hlg_luminance_cd_m2(1.0, 600.0), 0)
    (203.0, 600.0)
    """
    scene = signal_fraction**2 / 3.0
    if signal_fraction > 0.5:
        scene = (math.exp((signal_fraction - _C) / _A) + _B) / 12.0
    gamma = _NOMINAL_GAMMA + 0.42 * math.log10(peak_cd_m2 / _NOMINAL_CD_M2)
    return float(min(peak_cd_m2 * scene**gamma, peak_cd_m2))


@checked
def signal_luminance_cd_m2(
    transfer: Annotated[Transfer, "``PQ`` or ``HLG``"],
    signal_fraction: SignalFraction,
    peak_cd_m2: Annotated[float, Range("cd/m²", above=0), "Of the display"],
) -> Annotated[float, Range("cd/m²"), "Of PQ at most the peak: what is above it is clipped"]:
    """Return the luminance that a wall of a given peak shall give a signal of high dynamic range.

    References
    ----------
    .. [1] ITU-R BT.2100-2 tables 4 and 5; clipping at the peak: common practice, no published source.

    Examples
    --------
    >>> signal_luminance_cd_m2("PQ", 1.0, 600.0)
    600.0
    """
    if transfer not in get_args(Transfer):
        raise RefusedError(f"transfer is {transfer!r}, expected PQ or HLG")
    if transfer == "HLG":
        return hlg_luminance_cd_m2(signal_fraction, peak_cd_m2)
    return computed("luminance", min(pq_luminance_cd_m2(signal_fraction), peak_cd_m2), "cd/m²")
