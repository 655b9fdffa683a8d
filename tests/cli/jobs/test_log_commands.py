"""What `log undo` withdraws, in words, and what somebody has signed it does not withdraw unasked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commission_tui.logbook.entries.entry_factory import changed_body
from commission_tui.logbook.logbook import Logbook
from tests.cases import case
from tests.cli.helping import Cli, as_json
from tests.cli.jobs.test_meter_commands import CHECK, FIELD, cli, entries

__all__ = ["cli"]


def test_undo_says_what_it_withdrew(cli: Cli) -> None:
    assert cli("log", "reading", "Hall", CHECK, FIELD, "R3C7", 200)[0] == 0
    assert cli("log", "fault", "Hall", "pixel dark", "R3C7 x1 y1", "--severity", "near")[0] == 0
    assert cli("log", "mended", "Hall", 1, "--note", "new module")[0] == 0
    assert cli("log", "note", "Hall", "house dark")[0] == 0
    assert cli("log", "skip", "Hall", "loop-failure", "no return ordered")[0] == 0
    said = [cli("log", "undo", "Hall")[1] for _ in range(5)]
    title = "Luminance of every cabinet"
    assert said[:4] == [
        "withdrawn: Picture holds when a main cable is pulled: does not apply\n",
        "withdrawn: note: house dark\n",
        "withdrawn: fault 1, pixel dark at R3C7 x1 y1: mended, new module\n",
        "withdrawn: fault 1: pixel dark at R3C7 x1 y1, near\n",
    ]
    assert said[4].startswith(f"withdrawn: {title}: ")
    assert "at R3C7: 200 cd/m²" in said[4]
    assert cli("log", "undo", "Hall")[1].startswith("withdrawn: instrument Spot meter, serial 7")
    assert "found nothing to withdraw" in cli("log", "undo", "Hall")[2]


LIMIT = ("--low", "0.9", "--source", "mail", "--agreed-by", "M. H.", "--reason", "addendum")
LUX = ("--name", "Lux", "--serial", "2", "--accuracy", "lx=3")
ACTS = (
    (("setting", "Hall", "cabinet", "R2C3"), "cabinet at wall set to R2C3"),
    (("part", "fit", "Hall", "cabinet", "R1C1", "A-1"), "cabinet at R1C1: serial A-1"),
    (("part", "spare", "Hall", "module", "M-1"), "spare module, serial M-1"),
    (("visit", "Hall", "Spring"), "visit Spring begun"),
    (("job", "settle", "Hall", "daylight", "no"), "daylight: no"),
    (("log", "instrument", "Hall", "lux", *LUX), "instrument Lux, serial 2, calibration due not"),
    (("limit", "Hall", "brightness", "min_to_max", *LIMIT), "limit agreed with M. H.: min_to_max"),
)


def test_undo_takes_back_what_was_done_last_and_nothing_older(cli: Cli) -> None:
    """It took back the good reading before, without a word."""
    for level, (done, said) in enumerate(ACTS, start=200):
        with case(done):
            assert cli("log", "reading", "Hall", CHECK, FIELD, "R3C7", level)[0] == 0
            assert cli(*done)[0] == 0
            undone = cli("log", "undo", "Hall")[1]
            assert undone.startswith("withdrawn: ")
            assert said in undone
            assert f"{level} cd/m²" in cli("log", "undo", "Hall")[1]


def test_undo_takes_back_both_of_two_parts_that_changed_places(cli: Cli) -> None:
    for place, serial in (("R1C1", "A-1"), ("R1C2", "A-2")):
        assert cli("part", "fit", "Hall", "cabinet", place, serial)[0] == 0
    assert cli("part", "exchange", "Hall", "cabinet", "R1C1", "R1C2")[0] == 0
    assert cli("log", "undo", "Hall")[1].count("withdrawn: cabinet at") == 2
    fitted = as_json(cli("part", "list", "Hall", "--json"))["fitted"]
    assert {row["location"]: row["serial"] for row in fitted} == {"R1C1": "A-1", "R1C2": "A-2"}


def test_undo_moves_a_whole_run_back(cli: Cli) -> None:
    for column in (1, 2, 3):
        assert cli("log", "reading", "Hall", CHECK, FIELD, f"R1C{column}", 200 + column)[0] == 0
    assert cli("log", "shift", "Hall", CHECK, FIELD, "R1C1", "R1C3", "--right", 1)[0] == 0
    assert cli("log", "undo", "Hall")[1].count("put back: ") == 3
    assert "203 cd/m²" in cli("log", "undo", "Hall")[1]


def test_undo_of_a_table_is_summed_up_and_says_what_stands_again(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "meter.csv"
    rows = "".join(f"R1C{column},{210 + column}\n" for column in range(1, 10))
    path.write_text(f"place,value\n{rows}", encoding="utf-8")
    assert cli("log", "reading", "Hall", CHECK, FIELD, "R1C2", 200)[0] == 0
    words = ("log", "import", "Hall", path, "--check", CHECK, "--field", FIELD, "--replace")
    assert cli(*words, "--confirm")[0] == 0
    said = cli("log", "undo", "Hall")[1].splitlines()
    assert said[0] == "9 entries logged in one go taken back"
    assert [line.split(" at ")[-1].split(":")[0] for line in said[1:4]] == ["R1C1", "R1C2", "R1C3"]
    assert said[4:] == ["and 6 more", "stands again: R1C2 200 cd/m²"]
    assert cli(*words, "--confirm")[0] == 0
    undone = as_json(cli("log", "undo", "Hall", "--json"))
    assert (undone["entries"], undone["stands_again"]) == (9, ["R1C2 200 cd/m²"])
    assert cli("log", "reading", "Hall", CHECK, FIELD, "R1C2", 201, "--again")[0] == 0
    assert "stands again" not in cli("log", "undo", "Hall")[1], "it stood all the while"


def test_a_withdrawn_fault_comes_back_with_its_number(cli: Cli) -> None:
    for place in ("R3C7 x1 y1", "R3C8 x1 y1", "R3C9 x1 y1"):
        assert cli("log", "fault", "Hall", "pixel dark", place, "--severity", "near")[0] == 0
    assert cli("log", "withdrawn", "Hall", 2)[0] == 0
    assert "fault: found 2, which was withdrawn" in cli("log", "mended", "Hall", 2)[2]
    assert "withdrawn" in cli("trail", "Hall", "fault", 2)[1]
    said = cli("log", "undo", "Hall")[1]
    assert said == "put back: fault 2: pixel dark at R3C8 x1 y1, near; it was withdrawn\n"
    assert cli("log", "mended", "Hall", 3)[0] == 0
    assert cli("log", "withdrawn", "Hall", 2)[0] == 0
    assert cli("log", "note", "Hall", "house dark")[0] == 0
    assert cli("log", "reopened", "Hall", 2)[1] == "fault 2: open\n"
    left = as_json(cli("job", "show", "Hall", "--json"))["faults"]
    assert [(fault["number"], fault["state"]) for fault in left] == [
        (1, "open"), (2, "open"), (3, "mended"),
    ]  # fmt: skip


def test_a_fault_of_a_job_without_any_is_told_as_none(cli: Cli) -> None:
    assert "found no fault in this job" in cli("trail", "Hall", "fault", 1)[2]
    assert "and no fault is logged" in cli("log", "mended", "Hall", 1)[2]


def test_undo_puts_back_what_the_latest_correction_replaced(cli: Cli) -> None:
    assert cli("log", "reading", "Hall", CHECK, FIELD, "R3C7", 200)[0] == 0
    assert cli("log", "correct", "Hall", CHECK, FIELD, "R3C7", 210)[0] == 0
    said = cli("log", "undo", "Hall")[1]
    assert said.startswith("put back: Luminance of every cabinet: ")
    assert ["200 cd/m²" in part for part in said.split("; it was ")] == [True, False]
    assert cli("log", "undo", "Hall")[1].startswith("withdrawn: ")


def test_undo_leaves_what_was_signed_since_unless_it_is_confirmed(cli: Cli) -> None:
    assert cli("log", "fault", "Hall", "pixel dark", "R3C7 x1 y1", "--severity", "near")[0] == 0
    assert cli("log", "mended", "Hall", 1)[0] == 0
    taken = ("--take", "all: The firm; 2099-12-01; M. H.")
    assert cli("accept", "Hall", "--name", "M. Hollis", *taken)[0] == 0
    before = entries(cli)
    status, out, err = cli("log", "undo", "Hall")
    assert (status, out) == (2, "")
    words = "fault 1, pixel dark at R3C7 x1 y1: mended"
    assert f"undo: {words}: M. Hollis (client) signed since; add --confirm" in err
    assert entries(cli) == before
    undone = as_json(cli("log", "undo", "Hall", "--confirm", "--json"))
    assert (undone["what"], undone["signed_since"]) == (words, 1)


def test_undo_leaves_what_another_person_logged_unless_it_is_confirmed(cli: Cli) -> None:
    assert cli("log", "note", "Hall", "mine")[0] == 0
    assert cli("--as", "B. Technician", "log", "note", "Hall", "house dark")[0] == 0
    before = entries(cli)
    status, out, err = cli("log", "undo", "Hall")
    assert (status, out) == (2, "")
    assert "undo: note: house dark: logged by B. Technician; add --confirm" in err
    assert entries(cli) == before
    said = cli("log", "undo", "Hall", "--confirm")[1]
    assert said == "withdrawn: note: house dark; logged by B. Technician\n"
    assert cli("log", "undo", "Hall")[1] == "withdrawn: note: mine\n"


def test_one_fault_among_several_is_withdrawn_by_its_number_and_its_entry_is_kept(cli: Cli) -> None:
    for place in ("R3C7 x1 y1", "R3C8 x1 y1", "R3C9 x1 y1"):
        assert cli("log", "fault", "Hall", "pixel dark", place, "--severity", "near")[0] == 0
    before = entries(cli)
    said = cli("log", "withdrawn", "Hall", 2, "--reason", "dust on the lens")[1]
    assert said == "withdrawn: fault 2: pixel dark at R3C8 x1 y1, near\n"
    left = as_json(cli("job", "show", "Hall", "--json"))["faults"]
    assert [(fault["number"], fault["location"]) for fault in left] == [
        (1, "R3C7 x1 y1"),
        (3, "R3C9 x1 y1"),
    ], "those on a paper list are the same after it"
    assert entries(cli) == before + 1
    assert "expected 1 to 3" in cli("log", "withdrawn", "Hall", 4)[2]
    taken = ("--take", "all: The firm; 2099-12-01; M. H.")
    assert cli("accept", "Hall", "--name", "M. Hollis", *taken)[0] == 0
    assert "withdrawn: fault 1: " in cli("log", "withdrawn", "Hall", 1)[2]
    undone = as_json(cli("log", "withdrawn", "Hall", 1, "--confirm", "--json"))
    assert undone["signed_since"] == 1


def test_two_visits_without_a_number_in_both_are_compared_without_an_empty_table(cli: Cli) -> None:
    assert cli("visit", "Hall", "Spring")[0] == 0
    said = cli("compare", "Hall", "1", "2")[1]
    assert "0 numbers at the same places" in said
    assert "drift" not in said


def test_a_fault_at_the_place_of_a_verified_one_is_told_with_its_number(cli: Cli) -> None:
    where = "Hall", "pixel dark", "R3C7 x1 y1"
    assert "is the same" not in cli("log", "fault", *where)[2]
    assert cli("log", "mended", "Hall", 1)[0] == cli("log", "verified", "Hall", 1)[0] == 0
    _, _, err = cli("log", "fault", *where)
    assert "fault 1, verified, is the same at this place" in err
    assert "'log undo', then 'log reopened' that" in err
    assert as_json(cli("log", "fault", *where, "--json"))["same_before"] == 2


@pytest.mark.parametrize(
    ("kind", "typed", "logged"),
    [
        ("dead pixel", "R2C3 12,40", "R2C3 x12 y40"),
        ("dead pixel", "row 2 col 3 12,40", "R2C3 x12 y40"),
        ("black", "row 1 col 12", "R1C12"),
        ("black", "Row 1, column 12", "R1C12"),
        ("module dark", "row 2 col 3 m1,2", "R2C3 m1,2"),
    ],
)
def test_a_place_is_spelled_as_on_the_wall(cli: Cli, kind: str, typed: str, logged: str) -> None:
    assert cli("log", "fault", "Hall", kind, typed)[0] == 0
    (fault,) = as_json(cli("job", "show", "Hall", "--json"))["faults"]
    assert fault["location"] == logged


def test_a_fault_at_several_places_is_one_for_each_and_taken_back_as_one(cli: Cli) -> None:
    before = entries(cli)
    places = "R1C1 to R1C3", "bottom row", "point 5", "r1c2"
    status, said, _ = cli("log", "fault", "Hall", "black", *places)
    assert status == 0
    lines = [line for line in said.splitlines() if line.startswith("fault ")]
    where = [f"R1C{column}" for column in (1, 2, 3)] + [f"R6C{column}" for column in range(1, 13)]
    listed = as_json(cli("job", "show", "Hall", "--json"))["faults"]
    assert [one["location"] for one in listed[:-1]] == where
    assert {one["fault"] for one in listed} == {"cabinet dark"}
    assert [line.partition(":")[0] for line in lines] == [f"fault {n}" for n in range(1, 17)]
    assert cli("log", "undo", "Hall")[0] == 0
    assert as_json(cli("job", "show", "Hall", "--json"))["faults"] == []
    assert entries(cli) > before


def test_who_signs_for_the_client_can_read_every_exception_first(cli: Cli) -> None:
    """Five of them were named, and how many more there are."""
    assert cli("log", "fault", "Hall", "cabinet dark", "row 1")[0] == 0
    owned = ("--client", "M. Hollis", "--owner", "The firm", "--until", "2099-12-01")
    assert cli("log", "accepted", "Hall", 2, *owned)[0] == 0
    before = entries(cli)
    status, _, err = cli("accept", "Hall", "--name", "M. Hollis")
    assert status == 2
    assert "more; take each, or all, in words ('accept --list' names every one)" in err
    status, said, _ = cli("accept", "Hall", "--list")
    lines = [line.strip() for line in said.splitlines()]
    shown = as_json(cli("job", "show", "Hall", "--json"))["exceptions"]
    assert [line.partition("  taken: ")[0] for line in lines] == [
        f"{number}. {what}" for number, what in enumerate(shown, start=1)
    ]
    assert [line for line in lines if "  taken: The firm; 2099-12-01; M. Hollis" in line] == [
        next(line for line in lines if ". fault 2 at R1C2" in line)
    ]
    assert entries(cli) == before
    assert "expected who decides" in cli("accept", "Hall")[2]


def test_a_refusal_on_a_later_visit_is_what_both_commands_say(cli: Cli) -> None:
    """They said 'accepted with exceptions'."""
    taken = ("--take", "all: The firm; 2099-12-01; M. H.")
    status, said, _ = cli("accept", "Hall", "--name", "M. Hollis", *taken)
    assert (status, said.partition(":")[0]) == (0, "accepted with exceptions")
    assert cli("visit", "Hall", "30 days")[0] == 0
    status, said, _ = cli("accept", "Hall", "--name", "R. Penhallow", "--refuse", "it flickers")
    first, past = said.splitlines()
    assert (status, first) == (0, "refused: it flickers")
    assert past.startswith("Before, M. Hollis accepted it with ")
    shown = cli("job", "show", "Hall")[1]
    assert "handover: refused\n  R. Penhallow refused it for the client: it flickers\n" in shown
    assert f"  {past}\n" in shown


def test_what_a_refused_signature_took_is_accepted_by_nobody(cli: Cli) -> None:
    """Mended and looked at again, it was "accepted by M. Hollis with the signature" all the same."""
    assert cli("log", "fault", "Hall", "cabinet dark", "R1C1")[0] == 0
    taken = ("--take", "all: The firm; 2099-12-01; M. H.")
    assert cli("accept", "Hall", "--name", "M. Hollis", *taken)[0] == 0
    assert cli("accept", "Hall", "--name", "M. Hollis", "--refuse", "it flickers")[0] == 0
    said = cli("log", "mended", "Hall", 1)[1]
    assert said == "fault 1: mended, no longer accepted: M. Hollis refused the wall\n"
    assert cli("log", "verified", "Hall", 1)[1] == "fault 1: verified\n"
    assert "stands  verified, stop\n" in cli("trail", "Hall", "fault", 1)[1]
    cli("log", "reopened", "Hall", 1)
    owned = ("--client", "R. Penhallow", "--owner", "The firm", "--until", "2099-12-01")
    assert cli("log", "accepted", "Hall", 1, *owned)[0] == 0
    said = cli("log", "reopened", "Hall", 1)[1]
    assert said == "fault 1: accepted by R. Penhallow, open again since\n"


def test_of_several_places_all_are_logged_or_none(cli: Cli) -> None:
    before = entries(cli)
    status, _, err = cli("log", "fault", "Hall", "cabinet dark", "R1C1", "R1C99")
    assert status == 2
    assert "R1C99" in err
    one_pixel = cli("log", "fault", "Hall", "pixel dark", "R1C1 to R1C3")
    assert one_pixel[0] == 2
    assert "expected one cabinet for a fault of one pixel" in one_pixel[2]
    assert entries(cli) == before
    many = as_json(cli("log", "fault", "Hall", "pixel dark", "R1C1 x1 y1", "R1C1 x2 y2", "--json"))
    assert [one["why"] for one in many] == ["", "2 faulty pixels within 5 px"]


def test_a_reading_is_corrected_by_check_field_and_place(cli: Cli) -> None:
    where = "Hall", CHECK, FIELD, "R3C7"
    assert cli("log", "reading", *where, 2000, "--confirm")[0] == 0
    assert cli("log", "correct", *where, 200, "--reason", "a digit too many")[0] == 0
    said = cli("trail", "Hall", CHECK, "R3C7")[1]
    assert "200 cd/m²" in said
    assert "a digit too many" in said
    assert "found nothing read there" in cli("log", "correct", "Hall", CHECK, FIELD, "R1C1", 1)[2]
    assert "expected 3: check, field, place" in cli("log", "correct", "Hall", CHECK, FIELD, 1)[2]


def test_a_value_read_again_with_another_meter_replaces_what_the_first_read(cli: Cli) -> None:
    where = "Hall", CHECK, FIELD, "R3C7"
    assert cli("log", "reading", *where, 200)[0] == 0
    assert "200 cd/m² is logged there; say --replace" in cli("log", "reading", *where, 200)[2]
    grey = ("--name", "Grey box", "--serial", "9", "--accuracy", "cd/m2=5")
    assert cli("log", "instrument", "Hall", "grey", *grey)[0] == 0
    assert "cd/m², read with " in cli("log", "reading", *where, 200)[2]
    assert cli("log", "reading", *where, 200, "--replace")[0] == 0
    assert "with Grey box, serial 9" in cli("trail", "Hall", CHECK, "R3C7")[1]
    assert "is logged there; say --replace" in cli("log", "reading", *where, 200)[2]


def test_a_correction_is_asked_about_as_a_reading_is(cli: Cli) -> None:
    """The trail said of one ten times off that it was asked again, and nobody had been."""
    where = "Hall", CHECK, FIELD
    for column in range(1, 6):
        assert cli("log", "reading", *where, f"R1C{column}", 200)[0] == 0
    odd = cli("log", "reading", *where, "R1C4", 2000, "--replace")
    assert odd[0] == 2
    before = entries(cli)
    refused = cli("log", "correct", *where, "R1C4", 2000)
    assert refused[0] == 2
    assert refused[2] == odd[2]
    assert entries(cli) == before
    assert cli("log", "correct", *where, "R1C4", 2000, "--confirm")[0] == 0
    assert "asked again: " in cli("trail", "Hall", CHECK, "R1C4")[1]


def test_a_check_is_found_by_its_words_in_every_command(cli: Cli) -> None:
    words = "luminance of every cabinet"
    assert cli("log", "reading", "Hall", words, FIELD, "R3C7", 200)[0] == 0
    assert cli("log", "note", "Hall", "house dark", "--check", words)[0] == 0
    assert CHECK in cli("limit", "Hall", words, "--json")[1]
    assert cli("log", "skip", "Hall", words, "no meter")[0] == 0
    assert "NOT APPLICABLE" in cli("evaluate", "Hall", "--check", CHECK)[1]
    assert "expected a check of this job" in cli("limit", "Hall", "xylophone")[2]


def test_a_word_that_is_no_kind_of_fault_lists_what_is_near_and_no_more(cli: Cli) -> None:
    near = cli("log", "fault", "Hall", "bent screw", "R3C7")[2].splitlines()
    assert len(near) < 15
    assert near[-1].startswith("fault: found 'bent screw', expected")
    every = cli("log", "fault", "Hall", "xylophone", "R3C7")[2].splitlines()
    assert len(every) < 35
    assert max(map(len, every[:-1])) <= 79
    assert "pixel dark" in " ".join(every)
    assert cli("log", "fault", "Hall", "dead-pixel", "R3C7 x1 y1")[0] == 0


def test_a_day_that_is_past_is_no_day_until_which_something_is_put_right(cli: Cli) -> None:
    assert cli("log", "fault", "Hall", "pixel dark", "R3C7 x1 y1", "--severity", "near")[0] == 0
    who = "--client", "M. Hollis", "--owner", "The firm"
    before = entries(cli)
    refused = cli("log", "accepted", "Hall", 1, *who, "--until", "2020-01-01")
    assert refused[0] == 2
    assert "until: found 2020-01-01, which is past; expected " in refused[2]
    taken = ("--take", "all: The firm; 2020-01-01; M. H.")
    assert (
        "--take: found 2020-01-01, which is past"
        in cli("accept", "Hall", "--name", "M. Hollis", *taken)[2]
    )
    assert entries(cli) == before
    assert cli("log", "accepted", "Hall", 1, *who, "--until", "2099-01-01")[0] == 0


def test_a_limit_agreed_anew_is_told_beside_when_they_were_frozen(cli: Cli) -> None:
    assert cli("log", "reading", "Hall", CHECK, FIELD, "R3C7", 200)[0] == 0
    assert cli("limit", "Hall", "brightness", "min_to_max", *LIMIT)[0] == 0
    assert "min_to_max agreed anew " in cli("limit", "Hall", "brightness")[2]


def test_a_limit_of_another_order_of_magnitude_is_asked_about(cli: Cli) -> None:
    words = ("limit", "Hall", "brightness", "min_to_max")
    status, _, said = cli(*words, "--low", "0.001", *LIMIT[2:])
    assert (status, "0.001 in place of 0.9" in said, "add --confirm" in said) == (2, True, True)
    assert "agreed anew" not in cli(*words[:3])[2]
    assert cli(*words, "--low", "0.001", *LIMIT[2:], "--confirm")[0] == 0


def test_more_hours_than_have_passed_need_to_be_confirmed(cli: Cli) -> None:
    words = ("visit", "Hall", "30 days", "--hours-run", "720,5 h")
    status, _, err = cli(*words)
    assert (status, "720.5 hours run since this job began" in err) == (2, True)
    assert "30 days" not in cli("visit", "Hall")[1]
    assert "30 days" in cli(*words, "--confirm")[1]


def test_measured_numbers_of_options_are_read_as_readings_are(cli: Cli) -> None:
    words = ("limit", "Hall", "brightness", "min_to_max")
    assert "0.91" in cli(*words, "--low", "0,91", *LIMIT[2:])[1]
    status, _, err = cli(*words, "--low", "1,234", *LIMIT[2:])
    assert (status, "--low" in err, "may be 1.234 or 1234" in err) == (2, True, True)
    assert cli("calc", "text", "--distance-m", "82,5 ft", "--pitch-mm", "2,5")[0] == 0
    assert cli("calc", "geometry", "pitch-mm", "--size-mm", "500,5", "--pixels", "100")[0] == 0


def test_one_meter_under_two_keys_is_told_once(cli: Cli, tmp_path: Path) -> None:
    """Two laptops each gave it one of their own."""
    book = Logbook(tmp_path / "logbook.db")
    job = book.open("Hall", "B. Technician")
    meter = job.state.instruments["meter"].body
    job.record(changed_body(meter, key="spot", accuracy={"lx": {"percent": 3.0}}))
    book.close()
    assert cli("job", "show", "Hall")[1].count("instrument Spot meter 7, calibration due") == 1


def test_several_faults_are_mended_at_once_or_none_of_them(cli: Cli) -> None:
    for column in (1, 2, 3):
        cli("log", "fault", "Hall", "pixel dark", f"R1C{column} x1 y1", "--severity", "near")
    assert "fault 2" in cli("log", "verified", "Hall", 2, 3)[2]
    assert "found 9" in cli("log", "mended", "Hall", 1, 9)[2]
    listed = as_json(cli("job", "show", "Hall", "--json"))["faults"]
    assert [fault["state"] for fault in listed] == ["open"] * 3
    said = cli("log", "mended", "Hall", 1, 3, 3, "--note", "new modules")[1]
    assert said == "fault 1: mended\nfault 3: mended\n"
    assert cli("log", "withdrawn", "Hall", 2)[0] == 0
    assert cli("log", "reopened", "Hall", 1, 2)[1] == "fault 1: open\nfault 2: open\n"


def test_a_point_is_called_alike_by_every_command(cli: Cli) -> None:
    for typed, level in (("2", 600), ("P3", 601)):
        assert cli("log", "reading", "Hall", *POINTS, typed, level)[0] == 0
    assert "600 cd/m² is logged there" in cli("log", "reading", "Hall", *POINTS, "P2", 7)[2]
    assert cli("log", "correct", "Hall", *POINTS, "3", 602)[0] == 0
    moved = cli("log", "shift", "Hall", *POINTS, "2", "p3", "--along", 1)[1]
    assert moved.splitlines() == ["point 2 to point 3", "point 3 to point 4"]


POINTS = ("brightness", "luminance_cd_m2")


def test_a_number_below_nought_is_a_value_and_no_option(cli: Cli) -> None:
    for words in (("log", "reading"), ("log", "correct")):
        said = cli(*words, "Hall", *POINTS, "point 1", "-150")[2]
        assert "No such option" not in said
    said = cli("log", "reading", "Hall", *POINTS, "point 1", "-150")[2]
    assert "found -150 cd/m², expected at least 0" in said
    assert cli("log", "reading", "Hall", *POINTS, "point 1", "600", "--confrim")[0] == 2
    assert cli("setting", "Hall", "brightness level", "-5")[0] == 0


def test_keep_says_what_else_holds_the_result_in_doubt(cli: Cli) -> None:
    for number in range(1, 10):
        assert cli("log", "reading", "Hall", *POINTS, f"point {number}", "600")[0] == 0
    assert cli("setting", "Hall", "brightness level", "60 %")[0] == 0
    assert cli("setting", "Hall", "cabinet", "changed", "--at", "R1C2")[0] == 0
    found = {
        row["change"]["setting"]: (len(row["slots"]), row["change"]["id"])
        for row in json.loads(cli("doubts", "Hall", "--json")[1])
        if row["check"] == "brightness"
    }
    assert (found["brightness level"][0], found["cabinet"][0]) == (9, 1)
    said = cli("keep", "Hall", found["cabinet"][1], "brightness", "--reason", "same batch")[2]
    assert "1 kept, with the reason" in said
    older = "brightness: 9 of 9 readings still no longer good, since brightness level set to 60 %"
    assert older in said
    said = cli("keep", "Hall", found["brightness level"][1], "brightness", "--reason", "at 60 %")[2]
    assert "still no longer good" not in said


def test_a_correction_says_what_it_is_averaged_with_and_asks_where_they_differ(cli: Cli) -> None:
    at = ("Hall", *POINTS, "point 1")
    assert cli("log", "reading", *at, "600,5")[0] == 0
    assert cli("log", "reading", *at, "601", "--again")[0] == 0
    status, _, said = cli("log", "correct", *at, "561")
    assert status == 2
    assert "averaged with 600.5 cd/m², 7 % apart: do both count?; add --confirm" in said
    assert "averaged with 600.5 cd/m²" in cli("log", "correct", *at, "602")[1]
    assert cli("log", "reading", "Hall", *POINTS, "point 2", "600")[0] == 0
    assert "averaged" not in cli("log", "correct", "Hall", *POINTS, "point 2", "602")[1]


def test_a_reading_says_with_which_meter_it_was_read(cli: Cli) -> None:
    at = ("Hall", *POINTS, "point 1")
    assert "read with Spot meter 7\n" in cli("log", "reading", *at, "600")[1]
    photon = ("--name", "Photon", "--serial", "99", "--accuracy", "cd/m2=2")
    assert cli("log", "instrument", "Hall", "lum-9", *photon)[0] == 0
    replaced = as_json(cli("log", "reading", *at, "601", "--replace", "--json"))
    assert replaced["instrument"] == {"key": "lum-9", "name": "Photon", "serial": "99"}
    assert cli("log", "undo", "Hall")[0] == 0
    yes_no = ("Hall", "loop-failure", "picture_held", "P1", "yes")
    assert as_json(cli("log", "reading", *yes_no, "--json"))["instrument"] is None


def test_what_was_signed_is_corrected_only_with_confirm(cli: Cli) -> None:
    at = ("Hall", *POINTS, "point 1")
    assert cli("log", "reading", *at, "600")[0] == 0
    taken = ("--take", "all: The firm; 2036-01-01; M. H.")
    assert cli("accept", "Hall", "--name", "M. Hollis", *taken)[0] == 0
    replaced = ("log", "reading", *at, "601", "--replace")
    for words in (("log", "correct", *at, "601"), replaced, ("log", "undo", "Hall")):
        status, _, said = cli(*words)
        assert (status, "M. Hollis (client) signed since; add --confirm" in said) == (2, True)
    assert "M. Hollis (client) signed since" in cli("log", "correct", *at, "601", "--confirm")[1]
    assert cli("log", "correct", *at, "602")[0] == 0  # what stands now was logged after it


def test_what_was_signed_and_is_put_back_is_again_what_was_signed(cli: Cli) -> None:
    at = ("Hall", *POINTS, "point 1")
    taken = ("--take", "all: The firm; 2036-01-01; M. H.")
    assert cli("log", "reading", *at, "600")[0] == 0
    assert cli("accept", "Hall", "--name", "M. Hollis", *taken)[0] == 0
    assert cli("log", "reading", *at, "604", "--replace", "--confirm")[0] == 0
    assert cli("accept", "Hall", "--name", "I. Fell", *taken)[0] == 0
    assert cli("log", "undo", "Hall", "--confirm")[1].startswith("put back: ")
    for words in (("log", "correct", *at, "601"), ("log", "reading", *at, "601", "--replace")):
        status, _, said = cli(*words)
        assert (status, "M. Hollis (client) signed since; add --confirm" in said) == (2, True)
        assert "I. Fell" not in said  # who signed 604
