"""Two frame rates side by side: how often a frame is repeated or dropped."""

from __future__ import annotations

from commission_tui.engineering.numeric.bounds import computed, positive


def slip_period_s(one_hz: float, other_hz: float) -> float | None:
    """Return the time from one repeated or dropped frame to the next.

    Parameters
    ----------
    one_hz, other_hz : float
        Frame rates, above 0, [Hz].

    Returns
    -------
    float or None
        [s]; None when both rates are the same.

    Raises
    ------
    ValueError
        A rate that is not above 0.

    Notes
    -----
    Of two rates one gains a whole frame on the other every 1/abs(f1 - f2).

    References
    ----------
    .. [1] Arithmetic.

    Examples
    --------
    >>> round(slip_period_s(60.0, 60000 / 1001), 2)
    16.68
    """
    apart = abs(positive("one_hz", one_hz, "Hz") - positive("other_hz", other_hz, "Hz"))
    return computed("slip period", 1.0 / apart, "s") if apart > 0.0 else None
