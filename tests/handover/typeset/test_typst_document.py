"""The document as PDF: what it holds, that it is sound, that it repeats, that text stays text.

The outside programs are poppler's pdftotext, pdfinfo and pdfdetach, and qpdf.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from commission_tui.errors import DocumentError
from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.typeset import typst_document
from commission_tui.handover.typeset.typst_document import ALONE
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.store.store import StoredFile
from tests.handover.helping import (
    HOSTILE,
    export_alone,
    export_pdf,
    fill,
    make_job,
    need,
    pdf_text,
    photo,
    sign,
    squeezed,
)
from tests.handover.signing_help import A_STAGE


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> tuple[OpenJob, bytes]:
    job = fill(make_job(tmp_path_factory.mktemp("filled")))
    sign(job, "integrator", "Ines Okafor", 3)
    return job, export_pdf(job)


def pages(content: bytes, folder: Path) -> list[str]:
    return pdf_text(content, folder).split("\f")[:-1]


@pytest.mark.outside
def test_holds_job_failed_checks_open_faults_and_instruments(
    filled: tuple[OpenJob, bytes], tmp_path: Path
) -> None:
    """Read with poppler's pdftotext."""
    job, content = filled
    text = squeezed(pdf_text(content, tmp_path))
    failed = [
        job.state.checklist.check(key).title
        for key, outcome in job.outcomes().items()
        if outcome.verdict == "fail"
    ]
    assert failed
    open_faults = [f.found.body for f in job.state.faults if f.state in {"open", "mended"}]
    instruments = [logged.body.name for logged in job.state.instruments.values()]
    wanted = [
        job.state.title.name,
        job.state.title.client,
        *failed,
        *(f.fault for f in open_faults),
        *(f.note for f in open_faults),
        *instruments,
        "Calibration was out of date for 103 of 103 readings.",
        "decimal point forgotten",
        "R3C12 x7 y2, m1,1, canvas x2207 y402, P4.1 (from behind: row 3, 1st from left)",
        "REAR",
    ]
    for words in wanted:
        assert squeezed(words) in text, words


