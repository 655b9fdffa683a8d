"""Opening a job: what a script must say, what is asked at a terminal."""

from __future__ import annotations

import json
import re
from pathlib import Path

from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
from commission_tui.cli.design.interview import interview
from commission_tui.cli.jobs.job_questions import questions, settled
from commission_tui.errors import InputError
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.agreed_checks import unsettled_features
from commission_tui.wall.model.wall_file import parse_wall
from tests.cli.helping import Cli, typed_at_a_terminal
from tests.logbook.state.test_agreed_checks import evening_wall


class Typed:
    """Answers in order; keeps what was asked."""

    was_early = False

    def __init__(self, *lines: str) -> None:
        self._lines = list(lines)
        self.asked: list[str] = []

    def line(self, prompt: str) -> str:
        self.asked.append(prompt)
        return self._lines.pop(0)


def free(_name: str) -> None:
    """No job has this name."""


def taken(name: str) -> None:
    raise InputError(f"name: found {name!r}, which a job has already")


def test_a_script_is_asked_nothing_and_told_what_is_missing(cli: Cli, wall_file: Path) -> None:
    status, out, err = cli("job", "new", wall_file, "--client", "Council")
    assert (status, out) == (2, "")
    assert "--name" in err
    assert json.loads(cli("job", "list", "--json")[1]) == []


def test_what_was_answered_before_the_program_ended_stands_there_the_next_time(
    tmp_path: Path, wall_file: Path
) -> None:
    words = ["--database", str(tmp_path / "hall.db"), "--as", "Ada Smit", "job", "new"]
    words.append(str(wall_file))
    typed_at_a_terminal(
        words, "", [("Job", "The hall\r"), ("Client", "Council\r"), ("Firm", "kill")], ends=-9
    )
    said = typed_at_a_terminal(
        words, "", [("[The hall]", "\r"), ("[Council]", "\r"), ("Firm", "Tarn & Fell" + "\r" * 40)]
    )
    assert "Client (who signs) [Council]" in said
    assert "opened 'The hall'" in said
    # What is told is parted between words, not where the terminal's 80 columns end.
    told = said[said.index("opened 'The hall'") :].splitlines()
    assert len(told) > 1
    assert max(map(len, told)) <= 80
    assert any("'commission-tui'" in line for line in told)
    assert not list(tmp_path.glob("*.draft"))


def test_what_nobody_settled_is_asked_of_the_checks_that_are_agreed() -> None:
    wall, checklist = parse_wall(evening_wall()), parse_checklist(shipped_files())
    typed = Typed("", "Council", "Firm", "", "y", "", "n", "", "")
    answers = interview(questions(wall, checklist, free), {}, typed)
    assert answers["name"] == "Fellmoor Town Hall, Main"
    assert answers["scope"] == "short"
    assert [prompt.split(" (")[0].split(" ", 1)[1] for prompt in typed.asked[4:]] == [
        "An input from the fire alarm",
        "Emergency stop",
        "Hoists left in the load path",
        "Seismic restraint",
        "A backup run to each chain",
    ]
    numbers = [int(prompt.split(".")[0]) for prompt in typed.asked]
    assert numbers == list(range(1, len(typed.asked) + 1))
    assert settled(answers) == {"fire input": "yes", "hoists": "no"}


def test_more_is_asked_where_more_is_agreed_and_a_name_that_is_taken_is_not_offered() -> None:
    wall, checklist = parse_wall(evening_wall()), parse_checklist(shipped_files())
    asked = questions(wall, checklist, taken)
    assert asked[0].standard is None
    whole = [q.key for q in asked if q.when({"scope": "all"})]
    short = [q.key for q in asked if q.when({"scope": "short"})]
    assert set(short) < set(whole)
    assert "fibre" in whole


def test_the_name_that_is_offered_says_the_site_once() -> None:
    text, checklist = evening_wall(), parse_checklist(shipped_files())
    wall = parse_wall(text)
    site, name = wall.file.wall.site, wall.name
    assert questions(wall, checklist, free)[0].standard == f"{site}, {name}"
    said_twice = parse_wall(text.replace(f'"{name}"', f'"{site}, {name}"', 1))
    assert questions(said_twice, checklist, free)[0].standard == f"{site}, {name}"


def test_a_wall_of_which_all_is_known_asks_no_feature(demo_wall_text: str) -> None:
    wall, checklist = parse_wall(demo_wall_text), parse_checklist(shipped_files())
    asked = [q for q in questions(wall, checklist, free) if q.when({"scope": "short"})]
    assert [q.key for q in asked] == ["name", "client", "integrator", "scope"]


def test_what_was_settled_at_the_start_is_in_the_logbook(logbook: Logbook) -> None:
    job = logbook.create(
        by="A. Technician",
        name="Evening",
        client="Council",
        integrator="Firm",
        wall_text=evening_wall(),
        scope="short",
        settled={"hoists": "no", "fire input": "yes"},
    )
    assert not {"hoists", "fire input"} & set(unsettled_features(job.state))
    assert str(job.outcome("hoists").verdict) == "not applicable"
    assert job.outcome("fire-input").reason == "nothing recorded yet"


def test_what_is_agreed_and_what_waits_make_up_what_the_size_counts(
    cli: Cli, tmp_path: Path
) -> None:
    path = tmp_path / "open.toml"
    path.write_text(evening_wall(), encoding="utf-8")
    given = ("--name", "Side", "--client", "C", "--integrator", "I", "--scope", "all")
    said = cli("job", "new", path, *given)[2]
    agreed, apply, waiting = (
        int(re.search(pattern, said)[1])  # type: ignore[index]
        for pattern in (r"(\d+) checks agreed", r"(\d+) of them apply", r"(\d+) agreed checks wait")
    )
    assert agreed == len(list(parse_checklist(shipped_files())))
    shown = json.loads(cli("job", "show", "Side", "--json")[1])
    assert (shown["agreed"], shown["not_settled"], shown["checks"]) == (agreed, waiting, apply)
    verdicts = [row["verdict"] for row in json.loads(cli("evaluate", "Side", "--json")[1])]
    assert (len(verdicts), verdicts.count("not settled")) == (agreed, waiting)
    said = cli("evaluate", "Side")[1]
    assert "remote-access: waits until it is settled whether there is remote access" in said
