"""What a break in a moving edge says of two parts of the wall."""

from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed


@checked
def frames_apart(
    offset_px: Annotated[
        float, Range("px"), "Break in an upright edge that moves; plus: the second part is behind"
    ],
    speed_px_s: Annotated[float, Range("px/s", above=0), "Of the edge"],
    frame_rate_hz: Annotated[float, Range("Hz", above=0), "Of the wall"],
) -> Annotated[float, Range("frame")]:
    """Return how many frames one part of the wall is behind another.

    Notes
    -----
    An edge moves speed / rate pixels in a frame; the break over that is the number of frames.
    Kinematics.

    Examples
    --------
    >>> frames_apart(20.0, 1200.0, 60.0)
    1.0
    """
    per_frame = computed("pixels in a frame", speed_px_s / frame_rate_hz, "px")
    return computed(
        "frames", offset_px / Range("px", above=0).figure("pixels in a frame", per_frame), ""
    )
