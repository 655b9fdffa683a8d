"""The wall's pixel grid on a camera's photosite grid."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Literal, get_args

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, computed

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
    """A wall's grid as one framing samples it."""

    photosites_per_pixel: float
    """Width of a wall pixel's image, [photosite]."""
    zone: MoireZone
    """What it risks."""
    beat_photosites: float | None
    """From one ring or bar to the next, [photosite]. None where the grid is resolved, and where it
    falls exactly on the photosites, so that no ring shows."""


def photosites_wanted(
    sensor: Sensor = "colour mosaic",
) -> Annotated[float, Range("photosite"), "4 and 2"]:
    """Return how many photosites each wall pixel must cover so that no moiré shows.

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
        raise RefusedError(f"sensor is {sensor!r}, expected one of {', '.join(get_args(Sensor))}")
    return SAFE_PHOTOSITES if sensor == "colour mosaic" else RESOLVED_PHOTOSITES


@checked
def photosite_um(
    sensor_width_mm: Annotated[
        float, Range("mm", above=0), "Width of the part of the sensor in use"
    ],
    columns: Annotated[int, Range(least=1), "Photosites across it"],
) -> Annotated[float, Range("µm")]:
    """Return the width of a photosite.

    The definition: width / columns.

    Examples
    --------
    >>> photosite_um(9.6, 1920)
    5.0
    """
    return computed("photosite", sensor_width_mm * 1000.0 / columns, "µm")


WallPitchMm = Annotated[float, Range("mm", above=0), "Pixel pitch of the wall"]
LensDistanceM = Annotated[float, Range("m"), "From the lens to the wall, at least 20 focal lengths"]
FocalLengthMm = Annotated[float, Range("mm", above=0), "True focal length, no equivalent"]
PhotositeUm = Annotated[float, Range("µm", above=0), "Width of a photosite"]
Photosites = Annotated[float, Range(above=0), "Wanted for each pixel"]


@checked
def photosites_per_pixel(
    pitch_mm: WallPitchMm,
    distance_m: LensDistanceM,
    focal_length_mm: FocalLengthMm,
    photosite_um: PhotositeUm,
) -> Annotated[float, Range("photosite")]:
    """Return how many photosites the image of one wall pixel covers.

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
    nearest = _LEAST_DISTANCE_IN_FOCAL_LENGTHS * focal_length_mm / 1000.0
    distance = Range("m", least=nearest).figure("distance_m", distance_m)
    number = computed("photosites", pitch_mm / photosite_um * (focal_length_mm / distance), "")
    return Range(above=0).figure("photosites per pixel", number)


@checked
def beat_period_photosites(
    photosites_per_pixel: Annotated[float, Range("photosite", least=1e-6)],
) -> Annotated[float | None, Range("photosite"), "None where no bar shows"]:
    """Return the distance between moiré bars for a width of the pixel's image.

    Notes
    -----
    None shows from 2 photosites on, where the grid is resolved, and where a whole number of pixels
    falls on each photosite. The grid's frequency 1/n folds to |1/n - round(1/n)|; the beat is its inverse. Only the grid's
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
    if photosites_per_pixel >= RESOLVED_PHOTOSITES:
        return None
    frequency = 1.0 / photosites_per_pixel
    folded = abs(frequency - round(frequency))
    return 1.0 / folded if folded > _LOCKED * frequency else None


@checked
def moire(
    pitch_mm: WallPitchMm,
    distance_m: LensDistanceM,
    focal_length_mm: FocalLengthMm,
    photosite_um: PhotositeUm,
    sensor: Sensor = "colour mosaic",
) -> Moire:
    """Judge the moiré risk of one framing.

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


@checked
def farthest_clean_distance_m(
    pitch_mm: WallPitchMm,
    focal_length_mm: FocalLengthMm,
    photosite_um: PhotositeUm,
    photosites: Photosites = SAFE_PHOTOSITES,
) -> Annotated[float, Range("m")]:
    """Return the farthest camera position at which a pixel still covers enough photosites.

    `photosites_per_pixel` solved for the distance.

    Raises
    ------
    ValueError
        A position nearer than 20 focal lengths.

    Examples
    --------
    >>> round(farthest_clean_distance_m(2.604, 50.0, 5.0), 1)
    6.5
    """
    distance = computed("distance_m", pitch_mm / photosite_um * focal_length_mm / photosites, "m")
    nearest = _LEAST_DISTANCE_IN_FOCAL_LENGTHS * focal_length_mm / 1000.0
    return Range("m", least=nearest).figure("distance_m", distance)


@checked
def shortest_clean_focal_length_mm(
    pitch_mm: WallPitchMm,
    distance_m: Annotated[float, Range("m", above=0), "From the lens to the wall"],
    photosite_um: PhotositeUm,
    photosites: Photosites = SAFE_PHOTOSITES,
) -> Annotated[float, Range("mm")]:
    """Return the widest framing at which a pixel still covers enough photosites.

    `photosites_per_pixel` solved for the focal length.

    Raises
    ------
    ValueError
        A focal length above a twentieth of the distance.

    Examples
    --------
    >>> round(shortest_clean_focal_length_mm(2.604, 13.0, 5.0))
    100
    """
    focal = computed("focal_length_mm", photosites * distance_m * photosite_um / pitch_mm, "mm")
    longest = distance_m * 1000.0 / _LEAST_DISTANCE_IN_FOCAL_LENGTHS
    return Range("mm", above=0, most=longest).figure("focal_length_mm", focal)
