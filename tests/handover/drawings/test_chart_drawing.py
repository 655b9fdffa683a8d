"""Charts of the logbook as drawings of the document."""

from __future__ import annotations

import math
import re

import pytest

from commission_tui.handover.drawings.chart_drawing import plotted
from commission_tui.logbook.charts.chart_model import Chart, Series
from commission_tui.logbook.charts.reading_charts import circle


def _limit_drawn(chart: Chart) -> list[tuple[float, float]]:
    """Return the corners of the broken line of a drawing."""
    svg = plotted(chart).svg.decode()
    (path,) = re.findall(r'<polyline points="([^"]+)"[^>]*stroke-dasharray="9', svg)
    numbers = [float(number) for number in re.findall(r"-?[\d.]+", path)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.parametrize(
    "others", [(), ((0.1978, 0.4683),), ((0.19, 0.468), (0.25, 0.47)), ((0.2, 0.3), (0.2, 0.6))]
)
def test_a_circle_is_drawn_round_whatever_else_is_in_the_chart(
    others: tuple[tuple[float, float], ...],
) -> None:
    series = (
        Series("0.004 from the mean", "limit", circle((0.1978, 0.4683), 0.004)),
        Series("measured", "points", others),
        Series("mean", "line", ((0.1978, 0.4683),)),
    )
    chart = Chart("colours", "Colours", "says", "u'", "v'", series, is_true_to_scale=True)
    drawn = _limit_drawn(chart)
    middle = tuple(math.fsum(axis) / len(axis) for axis in zip(*drawn[1:], strict=True))
    apart = [math.dist(middle, point) for point in drawn]
    # To the rounding of the drawing's coordinates, a hundredth.
    assert max(apart) - min(apart) <= 0.03
    assert min(apart) > 1
    assert plotted(chart).caption == "says Broken line: 0.004 from the mean. Cross: mean."
