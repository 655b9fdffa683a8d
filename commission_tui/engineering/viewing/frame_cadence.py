"""Two frame rates side by side: how often a frame is repeated or dropped, and how a phase drifts."""

from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed


@checked
def slip_period_s(
    one_hz: Annotated[float, Range("Hz", above=0)], other_hz: Annotated[float, Range("Hz", above=0)]
) -> Annotated[float | None, Range("s"), "None when both rates are the same"]:
    """Return the time from one repeated or dropped frame to the next.

    Notes
    -----
    Of two rates one gains a whole frame on the other every 1/abs(f1 - f2). Arithmetic.

    Examples
    --------
    >>> round(slip_period_s(60.0, 60000 / 1001), 2)
    16.68
    """
    apart = abs(one_hz - other_hz)
    return computed("slip period", 1.0 / apart, "s") if apart > 0.0 else None


@checked
def drift_slip_s(
    drift_us: Annotated[float, Range("µs"), "By how much the phase moved while it was watched"],
    watched_s: Annotated[float, Range("s", above=0), "How long"],
    frame_hz: Annotated[float, Range("Hz", above=0)],
) -> Annotated[float | None, Range("s"), "None where nothing moved"]:
    """Return the time until a phase that drifts has moved by a whole frame.

    Notes
    -----
    The two clocks differ by drift/watched; a frame is lost after frame·watched/drift. Arithmetic.

    Examples
    --------
    >>> round(drift_slip_s(200.0, 60.0, 50.0))
    6000
    """
    moved = abs(drift_us) * 1e-6
    frame_s = 1.0 / frame_hz
    return computed("slip period", frame_s / moved * watched_s, "s") if moved > 0.0 else None
