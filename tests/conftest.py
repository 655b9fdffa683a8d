"""What every test needs: a skipped outside check fails where CI demands it; the demo wall; a job."""

from __future__ import annotations

import contextlib
import fcntl
import gc
import importlib
import os
import shutil
import socket
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from importlib import resources
from pathlib import Path
from typing import Any, NoReturn

import pytest
from hypothesis import settings

from commission_tui.demo import cast
from commission_tui.demo.demo_walk import make_demo
from commission_tui.handover.signing import keys
from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.store.store import Store
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.paths import ROOT

# A shared machine pauses, so no example is timed; what CI refuses can be run again just so.
settings.register_profile(
    "project", deadline=None, max_examples=30, derandomize=bool(os.environ.get("CI"))
)
settings.load_profile("project")

_MEMORY, _ENOUGH_BYTES = "/dev/shm", 2 << 30  # noqa: S108 (pytest makes its own folders there)
# Thousands of logbooks wait for the disk at each entry; memory answers at once.
if (
    "TMPDIR" not in os.environ
    and os.access(_MEMORY, os.W_OK)
    and shutil.disk_usage(_MEMORY).free >= _ENOUGH_BYTES
):
    os.environ["TMPDIR"] = tempfile.tempdir = _MEMORY

# Programs that tests start, and the workers: where no bytecode may lie beside the sources, each would
# compile all of them anew.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
    os.environ.setdefault("PYTHONPYCACHEPREFIX", str(ROOT / ".pytest_cache" / "bytecode"))

# Textual reads it when it is imported: half of what a test of a screen took was waiting for the next of
# sixty pictures a second. Every change is drawn all the same.
os.environ["TEXTUAL_FPS"] = "1000"
os.environ["TEXTUAL_ANIMATIONS"] = "none"

os.environ.pop("NO_COLOR", None)
os.environ.pop("COMMISSION_TUI_DATABASE", None)
os.environ.pop("COMMISSION_TUI_AS", None)


def pytest_xdist_auto_num_workers() -> int:
    """Let one more work than there are processors: a tenth of the run is waiting, for the disk or for a clock."""
    return (os.cpu_count() or 1) + 1


def pytest_collection(session: pytest.Session) -> None:
    """Let each worker begin to import the tests elsewhere, before it collects them from the start.

    Each worker imports all of them, and in a fresh clone compiles them: so each compiles its share, and
    reads the others as its neighbours left them. Of a part of the tests that is not worth it.
    """
    worker = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    all_of_them = [Path(argument).resolve() for argument in session.config.args] == [ROOT / "tests"]
    if worker == 0 or not all_of_them:
        return
    paths = sorted((ROOT / "tests").rglob("test_*.py"))
    begin = len(paths) * worker // workers
    for path in (*paths[begin:], *paths[:begin]):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        with contextlib.suppress(Exception, pytest.skip.Exception):  # collecting tells of it
            importlib.import_module(name)


@pytest.hookimpl(trylast=True)
def pytest_collection_finish() -> None:
    """Let the collector leave alone what all tests and libraries brought: it takes a fourth of the run."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 10, 10)


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[None]:
    outcome = yield
    report: pytest.TestReport = outcome.get_result()  # type: ignore[attr-defined]
    required = os.environ.get("OUTSIDE_CHECKS_REQUIRED") and item.get_closest_marker("outside")
    if report.skipped and required:
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid}: an outside check was skipped: {report.longrepr}"


@pytest.fixture(scope="session", autouse=True)
def _whatever_is_left_goes_with_the_run(tmp_path_factory: pytest.TempPathFactory) -> None:
    tempfile.tempdir = str(tmp_path_factory.mktemp("scratch"))


@pytest.fixture(scope="session", autouse=True)
def _keys_are_sealed_fast() -> Iterator[None]:
    """Derive the secrets of key files in few rounds: a test has half a second's work in each guess."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(keys, "ROUNDS", 1000)
        yield


@pytest.fixture(scope="session", autouse=True)
def _opened() -> Iterator[list[Store]]:
    """Hold every logbook that is opened: Python 3.13 warns of one that nobody closed when it goes."""
    opened: list[Store] = []
    real = Store.__init__

    def opening(self: Store, path: Path) -> None:
        real(self, path)
        opened.append(self)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Store, "__init__", opening)
        yield opened
    _close(opened)