@pytest.mark.outside
def test_all_72_cabinets_are_printed(filled: tuple[OpenJob, bytes], tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    _, content = filled
    text = squeezed(pdf_text(content, tmp_path))
    for row in range(1, 7):
        for column in range(1, 13):
            level = 150.0 if (row, column) == (4, 5) else 200.0 + column / 10
            assert f"R{row}C{column}{level:g}±" in text


@pytest.mark.outside
def test_every_page_names_job_page_and_fingerprint(
    filled: tuple[OpenJob, bytes], tmp_path: Path
) -> None:
    """Read with poppler's pdftotext."""
    job, content = filled
    found = pages(content, tmp_path)
    head = " ".join(re.findall("....", record_fingerprint(job)[:16]))
    for number, page in enumerate(found, start=1):
        assert f"Page {number} of {len(found)}" in page
        assert job.state.title.name in page
        assert head in page


@pytest.mark.outside
def test_is_sound_and_says_that_it_is_for_keeping_and_reading_aloud(
    filled: tuple[OpenJob, bytes], tmp_path: Path
) -> None:
    """Checked with qpdf and poppler's pdfinfo."""
    _, content = filled
    path = tmp_path / "a.pdf"
    path.write_bytes(content)
    subprocess.run([need("qpdf"), "--check", str(path)], check=True, capture_output=True)
    meta = subprocess.run(
        [need("pdfinfo"), "-meta", str(path)], check=True, capture_output=True, text=True
    ).stdout
    assert re.search(r"pdfaid:part>\s*3", meta)
    assert re.search(r"pdfaid:conformance>\s*A", meta)
    assert re.search(r"pdfuaid:part>\s*1", meta)
    about = subprocess.run(
        [need("pdfinfo"), str(path)], check=True, capture_output=True, text=True
    ).stdout
    assert re.search(r"Tagged:\s+yes", about)
    assert re.search(r"Page size:\s+595.276 x 841.89 pts \(A4\)", about)
    assert re.search(r"Title:\s+Fellmoor Town Hall, main auditorium", about)


@pytest.mark.outside
@pytest.mark.parametrize(
    "program",
    [
        *(["qpdf", "--check"], ["pdfinfo"], ["pdffonts"], ["pdftotext", "-l", "1"]),
        ["pdftoppm", "-r", "20", "-png"],
    ],
)
def test_no_program_says_a_word_of_what_is_wrong(
    filled: tuple[OpenJob, bytes], tmp_path: Path, program: list[str]
) -> None:
    """qpdf, and poppler's programs, which take a false Suspects for an error."""
    path = tmp_path / "a.pdf"
    path.write_bytes(filled[1])
    name, *options = program
    out = [str(tmp_path / "page")] if name == "pdftoppm" else []
    done = subprocess.run(
        [need(name), *options, str(path), *out], capture_output=True, check=True, text=True
    )
    assert done.stderr == ""
    assert "warning" not in done.stdout.lower()


@pytest.mark.outside
@pytest.mark.parametrize("part", ALONE)
def test_nor_of_the_page_of_one_reader(
    filled: tuple[OpenJob, bytes], tmp_path: Path, part: str
) -> None:
    """qpdf and poppler's pdftoppm."""
    path = tmp_path / "a.pdf"
    path.write_bytes(export_alone(filled[0], part))
    for words in (("qpdf", "--check", str(path)), ("pdftoppm", "-r", "20", str(path), str(path))):
        done = subprocess.run(
            [need(words[0]), *words[1:]], capture_output=True, check=True, text=True
        )
        assert done.stderr == "", words
        assert "warning" not in done.stdout.lower()


@pytest.mark.outside
def test_the_record_comes_back_byte_for_byte(filled: tuple[OpenJob, bytes], tmp_path: Path) -> None:
    """Taken out with poppler's pdfdetach."""
    job, content = filled
    path = tmp_path / "a.pdf"
    path.write_bytes(content)
    out = tmp_path / "record.json"
    subprocess.run(
        [need("pdfdetach"), "-savefile", "record.json", "-o", str(out), str(path)],
        check=True,
        capture_output=True,
    )
    assert out.read_bytes() == record_bytes(job.state.entries.values())


def test_the_same_entries_give_the_same_bytes(
    filled: tuple[OpenJob, bytes], tmp_path: Path
) -> None:
    _, content = filled
    again = fill(make_job(tmp_path))
    sign(again, "integrator", "Ines Okafor", 3)
    assert export_pdf(again) == content


@pytest.mark.outside
def test_what_was_typed_comes_out_as_typed(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    changes = [('"Main auditorium"', f'"""{HOSTILE}"""'), ('"LP1-1-L1"', f'"""{HOSTILE}"""')]
    job = make_job(tmp_path, name=HOSTILE, client=HOSTILE, changes=changes)
    job.fault(HOSTILE, "R1C1", "near", note=HOSTILE, seen_on=HOSTILE)
    job.record(e.Note(text=f"{HOSTILE}\nsecond line\tafter a tab"))
    job.read("backups", "saved", "wall", HOSTILE)
    job.skip("spares", HOSTILE)
    sign(job, HOSTILE, HOSTILE)
    text = squeezed(pdf_text(export_pdf(job), tmp_path))
    assert text.count(squeezed(HOSTILE)) >= 12
    assert "secondlineafteratab" in text


@pytest.mark.outside
def test_a_job_with_nothing_recorded_is_a_draft(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    found = pages(export_pdf(make_job(tmp_path, files=A_STAGE)), tmp_path)
    assert "DRAFT" in found[0]
    assert all("DRAFT" in page for page in found[1:])


@pytest.mark.outside
def test_us_units_print_on_letter(tmp_path: Path) -> None:
    """Read with poppler's pdfinfo and pdftotext."""
    changes = [('mounting = "flown"', 'mounting = "flown"\nunits = "us"')]
    path = tmp_path / "us.pdf"
    path.write_bytes(export_pdf(make_job(tmp_path, changes=changes, files=A_STAGE)))
    about = subprocess.run(
        [need("pdfinfo"), str(path)], check=True, capture_output=True, text=True
    ).stdout
    assert re.search(r"Page size:\s+612 x 792 pts \(letter\)", about)


@pytest.mark.outside
def test_long_texts_are_whole_and_stay_on_the_page(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    word = "unbroken" * 25
    prose = " ".join(f"word{n}" for n in range(560))[:4000].rsplit(" ", 1)[0]
    job = make_job(tmp_path, name=word, files=A_STAGE)
    job.fault(word, "R1C1", "near", note=prose)
    slip = job.record(e.Note(text=prose))
    job.correct(slip.id, e.Note(text=f"{prose} again"[:4000]), word)
    content = export_pdf(job)
    read = pdf_text(content, tmp_path)
    assert word in squeezed(read)
    assert set(prose.split()) <= set(read.split())
    path = tmp_path / "long.pdf"
    path.write_bytes(content)
    boxes = subprocess.run(
        [need("pdftotext"), "-bbox", str(path), "-"], check=True, capture_output=True, text=True
    ).stdout
    ends = [float(x) for x in re.findall(r'<word [^>]*xMax="([\d.]+)"', boxes)]
    lows = [float(y) for y in re.findall(r'<word [^>]*yMax="([\d.]+)"', boxes)]
    assert max(ends) < 595.3 - 50  # the right margin is 2 cm, 56.7 pt
    assert max(lows) < 841.9


@pytest.mark.outside
def test_hundreds_of_faults_go_over_many_pages(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    job = make_job(tmp_path, files=A_STAGE)
    job.record_all(
        [
            e.FaultFound(
                fault="pixel dark", location=f"R1C1 x{n % 200} y{n // 200}", severity="near"
            )
            for n in range(250)
        ]
    )
    content = export_pdf(job)
    assert len(pages(content, tmp_path)) > 14
    text = squeezed(pdf_text(content, tmp_path))
    for n in range(250):
        assert f"No.{n + 1}pixeldark" in text


@pytest.mark.outside
def test_a_character_without_a_glyph_is_printed_by_its_number(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    job = make_job(tmp_path, name="Halle 漢 Łódź Ωμέγα", client="\ue000 smile 😀", files=A_STAGE)
    text = squeezed(pdf_text(export_pdf(job), tmp_path))
    assert "Halle[U+6F22]ŁódźΩμέγα" in text
    assert "[U+E000]smile[U+1F600]" in text
    assert "arenotinthefontsofthisdocument" in text


@pytest.mark.outside
def test_a_wide_photo_takes_the_whole_width_in_its_turn(tmp_path: Path) -> None:
    """Read with poppler's pdftotext, which says where each word stands."""
    job = make_job(tmp_path, files=A_STAGE)
    for name, size in (("a", (40, 30)), ("b", (90, 30)), ("c", (40, 30)), ("d", (40, 30))):
        job.photo(photo(tmp_path, f"{name}.png", size), caption=f"picture{name}")
    found = re.findall(
        r'xMin="([\d.]+)" yMin="([\d.]+)".*>picture(.)<',
        pdf_text(export_pdf(job), tmp_path, "-bbox"),
    )
    # One stands on the cover too; the appendix comes last.
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = ((float(x), float(y)) for x, y, _ in found[-4:])
    assert [name for _, _, name in found[-4:]] == list("abcd")
    assert ax == bx == cx < dx
    assert len({ay, by, cy}) == 3  # a row of its own each, on whatever page
    assert cy == dy


@pytest.mark.outside
def test_photos_are_shown_small_with_the_hash_of_the_original(tmp_path: Path) -> None:
    """Read with poppler's pdfimages and pdftotext."""
    job = make_job(tmp_path, files=A_STAGE)
    big = photo(tmp_path, "wall.png", (1500, 1000))
    entry = job.photo(big, caption="The wall, lit")
    # Refused when logged here; one from another logbook may still be no picture.
    kept = StoredFile("0" * 64, "image/jpeg", b"\xff\xd8\xff" + b"no picture")
    named = {"sha256": kept.sha256, "media_type": kept.media_type, "size": len(kept.content)}
    job.record_all([body(e.Photo, name="broken.jpg", **named)], files=[kept])
    content = export_pdf(job)
    text = squeezed(pdf_text(content, tmp_path))
    assert isinstance(entry.body, e.Photo)
    assert entry.body.sha256 in text
    assert "photo:damaged,expectedawholephoto" in text
    path = tmp_path / "p.pdf"
    path.write_bytes(content)
    listed = subprocess.run(
        [need("pdfimages"), "-list", str(path)], check=True, capture_output=True, text=True
    ).stdout
    widths = {int(line.split()[3]) for line in listed.splitlines()[2:]}
    assert widths == {1000}


def test_a_refusal_of_the_typesetter_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(typst_document, "STANDARDS", ("a-4f", "ua-1"))
    with pytest.raises(DocumentError, match="the typesetter refused it") as caught:
        export_pdf(make_job(tmp_path))
    assert "\n" not in str(caught.value)


def test_a_warning_of_the_typesetter_is_an_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = make_job(tmp_path)
    monkeypatch.setattr(
        typst_document,
        "_source",
        lambda _: b'#set document(title: "x")\n#set text(font: "nowhere")\nx',
    )
    with pytest.raises(DocumentError, match="the typesetter warned: unknown font"):
        export_pdf(job)


@pytest.mark.outside
def test_notes_as_long_as_they_may_be_are_set_whole(tmp_path: Path) -> None:
    """The typesetter gives up at 512 pieces of one text that stay whole; read with poppler's pdftotext."""
    parts = ("3 mm ", "R-1 ", "a" * 25 + " ", "7" * 19)
    notes = [(words * 1000)[:4000].strip() for words in parts]
    job = make_job(tmp_path, files=A_STAGE)
    job.record_all([body(e.Note, text=note) for note in notes])
    read = pdf_text(export_pdf(job), tmp_path)
    # The foot and the head of a page stand in the midst of a note that goes on over it.
    between = r"\s*Fingerprint [0-9a-f ]{19}\s+Page \d+ of \d+\s*\f[^\n]*\n(?:DRAFT\n)?"
    text = squeezed(re.sub(between, "", read))
    for note in notes:
        assert squeezed(note) in text
