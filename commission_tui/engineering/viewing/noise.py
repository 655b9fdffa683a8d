"""What the wall adds to the sound, hum and radio noise that are there without it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import computed, finite

LEAST_APART_DB = 3.0
"""Below this the background hides the source, [dB]."""
_LEVELS_DB = (-400.0, 400.0)


@dataclass(frozen=True, slots=True)
class SourceAlone:
    """A level with its background taken off.

    Attributes
    ----------
    level_db : float
        Of the source alone; when it cannot be told, the most that it can be, [dB].
    told : bool
        Whether source and background lie far enough apart to tell.
    """

    level_db: float
    told: bool


def source_alone_db(on_db: float, off_db: float) -> SourceAlone:
    """Take the background off a level, in energy.

    Parameters
    ----------
    on_db : float
        Source and background together, -400 to 400, [dB].
    off_db : float
        Background alone, same weighting and place, -400 to 400, [dB].

    Returns
    -------
    SourceAlone
        The source alone; when the two lie less than 3 dB apart, the most it can be.

    Raises
    ------
    ValueError
        A level outside its range.

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
    on, off = (
        finite(name, value, "dB", low=_LEVELS_DB[0], high=_LEVELS_DB[1])
        for name, value in (("on_db", on_db), ("off_db", off_db))
    )
    if off > on:
        return SourceAlone(on, told=False)
    told = on - off >= LEAST_APART_DB
    return SourceAlone(on + _correction_db(on - off if told else LEAST_APART_DB), told)


def _correction_db(apart_db: float) -> float:
    return 10.0 * math.log10(1.0 - 10.0 ** (-apart_db / 10.0))


def radio_range_share(rise_db: float) -> float:
    """Return the share of a radio link's range that a risen noise floor leaves.

    Parameters
    ----------
    rise_db : float
        Of the noise floor in the channel, 0 to 400, [dB].

    Returns
    -------
    float
        Above 0 to 1, [1].

    Raises
    ------
    ValueError
        A rise outside its range.

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
    rise = finite("rise_db", rise_db, "dB", low=0.0, high=_LEVELS_DB[1])
    return computed("share of range", 10.0 ** (-rise / 20.0), "")
