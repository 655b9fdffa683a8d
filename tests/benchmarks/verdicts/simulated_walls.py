"""Walls whose truth is known, for `bench_verdicts`: what is there, and the figure that follows from it.

Every wall is drawn so that its figure lies evenly to both sides of the limit of the check. Nothing here
asks the tool for a formula.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

Truth = dict[str, dict[str, float]]
"""Field to place to what is there."""
Random = np.random.Generator
NINE = tuple(f"point {n}" for n in range(1, 10))
WALK = tuple(f"walk {n}" for n in range(1, 10))


@dataclass(frozen=True)
class Meter:
    """What a meter is: accuracy (half-width) and scatter, as shares of a reading or in its unit."""

    gain: float = 0.0
    offset: float = 0.0
    scatter_share: float = 0.0
    scatter: float = 0.0
    stated: bool = True
    """Whether its repeatability is stated; else the tool takes a share of its accuracy."""
    each_light: bool = False
    """Whether it errs anew on lights as unlike as the primaries."""
    drift: float = 0.3
    """Half-width of what it drifts by from one visit to the next, over its accuracy."""


@dataclass(frozen=True)
class Case:
    """A check, the meter, the walls it is tried on, and the figure that is held against the truth."""

    title: str
    check: str
    meter: Meter
    wall: Callable[[Random], tuple[Truth, Truth, float]]
    """What is there now, what was at the handover where that counts, and the figure's truth."""
    figure: str
    """How the figure's name begins."""
    limit: str
    exact: Mapping[str, Mapping[str, float | str]] = field(default_factory=dict)
    """What the check asks for and no meter reads."""


def _spread_out(
    random: Random, low: float, high: float, places: tuple[str, ...]
) -> dict[str, float]:
    """Return levels whose ends are these, the others between and clear of both."""
    gap = 0.15 * (high - low)
    levels = random.uniform(low + gap, high - gap, len(places))
    first, last = random.choice(len(places), 2, replace=False)
    levels[first], levels[last] = low, high
    return dict(zip(places, levels.tolist(), strict=True))


def nine_points(random: Random) -> tuple[Truth, Truth, float]:
    ratio = random.uniform(0.81, 0.99)
    levels = _spread_out(random, 600 * ratio, 600.0, NINE)
    return {"luminance_cd_m2": levels}, {}, ratio


def even_wall(random: Random) -> tuple[Truth, Truth, float]:
    """Nine points with a mean of 450 to 630 cd/m2, the limit being 540."""
    mean = random.uniform(450, 600)
    levels = mean * (1 + random.normal(0, 0.01, len(NINE)))
    levels *= mean / levels.mean()
    return {"luminance_cd_m2": dict(zip(NINE, levels.tolist(), strict=True))}, {}, mean


def two_neighbours(random: Random) -> tuple[Truth, Truth, float]:
    step = random.uniform(0, 10)
    low = 200 * (1 - step / 200) / (1 + step / 200)
    return {"luminance_cd_m2": {"R1C1": 200.0, "R1C2": low}}, {}, step


def a_year_later(random: Random) -> tuple[Truth, Truth, float]:
    """Twelve cabinets of which a year left 86 to 104 %."""
    places = [f"R{row}C{column}" for row in (1, 6) for column in (1, 3, 5, 7, 9, 11)]
    then = 200 * (1 + random.normal(0, 0.01, len(places)))
    now = then * random.uniform(0.86, 1.04) * (1 + random.normal(0, 0.002, len(places)))
    truth = 100 * float(np.mean(now / then))
    before = {"luminance_cd_m2": dict(zip(places, then.tolist(), strict=True))}
    return {"luminance_cd_m2": dict(zip(places, now.tolist(), strict=True))}, before, truth


def one_cabinet_again(random: Random) -> tuple[Truth, Truth, float]:
    change = random.uniform(-8, 8)
    now = {"luminance_cd_m2": {"R1C3": 200 * (1 + change / 100)}}
    return now, {"luminance_cd_m2": {"R1C3": 200.0}}, change


def swapped_module(random: Random) -> tuple[Truth, Truth, float]:
    change = random.uniform(-10, 10)
    return {"luminance_cd_m2": {"before": 200.0, "after": 200 * (1 + change / 100)}}, {}, change


def swapped_colour(random: Random) -> tuple[Truth, Truth, float]:
    now, away = _two_colours(random, "before", "after", 0.012)
    return now, {}, away


