"""What a command was told and what came back."""

from __future__ import annotations

import json
from typing import Any, Protocol


class Cli(Protocol):
    """Runs a command on a database of a test's own: exit status, what it said, what went wrong."""

    def __call__(
        self, *arguments: object, database: str = "logbook.db"
    ) -> tuple[int, str, str]: ...


def as_json(result: tuple[int, str, str]) -> Any:
    status, out, err = result
    assert status == 0, err
    return json.loads(out)


def with_meter(cli: Cli) -> None:
    status, out, _ = cli(
        *("log", "instrument", "Hall", "meter", "--name", "Spot meter", "--serial", "7"),
        *("--calibration-due", "2027-01-01", "--accuracy", "cd/m2=2"),
    )
    assert status == 0
    assert "Spot meter 7" in out
