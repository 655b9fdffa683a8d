"""The wall's pixel grid on a camera's photosite grid."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, get_args

from commission_tui.engineering.numeric.bounds import computed, finite, positive, whole

Sensor = Literal["colour mosaic", "three sensors"]
"""One sensor under a mosaic of colours, or one for each colour behind a prism."""

SAFE_PHOTOSITES = 4.0
"""For each wall pixel under a colour mosaic, where a colour has every second photosite."""
RESOLVED_PHOTOSITES = 2.0
"""For each wall pixel from which its grid is resolved: Nyquist."""

_LEAST_DISTANCE_IN_FOCAL_LENGTHS = 20.0
_LOCKED = 1e-9


class MoireZone(StrEnum):
    """What a framing risks."""

    SAFE = "safe"
    COLOUR_ONLY = "colour moiré possible"
    ALIASED = "aliased"


@dataclass(frozen=True, slots=True)
class Moire:
    """A wall's grid as one framing samples it.

    Attributes
    ----------
    photosites_per_pixel : float
        Width of a wall pixel's image, [photosite].
    zone : MoireZone
        What it risks.
    beat_photosites : float or None
        From one ring or bar to the next, [photosite]. None where the grid is resolved, and where
        it falls exactly on the photosites, so that no ring shows.
    """

    photosites_per_pixel: float
    zone: MoireZone
    beat_photosites: float | None


def photosites_wanted(sensor: Sensor = "colour mosaic") -> float:
    """Return how many photosites each wall pixel must cover so that no moiré shows.

    Parameters
    ----------
    sensor : str
        ``colour mosaic`` or ``three sensors``.

    Returns
    -------
    float
        4 and 2, [photosite].

    Raises
    ------
    ValueError
        Another word.

    Notes
    -----
    A grid is resolved from two samples a period. Under a colour mosaic each colour is sampled by
    every second photosite only.

    References
    ----------
    .. [1] The sampling theorem; red and blue at every second photosite across: common practice, no
       published source.
    """
    if sensor not in get_args(Sensor):
        raise ValueError(f"sensor is {sensor!r}, expected one of {', '.join(get_args(Sensor))}")
    return SAFE_PHOTOSITES if sensor == "colour mosaic" else RESOLVED_PHOTOSITES


def photosite_um(sensor_width_mm: float, columns: int) -> float:
    """Return the width of a photosite.

    Parameters
    ----------
    sensor_width_mm : float
        Width of the part of the sensor in use, above 0, [mm].
    columns : int
        Photosites across it, 1 or more, [1].

    Returns
    -------
    float
        [µm].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] The definition: width / columns.

    Examples
    --------
    >>> photosite_um(9.6, 1920)
    5.0
    """
    width = positive("sensor_width_mm", sensor_width_mm, "mm")
    return computed("photosite", width * 1000.0 / whole("columns", columns, "", low=1), "µm")


def photosites_per_pixel(
    pitch_mm: float, distance_m: float, focal_length_mm: float, photosite_um: float
) -> float:
    """Return how many photosites the image of one wall pixel covers.

    Parameters
    ----------
    pitch_mm : float
        Pixel pitch of the wall, above 0, [mm].
    distance_m : float
        From the lens to the wall, at least 20 focal lengths, [m].
    focal_length_mm : float
        True focal length, no equivalent, above 0, [mm].
    photosite_um : float
        Width of a photosite, above 0, [µm].

    Returns
    -------
    float
        [photosite].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    n = pitch·f / (D·s), square to the wall. The magnification is taken as f/D; at 20 focal lengths
    it is 5 % low, at 100 it is 1 % low.

    References
    ----------
    .. [1] Thin-lens magnification at a distance, as in any textbook of optics.

    Examples
    --------
    >>> round(photosites_per_pixel(2.604, 24.0, 50.0, 5.0), 3)
    1.085
    """
    pitch = positive("pitch_mm", pitch_mm, "mm")
    focal = positive("focal_length_mm", focal_length_mm, "mm")
    site = positive("photosite_um", photosite_um, "µm")
    nearest = _LEAST_DISTANCE_IN_FOCAL_LENGTHS * focal / 1000.0
    distance = finite("distance_m", distance_m, "m", low=nearest)
    return _photosites(pitch / site * (focal / distance))


def _photosites(number: float) -> float:
    return positive("photosites per pixel", computed("photosites per pixel", number, ""), "")


def beat_period_photosites(photosites_per_pixel: float) -> float | None:
    """Return the distance between moiré bars for a width of the pixel's image.

    Parameters
    ----------
    photosites_per_pixel : float
        Above 0, [photosite].

    Returns
    -------
    float or None
        [photosite]. None from 2 photosites on, where the grid is resolved, and where a whole
        number of pixels falls on each photosite, so that no bar shows.

    Raises
    ------
    ValueError
        A parameter that is not above 0, or below a millionth.

    Notes
    -----
    The grid's frequency 1/n folds to |1/n - round(1/n)|; the beat is its inverse. Only the grid's
    fundamental is followed. Small emitters have overtones that fold too, up to n = 4 for the
    second.

    References
    ----------
    .. [1] Sampling theorem: Shannon, C. E. (1949), Communication in the presence of noise,
       Proceedings of the IRE 37(1), 10-21.

    Examples
    --------
    >>> round(beat_period_photosites(1.085), 1)
    12.8
    """
    width = finite("photosites_per_pixel", photosites_per_pixel, "", low=1e-6)
    if width >= RESOLVED_PHOTOSITES:
        return None
    frequency = 1.0 / width
    folded = abs(frequency - round(frequency))
    return 1.0 / folded if folded > _LOCKED * frequency else None


def moire(
    pitch_mm: float,
    distance_m: float,
    focal_length_mm: float,
    photosite_um: float,
    sensor: Sensor = "colour mosaic",
) -> Moire:
    """Judge the moiré risk of one framing.

    Parameters
    ----------
    pitch_mm, distance_m, focal_length_mm, photosite_um : float
        As in `photosites_per_pixel`.
    sensor : str
        As in `photosites_wanted`.

    Returns
    -------
    Moire
        Width of the pixel's image, zone and beat.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    Safe from `photosites_wanted`, 4 under a colour mosaic, where each colour still has 2, and 2 with
    three sensors; from 2 only colour moiré is possible; below 2 the grid is aliased. Defocus and
    diffusion soften it, and only a look at the real camera settles it.

    References
    ----------
    .. [1] Nyquist for brightness and, with every second photosite of a colour, for a mosaic sensor;
       the zones: common practice, no published source.
    """
    width = photosites_per_pixel(pitch_mm, distance_m, focal_length_mm, photosite_um)
    if width >= photosites_wanted(sensor):
        zone = MoireZone.SAFE
    elif width >= RESOLVED_PHOTOSITES:
        zone = MoireZone.COLOUR_ONLY
    else:
        zone = MoireZone.ALIASED
    return Moire(width, zone, beat_period_photosites(width))


def farthest_clean_distance_m(
    pitch_mm: float,
    focal_length_mm: float,
    photosite_um: float,
    photosites: float = SAFE_PHOTOSITES,
) -> float:
    """Return the farthest camera position at which a pixel still covers enough photosites.

    Parameters
    ----------
    pitch_mm, focal_length_mm, photosite_um : float
        As in `photosites_per_pixel`.
    photosites : float
        Wanted for each pixel, above 0, [photosite].

    Returns
    -------
    float
        [m].

    Raises
    ------
    ValueError
        A parameter outside its range, or a position nearer than 20 focal lengths.

    References
    ----------
    .. [1] `photosites_per_pixel` solved for the distance.

    Examples
    --------
    >>> round(farthest_clean_distance_m(2.604, 50.0, 5.0), 1)
    6.5
    """
    pitch = positive("pitch_mm", pitch_mm, "mm")
    focal = positive("focal_length_mm", focal_length_mm, "mm")
    site = positive("photosite_um", photosite_um, "µm")
    wanted = positive("photosites", photosites, "")
    distance = computed("distance_m", pitch / site * focal / wanted, "m")
    nearest = _LEAST_DISTANCE_IN_FOCAL_LENGTHS * focal / 1000.0
    return finite("distance_m", distance, "m", low=nearest)


def shortest_clean_focal_length_mm(
    pitch_mm: float, distance_m: float, photosite_um: float, photosites: float = SAFE_PHOTOSITES
) -> float:
    """Return the widest framing at which a pixel still covers enough photosites.

    Parameters
    ----------
    pitch_mm, distance_m, photosite_um : float
        As in `photosites_per_pixel`.
    photosites : float
        Wanted for each pixel, above 0, [photosite].

    Returns
    -------
    float
        [mm].

    Raises
    ------
    ValueError
        A parameter outside its range, or a focal length above a twentieth of the distance.

    References
    ----------
    .. [1] `photosites_per_pixel` solved for the focal length.

    Examples
    --------
    >>> round(shortest_clean_focal_length_mm(2.604, 13.0, 5.0))
    100
    """
    pitch = positive("pitch_mm", pitch_mm, "mm")
    distance = positive("distance_m", distance_m, "m")
    site = positive("photosite_um", photosite_um, "µm")
    wanted = positive("photosites", photosites, "")
    focal = computed("focal_length_mm", wanted * distance * site / pitch, "mm")
    longest = distance * 1000.0 / _LEAST_DISTANCE_IN_FOCAL_LENGTHS
    return finite("focal_length_mm", focal, "mm", low=0.0, high=longest, low_open=True)
