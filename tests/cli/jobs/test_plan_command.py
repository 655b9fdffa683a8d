"""The plan from the command line: the time as people say it, and how often a check finds something."""

from __future__ import annotations

import json

from tests.cli.helping import Cli


def test_the_time_is_read_as_on_the_screen(cli: Cli, opened: str) -> None:
    found = [
        json.loads(cli("plan", "Hall", "--minutes", time, "--json")[1])["now"]
        for time in ("60", "1h", "60 min")
    ]
    assert found[0]
    assert found[0] == found[1] == found[2]
    assert "expected a time such as 40, 90 min or 1,5 h" in cli("plan", "Hall", "--minutes", "x")[2]


def test_how_a_guess_of_one_of_ten_becomes_its_percentage_is_said(cli: Cli, opened: str) -> None:
    """(1 + 1/2) / (10 + 1): Jeffreys' prior, as `Odds.mean` says."""
    _, out, err = cli("plan", "Hall", "--minutes", "60")
    assert "finds one in 14%: guess 1 of 10, counted 0 of 0" in out
    assert "a guess of 1 of 10 is 1.5 of 11, 14%" in err
