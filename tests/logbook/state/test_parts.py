"""Parts by serial: where each is and was, what a swap needs, what is left on the shelf."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.errors import InputError
from commission_tui.logbook.entries.models import PartFitted
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.parts import (
    PARTS,
    Inventory,
    batch_mix,
    exchange_bodies,
    fitting_bodies,
    history_of_place,
    history_of_serial,
    inventory,
    not_registered,
    spare_body,
)
from commission_tui.logbook.tables.part_list_import import read_parts
from commission_tui.wall.model.wall_model import Wall


def fit(job: OpenJob, part: str, location: str, serial: str, **more: str) -> PartFitted:
    made = fitting_bodies(job.state.wall, inventory(job.state), part, location, serial, **more)  # type: ignore[arg-type]
    job.record(made)
    return made


def put(job: OpenJob, part: str, serial: str, batch: str | None = None) -> None:
    job.record(spare_body(inventory(job.state), part, serial, batch=batch, kept_at="Shelf 2"))


def test_a_swap_uses_a_spare_and_keeps_both_serials(job: OpenJob) -> None:
    put(job, "module", "M-0417", "B7")
    put(job, "module", "M-0418", "B7")
    assert len(inventory(job.state).shelf) == 2
    fit(job, "module", "r3c7 m1,1", "M-0112", batch="B3")
    made = fit(job, "module", "R3C7 m1,1", "M-0417", replaces="M-0112")
    assert made.from_spares
    assert made.batch == "B7"
    assert len(inventory(job.state).shelf) == 1
    assert inventory(job.state).where("M-0112") is None
    assert inventory(job.state).where("M-0417") == ("module", "R3C7 m1,1")
    assert [p.body.serial for p in history_of_place(job.state, "R3C7")] == ["M-0112", "M-0417"]
    assert history_of_place(job.state, "R3C7 m1,2") == ()
    told = [type(entry.body).__name__ for entry in history_of_serial(job.state, "M-0417")]
    assert told == ["SparePut", "PartFitted"]
    assert len(history_of_serial(job.state, "M-0112")) == 2


def test_a_withdrawn_swap_gives_the_spare_back(job: OpenJob) -> None:
    put(job, "module", "M-1")
    fit(job, "module", "R1C1 m1,1", "M-1")
    job.correct(job.state.parts[-1].id, None, "wrong cabinet")
    assert len(inventory(job.state).shelf) == 1
    assert inventory(job.state).where("M-1") is None


def test_two_parts_change_places(job: OpenJob) -> None:
    fit(job, "cabinet", "R1C1", "C-1", batch="B3")
    fit(job, "cabinet", "R1C2", "C-2", batch="B7")
    job.record_all(exchange_bodies(job.state.wall, inventory(job.state), "cabinet", "R1C1", "R1C2"))
    now = inventory(job.state)
    assert (now.where("C-1"), now.where("C-2")) == (("cabinet", "R1C2"), ("cabinet", "R1C1"))
    assert now.fitted["cabinet", "R1C1"].batch == "B7"
    fit(job, "cabinet", "R1C2", "C-3", replaces="C-1")
    assert inventory(job.state).where("C-1") is None
    assert inventory(job.state).where("C-2") == ("cabinet", "R1C1")
    for places, said in ((("R1C1", "R5C5"), "no serial"), (("R1C1", "R1C1"), "two places")):
        with pytest.raises(InputError, match=said):
            exchange_bodies(job.state.wall, inventory(job.state), "cabinet", *places)


def test_a_cabinet_and_its_card_are_two_parts_at_one_place(job: OpenJob) -> None:
    fit(job, "cabinet", "R1C1", "C-1")
    fit(job, "receiving card", "R1C1", "K-1")
    assert len(history_of_place(job.state, "R1C1")) == 2
    assert len(not_registered(job.state, "cabinet")) == 71
    # Twelve by six cabinets of two by two modules.
    assert len(not_registered(job.state, "module")) == 288


def test_the_mix_of_batches(job: OpenJob) -> None:
    fit(job, "cabinet", "R1C1", "C-1", batch="B3")
    fit(job, "cabinet", "R1C2", "C-2", batch="B3")
    fit(job, "cabinet", "R1C3", "C-3")
    fit(job, "cabinet", "R1C1", "C-9", batch="B7", replaces="C-1")
    assert batch_mix(job.state, "cabinet") == {
        "B3": ("R1C2",),
        "B7": ("R1C1",),
        "not recorded": ("R1C3",),
    }


@pytest.mark.parametrize(
    ("part", "location", "serial", "more", "said"),
    [
        ("modul", "R1C1 m1,1", "X", {}, "found 'modul', .*did you mean 'module'"),
        ("module", "R1C1", "X", {}, "expected a module like R3C7 m1,2 for a module"),
        ("cabinet", "R1C1 m1,1", "X", {}, "expected a cabinet like R3C7"),
        ("cabinet", "wall", "X", {}, "expected a cabinet"),
        ("cabinet", "R9C9", "X", {}, "expected a cabinet of this wall"),
        ("cabinet", "R1C2", "C-1", {}, "C-1 is fitted as cabinet at R1C1"),
        ("cabinet", "R1C1", "C-1", {}, "C-1 is at R1C1 already"),
        ("cabinet", "R1C1", "C-2", {}, "it is C-1, expected what replaces it"),
        ("cabinet", "R1C1", "C-2", {"replaces": "C-7"}, "found 'C-7', but C-1 is the cabinet"),
        ("cabinet", "R1C2", "C-2", {"replaces": "C-1"}, "C-1 is at R1C1, not at R1C2"),
        ("cabinet", "R1C3", "C-2", {"replaces": "C-2"}, "which is the new serial itself"),
        ("cabinet", "R1C3", "M-5", {}, "M-5 is a spare module, expected a cabinet"),
        ("module", "R1C3 m1,1", "M-6", {"from_spares": "yes"}, "expected one of the spares.*M-5"),
        ("cabinet", "R1C3", " ", {}, "serial number: found nothing, expected some text"),
    ],
)
def test_what_cannot_be_is_one_line(
    job: OpenJob, part: str, location: str, serial: str, more: dict[str, str], said: str
) -> None:
    fit(job, "cabinet", "R1C1", "C-1")
    put(job, "module", "M-5")
    before = len(job.state.entries)
    with pytest.raises(InputError, match=said) as caught:
        fit(job, part, location, serial, **more)
    assert "\n" not in str(caught.value)
    assert len(job.state.entries) == before


def test_a_spare_is_on_the_shelf_once(job: OpenJob) -> None:
    put(job, "module", "M-1")
    with pytest.raises(InputError, match="M-1 is on the shelf already"):
        put(job, "module", "M-1")
    fit(job, "module", "R1C1 m1,1", "M-1")
    with pytest.raises(InputError, match="M-1 is fitted at R1C1 m1,1"):
        put(job, "module", "M-1")


def test_an_unknown_serial_names_the_nearest(job: OpenJob) -> None:
    put(job, "module", "M-0417")
    with pytest.raises(InputError, match=r"found 'M-0471', .*did you mean 'M-0417'"):
        history_of_serial(job.state, "M-0471")


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 5), st.booleans()), max_size=25))
def test_no_serial_is_ever_in_two_places(
    demo_wall: Wall, steps: list[tuple[int, int, bool]]
) -> None:
    now = Inventory()
    for column, number, spare in steps:
        location, serial = f"R1C{column}", f"S{number}"
        there = now.fitted.get(("cabinet", location))
        try:
            if spare:
                now.take(spare_body(now, "cabinet", serial))
            else:
                old = there.serial if there else None
                now.take(fitting_bodies(demo_wall, now, "cabinet", location, serial, replaces=old))
        except InputError:
            continue
        fitted = [entry.serial for entry in now.fitted.values()]
        assert len(set(fitted)) == len(fitted)
        assert not set(fitted) & set(now.shelf)
        assert all(now.where(s) == p for p, s in zip(now.fitted, fitted, strict=True))


def test_a_list_of_parts_is_read_whole(job: OpenJob, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.append(["Part", "Location", "Serial", "Batch", "Kept at"])
    for row in (
        ["cabinet", "R1C1", 1001, "B3"],
        ["module", "R1C1 m1,1", "M-1", "B3"],
        ["module", "spare", "M-2", "B3", "Rack room"],
    ):
        page.append(row)
    path = tmp_path / "parts.xlsx"
    book.save(path)
    rows = read_parts(job.state, path)
    assert rows.bad == []
    job.record_all(rows.good)
    assert inventory(job.state).where("1001") == ("cabinet", "R1C1")
    assert len(inventory(job.state).shelf) == 1
    again = read_parts(job.state, path)
    assert len(again.bad) == 3


def test_each_bad_row_of_a_list_is_named(job: OpenJob, tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("location,serial\nR1C1,C-1\nR1C2,C-1\nR9C9,C-2\nR1C3,\nR1C4,C-4,x\n")
    rows = read_parts(job.state, path, part="cabinet")
    assert [made.serial for made in rows.good] == ["C-1"]
    assert [line.split(": ")[1] for line in rows.bad] == ["line 3", "line 4", "line 5", "line 6"]
    for text, said in (
        ("location,serial\nR1C1,C-1\n", "column part is missing"),
        ("part,location,sereal\n", "did you mean 'serial'"),
        ("part,location,serial\n", "found no rows"),
    ):
        path.write_text(text)
        with pytest.raises(InputError, match=said):
            read_parts(job.state, path)


def test_the_sorts_of_part_are_those_that_can_be_logged() -> None:
    assert set(PARTS) == {"cabinet", "module", "receiving card", "power supply"}
