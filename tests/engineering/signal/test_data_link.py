"""Pixels on a link and cabinets on a chain."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.signal.data_link import (
    ethernet_efficiency,
    highest_frame_rate_hz,
    load,
    load_rectangle,
    load_sum,
    margin,
    pixels_per_link,
    split_chain,
)
from commission_tui.engineering.structure.geometry import Rectangle

WALL = [Rectangle(192 * c, 192 * r, 192, 192) for r in range(8) for c in range(14)]
CELLS = st.lists(
    st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(1, 3), st.integers(1, 3)),
    max_size=9,
)


def test_ethernet_efficiency_grows_with_the_payload() -> None:
    assert ethernet_efficiency() == 1500 / 1538
    assert ethernet_efficiency(46) == 46 / 84
    assert ethernet_efficiency(9000) == 9000 / 9038
    for bad in (45, 9001):
        with pytest.raises(ValueError, match="payload_octets is"):
            ethernet_efficiency(bad)


def test_pixels_are_cut_off_and_exact_in_decimal() -> None:
    assert pixels_per_link(1e9, 24, 60, 0.94) == 652_777
    assert pixels_per_link(1e9, 30, 60, 0.94) == 522_222
    assert pixels_per_link(1e9, 48, 60, 0.94) == 326_388
    assert 100 * 0.29 < 29  # what the decimal arithmetic is for
    assert pixels_per_link(100, 1, 1, 0.29) == 29
    assert pixels_per_link(1e9, 24, 59.94, 1.0) == 695_139


def test_the_least_of_everything_is_taken() -> None:
    assert pixels_per_link(1, 1, 1, 1) == 1
    assert pixels_per_link(1, 1, 0.001, 1) == 1000
    assert highest_frame_rate_hz(1, 1, 1, 1) == 1.0
    assert split_chain([Rectangle(0, 0, 1, 1)], 1) == ((0,),)


def test_the_highest_frame_rate_turns_the_formula_round() -> None:
    rate = highest_frame_rate_hz(1e9, 24, 652_777, 0.94)
    assert rate == pytest.approx(60.0, rel=2e-6)
    assert pixels_per_link(1e9, 24, rate * (1 - 1e-9), 0.94) == 652_777
    assert pixels_per_link(1e9, 24, rate * (1 + 1e-9), 0.94) == 652_776


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0, 24, 60, 1), "rate_bits_s is 0"),
        ((2e15, 24, 60, 1), "rate_bits_s is 2e"),
        ((1e9, 0.5, 60, 1), "bits_per_pixel is 0.5"),
        ((1e9, 1025, 60, 1), "bits_per_pixel is 1025"),
        ((1e9, 24, 60, 0), "efficiency is 0, expected > 0 and <= 1"),
        ((1e9, 24, 60, 1.01), "efficiency is 1.01"),
        ((1e9, 24, math.nan, 1), "is nan"),
        ((1e9, 24, 0, 1), "is 0"),
        ((1e9, 24, 2e12, 1), "is 2e"),
    ],
)
def test_link_figures_without_a_meaning_are_refused(arguments: Any, message: str) -> None:
    for call in (pixels_per_link, highest_frame_rate_hz):
        with pytest.raises(ValueError, match=message):
            call(*arguments)


@pytest.mark.parametrize(
    ("place", "held", "refused", "name"),
    [
        (0, 1.0, 0.995, "rate_bits_s"), (0, 1e15, 1.005e15, "rate_bits_s"),
        (1, 1.0, 0.995, "bits_per_pixel"), (1, 1024.0, 1024.5, "bits_per_pixel"),
        (2, 0.001, 0.000995, "frame_rate_hz"), (2, 1e6, 1.005e6, "frame_rate_hz"),
        (3, 1e-300, 0.0, "efficiency"), (3, 1.0, 1.005, "efficiency"),
    ],
)  # fmt: skip
def test_the_ends_of_the_range_of_a_link(
    place: int, held: float, refused: float, name: str
) -> None:
    figures = [1e9, 24.0, 60.0, 0.9]
    figures[place] = held
    rate, bits, frame_rate, share = figures
    exact = Fraction(repr(rate)) * Fraction(repr(share)) / Fraction(repr(bits))
    assert pixels_per_link(*figures) == exact // Fraction(repr(frame_rate))
    back = [rate, bits, 1000, share]
    if place != 2:
        assert highest_frame_rate_hz(*back) == pytest.approx(rate * share / bits / 1000)  # type: ignore[arg-type]
    figures[place] = back[place] = refused
    with pytest.raises(ValueError, match=f"{name} is"):
        pixels_per_link(*figures)
    if place != 2:
        with pytest.raises(ValueError, match=f"{name} is"):
            highest_frame_rate_hz(*back)  # type: ignore[arg-type]


def test_the_ends_of_the_range_of_whole_figures() -> None:
    assert highest_frame_rate_hz(1e12, 1, 10**12, 1) == 1.0
    with pytest.raises(ValueError, match="pixels is"):
        highest_frame_rate_hz(1e12, 1, 10**12 + 1, 1)
    with pytest.raises(ValueError, match="pixels is 0 px"):
        highest_frame_rate_hz(1e12, 1, 0, 1)
    assert margin(0, 1) == 1.0


def test_seventeen_cabinets_fit_by_sum_and_not_by_rectangle() -> None:
    chain = [WALL[14 * row + column] for column in (0, 1) for row in range(8)] + [WALL[2]]
    assert load_sum(chain) == load(chain, "sum") == 17 * 192 * 192
    assert load_rectangle(chain) == load(chain, "rectangle") == 3 * 8 * 192 * 192
    assert margin(load_sum(chain), 652_777) > 0 > margin(load_rectangle(chain), 652_777)


def test_turned_and_mixed_cabinets() -> None:
    chain = [Rectangle(10, 20, 100, 200, 90), Rectangle(210, 20, 50, 300)]
    assert load_sum(chain) == 100 * 200 + 50 * 300
    assert load_rectangle(chain) == 250 * 300
    assert load_rectangle([Rectangle(-5, -7, 4, 3), Rectangle(5, 7, 1, 2)]) == 11 * 16
    assert load_sum([]) == load_rectangle([]) == 0


@pytest.mark.parametrize(
    ("rectangle", "message"),
    [
        (Rectangle(0.5, 0, 1, 1), r"rectangles\[0\].x is 0.5 px, expected a whole number"),
        (Rectangle(0, 0.5, 1, 1), r"rectangles\[0\].y is 0.5 px"),
        (Rectangle(0, 0, 1.5, 1), r"rectangles\[0\].width is 1.5 px"),
        (Rectangle(0, 0, 1, 1.5), r"rectangles\[0\].height is 1.5 px"),
        (Rectangle(0, 0, 1, 0), r"rectangles\[0\].height is 0"),
        (Rectangle(0, 0, 1, 1, 30), "multiple of 90"),
    ],
)
def test_cabinets_not_in_whole_pixels_are_refused(rectangle: Rectangle, message: str) -> None:
    for call in (load_sum, load_rectangle):
        with pytest.raises(ValueError, match=message):
            call([rectangle])


def test_an_unknown_rule_is_refused() -> None:
    with pytest.raises(ValueError, match="rule is 'area', expected 'sum' or 'rectangle'"):
        load(WALL, "area")  # type: ignore[arg-type]


def test_margin() -> None:
    assert margin(0, 10) == 1.0
    assert margin(10, 10) == 0.0
    assert margin(15, 10) == -0.5
    for bad in ((-1, 10), (1, 0)):
        with pytest.raises(ValueError, match="expected"):
            margin(*bad)


def test_a_chain_is_cut_in_order() -> None:
    assert split_chain(WALL[:3], 2 * 192 * 192) == ((0, 1), (2,))
    assert split_chain([], 10) == ()
    assert split_chain(WALL[:2], 2 * 192 * 192, spare_share=0.01) == ((0,), (1,))
    assert split_chain(WALL[:10], 10 * 192 * 192, spare_share=0.1) == (tuple(range(9)), (9,))
    with pytest.raises(ValueError, match=r"rectangles\[0\] is 36864 px, expected at most 36863 px"):
        split_chain(WALL, 36_863)
    for bad in ({"capacity_px": 0}, {"spare_share": 1.0}, {"spare_share": -0.005}):
        with pytest.raises(ValueError, match=next(iter(bad))):
            split_chain(WALL, **{"capacity_px": 10**6, **bad})  # type: ignore[arg-type]


@given(CELLS, st.sampled_from(["sum", "rectangle"]), st.integers(9, 60))
def test_no_way_of_cutting_needs_fewer_links(
    cells: list[tuple[int, int, int, int]], rule: Any, capacity: int
) -> None:
    chain = [Rectangle(*cell) for cell in cells]

    def fewest(start: int) -> int:
        if start == len(chain):
            return 0
        ends = range(start + 1, len(chain) + 1)
        return 1 + min(fewest(end) for end in ends if load(chain[start:end], rule) <= capacity)

    links = split_chain(chain, capacity, rule=rule)
    assert [i for link in links for i in link] == list(range(len(chain)))
    assert all(load([chain[i] for i in link], rule) <= capacity for link in links)
    assert len(links) == fewest(0)


@given(CELLS)
def test_a_rectangle_is_never_less_than_what_it_holds(
    cells: list[tuple[int, int, int, int]],
) -> None:
    chain = [Rectangle(x * 4, y * 4, w, h) for x, y, w, h in dict.fromkeys(cells)]
    places = {(r.x, r.y) for r in chain}
    if len(places) == len(chain):
        assert load_rectangle(chain) >= load_sum(chain)


@given(st.floats(), st.floats(), st.floats(), st.floats(), st.integers())
def test_only_value_error_ever_escapes(a: float, b: float, c: float, d: float, n: int) -> None:
    calls: list[Any] = [
        lambda: pixels_per_link(a, b, c, d),
        lambda: highest_frame_rate_hz(a, b, n, d),
        lambda: ethernet_efficiency(n),
        lambda: margin(n, n + 1),
        lambda: len(str(load_rectangle([Rectangle(a, b, c, d), Rectangle(n, n, n, n)]))),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
