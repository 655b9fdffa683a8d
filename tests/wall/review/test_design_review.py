"""What follows from a wall file, and what cannot be true at once."""

from __future__ import annotations

from typing import Any

import pytest

from commission_tui.errors import CommissionError, InputError
from commission_tui.wall.draft.wall_draft import PlainGrid, new_wall_text
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.design_review import review

PLAN = PlainGrid(
    name="N",
    site="S",
    mounting="flown",
    columns=14,
    rows=8,
    cabinet_mm=(500.0, 500.0),
    cabinet_px=(192, 192),
    modules=(2, 2),
    weight_kg=8.0,
    power_max_w=170.0,
    power_factor=0.95,
    ports=8,
    pixels_per_port=652_800,
    load_rule="sum",
    frame_rate_hz=60.0,
    voltage_v=230.0,
    breaker_a=16.0,
)


def plan(**changes: Any) -> PlainGrid:
    return PlainGrid(**({name: getattr(PLAN, name) for name in PLAN.__slots__} | changes))


def texts(wall: Wall, severity: str) -> list[str]:
    return [f.text for f in review(wall).findings if f.severity == severity]


def with_stated(**stated: Any) -> Wall:
    lines = [f'{k} = "{v}"' if isinstance(v, str) else f"{k} = {v}" for k, v in stated.items()]
    return parse_wall(new_wall_text(PLAN) + '[[stated]]\ndocument = "Quote"\n' + "\n".join(lines))


def test_the_demo_has_one_contradiction_and_names_the_pitch(demo_wall: Wall) -> None:
    (text,) = texts(demo_wall, "contradiction")
    assert "Quotation 2" in text
    assert "the pitch cannot be true" in text
    assert "2.6 mm x 2400 px is 6240 mm, stated is 6000 mm" in text
    assert not texts(demo_wall, "overload")


def test_the_worked_wall_of_the_trade_brief() -> None:
    """Figures of the 14 x 8 wall worked by hand: 7000 x 4000 mm, 2688 x 1536 px, 19.0 kW.

    Heat: 1 W = 3.41214 BTU/h (pint), so 19,040 W = 64,967 BTU/h.
    """
    pint = pytest.importorskip("pint")
    found = review(parse_wall(new_wall_text(PLAN)))
    assert (found.width_mm, found.height_mm) == (7000, 4000)
    assert (found.width_px, found.height_px, found.lit_pixels) == (2688, 1536, 4_128_768)
    assert found.power_max_w == 19_040
    watts = pint.get_application_registry().Quantity(19_040, "watt")
    assert found.heat_btu_h == pytest.approx(watts.to("Btu_it/hour").magnitude, rel=1e-6)
    assert found.aspect == "1.75:1"
    assert len(found.circuits) == 9  # 12 or 13 cabinets each, as the brief advises


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        # 7000 / 2.6 = 2692.3: a resolution worked back from the printed pitch.
        (
            {"width_mm": 7000, "pitch_mm": "2.6", "width_px": 2692},
            ["the pixels cannot be true", "14 cabinets: 7000 mm, 2688 px", "worked back"],
        ),
        ({"aspect": "16:9"}, ["aspect ratio of 16:9", "is 1.75:1"]),
        ({"width_px": 2700, "height_px": 1536}, ["not a multiple of 192", "14 x 8 cabinets"]),
        ({"width_mm": 7500, "width_px": 2880}, ["a width of 15 cabinets", "the wall file has 14"]),
        ({"weight_kg": 1000}, ["states 1000 kg; the cabinets weigh 896 kg"]),
        ({"pitch_mm": "2.8"}, ["the pitch cannot be true"]),
    ],
)
def test_a_contradiction_is_told_with_the_odd_one_out(
    stated: dict[str, Any], said: list[str]
) -> None:
    (text,) = texts(with_stated(**stated), "contradiction")
    for part in said:
        assert part in text


@pytest.mark.parametrize(
    "stated",
    [
        {"width_mm": 7000, "height_mm": 4000, "width_px": 2688, "height_px": 1536},
        {"pitch_mm": "2.6", "width_mm": 7000, "width_px": 2688},  # 2.604 rounded
        {"pitch_mm": "2.60"},
        {"aspect": "7:4"},
        {"aspect": "1.75:1"},
        {"width_mm": 7010},  # 1 mm a joint is how walls are built
    ],
)
def test_what_can_be_true_is_left_alone(stated: dict[str, Any]) -> None:
    assert not texts(with_stated(**stated), "contradiction")


def test_a_nearest_seat_behind_the_farthest_is_a_contradiction() -> None:
    def said(nearest: float, farthest: float) -> list[str]:
        targets = f"[targets]\nnearest_m = {nearest}\nfarthest_m = {farthest}\n"
        return texts(parse_wall(new_wall_text(PLAN) + targets), "contradiction")

    assert said(30, 5) == ["The nearest seat, 30 m away, is behind the farthest, 5 m away."]
    assert not said(5, 5)


