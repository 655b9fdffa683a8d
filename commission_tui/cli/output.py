"""What every command shares: the session, plain printing, and JSON that stays the same."""

from __future__ import annotations

import os
import sys
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import wants_json
from commission_tui.errors import InputError, StoreError
from commission_tui.text import counted, joins

if TYPE_CHECKING:
    from commission_tui.logbook.logbook import Logbook, OpenJob
    from commission_tui.wall.model.wall_model import Wall

_LONGEST_LINE = 1000


def is_there(path: Path) -> bool:
    """Whether a file or a folder is there; a StoreError where nobody may look."""
    try:
        return path.exists()
    except OSError as error:
        raise StoreError(f"{path}: cannot be opened: {error.strerror}") from None


@dataclass(frozen=True)
class Session:
    """The database and the person of one run."""

    database: Path | None
    by: str | None
    ascii_only: bool = False

    @property
    def path(self) -> Path:
        if self.database is not None:
            folder = self.database.absolute().parent
            if not is_there(folder):  # made of itself only where nobody named it
                raise StoreError(
                    f"{self.database}: there is no folder {folder}, expected a logbook"
                )
            return self.database
        from platformdirs import user_data_path

        try:
            return user_data_path("commission_tui") / "logbook.db"
        except RuntimeError:
            raise InputError("no --database given and no home folder to put one in") from None

    @property
    def person(self) -> str:
        """Who logs: as said, as said once before on this computer, or as answered now.

        The login name is not asked: nobody called "root" measured anything. Nobody at all, where
        there is no terminal to ask at; what is logged then is refused.
        """
        name, ahead = self.person_and_typed_ahead()
        say_not_taken(ahead)
        return name

    def person_and_typed_ahead(self) -> tuple[str, str]:
        """Return who logs, and what was typed before that was asked: it is for the questions behind it."""
        from commission_tui.screens.host.kept_name import kept_name

        name = self.by or kept_name()
        return (name, "") if name or not terminal() else _asked_name()

    @contextmanager
    def logbook(self) -> Iterator[Logbook]:
        """Open the logbook for one command, or for the screens; copies of it are taken meanwhile."""
        from commission_tui.files import close_to_others
        from commission_tui.logbook.logbook import Logbook
        from commission_tui.logbook.store.backup import copies_while_running

        if self.database is None and close_to_others(self.path.parent):
            message(f"{self.path.parent}: was open to others; it is for its owner alone now")
        book = Logbook(self.path)
        if odd := book.store.oddities:
            oddity = f"{odd[0]} (and {len(odd) - 1} more)" if odd[1:] else odd[0]
            message(f"{self.path}: not as this program writes it: {oddity}; verify it")
        if book.store.read_only:
            from commission_tui.logbook.store.sqlite_errors import is_disk_full

            why = "the disk is full" if is_disk_full(self.path) else "cannot be written here"
            message(f"{self.path}: {why}; it is read, and nothing can be logged")
        with copies_while_running(self.path):
            try:
                yield book
            except BrokenPipeError:
                raise
            except OSError:
                if book.store.logged:
                    message(
                        f"{new_entries(book.store.logged)} logged and kept; what follows was not told"
                    )
                raise
            finally:
                book.close()

    @contextmanager
    def job(self, name: str) -> Iterator[OpenJob]:
        """Open one job for one command."""
        from commission_tui.logbook.integrity.clock_differences import clock_behind

        with self.logbook() as book:
            opened = book.open(name, self.person)
            if doubt := clock_behind(opened.state, opened.now()):
                message(doubt)
            yield opened

    def wall(self, name: str) -> Wall:
        """Return the wall of a job, or of a wall file, whose name ends in .toml."""
        if name.lower().endswith(".toml"):
            from commission_tui.wall.model.wall_file import read_wall

            return read_wall(Path(name))
        with self.job(name) as opened:
            return opened.state.wall

    def open_screens(
        self, job_id: str | None = None, *, first: Callable[[Logbook], object] = lambda _: None
    ) -> None:
        """Do what comes first with the logbook, then open the screens; or say why that cannot be."""
        if not terminal():
            raise InputError(
                "screens: found no terminal, expected one; every command also works without screens, "
                "see 'commission-tui --help'"
            )
        message(f"Opening {self.path} ...")
        was_there = is_there(self.path)
        with self.logbook() as book:
            if was_there and not book.store.oddities:
                message(
                    "schema, triggers, views and the ends of every job are as they were written"
                )
            first(book)
            from commission_tui.screens import run

            status = run(book, self.person, job_id=job_id, ascii_only=self.ascii_only)
        sys.exit(status)


