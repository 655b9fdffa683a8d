"""Patterns and the mapping diagnosis from the command line."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import pytest
from PIL import Image

from commission_tui.cli import run
from commission_tui.wall.model.wall_file import parse_wall
from tests.handover.signing_help import A_SMALL_WALL
from tests.wall.mapping.referee.plugs import Plugged


@pytest.fixture
def database(tmp_path: Path, wall_file: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = str(tmp_path / "logbook.db")
    words = ["job", "new", str(wall_file), "--name", "Hall", "--client", "C", "--integrator", "I"]
    assert run(["--database", path, "--as", "A. Technician", *words]) == 0
    capsys.readouterr()
    return path


def test_a_pattern_is_drawn_at_the_walls_own_resolution(
    wall_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "numbers.png"
    assert run(["pattern", str(wall_file), "cabinet numbers", "-o", str(out), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["width_px"] == 2400
    with Image.open(out) as picture:
        assert picture.size == (2400, 1200)


def test_the_patterns_are_listed_with_what_they_prove(
    wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["pattern", str(wall_file), "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)
    assert len(listed) > 15
    assert all(item["proves"] and item["does_not_prove"] for item in listed)


def test_every_pattern_goes_into_one_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wall, out = tmp_path / "small.toml", tmp_path / "patterns"
    wall.write_text(A_SMALL_WALL, encoding="utf-8")
    assert run(["pattern", str(wall), "--all", "-o", str(out), "--json"]) == 0
    told = capsys.readouterr()
    assert sorted(json.loads(told.out)) == sorted(str(path) for path in out.iterdir())
    assert len(list(out.iterdir())) > 30
    assert "flashing light can hurt" in told.err


def test_crossed_neighbours_are_named_with_the_plugs_to_move(
    database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "seen.csv"
    table.write_text(
        "position,seen,angle,mirrored,dx,dy\nR2C3,R2C3,,,,\nR2C4,R2C5,,,,\nR2C5,R2C4,,,,\nR2C6,R2C6,,,,\n",
        encoding="utf-8",
    )
    assert run(["--database", database, "diagnose", "Hall", str(table), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    (cause,) = found["explanations"][0]["causes"]
    assert cause["kind"] == "neighbours-crossed"
    assert len(cause["moves"]) == 2
    assert "from behind" in cause["moves"][0]
    assert cause["configuration_edit"]
    assert run(["--database", database, "diagnose", "Hall", str(table)]) == 0
    assert "neighbours-crossed" in capsys.readouterr().out


def test_a_jumper_out_is_named_and_every_fault_of_a_table_is_said(
    database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "seen.csv"
    lit = "".join(f"R1C{column},R1C{column}\n" for column in range(1, 5))
    dark = "".join(f"{cell},dark\n" for cell in ("R1C5", "R1C6", "R2C6", "R2C1"))
    table.write_text("position,seen\n" + lit + dark, encoding="utf-8")
    assert run(["--database", database, "diagnose", "Hall", str(table), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {"explained", "jumpers", "configuration"} <= set(found["explanations"][0])
    table.write_text(
        "position,seen\nR1C1,R99C1\nR1C2,R1C2\nR1C2,dark\nR88C1,dark\n", encoding="utf-8"
    )
    assert run(["--database", database, "diagnose", "Hall", str(table)]) == 2
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 3
    assert "R99C1" in said[0]
    assert "R1C2" in said[1]
    assert "R88C1" in said[2]


def test_an_entry_that_is_not_there_is_said_in_words(
    database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The map of P1 without its last but one entry: R2C1, its last cabinet, has none and is dark."""
    table = tmp_path / "seen.csv"
    seen = [f"R1C{c},R1C{c}" for c in range(1, 7)]
    way = ["R1C6", "R2C6", "R2C5", "R2C4", "R2C3", "R2C2", "R2C1"]
    seen[5] = "R1C6,R2C6"
    seen += [f"{cell},{shown}" for cell, shown in pairwise(way[1:])]
    table.write_text("\n".join(["position,seen", *seen, "R2C1,dark\n"]), encoding="utf-8")
    assert run(["--database", database, "diagnose", "Hall", str(table)]) == 0
    said = capsys.readouterr().out
    assert "nothing becomes" in said
    assert "None" not in said


