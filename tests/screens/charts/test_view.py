"""What the charts show, as numbers and sentences, without a screen."""

from __future__ import annotations

import math
from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.checks.model.types import Verdict
from commission_tui.engineering.colour.colorimetry import uv_prime_to_xy, xy_to_uv_prime
from commission_tui.logbook.charts.chart_model import Chart, Series
from commission_tui.logbook.charts.reading_charts import (
    cabinet_colours,
    charts,
    circle,
    drift,
    grey_scale,
    warm_up,
    white_points,
)
from commission_tui.logbook.charts.reading_charts import uniformity as uniformity_chart
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.charts import view as charts_view
from commission_tui.screens.layers.luminance_layers import luminance_legend, luminance_of
from commission_tui.screens.terminal.styled_text import plain_line
from tests.conftest import TickingClock

CABINETS, GREY, WHITE = "cabinet-luminance", "grey-scale", "white-point"
LEVEL = "luminance_cd_m2"
D65 = xy_to_uv_prime(0.3127, 0.3290)


@pytest.fixture
def measured(job: OpenJob) -> OpenJob:
    """A job with a meter for luminance and one for colour."""
    for key, unit in (("meter", "cd/m2"), ("colour", "xy")):
        job.record(
            body(e.Instrument, key=key, name=key, serial="1", accuracy={unit: {"absolute": 0.001}})
        )
    return job


def _series(chart: Chart, kind: str) -> tuple[tuple[float, float], ...]:
    return next(series.points for series in chart.series if series.kind == kind)


def test_without_readings_every_chart_says_so_in_one_sentence(job: OpenJob) -> None:
    found = charts(job)
    assert len({chart.key for chart in found}) == len(found) == 6
    for chart in found:
        assert chart.is_empty
        assert chart.says.endswith(".")
        assert any(word in chart.says for word in ("No ", "first visit"))


def test_the_grey_scale_has_the_power_law_as_its_target(measured: OpenJob) -> None:
    """L = Lb + (Lw - Lb) V^γ, the law that `fit_grey_scale` fits (IEC 61966-4:2000, from memory)."""
    exponent = measured.state.wall.file.targets.grey_exponent
    for percent in (0, 5, 10, 50, 100):
        aim = 0.5 + 599.5 * (percent / 100) ** exponent
        measured.read(GREY, LEVEL, f"{percent} %", aim * (1.1 if percent == 50 else 1.0))
    chart = grey_scale(measured)
    assert chart.can_be_log
    assert "farthest off at 50 %, by +10.0 %" in chart.says
    target = dict(_series(chart, "line"))
    assert target[100.0] == pytest.approx(600.0)
    assert target[50.0] == pytest.approx(0.5 + 599.5 * 0.5**exponent)
    assert [x for x, _ in _series(chart, "points")] == [0, 5, 10, 50, 100]


def test_the_grey_scale_without_its_brightest_step_has_no_target(measured: OpenJob) -> None:
    measured.read(GREY, LEVEL, "50 %", 130.0)
    chart = grey_scale(measured)
    assert [series.kind for series in chart.series] == ["points"]
    assert "needs the step at 100 %" in chart.says


def test_white_points_lie_in_or_out_of_the_box_of_the_limits(measured: OpenJob) -> None:
    targets = measured.state.wall.file.targets
    for n, off in ((1, 0.0), (2, 0.004), (3, 0.02)):
        measured.read(WHITE, "x", f"point {n}", round(targets.white_x + off, 6))
        measured.read(WHITE, "y", f"point {n}", targets.white_y)
    chart = white_points(measured)
    assert "1 outside the tolerance (point 3)" in chart.says
    box = _series(chart, "limit")
    assert box[0] == box[-1]
    assert len(set(box)) == 4
    assert min(x for x, _ in box) < targets.white_x < max(x for x, _ in box)


def _read_colours(job: OpenJob, off: dict[str, tuple[float, float]]) -> None:
    """Log x and y of cabinets that lie so far, in u' and v', from those of D65."""
    for place, (across, up) in off.items():
        x, y = uv_prime_to_xy(D65[0] + across, D65[1] + up)
        job.read(CABINETS, "x", place, x)
        job.read(CABINETS, "y", place, y)


