"""Work in a process of its own: the same bytes, steps that are so, an end at once and nothing left."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any

import pytest

from commission_tui import subprocess_job
from commission_tui.errors import DocumentError, InputError, StoreError
from commission_tui.handover import export_process
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.export_process import make_files
from commission_tui.handover.progress_steps import FORMATS
from commission_tui.logbook.job import OpenJob
from commission_tui.progress import StoppedError
from commission_tui.subprocess_job import Step, SubprocessJob
from tests.handover.helping import export_pdf, gone_by_itself, is_alive, make_job, page_pictures
from tests.handover.signing_help import short_job
from tests.paths import ROOT

APART = "tests.work_apart"
MADE = "commission_tui.handover.export_process"


def asked(job: OpenJob, *formats: str) -> dict[str, Any]:
    told = {"database": str(job.database), "job": job.id, "by": job.by, "folder": "exports"}
    return told | {"formats": formats, "without_contacts": False}


def unheard(_: Step) -> None:
    pass


def scratch_left(own: Path) -> list[Path]:
    return list(own.glob("commission-tui-work-*"))


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for temporary files that nobody else uses."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def test_every_format_has_the_same_bytes_as_in_this_process(
    tmp_path: Path, temporary: Path
) -> None:
    job = short_job(tmp_path)
    forms = [form for form in FORMATS if form != "png"]
    told: list[Step] = []
    made = SubprocessJob(f"{MADE}:export", asked(job, *forms)).run(told.append, DocumentError)
    assert made == make_files(Context(job), forms)
    assert [step.number for step in told] == [*range(1, told[0].count)]
    pages = SubprocessJob(f"{MADE}:pages", asked(job)).run(unheard, DocumentError)
    assert list(pages.values()) == page_pictures(job, draft=True)
    (draft,) = SubprocessJob(f"{MADE}:draft", asked(job)).run(unheard, DocumentError).values()
    assert draft == export_pdf(job, draft=True)
    assert scratch_left(temporary) == []


@pytest.mark.parametrize("form", FORMATS)
def test_each_step_is_told_as_it_begins_and_there_are_as_many_as_said(
    form: str, tmp_path: Path
) -> None:
    told: list[Step] = []
    export_process.export(asked(short_job(tmp_path), form), lambda *step: told.append(Step(*step)))
    count = len(told) + 1  # the files are written by whoever asked
    assert [(step.number, step.count) for step in told] == [(n, count) for n in range(1, count)]
    assert told[0].says == "reading the logbook"
    assert all(step.says.partition(": ")[0] == form for step in told[1:])


def test_an_error_is_the_same_line_of_the_same_kind(tmp_path: Path, temporary: Path) -> None:
    with pytest.raises(InputError, match="place: found nothing, expected one"):
        SubprocessJob(f"{APART}:failing", {"how": "ours"}).run(unheard, DocumentError)
    with pytest.raises(DocumentError, match="scratch: No space left on device"):
        SubprocessJob(f"{APART}:failing", {"how": "disk"}).run(unheard, DocumentError)
    with pytest.raises(StoreError, match="work: failed: ZeroDivisionError: by no means"):
        SubprocessJob(f"{APART}:failing", {"how": ""}).run(unheard, StoreError)
    job = make_job(tmp_path)
    with pytest.raises(InputError, match="found no job named 'none'"):
        SubprocessJob(f"{MADE}:export", asked(job, "pdf") | {"job": "none"}).run(
            unheard, DocumentError
        )
    assert scratch_left(temporary) == []


@pytest.mark.skipif(os.name == "nt", reason="there is no SIGKILL")
def test_work_that_the_system_ends_is_one_line(temporary: Path) -> None:
    with pytest.raises(DocumentError, match=r"ended before it was done \(signal 9\)"):
        SubprocessJob(f"{APART}:failing", {"how": "killed"}).run(unheard, DocumentError)
    assert scratch_left(temporary) == []


def test_what_cannot_be_started_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(subprocess_job, "COMMAND", ("/nowhere/python",))
    with pytest.raises(DocumentError, match="work: cannot be started: No such file"):
        SubprocessJob(f"{APART}:waiting", {}).run(unheard, DocumentError)


def test_nothing_that_lies_in_the_folder_one_stands_in_is_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stick of somebody's may hold files named as what Python's own process starts with."""
    for name in ("commission_tui", "multiprocessing", "pickle", "signal", "sitecustomize"):
        (tmp_path / f"{name}.py").write_text("open('was-run', 'w').close()", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match="place: found nothing, expected one"):
        SubprocessJob(f"{APART}:failing", {"how": "ours"}).run(unheard, DocumentError)
    assert not (tmp_path / "was-run").exists()


def test_stopping_ends_the_process_and_clears_up(temporary: Path) -> None:
    work = SubprocessJob(f"{APART}:waiting", {})
    told: list[Step] = []

    def begun(step: Step) -> None:
        told.append(step)
        threading.Thread(target=work.stop).start()

    with pytest.raises(StoppedError):
        work.run(begun, DocumentError)
    number, beside = json.loads(told[0].says)
    assert not is_alive(number)
    assert Path(beside).parent.parent == temporary
    assert scratch_left(temporary) == []


def test_stopped_before_it_begins_it_never_does(temporary: Path) -> None:
    work = SubprocessJob(f"{APART}:waiting", {})
    work.stop()
    with pytest.raises(StoppedError):
        work.run(unheard, DocumentError)
    assert list(temporary.iterdir()) == []


def test_an_error_while_it_is_told_ends_it_too(temporary: Path) -> None:
    told: list[Step] = []

    def interrupted(step: Step) -> None:
        told.append(step)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        SubprocessJob(f"{APART}:waiting", {}).run(interrupted, DocumentError)
    assert not is_alive(json.loads(told[0].says)[0])
    assert scratch_left(temporary) == []


@pytest.mark.skipif(os.name == "nt", reason="there is no SIGKILL")
def test_the_work_ends_with_who_asked_for_it(temporary: Path) -> None:
    """However hard that one was ended: no process stays, nor a file of it."""
    asking = (
        "from commission_tui.subprocess_job import SubprocessJob\n"
        "from commission_tui.errors import DocumentError\n"
        f"SubprocessJob('{APART}:waiting', {{}}).run(lambda s: print(s.says, flush=True), DocumentError)"
    )
    folder = {"TMPDIR": str(temporary), "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        [sys.executable, "-c", asking], stdout=subprocess.PIPE, text=True, env=os.environ | folder
    ) as parent:
        assert parent.stdout is not None
        number, beside = json.loads(parent.stdout.readline())
        assert Path(beside).is_dir()
        parent.kill()
        parent.wait()
        gone_by_itself(number)
    assert scratch_left(temporary) == []
