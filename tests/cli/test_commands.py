"""The command line, used as a script would: data on stdout, one line on stderr, exit statuses."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
from commission_tui.cli import run
from tests.cli.helping import Cli, as_json, with_meter


def test_a_job_is_made_listed_and_shown(cli: Cli, opened: str) -> None:
    jobs = as_json(cli("job", "list", "--json"))
    assert [(j["id"], j["name"]) for j in jobs] == [(opened, "Hall")]
    every = list(parse_checklist(shipped_files()))
    later = [check for check in every if "revisit" in check.applies]
    assert jobs[0]["done"] == 0
    assert jobs[0]["checks"] <= len(every) - len(later)  # these apply once a later visit begins
    shown = as_json(cli("job", "show", "Hall", "--json"))
    assert shown["wall"] == "Main auditorium"
    assert shown["checks"] == jobs[0]["checks"] > 15
    assert "handover: draft" in cli("job", "show", "Hall")[1]


def test_nine_readings_make_a_verdict(cli: Cli, opened: str) -> None:
    with_meter(cli)
    for n in range(1, 10):
        logged = as_json(
            cli(
                "log",
                "reading",
                "Hall",
                "brightness",
                "luminance_cd_m2",
                f"point {n}",
                600 + n,
                "--json",
            )
        )
        assert logged["verdict"] == ("pass" if n == 9 else "open")
    (judged,) = as_json(cli("evaluate", "Hall", "--check", "brightness", "--json"))
    mean = next(f for f in judged["figures"] if f["unit"] == "cd/m2")
    assert mean["value"] == pytest.approx(605)
    assert mean["limit"]["low"] == pytest.approx(540)


def test_a_failed_check_is_exit_status_1(cli: Cli, opened: str) -> None:
    with_meter(cli)
    for n in range(1, 10):
        cli("log", "reading", "Hall", "brightness", "luminance_cd_m2", f"point {n}", 100 * n)
    status, out, _ = cli("evaluate", "Hall", "--check", "brightness")
    assert status == 1
    assert out.startswith("FAIL")


def test_units_are_taken_as_typed(cli: Cli, opened: str) -> None:
    with_meter(cli)
    cli("log", "reading", "Hall", "brightness", "luminance_cd_m2", "point 1", "175 fL")
    (judged,) = as_json(cli("evaluate", "Hall", "--check", "brightness", "--json"))
    mean = next(f for f in judged["figures"] if f["unit"] == "cd/m2")
    assert mean["value"] == pytest.approx(175 * 3.42626, rel=1e-4)  # 1 fL = 3.42626 cd/m2


def test_an_odd_value_wants_a_confirmation(cli: Cli, opened: str) -> None:
    with_meter(cli)
    words = ("log", "reading", "Hall", "brightness", "luminance_cd_m2", "point 1", "60000")
    status, _, err = cli(*words)
    assert status == 2
    assert "add --confirm" in err
    assert cli(*words, "--confirm")[0] == 0


def test_a_reading_over_one_that_stands_wants_replace_or_again(cli: Cli, opened: str) -> None:
    with_meter(cli)
    words = ("log", "reading", "Hall", "brightness", "luminance_cd_m2", "point 1")
    assert cli(*words, "600")[0] == 0
    status, out, err = cli(*words, "610")
    assert (status, out) == (2, "")
    assert err.strip().endswith(
        "at point 1: 600 cd/m² is logged there; say --replace, with --reason, or --again"
    )
    assert len(err.strip().splitlines()) == 1
    assert cli(*words, "610", "--replace", "--again")[0] == 2
    assert cli(*words, "610", "--replace", "--reason", "the exit light was on")[0] == 0
    assert _mean(cli) == 610
    assert cli(*words, "630", "--again")[0] == 0
    assert _mean(cli) == 620


def test_a_reading_that_replaces_takes_the_place_of_all_repeats(cli: Cli, opened: str) -> None:
    with_meter(cli)
    words = ("log", "reading", "Hall", "brightness", "luminance_cd_m2", "point 1")
    for value, *more in (("860",), ("770", "--again"), ("780", "--again")):
        assert cli(*words, value, *more, "--confirm")[0] == 0
    status, out, _ = cli(*words, "700", "--replace", "--reason", "the lens cap was on", "--confirm")
    assert status == 0
    assert "in the place of 860 cd/m², 770 cd/m², 780 cd/m², which are kept" in out
    assert _mean(cli) == 700
    assert cli("log", "undo", "Hall")[0] == 0
    assert _mean(cli) == pytest.approx((860 + 770 + 780) / 3)


def _mean(cli: Cli) -> float:
    (judged,) = as_json(cli("evaluate", "Hall", "--check", "brightness", "--json"))
    found = next(f for f in judged["figures"] if f["unit"] == "cd/m2")["value"]
    assert isinstance(found, float)
    return found


def test_a_fault_goes_its_way(cli: Cli, opened: str) -> None:
    found = as_json(cli("log", "fault", "Hall", "pixel dark", "x1211 y402", "--json"))
    assert found["severity"] == "shows"  # one step up: the middle half of the picture
    assert "R3C7 x11 y2, m1,1, canvas x1211 y402, P4.6" in found["where"]
    assert cli("log", "verified", "Hall", 1)[0] == 2
    assert cli("log", "mended", "Hall", 1, "--note", "module changed")[1] == "fault 1: mended\n"
    assert cli("log", "verified", "Hall", 1)[1] == "fault 1: verified\n"
    assert as_json(cli("job", "show", "Hall", "--json"))["faults"][0]["state"] == "verified"


def test_a_danger_is_answered_with_a_caution(cli: Cli, opened: str) -> None:
    _, _, err = cli("log", "fault", "Hall", "lock or bolt not home", "R1C1")
    assert "competent person" in err


def test_a_slip_is_withdrawn_or_put_right(cli: Cli, opened: str) -> None:
    with_meter(cli)
    logged = as_json(
        cli(
            "log",
            "reading",
            "Hall",
            "brightness",
            "luminance_cd_m2",
            "point 1",
            6000,
            "--confirm",
            "--json",
        )
    )
    assert cli("log", "correct", "Hall", logged["entry"], "600")[0] == 0
    (judged,) = as_json(cli("evaluate", "Hall", "--check", "brightness", "--json"))
    assert next(f for f in judged["figures"] if f["unit"] == "cd/m2")["value"] == 600
    reasons = []
    for _ in range(2):
        assert cli("log", "undo", "Hall")[0] == 0
        (judged,) = as_json(cli("evaluate", "Hall", "--check", "brightness", "--json"))
        reasons.append(judged["reason"])
    assert "Mean 6000 cd/m²" in reasons[0]
    assert reasons[1] == "nothing recorded yet"


def test_a_table_with_a_bad_row_is_left_or_taken_without_it(
    cli: Cli, opened: str, tmp_path: Path
) -> None:
    with_meter(cli)
    table = tmp_path / "meter.csv"
    table.write_text("place,value,unit\nR1C1,200,cd/m2\nR1C2,nan,cd/m2\n", encoding="utf-8")
    words = (
        *("log", "import", "Hall", table, "--check", "cabinet-luminance"),
        *("--field", "luminance_cd_m2", "--json"),
    )
    status, out, err = cli(*words)
    assert (status, out) == (2, "")
    assert "line 3" in err
    assert "nothing was taken" in err
    assert as_json(cli("job", "show", "Hall", "--json"))["entries"] == 4
    taken = as_json(cli(*words, "--skip-bad"))
    assert taken["taken"] == 1
    assert len(taken["left_out"]) == 1


def test_export_writes_what_it_says(cli: Cli, opened: str, tmp_path: Path) -> None:
    words = [word for name in ("pdf", "json", "csv", "html") for word in ("--format", name)]
    written = as_json(cli("export", "Hall", *words, "-o", tmp_path / "out", "--json"))
    for path in written["files"]:
        assert Path(path).stat().st_size > 0
    assert {Path(path).suffix for path in written["files"]} == {".pdf", ".json", ".csv", ".html"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("job", "show", "nowhere"), "found no job named 'nowhere'"),
        (
            ("job", "new", "missing.toml", "--name", "x", "--client", "x", "--integrator", "x"),
            "cannot",
        ),
        (("log", "reading", "Hall", "brigthness", "x", "wall", "1"), "did you mean 'brightness'"),
        (
            ("log", "reading", "Hall", "brightness", "luminance_cd_m2", "point 1", "bright"),
            "bright",
        ),
        (
            ("log", "reading", "Hall", "brightness", "luminance_cd_m2", "point 1", "600"),
            "no instrument",
        ),
        (("log", "fault", "Hall", "pixel dark", "R99C1 x1 y1"), "expected a cabinet of this wall"),
        (("log", "fault", "Hall", "pixel dark", "\x1b[31mR1C1"), "location: found"),
        (("log", "note", "Hall", "\x1b]0;title\x07"), "cannot be printed"),
        (("log", "mended", "Hall", "9"), "fault: found 9"),
        (("log", "photo", "Hall", "missing.jpg"), "cannot be read"),
        (("log", "file", "Hall", "missing.bin"), "cannot be read"),
        (("log", "undo", "Hall"), "nothing to withdraw"),
        (("evaluate", "Hall", "--check", "x"), "expected a check of this job"),
        (("export", "Hall", "--format", "docx"), "docx"),
        (("nonsense",), "No such command"),
    ],
)
def test_bad_input_is_one_line_and_exit_status_2(
    cli: Cli, opened: str, words: tuple[str, ...], said: str
) -> None:
    before = as_json(cli("job", "show", "Hall", "--json"))["entries"]
    status, out, err = cli(*words)
    assert status == 2
    assert out == ""
    assert said in err
    assert len(err.splitlines()) == 1
    assert "\x1b" not in err
    assert as_json(cli("job", "show", "Hall", "--json"))["entries"] == before


def test_a_file_that_is_no_logbook_is_exit_status_3(tmp_path: Path) -> None:
    path = tmp_path / "x.db"
    path.write_bytes(b"nothing of the kind " * 100)
    assert run(["--database", str(path), "job", "list"]) == 3


def test_without_a_terminal_the_screens_are_refused_in_one_line() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "commission_tui"],
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        check=False,
    )
    assert done.returncode == 2
    assert "expected one" in done.stderr
    assert "Traceback" not in done.stderr


def test_help_imports_neither_screens_nor_document() -> None:
    code = (
        "import sys\nfrom commission_tui.cli import run\nrun(['--help'])\n"
        "heavy = {'textual', 'typst', 'numpy', 'sqlite_utils'} & set(sys.modules)\n"
        "sys.exit(', '.join(sorted(heavy)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_fault_is_logged_by_any_word_and_a_refusal_lists_the_kinds(cli: Cli, opened: str) -> None:
    status, _, err = cli("log", "fault", "Hall", "pixel drak", "R1C1 x1 y1")
    assert status == 2
    *kinds, error = err.splitlines()
    assert "did you mean 'pixel dark'" in error
    assert any(line.startswith("  pixel dark: dead pixel") for line in kinds)
    assert not any("cabinet dark" in line for line in kinds)
    status, _, err = cli("log", "fault", "Hall", "zzz", "R1C1")
    assert status == 2
    assert all(kind in " ".join(err.split()) for kind in ("pixel dark", "cabinet dark"))
    for words, place, kind in (
        ("Dead pixel", "R1C1 x1 y1", "pixel dark"),
        ("black", "R1C1 m1,1", "module dark"),
        ("black", "R1C1", "cabinet dark"),
        ("colour shift", "R1C1", "cabinet tinted"),
    ):
        assert cli("log", "fault", "Hall", words, place)[0] == 0
        assert as_json(cli("job", "show", "Hall", "--json"))["faults"][-1]["fault"] == kind