def test_an_edit_alone_is_no_alternative_and_what_is_not_explained_is_told_in_parts(
    database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "seen.csv"
    seen = {f"R1C{c}": f"R1C{c}" for c in range(1, 7)} | {"R1C2": "R1C5", "R1C5": "R1C2"}
    rows = "".join(f"{cell},{shown}\n" for cell, shown in seen.items())
    table.write_text(f"position,seen\n{rows}", encoding="utf-8")
    assert run(["--database", database, "diagnose", "Hall", str(table)]) == 0
    said = capsys.readouterr().out
    assert "   in the configuration: exchange the entries of R1C2 and R1C5" in said
    assert "or in the configuration: exchange the entries" not in said
    assert "what is certain of them: R1C2 and R1C5 show each other's tile" in said


def test_a_table_and_other_looks_counted_from_behind_say_the_same(
    database: str, wall_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every column of every row is turned: of positions, of tiles' places and of where cables lead."""
    columns = parse_wall(wall_file.read_text("utf-8")).columns
    front = "position,seen\nR1C4,R1C4\nR1C5,dark\nR1C5 link,off\nR1C4 cable,none\n"
    turned = {4: columns - 3, 5: columns - 4}
    behind = front
    for column, other in turned.items():
        behind = behind.replace(f"\nR1C{column}", f"\nR1C{other}")
    assert behind != front
    table, found = tmp_path / "seen.csv", []
    for text, words in ((front, []), (behind, ["--rear"]), (behind, [])):
        table.write_text(text, encoding="utf-8")
        assert run(["--database", database, "diagnose", "Hall", str(table), "--json", *words]) == 0
        found.append(json.loads(capsys.readouterr().out))
    assert found[0] == found[1] != found[2]


def test_gaps_counted_from_behind_are_all_named(
    database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "seen.csv"
    table.write_text("position,seen\nR88C1,dark\nR89C1,dark\n", encoding="utf-8")
    assert run(["--database", database, "diagnose", "Hall", str(table), "--rear"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 2


def test_a_table_of_nothing_is_not_said_to_be_well(
    database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "seen.csv"
    table.write_text("position,seen\nR1C1,\n", encoding="utf-8")
    assert run(["--database", database, "diagnose", "Hall", str(table)]) == 0
    assert capsys.readouterr().out.startswith("1. nobody has looked yet")


def test_a_program_does_what_json_says_and_the_wall_is_right(
    database: str, wall_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two plugs and two entries are exchanged and a breaker is off; only what is printed is done."""
    site = Plugged(parse_wall(wall_file.read_text("utf-8")))
    (a, b), (c, d) = site.cables()[2], site.cables()[9]
    site.pull(a)
    site.pull(c)
    site.join(a, d)
    site.join(c, b)
    tiles = site.entries[max(site.entries)]
    tiles[1], tiles[-1] = tiles[-1], tiles[1]
    site.breakers_off.add(site.wall.circuits[-1].name)
    table = tmp_path / "seen.csv"
    rounds = 0
    while not site.is_right() and rounds < 3:
        rounds += 1
        rows = [f"{cell},{reading.seen}\n" for cell, reading in site.look().items()]
        table.write_text("position,seen\n" + "".join(rows), encoding="utf-8")
        assert run(["--database", database, "diagnose", "Hall", str(table), "--json"]) == 0
        site.do(json.loads(capsys.readouterr().out)["explanations"][0])
    assert site.is_right()
    assert rounds <= 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("position,seen,angle,mirrored,dx,dy\nR9C9,R1C1,,,,\n", "R9C9"),
        ("place,seen\nR1C1,R1C1\n", "position"),
        ("", "position"),
    ],
)
def test_a_bad_table_is_one_line(
    database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, said: str
) -> None:
    table = tmp_path / "seen.csv"
    table.write_text(text, encoding="utf-8")
    assert run(["--database", database, "diagnose", "Hall", str(table)]) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert len(captured.err.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["cabinet nubmers", "-o", "x.png"], "did you mean 'cabinet numbers'"),
        (["cabinet numbers"], "--output: found nothing"),
        (["--all"], "--output: found nothing"),
        (["white", "--all", "-o", "x"], "--all: found the pattern 'white' too"),
        (["cabinet numbers", "-o", "/nowhere/at/all/x.png"], "cannot be written"),
    ],
)
def test_a_pattern_that_cannot_be_drawn_is_one_line(
    wall_file: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert run(["pattern", str(wall_file), *words]) == 2
    assert said in capsys.readouterr().err
