"""A meter's table and a run begun at the wrong place, from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.helping import Cli, as_json

CHECK, FIELD = "cabinet-luminance", "luminance_cd_m2"


@pytest.fixture
def cli(cli: Cli, wall_file: Path) -> Cli:
    """Run a command on a database with two jobs, each with a meter."""
    for name in ("Hall", "Foyer"):
        words = ("--name", name, "--client", "C", "--integrator", "I")
        assert cli("job", "new", wall_file, *words)[0] == 0
        assert cli(
            *("log", "instrument", name, "meter", "--name", "Spot meter", "--serial", "7"),
            *("--calibration-due", "2099-01-01", "--accuracy", "cd/m2=2"),
        )[0] == 0  # fmt: skip
    return cli


def entries(cli: Cli, job: str = "Hall") -> int:
    return int(as_json(cli("job", "show", job, "--json"))["entries"])


def test_a_mapping_is_said_once_and_known_in_the_next_job(cli: Cli, tmp_path: Path) -> None:
    table = tmp_path / "meter.csv"
    table.write_text("P;L (fL)\nR1C1;58,4\nR1C2;58,6\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--json", "--mapping", "spot meter")
    columns = ("--check", CHECK, "--column", "P=place", "--column", f"L={FIELD}")
    assert cli(*words)[0] == 2
    before = entries(cli)
    dry = as_json(cli(*words, *columns, "--dry-run"))
    assert (dry["taken"], dry["sound"]) == (0, 2)
    assert entries(cli) == before
    taken = as_json(cli(*words, *columns))
    assert taken["taken"] == 2
    assert any("converted from fL to cd/m2" in note for note in taken["notes"])
    other = as_json(cli("log", "import", "Foyer", table, "--mapping", "Spot Meter", "--json"))
    assert other["taken"] == 2
    status, _, err = cli(*words[:4], "--mapping", "spot meter", "--check", "brightness")
    assert status == 2
    assert f"is of {CHECK}" in err


def test_odd_rows_are_asked_about_and_every_refused_row_is_told(cli: Cli, tmp_path: Path) -> None:
    table = tmp_path / "meter.csv"
    rows = "".join(f"R1C{c},{200 + c}\n" for c in range(1, 8))
    table.write_text(f"place,value\n{rows}R1C8,20.6\nR9C9,1\nR1C9,x\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK, "--field", FIELD)
    before = entries(cli)
    status, out, err = cli(*words)
    assert (status, out) == (2, "")
    assert [line.split(":")[0] for line in err.splitlines()][:3] == ["refused", "refused", "odd"]
    assert "line 10" in err
    status, _, err = cli(*words, "--skip-bad")
    assert status == 2
    assert "add --confirm" in err
    assert entries(cli) == before
    status, out, _ = cli(*words, "--skip-bad", "--confirm")
    assert status == 0
    assert out.startswith("8 readings taken, 2 rows left out")


def read_row(cli: Cli, levels: list[float], first: int) -> None:
    for column, level in enumerate(levels, start=first):
        assert cli("log", "reading", "Hall", CHECK, FIELD, f"R1C{column}", level)[0] == 0


def test_a_run_begun_one_too_far_right_is_moved(cli: Cli) -> None:
    read_row(cli, [200.0, 201.0, 202.0], 2)
    words = ("log", "shift", "Hall", CHECK, FIELD, "R1C2", "R1C4", "--json")
    dry = as_json(cli(*words, "--right", "-1", "--dry-run"))
    assert dry["moved"] == 0
    moved = as_json(cli(*words, "--right", "-1"))
    assert [(m["from"], m["to"]) for m in moved["moves"]] == [
        ("R1C2", "R1C1"),
        ("R1C3", "R1C2"),
        ("R1C4", "R1C3"),
    ]
    # R1C1 to R1C3 are read now, R1C4 is not: moving back finds the first three only.
    back = as_json(cli(*words[:5], "R1C1", "R1C4", "--along", "1", "--json"))
    assert [m["from"] for m in back["moves"]] == ["R1C1", "R1C2", "R1C3"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("R1C2", "R1C3", "--right", "-2"), "R1C2 would become R1C0"),
        (("R1C2", "R1C3", "--right", "1"), "R1C3 would land on R1C4"),
        (("R1C2", "R1C4", "--along", "-5"), "no longer in the list"),
        (("R1C2", "R1C4", "--along", "0"), "found no distance"),
        (("R1C2", "R1C4"), "found no distance or two"),
        (("R1C2", "R1C4", "--along", "1", "--down", "1"), "found no distance or two"),
        (("R5C2", "R5C4", "--down", "1"), "found nothing read"),
        (("R1C2", "R1CC", "--down", "1"), "found 'R1CC', expected one"),
    ],
)
def test_a_move_that_cannot_be_is_one_line(cli: Cli, words: tuple[str, ...], said: str) -> None:
    read_row(cli, [200.0, 201.0, 202.0], 2)
    before = entries(cli)
    status, out, err = cli("log", "shift", "Hall", CHECK, FIELD, *words)
    assert (status, out) == (2, "")
    assert said in err
    assert len(err.splitlines()) == 1
    assert entries(cli) == before
