"""Whatever a person types is printed or named by its code, in every place, and the record keeps it."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import pikepdf
import pytest
import typst

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.drawings.svg import Sketch
from commission_tui.handover.export_process import make_files
from commission_tui.handover.font_coverage import drawable, printable
from commission_tui.handover.typeset.typst_document import STANDARDS
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import AsItIs
from tests.handover.font_ranges import JOINERS, assigned
from tests.handover.helping import FELLMOOR, export_pdf, make_job, sign

PECULIAR = (
    "family \U0001f468\u200d\U0001f469\u200d\U0001f467 \u2600\ufe0f \U0001f1eb\U0001f1f7",
    "漢字かな交じり 한국어",
    "＝＋－ Ａ１ ︵縦︶ ﹃",
    "שלום \u05e9\u05c1\u05b8 العربيّة \u0627\u0644\u0652",
    "x\u0301\u0327 \u0915\u094d\u0937\u093f \u0e01\u0e33 \u1100\u1161",
    "\u0250\u2c6f ŉ ß ﬁ ĳ",
)
TEXT = """#set document(title: "x")
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"))
#for words in json("words.json").chunks(40).map(several => several.join(" ")) [
  #words #parbreak() #strong(words) #parbreak() #text(weight: "semibold", words)
  #parbreak() #text(font: "DejaVu Sans Mono", words) #parbreak()
]
"""
DRAWING = '#set document(title: "x")\n#image("drawn.svg", alt: "x")\n'


def _set(source: str, **files: bytes) -> None:
    typst.compile(
        {"main": source.encode(), **{name.replace("_", "."): f for name, f in files.items()}},  # type: ignore[call-overload]
        format="pdf",
        pdf_standards=list(STANDARDS),
        ignore_system_fonts=True,
    )


def _in_text(words: Sequence[str]) -> None:
    shown, _ = printable(list(words))
    assert [word for word in shown if len(word) > 2 and not word.startswith("[U+")] == []
    seen = [word for word in shown if not word.startswith("[U+")]
    assert len(seen) > 7000
    _set(TEXT, words_json=json.dumps(seen).encode())


def _in_drawings(words: Sequence[str]) -> None:
    seen = [word for word in map(drawable, [*words, *JOINERS]) if not word.startswith("[U+")]
    assert drawable("Zo\u0308e") == "Z\u00f6e"
    assert len(seen) > 3000
    sketch = Sketch(100, 5 * len(seen), "every character")
    for line, word in enumerate(seen):
        sketch.text(0, 5 * line, f"a{word}", 4, bold=False)
        sketch.text(50, 5 * line, f"a{word}", 4, bold=True)
    _set(DRAWING, drawn_svg=sketch.to_bytes())


@pytest.mark.outside
@pytest.mark.parametrize("where", [_in_text, _in_drawings])
def test_every_assigned_character_is_set_or_named(where: Callable[[Sequence[str]], None]) -> None:
    """By the typesetter (Typst), which refuses a character without a glyph in PDF/A."""
    where(assigned())


def _job_with(folder: Path, words: Callable[[], str]) -> OpenJob:
    """Return a job in which the words stand wherever something can be named or noted."""
    text = FELLMOOR.read_text(encoding="utf-8")
    names = [name for name in ("FOH", "H1") if f'name = "{name}"' in text]
    changes = [
        (f'name = "{name}"', f"name = {json.dumps(words(), ensure_ascii=False)}") for name in names
    ]
    job = make_job(folder, name=words(), client=words(), changes=changes)
    job.record(e.Note(text=words()))
    job.fault(words(), "R3C12 x7 y2", "near", note=words(), seen_on=words())
    (fault,) = job.state.faults
    job.work(fault, "accepted", note=words(), taken=AsItIs(words(), words(), date(2026, 7, 14)))
    job.record(e.Instrument(key="spot", name=words(), serial=words(), accuracy={}))
    job.record(e.PartFitted(part="cabinet", location="R1C1", serial=words()))
    sign(job, words(), words())
    return job


@pytest.mark.outside
@pytest.mark.parametrize(
    "words",
    [*PECULIAR, "Nguy\u1ec5n Th\u1ecb B\u1ed9", "x\u0301", "Zo\u0308e", "\u2356\u200d", "\u1e2f"],
)
def test_words_are_drawn_or_named_with_nothing_beside_them(words: str) -> None:
    """By the typesetter (Typst), which refuses a missing glyph in PDF/A (ISO 19005-3)."""
    for bold in (False, True):
        sketch = Sketch(100, 5, "alone")
        sketch.text(0, 5, words, 4, bold=bold)
        _set(DRAWING, drawn_svg=sketch.to_bytes())


@pytest.mark.parametrize("several", [PECULIAR[:3], PECULIAR[3:]])
def test_peculiar_text_is_exported_wherever_it_stands(
    tmp_path: Path, several: Sequence[str]
) -> None:
    words = " ".join(several)
    job = _job_with(tmp_path, lambda: words)
    assert (
        len(make_files(Context(job), ("card", "sheet", "json", "csv", "html", "xlsx", "dxf"))) == 11
    )
    path = tmp_path / "a.pdf"
    path.write_bytes(export_pdf(job))
    with pikepdf.open(path) as pdf:
        kept = pdf.attachments["record.json"].get_file().read_bytes()
    assert kept == record_bytes(job.state.entries.values())
    assert any(entry["body"].get("text") == words for entry in json.loads(kept)["entries"])


def test_any_characters_are_exported_wherever_they_stand(tmp_path: Path) -> None:
    """A part of all assigned characters, another one in each place, marks and joiners among them."""
    chance = random.Random(18)  # noqa: S311 (nothing secret)
    every = [*assigned(), *"\u200d\u200c\u0301\u05b8\ufe0f" * 2000]
    job = _job_with(tmp_path, lambda: "x" + "".join(chance.choices(every, k=60)))
    assert export_pdf(job).startswith(b"%PDF")
