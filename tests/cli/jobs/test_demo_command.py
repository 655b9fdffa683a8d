"""The demo: walked by the same code as any job, the same bytes each time, and published as it is."""

from __future__ import annotations

import json
import subprocess
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.demo import cast
from commission_tui.demo.demo_walk import make_demo
from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.conftest import without_network
from tests.handover.helping import export_record, pdf_text, squeezed
from tests.paths import ROOT


def silent(_line: str) -> None:
    """Show no progress."""


PUBLISHED = ROOT / "exports"


@dataclass(frozen=True, slots=True)
class Walked:
    """What the command did where it has neither a terminal nor a network."""

    status: int
    files: list[Path]
    progress: str
    asked_of_the_network: list[str]
    database: Path


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> Walked:
    folder = tmp_path_factory.mktemp("demo")
    out, progress = StringIO(), StringIO()
    words = ["--database", str(folder / "x.db"), "demo", "-o", str(folder / "out"), "--json"]
    with pytest.MonkeyPatch.context() as patch:
        tried = without_network(patch)
        with redirect_stdout(out), redirect_stderr(progress):
            status = run(words)
    files = [Path(path) for path in json.loads(out.getvalue())["files"]]
    return Walked(status, files, progress.getvalue(), tried, folder / "x.db")


@pytest.fixture(scope="module")
def pdf(walked: Walked) -> Path:
    return next(path for path in walked.files if path.suffix == ".pdf")


def test_the_demo_shows_what_it_is_for(demo_job: OpenJob) -> None:
    job = demo_job
    verdicts = [str(result.verdict) for result in job.outcomes().values()]
    assert verdicts.count("marginal") == 2
    assert "fail" in verdicts
    assert verdicts.count("pass") > 150
    assert "open" not in verdicts
    faults = job.state.faults
    assert {fault.worked for fault in faults} == {"open", "mended", "verified", "accepted"}
    assert {fault.state for fault in faults} == {"open", "verified", "accepted"}
    first = [s for s in job.state.readings["cabinet-luminance"].values() if len(s) > 1]
    assert len(first) == 5  # the dark cabinet and its four neighbours were measured again
    assert job.state.corrections


def test_a_logbook_that_was_named_is_left_as_it_is_and_that_is_said(walked: Walked) -> None:
    assert "x.db: left as it is; the demo is walked in a logbook of its own" in walked.progress
    assert not walked.database.exists()


def test_what_is_there_is_not_told_again(demo_database: Path) -> None:
    book = Logbook(demo_database)
    (told,) = book.jobs()
    assert make_demo(book, on_step=silent) == told.id
    assert book.jobs() == [told]
    book.close()


def test_the_published_output_is_current(walked: Walked) -> None:
    made = {path.name: path.read_bytes() for path in walked.files}
    published = {path.name: path.read_bytes() for path in PUBLISHED.iterdir()}
    assert sorted(made) == sorted(published)
    differing = [name for name, content in made.items() if published[name] != content]
    assert not differing, "run: commission-tui demo --unattended"


@pytest.mark.outside
def test_the_document_holds_what_matters(pdf: Path, demo_job: OpenJob) -> None:
    """Read with pdftotext (Debian poppler-utils), which knows nothing of this program."""
    try:
        done = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, check=True)
    except FileNotFoundError:
        pytest.skip("pdftotext is not installed")
    text = " ".join(done.stdout.decode("utf-8").split())
    job = demo_job
    wanted = [cast.NAME, cast.CLIENT, cast.INTEGRATOR, cast.REFERENCE]
    told = ("fail", "marginal")
    wanted += [c.title for c in job.state.checklist if job.outcome(c.id).verdict in told]
    handed_over = [f for f in job.state.faults if f.id < job.state.visits[0].id]
    for fault in handed_over:
        wanted += [fault.found.body.fault, fault.found.body.location]
    for instrument in job.state.instruments.values():
        wanted += [instrument.body.name, instrument.body.serial]
    assert [item for item in wanted if item not in text] == []


@pytest.mark.outside
def test_the_first_page_leads_each_reader_to_his(pdf: Path, tmp_path: Path) -> None:
    """Links and bookmarks are read by pikepdf, the words by poppler's pdftotext."""
    import pikepdf

    first = squeezed(pdf_text(pdf.read_bytes(), tmp_path).split("\f")[0])
    for who in ("Operator", "Electrician", "Rigger", "Makersofpictures"):
        assert f"{who}page" in first
    with pikepdf.open(pdf) as opened:
        assert len(opened.pages[0].Annots) > 10
        with opened.open_outline() as outline:
            titles = [str(item.title) for item in outline.root]
    assert {"Operator's card", "Electrician's page", "Rigger's page"} <= set(titles)


@pytest.mark.outside
def test_the_pdf_is_sound_and_carries_the_record(pdf: Path, tmp_path: Path) -> None:
    """Checked with qpdf and pdfdetach, which know nothing of this program."""
    try:
        subprocess.run(["qpdf", "--check", pdf], capture_output=True, check=True)
        subprocess.run(
            ["pdfdetach", "-saveall", "-o", tmp_path, pdf], check=True, capture_output=True
        )
    except FileNotFoundError:
        pytest.skip("qpdf or pdfdetach is not installed")
    record = tmp_path / "record.json"
    assert cast.NAME in record.read_text(encoding="utf-8")


def test_without_a_terminal_the_command_walks_by_itself_and_asks_no_network(walked: Walked) -> None:
    assert walked.status == 0
    assert "pdf: setting the pages" in walked.progress
    assert not walked.database.exists()
    assert walked.asked_of_the_network == []


def test_told_a_second_time_the_record_is_the_same(walked: Walked, demo_job: OpenJob) -> None:
    """Up to the handover: what is written then is an entry that the other telling has not."""
    (record,) = (path for path in walked.files if path.name.endswith("record.json"))
    entries = json.loads(record.read_bytes())["entries"]
    assert len(entries) > 1000
    assert json.loads(export_record(demo_job))["entries"][: len(entries)] == entries


def test_a_folder_that_cannot_be_written_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    status = run(["demo", "--unattended", "-o", str(blocked / "out")])
    assert status == 4
    assert "Traceback" not in capsys.readouterr().err