def test_a_house_level_above_the_highest_is_warned_of() -> None:
    def said(white: float, house: float) -> list[str]:
        targets = f"[targets]\nluminance_cd_m2 = {white}\nhouse_level_cd_m2 = {house}\n"
        found = texts(parse_wall(new_wall_text(PLAN) + targets), "warning")
        return [text for text in found if "house level" in text]

    assert said(1, 600) == [
        "The house level, 600 cd/m2, is above the luminance of white at the highest level, 1 cd/m2: "
        "ask which of them is meant otherwise."
    ]
    assert not said(600, 600)


def test_a_port_over_its_load_is_told_by_both_counts() -> None:
    """17 cabinets: 626,688 px by sum (96 %); two columns and one more: 884,736 px, 136 %."""
    text = new_wall_text(plan(columns=3, rows=8, ports=8))
    head = text.partition("[[chains]]")[0]
    cells = [f'"R{r}C{c}"' for c in (1, 2) for r in range(1, 9)] + ['"R1C3"']
    chain = f"[[chains]]\nport = 1\norder = [{', '.join(cells)}]\n"
    summed = review(parse_wall(head + chain))
    assert summed.ports[0].share("sum") == pytest.approx(0.96)
    assert summed.ports[0].share("rectangle") == pytest.approx(1.3553, abs=1e-4)
    assert [f.severity for f in summed.findings if f.subject == "port 1"] == ["warning"]
    boxed = review(parse_wall(head.replace('"sum"', '"rectangle"') + chain))
    assert [f.severity for f in boxed.findings if f.subject == "port 1"] == ["overload"]


def test_a_circuit_over_80_percent_is_an_overload() -> None:
    """17 cabinets of 170 W at 0.95 on 230 V draw 13.2 A, more than 12.8 A (80 % of 16 A)."""
    text = new_wall_text(plan(columns=17, rows=1))
    head = text.partition("[[circuits]]")[0]
    circuit = (
        '[[circuits]]\nname = "C5"\nphase = "L1"\nvoltage_v = 230\nbreaker_a = 16\n'
        'residual_ma = 30\ncabinets = ["R1C1:R1C17"]\n'
    )
    leaky = head.replace("power_factor", "leakage_ma = 0.75\npower_factor")
    (overload,) = texts(parse_wall(leaky + circuit), "overload")
    assert "Circuit C5 draws 13.2 A on full white (17 cabinets)" in overload
    assert "12.8 A" in overload
    assert any("12.8 mA is over 9.0 mA" in t for t in texts(parse_wall(leaky + circuit), "warning"))


