"""Which stated size, pitch, pixel count or cabinet count cannot be true."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from commission_tui.engineering.numeric.bounds import (
    computed,
    finite,
    non_negative,
    positive,
    whole,
)

_PITCH_TEXT = re.compile(r"\s*[Pp]?\s*(\d{1,6}(?:[.,]\d{1,9})?)\s*(?:mm)?\s*")
_MOST_DECIMALS = 9
_PRECEDENCE = ("cabinets", "pixels", "size")
"""Of two equal votes the count a person can make on the wall wins, then the exact figure."""


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What a set of stated figures along one axis comes to.

    Attributes
    ----------
    consistent : bool
        Whether all of them can be true together.
    odd : tuple of str
        The figures that cannot: ``size``, ``pitch``, ``pixels``, ``cabinets``.
    reasons : tuple of str
        One sentence for each odd figure, in the same order.
    cabinets : int
        Whole cabinets that most figures agree on.
    size_mm : float
        What so many cabinets measure, [mm].
    pixels : int
        What so many cabinets have, [px].
    pitch_mm : float
        The cabinet's exact pitch, [mm].
    """

    consistent: bool
    odd: tuple[str, ...]
    reasons: tuple[str, ...]
    cabinets: int
    size_mm: float
    pixels: int
    pitch_mm: float


@dataclass(frozen=True, slots=True)
class _Stated:
    """The stated figures of one axis with the cabinet they are held against."""

    size: float | None
    size_tolerance: float
    joint: float
    pitch: str | float | None
    pixels: int | None
    cabinets: int | None
    cabinet_mm: float
    cabinet_px: int

    @property
    def exact_pitch(self) -> float:
        return self.cabinet_mm / self.cabinet_px

    def fits(self, figure: str, count: int) -> bool:
        """Whether a stated figure agrees with so many cabinets."""
        if figure == "size":
            allowed = min(self.size_tolerance + self.joint * count, self.cabinet_mm / 2)
            return abs((self.size or 0.0) - count * self.cabinet_mm) <= allowed
        if figure == "pixels":
            return self.pixels == count * self.cabinet_px
        return self.cabinets == count


def stated_pitch_matches(stated: str | float, decimals: int | None, exact_mm: float) -> bool:
    """Tell whether a printed pitch is the exact one, rounded or truncated.

    Parameters
    ----------
    stated : str or float
        As printed: ``2.6``, ``"2,9 mm"``, ``"P3.0"``, above 0, [mm].
    decimals : int or None
        Decimals it is printed to, 0 to 9; with None they are counted in the text given.
    exact_mm : float
        Cabinet size over cabinet pixels, above 0, [mm].

    Returns
    -------
    bool
        Whether rounding or cutting off the exact pitch at those decimals gives the stated one.

    Raises
    ------
    ValueError
        A figure out of its range or a text that is no pitch.

    Notes
    -----
    Common practice, no published source: 2.976 mm is sold as 2.9 and as 3.0.

    Examples
    --------
    >>> stated_pitch_matches("2.9", None, 500 / 168), stated_pitch_matches(3.0, 1, 500 / 168)
    (True, True)
    >>> stated_pitch_matches("2.8", None, 500 / 168)
    False
    """
    figure = _pitch_figure(stated)
    exact = Decimal(repr(round(positive("exact_mm", exact_mm, "mm"), _MOST_DECIMALS + 3)))
    places = whole(
        "decimals",
        -int(figure.as_tuple().exponent) if decimals is None else decimals,
        "",
        low=0,
        high=_MOST_DECIMALS,
    )
    if exact > 10**6:
        raise ValueError(f"exact_mm is {exact_mm:g} mm, expected <= 1e+06 mm")
    step = Decimal(1).scaleb(-places)
    return figure in {exact.quantize(step, mode) for mode in (ROUND_HALF_UP, ROUND_DOWN)}


def _pitch_figure(stated: str | float) -> Decimal:
    if not isinstance(stated, str):
        return Decimal(repr(finite("stated", stated, "mm", low=0, high=1e6, low_open=True)))
    match = _PITCH_TEXT.fullmatch(stated)
    if match is None or Decimal(match[1].replace(",", ".")) == 0:
        raise ValueError(f"stated is {stated!r}, expected a pitch in mm such as '2.6'")
    return Decimal(match[1].replace(",", "."))