def warming(random: Random) -> tuple[Truth, Truth, float]:
    drift = random.uniform(-15, 15)
    levels = {"30 min": 600.0, "60 min": 600 * (1 + drift / 100)}
    return {"luminance_cd_m2": levels}, {}, abs(drift)


def warming_colour(random: Random) -> tuple[Truth, Truth, float]:
    now, away = _two_colours(random, "30 min", "60 min", 0.012)
    return now, {}, away


def grey(random: Random) -> tuple[Truth, Truth, float]:
    now, away = _two_colours(random, "100 %", "50 %", 0.02)
    return now, {}, away


def _two_colours(random: Random, first: str, second: str, most: float) -> tuple[Truth, float]:
    """Return two colours that lie up to so far apart in u', v', in any direction; the exact way."""
    away, turn = random.uniform(0, most), random.uniform(0, 2 * math.pi)
    u, v = 0.19783 + away * math.cos(turn), 0.46834 + away * math.sin(turn)
    scale = 6 * u - 16 * v + 12
    x, y = 9 * u / scale, 4 * v / scale
    scale = 6 * 0.19783 - 16 * 0.46834 + 12
    x0, y0 = 9 * 0.19783 / scale, 4 * 0.46834 / scale
    return {"x": {first: x0, second: x}, "y": {first: y0, second: y}}, away


def window(random: Random) -> tuple[Truth, Truth, float]:
    ratio = random.uniform(0.92, 1.02)
    return {"window_cd_m2": {"wall": 600.0}, "full_cd_m2": {"wall": 600 * ratio}}, {}, ratio


def walk(random: Random) -> tuple[Truth, Truth, float]:
    """Nine positions, brighter and brighter, so that no step between two is large."""
    ratio = random.uniform(1.6, 2.4)
    levels = sorted(_spread_out(random, 350.0, 350 * ratio, WALK).values())
    return {"light_lx": dict(zip(WALK, levels, strict=True))}, {}, ratio


def walk_level(random: Random) -> tuple[Truth, Truth, float]:
    """Nine positions with a mean of 360 to 540 lx, the least being 450."""
    levels = random.uniform(360, 540) * (1 + random.normal(0, 0.05, len(WALK)))
    return {"light_lx": dict(zip(WALK, levels.tolist(), strict=True))}, {}, float(levels.mean())


def stage_positions(random: Random) -> tuple[Truth, Truth, float]:
    ratio = random.uniform(1.6, 2.4)
    places = ("Lectern", "Centre stage", "House right steps")
    return {"presenter_lx": _spread_out(random, 300.0, 300 * ratio, places)}, {}, ratio


def seats(random: Random) -> tuple[Truth, Truth, float]:
    share = random.uniform(40, 60)
    side = "widest seat, house left"
    return {"luminance_cd_m2": {"square on": 600.0, side: 6 * share}}, {}, share


def control(random: Random) -> tuple[Truth, Truth, float]:
    error = random.uniform(-9, 9)
    levels = {"100 %": 600.0, "50 %": 300 * (1 + error / 100)}
    return {"luminance_cd_m2": levels}, {}, error


def cards(random: Random) -> tuple[Truth, Truth, float]:
    apart = random.uniform(11, 19)
    places = tuple(f"R{row}C{column}" for row in range(1, 4) for column in range(1, 5))
    return {"card_c": _spread_out(random, 40.0, 40 + apart, places)}, {}, apart


def phases(random: Random) -> tuple[Truth, Truth, float]:
    """Three phases: 0 to 18 % imbalance, the worst of them above or below the mean."""
    share = random.uniform(0.03, 0.17)
    rest = random.uniform(-0.4, 0.4) * share
    others = np.array([share, -share / 2 + rest, -share / 2 - rest]) * random.choice((-1, 1))
    amps = 20 * (1 + random.permutation(others))
    named = dict(zip(("L1", "L2", "L3"), amps.tolist(), strict=True))
    return {"phase_current_a": named}, {}, 100 * share


def radio(random: Random) -> tuple[Truth, Truth, float]:
    rise = random.uniform(0, 6)
    return {"floor_off_dbm": {"band 1": -104.0}, "floor_on_dbm": {"band 1": rise - 104}}, {}, rise


def white(random: Random) -> tuple[Truth, Truth, float]:
    x = random.uniform(0.2987, 0.3267)
    points = x + random.normal(0, 0.0003, len(NINE))
    return {"x": dict(zip(NINE, points.tolist(), strict=True))}, {}, float(points.mean())