@pytest.fixture(autouse=True)
def _logbooks_are_closed(request: pytest.FixtureRequest, _opened: list[Store]) -> Iterator[None]:
    """Close what a test opened in its own folder; what lies elsewhere serves other tests too."""
    if "tmp_path" not in request.fixturenames:
        yield
        return
    tmp_path: Path = request.getfixturevalue("tmp_path")
    yield
    own = [store for store in _opened if store.path.is_relative_to(tmp_path)]
    _close(own)
    _opened[:] = [store for store in _opened if store not in own]


def _close(stores: list[Store]) -> None:
    for store in stores:
        with contextlib.suppress(sqlite3.ProgrammingError):  # of a thread that is gone
            store.close()


class TickingClock:
    """A clock that moves one second at each look."""

    def __init__(self, start: datetime = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)) -> None:
        self.moment = start

    def __call__(self) -> datetime:
        self.moment += timedelta(seconds=1)
        return self.moment


def without_network(patch: pytest.MonkeyPatch) -> list[str]:
    """Refuse and note every attempt to reach another machine, or to look up its name."""
    tried: list[str] = []

    def refused(name: str) -> Any:
        def refuse(*arguments: object, **_: object) -> NoReturn:
            tried.append(f"{name} {arguments[1:]}")
            raise OSError(f"{name}: no network here")

        return refuse

    for name in ("connect", "connect_ex", "sendto", "bind"):
        patch.setattr(socket.socket, name, refused(name))
    for name in ("getaddrinfo", "gethostbyname", "create_connection"):
        patch.setattr(socket, name, refused(name))
    return tried


@pytest.fixture
def cut_off(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Cut the network off, and note what asks for it."""
    return without_network(monkeypatch)


@pytest.fixture(scope="session")
def demo_wall_text() -> str:
    return (resources.files("commission_tui.demo") / "fellmoor.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def demo_wall(demo_wall_text: str) -> Wall:
    return parse_wall(demo_wall_text)


def made_once(
    tmp_path_factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]
) -> Path:
    """Return a folder that all workers share, filled by the one that asks first."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    folder = shared / name
    with (shared / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            begun = shared / f"{name}-begun"
            begun.mkdir()
            make(begun)
            begun.rename(folder)
    return folder


def _tell_demo(folder: Path) -> None:
    book = Logbook(folder / "demo.db")
    make_demo(book, on_step=lambda _text: None)
    book.close()


@pytest.fixture(scope="session")
def _demo_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made_once(tmp_path_factory, "demo", _tell_demo) / "demo.db"


@pytest.fixture
def demo_database(_demo_once: Path, tmp_path: Path) -> Path:
    """A logbook of this test's own with the demo job, which is told once for all."""
    return Path(shutil.copy(_demo_once, tmp_path / "demo.db"))


@pytest.fixture
def demo_job(demo_database: Path) -> Iterator[OpenJob]:
    """The demo job as its story ends, opened by the one who led it."""
    book = Logbook(demo_database)
    (summary,) = book.jobs()
    yield book.open(summary.id, cast.LEAD)
    book.close()


@pytest.fixture(scope="session")
def _new_logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook without a job: its tables are made once, not for each test."""
    path = tmp_path_factory.mktemp("new") / "logbook.db"
    Logbook(path).close()
    return path


def _steady(path: Path) -> tuple[Logbook, TickingClock]:
    clock = TickingClock()
    return Logbook(path, clock, IdSource(lambda bits: 1 << bits - 2)), clock


@pytest.fixture
def logbook(_new_logbook: Path, tmp_path: Path) -> Iterator[Logbook]:
    """A new logbook with a clock and ids that are the same at every run."""
    book, _ = _steady(Path(shutil.copy(_new_logbook, tmp_path / "logbook.db")))
    yield book
    book.close()


@pytest.fixture(scope="session")
def _new_job(
    _new_logbook: Path, demo_wall_text: str, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, datetime]:
    """A logbook with a job on the demo wall, opened once, not for each test; and what its clock shows."""
    path = tmp_path_factory.mktemp("opened") / "logbook.db"
    book, clock = _steady(Path(shutil.copy(_new_logbook, path)))
    book.create(
        by="A. Technician",
        name="Fellmoor Town Hall",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=demo_wall_text,
    )
    book.close()
    return path, clock.moment


@pytest.fixture
def job(logbook: Logbook, _new_job: tuple[Path, datetime]) -> OpenJob:
    """A job on the demo wall with the shipped checklists and nothing recorded."""
    opened, moment = _new_job
    logbook.close()
    shutil.copy(opened, logbook.path)
    logbook.store, logbook.clock = Store(logbook.path), TickingClock(moment)
    return logbook.open("Fellmoor Town Hall", "A. Technician")
