"""What a job does: agreed at its start, widened later, and what nobody said is a question."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.actions.scope_actions import agree_scope, settle
from commission_tui.logbook.actions.taking_back import undo
from commission_tui.logbook.entries.models import Instrument
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.state.agreed_checks import (
    checks_not_agreed,
    unsettled_checks,
    unsettled_features,
)
from commission_tui.logbook.state.fold import fold
from commission_tui.wall.draft.wall_draft import PlainGrid, new_wall_text
from tests.handover.helping import document_data, export_csv, facts_of, rows_of, under


def evening_wall() -> str:
    """Return an invented wall of 36 cabinets of which little is known."""
    return new_wall_text(
        PlainGrid(
            name="Main",
            site="Fellmoor Town Hall",
            mounting="flown",
            columns=9,
            rows=4,
            cabinet_mm=(500, 500),
            cabinet_px=(200, 200),
            modules=(2, 2),
            weight_kg=8,
            power_max_w=170,
            power_factor=0.95,
            ports=16,
            pixels_per_port=650_000,
            load_rule="sum",
            frame_rate_hz=60,
            voltage_v=230,
            breaker_a=16,
            residual_ma=30,
            listed={
                "inputs": [
                    {
                        "name": "Laptop",
                        "connector": "HDMI 1",
                        "width_px": 1920,
                        "height_px": 1080,
                        "frame_rate_hz": 60,
                    }
                ],
                "cameras": [
                    {"name": "C1", "distance_m": 18, "shutter_s": 0.02, "frame_rate_hz": 50}
                ],
                "stage_positions": [{"name": "Lectern"}],
            },
        )
    )


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    book = Logbook(tmp_path / "l.db")
    return book.create(
        by="A. Technician",
        name="Evening",
        client="Council",
        integrator="Firm",
        wall_text=evening_wall(),
        scope="short",
    )


def same_when_read_again(job: OpenJob) -> None:
    again = fold(job.state.in_order())
    assert [c.id for c in again.checklist] == [c.id for c in job.state.checklist]
    assert again.checklist.left_out == job.state.checklist.left_out


def left(job: OpenJob) -> list[str]:
    return [item.what for item in job.acceptance().left]


def test_what_is_not_agreed_is_in_no_walk_and_no_count(job: OpenJob) -> None:
    known = {check.id for check in job.state.checklist}
    assert len(known) <= 30
    assert "cabinet-luminance" not in known
    assert "cabinet-luminance" in checks_not_agreed(job.state)
    assert set(job.outcomes()) == known
    with pytest.raises(InputError, match="cabinet-luminance is not agreed for this job"):
        job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", 600.0)
    assert not any("not agreed" in line for line in left(job))
    same_when_read_again(job)


def test_a_check_that_is_agreed_is_said_to_be_so(job: OpenJob) -> None:
    entries = job.state.entries
    first = next(iter(job.state.checklist))
    for agreed in (first.id, first.title):
        with pytest.raises(InputError, match="which is agreed already"):
            agree_scope(job, agreed)
    with pytest.raises(InputError, match="expected one of short, middle, all"):
        agree_scope(job, "nonsense")
    assert job.state.entries == entries


def test_a_scope_is_widened_at_will_and_narrowed_with_a_reason(job: OpenJob) -> None:
    agree_scope(job, "all")
    assert checks_not_agreed(job.state) == ()
    with pytest.raises(InputError, match="less than was agreed, expected a reason"):
        agree_scope(job, "short")
    job.read("reads-normally", _field(job, "reads-normally"), "wall", True)
    agree_scope(job, "short", "agreed on the phone")
    known = {check.id for check in job.state.checklist}
    assert "reads-normally" in known  # it was read
    assert "cabinet-luminance" not in known
    same_when_read_again(job)
    undo(job)
    same_when_read_again(job)


def _field(job: OpenJob, check: str) -> str:
    return job.state.checklist.check(check).fields[0].name


def test_one_check_more_is_agreed_by_its_name_and_the_rest_stays(job: OpenJob) -> None:
    before = checks_not_agreed(job.state)
    title = job.state.whole_checklist.check(before[0]).title
    agree_scope(job, title.upper())
    assert checks_not_agreed(job.state) == before[1:]
    agree_scope(job, before[1])
    assert checks_not_agreed(job.state) == before[2:]
    assert job.state.scopes[-1].body.size == "short"
    with pytest.raises(InputError, match="names several"):
        agree_scope(job, "the")
    assert "cabinet-luminance" in checks_not_agreed(job.state)
    agree_scope(job, "cabinet lumin")  # parts of its title, in any order, as in other commands
    assert "cabinet-luminance" not in checks_not_agreed(job.state)
    with pytest.raises(InputError, match="expected one of short, middle, all"):
        agree_scope(job, "no such check")


def test_what_can_hurt_stays_in_whatever_is_agreed(job: OpenJob) -> None:
    state = job.state
    assert not {check.id for check in state.whole_checklist if check.hurts} & set(
        checks_not_agreed(state)
    )


def test_what_nobody_said_is_one_question_and_no_check(job: OpenJob) -> None:
    assert {
        feature: len(waits.checks) for feature, waits in unsettled_features(job.state).items()
    } == {
        "hoists": 1,
        "seismic restraint": 1,
        "fire input": 1,
        "emergency stop": 1,
        "backup runs": 1,
    }
    assert "loop-failure" not in job.state.checklist
    settle(job, "backup runs", "yes")
    assert [place for _, place in job.outcome("loop-failure").to_do][:1] == ["P1"]
    settle(job, "backup runs", "no")
    assert job.outcome("loop-failure").reason == "no port of this wall has a backup"
    settle(job, "backup runs", "?")
    assert "loop-failure" not in job.state.checklist
    assert unsettled_features(job.state)["backup runs"].checks == ("loop-failure",)
    same_when_read_again(job)


def test_what_can_hurt_somebody_stays_open_until_it_is_settled(job: OpenJob) -> None:
    assert [f for f, waits in unsettled_features(job.state).items() if waits.hurts] == [
        *("hoists", "seismic restraint", "fire input", "emergency stop")
    ]
    waits = job.outcome("hoists")
    assert (waits.verdict, waits.reason) == (
        Verdict.OPEN,
        "not settled yet whether there is: hoists",
    )
    assert any("Hoists" in line or "hoist" in line for line in left(job))
    settle(job, "hoists", "no")
    assert job.outcome("hoists").reason == "this room has no hoists"
    settle(job, "hoists", "?")
    assert job.outcome("hoists").verdict is Verdict.OPEN
    settle(job, "hoists", "y")
    assert job.outcome("hoists").reason == "nothing recorded yet"
    with pytest.raises(InputError, match="did you mean 'hoists'"):
        settle(job, "hoist", "yes")
    with pytest.raises(InputError, match="there: found 'perhaps'"):
        settle(job, "hoists", "perhaps")
    same_when_read_again(job)


def test_trip_times_are_asked_of_every_circuit_while_nobody_knows_of_such_devices(
    tmp_path: Path,
) -> None:
    wall_text = evening_wall().replace("residual_ma = 30", "")
    job = Logbook(tmp_path / "other.db").create(
        by="A. Technician", name="Evening", client="Council", integrator="Firm",
        wall_text=wall_text, scope="short",
    )  # fmt: skip
    assert unsettled_features(job.state)["residual-current devices"].hurts
    asked = [
        place for field, place in job.outcome("residual-device-times").to_do if field == "trip_ms"
    ]
    assert asked == [circuit.name for circuit in job.state.wall.circuits]
    meter = {"name": "Tester", "serial": "3", "accuracy": {"ms": {"percent": 2.0}}}
    job.record(body(Instrument, key="tester", **meter))
    job.read("residual-device-times", "trip_ms", asked[0], 24.0)  # then there are some
    assert "residual-current devices" not in unsettled_features(job.state)
    settle(job, "residual-current devices", "no")
    same_when_read_again(job)


def test_the_document_lists_what_was_not_agreed_and_takes_what_nobody_knew_for_no_undone_check(
    job: OpenJob,
) -> None:
    document = document_data(job)
    listed = " ".join(row["Checks"] for row in rows_of(under(document, "Not agreed for this job")))
    assert "Luminance of every cabinet" in listed
    still = rows_of(under(document, "Not done, or to be done again", "reasons"))
    assert "backup run" not in str(still)
    (hoists,) = [row for row in still if "oist" in row["Check"]]  # it can hurt somebody
    assert "Not settled yet" in str(hoists)
    assert not any("Luminance of every cabinet" in row["Check"] for row in still)


def test_what_nobody_settled_is_named_beside_the_acceptance_and_counts_add_up(job: OpenJob) -> None:
    agree_scope(job, "all")
    document = document_data(job)
    waiting = unsettled_checks(job.state)
    counts = {
        row["Verdict"]: int(row["Checks"])
        for row in rows_of(under(document, "Acceptance", "verdict-counts"))
    }
    whole = list(job.state.whole_checklist)
    assert counts["not settled"] == len(waiting) > 0
    assert sum(counts.values()) == len(whole)
    listed = {row["Check"]: row["Why"] for row in rows_of(under(document, "Not settled"))}
    assert listed["Noise in the hearing loop"] == (
        "Waits until it is settled whether there is hearing loop."
    )
    facts = facts_of(document["cover"]["facts"])
    words = f"{len(waiting)} agreed checks wait for it, in no other count."
    assert facts["State"].endswith(words)
    assert f"{len(waiting)} not settled" in facts["Left out"]
    rows = list(csv.DictReader(io.StringIO(export_csv(job)["verdicts"].decode("utf-8-sig"))))
    assert {row["check"] for row in rows if row["verdict"] == "not settled"} == {
        one.check.id for one in waiting
    }
    assert {row["check"] for row in rows} == {check.id for check in whole}
    for one in waiting:
        for feature in one.features:
            settle(job, feature, "no")
    assert "ettled" not in facts_of(document_data(job)["cover"]["facts"])["State"]
