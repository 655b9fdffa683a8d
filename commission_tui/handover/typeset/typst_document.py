"""The document as PDF, set by Typst in this process.

Everything that is said goes to the typesetter as a JSON file of its own, never as source, so nothing
that a person typed is read as markup. Fonts are the typesetter's own, the only date is that of the
last entry, and the version of the typesetter is pinned: the same entries give the same bytes.

The file is PDF/A-3a and PDF/UA-1: it can be kept, attached to, read aloud and read back; the record
is attached as ``record.json``, each photo and file under its hash.
"""

from __future__ import annotations

import base64
import io
import json
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import Literal

import typst

from commission_tui.bounded_picture import smaller_on_white
from commission_tui.errors import DocumentError
from commission_tui.handover.content.acceptance import SignatureRow
from commission_tui.handover.content.corrections_notes_photos import PhotoRow
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document import Document, build_from
from commission_tui.handover.drawings.drawing_list import drawings
from commission_tui.handover.font_coverage import printable
from commission_tui.handover.progress_steps import DRAWING, GATHERING, SETTING, OnStep
from commission_tui.handover.typeset.attachments import Attached, AttachedFile, attach, small_files
from commission_tui.handover.typeset.signature_block import strokes_svg
from commission_tui.handover.typeset.signing_areas import Frame, frames_mm
from commission_tui.progress import unwatched
from commission_tui.text import clipped, flat

STANDARDS = ("a-3a", "ua-1")
_SUSPECTS = b"/Suspects false"
_TEMPLATES = (
    *("parts.typ", "body.typ", "forms.typ", "front.typ", "cards.typ", "signing.typ", "alone.typ"),
)
ALONE = {
    "client": ("front.typ", "client-page"),
    "sheet": ("cards.typ", "specification-page"),
    "card": ("cards.typ", "card-page"),
    "electrician": ("cards.typ", "electrician-page"),
    "rigger": ("cards.typ", "rigger-page"),
}
"""Parts that are exported alone: the template of each, and what of it is set."""
_MAIN_ALONE = """#import "alone.typ": alone
#import "{template}": {part}
#show: alone
#{part}()
"""
_DRAWN, _UNDRAWN = "document", "document without drawings"
_PICTURE_PPI = 84.0
_LONGEST_SIDE_PX = 1000
_QUALITY = 78
_WIDE = 2.2
"""Of a photo, width over height: from here on half of a page is too narrow for it."""
_ABOUT = (
    "Rows and columns count from 1, from the top left, as the audience sees the wall; pixels count "
    "from 0. R3C7 x59 y18 is a pixel of a cabinet, R3C7 right the seam at its right edge.",
    "A figure is judged as it was read and rounded only for print.",
    "The record is attached to this file as record.json: every entry as it was written, and the "
    "SHA-256 of every photo; so are the photos and files themselves, named by their SHA-256. The "
    "fingerprint is the SHA-256 of the record without its signatures and issued documents, so that "
    "signing does not change what was signed.",
)
_IN_US_UNITS = (
    "Printed in US units, sizes to a sixteenth of an inch. The record holds every reading in the metric "
    "unit by which it was judged; the list of limits has both."
)
_LACKING = (
    "Some characters that were typed are not in the fonts of this document; they are printed as their "
    "Unicode numbers, such as [U+6F22]. The attached record holds them as typed."
)


def export_pdf(context: Context, on_step: OnStep = unwatched) -> bytes:
    """Return the handover document of a job.

    Raises
    ------
    DocumentError
        When the typesetter refuses it; one line.
    """
    return _typeset(context, "pdf", on_step)[0]


def page_pictures(context: Context, on_step: OnStep = unwatched) -> list[bytes]:
    """Return each page of the handover document as a PNG, to look at where no PDF can be shown.

    The typesetter is given what it is given for the document, so that in one process it lays the pages
    out once.

    Raises
    ------
    DocumentError
        When the typesetter refuses it; one line.
    """
    return _typeset(context, "png", on_step)


def _typeset(context: Context, form: Literal["pdf", "png"], on_step: OnStep) -> list[bytes]:
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        attached = attach(context, folder)
        if _DRAWN in context.made:
            on_step(DRAWING)
            on_step(GATHERING)
        else:
            context.made[_DRAWN] = _ready(context, attached, on_step)
        on_step(SETTING)
        return _set(context.made[_DRAWN], context.last_at, form, folder)


@dataclass(frozen=True, slots=True)
class Pages:
    """What the pages need besides what they say."""

    cover_photo: PhotoRow | None
    attached: Sequence[AttachedFile]
    signing_frames: Sequence[Frame]
    about: Sequence[str]


