"""Every computation from the command line; the named ones keep their options and their keys."""

from __future__ import annotations

import inspect
import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from commission_tui.cli import run
from commission_tui.cli.design.calc import public_functions, subjects
from tests.paths import ROOT


@pytest.fixture
def calc(capsys: pytest.CaptureFixture[str]) -> Any:
    def call(*words: object) -> Any:
        assert run(["calc", *(str(word) for word in words), "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return call


@pytest.mark.outside
def test_timing_is_that_of_the_published_program(calc: Any) -> None:
    """``cvt -r 2400 1200 60`` (Debian xcvt) prints 189.50 MHz, totals 2560 and 1235."""
    try:
        done = subprocess.run(["cvt", "-r", "2400", "1200", "60"], capture_output=True, text=True)
    except FileNotFoundError:
        pytest.skip("cvt is not installed")
    line = next(text for text in done.stdout.splitlines() if text.startswith("Modeline"))
    words = line.split()
    found = calc("timing", "--width", 2400, "--height", 1200, "--rate", 60, "--blanking", "rb1")
    assert found["pixel_clock_mhz"] == float(words[2])
    assert (found["h_total"], found["v_total"]) == (int(words[6]), int(words[10]))
    assert found["refresh_hz"] == pytest.approx(189.5e6 / (2560 * 1235))
    assert found["cheapest_link"]


def test_white_of_d65(calc: Any) -> None:
    # colour-science 0.4.7: Ohno 2013 6504.3 K, Duv +0.00321; u', v' from CIE 15.
    found = calc("white", "--x", 0.3127, "--y", 0.3290)
    assert found["cct_k"] == pytest.approx(6504.3, abs=1)
    assert found["duv"] == pytest.approx(0.00321, abs=1e-5)
    assert (found["u_prime"], found["v_prime"]) == pytest.approx((0.19783, 0.46832), abs=5e-6)


def test_neutral_of_three_phases(calc: Any) -> None:
    # Phasor sum of 20, 15 and 10 A: 8.660 A.
    assert calc("neutral", "--amps", "20,15,10")["neutral_a"] == pytest.approx(8.6603, abs=1e-4)


def test_beam_of_two_equal_spans(calc: Any) -> None:
    # Handbook: 0.375, 1.25, 0.375 of w L.
    found = calc("beam", "--spans-m", "3,3", "--load-kn-per-m", 1.2)
    assert found["reactions_kn"] == pytest.approx([0.375 * 3.6, 1.25 * 3.6, 0.375 * 3.6])
    assert "competent person" in found["caution"]


def test_shutter_and_text(calc: Any) -> None:
    found = calc("shutter", "--refresh-hz", 3840, "--rate", 50)
    assert found["refreshes"] == pytest.approx(76.8)
    assert all((s * 3840) == pytest.approx(round(s * 3840)) for s in found["clean_shutters_s"])
    turned = calc("shutter", "--refresh-hz", 3840, "--rate", 25, "--shutter", "180°")
    assert turned["shutter_s"] == pytest.approx(1 / 50)
    still = calc("shutter", "--refresh-hz", 480, "--rate", 50, "--shutter", "1/60", "--global")
    assert still["flicker_contrast"] == pytest.approx(0.0, abs=1e-9)
    # 16 arcmin at 25 m is 116.4 mm, 46.5 px of 2.5 mm: 47 px.
    assert calc("text", "--distance-m", 25, "--pitch-mm", 2.5)["text_px"] == 47


def test_lists_mappings_rectangles_and_timings_are_read(calc: Any) -> None:
    loads = calc("data-link", "load-rectangle", "--rectangles", "0,0,192,192;192,192,192,192")
    assert loads == {"load_rectangle": 384 * 384}
    steps = calc("uniformity", "neighbour-steps", "--values-by-cell", "R1C1=200,R1C2=210")
    assert steps["neighbour_steps"][0]["difference"] == pytest.approx(10 / 205)
    words = ("--name", "Hall", "--year", 2026, "--timing", "2400x1200@60,rb1")
    block = calc("displayid", "write-displayid", *words)["write_displayid"]
    read = calc("displayid", "read-displayid", "--block", block)
    assert read["timings"][0]["width_px"] == 2400
    factor = calc("repeatability", "coverage-factor", "--degrees-of-freedom", "10")
    assert factor == {"coverage_factor": pytest.approx(2.28, abs=0.005)}


def test_every_module_of_engineering_is_a_subject_but_what_they_stand_on() -> None:
    files = (ROOT / "commission_tui" / "engineering").glob("*/*.py")
    public = {path.stem for path in files if not path.stem.startswith("_")}
    assert public - subjects().keys() == {"bounds", "error_parts", "monte_carlo", "rounding"}


def test_help_shows_what_is_taken_for_an_option_that_is_left_out(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def shown(*words: str) -> str:
        assert run(["calc", *words, "--help"]) == 0
        return " ".join(capsys.readouterr().out.split())

    assert "at most 1. Default: 0.8." in shown("circuits", "cabinets-per-circuit")
    neutral = shown("phases", "neutral-current-a")
    assert "Default: 0,0,0." in neutral
    assert "Default: no." in neutral
    assert "Default" not in shown("link-budget", "advise-link").partition("--links")[2]
    assert "Default" not in shown("uncertainty", "decide")


def test_every_function_of_every_subject_has_a_command(capsys: pytest.CaptureFixture[str]) -> None:
    reached = 0
    for subject in subjects():
        functions = public_functions(subject)
        assert functions, subject
        for name, function in functions.items():
            words = ["calc", subject.replace("_", "-"), name.replace("_", "-"), "--help"]
            assert run(words) == 0
            shown = capsys.readouterr().out
            for parameter in inspect.signature(function).parameters:
                assert f"--{parameter.replace('_', '-')}" in shown
            reached += 1
    assert reached > 100


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["geometry", "pitch-mm", "--size-mm", "-1", "--pixels", "3"], "size_mm is -1 mm"),
        (["geometry", "pitch-mm", "--size-mm", "nan", "--pixels", "3"], "--size-mm: found 'nan'"),
        (["geometry", "pitch-mm", "--size-mm", "wide", "--pixels", "3"], "--size-mm: found 'wide'"),
        (["geometry", "pitch-mm", "--size-mm", "500"], "Missing option '--pixels'"),
        (["neutral", "--amps", "20,15"], "amps"),
        (["neutral", "--amps", "a,b,c"], "expected numbers"),
        (["beam", "--spans-m", "-3", "--load-kn-per-m", "1"], "spans_m"),
        (["beam", "--spans-m", "3", "--load-kn-per-m", "1", "--overhang-m", "1"], "expected two"),
        (["white", "--x", "0.9", "--y", "0.9"], "expected"),
        (["shutter", "--refresh-hz", "3840", "--rate", "0"], "rate"),
        (
            ["shutter", "--refresh-hz", "9", "--rate", "50", "--shutter", "1/25"],
            "--shutter is 0.04 s, expected <= 0.02 s",
        ),
        (["shutter", "--refresh-hz", "9", "--rate", "50", "--shutter", "wide"], "not a value"),
        (["timing", "--width", "-5", "--height", "5", "--rate", "60"], "width_px"),
        (["uniformity", "uniformity", "--values", "1,2", "--definition", "x"], "min/max"),
        (
            ["displayid", "write-displayid", "--timing", "wide", "--name", "x", "--year", "2026"],
            "--timing: found 'wide'",
        ),
        (["edid-reading", "read-edid", "--data", "zz"], "--data: found 'zz'"),
        (["nonsense"], "No such command"),
    ],
)
def test_what_has_no_meaning_is_one_line_and_exit_status_2(
    capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert run(["calc", *words]) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert len(captured.err.splitlines()) == 1
    assert captured.out == ""


@pytest.mark.outside
def test_the_edid_of_an_input_conforms(tmp_path: Path, demo_wall_text: str) -> None:
    """Read back by edid-decode (Debian), which knows nothing of this program."""
    wall_file, block = tmp_path / "hall.toml", tmp_path / "edid.bin"
    wall_file.write_text(demo_wall_text, encoding="utf-8")
    assert run(["edid", str(wall_file), "Stage laptop", "-o", str(block)]) == 0
    try:
        done = subprocess.run(["edid-decode", "--check", block], capture_output=True, text=True)
    except FileNotFoundError:
        pytest.skip("edid-decode is not installed")
    assert "EDID conformity: PASS" in done.stdout
    assert "2400x1200" in done.stdout


def test_an_input_that_is_not_there_is_named(
    tmp_path: Path, demo_wall_text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    wall_file = tmp_path / "hall.toml"
    wall_file.write_text(demo_wall_text, encoding="utf-8")
    assert run(["edid", str(wall_file), "Nobody", "-o", str(tmp_path / "x.bin")]) == 2
    assert "expected one of Stage laptop, Camera mixer" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("units convert --value 65 --from-unit fc --to-unit lx", "convert: 699.654 lx"),
        ("quantity-text parse-quantity --text 65fc --unit lx", "parse_quantity: 699.654 lx"),
        ("humidity dew-point-c --air-c 20 --humidity-percent 50", "dew_point_c: 9.26111 °C"),
        ("exposure stops --ratio 4", "stops: 2 stop"),
        ("spares spares-for --expected 3", "spares_for: 6"),
        ("camera refreshes-per-exposure --shutter-s 1/50 --refresh-hz 3840", ": 76.8"),
        ("noise source-alone-db --on-db 50 --off-db 45", "level_db: 48.3491"),
        ("frame-cadence slip-period-s --one-hz 50 --other-hz 59.94", "slip_period_s: 0.100604 s"),
        ("ageing hours-to-share --rate-per-h 1e-5", "hours_to_share: 35667.5 h"),
        ("fibre fibre-loss-db --length-km 1 --fibre-db-km 3 --mated-pairs 2 --splices 0", "4.5 dB"),
        ("rasters fit-raster --source-px 1920,1080 --canvas-px 2400,1200", "shown_width_px: 2133"),
    ],
)
def test_a_number_is_printed_with_its_unit(
    capsys: pytest.CaptureFixture[str], words: str, said: str
) -> None:
    assert run(["calc", *words.split()]) == 0
    assert said in capsys.readouterr().out


def test_a_converted_value_names_its_unit_in_json_too(calc: Any) -> None:
    found = calc("units", "convert", "--value", 1, "--from-unit", "h", "--to-unit", "min")
    assert found == {"convert": 60.0, "unit": "min"}
