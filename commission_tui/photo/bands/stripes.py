"""Stripes that repeat down a picture of an even field: their period, where they stand, how deep they are.

A sensor that is read line by line draws the wall's refresh as stripes along its lines. The wall's
own grid repeats as well, across as down; what repeats alike in both directions is no stripe.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.bands.lit_area import Light
from commission_tui.photo.bands.pixel_grid import share_left
from commission_tui.photo.perspective import Floats

_GROUPS = 8
_BLOCKS_A_GROUP = 3
_FEWEST_LINES = 60
_MOST_LINES = 1200
_HARMONICS = 6
_DEGREE = 5
_SHORTEST_LINES = 5.0
_FEWEST_PERIODS = 2.0
_FINER = 4
_CANDIDATES = 8
_ALIKE = 0.97
_GRID_TOLERANCE = 0.08
_ABOVE_GRID = 2.25
"""In power: the stripes are half as deep again as what repeats the other way."""
_SURE = 4.0
_FAINTEST = 0.01
"""The compression of files makes patterns of less."""
_MOST_BINS, _FEWEST_BINS, _LINES_A_BIN = 48, 8, 6
_STRAY = 4.0
_AWAY = (-3.43, -2.31, -1.37, 1.37, 2.31, 3.43)
"""Beside the frequency, in waves over the picture."""
_ABOVE_BESIDE = 3.0
_FEW = 8
_THIRDS = 3
_LEAST_LEFT = 0.4
_MANY_PERIODS = 4.0
_MOSTLY = 0.6
_TOO_DARK = 0.3
_LEVELLED_PERIODS = 3.0
"""From here on the mean over a period takes cabinets of different brightness off."""


@dataclass(frozen=True)
class Lines:
    """Light along each line of the picture, in blocks across it, relative to each block's mean."""

    first: int
    """Line of the picture on which the wall begins."""
    step: int
    """Lines of the picture that were averaged into one."""
    light: Floats
    """Blocks x lines."""
    smoothed_px: float = 0.0
    """The wall's grid that was smoothed away, 0 for none."""

    @property
    def count(self) -> int:
        return int(self.light.shape[1])

    @property
    def middle(self) -> Floats:
        """The line's light as most blocks have it."""
        found: Floats = np.median(self.light, axis=0)
        return found


@dataclass(frozen=True)
class Stripes:
    """Stripes that were found."""

    period: float
    """Lines of the picture from one to the next."""
    contrast: float
    """Brightest less darkest over the mean, [1]."""
    expanded: float
    """Of the contrast, k = 2, from how the parts of the picture differ, [1]."""
    phases: Floats
    """Of each picture, where the stripes stand, in periods."""


