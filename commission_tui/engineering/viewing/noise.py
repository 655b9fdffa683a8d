"""What the wall adds to the sound, hum and radio noise that are there without it."""

import math
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

LEAST_APART_DB = 3.0
"""Below this the background hides the source, [dB]."""


@dataclass(frozen=True, slots=True)
class SourceAlone:
    """A level with its background taken off."""

    level_db: float
    """Of the source alone; when it cannot be told, the most that it can be, [dB]."""
    told: bool
    """Whether source and background lie far enough apart to tell."""


@checked
def source_alone_db(
    on_db: Annotated[float, Range("dB", least=-400, most=400), "Source and background together"],
    off_db: Annotated[
        float, Range("dB", least=-400, most=400), "Background alone, same weighting and place"
    ],
) -> SourceAlone:
    """Take the background off a level, in energy.

    Notes
    -----
    10 lg(10^(on/10) - 10^(off/10)). Less than 3 dB apart the correction of 3 dB is used as an upper
    bound and nothing else is said; with a background that fell meanwhile the bound is `on` itself.
    Both are taken to be steady and not to be correlated.

    References
    ----------
    .. [1] ISO 3746:2010, 8.3.3: background correction, and its bound below 3 dB (from memory).

    Examples
    --------
    >>> round(source_alone_db(39.5, 35.0).level_db, 1)
    37.6
    >>> source_alone_db(36.0, 35.0).told
    False
    """
    apart_db = on_db - off_db
    if apart_db < 0.0:
        return SourceAlone(on_db, told=False)
    corrected = on_db + 10.0 * math.log10(1.0 - 10.0 ** (-max(apart_db, LEAST_APART_DB) / 10.0))
    return SourceAlone(corrected, told=apart_db >= LEAST_APART_DB)


@checked
def radio_range_share(
    rise_db: Annotated[float, Range("dB", least=0, most=400), "Of the noise floor in the channel"],
) -> Annotated[float, "Above 0 to 1"]:
    """Return the share of a radio link's range that a risen noise floor leaves.

    Notes
    -----
    10^(-rise/20): in free space received power falls by 20 dB for ten times the distance. Where the
    floor and not the receiver sets the range; indoors it falls faster with distance and less is lost.

    References
    ----------
    .. [1] ITU-R P.525-4, free-space attenuation (from memory).

    Examples
    --------
    >>> round(radio_range_share(6.0), 2)
    0.5
    """
    return computed("share of range", 10.0 ** (-rise_db / 20.0), "")
