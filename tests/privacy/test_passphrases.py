"""The passphrase of a key stands nowhere: not in what is said, kept, exported or signed, however packed."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest

from commission_tui.cli import run
from commission_tui.handover.progress_steps import FORMATS
from tests.handover.helping import FELLMOOR, pdf_text, squeezed

SECRET = "lampsAndLadders-7341"  # noqa: S105 (of an invented key)
WRONG = "bridgesAndBeams-2956"
CONTROL = "typedIntoANote-5083"
"""What a person typed where it is meant to be read: a search that misses it would miss the others too."""


def _unpacked(content: bytes) -> Iterator[bytes]:
    """Yield the bytes of a file and, of a PDF or an archive, those of all that is packed in it."""
    yield content
    if content.startswith(b"%PDF"):
        with pikepdf.open(io.BytesIO(content)) as pdf:
            for item in pdf.objects:
                yield item.unparse()
                if isinstance(item, pikepdf.Stream):
                    yield item.read_raw_bytes()
                    if item.get("/Filter") == "/FlateDecode":
                        yield from _unpacked(item.read_bytes())
    elif zipfile.is_zipfile(io.BytesIO(content)):
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            for name in packed.namelist():
                yield from _unpacked(packed.read(name))


def holds(content: bytes, words: str, scratch: Path) -> bool:
    """Tell whether words stand in a file, as bytes of any usual coding or as text on a page."""
    coded = {words.encode(coding) for coding in ("utf-8", "utf-16-le", "utf-16-be")}
    coded |= {one.hex().encode() for one in coded} | {one.hex().upper().encode() for one in coded}
    if any(one in part for part in _unpacked(content) for one in coded):
        return True
    return content.startswith(b"%PDF") and words in squeezed(pdf_text(content, scratch))


@pytest.mark.outside
def test_trail_exports_logbook_and_what_is_said_never_hold_a_passphrase(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Pages are read with poppler's pdftotext, what is packed in a PDF with qpdf's library."""
    work, scratch = tmp_path / "work", tmp_path / "scratch"
    for folder in (work, scratch):
        folder.mkdir()
    said: dict[str, str] = {}

    def call(*words: object, status: int = 0) -> None:
        base = ["--database", str(work / "logbook.db"), "--as", "A. Technician"]
        assert run([*base, *(str(word) for word in words)]) == status, capfd.readouterr().err
        said[" ".join(str(word) for word in words)] = "\n".join(capfd.readouterr())

    key, document = work / "keys" / "ines.p12", work / "hall.pdf"
    monkeypatch.setenv("COMMISSION_TUI_PASSPHRASE", SECRET)
    firm = ("--client", "Council", "--integrator", "Firm", "--scope", "short")
    call("job", "new", FELLMOOR, "--name", "Hall", *firm)
    call("log", "note", "Hall", f"House dark. {CONTROL}")
    call("log", "fault", "Hall", "pixel dark", "R3C12 x7 y2", "--note", CONTROL)
    call("key", "new", "--name", "Ines Okafor", "-o", key)
    call("key", "new", "--name", "Ines Okafor", "-o", work / "keys" / "b.p12", "--json")
    call("export", "Hall", "-o", work)
    signing = (
        "sign",
        document,
        "--key",
        key,
        "--role",
        "integrator",
        "--name",
        "Ines Okafor",
        "--confirm",
    )
    monkeypatch.setenv("COMMISSION_TUI_PASSPHRASE", WRONG)
    call(*signing, "--job", "Hall", status=4)
    monkeypatch.setenv("COMMISSION_TUI_PASSPHRASE", SECRET)
    call(*signing, "--job", "Hall")
    # Pictures of pages hold no text.
    formats = (word for form in FORMATS if form != "png" for word in ("--format", form))
    call("export", "Hall", *formats, "-o", work / "all")
    call("trail", "Hall", "fault", "1")
    call("trail", "Hall", "fault", "1", "--json")
    for words in (("job", "show", "Hall"), ("job", "list"), ("verify", document)):
        call(*words)
        call(*words, "--json")
    call("verify", work / "logbook.db")
    call("backup")

    files = [path for path in sorted(work.rglob("*")) if path.is_file()]
    found = {path.relative_to(work).as_posix(): path.read_bytes() for path in files}
    found |= {f"said by {words}": text.encode() for words, text in said.items()}
    for secret in (SECRET, WRONG):
        assert [name for name, content in found.items() if holds(content, secret, scratch)] == []
    open_to_read = {name for name, content in found.items() if holds(content, CONTROL, scratch)}
    assert {"logbook.db", "hall.pdf", "all/hall.pdf", "all/hall.xlsx"} <= open_to_read
    assert {"all/hall.json", "all/hall.html", "said by trail Hall fault 1"} <= open_to_read
    assert json.loads(said["verify " + str(document) + " --json"])