def lines_of(light: Light, mask: NDArray[np.bool_], smoothed_px: float = 0.0) -> Lines | None:
    """Average a picture of light along its lines; None where too little of the wall is seen.

    `smoothed_px` is the grid that was smoothed away, whose smoothing of stripes is reckoned with.
    """
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if len(columns) < _GROUPS * _BLOCKS_A_GROUP:
        return None
    edges = np.linspace(columns[0], columns[-1] + 1, _GROUPS * _BLOCKS_A_GROUP + 1).astype(int)
    part, seen = light[rows[0] : rows[-1] + 1], mask[rows[0] : rows[-1] + 1]
    sums = np.add.reduceat(np.where(seen, part, 0), edges[:-1], axis=1, dtype=np.float64)
    counts = np.add.reduceat(seen, edges[:-1], axis=1, dtype=np.float64)
    # The last block runs on to the picture's edge, where there is no wall.
    full = counts >= 0.5 * np.diff(edges)
    whole = np.flatnonzero(full.mean(axis=1) >= 0.6)
    if len(whole) < _FEWEST_LINES:
        return None
    span = slice(whole[0], whole[-1] + 1)
    good = full[span].mean(axis=0) >= 0.9
    if good.sum() < _GROUPS:
        return None
    with np.errstate(invalid="ignore", divide="ignore"):
        means = np.where(full[span], sums[span] / counts[span], np.nan)[:, good].T
    filled = np.array([_filled(block) for block in means])
    step = -(-filled.shape[1] // _MOST_LINES)
    length = filled.shape[1] // step * step
    binned = filled[:, :length].reshape(len(filled), -1, step).mean(axis=2)
    relative = binned / binned.mean(axis=1, keepdims=True)
    return Lines(int(rows[0] + whole[0]), step, relative, smoothed_px)


def find_stripes(pictures: Sequence[Lines], across: Sequence[Lines]) -> Stripes | None:
    """Find stripes that run along the lines of pictures taken one after another from one place.

    `across` are the same pictures averaged the other way: what repeats alike there is the wall's own
    grid. None where nothing repeats, or nothing that stands above the noise and the grid.
    """
    profiles = np.array([lines.middle for lines in pictures])
    frequencies = _frequencies(profiles.shape[1])
    own = _summed(profiles, frequencies)
    grid = _grid(across, pictures[0].step, frequencies)
    own = np.where(own >= _ABOVE_GRID * grid, own, 0.0)
    best = _best(profiles, frequencies, own)
    if best is None:
        return None
    phases = _phases(profiles, best)
    contrast, error = _depth(pictures, best, phases)
    every = -(-len(pictures) // _FEW)
    beside = _beside(pictures[::every], best, phases[::every])
    # Of few periods the wall's own unevenness may make some.
    doubt = 1.0 if best * pictures[0].count >= _MANY_PERIODS else 2.0
    if contrast < max(_FAINTEST, doubt * max(_SURE * error, _ABOVE_BESIDE * beside)):
        return None
    return Stripes(pictures[0].step / best, contrast, 2 * doubt * max(error, beside), phases)


def moving_only(pictures: Sequence[Lines]) -> list[Lines]:
    """Return pictures without what stands still in all of them."""
    still = np.mean([lines.light for lines in pictures], axis=0)
    return [replace(lines, light=lines.light / np.maximum(still, 1e-3)) for lines in pictures]


def _filled(block: Floats) -> Floats:
    there = np.isfinite(block)
    every = np.arange(len(block))
    found: Floats = np.interp(every, every[there], block[there])
    return found


def _beside(pictures: Sequence[Lines], frequency: float, phases: Floats) -> float:
    """Return what is found, with the stripes taken off, at periods that are none.

    That is how deep the wall's own structure seems by chance.
    """
    wave = _waves(pictures, frequency, phases).mean(axis=0)
    count = pictures[0].count
    left = []
    for lines, phase in zip(pictures, phases, strict=True):
        place = ((frequency * np.arange(count) - phase) % 1.0) * len(wave) - 0.5
        drawn = np.interp(place, np.arange(len(wave)), wave, period=len(wave))
        # Where stripes are all but black only noise is left.
        flat = np.where(1 + drawn > _TOO_DARK, lines.light / np.maximum(1 + drawn, _TOO_DARK), 1.0)
        left.append(replace(lines, light=flat))
    found = []
    for away in _AWAY:
        other = frequency + away / count
        if other * count >= _FEWEST_PERIODS and other * _SHORTEST_LINES <= 1:
            there = _phases([lines.middle for lines in left], other)
            found.append(_depth(left, other, there)[0])
    return float(np.sqrt(np.mean(np.square(found)))) if found else 0.0


def _frequencies(count: int) -> Floats:
    return np.arange(_FEWEST_PERIODS / count, 1 / _SHORTEST_LINES, 1 / (_FINER * count))


def _trend(count: int) -> Floats:
    """Return orthonormal slow curves, lines x degree + 1."""
    place = np.linspace(-1, 1, count)
    found: Floats = np.linalg.qr(np.vander(place, _DEGREE + 1))[0]
    return found


def _levelled(profiles: Floats, trend: Floats) -> Floats:
    """Return profiles without their slow curves."""
    found: Floats = profiles - (profiles @ trend) @ trend.T
    return found


def _power(profiles: Floats, frequencies: Floats) -> Floats:
    """Return how much of the squares a wave of each frequency explains beside slow curves, summed."""
    trend = _trend(profiles.shape[1])
    left = _levelled(profiles, trend)
    turn = 2 * np.pi * np.outer(frequencies, np.arange(profiles.shape[1]))
    cosine, sine = (_levelled(wave, trend) for wave in (np.cos(turn), np.sin(turn)))
    cc, ss, cs = (cosine**2).sum(1), (sine**2).sum(1), (cosine * sine).sum(1)
    a, b = left @ cosine.T, left @ sine.T
    found: Floats = ((a * a * ss - 2 * a * b * cs + b * b * cc) / (cc * ss - cs * cs)).sum(axis=0)
    return found


def _summed(profiles: Floats, frequencies: Floats) -> Floats:
    """Return the power of each frequency with its overtones: narrow stripes have many."""
    power = _power(profiles, frequencies)
    power = np.maximum(power - np.median(power), 0)
    total = power.copy()
    for times in range(2, _HARMONICS + 1):
        total += np.interp(times * frequencies, frequencies, power, right=0.0)
    return total


def _grid(across: Sequence[Lines], step: int, frequencies: Floats) -> Floats:
    """Return the power near each frequency the other way, as if as many lines were there.

    A grid is in every third of the picture; a person who stands in one of them is none.
    """
    if not across:
        return np.zeros_like(frequencies)
    found = np.zeros((_THIRDS, len(frequencies)))
    profiles = np.array([lines.middle for lines in across])
    other = frequencies * (across[0].step / step)
    for number, part in enumerate(np.array_split(profiles, _THIRDS, axis=1)):
        there = _frequencies(part.shape[1])
        if not len(there):
            continue
        power = _summed(part, there)
        reach = np.maximum(_GRID_TOLERANCE * other, 1 / part.shape[1])
        first = np.searchsorted(there, other - reach)
        last = np.searchsorted(there, other + reach)
        found[number] = [power[i:j].max(initial=0.0) for i, j in zip(first, last, strict=True)]
    most: Floats = _THIRDS * np.median(found, axis=0)
    return most


def _design(count: int, frequency: float) -> Floats:
    turn = 2 * np.pi * frequency * np.arange(count)
    tones = [times * turn for times in range(1, _HARMONICS + 1) if times * frequency < 0.5]
    waves = [wave(tone) for tone in tones for wave in (np.cos, np.sin)]
    return np.column_stack([_trend(count), *waves])


class _Shares:
    """How much of profiles waves and their overtones explain, beside slow curves."""

    def __init__(self, profiles: Floats) -> None:
        self._trend = _trend(profiles.shape[1])
        self._left = _levelled(profiles, self._trend)
        self._squares = max(float((self._left**2).sum()), 1e-30)

    def explained(self, frequency: float) -> float:
        """Return the share of the squares that a frequency explains, 0 to 1."""
        count = self._left.shape[1]
        many = sum(times * frequency < 0.5 for times in range(1, _HARMONICS + 1))
        turn = np.exp(2j * np.pi * frequency * np.arange(count))
        tones = np.cumprod(np.broadcast_to(turn, (many, count)), axis=0)
        waves = _levelled(np.concatenate([tones.real, tones.imag]), self._trend)
        along = waves @ self._left.T
        # The waves' products, not the waves themselves: hundreds of frequencies are tried (`bench_photo`).
        solved, *_ = np.linalg.lstsq(waves @ waves.T, along, rcond=None)
        return float((along * solved).sum() / self._squares)


def _best(profiles: Floats, frequencies: Floats, power: Floats) -> float | None:
    """Return the frequency that explains most with its overtones; of those alike the highest."""
    inner = (power[1:-1] >= power[:-2]) & (power[1:-1] >= power[2:]) & (power[1:-1] > 0)
    peaks = np.flatnonzero(inner) + 1
    if power[0] > power[1]:
        peaks = np.append(peaks, 0)
    peaks = peaks[np.argsort(-power[peaks])][:_CANDIDATES]
    if not len(peaks):
        return None
    reach = 0.6 / profiles.shape[1]
    shares = _Shares(profiles[:: -(-len(profiles) // _FEW)])
    found = []
    for peak in peaks:
        near = frequencies[peak] + np.linspace(-reach, reach, 25)
        near = near[near >= frequencies[0]]
        scores = [shares.explained(f) for f in near]
        found.append((max(scores), float(near[int(np.argmax(scores))])))
    most = max(score for score, _ in found)
    score, best = max(found, key=lambda item: (item[0] >= _ALIKE * most, item[1]))
    for times in (3, 2):
        # What lies between the waves of a shorter period is the wall's.
        if times * best < frequencies[-1] and shares.explained(times * best) >= _MOSTLY * score:
            return times * best
    return best


def _phases(profiles: Iterable[Floats], frequency: float) -> Floats:
    """Return where in each profile a wave stands, in periods: cos(2 pi (f y - phase))."""
    found, design = [], None
    for profile in profiles:
        design = _design(len(profile), frequency) if design is None else design
        solved, *_ = np.linalg.lstsq(design, profile, rcond=None)
        a, b = solved[_DEGREE + 1], solved[_DEGREE + 2]
        found.append(float(np.arctan2(b, a) / (2 * np.pi)))
    return np.array(found)


def _depth(pictures: Sequence[Lines], frequency: float, phases: Floats) -> tuple[float, float]:
    """Return the stripes' contrast and its standard error, from parts of the picture for themselves.

    The brightest and the darkest place are looked up in one half of the parts and read in the other,
    so that noise makes no contrast.
    """
    waves = _waves(pictures, frequency, phases)
    spread = np.sqrt(((waves - np.median(waves, axis=0)) ** 2).mean(axis=1))
    waves = waves[spread <= _STRAY * np.median(spread) + 1e-12]
    halves = waves[::2].mean(axis=0), waves[1::2].mean(axis=0)
    places = [_ends(half) for half in halves]
    read = [halves[1 - i][up] - halves[1 - i][down] for i, (up, down) in enumerate(places)]
    mean = float(np.mean(read))
    up, down = _ends(waves.mean(axis=0))
    each = waves[:, up] - waves[:, down]
    return mean, float(each.std(ddof=1) / np.sqrt(len(each)))


def _ends(wave: Floats) -> tuple[int, int]:
    soft = (np.roll(wave, 1) + wave + np.roll(wave, -1)) / 3
    return int(soft.argmax()), int(soft.argmin())


def _waves(pictures: Sequence[Lines], frequency: float, phases: Floats) -> Floats:
    """Return one period as each part of the pictures has it, parts x bins, the mean taken off."""
    count = pictures[0].count
    many = int(np.clip(count * len(pictures) // _LINES_A_BIN, _FEWEST_BINS, _MOST_BINS))
    parts = np.array_split(np.arange(len(pictures[0].light)), _GROUPS)
    placed, relative = [], []
    for lines, phase in zip(pictures, phases, strict=True):
        grouped = np.array([np.median(lines.light[part], axis=0) for part in parts])
        if count * frequency >= _LEVELLED_PERIODS:
            level, inner = _over_a_period(grouped, 1 / frequency)
        else:
            design, slow = _design(count, frequency), _DEGREE + 1
            solved, *_ = np.linalg.lstsq(design, grouped.T, rcond=None)
            level, inner = (design[:, :slow] @ solved[:slow]).T, slice(0, count)
        place = (frequency * np.arange(count)[inner] - phase) % 1.0
        placed.append(np.floor(place * many).astype(int) % many)
        relative.append((grouped / np.maximum(level, 1e-3))[:, inner])
    bins, values = np.concatenate(placed), np.concatenate(relative, axis=1)
    # Most lines of a place: where cabinets meet, the level is not what lies beside.
    waves = np.array([_filled(wave) for wave in _medians(values, bins, many)])
    means = waves.mean(axis=1, keepdims=True)
    return _unsmoothed(waves / means - 1, frequency / pictures[0].step, pictures[0].smoothed_px)


def _medians(values: Floats, bins: NDArray[np.int64], many: int) -> Floats:
    """Return the median of each row's values in each bin, rows x bins; NaN where a bin has none."""
    order = np.lexsort((values, np.broadcast_to(bins, values.shape)))
    ranked = np.take_along_axis(values, order, axis=1)
    counts = np.bincount(bins, minlength=many)
    first, full = np.cumsum(counts) - counts, counts > 0
    lower, upper = (first + (counts - 1) // 2)[full], (first + counts // 2)[full]
    found = np.full((len(values), many), np.nan)
    found[:, full] = (ranked[:, lower] + ranked[:, upper]) / 2
    return found


def _unsmoothed(waves: Floats, frequency: float, smoothed_px: float) -> Floats:
    """Give overtones back what smoothing took, as far as something is left of them."""
    tones = np.fft.rfft(waves, axis=1)
    share = share_left(smoothed_px, frequency * np.arange(tones.shape[1], dtype=np.float64))
    found: Floats = np.fft.irfft(tones / np.maximum(share, _LEAST_LEFT), waves.shape[1], axis=1)
    return found


def _over_a_period(light: Floats, period: float) -> tuple[Floats, slice]:
    """Return the mean over one period about each line, which stripes do not touch, and where it is whole."""
    count = light.shape[1]
    edges = np.arange(count + 1)
    total = np.concatenate([np.zeros((len(light), 1)), light.cumsum(axis=1)], axis=1)
    middle = np.arange(count) + 0.5
    ends = np.array(
        [[np.interp(middle + s * period / 2, edges, row) for row in total] for s in (-1, 1)]
    )
    margin = int(np.ceil(period / 2))
    level: Floats = (ends[1] - ends[0]) / period
    return level, slice(margin, count - margin)