def contrast(random: Random) -> tuple[Truth, Truth, float]:
    ratio = random.uniform(12, 18)
    seat = "Concert, nearest seat"
    return {"white_cd_m2": {seat: 10 * ratio}, "black_cd_m2": {seat: 10.0}}, {}, ratio


def key_light(random: Random) -> tuple[Truth, Truth, float]:
    """Three positions, one of which is off the mean of all by 0 to 400 K."""
    off = random.uniform(0, 400)
    return (
        {
            "cct_k": {
                "Lectern": 5600 + 1.5 * off,
                "Centre stage": 5600.0,
                "House right steps": 5600.0,
            }
        },
        {},
        off,
    )


def meters(random: Random) -> tuple[Truth, Truth, float]:
    """Two meters on one patch: they differ by what both are off, and the truth is 0."""
    level = random.uniform(100, 600)
    return {"own_cd_m2": {"white": level}, "other_cd_m2": {"white": level}}, {}, 0.0


def exponent(random: Random) -> tuple[Truth, Truth, float]:
    """Twenty-one steps of a power law over black, its exponent 2.1 to 2.5, the most being 2.3."""
    power = random.uniform(2.15, 2.45)
    steps = {f"{5 * n} %": 0.06 + 600 * (n / 20) ** power for n in range(21)}
    return {"luminance_cd_m2": steps}, {}, power


def gamut(random: Random) -> tuple[Truth, Truth, float]:
    """The triangle of BT.709 shrunk about its middle in u', v', so that it covers 84 to 98 %."""
    share = random.uniform(0.84, 0.98)
    corners = np.array([_uv(*xy) for xy in ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))])
    middle = corners.mean(axis=0)
    shrunk = middle + math.sqrt(share) * (corners - middle)
    xy = [_xy(*uv) for uv in shrunk.tolist()]
    places = [f"{colour}, centre" for colour in ("red", "green", "blue")]
    now = {
        axis: dict(zip(places, [pair[k] for pair in xy], strict=True))
        for k, axis in enumerate(("x", "y"))
    }
    return now, {}, 100 * share


def _uv(x: float, y: float) -> tuple[float, float]:
    scale = -2 * x + 12 * y + 3
    return 4 * x / scale, 9 * y / scale


def _xy(u: float, v: float) -> tuple[float, float]:
    scale = 6 * u - 16 * v + 12
    return 9 * u / scale, 4 * v / scale


def delay(random: Random) -> tuple[Truth, Truth, float]:
    """One path shot ten times, 72 to 88 ms late."""
    late = random.uniform(72, 88)
    shots = {f"Camera 1, balcony, {n} of 10": late for n in range(1, 11)}
    return {"latency_ms": shots}, {}, late


def mired(random: Random) -> tuple[Truth, Truth, float]:
    """A wall that is 15 to 55 mired cooler than the front light."""
    apart, key = random.uniform(15, 55), random.uniform(3200, 5600)
    wall = 1e6 / (1e6 / key - apart)
    return {"key_cct_k": {"Lectern": key}, "wall_cct_k": {"wall": wall}}, {}, apart


def drop(random: Random) -> tuple[Truth, Truth, float]:
    percent = random.uniform(3, 7)
    white = 232 - 230 * percent / 100
    return {"idle_v": {"LP1-1-L1": 232.0}, "white_v": {"LP1-1-L1": white}}, {}, percent


def breaker(random: Random) -> tuple[Truth, Truth, float]:
    percent = random.uniform(70, 90)
    return {"current_a": {"LP1-1-L1": 0.16 * percent}}, {}, percent


SPOT = Meter(gain=0.02, scatter_share=0.003)
COARSE = Meter(gain=0.04, scatter_share=0.008, stated=False)
FINE = Meter(gain=0.01, scatter_share=0.003)
COLOUR = Meter(offset=0.002, scatter=0.0004)
LUX = Meter(gain=0.03, scatter_share=0.006)
CLAMP = Meter(gain=0.015, scatter_share=0.004)
HEAT = Meter(offset=0.5, scatter=0.2)
SCANNER = Meter(offset=1.5, scatter=0.25)
FINE_LUX = Meter(gain=0.015, scatter_share=0.004)
FINE_COLOUR = Meter(offset=0.001, scatter=0.0003)
KELVIN = Meter(gain=0.01, scatter_share=0.002)
PRIMARY = Meter(offset=0.002, scatter=0.0004, each_light=True)
TIMER = Meter(offset=1.0, scatter=1.5)
VOLTS = Meter(gain=0.01, scatter_share=0.001)
TARGETS = "bt709_coverage_percent = 92\n"
"""What the wall file of the cases states beside the demo's targets."""

