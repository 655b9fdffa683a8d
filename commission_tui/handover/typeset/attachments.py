"""What a document carries besides its pages: the record, every photo and file, and a note on itself.

The originals go in once each, named by their hash, so that whoever has the document has the job;
the pages show photos downscaled. Together they may have `MOST_BYTES`: a document that no mail
takes and no viewer opens settles nothing. Those beyond it are left out, latest first, and the
document says so.
"""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass, field
from pathlib import Path

from commission_tui import __version__
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document import Document
from commission_tui.handover.record import RECORD_NAME, kept_files
from commission_tui.handover.typeset.signing_areas import boxes_pt
from commission_tui.logbook.entries.chain import canonical_json
from commission_tui.logbook.entries.models import FileKept, Photo
from commission_tui.logbook.entries.record_form import record_bytes

MANIFEST_NAME = "handover.json"
MANIFEST_FORM = 1
MOST_BYTES = 100_000_000
"""Of all originals in one document together."""
_MEDIA_TYPE = re.compile(r"[a-z0-9]+/[a-z0-9][a-z0-9.+-]{0,80}")
_ENDINGS = {"image/jpeg": "jpg", "image/png": "png"}


@dataclass(frozen=True, slots=True)
class AttachedFile:
    """A photo or a file as the document names it."""

    name: str
    media_type: str
    description: str


@dataclass(slots=True)
class Attached:
    """The files that a document carries, where the typesetter reads them."""

    listed: list[AttachedFile] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    """Hashes of originals that are not in the document: too large together, or not in the database."""


def attach(context: Context, folder: Path) -> Attached:
    """Write every original into the typesetter's folder, one at a time."""
    found = Attached()
    room = MOST_BYTES
    for digest, body in kept_files(context.entries).items():
        content = context.job.file(digest)
        if content is None or len(content) > room:
            found.left_out.append(digest)
            continue
        room -= len(content)
        name = attached_name(body)
        (folder / name).write_bytes(content)
        found.listed.append(AttachedFile(name, _media_type(body), body.name))
    return found


def attached_name(body: Photo | FileKept) -> str:
    return f"{body.sha256}.{_ENDINGS.get(body.media_type, 'bin')}"


def small_files(context: Context, attached: Attached, document: Document) -> dict[str, bytes]:
    return {
        RECORD_NAME: record_bytes(context.entries),
        MANIFEST_NAME: _manifest(attached, document),
    }


def _manifest(attached: Attached, document: Document) -> bytes:
    before = document.document.supplement
    note = {
        "document": document.document.number,
        "exceptions": len(document.exceptions.body),
        "fingerprint": document.fingerprint,
        "form": MANIFEST_FORM,
        "files": [file.name for file in attached.listed],
        "left_out": attached.left_out,
        "paper": document.paper,
        "signature_boxes_pt": [[round(x, 3) for x in box] for box in boxes_pt(document.paper)],
        "state": document.cover.state,
        "supplements": None if before is None else asdict(before),
        **made_with(),
    }
    return (canonical_json(note) + "\n").encode("utf-8")


def made_with() -> dict[str, str]:
    """Return the versions on which the look of every page rests; they stand in the document."""
    from importlib.metadata import version

    return {"program": __version__, "typesetter": version("typst"), "pictures": version("pillow")}


def _media_type(body: Photo | FileKept) -> str:
    known = _MEDIA_TYPE.fullmatch(body.media_type)
    return body.media_type if known else "application/octet-stream"
