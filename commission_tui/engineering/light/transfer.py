"""Transfer of high dynamic range: the light that a signal stands for."""

from __future__ import annotations

import math
from typing import Literal, get_args

from commission_tui.engineering.numeric.bounds import computed, finite, positive

Transfer = Literal["PQ", "HLG"]

_PQ_MOST_CD_M2 = 10_000.0
_M1, _M2 = 2610 / 16384, 2523 / 4096 * 128
_C1, _C2, _C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
"""ITU-R BT.2100-2 table 4."""
_A, _B, _C = 0.17883277, 0.28466892, 0.55991073
"""ITU-R BT.2100-2 table 5: a, b = 1 - 4a, c = 0.5 - a ln 4a."""
_NOMINAL_CD_M2, _NOMINAL_GAMMA = 1000.0, 1.2


def pq_luminance_cd_m2(signal_fraction: float) -> float:
    """Return the luminance that a signal of perceptual quantisation stands for.

    Parameters
    ----------
    signal_fraction : float
        0 to 1, [1].

    Returns
    -------
    float
        0 to 10 000, whatever the display is, [cd/m²].

    Raises
    ------
    ValueError
        A signal outside its range.

    References
    ----------
    .. [1] ITU-R BT.2100-2 table 4, reference PQ EOTF.

    Examples
    --------
    >>> round(pq_luminance_cd_m2(0.58), 0), round(pq_luminance_cd_m2(1.0), 0)
    (202.0, 10000.0)
    """
    signal = finite("signal_fraction", signal_fraction, "", low=0.0, high=1.0)
    root = signal ** (1.0 / _M2)
    linear = max(root - _C1, 0.0) / (_C2 - _C3 * root)
    return float(_PQ_MOST_CD_M2 * linear ** (1.0 / _M1))


def hlg_luminance_cd_m2(signal_fraction: float, peak_cd_m2: float = _NOMINAL_CD_M2) -> float:
    """Return the luminance of grey that a signal of hybrid log-gamma stands for on a display.

    Parameters
    ----------
    signal_fraction : float
        0 to 1, [1].
    peak_cd_m2 : float
        Of the display, 100 to 10 000, [cd/m²].

    Returns
    -------
    float
        [cd/m²].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    signal = finite("signal_fraction", signal_fraction, "", low=0.0, high=1.0)
    peak = finite("peak_cd_m2", peak_cd_m2, "cd/m²", low=100.0, high=_PQ_MOST_CD_M2)
    scene = signal**2 / 3.0 if signal <= 0.5 else (math.exp((signal - _C) / _A) + _B) / 12.0
    gamma = _NOMINAL_GAMMA + 0.42 * math.log10(peak / _NOMINAL_CD_M2)
    return float(min(peak * scene**gamma, peak))


def signal_luminance_cd_m2(transfer: Transfer, signal_fraction: float, peak_cd_m2: float) -> float:
    """Return the luminance that a wall of a given peak shall give a signal of high dynamic range.

    Parameters
    ----------
    transfer : str
        ``PQ`` or ``HLG``.
    signal_fraction, peak_cd_m2 : float
        As in `hlg_luminance_cd_m2`.

    Returns
    -------
    float
        Of PQ at most the peak: what is above it is clipped, [cd/m²].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] ITU-R BT.2100-2 tables 4 and 5; clipping at the peak: common practice, no published source.

    Examples
    --------
    >>> signal_luminance_cd_m2("PQ", 1.0, 600.0)
    600.0
    """
    if transfer not in get_args(Transfer):
        raise ValueError(f"transfer is {transfer!r}, expected PQ or HLG")
    if transfer == "HLG":
        return hlg_luminance_cd_m2(signal_fraction, peak_cd_m2)
    peak = positive("peak_cd_m2", peak_cd_m2, "cd/m²")
    return computed("luminance", min(pq_luminance_cd_m2(signal_fraction), peak), "cd/m²")
