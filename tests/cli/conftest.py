"""The command line, run in this process as a script would."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commission_tui.cli import run
from tests.cli.helping import Cli


@pytest.fixture
def cli(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Cli:
    """Run a command on a database of this test's own."""

    def call(*arguments: object, database: str = "logbook.db") -> tuple[int, str, str]:
        words = ["--database", str(tmp_path / database), "--as", "A. Technician"]
        status = run([*words, *(str(word) for word in arguments)])
        captured = capsys.readouterr()
        assert "Traceback" not in captured.err
        return status, captured.out, captured.err

    return call


@pytest.fixture
def wall_file(tmp_path: Path, demo_wall_text: str) -> Path:
    path = tmp_path / "hall.toml"
    path.write_text(demo_wall_text, encoding="utf-8")
    return path


@pytest.fixture
def opened(cli: Cli, wall_file: Path) -> str:
    status, out, _ = cli(
        *("job", "new", wall_file, "--name", "Hall", "--client", "Council"),
        *("--integrator", "Firm", "--json"),
    )
    assert status == 0
    return str(json.loads(out)["job"])