def test_a_limit_on_a_distance_is_a_circle_in_the_diagram_of_1976(measured: OpenJob) -> None:
    """D65: u' 0.1978, v' 0.4683 (CIE 15, from memory); a distance Δu'v' is the plain one there."""
    _read_colours(
        measured, {"R1C1": (0.003, 0), "R1C2": (-0.003, 0), "R1C3": (0, 0.003), "R1C4": (0, -0.003)}
    )
    chart = cabinet_colours(measured)
    assert (chart.x_label, chart.y_label) == ("u'", "v'")
    (mean,) = _series(chart, "line")
    assert mean == pytest.approx((0.1978, 0.4683), abs=5e-5)
    limit = _series(chart, "limit")
    assert limit[0] == limit[-1]
    assert len(set(limit)) >= 60
    apart = [math.dist(mean, point) for point in limit]
    assert min(apart) == pytest.approx(0.004) == max(apart)
    assert "all inside the circle of 0.004" in chart.says


@given(st.floats(0, 2 * math.pi), st.sampled_from([0.0028, 0.0029, 0.0031, 0.0032]))
def test_who_is_outside_the_circle_is_who_is_farther_than_the_limit(
    turn: float, radius: float
) -> None:
    """A box or an ellipse would let through other directions than a circle."""
    mean = (0.1978, 0.4683)
    edge = circle(mean, 0.003)
    x, y = mean[0] + radius * math.cos(turn), mean[1] + radius * math.sin(turn)
    crossings = sum(
        (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0)
        for (x0, y0), (x1, y1) in pairwise(edge)
    )
    assert (crossings % 2 == 1) == (radius < 0.003)


def test_the_chart_names_the_cabinet_that_the_check_fails(measured: OpenJob) -> None:
    """The chart and the verdict rest on one rule."""
    off = dict.fromkeys((f"R1C{n}" for n in range(2, 9)), (0.0, 0.0))
    _read_colours(measured, {"R1C1": (0.006, 0.003), **off})
    for cell in measured.state.wall.cabinets:
        measured.read(CABINETS, LEVEL, str(cell), 200.0)
    chart = cabinet_colours(measured)
    assert "1 outside the circle of 0.004 (R1C1)" in chart.says
    figures = measured.outcome(CABINETS).figures
    (worst,) = [f for f in figures if f.name == "colour from the mean, u'v' (R1C1)"]
    assert worst.verdict is Verdict.FAIL
    assert f"farthest from it R1C1, {worst.value:.4f}" in chart.says


def test_cabinets_are_sorted_from_dark_to_bright(measured: OpenJob) -> None:
    for place, level in (("R1C1", 200.0), ("R1C2", 180.0), ("R1C3", 220.0)):
        measured.read(CABINETS, LEVEL, place, level)
    chart = uniformity_chart(measured)
    assert _series(chart, "points") == ((1.0, 180.0), (2.0, 200.0), (3.0, 220.0))
    assert {y for _, y in _series(chart, "limit")} == {200.0}
    assert "from 180 (R1C2) to 220 cd/m² (R1C3)" in chart.says
    assert "0.818" in chart.says


def test_where_all_cabinets_are_as_bright_it_is_said_once(measured: OpenJob) -> None:
    for place in ("R1C1", "R1C2"):
        measured.read(CABINETS, LEVEL, place, 1150.0)
    assert "2 cabinets at 1150 cd/m²; darkest" in uniformity_chart(measured).says
    legend = plain_line(luminance_legend(measured))
    assert legend.startswith("cd/m2  1150 at every cabinet that was read")
    measured.read(CABINETS, LEVEL, "R1C3", 1200.0)
    assert "from 1150" in plain_line(luminance_legend(measured))


def test_drift_is_told_between_the_first_visit_and_the_latest(measured: OpenJob) -> None:
    for place in ("R1C1", "R1C2", "R1C3"):
        measured.read(CABINETS, LEVEL, place, 200.0)
    measured.record(body(e.VisitBegun, name="After a year"))
    assert "Luminance was read nowhere both" in drift(measured).says
    for place, level in (("R1C1", 190.0), ("R1C2", 192.0), ("R1C3", 150.0)):
        measured.read(CABINETS, LEVEL, place, level)
    chart = drift(measured)
    assert [round(y, 6) for _, y in _series(chart, "points")] == [-25.0, -5.0, -4.0]
    assert "median -5.0 %, most at R1C3, -25.0 %" in chart.says


