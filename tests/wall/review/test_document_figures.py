"""Documents held against cabinets, against each other, and against what carries the wall."""

from __future__ import annotations

import json
from typing import Any

import pytest

from commission_tui.cli.output import jsonable
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.design_review import review
from commission_tui.wall.review.findings import Finding
from tests.wall.model.test_wall_file import SMALL, changed, placed

GAPPED = changed('type = "A"', 'type = "A"\nabsent = ["R1C2"]')
NARROW = """
[cabinet_types.B]
width_mm = 500
height_mm = 500
width_px = 128
height_px = 128
weight_kg = 8
power_max_w = 170
"""


def documents(text: str, *stated: dict[str, Any]) -> Wall:
    for number, figures in enumerate(stated):
        text += f'\n[[stated]]\ndocument = "Q{number}"\n'
        for key, value in figures.items():
            text += f'{key} = "{value}"\n' if isinstance(value, str) else f"{key} = {value}\n"
    return parse_wall(text)


def found(wall: Wall, severity: str) -> list[Finding]:
    return [f for f in review(wall).findings if f.severity == severity]


def points(*loads: tuple[float, float]) -> str:
    text = SMALL
    for number, (rated, predicted) in enumerate(loads):
        text += f'\n[[suspension_points]]\nname = "H{number}"\nx_mm = {number}\n'
        text += f"rated_kn = {rated}\npredicted_kn = {predicted}\n"
    return text


def test_the_demo_has_exactly_one_contradiction_and_no_overload(demo_wall: Wall) -> None:
    (only,) = found(demo_wall, "contradiction")
    assert only.subject == "Quotation 2"
    assert found(demo_wall, "overload") == []
    assert [f.text for f in found(demo_wall, "note") if f.subject == "pitch"] == [
        "The documents differ on the pitch: Tender B 2.5 mm, Quotation 2 2.6 mm."
    ]


def test_a_review_is_plain_json(demo_wall: Wall) -> None:
    told = json.loads(json.dumps(jsonable(review(demo_wall)), allow_nan=False))
    assert told["width_px"] == 2400
    assert told["findings"][0]["severity"] == "contradiction"


@pytest.mark.parametrize(
    ("text", "stated"),
    [
        # Spaced cabinets: 0 to 500 and 700 to 1200 mm, 384 px.
        (placed(700, 192), {"width_mm": 1200, "width_px": 384, "pitch_mm": "2.6"}),
        (GAPPED, {"width_mm": 1500, "width_px": 576, "pitch_mm": "2.604"}),
        (SMALL, {"aspect": "1.5:1"}),
        (changed("rows = 2", "rows = 1"), {"aspect": "3.0:1"}),
    ],
)
def test_what_a_wall_with_gaps_measures_is_no_contradiction(
    text: str, stated: dict[str, Any]
) -> None:
    assert found(documents(text, stated), "contradiction") == []


@pytest.mark.parametrize(
    ("text", "stated", "said"),
    [
        (placed(700, 192), {"width_mm": 1000}, "a width of 1000 mm; the cabinets give 1200 mm"),
        (placed(700, 192), {"pitch_mm": "5.0"}, "a pitch of 5.0 mm; the cabinets have 2.604 mm"),
        (
            GAPPED,
            {"width_mm": 1500, "pitch_mm": "5.0"},
            "5.0 mm is neither 2.6042 mm rounded nor cut",
        ),
        (SMALL, {"aspect": "1.8:1"}, "an aspect ratio of 1.8:1"),
        (SMALL, {"aspect": "2:1"}, "an aspect ratio of 2:1"),
    ],
)
def test_what_it_does_not_measure_is_one(text: str, stated: dict[str, Any], said: str) -> None:
    (only,) = found(documents(text, stated), "contradiction")
    assert said in only.text


def test_a_wall_of_two_pitches_allows_either_and_no_third() -> None:
    """500 mm over 192 px is 2.604 mm, over 128 px 3.906 mm."""
    text = placed(500, 192).replace("[processor]", NARROW + "[processor]")
    text = text.replace('position = "R1C2"\ntype = "A"', 'position = "R1C2"\ntype = "B"')
    for pitch in ("2.6", "3.9"):
        assert found(documents(text, {"pitch_mm": pitch}), "contradiction") == []
    (only,) = found(documents(text, {"pitch_mm": "3.2"}), "contradiction")
    assert "the cabinets have 2.604 mm, 3.906 mm" in only.text


@pytest.mark.parametrize(
    ("one", "other", "differ"),
    [
        ({"pitch_mm": "2.6"}, {"pitch_mm": "2.604"}, None),
        ({"aspect": "3:2"}, {"aspect": "1.5:1"}, None),
        ({"width_mm": 1500}, {"height_mm": 1000}, None),
        ({"pitch_mm": "2.6"}, {"pitch_mm": "2.9"}, "pitch: Q0 2.6 mm, Q1 2.9 mm."),
        ({"width_px": 576}, {"width_px": 600}, "width: Q0 576 px, Q1 600 px."),
        ({"aspect": "3:2"}, {"aspect": "16:9"}, "aspect ratio: Q0 3:2, Q1 16:9."),
    ],
)
def test_documents_that_differ_are_named(
    one: dict[str, Any], other: dict[str, Any], differ: str | None
) -> None:
    notes = [f.text for f in found(documents(SMALL, one, other), "note") if f.source == "documents"]
    assert notes == ([] if differ is None else [f"The documents differ on the {differ}"])


@pytest.mark.parametrize(
    ("mounting", "said"),
    [("flown", "are flown"), ("stacked", "tipping"), ("wall-mounted", "fixings")],
)
def test_what_carries_the_wall_is_left_to_the_competent_person(mounting: str, said: str) -> None:
    wall = parse_wall(changed('mounting = "stacked"', f'mounting = "{mounting}"'))
    (note,) = [f for f in found(wall, "note") if f.subject == "suspension"]
    assert note.text.startswith("48 kg of cabinets")
    assert said in note.text
    assert "competent person" in note.source


def test_a_point_over_its_rating_is_an_overload() -> None:
    (only,) = found(parse_wall(points((5, 0.3), (0.25, 0.3))), "overload")
    assert only.subject == "H1"
    assert "0.3 kN is over its rated 0.25 kN" in only.text


def test_predicted_loads_below_the_weight_cannot_be_true() -> None:
    """48 kg at 9.80665 m/s² (3rd CGPM, 1901) weigh 0.4707 kN."""
    (only,) = found(parse_wall(points((5, 0.2), (5, 0.27))), "contradiction")
    assert "add up to 0.470 kN; the cabinets alone weigh 0.471 kN" in only.text
    assert found(parse_wall(points((5, 0.2), (5, 0.271))), "contradiction") == []