_RATIO = "darkest over brightest point"
CASES = (
    Case("nine points, 1 % meter", "brightness", FINE, nine_points, _RATIO, "min_to_max"),
    Case("nine points, 2 % meter", "brightness", SPOT, nine_points, _RATIO, "min_to_max"),
    Case("nine points, 4 %, not stated", "brightness", COARSE, nine_points, _RATIO, "min_to_max"),
    Case("mean of nine, 1 % meter", "brightness", FINE, even_wall, "mean", "mean_cd_m2"),
    Case("mean of nine, 2 % meter", "brightness", SPOT, even_wall, "mean", "mean_cd_m2"),
    Case(
        *("step between neighbours", "cabinet-luminance", SPOT, two_neighbours),
        *("largest step", "neighbours_percent"),
    ),
    Case(
        "light left a year later", "light-left", COARSE, a_year_later, "light left", "left_percent"
    ),
    Case(
        *("cabinet again, next visit", "witness-repeat", FINE, one_cabinet_again),
        *("luminance at R1C3", "luminance_percent"),
    ),
    Case(
        *("new module, light", "module-swap", SPOT, swapped_module),
        *("luminance of the new", "luminance_percent"),
    ),
    Case(
        "new module, colour", "module-swap", COLOUR, swapped_colour, "colour of the new", "colour"
    ),
    Case(
        *("warm-up, light", "warm-up-drift", SPOT, warming),
        *("luminance drift", "luminance_percent"),
    ),
    Case("warm-up, colour", "warm-up-drift", COLOUR, warming_colour, "colour drift", "colour"),
    Case("grey from white, colour", "grey-balance", COLOUR, grey, "colour of 50 %", "from_white"),
    Case("white over window", "white-window", SPOT, window, "full white", "full_over_window"),
    Case("walk, ends", "walk-light", LUX, walk, "brightest over", "max_to_min"),
    Case("walk, mean", "walk-light", FINE_LUX, walk_level, "mean light", "mean_lx"),
    Case(
        *("stage positions", "front-light", LUX, stage_positions),
        *("brightest over", "positions_max_to_min"),
    ),
    Case(
        *("seat from the side", "viewing-angle", LUX, seats),
        *("light at the widest", "of_normal_percent"),
    ),
    Case(
        "control at 50 %", "brightness-control", SPOT, control, "error of", "proportional_percent"
    ),
    Case("cards, spread", "card-temperatures", HEAT, cards, "hottest over", "spread_k"),
    Case("phases", "phase-balance", CLAMP, phases, "imbalance", "imbalance_percent"),
    Case("rise of the radio floor", "radio-floor", SCANNER, radio, "noise floor", "rise_db"),
    Case("white point, mean x", "white-point", FINE_COLOUR, white, "mean x", "x"),
    Case("key light from its mean", "key-colour", KELVIN, key_light, "colour temp", "from_mean_k"),
    Case(
        *("two meters", "meters-compared", FINE, meters),
        *("own luminance meter", "luminance_percent"),
    ),
    Case(
        *("cabinet again, 2 % meter", "witness-repeat", SPOT, one_cabinet_again),
        *("luminance at R1C3", "luminance_percent"),
    ),
    Case(
        *("contrast from a seat", "contrast-from-seats", SPOT, contrast),
        *("contrast from", "contrast"),
    ),
    Case("exponent of the grey scale", "grey-scale", COARSE, exponent, "exponent", "exponent"),
    Case("gamut", "primaries", PRIMARY, gamut, "coverage", "coverage_percent"),
    Case("latency, ten shots", "latency", TIMER, delay, "latency of Camera 1", "latency_ms"),
    Case(
        *("light, wall to key, mired", "front-light", KELVIN, mired),
        *("colour difference at", "colour_difference_mired"),
    ),
    Case(
        *("supply, drop on a circuit", "circuit-voltages", VOLTS, drop),
        *("drop from idle", "drop_percent"),
    ),
    Case(
        *("supply, load of a breaker", "circuit-currents", CLAMP, breaker),
        *("share of the breaker", "of_breaker_percent"),
    ),
)