def _ready(context: Context, attached: Attached, on_step: OnStep) -> dict[str, bytes]:
    """Return every file of text that the typesetter reads."""
    on_step(DRAWING)
    drawn = list(drawings(context))
    on_step(GATHERING)
    document = build_from(context, drawn)
    files = small_files(context, attached, document)
    files |= {one.file: one.svg for _, one in drawn}
    document = replace(
        document,
        signatures=[
            _marked(block, n, files) for n, block in enumerate(document.signatures, start=1)
        ],
        photos=[_pictured(context, photo, files) for photo in document.photos],
    )
    whole = [photo for photo in document.photos if photo.file and not photo.about]
    pages = Pages(
        whole[0] if whole else None,
        attached.listed,
        frames_mm(document.paper)[: len({block.role for block in document.signatures})],
        (
            *_ABOUT,
            *((_IN_US_UNITS,) if context.printing.us else ()),
            context.printing.zones(entry.at for entry in context.entries),
            *_left_out(len(attached.left_out)),
        ),
    )
    files["document.json"] = _data(document, pages)
    return files


def _data(document: Document, pages: Pages | None = None) -> bytes:
    """Return what the typesetter reads: everything as plain data, every character printable."""
    data, lacking = printable(asdict(document) | (asdict(pages) if pages else {}))
    if lacking and pages:
        data["about"].append(_LACKING)
    return json.dumps(data, ensure_ascii=False).encode("utf-8")


def _left_out(count: int) -> tuple[str, ...]:
    if not count:
        return ()
    which = "1 original photo or file is" if count == 1 else f"{count} original photos or files are"
    return (
        f"{which} not attached, for their size or because the database lacks them; their hashes are.",
    )


def _marked(block: SignatureRow, number: int, files: dict[str, bytes]) -> SignatureRow:
    if not block.strokes:
        return block
    name = f"mark-{number}.svg"
    files[name] = strokes_svg(block.strokes)
    return replace(block, strokes=None, mark=name)


def _pictured(context: Context, photo: PhotoRow, files: dict[str, bytes]) -> PhotoRow:
    """Return a photo with its picture in a file, or with what is wrong with it."""
    content = context.job.file(photo.sha256)
    if content is None:
        return replace(photo, trouble="The picture is not in this database; its hash is.")
    name = f"photo-{photo.number}.svg"
    try:
        files[name], wide = _in_svg(downscaled(content))
    except DocumentError as error:
        return replace(photo, trouble=str(error))
    return replace(photo, file=name, wide=wide)


def downscaled(content: bytes) -> bytes:
    """Return a photo as a JPEG of at most 1000 px a side, upright, without its camera's data.

    Raises
    ------
    DocumentError
        When the bytes are not a picture that can be read.
    """
    picture = smaller_on_white(content, "photo", DocumentError, _LONGEST_SIDE_PX * 2)
    picture.thumbnail((_LONGEST_SIDE_PX, _LONGEST_SIDE_PX))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()


def _in_svg(jpeg: bytes) -> tuple[bytes, bool]:
    """Wrap a JPEG in SVG, since the typesetter takes files from memory only as text.

    Beside it: whether it is so wide that half of a page is too narrow for it.
    """
    from PIL import Image

    with Image.open(io.BytesIO(jpeg)) as picture:
        width, height = picture.size
    data = base64.b64encode(jpeg).decode("ascii")
    wrapped = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}"><image width="{width}" height="{height}" '
        f'href="data:image/jpeg;base64,{data}"/></svg>'
    )
    return wrapped.encode("ascii"), width > _WIDE * height


def export_alone(context: Context, part: str, on_step: OnStep = unwatched) -> bytes:
    """Return one of `ALONE` as a document of its own: for the people who make pictures, or the desk.

    Raises
    ------
    DocumentError
        When the typesetter refuses it; one line.
    """
    on_step(GATHERING)
    if _UNDRAWN not in context.made:
        context.made[_UNDRAWN] = {"document.json": _data(build_from(context))}
    on_step(SETTING)
    return _set(
        context.made[_UNDRAWN],
        context.last_at,
        "pdf",
        main=_MAIN_ALONE.format(template=ALONE[part][0], part=ALONE[part][1]).encode(),
    )[0]


def _set(
    files: Mapping[str, bytes],
    last_at: str,
    form: Literal["pdf", "png"],
    folder: Path | None = None,
    main: bytes | None = None,
) -> list[bytes]:
    """Set the document; what is no text, the typesetter reads from the folder."""
    sources = {name: _source(name) for name in _TEMPLATES}
    try:
        content, warnings = typst.compile_with_warnings(
            {"main": main or _source("document.typ"), **sources, **files},  # type: ignore[call-overload]
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
    if isinstance(content, list):
        return [bytes(page) for page in content]
    return [_without_suspects(bytes(content))]


def _without_suspects(pdf: bytes) -> bytes:
    """Blank a key that says what is said without it, and which poppler takes for an error when false.

    It stands in the catalog, which the typesetter writes behind everything that anybody typed.
    """
    head, mark, tail = pdf.rpartition(b"endstream")
    return head + mark + tail.replace(_SUSPECTS, b" " * len(_SUSPECTS))


def _source(name: str) -> bytes:
    return (resources.files("commission_tui.handover.typeset") / name).read_bytes()


def _line(trouble: typst.TypstError | typst.TypstWarning) -> str:
    return clipped(flat(str(trouble.message)), 300)
