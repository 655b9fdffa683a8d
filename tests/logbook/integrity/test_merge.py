"""Two laptops, or three: merged in any order the same job; what people must look at is told."""

from __future__ import annotations

import contextlib
import itertools
import os
import sqlite3
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission_tui.errors import CommissionError, StoreError
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.limits_and_settings import limits
from commission_tui.handover.content.sections import Listing
from commission_tui.logbook.actions.scope_actions import agree_scope, change_setting
from commission_tui.logbook.actions.taking_back import bring_back, undo
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.chain import designs_apart
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.integrity.audit_trail import trail
from commission_tui.logbook.integrity.clashes import made_apart, readers
from commission_tui.logbook.integrity.kept_results import odd_results
from commission_tui.logbook.integrity.merge import (
    Merged,
    database_source,
    document_source,
    merge,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.judging.outcomes import current_readings
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.backup import copy_database
from commission_tui.logbook.store.database_check import verify_database
from commission_tui.logbook.store.store import StoredFile
from tests.conftest import TickingClock

CHECK = ("brightness", "luminance_cd_m2")
START = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
EXAMPLES = int(os.environ.get("MERGE_EXAMPLES", "2"))
"""`tests.benchmarks.losses.trust_long` asks for many more."""
PEOPLE = ("A. Technician", "B. Technician", "C. Technician")


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory, demo_wall_text: str) -> Path:
    """A job as it stands when its database is copied to a second laptop."""
    path = tmp_path_factory.mktemp("base") / "base.db"
    book = Logbook(path, TickingClock(START - timedelta(days=1)))
    job = book.create(
        by="A. Technician",
        name="Fellmoor Town Hall",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=demo_wall_text,
    )
    accuracy = {"cd/m2": {"percent": 2.0}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    job.read(*CHECK, "point 1", 600.0)
    book.close()
    return path


class Laptop:
    """One copy of the job, with its own person and its own wrong clock."""

    def __init__(self, base: Path, path: Path, by: str, skew_s: int = 0) -> None:
        self.book = Logbook(
            copy_database(base, path), TickingClock(START + timedelta(seconds=skew_s))
        )
        self.by = by
        self.job = self.opened()

    def opened(self) -> OpenJob:
        return self.book.open(self.book.store.jobs()[0][0], self.by)

    @property
    def path(self) -> Path:
        return self.book.path

    def take(self, *others: Path) -> Merged:
        with contextlib.ExitStack() as stack:
            done = merge(self.book, [stack.enter_context(database_source(p)) for p in others])
        self.job.refresh()
        return done

    def act(self, action: str, pick: int) -> None:
        """Do something valid, chosen by a number; what a rule refuses is not logged."""
        job = self.job

        def reading(value: float) -> e.ReadingTaken:
            return job.reading(*CHECK, f"point {pick % 9 + 1}", value)

        with contextlib.suppress(CommissionError):
            if action == "reading":
                job.record(reading(500.0 + pick))
            elif action == "fault":
                job.fault("pixel dark", f"R1C{pick % 4 + 1} x1 y{pick % 7 + 1}", "near")
            elif action == "work" and job.state.faults:
                fault = job.state.faults[pick % len(job.state.faults)]
                job.work(fault, ("mended", "verified", "reopened")[pick % 3])
            elif action == "correct":
                ids = sorted(job.state.entries)
                chosen = ids[pick % len(ids)]
                is_reading = isinstance(job.state.entries[chosen].body, e.ReadingTaken)
                job.correct(chosen, reading(400.0 + pick) if is_reading else None, "typed wrong")
            elif action == "skip":
                checks = list(job.state.checklist)
                job.skip(checks[pick % len(checks)].id, "not in this room")
            elif action == "instrument":
                accuracy = {"cd/m2": {"percent": float(pick % 5)}}
                job.record(
                    body(
                        e.Instrument,
                        key="m",
                        name=f"M{pick}",
                        serial=f"{pick % 2}",
                        accuracy=accuracy,
                    )
                )
            elif action == "note":
                job.record(body(e.Note, text=f"note {pick}"))
            else:
                undo(job)


@contextlib.contextmanager
def laptops(base: Path, skews: Sequence[int]) -> Iterator[list[Laptop]]:
    with tempfile.TemporaryDirectory() as scratch:
        made = [
            Laptop(base, Path(scratch) / f"{number}.db", PEOPLE[number], skew)
            for number, skew in enumerate(skews)
        ]
        yield made
        for one in made:
            one.book.close()


ACTIONS = ("reading", "fault", "work", "correct", "skip", "instrument", "note", "undo", "merge")
HISTORIES = st.lists(
    st.tuples(st.integers(0, 2), st.sampled_from(ACTIONS), st.integers(0, 99)), max_size=14
)
SKEWS = st.tuples(st.just(0), st.integers(-90, 90), st.integers(-90, 90))


def played(made: Sequence[Laptop], history: Sequence[tuple[int, str, int]]) -> None:
    for who, action, pick in history:
        if action == "merge":
            made[who].take(made[pick % 3].path)
        else:
            made[who].act(action, pick)


@settings(max_examples=EXAMPLES)
@given(skews=SKEWS, history=HISTORIES)
def test_any_order_and_any_number_of_times_gives_the_same_job(
    base: Path, skews: tuple[int, int, int], history: list[tuple[int, str, int]]
) -> None:
    """Commutative, associative, idempotent: state, verdicts, record and chain."""
    with laptops(base, skews) as made, tempfile.TemporaryDirectory() as scratch:
        played(made, history)
        paths = [one.path for one in made]
        left = [paths, [paths[2], paths[0], paths[1]], [paths[1], paths[1], paths[2], paths[0]]]
        wholes = []
        for number, order in enumerate(left):
            one = Laptop(base, Path(scratch) / f"{number}.db", "D. Technician")
            if number == 0:
                one.take(*order)  # all at once
            else:
                for path in order:  # one after another
                    one.take(path)
            wholes.append(one)
        # (a with b) with c, and a with (b with c)
        made[1].take(paths[2])
        made[0].take(made[1].path)
        wholes.append(made[0])
        assert made[0].take(*paths).added == 0
        alike(wholes)
        for one in wholes[:-1]:
            one.book.close()


def alike(wholes: Sequence[Laptop]) -> None:
    first = wholes[0].opened()
    records = {record_bytes(one.job.state.entries.values()) for one in wholes}
    assert len(records) == 1
    ends = {one.book.store.ends(one.job.id) for one in wholes}
    assert len(ends) == 1
    for one in wholes:
        assert one.job.state == first.state
        assert one.job.outcomes() == first.outcomes()
        assert [summary.open_faults for summary in one.book.jobs()] == [
            sum(fault.state in {"open", "mended"} for fault in first.state.faults)
        ]
        not_done = {"open", "not applicable"}
        done = sum(result.verdict not in not_done for result in first.outcomes().values())
        assert [summary.done for summary in one.book.jobs()] == [done]
        assert verify_database(one.path) == []


def test_what_both_read_is_kept_with_who_and_told(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        one.job.read(*CHECK, "point 2", 612.0)
        wrong = two.job.read(*CHECK, "point 2", 5980.0, confirmed=True)
        two.job.correct(wrong.id, two.job.reading(*CHECK, "point 2", 598.0), "a digit too many")
        two.job.read(*CHECK, "point 3", 600.0)
        told = one.take(two.path).told
        assert [(x.by, x.body.value) for x in one.job.state.slot(*CHECK, "point 2")] == [
            ("A. Technician", 612.0),
            ("B. Technician", 598.0),
        ]
        (line,) = told
        assert "read by A. Technician and B. Technician; both are kept" in line


def test_verdicts_of_checks_that_are_left_out_are_kept_too(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        agree_scope(one.job, "short", "one evening")
        two.job.read(*CHECK, "point 2", 600.0)
        one.take(two.path)
        assert odd_results(one.path) == []


def test_a_correction_by_somebody_else_is_not_a_second_reading(base: Path) -> None:
    with laptops(base, (0,)) as (one,):
        entry = one.job.read(*CHECK, "point 2", 6120.0, confirmed=True)
        one.job.by = "B. Technician"
        one.job.correct(entry.id, one.job.reading(*CHECK, "point 2", 612.0), "a digit too many")
        assert readers(one.job.state.slot(*CHECK, "point 2")) == ("A. Technician",)


def test_corrections_made_apart_are_told_with_both_values_and_the_one_that_stands(
    base: Path,
) -> None:
    with laptops(base, (0, 60)) as (one, two):
        first = one.job.state.slot(*CHECK, "point 1")[0]
        for laptop, value in ((one, 610.0), (two, 595.0)):
            right = laptop.job.reading(*CHECK, "point 1", value)
            laptop.job.correct(first.id, right, "typed wrong")
        done = one.take(two.path)
        (line,) = done.told
        assert "point 1: A. Technician 610 cd/m², B. Technician 595 cd/m²; now 595 cd/m²" in line
        (clash,) = done.clashes
        assert (clash.sort, clash.place, clash.stands) == ("correction", "point 1", "595 cd/m²")
        one.job.correct(first.id, one.job.reading(*CHECK, "point 1", 601.0), "both looked")
        assert two.take(one.path).told == (), "settled by a correction that knew both"


def test_a_reading_that_one_withdrew_and_the_other_corrected_is_told(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        first = one.job.state.slot(*CHECK, "point 1")[0]
        one.job.correct(first.id, None, "not there")
        two.job.correct(first.id, two.job.reading(*CHECK, "point 1", 620.0), "typed wrong")
        (line,) = one.take(two.path).told
        assert "A. Technician withdrawn, B. Technician 620 cd/m²; now 620 cd/m²" in line


def agreed(laptop: Laptop, low: float) -> None:
    said = {"source": "mail", "agreed_by": "M. Hollis", "reason": "addendum"}
    laptop.job.record(
        limit_body(laptop.job.state, "brightness", "min_to_max", low=low, high=None, **said)
    )


def fitted(laptop: Laptop, place: str, serial: str) -> None:
    laptop.job.record(body(e.PartFitted, part="cabinet", location=place, serial=serial))


def apart(one: Laptop, two: Laptop) -> None:
    """Do on two laptops what speaks of the same things, otherwise."""
    fault = one.job.state.faults[0]
    for laptop, low, serial, level in ((one, 0.95, "A-33", "60 %"), (two, 0.9, "B-33", "80 %")):
        agreed(laptop, low)
        fitted(laptop, "R1C3", serial)
        change_setting(laptop.job, "brightness level", level)
    fitted(one, "R1C1", "C-1")
    fitted(two, "R1C2", "C-1")
    one.job.correct(fault.id, None, "dust on the lens")
    two.job.work(two.job.state.faults[0], "mended")
    for laptop, there in ((one, "yes"), (two, "no")):
        laptop.job.record(body(e.FeatureSettled, feature="daylight", there=there))
        accuracy = {"lx": {"percent": 3.0}}
        lux = body(e.Instrument, key="lux", name=f"Lux {there}", serial="2", accuracy=accuracy)
        laptop.job.record(lux)
        laptop.job.record(body(e.VisitBegun, name="30 days"))
    one.job.skip("loop-failure", "not in this room")
    two.job.read("loop-failure", "picture_held", "P1", True)


def test_every_pair_that_speaks_of_one_thing_apart_is_named(base: Path) -> None:
    """Of two laptops' limits, serials, settings and steps on a fault none was named."""
    with laptops(base, (0, 60)) as (one, two):
        apart(one, two)
        done = one.take(two.path)
        told = {(clash.what, clash.place): clash for clash in done.clashes}
        lux = "instrument Lux {}, serial 2, calibration due not recorded, for lx ± 3 %"
        assert {at: [x.value for x in clash.said] for at, clash in told.items()} == {
            ("Brightness at nine points, limit min_to_max", ""): ["at least 0.95", "at least 0.9"],
            ("brightness level", "wall"): ["60 %", "80 %"],
            ("serial of the cabinet", "R1C3"): ["A-33", "B-33"],
            ("where serial C-1 is", ""): ["cabinet at R1C1", "cabinet at R1C2"],
            ("fault 1, pixel dark", "R1C1 x1 y1"): ["withdrawn", "mended"],
            ("daylight", ""): ["yes", "no"],
            ("instrument lux", ""): [lux.format("yes"), lux.format("no")],
            ("what is read with in lx", ""): ["Lux yes 2", "Lux no 2"],
            ("a later visit", ""): ["visit 30 days begun"] * 2,
            ("Picture holds when a main cable is pulled", ""): ["does not apply", "read"],
        }
        assert told["fault 1, pixel dark", "R1C1 x1 y1"].stands == "withdrawn"
        assert (
            "brightness level: logged by A. Technician and B. Technician, neither knowing of the other: "
            "wall: A. Technician 60 %, B. Technician 80 %; now 80 %"
        ) in [line.partition(": ")[2] for line in done.told]
        change_setting(one.job, "brightness level", "70 %")
        left = [clash.what for clash in made_apart(one.job.state, {})]
        assert "brightness level" not in left, "settled by one who knew both"
        assert len(left) == len(told) - 1


def test_a_limit_agreed_apart_is_said_to_be_apart_and_not_what_was_before(base: Path) -> None:
    """The trail said 'was 0.95' of what the second never saw."""
    with laptops(base, (0, 60)) as (one, two):
        for laptop, low in ((one, 0.95), (two, 0.9)):
            agreed(laptop, low)
        one.take(two.path)
        agreed(one, 0.92)
        steps = [x for x in trail(one.job.state, ["brightness"]).steps if x.kind == "limit-changed"]
        frozen = steps[0].was
        assert frozen.endswith("(common practice)")
        assert [step.was for step in steps[:2]] == [frozen, frozen]
        assert "at least 0.9, mail" in steps[2].was
        knew = [step.said.partition(", not knowing of ")[2] for step in steps]
        assert knew == [
            "",
            "min_to_max at least 0.95, mail (contract), agreed by A. Technician",
            "",
        ]
        # On paper the second one was a limit that somebody relaxed from 0.95.
        changed = next(x for x in limits(Context(one.job)).sections if x.title == "Agreed anew")
        assert isinstance(changed.body, Listing)
        paper = [(row[1], row[2], row[4].partition("; ")[2]) for row in changed.body.rows]
        assert paper == [
            ("at least 0.9", "at least 0.95", ""),
            (
                "at least 0.9",
                "at least 0.9",
                "not knowing of at least 0.95, which A. Technician logged",
            ),
            ("at least 0.9", "at least 0.92", ""),
        ]


def test_corrections_made_apart_are_each_said_to_be_of_what_its_writer_knew(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        first = one.job.state.slot(*CHECK, "point 1")[0]
        for laptop, value in ((one, 610.0), (two, 595.0)):
            right = laptop.job.reading(*CHECK, "point 1", value)
            laptop.job.correct(first.id, right, "typed wrong")
        one.take(two.path)
        steps = [x for x in trail(one.job.state, ["brightness"]).steps if x.kind == "correction"]
        assert ["600 cd/m²" in step.was for step in steps] == [True, True]


def test_a_reading_corrected_here_and_read_again_there_is_told(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        first = one.job.state.slot(*CHECK, "point 1")[0]
        one.job.correct(first.id, one.job.reading(*CHECK, "point 1", 621.0), "typed wrong")
        two.job.read(*CHECK, "point 1", 598.0)
        (clash,) = one.take(two.path).clashes
        assert [said.value for said in clash.said] == ["621 cd/m²", "598 cd/m²"]
        assert (clash.sort, clash.stands) == ("reading", "598 cd/m²")


def test_one_person_on_two_laptops_clashes_as_two_do(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        two.job.by = one.by
        one.job.read(*CHECK, "point 2", 612.0)
        two.job.read(*CHECK, "point 2", 598.0)
        for laptop in (one, two):
            laptop.job.fault("pixel dark", "R1C3 x5 y5", "near")
            laptop.job.fault("pixel dark", "R1C4 x5 y5", "near")
        one.job.fault("pixel dark", "R1C3 x6 y5", "near")
        one.job.fault("pixel dark", "R1C3 x6 y5", "near")  # he saw the one when he logged the other
        reading, *faults = one.take(two.path).clashes
        assert [said.value for said in reading.said] == ["612 cd/m²", "598 cd/m²"]
        assert [clash.place for clash in faults] == ["R1C3 x5 y5", "R1C4 x5 y5"]


def test_corrections_of_one_who_knew_the_other_and_alike_ones_do_not_clash(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        first = one.job.state.slot(*CHECK, "point 1")[0]
        one.job.correct(first.id, one.job.reading(*CHECK, "point 1", 610.0), "typed wrong")
        two.take(one.path)
        two.job.correct(first.id, two.job.reading(*CHECK, "point 1", 611.0), "read again")
        assert one.take(two.path).told == ()
        for laptop in (one, two):
            right = laptop.job.reading(*CHECK, "point 1", 615.0)
            laptop.job.correct(first.id, right, "both saw it")
        assert one.take(two.path).told == ()


def test_places_that_both_read_are_named_and_of_many_the_first(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        for point in range(2, 9):
            one.job.read(*CHECK, f"point {point}", 600.0 + point)
            two.job.read(*CHECK, f"point {point}", 601.0 + point)
        done = one.take(two.path)
        (line,) = done.told
        assert "point 2: A. Technician 602 cd/m², B. Technician 603 cd/m²; now 603 cd/m²" in line
        assert line.endswith("and 2 more")
        assert [clash.place for clash in done.clashes] == [f"point {n}" for n in range(2, 9)]


def test_what_both_read_alike_or_one_after_the_other_is_no_clash(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        one.job.read(*CHECK, "point 2", 600.0)
        two.job.read(*CHECK, "point 2", 600.0)
        one.job.read(*CHECK, "point 3", 610.0)
        two.take(one.path)
        two.job.read(*CHECK, "point 3", 620.0)
        assert one.take(two.path).told == ()


def test_clocks_that_differ_are_told_with_whose_and_by_how_much(base: Path) -> None:
    with laptops(base, (0, -26 * 3600, 7200)) as (one, behind, ahead):
        one.job.read(*CHECK, "point 2", 600.0)
        behind.take(one.path)
        first = behind.job.state.slot(*CHECK, "point 2")[0]
        behind.job.correct(first.id, behind.job.reading(*CHECK, "point 2", 605.0), "typed wrong")
        (line,) = one.take(behind.path).told
        assert "B. Technician logged 26 h before what A. Technician had logged already" in line
        ahead.job.record(body(e.Note, text="from later"))
        (line,) = one.take(ahead.path).told
        assert "1 entry by C. Technician dated up to 2 h after now" in line
        two_minutes = Laptop(base, one.path.parent / "near.db", "D. Technician", 120)
        two_minutes.job.record(body(e.Note, text="a little later"))
        assert one.take(two_minutes.path).told == ()
        two_minutes.book.close()


def test_one_led_that_both_logged_is_told_as_maybe_one_fault(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        one.job.fault("pixel dark", "R1C3 x5 y5", "near")
        two.job.fault("pixel stuck on", "R1C3 x5 y5", "near")
        two.job.fault("pixel dark", "R1C3 x6 y5", "near")
        one.job.fault("something else", "wall", "note", note="a rattle")
        two.job.fault("something else", "wall", "note", note="dust on the floor")
        (line,) = [x for x in one.take(two.path).told if "may be one" in x]
        assert "R1C3 x5 y5: A. Technician fault 2, B. Technician fault 4" in line
        assert "x6" not in line
        assert "rattle" not in line


def test_one_key_given_to_two_meters_is_told_and_each_reading_keeps_its_own(base: Path) -> None:
    """Whoever merges, whichever clock is ahead, and also for what is read on before the next merge."""
    with laptops(base, (0, 60)) as (one, two):
        for laptop, percent in ((one, 2.0), (two, 10.0)):
            accuracy = {"cd/m2": {"percent": percent}}
            meter = body(
                e.Instrument, key="lum", name=laptop.by, serial=f"{percent}", accuracy=accuracy
            )
            laptop.job.record(meter)
        two.job.read(*CHECK, "point 3", 610.0)
        first = one.job.read(*CHECK, "point 2", 605.0)
        one.job.correct(first.id, one.job.reading(*CHECK, "point 2", 606.0), "typed wrong")
        for place in ("point 4", "point 5"):
            one.job.read(*CHECK, place, 620.0)
        said = one.take(two.path).told
        assert any("instrument lum" in line and "each for what was read" in line for line in said)
        two.take(one.path)
        alike([one, two])
        for laptop in (one, two):
            state = laptop.job.state
            placed = current_readings(state, "brightness")["luminance_cd_m2"]
            errors = {place: r.errors and r.errors.gain for place, r in placed.items()}
            assert errors["point 3"] == 0.10
            assert {errors[f"point {n}"] for n in (2, 4, 5)} == {0.02}
            steps = [x for x in trail(state, ["brightness", "point 2"]).steps if "Lum" in x.said]
            assert steps
            assert all("A. Technician, serial 2.0" in step.said for step in steps)


def revise(laptop: Laptop, text: str, reason: str) -> None:
    laptop.job.record(body(e.Design, text=text, reason=reason))


def entries_of(laptop: Laptop) -> list[e.Entry]:
    return sorted(laptop.job.state.entries.values(), key=lambda entry: entry.id)


def test_two_designs_made_apart_are_told_until_one_is_logged_again(
    base: Path, demo_wall_text: str
) -> None:
    with laptops(base, (0, 60)) as (one, two):
        revise(one, demo_wall_text + "\n# moved up", "the bar is higher")
        assert designs_apart(entries_of(one)) == ()
        revise(two, demo_wall_text + "\n# moved left", "a column is in the way")
        told = one.take(two.path).told
        assert "2 design revisions made apart" in told[0]
        apart = designs_apart(entries_of(one))
        assert ["the bar is higher" in line for line in apart] == [True, False]
        assert ["in use" in line for line in apart] == [False, True]
        revise(one, demo_wall_text + "\n# moved left and up", "both hold")
        assert designs_apart(entries_of(one)) == ()
        two.take(one.path)
        assert designs_apart(entries_of(two)) == ()


def test_the_same_design_on_both_and_one_after_the_other_are_no_conflict(
    base: Path, demo_wall_text: str
) -> None:
    with laptops(base, (0, 60)) as (one, two):
        revise(one, demo_wall_text + "\n# new", "new")
        revise(two, demo_wall_text + "\n# new", "new")
        one.take(two.path)
        assert designs_apart(entries_of(one)) == ()
        two.take(one.path)
        revise(two, demo_wall_text + "\n# newer", "newer")
        one.take(two.path)
        assert designs_apart(entries_of(one)) == ()


def test_a_fault_that_gets_another_number_is_told(base: Path) -> None:
    with laptops(base, (0, -60)) as (one, two):
        one.job.fault("pixel dark", "R1C2 x1 y1", "near")
        two.job.fault("pixel dark", "R1C3 x1 y1", "near")
        (line,) = one.take(two.path).told
        assert "fault 2 (pixel dark at R1C2" in line
        assert "is now fault 3" in line
        (line,) = two.take(one.path).told
        # Who has the papers of the other must know it too.
        assert "fault 2 of A. Technician (pixel dark at R1C2" in line
        assert "is here fault 3" in line
        assert two.take(one.path).told == ()
        gone = two.job.state.faults[0].id
        two.job.correct(gone, None, "dust")
        one.take(two.path)
        bring_back(one.job, gone, "is there after all")
        assert two.take(one.path).told == ()


def test_a_meter_that_another_laptop_chose_is_told_with_what_takes_it_back(base: Path) -> None:
    """The next reading was stamped with it, and nothing had said so."""

    def choose(laptop: Laptop, key: str, *units: str) -> None:
        if key in laptop.job.state.instruments:
            laptop.job.record(body(e.InstrumentChosen, instrument=key, units=units))
            return
        accuracy = {unit: {"percent": 2.0} for unit in units}
        meter = body(e.Instrument, key=key, name="Photon", serial=key, accuracy=accuracy)
        laptop.job.record(meter)

    with laptops(base, (0, 60)) as (one, two):
        choose(two, "99", "cd/m2", "lx", "xy")
        (line,) = [x for x in one.take(two.path).told if "stamped" in x and "cd/m2" in x]
        named = "readings in cd/m2 are now stamped Photon 99, chosen by B. Technician"
        assert f"{named}; was Meter 1: 'log instrument JOB m' takes it back" in line
        assert one.job.reading(*CHECK, "point 2", 600.0).instrument == "99"
        choose(one, "m", "cd/m2")
        assert one.job.reading(*CHECK, "point 3", 600.0).instrument == "m"
        (line,) = [x for x in two.take(one.path).told if "stamped" in x]
        assert "stamped Meter 1, chosen by A. Technician; was Photon 99" in line
        assert one.take(two.path).told == ()
    with laptops(base, (0, 60)) as (one, two):
        choose(two, "99", "lx", "xy")
        (line,) = one.take(two.path).told
        assert "readings in lx, xy are now stamped Photon 99" in line
        assert line.endswith("; none was chosen here")


def test_a_meter_whose_key_another_laptop_gave_away_is_told_to_need_one_of_its_own(
    base: Path,
) -> None:
    with laptops(base, (0, 60)) as (one, two):
        for laptop, serial in ((one, "77"), (two, "99")):
            accuracy = {"cd/m2": {"percent": 2.0}}
            meter = body(e.Instrument, key="lum", name="Spot", serial=serial, accuracy=accuracy)
            laptop.job.record(meter)
        (line,) = [x for x in one.take(two.path).told if "stamped" in x]
        assert line.endswith("was Spot 77: stated anew under a key of its own it is chosen again")


def changed(path: Path, statement: str) -> None:
    with contextlib.closing(sqlite3.connect(path)) as other, other:
        for (name,) in other.execute(
            "SELECT name FROM sqlite_master WHERE type='trigger'"
        ).fetchall():
            other.execute(f"DROP TRIGGER {name}")
        other.execute(statement)


def test_the_same_id_with_other_content_is_refused_and_nothing_written(base: Path) -> None:
    """A row changed together with its digest, where no later entry names it: only a merge tells."""
    with laptops(base, (0, 60)) as (one, two):
        entry = one.job.read(*CHECK, "point 2", 612.0)
        one.book.close()
        two.take(one.path)
        two.job.record(body(e.Note, text="a note"))
        forged = replace(entry, by="Somebody Else")
        mine = [*entries_of(one)[:-1], forged]
        with pytest.raises(StoreError, match=rf"{entry.id[-12:]} \(reading, .*not the same"):
            merge(two.book, [document_source("forged.json", mine, [])])
        assert not two.job.refresh()


def test_a_database_with_a_changed_row_is_not_merged(base: Path) -> None:
    with laptops(base, (0, 60)) as (one, two):
        two.job.read(*CHECK, "point 2", 612.0)
        two.book.close()
        changed(
            two.path, "UPDATE entries SET body = replace(body, '612', '698') WHERE kind='reading'"
        )
        before = one.book.store.count(one.job.id)
        with pytest.raises(StoreError, match=r"not merged: .*reading.*was changed after"):
            one.take(two.path)
        assert one.book.store.count(one.job.id) == before


def test_photos_come_along_and_a_damaged_one_is_left_out_and_told(
    base: Path, tmp_path: Path
) -> None:
    from PIL import Image

    picture = tmp_path / "seam.png"
    Image.new("RGB", (40, 30), "grey").save(picture)
    with laptops(base, (0, 60, 0)) as (one, two, three):
        entry = two.job.photo(picture)
        assert isinstance(entry.body, e.Photo)
        one.take(two.path)
        assert one.job.file(entry.body.sha256) == picture.read_bytes()
        damaged = StoredFile(entry.body.sha256, "image/png", b"other bytes")
        source = document_source("a record", entries_of(two), [damaged])
        told = merge(three.book, [source]).told
        assert "damaged and was left out" in told[0]
        assert three.book.store.file(entry.body.sha256) is None


def test_every_order_of_three_gives_one_record(base: Path) -> None:
    with laptops(base, (0, 30, -30)) as made, tempfile.TemporaryDirectory() as scratch:
        for one in made:
            one.act("reading", 3)
            one.act("fault", 2)
        records = set()
        for number, order in enumerate(itertools.permutations(made)):
            whole = Laptop(base, Path(scratch) / f"{number}.db", "D")
            for one in order:
                whole.take(one.path)
            records.add(record_bytes(whole.job.state.entries.values()))
            whole.book.close()
        assert len(records) == 1
