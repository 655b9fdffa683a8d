"""Who logs: said, kept from before, or asked at the terminal; never the login name."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.errors import InputError
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.host.kept_name import kept_name, proper_name
from tests.cli.helping import typed_at_a_terminal


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.delenv("COMMISSION_TUI_AS", raising=False)
    return tmp_path


def words(home: Path, wall_file: Path) -> list[str]:
    return [
        *("--database", str(home / "l.db"), "job", "new", str(wall_file), "--name", "Hall"),
        *("--client", "Council", "--integrator", "Firm"),
    ]


def test_nobody_logs_nothing(
    home: Path, wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(words(home, wall_file)) == 2
    err = capsys.readouterr().err
    assert "who logs: found nobody, expected a name" in err
    assert len(err.splitlines()) == 1
    assert run(["--database", str(home / "l.db"), "job", "list"]) == 0  # reading needs no name


def test_the_name_is_asked_once_at_the_terminal_and_kept(home: Path, wall_file: Path) -> None:
    said = typed_at_a_terminal(
        words(home, wall_file), "", [("Your name", "\r"), ("Your name", "Ada Smit\r")]
    )
    assert kept_name() == "Ada Smit"
    assert "Your name" in said
    told = [line for line in said.splitlines() if "once" in line]
    assert told
    assert max(map(len, told)) < 80


def test_what_was_typed_before_the_name_was_asked_answers_the_questions_behind_it(
    home: Path, wall_file: Path
) -> None:
    words = ["--database", str(home / "l.db"), "job", "new", str(wall_file)]
    ahead = "Hall\rCouncil\rFirm\r\r" + "\r" * 40
    typed_at_a_terminal(words, ahead, [("Your name", "Ada Smit\r")])
    assert kept_name() == "Ada Smit"
    book = Logbook(home / "l.db")
    (job,) = book.jobs()
    opened = book.open(job.id, "A. Reader").state
    book.close()
    assert (opened.title.name, opened.title.client, opened.title.integrator) == (
        "Hall",
        "Council",
        "Firm",
    )
    assert opened.job is not None
    assert opened.job.by == "Ada Smit"


def test_what_was_typed_before_the_name_was_asked_and_is_for_nothing_is_said(
    home: Path, wall_file: Path
) -> None:
    said = typed_at_a_terminal(words(home, wall_file), "one\rtwo", [("Your name", "Ada Smit\r")])
    assert "not taken, typed before the name was asked: one | two" in said
    assert kept_name() == "Ada Smit"


def test_a_name_longer_than_a_name_is_refused_in_words_and_asked_again(
    home: Path, wall_file: Path
) -> None:
    said = typed_at_a_terminal(
        words(home, wall_file),
        "",
        [("Your name", f"{'Hall and stage ' * 12}\r"), ("again, please", "Ada Smit\r")],
    )
    assert "characters, expected at most 80; again, please" in said
    assert kept_name() == "Ada Smit"


@pytest.mark.parametrize("typed", ["\x1bOR\x07nine", "Ada\tSmit", "Ada\u202eSmit"])
def test_keys_that_are_no_letters_are_no_name(typed: str) -> None:
    with pytest.raises(InputError, match="expected who logs, in letters alone"):
        proper_name(typed)


def test_a_name_that_was_kept_is_shown_as_one_line(home: Path) -> None:
    (home / "config" / "commission_tui").mkdir(parents=True)
    kept = home / "config" / "commission_tui" / "who-logs.txt"
    kept.write_text("Ada\x1b[31m\nSmit\n", encoding="utf-8")
    assert kept_name().isprintable()
    kept.write_bytes(b"\xff\xfe")
    assert kept_name() == ""
