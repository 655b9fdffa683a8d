"""A firm's own checklists: tried with exact errors; the page that shows how is itself tried."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission_tui.checks import registry
from commission_tui.checks.checklists.checklist_file import (
    parse_checklist,
    shipped_files,
    try_folder,
)
from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.methods import methods
from commission_tui.checks.model.types import CheckInput, Limit, Reading, Verdict
from commission_tui.cli import run
from commission_tui.errors import ChecklistError
from tests.checks.helping import fellmoor
from tests.paths import ROOT

PAGE = (ROOT / "docs" / "checks.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    """Return the worked examples of a kind on the page of how-tos."""
    return re.findall(rf"```{kind}\n(.*?)```", PAGE, re.DOTALL)


EXAMPLE, CASES = blocks("toml")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    own = tmp_path / "own"
    own.mkdir()
    (own / "lobby.toml").write_text(EXAMPLE, encoding="utf-8")
    return own


def test_the_example_of_a_check_is_sound(folder: Path) -> None:
    tried = try_folder(folder)
    assert tried.errors == ()
    assert tried.added == ("own-lobby-level",)
    assert tried.overridden == ()


def test_the_example_of_a_check_judges() -> None:
    check = parse_checklist(shipped_files() | {"own.toml": EXAMPLE}).check("own-lobby-level")
    wall = fellmoor()

    def verdict(day: float, sensor: str = "follows") -> Verdict:
        levels = {"by day": Reading(day, "cd/m2"), "by night": Reading(150.0, "cd/m2")}
        return evaluate(
            check, wall, {"luminance_cd_m2": levels, "sensor": {"wall": Reading(sensor)}}
        ).verdict

    # The demo's contract says 600 cd/m2, here at most 10 % above and 95 % below.
    assert verdict(650.0) is Verdict.PASS
    assert verdict(670.0) is Verdict.FAIL
    assert verdict(650.0, "stands still") is Verdict.FAIL


@pytest.fixture
def example_method() -> Iterator[registry.Method]:
    methods()
    (example,) = blocks("python")
    exec(compile(example, "docs/checks.md", "exec"), {"__name__": "example"})  # noqa: S102 (our own page)
    yield methods()["own_day_to_night"]
    del registry.METHODS["own_day_to_night"]


def test_the_example_of_a_method_judges(example_method: registry.Method) -> None:
    limit = Limit("day_to_night", "", "contract", "contract", low=3.0)

    def judge(*levels: float) -> Verdict:
        names = ("by day", "by night")
        readings = {n: Reading(level, "cd/m2") for n, level in zip(names, levels, strict=False)}
        data = CheckInput(fellmoor(), {"luminance_cd_m2": readings}, {"day_to_night": limit})
        return example_method.function(data).verdict

    assert judge(600.0, 150.0) is Verdict.PASS
    assert judge(600.0, 300.0) is Verdict.FAIL
    assert judge(600.0, 0.0) is Verdict.OPEN
    assert judge(600.0) is Verdict.OPEN


def test_the_cases_on_the_page_are_judged_as_they_say(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["checklist", "test", str(folder)]) == 0
    told = capsys.readouterr()
    assert "0 errors in 1 file, 0 cases judged" in told.out
    assert "judged by no case: own-lobby-level" in told.err
    cased(folder, CASES)
    assert run(["checklist", "test", str(folder)]) == 0
    told = capsys.readouterr()
    assert "0 errors in 1 file, 3 cases judged" in told.out
    assert "no case" not in told.err


def cased(folder: Path, text: str) -> None:
    (folder / "cases").mkdir(exist_ok=True)
    (folder / "cases" / "lobby.toml").write_text(text, encoding="utf-8")


def test_a_case_that_is_judged_otherwise_says_how_and_why(
    folder: Path, tmp_path: Path, demo_wall_text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    cased(folder, CASES.replace('"by day" = 590', '"by day" = 690').replace(".fail]", ".pass ]"))
    assert run(["checklist", "test", str(folder)]) == 1
    assert "not TOML" in capsys.readouterr().err  # a table twice
    cased(folder, CASES.replace('"by day" = 590', '"by day" = 690'))
    assert run(["checklist", "test", str(folder)]) == 1
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("cases/lobby.toml: own-lobby-level.pass: found fail (")
    assert line.endswith("), expected pass")
    # On a wall whose contract says more light, what failed passes.
    wall = tmp_path / "brighter.toml"
    brighter = re.sub(r"(?m)^luminance_cd_m2 = .*", "luminance_cd_m2 = 700", demo_wall_text)
    assert brighter != demo_wall_text
    wall.write_text(brighter, encoding="utf-8")
    assert run(["checklist", "test", str(folder), "--wall", str(wall), "--json"]) == 1
    said = json.loads(capsys.readouterr().out)
    assert said["cases"] == 3
    wrong = [error.split(": ")[1] for error in said["errors"]]
    assert wrong == ["own-lobby-level.fail", "own-lobby-level.marginal"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("own-lobby-level.fail", "own-loby-level.fail", "found 'own-loby-level', expected the id of a check"),
        ("level.fail", "level.fails", "own-lobby-level: found 'fails', expected one of"),
        ("sensor", "senser", "pass: field: found 'senser', expected one of luminance_cd_m2, sensor"),
        ('"by day"', '"by dai"', "luminance_cd_m2: place: found 'by dai', expected one of this check (did you mean 'by day'?)"),
        ('"follows"', '"folows"', "Sensor for the light of the room: found 'folows', expected one of"),
        ("= 590", "= -5", "Luminance of white: found -5 cd/m², expected at least 0 cd/m²"),
        ("= 590", "= 1979-05-27", "luminance_cd_m2"),
        ("{ luminance_cd_m2 = 20 }", "{ luminance = 20 }", "expanded: found 'luminance', expected"),
        ("{ luminance_cd_m2 = 20 }", "{ luminance_cd_m2 = -1 }", "marginal.expanded.luminance_cd_m2"),
        ("{ luminance_cd_m2 = 20 }", "{ luminance_cd_m2 = { slope = 1 } }", "marginal.expanded.luminance_cd_m2"),
        ("expanded =", 'baseline = { sensor = "follows" }\nexpanded =', "baseline: found one, expected none"),
        ("expanded =", "beside = { other = { wall = 1 } }\nexpanded =", "beside: found 'other', expected"),
        ("expanded =", "record = { peple = [] }\nexpanded =", "marginal.record.peple"),
        ("expanded =", 'record = { changed = ["x"] }\nexpanded =', "marginal.record.changed[1]"),
        ("expanded =", 'faults = [["dark"]]\nexpanded =', "marginal.faults[1]"),
        ("[own-lobby-level.pass]", "brightness = 3\n[own-lobby-level.pass]", "brightness: found '3', expected one of"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_case_is_one_line(
    folder: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    assert old in CASES
    cased(folder, CASES.replace(old, new, 1))
    assert run(["checklist", "test", str(folder)]) == 1
    err = capsys.readouterr().err
    assert said in err.splitlines()[0]
    assert "Traceback" not in err


def test_an_override_is_counted(folder: Path) -> None:
    (folder / "lobby.toml").write_text(
        EXAMPLE.replace("own-lobby-level", "brightness"), encoding="utf-8"
    )
    tried = try_folder(folder)
    assert tried.added == ()
    assert tried.overridden == ("brightness",)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"in_limits"', '"in_limit"', r"method: found 'in_limit', .*did you mean 'in_limits'"),
        ('"public lobby"', '"lobby"', r"applies: found 'lobby', expected one of .*public lobby"),
        ('"brightness level"', '"brightnes"', r"rests_on.*brightnes"),
        ('unit = "cd/m2"', 'unit = "nit"', r"fields.luminance_cd_m2.unit: found 'nit', expected"),
        ('"luminance_cd_m2"       #', '"luminance"       #', r"from_target: found 'luminance'"),
        ('good = ["follows"', 'good = ["folows"', r"good: found 'folows', .*mean 'follows'"),
        ('standing = "common practice"', 'standing = "habit"', r"standing.*habit"),
        ("minutes = 6", "minuets = 6", r"minuets"),
        ("[[checks]]", "[[checks]", r"not TOML"),
    ],
)
def test_an_error_names_file_and_key(folder: Path, old: str, new: str, said: str) -> None:
    assert old in EXAMPLE
    (folder / "bad.toml").write_text(EXAMPLE.replace(old, new, 1), encoding="utf-8")
    tried = try_folder(folder)
    (error,) = tried.errors
    assert error.startswith("own/bad.toml")
    assert re.search(said, error), error
    assert "\n" not in error
    assert tried.added == ("own-lobby-level",)


def test_every_error_of_every_check_is_told(folder: Path) -> None:
    checks = EXAMPLE.split("[[checks]]")[1]
    bad = "[[checks]]".join(
        (
            EXAMPLE.split("[[checks]]")[0],
            checks.replace('"in_limits"', '"in_limit"'),
            checks.replace("own-lobby-level", "own-second"),
            checks.replace("own-lobby-level", "own-third").replace("minutes = 6", "minutes = 0"),
        )
    )
    (folder / "lobby.toml").write_text(bad, encoding="utf-8")
    first, third = try_folder(folder).errors
    assert first.startswith("own/lobby.toml: checks[1] (own-lobby-level).method: found 'in_limit'")
    assert third.startswith("own/lobby.toml: checks[3].minutes: found 0, expected")


def test_two_errors_of_one_check_are_both_told_with_their_lines(folder: Path) -> None:
    bad = EXAMPLE.replace("minutes = 6", "minutes = 0").replace(
        'label = "Luminance of white"\n', "", 1
    )
    (folder / "lobby.toml").write_text(bad, encoding="utf-8")
    errors = try_folder(folder).errors
    lines = bad.split("\n")
    said = {error.split(": ")[1]: int(error.split("line ")[1].rstrip(")")) for error in errors}
    assert said.keys() == {"checks[1].minutes", "checks[1].fields[1].label"}
    assert lines[said["checks[1].minutes"] - 1] == "minutes = 0"
    assert lines[said["checks[1].fields[1].label"] - 1] == "[[checks.fields]]"


UNFIT = (
    ('high = 3000\n', 'low = 800\nhigh = 700\n', "limits.luminance_cd_m2: found low 800 above high 700"),
    ("low = 1\nhigh = 5000", "low = 6000\nhigh = 5000",
     "fields.luminance_cd_m2: found low 6000 above high 5000"),
    ("minus_percent = 95", "minus_percent = -20",
     "limits.luminance_cd_m2: found 20 below and +10 above the target"),
    ('pattern = "white"', 'pattern = "black, wite"',
     "pattern: found 'wite', expected a pattern (did you mean 'white'?)"),
    ('places = ["by day", "by night"]', "places = []", "fields.luminance_cd_m2.places: found none"),
    ('"by day", "by night"', '"by day", "by day"',
     "fields.luminance_cd_m2.places: found 'by day' twice"),
)  # fmt: skip


@pytest.mark.parametrize(("old", "new", "said"), UNFIT)
def test_what_nobody_could_fulfil_is_refused_when_it_is_read_but_opens_where_it_stands(
    folder: Path, old: str, new: str, said: str
) -> None:
    assert old in EXAMPLE
    bad = EXAMPLE.replace(old, new, 1)
    (folder / "lobby.toml").write_text(bad, encoding="utf-8")
    (error,) = try_folder(folder).errors
    assert error.startswith("own/lobby.toml: checks[1] (own-lobby-level).")
    assert said in error
    with pytest.raises(ChecklistError, match=re.escape(said)):
        parse_checklist({"own/lobby.toml": bad})
    assert "own-lobby-level" in parse_checklist({"own/lobby.toml": bad}, stored=True)


def test_all_that_is_wrong_with_a_check_is_told_in_one_run(folder: Path) -> None:
    bad = EXAMPLE
    for old, new, _ in UNFIT[:1] + UNFIT[3:4]:
        bad = bad.replace(old, new, 1)
    bad = bad.replace("minutes = 6", "minuets = 6").replace('why = "A', 'whi = "A')
    bad = bad.replace('good = ["follows"', 'good = ["folows"')
    (folder / "lobby.toml").write_text(bad, encoding="utf-8")
    errors = "\n".join(try_folder(folder).errors)
    for said in ("minuets: unknown key", "whi: unknown key", "low 800 above", "'wite'", "'folows'"):
        assert said in errors
    unknown_method = bad.replace('"in_limits"', '"in_limit"')
    (folder / "lobby.toml").write_text(unknown_method, encoding="utf-8")
    both = "\n".join(try_folder(folder).errors)
    assert "found 'in_limit'" in both
    assert "'wite'" in both


def test_a_cabinet_that_a_wall_lacks_is_told_and_refused_for_that_wall(
    folder: Path, tmp_path: Path, wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    named = EXAMPLE.replace('"by day", "by night"', '"R1C1", "R99C9"').replace(
        'applies = ["public lobby"]', "applies = []"
    )
    (folder / "lobby.toml").write_text(named, encoding="utf-8")
    assert try_folder(folder).errors == ()
    assert run(["checklist", "test", str(folder)]) == 0
    assert "places: R99C9 is a cabinet" in capsys.readouterr().err
    words = ["--name", "N", "--client", "C", "--integrator", "I", "--checklists", str(folder)]
    database = ["--database", str(tmp_path / "x.db"), "--as", "A"]
    assert run([*database, "job", "new", str(wall_file), *words]) == 2
    err = capsys.readouterr().err
    assert "own-lobby-level.fields.luminance_cd_m2.places" in err
    assert "R99C9" in err


def test_a_new_job_says_which_of_the_firms_own_checks_are_not_agreed(
    folder: Path, tmp_path: Path, wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scoped = EXAMPLE.replace("minutes = 6", 'minutes = 6\nscope = ["middle"]')
    words = ["--client", "C", "--integrator", "I", "--checklists", str(folder), "--scope", "short"]
    database = ["--database", str(tmp_path / "x.db"), "--as", "A"]
    for text, left_out in ((EXAMPLE, False), (scoped, True)):
        (folder / "lobby.toml").write_text(text, encoding="utf-8")
        assert run([*database, "job", "new", str(wall_file), "--name", str(left_out), *words]) == 0
        said = "firm's own, not in what is agreed: own-lobby-level" in capsys.readouterr().err
        assert said is left_out


def test_one_bad_file_does_not_hide_another(folder: Path) -> None:
    for name in ("a.toml", "b.toml"):
        (folder / name).write_text(EXAMPLE.replace('"in_limits"', '"x"'), encoding="utf-8")
    assert len(try_folder(folder).errors) == 2


def test_a_check_in_two_stages_is_told(folder: Path) -> None:
    (folder / "other.toml").write_text(
        EXAMPLE.replace('id = "light"', 'id = "another"'), encoding="utf-8"
    )
    (error,) = try_folder(folder).errors
    assert "found check 'own-lobby-level' again" in error
    assert "own/" in error


def test_an_empty_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(ChecklistError, match=r"found no \.toml file"):
        try_folder(tmp_path)


def test_from_the_command_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["checklist", "test", str(folder)]) == 0
    assert "1 check added: own-lobby-level" in capsys.readouterr().out
    (folder / "bad.toml").write_text("order = 1\n", encoding="utf-8")
    assert run(["checklist", "test", str(folder), "--json"]) == 1
    said = json.loads(capsys.readouterr().out)
    assert (said["files"], len(said["errors"])) == (2, 1)
    assert run(["checklist", "test", str(folder / "nowhere")]) == 2
    assert "not a folder" in capsys.readouterr().err


def test_methods_and_checks_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["checklist", "methods", "--json"]) == 0
    rows = {row["method"]: row for row in json.loads(capsys.readouterr().out)}
    assert rows["nine_point_brightness"]["fields"] == ["luminance_cd_m2"]
    assert "mean_cd_m2" in rows["nine_point_brightness"]["limits"]
    assert rows["in_limits"]["any_fields"]
    assert all(row["does"] for row in rows.values())
    assert run(["checklist", "methods", "in_limits"]) == 0
    assert "fields: any" in capsys.readouterr().out
    assert run(["checklist", "methods", "in_limit"]) == 2
    assert "did you mean 'in_limits'" in capsys.readouterr().err
    assert run(["checklist", "list", "--json"]) == 0
    checks = json.loads(capsys.readouterr().out)
    assert len(checks) == len(list(parse_checklist(shipped_files())))
