"""The help of the whole program says of each command what the command says of itself."""

from __future__ import annotations

import subprocess
import sys

import click

from commission_tui.cli import SUMMARIES, root

NAMES = root.list_commands(click.Context(root))


def test_the_summary_is_the_commands_own_first_paragraph() -> None:
    for name in NAMES:
        command = root.get_command(click.Context(root), name)
        assert command is not None, name
        assert command.help is not None, name
        assert SUMMARIES[name] == " ".join(command.help.split("\n\n")[0].split())


def test_there_is_a_summary_for_every_command_and_no_other() -> None:
    assert sorted(SUMMARIES) == sorted(NAMES)


def test_the_help_imports_no_command() -> None:
    code = (
        "import sys\nfrom commission_tui.cli import run\nrun(['--help'])\n"
        "print([m for m in sys.modules if m.startswith(('commission_tui.logbook', 'pydantic',"
        " 'textual', 'numpy', 'commission_tui.cli.jobs.job_commands'))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
    assert "Commands:" in done.stdout
