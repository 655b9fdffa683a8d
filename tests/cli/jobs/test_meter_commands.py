"""A run begun at the wrong place, from the command line."""

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
        (("R1C2", "R1CC", "--down", "1"), "found 'R1CC', expected such as R1C1"),
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


def test_a_serial_that_another_key_has_is_neither_renamed_nor_given_another_day(cli: Cli) -> None:
    """An overdue meter was not overdue any more, under another name."""
    where = "log", "instrument", "Hall"
    other = (*where, "other", "--name", "Other one", "--serial", "7")
    before = entries(cli)
    refused = cli(*other, "--calibration-due", "2099-12-31", "--accuracy", "lx=3")
    assert refused[0] == 2
    assert (
        "is there as meter, Spot meter, calibration due 2099-01-01: found 2099-12-31" in refused[2]
    )
    assert entries(cli) == before
    said = cli(*other, "--accuracy", "lx=3")[1]
    assert said.splitlines() == [
        "serial number 7 is there as meter, Spot meter: its units are added to it",
        "Spot meter 7 is stamped on readings in cd/m2, lx",
    ]
    renamed = (*where, "meter", "--name", "Other one", "--accuracy", "lx=3")
    assert cli(*renamed)[1].startswith("Other one 7 is stamped on readings in cd/m2, lx\n")
