"""Two logbooks brought together on the command line: what clashes is said, and given to scripts."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from commission_tui.logbook.entries.ids_and_clock import now
from commission_tui.logbook.entries.models import Note
from commission_tui.logbook.logbook import Logbook, body
from tests.cli.helping import Cli, as_json, with_meter


def test_clashing_corrections_are_said_and_in_json(cli: Cli, opened: str, tmp_path: Path) -> None:
    with_meter(cli)
    where = "Hall", "brightness", "luminance_cd_m2", "point 1"
    assert cli("log", "reading", *where, 600)[0] == 0
    assert cli("backup", tmp_path / "b.db")[0] == 0
    for database, value in (("logbook.db", 610), ("b.db", 595)):
        done = cli("log", "reading", *where, value, "--replace", database=database)
        assert done[0] == 0, done
    assert cli("backup", tmp_path / "again.db")[0] == 0
    status, _, said = cli("merge", tmp_path / "b.db")
    assert status == 0
    assert "point 1: A. Technician 610 cd/m², A. Technician 595 cd/m²; now 595 cd/m²" in said
    found = as_json(cli("merge", tmp_path / "b.db", "--json", database="again.db"))
    (clash,) = found["clashes"]
    assert [one["value"] for one in clash["said"]] == ["610 cd/m²", "595 cd/m²"]
    assert (clash["place"], clash["stands"]) == ("point 1", "595 cd/m²")


def test_entries_from_tomorrow_are_told_by_every_command_on_the_job(
    cli: Cli, opened: str, tmp_path: Path
) -> None:
    assert "one of the clocks" not in cli("job", "show", "Hall")[2]
    book = Logbook(tmp_path / "logbook.db", lambda: now() + timedelta(days=1))
    book.open(opened, "B. Technician").record(body(Note, text="dated tomorrow"))
    book.close()
    assert "one of the clocks is wrong" in cli("log", "note", "Hall", "today")[2]
    said = cli("merge", tmp_path / "logbook.db", database="empty.db")[2]
    assert "1 entry by B. Technician dated up to 24 h after now" in said
    assert "A. Technician logged 24 h before what B. Technician had logged already" in said
