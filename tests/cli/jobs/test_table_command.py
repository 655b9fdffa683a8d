"""A meter's table from the command line: what is told, what is asked, and what is taken."""

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


def test_a_mapping_is_said_once_and_known_in_the_next_job(cli: Cli, tmp_path: Path) -> None:
    table = tmp_path / "meter.csv"
    table.write_text("P;L (fL)\nR1C1;58,4\nR1C2;58,6\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--json", "--mapping", "spot meter")
    columns = ("--check", CHECK, "--column", "P=place", "--column", f"L={FIELD}")
    assert cli(*words)[0] == 2
    before = entries(cli)
    dry = as_json(cli(*words, *columns, "--dry-run"))
    assert (dry["taken"], dry["sound"]) == (0, 2)
    assert entries(cli) == before
    taken = as_json(cli(*words, *columns))
    assert taken["taken"] == 2
    assert any("converted from fL to cd/m2" in note for note in taken["notes"])
    other = as_json(cli("log", "import", "Foyer", table, "--mapping", "Spot Meter", "--json"))
    assert other["taken"] == 2
    status, _, err = cli(*words[:4], "--mapping", "spot meter", "--check", "brightness")
    assert status == 2
    assert f"is of {CHECK}" in err


@pytest.mark.parametrize("place", ["Place", "Cabinet", "row;column"])
def test_where_a_column_is_said_the_place_is_read_by_its_heading(
    cli: Cli, tmp_path: Path, place: str
) -> None:
    table = tmp_path / "meter.csv"
    first, second = ("1;1", "1;2") if ";" in place else ("R1C1", "R1C2")
    table.write_text(f"{place};A;B\n{first};600;7\n{second};601;8\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK, "--json")
    taken = as_json(cli(*words, "--column", f"A={FIELD}"))
    assert taken["taken"] == 2


def test_where_no_heading_is_a_place_that_is_said(cli: Cli, tmp_path: Path) -> None:
    table = tmp_path / "meter.csv"
    table.write_text("Z;A\none;600\ntwo;601\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK)
    status, _, err = cli(*words, "--column", f"A={FIELD}")
    assert status == 2
    assert "found no place, expected place, or row and column" in err


@pytest.mark.parametrize("name", [(), ("--mapping", "spot meter")])
def test_columns_that_nobody_gave_are_said_not_to_be_read(
    cli: Cli, tmp_path: Path, name: tuple[str, ...]
) -> None:
    table = tmp_path / "meter.csv"
    table.write_text("Cab,L,x,y,who\nR1C1,600,0.312,0.329,Ada\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK, "--dry-run", *name)
    _, _, err = cli(*words, "--column", "Cab=place", "--column", f"L={FIELD}")
    assert f"columns: 'Cab' as place, 'L' as {FIELD}" in err
    assert "; not read: 'x', 'y', 'who'\n" in err
    assert "this time only" not in err


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("R9C9,1", ["--skip-bad"]),
        ("R1C9,20.6", ["--confirm"]),
    ],
)
def test_a_dry_run_ends_as_the_table_would(
    cli: Cli, tmp_path: Path, row: str, said: list[str]
) -> None:
    table = tmp_path / "meter.csv"
    rows = "".join(f"R1C{c},{200 + c}\n" for c in range(1, 9))
    table.write_text(f"place,value\n{rows}{row}\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK, "--field", FIELD)
    dry, (status, out, err) = cli(*words, "--dry-run"), cli(*words)
    assert (dry[0], status, out) == (2, 2, "")
    assert dry[1].startswith(("8 readings sound", "9 readings sound"))
    assert dry[2] == err
    assert cli(*words, "--dry-run", *said)[0] == cli(*words, *said)[0] == 0
    assert cli(*words, "--dry-run", *said)[0] == cli(*words, *said)[0] == 2  # it stands already
    assert cli(*words, "--dry-run", *said, "--replace")[0] == 0


def test_odd_rows_are_asked_about_and_every_refused_row_is_told(cli: Cli, tmp_path: Path) -> None:
    table = tmp_path / "meter.csv"
    rows = "".join(f"R1C{c},{200 + c}\n" for c in range(1, 8))
    table.write_text(f"place,value\n{rows}R1C8,20.6\nR9C9,1\nR1C9,x\n", encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK, "--field", FIELD)
    before = entries(cli)
    status, out, err = cli(*words)
    assert (status, out) == (2, "")
    assert [line.split(":")[0] for line in err.splitlines()][:3] == ["refused", "refused", "odd"]
    assert "line 10" in err
    status, _, err = cli(*words, "--skip-bad")
    assert status == 2
    assert "add --confirm" in err
    assert entries(cli) == before
    status, out, _ = cli(*words, "--skip-bad", "--confirm")
    assert status == 0
    assert out.startswith("8 readings taken, 2 rows left out")


ROWS = "".join(f"R1C{c},{600 + c}\n" for c in range(1, 9))


@pytest.fixture
def logged(cli: Cli, tmp_path: Path) -> Path:
    """Log a table of eight cabinets and return it."""
    table = tmp_path / "first.csv"
    table.write_text("place,luminance_cd_m2\n" + ROWS, encoding="utf-8")
    status, out, err = cli("log", "import", "Hall", table, "--check", CHECK)
    assert status == 0
    assert out.startswith("8 readings taken, 0 rows left out; 8 rows: 8 read, 0 refused")
    assert "columns: 'place' as place" in err
    return table


def test_the_same_table_twice_is_told_and_replaces_nothing_unasked(cli: Cli, logged: Path) -> None:
    words = ("log", "import", "Hall", logged, "--check", CHECK)
    before = entries(cli)
    _, _, err = cli(*words, "--dry-run")
    assert "all 8 already logged, with the same values: this table was imported before?" in err
    status, out, err = cli(*words)
    assert (status, out) == (2, "")
    assert "nothing was taken, say --replace" in err
    assert entries(cli) == before
    assert cli(*words, "--replace", "--again")[0] == 2
    assert as_json(cli(*words, "--replace", "--json"))["standing"] == {"readings": 8, "same": 8}
    assert entries(cli) == before + 8


def test_a_table_over_what_was_signed_is_taken_only_with_confirm(cli: Cli, logged: Path) -> None:
    taken = ("--take", "all: The firm; 2036-01-01; M. H.")
    assert cli("accept", "Hall", "--name", "M. Hollis", *taken)[0] == 0
    words, before = ("log", "import", "Hall", logged, "--check", CHECK, "--replace"), entries(cli)
    status, _, err = cli(*words)
    assert (status, entries(cli)) == (2, before)
    assert "M. Hollis (client) signed since; nothing was taken, add --confirm" in err
    assert cli(*words, "--confirm")[0] == 0
    assert cli(*words)[0] == 0  # what stands now was logged after it


def test_a_further_table_is_averaged_with_the_first(cli: Cli, logged: Path) -> None:
    logged.write_text("place,luminance_cd_m2\nR1C1,603\nR2C1,604\n", encoding="utf-8")
    words = ("log", "import", "Hall", logged, "--check", CHECK)
    assert "1 already logged" in cli(*words)[2]
    assert cli(*words, "--again")[0] == 0
    trail = cli("trail", "Hall", CHECK, FIELD, "R1C1")[1]
    assert "601" in trail
    assert "603" in trail


def test_a_thousandth_of_what_is_logged_is_asked_about(cli: Cli, logged: Path) -> None:
    table = logged.with_name("thousands.csv")
    rows = "".join(f"R1C{c};1,60{c}\n" for c in range(1, 9))
    table.write_text("place;Luminance (cd/m2)\n" + rows, encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK)
    status, _, err = cli(*words)
    assert status == 2
    assert "say --decimal point or --decimal comma" in err
    before = entries(cli)
    for more in ((), ("--replace",), ("--confirm",)):
        status, _, err = cli(*words, "--decimal", "comma", *more)
        assert status == 2
        assert "1.601 cd/m2 where 601 is logged here" in err
        assert entries(cli) == before
    assert cli(*words, "--decimal", "comma", "--confirm", "--replace")[0] == 0


def test_who_said_the_decimal_sign_is_told_which_number_has_the_other_and_not_to_say_it(
    cli: Cli, logged: Path
) -> None:
    table = logged.with_name("signs.csv")
    table.write_text("place;luminance_cd_m2\nR1C1;601,5\nR1C2;602.5\n", encoding="utf-8")
    said = ("--decimal", "comma", "--replace")
    status, _, err = cli("log", "import", "Hall", table, "--check", CHECK, *said)
    assert status == 2
    assert "'602.5', expected a decimal comma, not a point" in err
    assert "say --decimal" not in err


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("cabinet,A\nR1C1,600\n", ("--check", CHECK),
         f"--column 'cabinet=place' --column 'A={FIELD}'"),
        ("R1C1,600\nR1C2,601\n", ("--check", CHECK),
         f"--column 'column 1=place' --column 'column 2={FIELD}'"),
        ("place,value\nR1C1,600\n", ("--check", CHECK), f"expected --field with one of {FIELD}"),
        ("place,luminance\nR1C1,600\n", (), "others --check says"),
        ("check,value,foo\nbrightness,1,2\n", (), "and --column what each is"),
        ("", ("--check", CHECK), "the file is empty"),
        ("", (), "the file is empty"),
    ],
)  # fmt: skip
def test_what_is_not_certain_is_told_with_what_to_say(
    cli: Cli, tmp_path: Path, text: str, words: tuple[str, ...], said: str
) -> None:
    table = tmp_path / "meter.csv"
    table.write_text(text, encoding="utf-8")
    status, out, err = cli("log", "import", "Hall", table, *words)
    assert (status, out) == (2, "")
    assert said in err


def test_a_table_without_headings_is_taken_by_its_numbers(cli: Cli, tmp_path: Path) -> None:
    table = tmp_path / "meter.txt"
    table.write_text(ROWS.replace(",", "\t"), encoding="utf-8")
    words = ("log", "import", "Hall", table, "--check", CHECK, "--json")
    assert as_json(cli(*words, "--field", FIELD))["taken"] == 8
