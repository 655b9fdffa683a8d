"""Times are shown on the clock at the wall, where its file states a zone; JSON keeps them in UTC."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tests.cli.helping import Cli, as_json

ZONE = "Asia/Kolkata"


@pytest.fixture
def cli(cli: Cli, wall_file: Path, monkeypatch: pytest.MonkeyPatch) -> Cli:
    """Run a command on a database with one job, on a machine whose clock is another one."""
    monkeypatch.setenv("TZ", "America/New_York")
    text = wall_file.read_text(encoding="utf-8")
    wall_file.write_text(text.replace("Europe/London", ZONE), encoding="utf-8")
    assert ZONE in wall_file.read_text(encoding="utf-8")
    words = ("--name", "Hall", "--client", "C", "--integrator", "I")
    assert cli("job", "new", wall_file, *words)[0] == 0
    return cli


def on_the_clock(at: str, pattern: str) -> str:
    return datetime.fromisoformat(at).astimezone(ZoneInfo(ZONE)).strftime(pattern)


def test_the_list_of_jobs(cli: Cli) -> None:
    (job,) = as_json(cli("job", "list", "--json"))
    assert job["last_entry_at"].endswith("Z")
    assert on_the_clock(job["last_entry_at"], "%Y-%m-%d %H:%M") in cli("job", "list")[1]


def test_the_trail_of_a_figure(cli: Cli) -> None:
    assert cli("log", "fault", "Hall", "pixel dark", "R3C12 x7 y2")[0] == 0
    (step,) = as_json(cli("trail", "Hall", "fault", "1", "--json"))["steps"]
    assert step["at"].endswith("Z")
    shown = cli("trail", "Hall", "fault", "1")[1].splitlines()
    assert any(line.startswith(on_the_clock(step["at"], "%Y-%m-%d %H:%M:%S")) for line in shown)


def test_what_was_fitted_at_a_place(cli: Cli) -> None:
    assert cli("part", "fit", "Hall", "cabinet", "R1C1", "C-1")[0] == 0
    (row,) = as_json(cli("part", "history", "Hall", "--at", "R1C1", "--json"))
    shown = cli("part", "history", "Hall", "--at", "R1C1")[1]
    assert shown.startswith(on_the_clock(row["at"], "%Y-%m-%d %H:%M "))
