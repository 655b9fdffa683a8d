"""Which stated size, pitch, pixel count or cabinet count cannot be true."""

import re
from collections import Counter
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, computed

_PITCH_TEXT = re.compile(r"\s*[Pp]?\s*(\d{1,6}(?:[.,]\d{1,9})?)\s*(?:mm)?\s*")
_MOST_DECIMALS = 9
_PRECEDENCE = ("cabinets", "pixels", "size")
"""Of two equal votes the count a person can make on the wall wins, then the exact figure."""


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What a set of stated figures along one axis comes to."""

    consistent: bool
    """Whether all of them can be true together."""
    odd: tuple[str, ...]
    """The figures that cannot: ``size``, ``pitch``, ``pixels``, ``cabinets``."""
    reasons: tuple[str, ...]
    """One sentence for each odd figure, in the same order."""
    cabinets: int
    """Whole cabinets that most figures agree on."""
    size_mm: float
    """What so many cabinets measure, [mm]."""
    pixels: int
    """What so many cabinets have, [px]."""
    pitch_mm: float
    """The cabinet's exact pitch, [mm]."""


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


@checked
def stated_pitch_matches(
    stated: Annotated[str | float, "As printed: 2.6, '2,9 mm', 'P3.0', above 0, [mm]"],
    decimals: Annotated[int | None, "Of the printed one, 0 to 9; None counts them in the text"],
    exact_mm: Annotated[float, Range("mm", above=0, most=1e6), "Cabinet size over cabinet pixels"],
) -> Annotated[bool, "Whether rounding or cutting off the exact pitch gives the stated one"]:
    """Tell whether a printed pitch is the exact one, rounded or truncated.

    Raises
    ------
    ValueError
        A text that is no pitch, or decimals out of their range.

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
    exact = Decimal(repr(round(exact_mm, _MOST_DECIMALS + 3)))
    printed = -int(figure.as_tuple().exponent) if decimals is None else decimals
    places = Range(least=0, most=_MOST_DECIMALS).count("decimals", printed)
    step = Decimal(1).scaleb(-places)
    return figure in {exact.quantize(step, mode) for mode in (ROUND_HALF_UP, ROUND_DOWN)}


def _pitch_figure(stated: str | float) -> Decimal:
    if not isinstance(stated, str):
        return Decimal(repr(Range("mm", above=0, most=1e6).figure("stated", stated)))
    match = _PITCH_TEXT.fullmatch(stated)
    if match is None or Decimal(match[1].replace(",", ".")) == 0:
        raise RefusedError(f"stated is {stated!r}, expected a pitch in mm such as '2.6'")
    return Decimal(match[1].replace(",", "."))


@checked
def reconcile(
    size_mm: Annotated[float | None, Range("mm", above=0), "Stated width or height"],
    pitch_mm: Annotated[str | float | None, "Stated pitch as printed, [mm]"],
    pixels: Annotated[int | None, Range("px", least=1), "Stated pixels"],
    cabinet_mm: Annotated[
        float, Range("mm", above=0), "The cabinet's size along this axis, taken as true"
    ],
    cabinet_px: Annotated[
        int, Range("px", least=1), "The cabinet's pixels along this axis, taken as true"
    ],
    *,
    cabinets: Annotated[int | None, Range(least=1), "Stated count of cabinets"] = None,
    pitch_decimals: Annotated[
        int | None, "Decimals the pitch is printed to; left out, they are counted"
    ] = None,
    size_tolerance_mm: Annotated[
        float, Range("mm", least=0), "Half the last printed digit of the size"
    ] = 0.5,
    joint_mm: Annotated[
        float, Range("mm", least=0), "What each cabinet may add or take at its joint"
    ] = 1.0,
) -> Reconciled:
    """Find out which stated figure along one axis is the odd one out, and why.

    Raises
    ------
    ValueError
        Neither size, pixels nor a count of cabinets.

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
    if size_mm is None and pixels is None and cabinets is None:
        raise RefusedError(
            "size_mm, pixels and cabinets are missing, expected at least one of them"
        )
    stated = _Stated(
        size_mm, size_tolerance_mm, joint_mm, pitch_mm, pixels, cabinets, cabinet_mm, cabinet_px
    )
    Range("mm", above=0).figure("exact pitch", computed("exact pitch", stated.exact_pitch, "mm"))
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