def reconcile(
    size_mm: float | None,
    pitch_mm: str | float | None,
    pixels: int | None,
    cabinet_mm: float,
    cabinet_px: int,
    *,
    cabinets: int | None = None,
    pitch_decimals: int | None = None,
    size_tolerance_mm: float = 0.5,
    joint_mm: float = 1.0,
) -> Reconciled:
    """Find out which stated figure along one axis is the odd one out, and why.

    Parameters
    ----------
    size_mm : float, optional
        Stated width or height, above 0, [mm].
    pitch_mm : str or float, optional
        Stated pitch as printed, [mm].
    pixels : int, optional
        Stated pixels, 1 or more, [px].
    cabinet_mm : float
        The cabinet's size along this axis, above 0, [mm]; taken as true.
    cabinet_px : int
        The cabinet's pixels along this axis, 1 or more, [px]; taken as true.
    cabinets : int, optional
        Stated count of cabinets, 1 or more.
    pitch_decimals : int, optional
        Decimals the pitch is printed to; left out, they are counted.
    size_tolerance_mm : float
        Half the last printed digit of the size, 0 or more, [mm].
    joint_mm : float
        What each cabinet may add or take at its joint, 0 or more, [mm].

    Returns
    -------
    Reconciled
        The odd figures with a sentence each, and what the agreed count of cabinets comes to.

    Raises
    ------
    ValueError
        A figure out of its range, or neither size, pixels nor a count of cabinets.

    Notes
    -----
    Each of size, pixels and count votes for a whole number of cabinets; a stated figure that does
    not fit the count with most votes is odd. With one vote each the count of cabinets wins, then
    pixels, then size, and the sentence says that the other may be right. The joint allowance of
    1 mm a cabinet is common practice, no published source. A size is never allowed more than half
    a cabinet.

    Examples
    --------
    >>> reconcile(7000.0, "2.6", 2692, 500.0, 192).reasons
    ('2692 px is 7000 mm / 2.6 mm, worked back from the printed pitch: 14 cabinets have 2688 px',)
    """
    stated = _checked(
        _Stated(
            size_mm, size_tolerance_mm, joint_mm, pitch_mm, pixels, cabinets, cabinet_mm, cabinet_px
        )
    )
    votes = _votes(stated)
    count, tied = _elected(stated, votes)
    doubt = "; count the cabinets, the other figure may be right" if tied else ""
    odd = {f: _why(stated, f, count) + doubt for f in votes if not stated.fits(f, count)}
    if pitch_mm is not None and not stated_pitch_matches(
        pitch_mm, pitch_decimals, stated.exact_pitch
    ):
        odd["pitch"] = (
            f"a pitch of {_printed(pitch_mm)} mm is neither {stated.exact_pitch:.4f} mm rounded "
            f"nor cut off ({cabinet_mm:g} mm / {cabinet_px} px)"
        )
    return Reconciled(
        not odd, tuple(odd), tuple(odd.values()), count,
        computed("size", count * stated.cabinet_mm, "mm"), count * stated.cabinet_px,
        stated.exact_pitch,
    )  # fmt: skip


def _checked(stated: _Stated) -> _Stated:
    if stated.size is None and stated.pixels is None and stated.cabinets is None:
        raise ValueError("size_mm, pixels and cabinets are missing, expected at least one of them")
    size = None if stated.size is None else positive("size_mm", stated.size, "mm")
    checked = _Stated(
        size,
        non_negative("size_tolerance_mm", stated.size_tolerance, "mm"),
        non_negative("joint_mm", stated.joint, "mm"),
        stated.pitch,
        None if stated.pixels is None else whole("pixels", stated.pixels, "px", low=1),
        None if stated.cabinets is None else whole("cabinets", stated.cabinets, "", low=1),
        positive("cabinet_mm", stated.cabinet_mm, "mm"),
        whole("cabinet_px", stated.cabinet_px, "px", low=1),
    )
    positive("exact pitch", computed("exact pitch", checked.exact_pitch, "mm"), "mm")
    return checked


def _votes(stated: _Stated) -> dict[str, int]:
    """Find the whole number of cabinets that each stated figure comes nearest to."""
    votes = {}
    if stated.cabinets is not None:
        votes["cabinets"] = stated.cabinets
    if stated.pixels is not None:
        votes["pixels"] = max(1, (2 * stated.pixels + stated.cabinet_px) // (2 * stated.cabinet_px))
    if stated.size is not None:
        share = computed("size_mm / cabinet_mm", stated.size / stated.cabinet_mm, "")
        votes["size"] = max(1, round(share))
    return votes


def _elected(stated: _Stated, votes: dict[str, int]) -> tuple[int, bool]:
    """Choose the count that most figures fit, and tell whether another has as good a claim."""
    order = [votes[figure] for figure in _PRECEDENCE if figure in votes]
    support = Counter(order)
    claims = {
        count: (sum(stated.fits(figure, count) for figure in votes), support[count])
        for count in order
    }
    best = max(claims, key=lambda count: claims[count])
    return best, any(claims[c] == claims[best] for c in claims if c != best)


def _printed(pitch: str | float) -> str:
    return str(_pitch_figure(pitch))


def _why(stated: _Stated, figure: str, count: int) -> str:
    """Say how an odd figure came about, as far as it can be told."""
    if figure == "cabinets":
        return f"{stated.cabinets} cabinets are stated, {count} fit the other figures"
    if figure == "pixels":
        return f"{_pixels_cause(stated)}: {count} cabinets have {count * stated.cabinet_px} px"
    return f"{_size_cause(stated)}: {count} cabinets measure {count * stated.cabinet_mm:g} mm"


def _pixels_cause(stated: _Stated) -> str:
    pixels = stated.pixels or 0
    if stated.pitch is not None and stated.size is not None:
        pitch = float(_pitch_figure(stated.pitch))
        if abs(stated.size / pitch - pixels) < 1.0:
            return (
                f"{pixels} px is {stated.size:g} mm / {_printed(stated.pitch)} mm, "
                "worked back from the printed pitch"
            )
    if pixels % stated.cabinet_px:
        return f"{pixels} px is not a multiple of {stated.cabinet_px} px"
    return f"{pixels} px is {pixels // stated.cabinet_px} cabinets"


def _size_cause(stated: _Stated) -> str:
    size = stated.size or 0.0
    if stated.pitch is not None and stated.pixels is not None:
        product = float(_pitch_figure(stated.pitch)) * stated.pixels
        if abs(product - size) <= stated.size_tolerance + 1.0:
            return (
                f"{size:g} mm is {stated.pixels} px x {_printed(stated.pitch)} mm, "
                "worked out from the printed pitch"
            )
    share = size / stated.cabinet_mm
    return f"{size:g} mm is {share:.2f} cabinets of {stated.cabinet_mm:g} mm"
