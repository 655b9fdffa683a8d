"""A signature drawn on the screen, printed in the document as the strokes it was drawn with."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as ET

from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.typeset.signature_block import _rounded, strokes_svg
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import body
from tests.handover.helping import document_data, make_job, page_pictures
from tests.handover.signing_help import A_SMALL_WALL, A_STAGE

STROKES = (((100, 100), (5000, 9000)), ((9900, 100),))


def signed(folder: Path, strokes: object) -> OpenJob:
    job = make_job(folder, files=A_STAGE, text=A_SMALL_WALL)
    job.record(
        body(
            e.Signature,
            role="client",
            name="Marit Hollis",
            organisation="Fellmoor Town Council",
            statement="Taken as it is described.",
            fingerprint=record_fingerprint(job),
            exceptions=0,
            strokes=strokes,
        )
    )
    return job


def test_strokes_are_drawn_on_the_page_of_signatures_and_nowhere_else(tmp_path: Path) -> None:
    drawn, typed = signed(tmp_path / "a", STROKES), signed(tmp_path / "b", None)
    block = next(b for b in document_data(drawn)["signatures"] if b["signed"])
    assert block["of"] == "Fellmoor Town Council"
    pages = list(zip(page_pictures(drawn), page_pictures(typed), strict=True))
    assert sum(one != other for one, other in pages) == 1


def view_box(*strokes: tuple[tuple[int, int], ...]) -> tuple[float, ...]:
    drawn = ET.fromstring(strokes_svg(strokes))  # noqa: S314 (our own drawing)
    return tuple(float(part) for part in drawn.attrib["viewBox"].split())


def test_a_signature_is_printed_without_the_empty_paper_round_it() -> None:
    corner = view_box(((0, 0), (5000, 5000)))
    assert corner == view_box(((5000, 5000), (10000, 10000)))
    assert corner[2:] == (424.0, 224.0)  # half of 800 by 400, and 12 of paper on each side
    dot = view_box(((4000, 4000),))
    assert dot[2] > 200  # as small as it was drawn


def test_corners_are_rounded_and_ends_stay() -> None:
    bent = [(0.0, 0.0), (8.0, 0.0), (8.0, 8.0)]
    rounded = _rounded(bent)
    assert (rounded[0], rounded[-1]) == (bent[0], bent[-1])
    assert (8.0, 0.0) not in rounded
    assert (6.0, 0.0) in rounded
    assert (8.0, 2.0) in rounded
    fine = [(float(n), 0.0) for n in range(500)]
    assert _rounded(fine) == fine
