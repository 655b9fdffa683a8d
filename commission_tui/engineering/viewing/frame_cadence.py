"""Two frame rates side by side: how often a frame is repeated or dropped, and how a phase drifts."""

from __future__ import annotations

from commission_tui.engineering.numeric.bounds import computed, finite, positive


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


def drift_slip_s(drift_us: float, watched_s: float, frame_hz: float) -> float | None:
    """Return the time until a phase that drifts has moved by a whole frame.

    Parameters
    ----------
    drift_us : float
        By how much the phase moved while it was watched, [µs].
    watched_s : float
        How long, above 0, [s].
    frame_hz : float
        Above 0, [Hz].

    Returns
    -------
    float or None
        [s]; None where nothing moved.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    The two clocks differ by drift/watched; a frame is lost after frame·watched/drift.

    References
    ----------
    .. [1] Arithmetic.

    Examples
    --------
    >>> round(drift_slip_s(200.0, 60.0, 50.0))
    6000
    """
    moved = abs(finite("drift_us", drift_us, "µs")) * 1e-6
    watched = positive("watched_s", watched_s, "s")
    frame_s = 1.0 / positive("frame_hz", frame_hz, "Hz")
    return computed("slip period", frame_s / moved * watched, "s") if moved > 0.0 else None