def test_warm_up_shows_the_point_that_was_read_again_and_again(
    logbook: Logbook, measured: OpenJob
) -> None:
    for level in (220.0, 221.0, 219.0, 220.0):
        measured.read(CABINETS, LEVEL, "R1C2", level)
    assert warm_up(measured).is_empty, "repeats within seconds show no warm-up"
    assert isinstance(logbook.clock, TickingClock)
    for level in (220.0, 210.0):
        measured.read(CABINETS, LEVEL, "R1C1", level)
        logbook.clock.moment += timedelta(minutes=5)
    assert warm_up(measured).is_empty
    measured.read(CABINETS, LEVEL, "R1C1", 200.0)
    chart = warm_up(measured)
    points = _series(chart, "points")
    assert [round(y, 6) for _, y in points] == [110.0, 105.0, 100.0]
    assert points[0][0] == 0.0
    assert points[0][0] < points[1][0] < points[2][0]
    assert "R1C1: from 110.0 %" in chart.says


def test_of_repeats_charts_and_map_show_the_mean_that_is_judged(measured: OpenJob) -> None:
    for place, level in (("R1C1", 200.0), ("R1C2", 300.0)):
        measured.read(CABINETS, LEVEL, place, level)
    measured.read(CABINETS, LEVEL, "R1C1", 210.0, again=True)
    assert [y for _, y in _series(uniformity_chart(measured), "points")] == [205.0, 300.0]
    (_, lit) = luminance_of(measured)
    assert sorted(lit.values()) == [205.0, 300.0]


# --- on a canvas

numbers = st.floats(-1e6, 1e6, allow_nan=False)


@given(st.lists(st.tuples(numbers, numbers), min_size=1, max_size=30), st.booleans())
def test_every_point_lies_in_the_window_and_every_tick_too(
    points: list[tuple[float, float]], log: bool
) -> None:
    chart = Chart("k", "t", "s", "x", "y", (Series("m", "points", tuple(points)),), can_be_log=True)
    drawn = charts_view.drawn(chart, log=log)
    for ticks, (low, high) in ((drawn.x_ticks, drawn.x_window), (drawn.y_ticks, drawn.y_window)):
        assert low < high
        spare = (high - low) * 1e-9
        assert all(low - spare <= at <= high + spare for at, _ in ticks)
    kept = [p for p in points if not log or min(p) > charts_view.LEAST_LOG]
    assert sum(len(row[2]) for row in drawn.series) == len(kept)
    for _, _, across, up in drawn.series:
        assert all(drawn.x_window[0] <= x <= drawn.x_window[1] for x in across)
        assert all(drawn.y_window[0] <= y <= drawn.y_window[1] for y in up)


def test_logarithmic_ticks_say_the_number_itself() -> None:
    chart = Chart("k", "t", "s", "x", "y", (Series("m", "points", ((1, 5), (100, 500))),), True)
    drawn = charts_view.drawn(chart, log=True)
    written = {text: at for at, text in drawn.x_ticks}
    assert written["10"] == pytest.approx(1.0)
    assert written["50"] == pytest.approx(math.log10(50))


def test_linear_ticks_are_round_and_told_apart() -> None:
    chart = Chart("k", "t", "s", "x", "y", (Series("m", "points", ((0.3077, 1), (0.3177, 2))),))
    texts = [text for _, text in charts_view.drawn(chart, log=False).x_ticks]
    assert len(set(texts)) == len(texts) >= 2


@pytest.mark.parametrize(("columns", "rows"), [(70, 14), (110, 30), (40, 40), (5, 2), (0, 0)])
def test_a_circle_is_round_whatever_room_there_is(columns: int, rows: int) -> None:
    series = (Series("m", "limit", circle((0.1978, 0.4683), 0.004)),)
    chart = Chart("k", "t", "s", "u'", "v'", series, is_true_to_scale=True)
    drawn = charts_view.true_to_scale(charts_view.drawn(chart, log=False), columns, rows, 2.0)
    across = (drawn.x_window[1] - drawn.x_window[0]) / max(1, columns)
    up = (drawn.y_window[1] - drawn.y_window[0]) / (2.0 * max(1, rows))
    assert across == pytest.approx(up)
    assert drawn.x_window[0] <= 0.1938 < 0.2018 <= drawn.x_window[1]
    assert drawn.y_window[0] <= 0.4643 < 0.4723 <= drawn.y_window[1]
    assert 2 <= len(drawn.x_ticks) <= 12
    assert 2 <= len(drawn.y_ticks) <= 12


def test_other_charts_fill_the_room_there_is() -> None:
    chart = Chart("k", "t", "s", "x", "y", (Series("m", "points", ((0, 1), (9, 2))),))
    drawn = charts_view.drawn(chart, log=False)
    assert charts_view.true_to_scale(drawn, 70, 14, 2.0) is drawn
