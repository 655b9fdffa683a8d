"""The document as PDF, set by Typst in this process.

Everything that is said goes to the typesetter as a JSON file of its own, never as source, so nothing
that a person typed is read as markup. Fonts are the typesetter's own, the only date is that of the
last entry, and the version of the typesetter is pinned: the same entries give the same bytes.

The file is PDF/A-3a and PDF/UA-1: it can be kept, attached to, read aloud and read back; the record
is attached as ``record.json``, each photo and file under its hash.
"""

from __future__ import annotations

import json
import tempfile
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import Any, Literal

import typst

from commission_tui.errors import DocumentError
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document import build_from
from commission_tui.handover.drawings.drawing_list import drawings
from commission_tui.handover.font_coverage import printable
from commission_tui.handover.progress_steps import DRAWING, GATHERING, SETTING, OnStep, unheard
from commission_tui.handover.typeset.attachments import Attached, attach, small_files
from commission_tui.handover.typeset.page_pictures import downscaled, in_svg
from commission_tui.handover.typeset.signature_block import strokes_svg
from commission_tui.handover.typeset.signing_areas import frames_mm
from commission_tui.logbook.job import OpenJob
from commission_tui.text import clipped, flat

STANDARDS = ("a-3a", "ua-1")
_TEMPLATES = (
    "parts.typ",
    "front.typ",
    "body.typ",
    "course.typ",
    "sheet.typ",
    "operator.typ",
    "signing.typ",
    "alone.typ",
)
ALONE = {"sheet": "sheet-alone.typ", "card": "card-alone.typ"}
"""Parts that are exported alone, and how each is set."""
_HEADER_LENGTH = 80
_FEW_ROWS = 9
_HALF_A_LINE = 50
_PICTURE_PPI = 84.0
_ABOUT = (
    "Rows and columns count from 1, from the top left, as the audience sees the wall; pixels count "
    "from 0. R3C7 x59 y18 is a pixel of a cabinet, R3C7 right the seam at its right edge.",
    "Times are in UTC. A figure is judged as it was read and rounded only for print.",
    "The record is attached to this file as record.json: every entry as it was written, and the "
    "SHA-256 of every photo; so are the photos and files themselves, named by their SHA-256. The "
    "fingerprint is the SHA-256 of the record without its signatures and issued documents, so that "
    "signing does not change what was signed.",
)


def export_pdf(
    job: OpenJob,
    *,
    draft: bool = False,
    without_contacts: bool = False,
    on_step: OnStep = unheard,
) -> bytes:
    """Return the handover document of a job.

    Raises
    ------
    DocumentError
        When the typesetter refuses it; one line.
    """
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        context = Context(job, without_contacts)
        attached = attach(context, folder)
        files = _ready(context, attached, on_step, draft=draft)
        return _set(files, context.last_at, "pdf", folder)[0]


def page_pictures(
    job: OpenJob,
    *,
    draft: bool = False,
    without_contacts: bool = False,
    on_step: OnStep = unheard,
) -> list[bytes]:
    """Return each page of the handover document as a PNG, to look at where no PDF can be shown.

    Raises
    ------
    DocumentError
        When the typesetter refuses it; one line.
    """
    context = Context(job, without_contacts)
    return _set(_ready(context, Attached(), on_step, draft=draft), context.last_at, "png")


def _ready(
    context: Context, attached: Attached, on_step: OnStep, *, draft: bool
) -> dict[str, bytes]:
    """Return every file of text that the typesetter reads."""
    said, files = _laid_out(context, on_step, draft=draft)
    said["attached"] = attached.listed
    said["signing_frames"] = frames_mm(said["paper"])
    files |= small_files(context, attached, said)
    if attached.left_out:
        said["about"].append(_left_out(len(attached.left_out)))
    data, lacking = printable(said)
    if lacking:
        data["about"].append(
            "Some characters that were typed are not in the fonts of this document; they are printed "
            "as their Unicode numbers, such as [U+6F22]. The attached record holds them as typed."
        )
    files["document.json"] = json.dumps(data, ensure_ascii=False).encode("utf-8")
    on_step(SETTING)
    return files


def _left_out(count: int) -> str:
    which = "1 original photo or file is" if count == 1 else f"{count} original photos or files are"
    return f"{which} not attached, for their size or because the database lacks them; their hashes are."


