"""Single failures and the stepped line from the command line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.wall.model.wall_file import read_wall


def test_what_more_than_agreed_goes_dark_is_exit_status_1(
    wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["wall", "failures", str(wall_file), "--agreed", "12", "--script", "--json"]
    assert run(words) == 1
    found = json.loads(capsys.readouterr().out)
    beyond = [f["name"] for f in found["failures"] if f["beyond_agreed"]]
    assert beyond == ["processor"]  # every port has its own return, every circuit 12 cabinets
    assert found["script"][0]["starts_s"] == 0
    assert all(step["do"] and step["expect"] for step in found["script"])
    assert run([*words[:4], "72"]) == 0
    assert "72 dark, within agreed" in capsys.readouterr().out


def test_a_shared_converter_is_found_before_anything_is_unplugged(
    wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ports = [
        f'[[signal_parts]]\nname = "P{port}"\nkind = "port"\nfed_by = ["Converter 1"]\n'
        for port in (1, 7)
    ]
    converter = (
        '[[signal_parts]]\nname = "Converter 1"\nkind = "converter"\nfed_by = ["processor"]\n'
    )
    with wall_file.open("a", encoding="utf-8") as file:
        file.write("".join([*ports, converter]))
    run(["wall", "failures", str(wall_file), "--json"])
    found = json.loads(capsys.readouterr().out)["failures"]
    (lost,) = [f for f in found if f["name"] == "Converter 1"]
    assert len(lost["dark"]) == 12  # port 1 and its return 7 hang on one converter


def test_a_part_that_hangs_on_nothing_is_named(
    wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with wall_file.open("a", encoding="utf-8") as file:
        file.write('[[signal_parts]]\nname = "P1"\nkind = "port"\nfed_by = ["Convertor"]\n')
    assert run(["wall", "failures", str(wall_file)]) == 2
    assert "P1: found 'Convertor'" in capsys.readouterr().err


def test_a_turned_cabinet_and_a_wrong_module_are_told_apart(
    wall_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "seen.csv"
    table.write_text(
        'location,across,down\nR1C1,backwards,backwards\nR1C2,,\n"R2C3 m1,1",comb,\n',
        encoding="utf-8",
    )
    assert run(["wall", "scan", str(wall_file), str(table), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [(f["kind"], f["scope"]) for f in found["findings"]] == [
        ("turned", "cabinet"),
        ("scan-table", "module"),
    ]
    assert found["tearing_seams"] == ["R1C1 right", "R1C1 bottom"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "line 1: found ''"),
        ("place,across,down\n", "line 1: found 'place,across,down'"),
        ("location,across,down\n", "found no rows"),
        ("location,across,down\nR9C9,,\n", "line 2: location: found R9C9"),
        ("location,across,down\nR1C1 right,,\n", "expected a cabinet or a module"),
        ("location,across,down\nR1C1,bakwards,\n", "did you mean 'backwards'"),
        ("location,across,down\nR1C1,\n", "line 2: found 2 cells, expected 3"),
        ("location,across,down\nR1C1,,\nR1C1,,\n", "line 3: location: found R1C1 a second time"),
        ('location,across,down\n"R1C1,,\n', "not CSV"),
    ],
)
def test_a_bad_scan_table_is_one_line(
    wall_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, said: str
) -> None:
    table = tmp_path / "seen.csv"
    table.write_text(text, encoding="utf-8")
    assert run(["wall", "scan", str(wall_file), str(table)]) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert len(captured.err.splitlines()) == 1


ANSWERS = "Main\nHall\nstacked\n4\n3\n500x500\n192\n8\n170\n2\n650000\n"


def test_a_wall_file_is_written_from_answers(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    done = subprocess.run(
        [sys.executable, "-m", "commission_tui", "wall", "new", str(path)],
        input=ANSWERS,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    wall = read_wall(path)
    assert (wall.name, wall.file.wall.site, wall.width_px, wall.height_mm) == (
        *("Main", "Hall"),
        *(4 * 192, 3 * 500),
    )


def test_a_wrong_answer_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    done = subprocess.run(
        [sys.executable, "-m", "commission_tui", "wall", "new", str(path)],
        input=ANSWERS.replace("500x500", "wide\n500x500"),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "found 'wide', expected such as 500x500" in done.stdout + done.stderr
    assert read_wall(path).width_mm == 2000


def test_a_comma_is_taken_and_what_is_no_number_is_said_in_plain_words(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    answers = "Main\nHall\nstacked\nfour\n4\n3\n500x500\n192\neight\n8,4\n170\n0\n2\n650000\n"
    done = subprocess.run(
        [sys.executable, "-m", "commission_tui", "wall", "new", str(path)],
        input=answers,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    said = done.stdout + done.stderr
    assert "found 'four', expected a whole number from 1 to 500" in said
    assert "found 'eight', expected a number such as 8.4" in said
    assert "found '0', expected a whole number from 1 to 1024" in said
    assert read_wall(path).file.cabinet_types["A"].weight_kg == 8.4
