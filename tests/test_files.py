"""Files written whole or not at all, with the rights that whoever writes them gives."""

from __future__ import annotations

import errno
import itertools
import os
import stat
import time
from collections.abc import Container
from pathlib import Path

import pytest

from commission_tui.errors import DocumentError
from commission_tui.files import FOR_ITS_OWNER, write_all, write_whole

posix = pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")


REFUSED = OSError(errno.EIO, os.strerror(errno.EIO))


def renames_fail(
    monkeypatch: pytest.MonkeyPatch, which: Container[int], error: BaseException
) -> None:
    """Let the system refuse some names given to files, counted from 1, and give the others."""
    replace, link, calls = Path.replace, Path.hardlink_to, itertools.count(1)

    def replaced(self: Path, target: Path) -> Path:
        if next(calls) in which:
            raise error
        return replace(self, target)

    def linked(self: Path, target: Path) -> None:
        if next(calls) in which:
            monkeypatch.setattr(Path, "touch", refused)
            raise error
        link(self, target)

    def refused(self: Path, **_: object) -> None:
        raise error

    monkeypatch.setattr(Path, "replace", replaced)
    monkeypatch.setattr(Path, "hardlink_to", linked)


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("refused", [1, 2, 3])
def test_when_a_rename_fails_every_earlier_file_is_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refused: int
) -> None:
    """The system takes the first renames and refuses one: nothing is new, and that is what is said."""
    write_all(tmp_path, {"a": b"old a", "c": b"old c"}, DocumentError)
    renames_fail(monkeypatch, {refused}, REFUSED)
    with pytest.raises(DocumentError, match=r"cannot be written: .*; nothing written"):
        write_all(tmp_path, {"a": b"new", "b": b"new", "c": b"new"}, DocumentError)
    assert contents(tmp_path) == {"a": b"old a", "c": b"old c"}


def test_where_even_the_way_back_is_refused_what_is_new_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_all(tmp_path, {"a": b"old"}, DocumentError)
    renames_fail(monkeypatch, range(2, 99), REFUSED)
    with pytest.raises(DocumentError, match=r"b: cannot be written: .*; written: a$"):
        write_all(tmp_path, {"a": b"new", "b": b"new"}, DocumentError)
    assert contents(tmp_path) == {"a": b"new"}


def test_an_interrupt_between_two_renames_takes_the_first_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_all(tmp_path, {"a": b"old"}, DocumentError)
    renames_fail(monkeypatch, {2}, KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        write_all(tmp_path, {"a": b"new", "b": b"new"}, DocumentError)
    assert contents(tmp_path) == {"a": b"old"}


def test_a_file_that_gets_there_first_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program makes a file of that name after it was looked for, with links and without."""
    link = Path.hardlink_to

    def later(self: Path, target: Path) -> None:
        self.write_bytes(b"another's")
        link(self, target)

    def without_links(self: Path, _: Path) -> None:
        self.write_bytes(b"another's")
        raise REFUSED

    for how in (later, without_links):
        monkeypatch.setattr(Path, "hardlink_to", how)
        with pytest.raises(DocumentError, match=r"b: cannot be written: .*; nothing written"):
            write_all(tmp_path, {"b": b"new"}, DocumentError)
        assert contents(tmp_path) == {"b": b"another's"}
        (tmp_path / "b").unlink()


def test_without_links_a_new_file_gets_its_name_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise REFUSED

    monkeypatch.setattr(Path, "hardlink_to", refused)
    write_all(tmp_path, {"a": b"new"}, DocumentError)
    assert contents(tmp_path) == {"a": b"new"}


def test_what_stays_leaves_every_file_as_it_was(tmp_path: Path) -> None:
    write_all(tmp_path, {"a": b"old", "b": b"signed"}, DocumentError)
    with pytest.raises(DocumentError, match=r"b: it stays$"):
        write_all(
            tmp_path,
            {"a": b"new", "b": b"new", "c": b"new"},
            DocumentError,
            lambda there: "it stays" if there == b"signed" else "",
        )
    assert contents(tmp_path) == {"a": b"old", "b": b"signed"}


@posix
@pytest.mark.parametrize(("umask", "mode"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
def test_what_is_written_keeps_to_the_umask(tmp_path: Path, umask: int, mode: int) -> None:
    before = os.umask(umask)
    try:
        write_whole(tmp_path / "one", b"x", DocumentError)
        write_all(tmp_path, {"all": b"x"}, DocumentError)
        write_whole(tmp_path / "own", b"x", DocumentError, mode=FOR_ITS_OWNER)
    finally:
        os.umask(before)
    assert [mode_of(tmp_path / name) for name in ("one", "all", "own")] == [mode, mode, 0o600]


def test_what_a_killed_program_left_is_cleared_at_the_next_writing(tmp_path: Path) -> None:
    ours = [tmp_path / f".commission-tui-{pid}-0123.part" for pid in (os.getpid(), 2**22 + 7)]
    fresh = tmp_path / f".commission-tui-{2**22 + 9}-4567.part"
    foreign = tmp_path / ".somebody.part"
    for path in (*ours, fresh, foreign):
        path.write_bytes(b"half of a f")
    hour_ago = time.time() - 3600
    for path in (*ours, foreign):
        os.utime(path, (hour_ago, hour_ago))
    write_whole(tmp_path / "file", b"x", DocumentError)
    left = {path.name for path in tmp_path.iterdir()}
    stays = {"file", fresh.name, foreign.name} | ({ours[0].name} if os.name == "posix" else set())
    assert left == stays
