"""Some damaged files for each reader; `python -m tests.fuzz.long` feeds them very many."""

from __future__ import annotations

import contextlib
import io
import json
import sqlite3
import zlib
from collections import Counter
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from commission_tui.checks.checklists.checklist_file import file_errors
from commission_tui.checks.faults.kinds import read_catalogue
from commission_tui.errors import (
    ChecklistError,
    CommissionError,
    InputError,
    StoreError,
    did_you_mean,
)
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.photos import read_photo
from tests.characters import CHARACTERS
from tests.fuzz.mutating import _chunk, mutated
from tests.fuzz.readers import READERS, Unsafe, attempt
from tests.fuzz.seeds import Seeds

_INPUTS = {"document": 8, "photo": 10, "observations": 10, "database": 15}
_TREES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(CHARACTERS, max_size=40),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text(CHARACTERS, max_size=20), inner, max_size=4)
    ),
    max_leaves=20,
)
_NOTHING_SOUND = st.one_of(
    st.binary(max_size=400),
    st.text(CHARACTERS, max_size=400).map(lambda text: text.encode("utf-8", "surrogatepass")),
    _TREES.map(lambda tree: json.dumps(tree).encode()),
    st.lists(st.lists(st.text(CHARACTERS, max_size=12), max_size=6), max_size=6).map(
        lambda rows: "\n".join(",".join(row) for row in rows).encode("utf-8", "surrogatepass")
    ),
)


@pytest.fixture(scope="module")
def seeds(tmp_path_factory: pytest.TempPathFactory) -> Seeds:
    return Seeds(tmp_path_factory.mktemp("seeds"))


@pytest.mark.parametrize("reader", READERS)
def test_what_was_sound_is_read(seeds: Seeds, tmp_path: Path, reader: str) -> None:
    for content in seeds.of(reader):
        assert attempt(seeds, reader, content, tmp_path) == "read"


@pytest.mark.parametrize("reader", READERS)
def test_a_damaged_file_is_read_or_refused_in_one_line(
    seeds: Seeds, tmp_path: Path, reader: str
) -> None:
    came: Counter[str] = Counter()
    for number in range(_INPUTS.get(reader, 20)):
        content = mutated(Random(f"ci {reader} {number}"), seeds.of(reader))  # noqa: S311
        came[attempt(seeds, reader, content, tmp_path)] += 1
    assert came["refused"] > 0


@pytest.mark.parametrize("reader", READERS)
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=_NOTHING_SOUND)
def test_what_never_was_sound_is_read_or_refused_in_one_line(
    seeds: Seeds, tmp_path: Path, reader: str, content: bytes
) -> None:
    assert attempt(seeds, reader, content, tmp_path) in {"read", "refused"}


def test_a_reader_that_writes_elsewhere_or_says_an_escape_is_noticed(
    seeds: Seeds, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(READERS, "wall", ("x", lambda *_: (tmp_path / "out").write_text("x")))
    with pytest.raises(Unsafe, match="open"):
        attempt(seeds, "wall", b"", tmp_path)
    monkeypatch.setattr(CommissionError, "__init__", lambda *_: None)
    monkeypatch.setattr(CommissionError, "__str__", lambda _: "\x1b[2J")
    with pytest.raises(Unsafe, match="Cc"):
        attempt(seeds, "strokes", b"", tmp_path)


# --- what it found


@pytest.mark.parametrize(
    "said", ["\x1b]0;x\x07", "a\nb", "\u202egnp", "\ud800", "\x9b31m", "\u2028"]
)
def test_what_an_error_says_is_one_printable_line(said: str) -> None:
    text = str(InputError(f"found {said}"))
    assert text.isprintable()
    assert said not in text


def test_a_checklist_of_very_many_checks_that_are_none_is_told_in_bounds() -> None:
    found = file_errors(
        "own.toml", 'order = 1\nid = "own"\ntitle = "x"\nchecks = [' + "{}," * 10_000 + "]"
    )
    assert len(found) == 200


def test_where_very_much_is_wrong_is_told_by_line() -> None:
    unknown = "[[checks]]\nid = 'x'\n" + "".join(f"key_{n} = 1\n" for n in range(20_000))
    found = file_errors("own.toml", "order = 1\nid = 'own'\ntitle = 'x'\n" + unknown)
    assert found[:2] == (
        "own.toml: checks[1].key_0: unknown key (line 6)",
        "own.toml: checks[1].key_1: unknown key (line 7)",
    )


def test_a_word_longer_than_any_of_ours_is_not_compared(monkeypatch: pytest.MonkeyPatch) -> None:
    assert did_you_mean("mehtod", ["method"]) == " (did you mean 'method'?)"
    monkeypatch.delattr("difflib.get_close_matches")
    assert did_you_mean("method" * 20_000, ["method" * 5, "title"]) == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("faults = 3", "expected a table of cautions and a list"),
        ("faults = [3]", "expected a table"),
        ("cautions = 3", "expected a table of cautions"),
        ("faults = " + "[" * 3000, "nested too deeply"),
        ("x = " + "9" * 5000, "not TOML"),
        (
            '[[faults]]\nkind = "x"\nat = "wall"\nseverity = "note"\nblocks = "no"\n'
            "seen_on = 'x'\nfirst_looks = 3",
            "expected",
        ),
    ],
)
def test_a_catalogue_of_faults_that_is_none_is_one_line(text: str, said: str) -> None:
    with pytest.raises(ChecklistError, match=said):
        read_catalogue(text)


def test_a_png_whose_part_is_shorter_than_its_kind_demands_is_refused(tmp_path: Path) -> None:
    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, "PNG")
    content = out.getvalue()
    path = tmp_path / "photo.png"
    for kind in (b"acTL", b"fcTL", b"gAMA", b"pHYs", b"iCCP", b"sRGB", b"cHRM", b"tRNS"):
        path.write_bytes(content[:33] + _chunk(kind, b"") + content[33:])
        try:
            read_photo(path)
        except InputError as error:
            assert "expected a whole photo" in str(error)  # noqa: PT017 (either way is good)


def test_a_png_of_one_colour_that_unpacks_to_gigabytes_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "photo.png"
    size = (60_000).to_bytes(4, "big") * 2 + b"\x08\x02\0\0\0"
    parts = (_chunk(b"IHDR", size), _chunk(b"IDAT", zlib.compress(bytes(10_000_000))))
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(parts) + _chunk(b"IEND", b""))
    with pytest.raises(InputError, match="more than a hundred megapixels"):
        read_photo(path)


@pytest.mark.parametrize("column", ["ends", "summary"])
@pytest.mark.parametrize("text", ["[", "3", "[" * 100_000, '{"name": 3}', "[1, {}]"])
def test_what_a_database_keeps_beside_its_entries_may_be_anything(
    seeds: Seeds, tmp_path: Path, column: str, text: str
) -> None:
    path = tmp_path / "logbook.db"
    path.write_bytes(seeds.of("database")[0])
    with contextlib.closing(sqlite3.connect(path)) as connection, connection:
        try:
            connection.execute(f"UPDATE jobs SET {column} = ?", (text,))  # noqa: S608
        except sqlite3.IntegrityError:
            return  # the table itself refuses what is no JSON
    connection.close()
    book = Logbook(path)
    try:
        for row in book.jobs():
            book.open(row.id, "B")
    except StoreError as error:
        assert "damaged" in str(error)  # noqa: PT017 (either way is good)
    finally:
        book.close()
