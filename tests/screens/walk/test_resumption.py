"""The program is killed while pasted lines are still to do: each of them is logged, or there again, once."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from textual import events

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.host.typed_keys import Asked
from tests.screens.conftest import on_small_wall
from tests.screens.helping import app_of, metered, put, running, text_of, told, until, walk_of
from tests.screens.host.bursts import Player, paste

COLUMN = [str(601 + point) for point in range(9)]


def _so_far(book: Path, many: int) -> bool:
    """Whether so many readings are on the disk, or for none the lines that are to do; looked at from outside."""
    if not many:
        kept = [*book.parent.glob(f"{book.name}.unfinished-*[0-9a-f]")]
        return any('"waits"' in file.read_text() for file in kept)
    with contextlib.closing(sqlite3.connect(f"file:{book}?mode=ro", uri=True)) as look:
        (found,) = look.execute("SELECT count(*) FROM readings").fetchone()
    return bool(found >= many)


def _read(one: Player) -> list[object]:
    return [said["value"] for said in one.logged() if said["kind"] == "reading"]


def _made(folder: Path, make: Callable[[Logbook], OpenJob]) -> tuple[Path, str]:
    book = Logbook(folder / "logbook.db")
    job = make(book)
    book.close()
    return folder / "logbook.db", job.id


@pytest.mark.parametrize("so_far", [0, 4])
def test_no_line_of_a_column_is_lost_nor_logged_twice(tmp_path: Path, so_far: int) -> None:
    book, job = _made(tmp_path, lambda logbook: metered(on_small_wall(logbook)))
    with Player(book, job) as one:
        one.slowly(["walk"])
        text = "".join(f"{line}\n" for line in COLUMN)
        one.killed([paste(text)], lambda: _so_far(book, so_far))
    with Player(book, job) as one:
        one._send(["walk"])
        one._send(["enter"])  # the first is in the field, the rest goes on behind it
        assert _read(one) == [float(line) for line in COLUMN]


def _with_meter(logbook: Logbook) -> OpenJob:
    job = on_small_wall(logbook, None)
    job.record(
        body(e.Instrument, key="c", name="C", serial="8", accuracy={"xy": {"absolute": 0.003}})
    )
    return job


PAIRS = [(0.3127, 0.329), (0.313, 0.3291), (0.3129, 0.3292)]


@pytest.mark.parametrize(
    ("between", "so_far"), [("\n", 3), (" ", 1)], ids=["by turns", "on one line"]
)
def test_no_half_of_a_pair_is_lost(tmp_path: Path, between: str, so_far: int) -> None:
    book, job = _made(tmp_path, _with_meter)
    with Player(book, job) as one:
        one.slowly(["walk", "find", *"white point", "enter"])
        text = "".join(f"{x}{between}{y}\n" for x, y in PAIRS)
        one.killed([paste(text)], lambda: _so_far(book, so_far))
    with Player(book, job) as one:
        one._send(["walk"])
        one._send(["enter"])
        assert _read(one) == [value for pair in PAIRS for value in pair]


async def test_of_x_and_y_on_one_line_the_one_that_is_not_logged_comes_back(
    logbook: Logbook,
) -> None:
    job = _with_meter(logbook)
    async with running(logbook, job) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await put(pilot, "#value", "0,3127 0,3290")
        app_of(pilot).keep_unfinished()
    job.read("white-point", "x", "point 1", 0.3127)  # and killed before y
    async with running(logbook, job) as pilot:
        await pilot.press("f3")
        await until(pilot, lambda: walk_of(pilot).asking.field.value == "0,3290")
        await pilot.press("enter")
        await until(pilot, lambda: " point 2 " in text_of(pilot, "#asked"))
    assert job.state.latest("white-point", "y", "point 1") is not None


async def test_what_waited_for_another_field_waits_for_it_still(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Half typed is an answer to this field; behind it are figures, which are for the one before."""
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        walk_of(pilot).go_to("each")
        pilot.app.post_message(events.Paste("y\ny\n"))
        await until(pilot, lambda: len(ready.state.readings.get("each", {})) == 2)
        walk_of(pilot).asking.ask_about_strays(Asked("nine", "luminance_cd_m2", "Luminance")).add(
            "603\n", Asked("nine", "luminance_cd_m2", "Luminance")
        )
        await put(pilot, "#value", "n")
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await until(pilot, lambda: any("Left waiting last time" in x for x in told(pilot)))
        assert walk_of(pilot).asking.field.value == "n"
        assert walk_of(pilot).asking.has_strays
        await pilot.press("enter")
        await until(pilot, lambda: len(ready.state.readings.get("each", {})) == 3)
        assert walk_of(pilot).asking.has_strays  # 603 is no answer to the next