def say_not_taken(ahead: str) -> None:
    """Say what was typed before the name was asked and is for no question behind it."""
    if words := " | ".join(ahead.split("\n")).strip(" |"):
        message(f"not taken, typed before the name was asked: {words}")


def _asked_name() -> tuple[str, str]:
    """Ask for the name at the terminal, and keep it for the next time; return it, and what was typed before."""
    from commission_tui.cli.typed_ahead import set_aside
    from commission_tui.screens.host.kept_name import keep_name, proper_name

    click.echo("Whose name stands beside what is logged? It is asked once on this computer.")
    click.echo("Later 'commission-tui name', or i on the screens, changes it; --as for once.")
    ahead = set_aside()
    while True:
        try:
            name = proper_name(click.prompt("Your name", prompt_suffix=": "))
            break
        except InputError as refusal:
            click.echo(f"  {refusal}; again, please")
    if not keep_name(name):
        click.echo("The name cannot be kept here; it is asked again next time.")
    return name, ahead


def terminal() -> bool:
    """Whether there is a terminal to draw on and to type at."""
    streams = (sys.stdin, sys.stdout, sys.stderr)
    # A stream that the caller closed is None.
    return os.environ.get("TERM", "dumb") != "dumb" and all(s and s.isatty() for s in streams)


def plain(text: str) -> str:
    """Return text without anything a terminal would act on."""
    return "".join(
        "?" if _acts(char) and not joins(text, at) else char for at, char in enumerate(text)
    )


def _acts(char: str) -> bool:
    return char != "\n" and unicodedata.category(char) in {"Cc", "Cf", "Cs", "Co"}


def message(text: str) -> None:
    """Say one line to the person, on stderr; of what is very long, its two ends."""
    line = " ".join(text.splitlines())
    if len(line) > _LONGEST_LINE:
        line = f"{line[: _LONGEST_LINE // 2]} … {line[-_LONGEST_LINE // 2 :]}"
    for part in _rows(plain(line)):
        click.echo(part, err=True)


_USUAL_WIDTH = 80


def _rows(line: str) -> list[str]:
    """Return a line as rows of the terminal that it goes to, parted between words; else whole."""
    if sys.stderr is None or not sys.stderr.isatty():
        return [line]
    import textwrap

    # Of the terminal that it goes to: what is answered may go elsewhere. Some do not say.
    width = os.get_terminal_size(sys.stderr.fileno()).columns or _USUAL_WIDTH
    parted = textwrap.wrap(line, width, break_long_words=False, break_on_hyphens=False)
    return parted or [line]


def new_entries(count: int) -> str:
    return counted(count, "new entry", "new entries")


def say(text: str = "") -> None:
    """Print one line of output."""
    click.echo(plain(text))


def emitted(data: Any, *, figures: int | None = None) -> bool:
    """Print data as JSON where that is asked for; whether it was.

    In a stable layout and in ASCII: any stream takes it, no terminal acts on it. `figures` as for
    `jsonable`.
    """
    if asked := wants_json():
        import json

        click.echo(json.dumps(jsonable(data, figures), indent=2, allow_nan=False))
    return asked


def answer(data: Any, *lines: str) -> None:
    """Print data where JSON is asked for, else the lines that a person reads."""
    if not emitted(data):
        for line in lines:
            say(line)


def jsonable(data: Any, figures: int | None = None) -> Any:
    """Return data of dataclasses, tuples and mappings as plain JSON values, places as their text.

    What has an `as_dict` chooses by it what it says. Numbers are written to so many significant
    figures, where that is said: for what a photograph or a search gives.
    """
    from commission_tui.wall.model.location import Cell, Location

    def plain(item: Any) -> Any:
        if isinstance(item, Cell | Location):
            return str(item)
        if hasattr(item, "as_dict"):
            return plain(item.as_dict())
        if is_dataclass(item) and not isinstance(item, type):
            return {field.name: plain(getattr(item, field.name)) for field in fields(item)}
        if isinstance(item, Mapping):
            return {str(key): plain(value) for key, value in item.items()}
        if isinstance(item, set | frozenset):
            return sorted(map(plain, item), key=str)
        if isinstance(item, list | tuple):
            return [plain(value) for value in item]
        if isinstance(item, float) and figures:
            return float(f"{item:.{figures}g}")
        if isinstance(item, str | int | float | bool) or item is None:
            return item
        return item.hex() if isinstance(item, bytes) else str(item)

    return plain(data)


def table(headers: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print rows under headers, each column as wide as it must be; nothing is cut."""
    listed = [[plain(cell).replace("\n", " ") for cell in row] for row in rows]
    widths = [max(len(row[i]) for row in [list(headers), *listed]) for i in range(len(headers))]
    for row in [list(headers), *listed]:
        line = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        say(line.rstrip())
