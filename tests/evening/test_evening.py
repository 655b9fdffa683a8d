"""An evening alone fits, loses nothing, and ends in a document that verifies."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest

from commission_tui.cli import run
from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.evening.evening import MINUTES, Evening

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")

PLAN = (
    *("cabinet-mapping", "scan-direction", "solid-colours", "brightness", "pixel-faults"),
    *("input-picture", "cameras", "front-light"),
)
"""What 240 minutes, dark and alone, are for."""


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> Evening:
    played = Evening(tmp_path_factory.mktemp("evening"))
    played.play(short=True)
    return played


@pytest.fixture
def job(evening: Evening) -> Iterator[OpenJob]:
    book = Logbook(evening.book)
    yield book.open(evening.job, "A. Reader")
    book.close()


def test_the_evening_is_planned_to_its_end_and_no_longer(evening: Evening) -> None:
    first = [check for check, _ in evening.planned[:12]]
    assert set(PLAN) <= set(first)
    assert 0.8 * MINUTES <= sum(minutes for _, minutes in evening.planned) <= MINUTES


def test_what_was_typed_is_logged_where_it_belongs(job: OpenJob) -> None:
    state = job.state
    points = [state.latest("brightness", "luminance_cd_m2", f"point {n}") for n in range(1, 10)]
    assert [found.body.value for found in points if found] == [
        *(801, 803, 798, 805, 795, 790, 799, 787, 782)
    ]
    assert points[7] is not None
    assert points[7].corrected  # typed over 786, which the record keeps
    assert [(f.found.body.fault, f.found.body.location, f.state) for f in state.faults] == [
        ("pixel dark", "R3C7 x58 y18", "verified")
    ]
    verdicts = {check: str(job.outcome(check).verdict) for check in PLAN}
    assert set(verdicts.values()) == {"pass"}, verdicts
    assert job.outcome("fire-input").reason == "this room has no fire input"
    assert "not settled" in job.outcome("lateral-restraint").reason


def test_the_signed_document_verifies(evening: Evening, capsys: pytest.CaptureFixture[str]) -> None:
    # Beside it stand pages for each reader, which are called by its name and more.
    document = min(evening.folder.glob("*.pdf"), key=lambda path: len(path.stem))
    status = run(["--database", str(evening.book), "verify", str(document)])
    said = capsys.readouterr().out
    assert status == 0, said
    assert "A. Technician" in said


@pytest.mark.parametrize(
    ("what", "most"),
    [
        ("a wrong tile", 8),
        ("presenter against wall", 30),
    ],
)
def test_a_thing_takes_no_more_keys_besides_digits(evening: Evening, what: str, most: int) -> None:
    assert evening.tally.of[what].besides <= most


def test_the_whole_evening_is_typed_with_few_keys(evening: Evening) -> None:
    """A bound that notices a way that got longer; `python -m tests.evening` prints the count."""
    screens = sum(
        count.besides for what, count in evening.tally.of.items() if not what.endswith(" new")
    )
    assert screens <= 400
