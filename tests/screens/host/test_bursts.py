"""However fast keys come, the logbook holds the same: a script in one write, and key by key."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from commission_tui.logbook.logbook import Logbook
from tests.screens.conftest import on_small_wall
from tests.screens.helping import metered
from tests.screens.host.bursts import Player, paste

NUMBERS = st.sampled_from(["598", "601", "604", "60.1", "6010", "176", "801", "7"])
WORDS = st.sampled_from(["y", "n", "2", "black", "rack", "nan", "--", "", "612 cd/m2"])
VALUE = st.one_of(NUMBERS, NUMBERS, WORDS).map(lambda text: [*text, "enter"])
MOVE = st.sampled_from(["down", "up", "page down", "page up", "clear", "again"]).map(lambda k: [k])
FAULT = st.sampled_from(["cabinet dark", "pixel", "own words", ""]).map(
    lambda text: ["fault", *text, "done"]
)
NOTE = st.sampled_from(["exit signs on", "601", ""]).map(lambda text: ["note", *text, "enter"])
FIND = st.sampled_from(["nine", "spares", "tempo", "each"]).map(lambda t: ["find", *t, "enter"])
RIGHT = NUMBERS.map(lambda text: ["right", *text, "enter", "enter"])
PASTE = st.lists(NUMBERS, min_size=1, max_size=9).flatmap(
    lambda lines: st.sampled_from(["\n", "\r\n", "\r"]).map(
        lambda end: [paste("".join(line + end for line in lines))]
    )
)
WALL = st.sampled_from(["r2c3", "r1c1", "r9c9"]).map(lambda t: ["wall", *t, "enter", "walk"])
CLOSED = st.sampled_from(["fault", "note", "find"]).map(lambda k: [k, *"601", "escape", "clear"])
SCRIPTS = st.lists(
    st.one_of(VALUE, VALUE, VALUE, MOVE, FAULT, NOTE, FIND, RIGHT, PASTE, WALL, CLOSED),
    min_size=4,
    max_size=12,
).map(lambda parts: [key for part in parts for key in part])


def player(folder: Path) -> Player:
    book = Logbook(folder / "logbook.db")
    job = metered(on_small_wall(book))
    book.close()
    one = Player(folder / "logbook.db", job.id)
    one.slowly(["walk"])
    return one


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Player, Player]]:
    """The same job twice, for a whole run: each script finds both as the one before left them."""
    with (
        player(tmp_path_factory.mktemp("burst")) as burst,
        player(tmp_path_factory.mktemp("slow")) as slow,
    ):
        yield burst, slow


@settings(
    max_examples=3,  # bench_bursts plays many more
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(SCRIPTS)
def test_a_script_in_one_burst_logs_what_it_logs_key_by_key(
    both: tuple[Player, Player], keys: list[str]
) -> None:
    burst, slow = both
    burst.burst(keys)
    slow.slowly(keys)
    assert burst.logged() == slow.logged()
    assert burst.last["screen"] == slow.last["screen"]


@pytest.mark.parametrize(("end", "pasted"), [("\r", False), ("\r\n", False), ("\n", True)])
def test_nine_numbers_in_one_write_are_nine_readings(
    tmp_path: Path, end: str, pasted: bool
) -> None:
    numbers = [str(601 + point) for point in range(9)]
    text = "".join(f"{number}{end}" for number in numbers)
    with player(tmp_path) as one:
        one.burst([paste(text)] if pasted else [*text])
        read = [b for b in one.logged() if b["kind"] == "reading"]
    assert [(b["place"], b["value"]) for b in read] == [
        (f"point {point}", 600.0 + point) for point in range(1, 10)
    ]


def test_an_enter_that_came_before_the_question_does_not_answer_it(tmp_path: Path) -> None:
    with player(tmp_path) as one:
        one._send([*"20000", "enter", "enter", "enter", *"602", "enter"])
        assert one.last["asks"] == "odd"
        assert not [b for b in one.logged() if b["kind"] == "reading"]
        one._send(["enter"])  # typed with the question on the screen; what waited follows
        read = [b for b in one.logged() if b["kind"] == "reading"]
    assert [(b["place"], b["value"]) for b in read] == [("point 1", 20000.0), ("point 2", 602.0)]


def test_a_key_that_leads_on_waits_for_the_answer_as_a_line_does(tmp_path: Path) -> None:
    keys = [*"nan", "enter", "down", "down"]
    with player(tmp_path) as one:
        one.burst(keys)  # the answer is 601
        one._send([*"604", "enter"])
        read = [b for b in one.logged() if b["kind"] == "reading"]
    assert [(b["place"], b["value"]) for b in read] == [("point 1", 601.0), ("point 4", 604.0)]


def test_what_waits_for_an_answer_is_dropped_by_the_second_escape(tmp_path: Path) -> None:
    with player(tmp_path) as one:
        one._send([*"20000", "enter", *"602", "enter"])
        one._send(["escape"])
        one._send(["escape"])
        one._send(["clear"])
        one._send([*"601", "enter"])
        read = [b for b in one.logged() if b["kind"] == "reading"]
    assert [(b["place"], b["value"]) for b in read] == [("point 1", 601.0)]
