"""Two logbooks brought together on the command line: what clashes is said, and given to scripts."""

from __future__ import annotations

from pathlib import Path

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
