"""The command line where things go wrong around it: streams, signals, encodings, rights, text."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.helping import Cli, as_json, with_meter
from tests.paths import ROOT

PROGRAM = [sys.executable, "-m", "commission_tui"]


@pytest.fixture
def shell(tmp_path: Path, opened: str) -> Path:
    """Return a folder in which ``$CT`` is the program on a logbook with the job Hall."""
    (tmp_path / "ct").write_text(
        f'#!/bin/sh\nexec {" ".join(PROGRAM)} --database {tmp_path}/logbook.db --as A "$@"\n'
    )
    (tmp_path / "ct").chmod(0o755)
    return tmp_path


def sh(folder: Path, line: str, **environment: str) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        ["bash", "-c", line],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        timeout=60,
        check=False,
    )
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    return done


def test_a_reader_that_goes_early_is_no_failure(shell: Path) -> None:
    done = sh(shell, "set -o pipefail; ./ct evaluate Hall --json | head -1")
    assert (done.returncode, done.stdout, done.stderr) == (0, "[\n", "")
    # The reader has gone before the first line is written.
    done = sh(shell, "./ct --help > >(exec true); echo $?")
    assert (done.stdout, done.stderr) == ("0\n", "")
    for words in ("job show Hall", "--help"):
        done = sh(shell, f"(sleep 0.2; ./ct {words}; echo $? >&2) | true")
        assert done.stderr == "0\n"


def test_a_stream_that_cannot_be_written_is_one_line(shell: Path) -> None:
    done = sh(shell, "./ct job show Hall > /dev/full")
    assert (done.returncode, done.stderr) == (2, "output: No space left on device\n")


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ("job show Hall <&- >&-", 0),
        ("nonsense 2>&-", 2),
        ("job show nowhere <&- >&- 2>&-", 2),
        ("<&-", 2),
        ("wall new new.toml <&-", 2),
        ("wall new new.toml", 2),
    ],
)
def test_closed_streams(shell: Path, words: str, status: int) -> None:
    done = sh(shell, f"./ct {words}")
    assert done.returncode == status
    assert len(done.stderr.splitlines()) <= 1
    assert not (shell / "new.toml").exists()


def test_any_encoding_of_the_terminal_takes_the_output(shell: Path, cli: Cli) -> None:
    cli("log", "fault", "Hall", "cabinet dark", "R1C1", "--note", "Ünïcode 漢字")
    cli(
        "job", "new", shell / "hall.toml", "--name", "Hall 漢", "--client", "x", "--integrator", "x"
    )
    narrow = {"LC_ALL": "C", "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = sh(shell, "./ct job show Hall --json >shown.json", **narrow)
    assert done.returncode == 0
    notes = [item["note"] for item in json.loads((shell / "shown.json").read_text())["faults"]]
    assert notes == ["Ünïcode 漢字"]
    done = sh(shell, "./ct job list", PYTHONIOENCODING="latin-1:strict")
    assert (done.returncode, "Hall \\u6f22" in done.stdout) == (0, True)
    done = sh(shell, "./ct log note Hall Hallå", **narrow, PYTHONCOERCECLOCALE="0")
    assert (done.returncode, done.stderr) == (
        2,
        "note: found bytes that are not text here, expected UTF-8 (see LANG)\n",
    )


def test_bytes_that_are_no_text_are_refused_in_one_line(shell: Path) -> None:
    """Of a folder's or a file's name too: what Python makes of the bytes is `surrogate` below."""
    done = sh(shell, "./ct log note Hall $'\\xff\\xfe'")
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1


def test_without_a_home_folder_a_database_must_be_named(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("only root can become a user without a home")
    code = (
        "import os, sys\nfrom commission_tui.cli import run\nrun(['job', '--help'])\n"
        "import commission_tui.logbook.logbook, platformdirs.unix\nos.setuid(54321)\n"
        "sys.exit(run(['job', 'list']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={
            name: value
            for name, value in os.environ.items()
            if name in {"PATH", "PYTHONPYCACHEPREFIX"}  # without the latter it would compile itself
        },
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in {2, 3}  # an older platformdirs tries a folder named ~
    assert len(done.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_an_interrupted_import_or_export_is_whole_or_nothing(shell: Path, cli: Cli) -> None:
    with_meter(cli)
    cells = [f"R{row}C{column}" for row in range(1, 7) for column in range(1, 13)]
    table = "place,value\n" + "".join(f"{cell},200\n" for cell in cells)
    (shell / "meter.csv").write_text(table)
    before = as_json(cli("job", "show", "Hall", "--json"))["entries"]
    taking = (
        "log import Hall meter.csv --check cabinet-luminance --field luminance_cd_m2 "
        "--replace --confirm"
    )
    making = "export Hall --format json --format html --format pdf -o out"
    begun = "from commission_tui.cli import main; print('begun', flush=True); main()"
    for number in range(4):
        (shell / "out").mkdir(exist_ok=True)
        words = (taking if number % 2 else making).split()
        running = subprocess.Popen(
            [sys.executable, "-c", begun, "--database", shell / "logbook.db", "--as", "A", *words],
            cwd=shell,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert running.stdout is not None
        assert running.stdout.readline() == "begun\n"  # before, Python itself is interrupted
        time.sleep(0.13 * (number + 1))
        running.send_signal(signal.SIGINT)
        _, err = running.communicate(timeout=60)
        assert running.returncode in {0, 130, -signal.SIGINT}, err
        names = {path.name for path in (shell / "out").iterdir()}
        assert names in (set(), {"hall.json", "hall.html", "hall.pdf"})
        after = as_json(cli("job", "show", "Hall", "--json"))["entries"]
        # 72 readings, and the first time the limits that they freeze.
        assert after in (before, before + 72, before + 73)
        before = after


HOSTILE = {
    "escapes": "\x1b[31mX\x1b]0;title\x07\x9b31mX",
    "two lines": "a\nb",
    "long": "x" * 100_000,
    "surrogate": "a\udcffb",
    "empty": "",
    "markup": "[red]#panic()=1+1<b>[/]",
    "marks and direction": "e\u0301\u0301\u200b😀 a\u202eb",
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_anywhere_is_one_line_or_data(
    cli: Cli, opened: str, wall_file: Path, text: str
) -> None:
    with_meter(cli)
    cli("log", "fault", "Hall", "cabinet dark", "R1C1")
    reading = ("log", "reading", "Hall", "brightness", "luminance_cd_m2")
    meter = ("--name", text, "--serial", text, "--certificate", text)
    for words in (
        (text,),
        ("job", "show", text),
        ("job", "new", text, "--name", text, "--client", text, "--integrator", text),
        ("job", "new", wall_file, "--name", text, "--client", text, "--integrator", text),
        ("job", "revise", "Hall", wall_file, "--reason", text),
        ("log", "note", "Hall", text, "--check", text),
        ("log", "note", "Hall", text),
        ("log", "skip", "Hall", text, text),
        ("log", "skip", "Hall", "spares", text),
        ("log", "fault", "Hall", text, text, "--note", text),
        ("log", "fault", "Hall", "cabinet dark", text),
        ("log", "fault", "Hall", "cabinet dark", "R1C2", "--note", text, "--seen-on", text),
        (
            "log",
            "accepted",
            "Hall",
            "1",
            "--note",
            text,
            "--client",
            text,
            "--owner",
            text,
            "--until",
            "2099-11-28",
        ),
        ("log", "reopened", "Hall", "1", "--note", text),
        (*reading, text, "600"),
        (*reading, "point 1", text),
        ("log", "correct", "Hall", text, text),
        ("log", "undo", "Hall", "--reason", text),
        ("log", "instrument", "Hall", text, *meter, "--accuracy", text),
        ("log", "instrument", "Hall", "m2", *meter, "--accuracy", f"{text}=1"),
        ("log", "photo", "Hall", text, "--caption", text),
        ("log", "import", "Hall", text, "--check", text),
        ("evaluate", "Hall", "--check", text),
        ("--as", text, "log", "note", "Hall", "x"),
    ):
        status, out, err = cli(*words)
        assert status in {0, 2}, words
        assert len(err.splitlines()) <= 1, words
        assert len(err) < 1200, words
        assert not {"\x1b", "\x9b", "\u202e"} & {*out, *err}, words
    for shown in (("job", "show", "Hall"), ("job", "list"), ("evaluate", "Hall")):
        for form in ((), ("--json",)):
            status, out, _ = cli(*shown, *form)
            assert status == 0
            assert out.isascii() or not form
            assert not {"\x1b", "\x9b", "\u202e"} & {*out}


def test_a_wall_file_is_written_whole_and_never_over_another(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = (
        *("--name", "a", "--site", "b", "--mounting", "flown", "--columns", 2, "--rows", 2),
        *("--cabinet-mm", 500, "--cabinet-px", 100, "--weight-kg", 5, "--power-w", 100),
        *("--ports", 2, "--pixels-per-port", 600_000),
    )
    path = tmp_path / "w.toml"
    assert cli("wall", "new", path, *words)[0] == 0
    whole = path.read_text()
    status, _, err = cli("wall", "new", path, *words)
    assert (status, "is there already" in err) == (2, True)

    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    status, _, err = cli("wall", "new", path, *words, "--replace")
    assert status == 2
    assert "No space left on device; nothing written" in err
    assert path.read_text() == whole
    assert [item.name for item in tmp_path.iterdir()] == ["w.toml"]
    for bad in (tmp_path / ("x" * 300), tmp_path / "no" / "w.toml"):
        status, _, err = cli("wall", "new", bad, *words)
        assert (status, "cannot be written" in err) == (2, True)


def test_what_is_no_database_is_exit_status_3(cli: Cli, tmp_path: Path) -> None:
    for words in (("--database", tmp_path), ("--database", "/dev/null"), ("--database", "")):
        status, _, err = cli(*words, "job", "list")
        assert status == 3
        assert "expected a logbook" in err


def test_a_folder_without_rights_is_one_line(shell: Path) -> None:
    if os.geteuid() == 0:
        become = "import os; os.setgroups([]); os.setgid(65534); os.setuid(65534)\n"
    else:
        become = ""
    (shell / "closed").mkdir(mode=0)
    shell.chmod(0o755)
    code = (
        "import sys, commission_tui.cli.jobs.job_commands, commission_tui.logbook.logbook\n"
        f"{become}from commission_tui.cli import run\n"
        "sys.exit(run(['--database', 'closed/new.db', 'job', 'list']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=shell, capture_output=True, text=True, check=False
    )
    assert (done.returncode, len(done.stderr.splitlines())) == (3, 1), done.stderr
    assert "Permission denied" in done.stderr
