"""Signal inputs against the design."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with, without

LAPTOP, MIXER = "Stage laptop", "Camera mixer"
FORMAT: Values = {
    "width_px": {LAPTOP: 2400.0, MIXER: 1920.0},
    "height_px": {LAPTOP: 1200.0, MIXER: 1080.0},
    "frame_rate_hz": {LAPTOP: 60.0, MIXER: 50.0},
}
PICTURE: Values = {
    "one_to_one": True,
    "edges_seen": 4.0,
    "lowest_code": {LAPTOP: 1.0, MIXER: 17.0},
    "highest_code": {LAPTOP: 254.0, MIXER: 234.0},
}


def test_inputs_as_designed_pass() -> None:
    outcome = judge("input-format", FORMAT)
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == "As designed on Stage laptop, Camera mixer"


def test_another_raster_fails_by_name() -> None:
    outcome = judge("input-format", FORMAT | {"width_px": {LAPTOP: 1920.0, MIXER: 1920.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (LAPTOP,)
    assert outcome.reason == "Stage laptop: width (designed: 2400) 1920 px"


def test_5994_against_60_repeats_a_frame_every_16_7_seconds() -> None:
    """Arithmetic of the NTSC rates: 60 − 60·1000/1001 = 0.05994 Hz, one frame every 16.68 s."""
    outcome = judge("input-format", FORMAT | {"frame_rate_hz": {LAPTOP: 59.94, MIXER: 50.0}})
    assert outcome.verdict is Verdict.FAIL
    assert "16.7 s" in outcome.reason
    assert figure(outcome, "Stage laptop: rate off").value == pytest.approx(0.06)


def test_rate_known_only_roughly_is_marginal() -> None:
    outcome = judge("input-format", FORMAT, expanded={"frame_rate_hz": 0.05})
    assert outcome.verdict is Verdict.MARGINAL


def test_one_input_not_yet_read_is_open() -> None:
    outcome = judge("input-format", without(FORMAT, "width_px", MIXER))
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.PASS)


def test_a_wall_without_inputs_has_nothing_to_check() -> None:
    text = wall_with().text
    start, end = text.index("[[inputs]]"), text.index("[[cameras]]")
    wall = wall_with((text[start:end], ""))
    assert judge("input-format", {}, wall=wall).verdict is Verdict.NOT_APPLICABLE


def test_picture_right_on_both_ranges_passes() -> None:
    outcome = judge("input-picture", PICTURE)
    assert outcome.verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"one_to_one": False}, "scaled, not pixel for pixel"),
        ({"edges_seen": 3.0}, "sides seen whole (of 4) 3"),
        ({"lowest_code": {LAPTOP: 17.0, MIXER: 17.0}}, "Stage laptop: lowest code"),
        ({"highest_code": {LAPTOP: 254.0, MIXER: 230.0}}, "Camera mixer: highest code"),
    ],
)
def test_each_fault_fails_and_is_said(change: dict[str, float], said: str) -> None:
    outcome = judge("input-picture", PICTURE | change)
    assert outcome.verdict is Verdict.FAIL
    assert said in outcome.reason


@pytest.mark.parametrize(
    ("change", "step"),
    [
        ({"one_to_one": False}, "Switch scaling and overscan off at the source."),
        (
            {"highest_code": {LAPTOP: 254.0, MIXER: 230.0}},
            "Set the range of the source and of its input alike: Camera mixer limited.",
        ),
        (
            {"edges_seen": 3.0, "lowest_code": {LAPTOP: 17.0, MIXER: 17.0}},
            "Switch scaling and overscan off at the source, then set the range of the source and of "
            "its input alike: Stage laptop full.",
        ),
    ],
)
def test_what_is_next_is_of_what_is_wrong_and_not_of_what_is_settled(
    change: dict[str, float], step: str
) -> None:
    assert judge("input-picture", PICTURE | change).next_step == step


@pytest.mark.outside
def test_limited_range_codes_are_those_of_the_standard() -> None:
    """ITU-R BT.709: black at code 16 and white at code 235 of 8 bits (from memory)."""
    outcome = judge("input-picture", PICTURE)
    low = figure(outcome, f"{MIXER}: lowest code").limit
    high = figure(outcome, f"{MIXER}: highest code").limit
    assert low is not None
    assert high is not None
    assert (low.high, high.low) == (16 + 1, 235 - 1)


def test_extreme_codes_do_not_pass() -> None:
    outcome = judge("input-picture", PICTURE | {"edges_seen": 0.0, "lowest_code": 1e300})
    assert outcome.verdict is Verdict.FAIL