def _laid_out(
    context: Context, on_step: OnStep, *, draft: bool
) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return the document's data with the names of its pictures, and the pictures."""
    on_step(GATHERING)
    said = build_from(context, draft=draft)
    on_step(DRAWING)
    files: dict[str, bytes] = {}
    said["drawings"] = []
    for part, made in drawings(context):
        files[f"{made.name}.svg"] = made.svg
        said["drawings"].append(
            {
                "part": part,
                "file": f"{made.name}.svg",
                "title": made.title,
                "caption": made.caption,
                "alt": made.alt,
                "tall": made.tall,
            }
        )
    for number, block in enumerate(said["signatures"], start=1):
        strokes = block.pop("strokes", None)
        block["mark"] = f"mark-{number}.svg" if strokes else None
        if strokes:
            files[block["mark"]] = strokes_svg(strokes)
    for photo in said["photos"]:
        _add_photo(context, photo, files)
    whole = [p for p in said["photos"] if p["file"] and not p["about"]]
    said["cover_photo"] = {k: whole[0][k] for k in ("file", "alt")} if whole else None
    for table in (*said["readings"], *said["failures"]):
        table["pairs"], table["run-in"] = _pairs(table), _is_run_in(table)
    said["header"] = clipped(said["cover"]["job"], _HEADER_LENGTH)
    said["about"] = list(_ABOUT)
    return said, files


def _add_photo(context: Context, photo: dict[str, Any], files: dict[str, bytes]) -> None:
    name = f"photo-{photo['number']}.svg"
    photo["file"], photo["trouble"] = None, ""
    photo["alt"] = photo["caption"] or f"Photo {photo['number']}: {photo['name']}"
    content = context.job.file(photo["sha256"])
    if content is None:
        photo["trouble"] = "The picture is not in this database; its hash is."
        return
    try:
        files[name] = in_svg(downscaled(content))
    except DocumentError as error:
        photo["trouble"] = str(error)
        return
    photo["file"] = name


def _pairs(table: dict[str, Any]) -> int:
    """Say how many pairs of place and reading go side by side; one where fields stand across."""
    if len(table["heads"]) > 1:
        widest = [max(len(r["cells"][n]["value"]) for r in table["rows"]) for n in _columns(table)]
        wide = max(len(r["place"]) for r in table["rows"]) + sum(max(w, 9) for w in widest)
        return 2 if len(table["rows"]) > _FEW_ROWS and wide <= _HALF_A_LINE else 1
    longest = max(len(r["place"]) + len(r["cells"][0]["value"]) for r in table["rows"])
    if longest > (44 if table["of"] == "Place" else 60):
        return 1
    return min(3 if longest <= 30 else 2, len(table["rows"]))


def _columns(table: dict[str, Any]) -> range:
    return range(len(table["heads"]))


def _is_run_in(table: dict[str, Any]) -> bool:
    """Whether a table says so little that it stands in a line."""
    return len(table["heads"]) == 1 and (table["of"] != "Place" or len(table["rows"]) <= _FEW_ROWS)


def export_alone(
    job: OpenJob, part: str, *, without_contacts: bool = False, on_step: OnStep = unheard
) -> bytes:
    """Return one of `ALONE` as a document of its own: for the people who make pictures, or the desk.

    Raises
    ------
    DocumentError
        When the typesetter refuses it; one line.
    """
    on_step(GATHERING)
    context = Context(job, without_contacts)
    said = build_from(context)
    said["header"] = clipped(said["cover"]["job"], _HEADER_LENGTH)
    data, _ = printable(said)
    files = {"document.json": json.dumps(data, ensure_ascii=False).encode("utf-8")}
    on_step(SETTING)
    return _set(files, context.last_at, "pdf", main=ALONE[part])[0]


def _set(
    files: dict[str, bytes],
    last_at: str,
    form: Literal["pdf", "png"],
    folder: Path | None = None,
    main: str = "document.typ",
) -> list[bytes]:
    """Set the document; what is no text, the typesetter reads from the folder."""
    sources = {name: _source(name) for name in _TEMPLATES}
    try:
        content, warnings = typst.compile_with_warnings(
            {"main": _source(main), **sources, **files},  # type: ignore[call-overload]
            format=form,
            ppi=_PICTURE_PPI if form == "png" else None,
            pdf_standards=list(STANDARDS) if form == "pdf" else [],
            ignore_system_fonts=True,
            **({"root": str(folder)} if folder else {}),
            timestamp=datetime.fromisoformat(last_at).replace(microsecond=0),
        )
    except typst.TypstError as error:
        raise DocumentError(f"document: the typesetter refused it: {_line(error)}") from None
    if warnings:
        raise DocumentError(f"document: the typesetter warned: {_line(warnings[0])}")
    return [bytes(page) for page in content] if isinstance(content, list) else [bytes(content)]


def _source(name: str) -> bytes:
    return (resources.files("commission_tui.handover.typeset") / name).read_bytes()


def _line(trouble: typst.TypstError | typst.TypstWarning) -> str:
    return clipped(flat(str(trouble.message)), 300)
