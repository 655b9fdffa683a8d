"""Parts from the command line."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.helping import Cli, as_json
from tests.cli.jobs.test_meter_commands import CHECK, FIELD, cli

__all__ = ["cli"]


def test_a_swap_says_what_to_look_at_again(cli: Cli) -> None:
    assert cli("part", "spare", "Hall", "module", "M-0417", "--batch", "B7")[0] == 0
    assert cli("part", "fit", "Hall", "module", "R3C7 m1,1", "M-0112")[0] == 0
    assert (
        cli("log", "reading", "Hall", "cabinet-luminance", "luminance_cd_m2", "R3C7", 200)[0] == 0
    )
    swapped = as_json(
        cli(
            "part", "fit", "Hall", "module", "R3C7 m1,1", "M-0417", "--replaces", "M-0112", "--json"
        )
    )
    assert swapped["from_spares"] is True
    assert {row["check"] for row in swapped["look_again"]} >= {"cabinet-luminance"}
    listed = as_json(cli("part", "list", "Hall", "--json"))
    assert listed["spares"] == []
    assert [row["serial"] for row in listed["fitted"]] == ["M-0417"]
    assert listed["not_registered"] == {"module": 287}
    history = as_json(cli("part", "history", "Hall", "--at", "R3C7", "--json"))
    assert [row["serial"] for row in history] == ["M-0112", "M-0417"]
    assert "for M-0112" in cli("part", "history", "Hall", "--serial", "M-0417")[1]
    _, said, err = cli("part", "list", "Hall")
    assert "M-0417" in said
    assert err == "module: 1 of B7; 287 without a serial\n"


def test_parts_whose_batch_nobody_knows_are_told_as_such(cli: Cli) -> None:
    assert cli("part", "fit", "Hall", "module", "R3C7 m1,1", "M-0112")[0] == 0
    err = cli("part", "list", "Hall")[2]
    assert err == "module: 1 of which no batch is recorded; 287 without a serial\n"


def test_a_list_is_taken_whole_or_not(cli: Cli, tmp_path: Path) -> None:
    parts = tmp_path / "parts.csv"
    parts.write_text("location;serial;batch\nR1C1;C-1;B3\nR1C2;C-1;B3\n")
    words = ("part", "import", "Hall", parts, "--part", "cabinet")
    status, out, err = cli(*words)
    assert (status, out) == (2, "")
    assert "line 3" in err
    assert json.loads(cli("part", "list", "Hall", "--json")[1])["fitted"] == []
    status, out, _ = cli(*words, "--dry-run", "--json")
    assert (status, json.loads(out)["sound"]) == (2, 1)
    parts.write_text("location;serial;batch\nR1C1;C-1;B3\nR1C2;C-2;B3\n")
    assert as_json(cli(*words, "--json"))["taken"] == 2
    assert cli("part", "history", "Hall")[0] == 2


def test_two_parts_change_places(cli: Cli) -> None:
    for column in (1, 2):
        assert cli("part", "fit", "Hall", "cabinet", f"R1C{column}", f"C-{column}")[0] == 0
        reading = (CHECK, FIELD, f"R1C{column}", 200)
        assert cli("log", "reading", "Hall", *reading)[0] == 0
    words = ("part", "exchange", "Hall", "cabinet", "R1C1", "R1C2")
    told = as_json(cli(*words, "--json"))
    assert {place for row in told["look_again"] for place in row["places"]} >= {"R1C1", "R1C2"}
    assert cli(*words)[1].startswith("cabinet C-1 at R1C1\ncabinet C-2 at R1C2")


def test_a_fault_says_what_to_look_at_first_and_whether_it_blocks(cli: Cli) -> None:
    first = as_json(cli("log", "fault", "Hall", "pixel dark", "R1C1 x10 y10", "--json"))
    assert (first["severity"], first["why"]) == ("near", "")
    assert first["blocking"] == "counts in the agreed allowance"
    second = as_json(cli("log", "fault", "Hall", "pixel dark", "R1C1 x13 y14", "--json"))
    assert (second["severity"], second["why"]) == ("shows", "2 faulty pixels within 5 px")
    assert len(second["first_looks"]) == 3
    status, out, err = cli("log", "fault", "Hall", "port dark", "wall")
    assert status == 0
    until = "it blocks acceptance until it is mended and verified"
    assert f"{until}, or the client takes it as it is\n" in out
    assert "  1. " in out
    assert "more closely: found wall, expected a port: P4" in err
    assert cli("log", "fault", "Hall", "port dark", "P4")[2] == ""
    out = cli("log", "fault", "Hall", "port dark", "P4", "--severity", "danger")[1]
    assert f"{until}\n" in out


def test_a_part_where_none_was_known_is_registered_and_may_be_made_an_exchange(cli: Cli) -> None:
    assert cli("log", "reading", "Hall", CHECK, FIELD, "R1C2", 200)[0] == 0
    assert cli("visit", "Hall", "Two weeks")[0] == 0
    words = "part", "fit", "Hall", "module", "R1C2 m1,1", "M-2"
    _, said, _ = cli(*words)
    assert said.startswith("module M-2 at R1C2 m1,1: registered as what hangs there")
    assert "--replaces" in said
    assert "look again" not in said
    exchanged = as_json(cli(*words, "--replaces", "unknown", "--json"))
    assert exchanged["exchange"] is True
    assert CHECK in {row["check"] for row in exchanged["look_again"]}
    assert "for unknown" in cli("part", "history", "Hall", "--serial", "M-2")[1]
    assert cli(*words, "--replaces", "M-1")[0] == 2, "it took another's place already"
