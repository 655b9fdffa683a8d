"""What a break in a moving edge says of two parts of the wall."""

from __future__ import annotations

from commission_tui.engineering.numeric.bounds import computed, finite, positive

__all__ = ["frames_apart"]


def frames_apart(offset_px: float, speed_px_s: float, frame_rate_hz: float) -> float:
    """Return how many frames one part of the wall is behind another.

    Parameters
    ----------
    offset_px : float
        Break in a straight vertical edge that moves sideways, plus where the second part is
        behind, [px].
    speed_px_s : float
        Of the edge, above 0, [px/s].
    frame_rate_hz : float
        Of the wall, above 0, [Hz].

    Returns
    -------
    float
        [frame].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    An edge moves speed / rate pixels in a frame; the break over that is the number of frames.

    References
    ----------
    .. [1] Kinematics.

    Examples
    --------
    >>> frames_apart(20.0, 1200.0, 60.0)
    1.0
    """
    offset = finite("offset_px", offset_px, "px")
    per_frame = computed(
        "pixels in a frame",
        positive("speed_px_s", speed_px_s, "px/s") / positive("frame_rate_hz", frame_rate_hz, "Hz"),
        "px",
    )
    return computed("frames", offset / positive("pixels in a frame", per_frame, "px"), "")
