"""Single failures and the stepped line from the command line."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.cli.design.wall_questions import about
from commission_tui.wall.model.wall_file import read_wall
from tests.cli.helping import typed_at_a_terminal


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
    told = capsys.readouterr().out.splitlines()
    assert told[:3] == [
        "No single failure darkens more than the 72 agreed.",
        "Within the 72 agreed:",
        "  processor: 72 dark: the whole wall",
    ]
    assert max(map(len, told)) < 80


def test_an_agreed_number_that_nobody_gave_is_asked_for(
    wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = wall_file.read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if "single_failure_cabinets" not in line]
    wall_file.write_text("\n".join(lines), encoding="utf-8")
    assert run(["wall", "failures", str(wall_file)]) == 0
    captured = capsys.readouterr()
    assert "How many cabinets may one failure darken" in captured.err
    assert "agreed" not in captured.out.lower()
    first, worst, *_, alone = captured.out.splitlines()
    assert first == "Dark after one failure, the worst first:"
    assert worst == "  processor: 72 dark: the whole wall"
    assert alone == "  any one of 72 cabinets in a loop: itself alone"
    assert run(["wall", "failures", str(wall_file), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["agreed"] is None
    assert {f["beyond_agreed"] for f in found["failures"]} == {None}


def test_what_the_wall_file_agrees_to_is_held_against(
    wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = wall_file.read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if "single_failure_cabinets" not in line]
    agreed = "\n".join(lines).replace("[targets]", "[targets]\nsingle_failure_cabinets = 12")
    wall_file.write_text(agreed, encoding="utf-8")
    assert run(["wall", "failures", str(wall_file)]) == 1
    told = capsys.readouterr().out.splitlines()
    assert told[:3] == [
        "To decide, more than the 12 agreed:",
        "  processor: 72 dark: the whole wall",
        "Within the 12 agreed:",
    ]


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


ANSWERS = "Main\nHall\nstacked\n\n4 x 3\n500x500\n192\n\n8\n170\n\n\n2\n650k\n"


def to_the_end(
    pixels: str = "650000",
    hoists: str = "\n",
    points: str = "H1, 500 mm, 5 kN\nH2, 1500 mm, 5 kN\n\n",
) -> str:
    """Return an answer to every question, all cabinets on one port."""
    begun = ANSWERS.replace("stacked", "flown").replace("650k\n", f"{pixels}\n1\n")
    return begun + "\n" * 10 + hoists + points + "\n" * 15


def answered(path: Path, answers: str, *options: str) -> str:
    said = io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(said), redirect_stderr(said):
        patch.setattr(sys, "stdin", io.StringIO(answers))
        status = run(["wall", "new", str(path), *options])
    assert status == 0, said.getvalue()
    return said.getvalue()


def test_a_wall_file_is_written_from_answers(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    answered(path, ANSWERS)
    wall = read_wall(path)
    assert (wall.name, wall.file.wall.site, wall.width_px, wall.height_mm) == (
        *("Main", "Hall"),
        *(4 * 192, 3 * 500),
    )


def test_what_nobody_stated_is_not_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    answered(path, ANSWERS)
    assert "\npower_factor" not in path.read_text(encoding="utf-8")
    assert read_wall(path).file.cabinet_types["A"].power_factor == 1.0  # as the file says of it
    answered(tmp_path / "said.toml", ANSWERS.replace("170\n\n\n", "170\n\n0,9\n"))
    assert read_wall(tmp_path / "said.toml").file.cabinet_types["A"].power_factor == 0.9


def test_a_pitch_that_differs_across_and_down_is_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    odd = ANSWERS.replace("500x500\n192\n", "600x337,5\n320x200\n{}")
    said = answered(path, odd.format("\n320x180\n"))
    assert "the pitch is 1.875 mm across and 1.688 mm down" in said
    assert read_wall(path).height_px == 3 * 180
    answered(tmp_path / "kept.toml", odd.format("y\n"))
    assert read_wall(tmp_path / "kept.toml").height_px == 3 * 200


@pytest.mark.parametrize(
    ("said", "word"),
    [("hung", "flown"), ("Hanging", "flown"), ("on the wall", "wall-mounted"), ("f", "flown")],
)
def test_how_people_say_that_it_hangs_is_taken(tmp_path: Path, said: str, word: str) -> None:
    path = tmp_path / "said.toml"
    assert run(["wall", "new", str(path), *PLAIN, "--mounting", said]) == 0
    assert read_wall(path).file.wall.mounting == word


def test_questions_are_numbered_without_a_gap_whatever_is_passed_over(tmp_path: Path) -> None:
    said = answered(tmp_path / "asked.toml", ANSWERS)
    most = re.match(r"At most (\d+) questions; those that do not apply here are passed over", said)
    numbers = [int(number) for number in re.findall(r"(?m)(?:^|: )(\d+)\. [A-Z]", said)]
    assert most is not None
    assert "Hoists" not in said  # passed over, since it stands
    assert list(dict.fromkeys(numbers)) == list(range(1, numbers[-1] + 1))
    assert len(ANSWERS.splitlines()) <= numbers[-1] <= int(most[1])


def test_a_wrong_answer_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    said = answered(path, ANSWERS.replace("500x500", "wide\n500x500"))
    assert "found 'wide'" in said
    assert read_wall(path).width_mm == 2000


def test_a_comma_is_taken_and_what_is_no_number_is_said_in_plain_words(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    answers = (
        "Main\nHall\nstacked\n\nfour\n150\n4x3\n500x500\n192\n\neight\n8,4\n170\n\n\n0\n2\n650000\n"
    )
    said = answered(path, answers)
    assert "found 'four', expected two whole numbers such as 9x4" in said
    assert "found '150', expected two whole numbers such as 9x4" in said
    assert "found 'eight': is not a value, expected a number in kg" in said
    assert "found '0', expected a whole number from 1 to 1024" in said
    assert read_wall(path).file.cabinet_types["A"].weight_kg == 8.4


PLAIN = (
    *("--name", "Main", "--site", "Hall", "--mounting", "flown", "--grid", "9 x 4"),
    *("--cabinet-mm", "600x337,5", "--cabinet-px", "320x180", "--weight-kg", "18 lb"),
    *("--power-w", "170", "--ports", "16", "--pixels-per-port", "650k"),
)


def test_a_script_that_says_what_must_be_said_is_asked_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "said.toml"
    words = [
        *("--region", "uk", "--ports-in-use", "6", "--route", "columns from bottom right"),
        *("--backup-runs", "yes", "--fibre", "no", "--residual-current-devices", "y"),
        *("--cameras", "y", "--camera", "Camera 1, balcony; 18 m; 1/50; 50"),
        *("--input", "Laptop, HDMI 1, 1920x1080, 60", "--stage-position", "Lectern"),
        *("--suspension-point", "H1, 10 in, 5 kN", "--nearest-m", "21 ft"),
        *("--stated", "Tender, rev B, 5400x1350 mm, 2880x720 px, pitch 1.88, 4:1, 300 kg, front"),
    ]
    assert run(["wall", "new", str(path), *PLAIN, *words]) == 0
    assert "36 cabinets" in capsys.readouterr().out
    wall = read_wall(path)
    file = wall.file
    assert (wall.width_mm, wall.height_mm, file.wall.region) == (5400, 1350, "GB")
    assert file.cabinet_types["A"].weight_kg == pytest.approx(8.1647, abs=1e-4)
    assert len(wall.chains) == 6
    assert [chain.backup_port for chain in wall.chains] == [7, 8, 9, 10, 11, 12]
    assert str(wall.chains[0].cells[0]) == "R4C9"
    assert {c.circuit.residual_ma for c in wall.circuits} == {30}
    assert (file.cameras[0].name, file.cameras[0].shutter_s) == ("Camera 1, balcony", 0.02)
    assert file.suspension_points[0].x_mm == pytest.approx(254)
    assert file.targets.nearest_m == pytest.approx(6.4008)
    assert (file.stated[0].pitch_mm, file.stated[0].view) == ("1.88", "front")
    assert file.room is not None
    assert "fibre" in file.room.without
    assert "daylight" in file.room.not_known


@pytest.mark.parametrize(
    ("option", "text", "said"),
    [
        ("--grid", "9 x", "--grid: found '9 x'"),
        ("--grid", "\U0001f3a5", "--grid: found"),
        ("--grid", "nan x 4", "--grid: found"),
        ("--weight-kg", "-3", "--weight-kg: found '-3', expected more than 0"),
        ("--region", "Britain", "expected a country's code such as GB"),
        ("--route", "diagonally", "expected such as 'rows, serpentine, from top left'"),
        ("--backup-runs", "perhaps", "expected one of yes, no"),
        ("--camera", "Camera 1, 18 m", "such as 'Camera 1, 18 m, 1/50, 50'"),
        ("--camera", "Camera 1, 1/50, 18 m, 50", "found '1/50', expected a length"),
        ("--suspension-point", "Camera 1, 15 m, 1/50, 50", "found 4 parts in"),
        ("--suspension-point", "H1, 1/50, 5 kN", "found '1/50', expected a length"),
        ("--stage-position", "Lectern, 3 m", "found 2 parts in 'Lectern, 3 m', expected one"),
        ("--stage-position", "y", "found 'y', a yes or no, expected a name"),
        ("--site", "No", "found 'No', a yes or no, expected a name"),
        ("--pixels-per-port", "4", "found 4, expected at least 60632: a cabinet has 57600 px"),
        ("--stated", "Tender, nothing", "found 'nothing', expected document and what it states"),
        ("--luminance-cd-m2", "1.000", "may be 1.000 or 1000; type 1.0 or 1000"),
        ("--luminance-cd-m2", "1,234 nits", "may be 1.234 or 1234; type 1.2340 or 1234"),
        ("--power-w", "1.200", "may be 1.200 or 1200"),
        ("--ports-in-use", "1", "Ports in use: found 1, which puts 2073600 px on a port of 650000"),
        ("--circuits", "1", "Circuits: found 1 for 36 cabinets, expected at most"),
    ],
)
def test_what_has_no_meaning_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str, text: str, said: str
) -> None:
    path = tmp_path / "said.toml"
    assert run(["wall", "new", str(path), *PLAIN, option, text]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert len(err.splitlines()) == 1
    assert not path.exists()


def test_a_line_back_asks_the_question_before_again(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    answered(path, ANSWERS.replace("500x500", "500x400\n<\n500x500").replace("Main\n", "<\nMain\n"))
    assert read_wall(path).height_mm == 1500


def test_keys_of_a_terminal_go_back_with_the_arrow_and_none_is_lost(tmp_path: Path) -> None:
    """Everything is written to the pseudo-terminal at once, before the first question."""
    path = tmp_path / "asked.toml"
    arrow = "\x1b[A"
    typed = ANSWERS.replace("500x500\n", f"500x400\n{arrow}50\x7f00x500\n").replace("\n", "\r")
    said = typed_at_a_terminal(["wall", "new", str(path)], typed + "\r" * 40)
    asked = said[said.index("At most") : said.rindex(f"{path}: 12")].splitlines()
    assert [line for line in asked if len(line) > 80] == []  # the terminal would break it in a word
    assert (read_wall(path).name, read_wall(path).height_mm) == ("Main", 1500)


def test_the_arrow_left_takes_no_character_away_and_goes_back_from_an_empty_line(
    tmp_path: Path,
) -> None:
    path = tmp_path / "asked.toml"
    left = "\x1b[D"
    typed = ANSWERS.replace("Main\nHall\n", f"Mein\n{left}Main{left}{left}\nHall\n")
    typed_at_a_terminal(["wall", "new", str(path)], typed.replace("\n", "\r") + "\r" * 40)
    assert (read_wall(path).name, read_wall(path).file.wall.site) == ("Main", "Hall")


def test_what_more_likely_is_in_metres_is_asked_about_and_so_are_seats_the_wrong_way_round(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "said.toml"
    small = [word.replace("600x337,5", "0,6x0,6").replace("320x180", "200") for word in PLAIN]
    points = ("--suspension-point", "H1, 2.5, 5", "--nearest-m", "30", "--farthest-m", "5")
    assert run(["wall", "new", str(path), *small]) == 0
    assert "--cabinet-mm: found 0.6 mm; is it in mm? in metres it would be 600 mm" in (
        capsys.readouterr().err
    )
    assert run(["wall", "new", str(path), "--replace", *PLAIN, *points]) == 0
    said = capsys.readouterr().err
    assert "--suspension-point: found 2.5 mm; is it in mm? in metres it would be 2500 mm" in said
    assert "--farthest-m: the farthest seat, 5 m, is before the nearest, 30 m; is it so?" in said


def test_a_voltage_that_is_no_mains_and_a_size_for_a_name_are_asked_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    odd = [word.replace("Hall", "7x4") for word in PLAIN]
    assert run(["wall", "new", str(tmp_path / "said.toml"), *odd, "--voltage", "60"]) == 0
    said = capsys.readouterr().err
    assert "--voltage: found 60 V; mains is 90 to 500 V; is it so?" in said
    assert "--site: '7x4' looks like a size, not a name; is it so?" in said
    answered(tmp_path / "asked.toml", ANSWERS.replace("Hall\n", "7x4\nHall\n"))
    assert read_wall(tmp_path / "asked.toml").file.wall.site == "Hall"


def test_an_odd_answer_that_nobody_kept_is_not_offered_on_coming_back(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    said = answered(path, ANSWERS + "\n" * 5 + "60\n<\n" + "\n" * 2)
    assert "found 60 V" in said
    asked = [line for line in said.splitlines() if "Voltage, V" in line]
    assert len(asked) == 2
    assert "[230]" in asked[1]
    assert "voltage_v = 230" in path.read_text(encoding="utf-8")


def test_what_is_no_thousand_has_three_digits_behind_its_point(tmp_path: Path) -> None:
    path = tmp_path / "said.toml"
    words = ("--input", "Laptop, HDMI 1, 1920x1080, 23.976", "--nearest-m", "18.288")
    assert run(["wall", "new", str(path), *PLAIN, *words]) == 0
    file = read_wall(path).file
    assert (file.inputs[0].frame_rate_hz, file.targets.nearest_m) == (23.976, 18.288)


def test_a_house_level_above_the_white_that_was_agreed_is_asked_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = (*PLAIN, "--luminance-cd-m2", "1.2", "--house-level-cd-m2", "600")
    assert run(["wall", "new", str(tmp_path / "said.toml"), *words]) == 0
    assert "the house level, 600 cd/m2, is above the white that was" in capsys.readouterr().err


def test_what_the_minus_takes_back_is_named_as_the_question_names_it(tmp_path: Path) -> None:
    said = answered(tmp_path / "asked.toml", ANSWERS + "\n\nn\n<\n" + "\n" * 30)
    assert "[n; - for not known]" in said
    answers = "Main\nHall\nstacked\nGB\n<\n\n" + ANSWERS.partition("stacked\n\n")[2]
    assert "[GB; - for none]" in answered(tmp_path / "region.toml", answers)


def test_the_way_of_the_data_is_said_whole(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "said.toml"
    assert run(["wall", "new", str(path), *PLAIN, "--route", "rows from top left"]) == 0
    assert "36 cabinets, data by rows, serpentine, from top left" in capsys.readouterr().out


def test_one_enter_too_many_behind_a_list_passes_no_other_list(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    points = "H1, 500 mm, 5 kN\nH2, 1500 mm, 5 kN\n\n"
    typed = to_the_end(points=f"{points}\nLaptop, HDMI 1, 1920x1080, 60\n\n")
    said = typed_at_a_terminal(["wall", "new", str(path)], typed.replace("\n", "\r") + "\r" * 9)
    assert "Enter came before this was asked: again for none" in said
    assert [one.name for one in read_wall(path).file.inputs] == ["Laptop"]


def test_a_list_does_not_end_behind_a_line_that_is_refused(tmp_path: Path) -> None:
    """Of pasted lines the second is wrong; the blank one behind the list came before that was said."""
    path = tmp_path / "asked.toml"
    points = "H1, 500 mm, 5 kN\nH2, 1500 mm\n\nH2, 1500 mm, 5 kN\n\n"
    typed = to_the_end(points=points)
    said = typed_at_a_terminal(["wall", "new", str(path)], typed.replace("\n", "\r") + "\r" * 9)
    assert "Enter came before that was refused: again for no more" in said
    assert [one.name for one in read_wall(path).file.suspension_points] == ["H1", "H2"]


def test_a_refused_file_lists_all_that_is_wrong(
    wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = wall_file.read_text(encoding="utf-8")
    wall_file.write_text(
        text.replace("weight_kg = 8.2", "weight_kg = -1").replace("columns = 12", 'columns = "12"'),
        encoding="utf-8",
    )
    assert run(["wall", "review", str(wall_file)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 2
    assert "cabinet_types.F500.weight_kg: found -1, expected" in lines[0]
    assert "grid.columns: found '12', expected a whole number" in lines[1]
    wall_file.write_text(
        text.replace('"R1C1:R2C6"', '"R9C9"').replace('pitch_mm = "2.6"', 'pitch_mm = "0"'),
        encoding="utf-8",
    )
    assert run(["wall", "review", str(wall_file)]) == 2
    keys = [line.split(": ")[1] for line in capsys.readouterr().err.splitlines()]
    assert keys == ["stated[2].pitch_mm", "chains[1].block", "circuits[1].cabinets"]


def test_going_back_and_on_keeps_what_was_answered(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    said = answered(path, ANSWERS.replace("Main\nHall\n", "Main\nHall\n<\n<\n\n\n"))
    assert "Wall (for example Main auditorium) [Main]: " in said
    wall = read_wall(path)
    assert (wall.name, wall.file.wall.site) == ("Main", "Hall")


def test_a_wall_runs_at_the_rate_of_its_inputs_unless_another_is_said(tmp_path: Path) -> None:
    path = tmp_path / "said.toml"
    inputs = ("--input", "Laptop, HDMI 1, 1920x1080, 50", "--input", "Desk, SDI 1, 1920x1080, 50")
    assert run(["wall", "new", str(path), *PLAIN, *inputs]) == 0
    assert read_wall(path).file.processor.frame_rate_hz == 50
    assert run(["wall", "new", str(path), "--replace", *PLAIN, *inputs, "--rate", "60"]) == 0
    assert read_wall(path).file.processor.frame_rate_hz == 60


def test_no_frame_rate_is_invented(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "said.toml"
    assert run(["wall", "new", str(path), *PLAIN]) == 0
    assert "frame_rate_hz" not in read_wall(path).file.processor.model_fields_set
    path.unlink()
    inputs = ("--input", "Laptop, HDMI 1, 1920x1080, 50", "--input", "Desk, SDI, 1920x1080, 59,94")
    said = answered(path, "\n" * 17 + "60\n50\n", *PLAIN, *inputs)
    assert "Frame rate that the wall runs at, Hz (for example 50)" in said
    assert "no input has 60 Hz, they have 50, 59.94; is it so?" in said
    assert read_wall(path).file.processor.frame_rate_hz == 50
    path.unlink()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", io.StringIO())
        assert run(["wall", "new", str(path), *PLAIN, *inputs]) == 2
    assert "--rate: found no answer" in capsys.readouterr().err
    assert not path.exists()


def test_what_makes_no_wall_asks_its_question_again_and_loses_no_answer(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    said = answered(path, to_the_end("4\n300000") + "2\n")
    assert (
        "found 4, expected at least 38805: a cabinet has 36864 px" in said
    )  # 192² / 0.95, upwards
    assert "Ports in use: found 1, which puts 442368 px on a port of 300000" in said
    wall = read_wall(path)
    assert (wall.name, len(wall.chains), wall.width_px) == ("Main", 2, 768)
    assert [point.name for point in wall.file.suspension_points] == ["H1", "H2"]


def test_a_refusal_that_nobody_answers_is_one_line_at_the_end(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "commission_tui", "wall", "new", str(tmp_path / "asked.toml")],
        input=to_the_end("300000"),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert "Ports in use: found 1, which puts" in line


@pytest.mark.parametrize(
    ("refusal", "key"),
    [
        ("pixels per port: found 4, expected more", "pixels_per_port"),
        ("breaker: found 1 A, too small", "breaker"),
        ("wall new: suspension_points[2].x_mm: found inf, expected a number", "suspension_point"),
        ("wall new: cabinet_types.A.width_mm: found 0, expected more", "cabinet_mm"),
        ("wall new: cabinet_types.A.weight_kg: found 0, expected more", "weight_kg"),
        ("wall new: targets.nearest_m: found 0, expected more", "nearest_m"),
        ("wall new: wall.name: found nothing, expected text", "name"),
        ("wall new: something else", None),
    ],
)
def test_a_refusal_names_its_question(refusal: str, key: str | None) -> None:
    found = about(refusal)
    assert (found and found.key) == key


def test_a_point_beside_the_wall_is_asked_about_and_one_taken_back_is_said(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    beside = "H1, 500 mm, 5 kN\nH2, 15 m, 5 kN\ny\n\n<\n<\n\n"
    said = answered(path, to_the_end(points=beside))
    assert "15000 mm is beyond the wall, which is 2000 mm wide; is it so?" in said
    assert "so far: H1, 500 mm, 5 kN; H2, 15 m, 5 kN" in said
    assert "taken back: H2, 15 m, 5 kN" in said
    assert [point.name for point in read_wall(path).file.suspension_points] == ["H1"]


def test_a_refused_answer_leaves_what_stands_in_brackets(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    said = answered(path, to_the_end(hoists="y\n<\nperhaps\nor not\n<\n\n\n"))
    assert said.count("[y; - for not known]") >= 4
    room = read_wall(path).file.room
    assert room is not None
    assert "hoists" in room.features


def test_a_refused_answer_is_not_offered_in_brackets(tmp_path: Path) -> None:
    """A port that does not carry a cabinet is refused at once, too few ports when all is answered."""
    path = tmp_path / "asked.toml"
    said = answered(path, to_the_end("400k\n<\n4\n300000") + "2\n")
    port, ports = "Pixels per port (for example 650k)", "Ports in use (as few as carry it: Enter)"
    assert (said.count(f"{port}: "), said.count(f"{port} [400k]: ")) == (1, 2)
    assert said.count(ports) == said.count(f"{ports}: ") == 3


def test_devices_that_nobody_knows_of_have_no_rated_current(tmp_path: Path) -> None:
    path = tmp_path / "asked.toml"
    answered(path, ANSWERS)
    assert {c.circuit.residual_ma for c in read_wall(path).circuits} == {None}
    assert read_wall(path).has("residual-current devices") is None


def test_what_was_typed_outlives_the_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("commission_tui.cli.design.kept_answers.terminal", lambda: True)
    path = tmp_path / "asked.toml"
    monkeypatch.setattr(sys, "stdin", io.StringIO("Main\nHall\n"))
    assert run(["wall", "new", str(path)]) != 0
    assert not path.exists()
    capsys.readouterr()
    rest = ANSWERS.replace("Main\nHall\n", "\n\n")
    monkeypatch.setattr(sys, "stdin", io.StringIO(rest))
    assert run(["wall", "new", str(path)]) == 0
    assert "The answers of last time stand in [ ]" in capsys.readouterr().out
    assert (read_wall(path).name, read_wall(path).file.wall.site) == ("Main", "Hall")
    assert [one.name for one in tmp_path.iterdir()] == ["asked.toml"]


def test_what_options_said_outlives_the_program_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("commission_tui.cli.design.kept_answers.terminal", lambda: True)
    path = tmp_path / "asked.toml"
    options = [
        "--site",
        "Hall",
        "--input",
        "Laptop, HDMI 1, 1920x1080, 50",
        "--load-rule",
        "rectangle",
    ]
    monkeypatch.setattr(sys, "stdin", io.StringIO("Main\n"))
    assert run(["wall", "new", str(path), *options]) != 0
    capsys.readouterr()
    rest = ANSWERS.replace("Main\nHall\n", "\n\n")
    monkeypatch.setattr(sys, "stdin", io.StringIO(rest))
    assert run(["wall", "new", str(path)]) == 0
    file = read_wall(path).file
    assert (file.wall.name, file.wall.site, file.processor.load_rule) == (
        "Main",
        "Hall",
        "rectangle",
    )
    assert [one.name for one in file.inputs] == ["Laptop"]


def test_the_backup_runs_of_a_second_processor_are_on_its_own_ports(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "two.toml"
    words = [*PLAIN, "--ports=8", "--ports-in-use=6", "--backup-runs=y"]
    assert run(["wall", "new", str(path), *words, "--two-processors=y"]) == 0
    wall = read_wall(path)
    assert [chain.port for chain in wall.chains] == [1, 2, 3, 4, 5, 6]
    assert [chain.backup_port for chain in wall.chains] == [9, 10, 11, 12, 13, 14]
    assert wall.file.processor.ports == 16
    assert run(["wall", "new", str(tmp_path / "one.toml"), *words, "--two-processors=n"]) != 0
    assert "with 6 for backups it is 12, and the processor has 8" in capsys.readouterr().err


def test_backup_runs_are_asked_for_as_many_as_there_are_ports_and_of_some_chains(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """12 cabinets of 192 x 192 px are 442368 px: two ports of 250000."""
    path = tmp_path / "asked.toml"
    told = ANSWERS.replace("\n2\n650k\n", "\n650\ny\n250k\n2\n\n\ny\n")
    assert "650 ports are many for one processor; is it so?" in answered(path, told)

    few = ANSWERS.replace("\n2\n650k\n", "\n3\n250k\n2\n\n\ny\none, to chain 1\n")
    path = tmp_path / "few.toml"
    said = answered(path, few)
    assert "2 ports are in use, with 2 for backups it is 4, and the processor has 3" in said
    wall = read_wall(path)
    assert [chain.backup_port for chain in wall.chains] == [3, None]
    assert wall.file.room is not None
    assert "backup runs" in wall.file.room.features
    capsys.readouterr()
    run(["wall", "review", str(path)])
    assert "NOTE: P2 has no backup port, others have one." in capsys.readouterr().out