@pytest.mark.parametrize(
    ("region", "overload", "leakage"),
    [
        (None, "common practice", "common practice"),
        ("GB", "common practice", "BS 7671"),
        ("US", "NEC 2020", "common practice"),
        ("US-CA", "NEC 2020", "common practice"),
    ],
)
def test_a_national_code_is_quoted_only_where_the_wall_stands(
    region: str | None, overload: str, leakage: str
) -> None:
    text = new_wall_text(plan(columns=17, rows=1, region=region))
    head = text.partition("[[circuits]]")[0].replace(
        "power_factor", "leakage_ma = 0.75\npower_factor"
    )
    circuit = (
        '[[circuits]]\nname = "C5"\nphase = "L1"\nvoltage_v = 230\nbreaker_a = 16\n'
        'residual_ma = 30\ncabinets = ["R1C1:R1C17"]\n'
    )
    found = [f for f in review(parse_wall(head + circuit)).findings if f.subject == "C5"]
    sources = [f.source for f in found if "draws" in f.text or "leakage" in f.text]
    assert [
        source.startswith(said) for source, said in zip(sources, (overload, leakage), strict=True)
    ] == [
        True,
        True,
    ], sources


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"columns": 0}, "grid: found 0 x 8"),
        ({"ports": 2}, "ports: found 2, expected at least 7"),
        ({"breaker_a": 0.5}, "too small for one cabinet"),
        ({"pixels_per_port": 100}, "pixels per port: found 100, expected at least"),
        ({"power_max_w": float("nan")}, "nan"),
        ({"cabinet_mm": (-500.0, 500.0)}, "-500"),
        ({"name": "a\x1b[31mb"}, "wall.name"),
        ({"name": ""}, "wall.name"),
        ({"name": "a\x7fb"}, "wall.name"),
        ({"name": "a\udc80b"}, "wall.name"),
        ({"site": "x" * 81}, "wall.site"),
        ({"mounting": "hung"}, "wall.mounting"),
        ({"weight_kg": float("inf")}, "inf"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(changes: dict[str, Any], said: str) -> None:
    with pytest.raises(CommissionError, match=said.replace("[", r"\[")) as caught:
        new_wall_text(plan(**changes))
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("name", ['a "b" \\ c', "Ünïcode 漢字", "[red]", "#{x}", "a' = 1"])
def test_a_name_is_written_as_it_was_said(name: str) -> None:
    assert parse_wall(new_wall_text(plan(name=name))).name == name


def test_what_wall_new_writes_has_no_overload() -> None:
    for changes in ({}, {"load_rule": "rectangle", "ports": 20}, {"columns": 1, "rows": 1}):
        wall = parse_wall(new_wall_text(plan(**changes)))
        assert not texts(wall, "overload")
        assert all(wall.chain_place(cell) and wall.circuit_of(cell) for cell in wall.cabinets)


def test_more_ports_than_the_processor_has_is_an_input_error() -> None:
    with pytest.raises(InputError):
        new_wall_text(plan(ports=1))


def test_what_the_nearest_and_the_farthest_seat_see(demo_wall: Wall) -> None:
    # 3437.75 x 2.5 mm / 4000 mm = 2.15 arcmin; 16 arcmin at 24 m is 111.7 mm, 44.7 px of 2.5 mm.
    assert review(demo_wall).viewing == (
        "nearest seat 4 m: one pixel is 2.15 arcmin",
        "farthest seat 24 m: capitals of at least 45 px (16 arcmin)",
    )


def test_third_harmonics_in_the_neutral_are_warned_of_with_their_source() -> None:
    """By hand: of 33 % in 20 A true rms on each phase, 3 x 0.33 x 20 / sqrt(1 + 0.33^2) = 18.8 A.

    That third harmonics of three phases add up, and the bound of 33 %: IEC 60364-5-52:2009, annex E.
    """
    found = review(parse_wall(new_wall_text(plan(columns=9, rows=6))))
    amps = found.phase_currents_a.values()
    assert max(amps) == pytest.approx(min(amps)), "so that fundamentals leave nothing"
    carried = sum(amps) * 0.33 / (1 + 0.33**2) ** 0.5
    (warned,) = [one for one in found.findings if one.subject == "neutral"]
    assert warned.severity == "warning"
    assert warned.source.startswith("IEC 60364-5-52:2009 annex E")
    assert f"it carries {carried:.1f} A" in warned.text
    assert "neutral 0.0 A without harmonics" in "\n".join(found.lines())


def test_a_camera_that_beats_with_the_wall_is_named_with_the_beat(
    demo_wall: Wall, demo_wall_text: str
) -> None:
    found = [f for f in review(demo_wall).findings if f.subject == "Camera 1, balcony"]
    assert [f.severity for f in found] == ["warning"]
    assert "takes 50 frames a second of a wall that shows 60: they beat 10 times" in found[0].text
    slower = parse_wall(
        demo_wall_text.replace("frame_rate_hz = 60\nrefresh", "frame_rate_hz = 50\nrefresh")
    )
    assert not [f for f in review(slower).findings if f.subject == "Camera 1, balcony"]


def test_a_wall_at_the_rate_of_no_input_is_named(demo_wall: Wall, demo_wall_text: str) -> None:
    assert not [f for f in review(demo_wall).findings if f.subject == "frame rate"]
    text = demo_wall_text.replace("frame_rate_hz = 60\nrefresh", "frame_rate_hz = 59.94\nrefresh")
    (found,) = [f for f in review(parse_wall(text)).findings if f.subject == "frame rate"]
    assert found.severity == "warning"
    assert "shows 59.94 frames a second and no input has that rate (60, 50" in found.text
    text = demo_wall_text.replace("frame_rate_hz = 60\nrefresh", "refresh")
    (found,) = [f for f in review(parse_wall(text)).findings if f.subject == "frame rate"]
    assert (found.severity, "states no frame rate" in found.text) == ("note", True)


def test_a_canvas_that_no_input_covers_is_named(demo_wall: Wall, demo_wall_text: str) -> None:
    """A wall of 1792 pixels across under a laptop's 1536 had 'no contradiction' and no warning."""
    assert not [f for f in review(demo_wall).findings if f.subject == "inputs"], (
        "one of two covers it"
    )
    text = demo_wall_text.replace(
        "width_px = 2400\nheight_px = 1200\nframe", "width_px = 2399\nheight_px = 1200\nframe"
    )
    (found,) = [f for f in review(parse_wall(text)).findings if f.subject == "inputs"]
    assert found.severity == "warning"
    assert found.text.startswith(
        "No input covers the canvas of 2400 x 1200 px (Stage laptop 2399 x 1200 px, Camera mixer"
    )


@pytest.mark.parametrize("x_mm", ["-300", "20830"])
def test_a_point_beside_the_wall_is_asked_about(
    demo_wall: Wall, demo_wall_text: str, x_mm: str
) -> None:
    asked = "ask whether that is meant"
    assert not [f for f in review(demo_wall).findings if asked in f.text]
    wall = parse_wall(demo_wall_text.replace("x_mm = 2083", f"x_mm = {x_mm}"))
    (found,) = [f for f in review(wall).findings if asked in f.text]
    assert f"is {x_mm} mm from the left edge of a wall that is 6000 mm wide" in found.text


def test_a_shutter_longer_than_the_frame_is_named(demo_wall_text: str) -> None:
    wall = parse_wall(demo_wall_text.replace("shutter_s = 0.02", 'shutter_s = "1/25"'))
    said = [f.text for f in review(wall).findings if f.subject == "Camera 1, balcony"]
    assert any("a shutter of 1/25 s is longer than its frame of 1/50 s" in text for text in said)
