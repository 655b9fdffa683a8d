"""A photograph of a full field held against that of the tiles: whether it is from the same place.

Who reads light, seams or LEDs refuses in the same words what is not.
"""

from __future__ import annotations

import numpy as np

from commission_tui.errors import InputError
from commission_tui.photo.light.light_samples import LightPicture, as_light, dark_shares, size_px
from commission_tui.photo.light.registration import Registration, register
from commission_tui.photo.perspective import Outlines
from commission_tui.photo.picture_file import Pixels
from commission_tui.wall.model.wall_model import Wall

_MOST_BLUR = 0.25
_MOST_MOVED = 0.25
_NOTED_MOVE_PX = 1.0
_LEAST_OF_FIELD = 0.3
"""Darkest to lightest of a cabinet that shows one level, with a near lens's falloff; of the tiles 0.2 at most."""


def standing(
    wall: Wall, name: str, picture: LightPicture, outlines: Outlines
) -> Registration | None:
    """Return how a photograph lies against the outlines, which are in its px; None where too few edges show it.

    Raises
    ------
    InputError
        It is from another place, or blurred.
    """
    stood = register(wall, picture, outlines)
    if stood is None:
        return None
    side = size_px(outlines)
    if not stood.moved_px <= _MOST_MOVED * side:
        raise InputError(
            f"{name}: found {stood.found} of {stood.sought} edges of the wall where the photograph of "
            "the tiles has them, expected both from the same place: use a tripod or lean the camera"
        )
    if stood.edge_px > _MOST_BLUR * side:
        raise InputError(
            f"{name}: found edges blurred over {stood.edge_px:.0f} px of a cabinet's {side:.0f} px, "
            "expected a sharp picture: focus, and hold the camera still"
        )
    return stood


def stood_note(name: str, stood: Registration | None, smaller: int) -> str:
    """Say that the camera moved, or that this was not looked at; nothing where it stood."""
    if stood is None:
        return (
            f"{name}: fewer than four outer edges of the wall are in the picture, so whether the "
            "camera moved was not looked at"
        )
    moved = stood.moved_px * smaller
    return (
        f"{name}: the camera moved by {moved:.0f} px, allowed for" if moved > _NOTED_MOVE_PX else ""
    )


def refuse_pattern(name: str, picture: LightPicture, outlines: Outlines) -> None:
    """Refuse a picture in which most cabinets are light and dark: no full field, but a pattern."""
    shares = dark_shares(picture, outlines, np.asarray)
    if shares and float(np.median(shares)) < _LEAST_OF_FIELD:
        raise InputError(
            f"{name}: found light and dark in most cabinets, expected an even field of one level: is it "
            "the photograph of the tiles?"
        )


def outlines_in(
    wall: Wall, name: str, pixels: Pixels, outlines: Outlines, *, linear: bool
) -> tuple[Outlines, str]:
    """Return where a photograph from the place of the tiles has their outlines, and what is to be said of it.

    Raises
    ------
    InputError
        As `standing`; or the picture is smaller than that of the tiles, or shows a pattern.
    """
    height, width = pixels.shape[:2]
    corners = np.concatenate(list(outlines.values()))
    if (corners > np.array((width, height)) + 0.5).any():
        raise InputError(
            f"{name}: found {width} x {height} px, expected as many as the photograph of the tiles has: "
            "same camera, same place"
        )
    picture = as_light(pixels, outlines, linear=linear)
    small = picture.outlined(outlines)
    stood = standing(wall, name, picture, small)
    refuse_pattern(name, picture, small)
    note = stood_note(name, stood, picture.smaller)
    if stood is None or stood.moved_px * picture.smaller <= _NOTED_MOVE_PX:
        return outlines, note
    turn, shift = stood.move[:, :2], stood.move[:, 2]
    found = {
        cell: (at @ turn.T + shift + 0.5) * picture.smaller - 0.5 for cell, at in small.items()
    }
    return found, note
