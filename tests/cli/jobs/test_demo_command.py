"""The demo: walked by the same code as any job, the same bytes each time, and published as it is."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.demo import cast
from commission_tui.demo.demo_walk import DemoResult, make_demo, walk_unattended
from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.paths import ROOT


def silent(_line: str) -> None:
    """Show no progress."""


PUBLISHED = ROOT / "exports"


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, DemoResult]:
    folder = tmp_path_factory.mktemp("demo")
    return folder, walk_unattended(folder, on_progress=silent)


@pytest.fixture(scope="module")
def pdf(walked: tuple[Path, DemoResult]) -> Path:
    return next(path for path in walked[1].files if path.suffix == ".pdf")


def test_the_demo_shows_what_it_is_for(demo_job: OpenJob) -> None:
    job = demo_job
    verdicts = [str(result.verdict) for result in job.outcomes().values()]
    assert verdicts.count("marginal") == 2
    assert "fail" in verdicts
    assert verdicts.count("pass") > 150
    assert "open" not in verdicts
    assert {fault.state for fault in job.state.faults} == {"open", "mended", "verified", "accepted"}
    first = [s for s in job.state.readings["cabinet-luminance"].values() if len(s) > 1]
    assert len(first) == 5  # the dark cabinet and its four neighbours were measured again
    assert job.state.corrections


def test_what_is_there_is_not_told_again(demo_database: Path) -> None:
    book = Logbook(demo_database)
    (told,) = book.jobs()
    assert make_demo(book, on_progress=silent) == told.id
    assert book.jobs() == [told]
    book.close()


def test_the_published_output_is_current(walked: tuple[Path, DemoResult]) -> None:
    made = {path.name: path.read_bytes() for path in walked[1].files}
    published = {
        path.name: path.read_bytes() for path in PUBLISHED.iterdir() if path.name != "README.md"
    }
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


def test_without_a_terminal_the_command_walks_by_itself_to_the_same_bytes(
    walked: tuple[Path, DemoResult],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    cut_off: list[str],
) -> None:
    """Told a second time, and with the network cut off."""
    assert (
        run(["--database", str(tmp_path / "x.db"), "demo", "-o", str(tmp_path / "out"), "--json"])
        == 0
    )
    captured = capsys.readouterr()
    again = [Path(path) for path in json.loads(captured.out)["files"]]
    assert [path.name for path in again] == [path.name for path in walked[1].files]
    for first, second in zip(walked[1].files, again, strict=True):
        assert first.read_bytes() == second.read_bytes(), first.name
    assert "pdf: setting the pages" in captured.err
    assert not (tmp_path / "x.db").exists()
    assert cut_off == []


def test_a_folder_that_cannot_be_written_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    status = run(["demo", "--unattended", "-o", str(blocked / "out")])
    assert status == 4
    assert "Traceback" not in capsys.readouterr().err
