"""Meters with all that they may be off, stated, used and refused as a script would."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest

from tests.cli.helping import Cli

METER = ("--name", "Luminance meter", "--serial", "LM-1", "--accuracy", "cd/m2=2")
EVEN = {f"point {n}": 600.0 for n in range(1, 10)}


def take(cli: Cli, readings: Mapping[str, float], *more: str) -> None:
    for place, value in readings.items():
        words = ("log", "reading", "Hall", "brightness", "luminance_cd_m2", place, value)
        assert cli(*words, "--confirm", *more)[0] == 0


def brightness(cli: Cli) -> dict[str, object]:
    status, out, _ = cli("evaluate", "Hall", "--check", "brightness", "--json")
    assert status in {0, 1}  # 1 where it fails
    return dict(json.loads(out)[0])


def ratio(found: Mapping[str, object]) -> Mapping[str, object]:
    figures = found["figures"]
    assert isinstance(figures, Iterable)
    return dict(next(f for f in figures if f["name"].startswith("darkest over")))


@pytest.mark.parametrize(("darkest", "verdict"), [(0.885, "fail"), (0.915, "pass")])
def test_nine_readings_are_told_from_the_limit_by_a_meter_that_repeats(
    cli: Cli, opened: str, darkest: float, verdict: str
) -> None:
    """A meter of 2 % and 0.3 %: 2·√2·0.3 % of the ratio, about 0.008, whatever the 2 %.

    A little more, since any of the eight equal points may be the brightest.
    """
    cli("log", "instrument", "Hall", "spot", *METER, "--repeatability", "cd/m2=0.3")
    take(cli, EVEN | {"point 9": 600 * darkest})
    found = ratio(brightness(cli))
    assert found["verdict"] == verdict
    alone = 2 * 2**0.5 * 0.003 * darkest
    assert isinstance(found["expanded"], float)
    assert alone < found["expanded"] < 1.3 * alone


def test_what_is_not_stated_is_assumed_and_said(cli: Cli, opened: str) -> None:
    cli("log", "instrument", "Hall", "spot", *METER)
    take(cli, EVEN)
    assert "repeatability not stated: 20 % of the accuracy is taken" in str(
        brightness(cli)["reason"]
    )
    for value in (601.0, 600.0, 599.0, 600.0, 601.0, 599.0):
        take(cli, {"point 5": value}, "--again")
    after = brightness(cli)
    assert "not stated" not in str(after["reason"]), "six repeats tell it"
    expanded = ratio(after)["expanded"]
    assert isinstance(expanded, float)
    assert expanded < 0.008


def test_repeats_that_are_all_alike_do_not_show_that_there_is_no_scatter(
    cli: Cli, opened: str
) -> None:
    """A table that is taken twice gave ± 0, and a pass just above the limit."""
    cli("log", "instrument", "Hall", "spot", *METER)
    nearly = EVEN | {"point 9": 541.0}  # 0.902, where 0.9 is the limit
    take(cli, nearly)
    before = ratio(brightness(cli))
    take(cli, nearly, "--again")
    after = brightness(cli)
    assert (before["verdict"], ratio(after)["verdict"]) == ("marginal", "marginal")
    assert "repeatability not stated" in str(after["reason"])


def test_an_accuracy_that_nobody_knows_is_not_0(cli: Cli, opened: str) -> None:
    words = ("--name", "Old meter", "--serial", "X", "--accuracy", "cd/m2=0")
    cli("log", "instrument", "Hall", "old", *words, "--repeatability", "cd/m2=0.3")
    take(cli, EVEN)
    found = brightness(cli)
    figures = found["figures"]
    assert isinstance(figures, list)
    assert figures[0]["expanded"] is None
    assert "so neither is the uncertainty" in str(found["reason"])
    assert ratio(found)["expanded"] is not None, "its calibration divides out of the ratio"


def test_an_overdue_calibration_is_said_with_every_result(cli: Cli, opened: str) -> None:
    cli("log", "instrument", "Hall", "spot", *METER, "--calibration-due", "2020-01-31")
    take(cli, EVEN)
    reason = str(brightness(cli)["reason"])
    assert "read with Luminance meter LM-1, whose calibration was due on 2020-01-31" in reason


def test_the_same_serial_number_is_the_same_meter(cli: Cli, opened: str) -> None:
    cli("log", "instrument", "Hall", "spot", *METER)
    words = ("--name", "Meter", "--serial", "lm-1", "--accuracy", "lx=3", "--resolution", "lx=0.1")
    status, out, _ = cli("log", "instrument", "Hall", "second", *words)
    assert status == 0
    assert "lm-1 is there as spot" in out
    assert "cd/m2, lx" in out


def test_all_that_is_missing_of_an_instrument_is_said_at_once(cli: Cli, opened: str) -> None:
    status, _, error = cli("log", "instrument", "Hall", "tape")
    assert status == 2
    assert "tape: found no --name, --serial, --accuracy; expected" in error
    status, _, error = cli("log", "instrument", "Hall", "tape", "--name", "Tape")
    assert status == 2
    assert "tape: found no --serial, --accuracy; expected" in error


def test_a_tape_whose_accuracy_nobody_states_measures(cli: Cli, opened: str) -> None:
    tape = ("log", "instrument", "Hall", "tape", "--name", "Tape", "--serial", "?")
    status, out, _ = cli(*tape, "--accuracy", "m")
    assert status == 0
    assert "Tape not known is stamped on readings in m" in out
    assert "accuracy not stated in m, so no uncertainty" in out
    status, out, _ = cli(*tape, "--accuracy", "m=0.1")
    assert status == 0
    assert "not stated" not in out


def test_what_is_typed_of_a_known_meter_is_logged_and_the_rest_of_it_stays(
    cli: Cli, opened: str
) -> None:
    """A new day of calibration was answered with "is stamped on readings", and not written down."""
    spot = ("log", "instrument", "Hall", "spot")
    cli(*spot, *METER, "--repeatability", "cd/m2=0.3", "--resolution", "cd/m2=0.01")
    dated = cli(*spot, "--calibration-due", "2099-10-15", "--certificate", "C-9")[1]
    assert dated.splitlines()[-1] == (
        "it stands as instrument Luminance meter, serial LM-1, calibration due 2099-10-15, "
        "certificate C-9, for cd/m2 ± 2 % repeats 0.3 % step 0.01"
    )
    wider = cli(*spot, "--accuracy", "cd/m2=2+0.5")[1]
    assert wider.endswith("C-9, for cd/m2 ± 2 % + 0.5 repeats 0.3 % step 0.01\n")
    finer = cli(*spot, "--resolution", "cd/m2=0.001", "--repeatability", "cd/m2=0+0.2")[1]
    assert finer.endswith("C-9, for cd/m2 ± 2 % + 0.5 repeats 0.2 step 0.001\n")
    assert "it stands as" not in cli(*spot)[1], "only chosen"
    take(cli, EVEN)
    status, out, error = cli(*spot, "--calibration-due", "2099-12-31")
    assert (status, out) == (2, "")
    assert "calibration due of Luminance meter LM-1 stated otherwise" in error
    status, out, error = cli(*spot, "--serial", "LM-2")
    assert (status, out) == (2, "")
    assert "give the other a key of its own" in error


def test_the_key_of_a_meter_is_given_to_no_other(cli: Cli, opened: str) -> None:
    cli("log", "instrument", "Hall", "spot", *METER)
    take(cli, EVEN)
    before = brightness(cli)
    other = ("--name", "Other", "--serial", "LM-2", "--accuracy", "cd/m2=10")
    status, _, error = cli("log", "instrument", "Hall", "spot", *other)
    assert status == 2
    assert "spot is Luminance meter, serial LM-1; give the other a key of its own" in error
    assert cli("log", "instrument", "Hall", "spot-2", *other)[0] == 0
    assert brightness(cli) == before


def test_what_is_stated_otherwise_of_a_meter_is_asked_about_and_is_a_correction(
    cli: Cli, opened: str
) -> None:
    cli("log", "instrument", "Hall", "spot", *METER)
    take(cli, EVEN)
    before = brightness(cli)
    right = ("log", "instrument", "Hall", "spot", *METER[:4], "--accuracy", "cd/m2=10")
    status, _, error = cli(*right)
    assert status == 2
    assert "accuracy in cd/m2 of Luminance meter LM-1 stated otherwise" in error
    assert brightness(cli) == before
    assert cli(*right[:-1], "cd/m2=2", "--accuracy", "lx=3")[0] == 0, "a unit more changes nothing"
    assert brightness(cli) == before
    assert cli(*right, "--confirm", "--reason", "read off the certificate")[0] == 0
    assert brightness(cli) != before
    told = cli("trail", "Hall", "brightness")[1]
    assert "for cd/m2 ± 10 %" in told
    assert "for cd/m2 ± 2 %" in told
    assert "read off the certificate" in told
    cli("log", "undo", "Hall")  # that it is chosen
    cli("log", "undo", "Hall")
    assert brightness(cli) == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--accuracy", "cd/m2=-2"), "-2"),
        (("--accuracy", "cd/m2=101"), "101"),
        (("--accuracy", "cd/m2=2", "--repeatability", "cd/m2=-0.3"), "-0.3"),
        (("--accuracy", "cd/m2=2", "--repeatability", "cd/m2=120"), "120"),
        (("--accuracy", "cd/m2=2", "--repeatability", "lx=1"), "lx, which the instrument does not"),
        (("--accuracy", "cd/m2=2", "--resolution", "lx=1"), "lx, which the instrument does not"),
        (("--accuracy", "cd/m2=2", "--resolution", "cd/m2=-1"), "-1"),
        (("--accuracy", "cd/m2=2", "--repeatability", "cd/m2=much"), "much"),
        (("--accuracy", "cd/m2=2", "--accuracy", "cd/m2=3"), "'cd/m2' twice"),
        (("--accuracy", "cd/m=2"), "did you mean 'cd/m2'?"),
        (("--accuracy", "furlong=2"), "unit: found 'furlong', expected one such as cd/m2"),
    ],
)
def test_parts_without_a_meaning_are_refused(
    cli: Cli, opened: str, words: tuple[str, ...], said: str
) -> None:
    command = ("log", "instrument", "Hall", "spot", "--name", "M", "--serial", "1", *words)
    status, out, error = cli(*command)
    assert (status, out) == (2, "")
    assert said in error
    assert len(error.strip().splitlines()) == 1
    assert cli("log", "instrument", "Hall", "spot")[0] == 2, "nothing was written"


def test_an_accuracy_may_have_a_decimal_comma(cli: Cli, opened: str, tmp_path: Path) -> None:
    words = ("log", "instrument", "Hall", "spot", *METER[:4])
    said = cli(*words, "--accuracy", "cd/m2=1,234")[2]
    assert "'1,234': may be 1.234 or 1234" in said
    assert cli(*words, "--accuracy", "cd/m2=2+0,05", "--resolution", "cd/m2=0,1")[0] == 0
    assert cli("export", "Hall", "--format", "json", "-o", tmp_path)[0] == 0
    record = next(tmp_path.glob("*.json")).read_text(encoding="utf-8")
    stated = re.search(r'"absolute": ?0\.05\b', record)
    assert stated is not None
