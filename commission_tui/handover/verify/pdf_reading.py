"""A PDF from anywhere, read within bounds: what it carries, and never a traceback.

The reader's own limits keep a small file from becoming a large one in memory; what this module adds
is that trees are walked once round at most, and that whatever a hostile file makes the reader trip
over comes out as one line.
"""

from __future__ import annotations

import io
import json
import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from commission_tui.errors import DocumentError, NoDocumentError
from commission_tui.files import read_bounded
from commission_tui.handover.typeset.attachments import MANIFEST_FORM, MANIFEST_NAME
from commission_tui.text import clipped, counted, flat

if TYPE_CHECKING:
    from pyhanko.pdf_utils.generic import DictionaryObject
    from pyhanko.pdf_utils.reader import PdfFileReader

LARGEST_FILE = 400_000_000
LARGEST_ATTACHMENT = 128 << 20
_LARGEST_NOTE = 4_000_000
_MOST_NODES = 50_000
_PDF = b"%PDF-"
_FINGERPRINT = re.compile(r"record ([0-9a-f]{64})")
PROGRAM = "commission_tui"
"""What a signature that this program made calls it."""
_MARK = re.compile(
    rb"record [0-9a-f]{64}|" + b"|".join(re.escape(x.encode()) for x in (MANIFEST_NAME, PROGRAM))
)
"""What stands as it is in every document of ours, readable or not."""
_LIBRARIES = ("pyhanko", "pyhanko_certvalidator")


def is_pdf(content: bytes) -> bool:
    return content.startswith(_PDF)


def read_file(path: Path) -> bytes:
    """Read a document or record whole, within bounds."""
    return read_bounded(path, LARGEST_FILE, "a document", DocumentError)


@contextmanager
def _without_library_logs() -> Iterator[None]:
    """Let nothing of the signing libraries' logs through: what matters comes out as an error."""
    logs = [logging.getLogger(name) for name in _LIBRARIES]
    before = [log.level for log in logs]
    for log in logs:
        log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        for log, level in zip(logs, before, strict=True):
            log.setLevel(level)


@contextmanager
def as_document_error(what: str) -> Iterator[None]:
    """Turn whatever reading a broken or hostile PDF raises into one line, and log nothing."""
    try:
        with _without_library_logs():
            yield
    except DocumentError:
        raise
    except MemoryError:
        raise DocumentError(f"{what}: found more than memory holds, expected a document") from None
    except Exception as error:
        # The reader was written for sound files: a broken one makes it trip anywhere, by any error.
        problem = clipped(flat(str(error)), 160) or type(error).__name__
        raise DocumentError(f"{what}: cannot be read as PDF: {problem}") from None


class OpenedPdf:
    """A PDF, and what it carries."""

    def __init__(self, content: bytes, name: str = "document") -> None:
        """Open it.

        Raises
        ------
        DocumentError
            When it is no PDF that can be read; `NoDocumentError` where no byte of it names this program.
        """
        from pyhanko.pdf_utils.decode_limits import DecodeLimits, StreamDecodeLimits
        from pyhanko.pdf_utils.reader import PdfFileReader

        self.content = content
        self.name = name
        limits = DecodeLimits(per_stream=StreamDecodeLimits(max_output_size=LARGEST_ATTACHMENT))
        if not is_pdf(content):
            raise DocumentError(f"{name}: found no PDF, expected one")
        try:
            with as_document_error(name):
                self.reader: PdfFileReader = PdfFileReader(
                    io.BytesIO(content), decode_limits=limits
                )
                encrypted = self.reader.encrypted
                _ = self.reader.root
        except DocumentError as error:
            if _MARK.search(content):
                raise
            raise NoDocumentError(str(error)) from None
        if encrypted:
            raise NoDocumentError(f"{name}: found an encrypted file, which no document of ours is")

    @cached_property
    def specifications(self) -> list[tuple[str, Any]]:
        """Name and reference of each attached file, as the catalog lists them; a name may come twice."""
        with as_document_error(self.name):
            tree = dictionary_entry(dictionary_entry(self.reader.root, "/Names"), "/EmbeddedFiles")
            return [*_leaves(tree)] if tree is not None else []

    @cached_property
    def _attached(self) -> dict[str, DictionaryObject]:
        with as_document_error(self.name):
            return {name: one.get_object() for name, one in self.specifications}

    def attachment(self, name: str, largest: int = LARGEST_ATTACHMENT) -> bytes | None:
        """Return an attached file; None when there is none of that name.

        Raises
        ------
        DocumentError
            When it cannot be read, or unpacks to more than `largest` bytes.
        """
        specification = self._attached.get(name)
        if specification is None:
            return None
        with as_document_error(f"{self.name}: {name}"):
            stream = specification["/EF"]["/F"]
            content = bytes(stream.data) if len(stream.encoded_data) <= largest else None
        if content is None or len(content) > largest:
            raise DocumentError(f"{self.name}: {name}: found more than {counted(largest, 'byte')}")
        return content

    @cached_property
    def printed_marks(self) -> frozenset[str]:
        """The fingerprints of a record that its own two places name: its subject and its metadata."""
        with as_document_error(self.name):
            info = dictionary_entry(self.reader.trailer, "/Info")
            metadata = dictionary_entry(self.reader.root, "/Metadata")
            said = str(dictionary_entry(info, "/Subject") or "")
            said += metadata.data.decode("utf-8", "replace") if metadata is not None else ""
            return frozenset(_FINGERPRINT.findall(said))

    @property
    def bears_our_mark(self) -> bool:
        """Whether anything but its record says that it was written or signed by this program."""
        if self.printed_marks or MANIFEST_NAME in self._attached:
            return True
        with as_document_error(self.name):
            return any(
                made_by(one.sig_object) == PROGRAM for one in self.reader.embedded_signatures
            )

    @cached_property
    def note(self) -> dict[str, Any]:
        """What the document says of itself to a program; empty when it says nothing."""
        content = self.attachment(MANIFEST_NAME, _LARGEST_NOTE)
        if content is None:
            return {}
        found = None
        with suppress(ValueError, RecursionError):
            found = json.loads(content.decode("utf-8"))
        if not isinstance(found, dict) or found.get("form") != MANIFEST_FORM:
            raise DocumentError(
                f"{self.name}: {MANIFEST_NAME}: expected what a document says of itself, form "
                f"{MANIFEST_FORM}"
            )
        return found


def dictionary_entry(dictionary: Any, key: str) -> Any:
    """Return what a dictionary holds under a key, wherever in the file it stands; None without."""
    return dictionary[key] if dictionary is not None and key in dictionary else None


def made_by(signature: Any) -> str:
    """Return the program that a signature names, where it names any."""
    app = dictionary_entry(dictionary_entry(signature, "/Prop_Build"), "/App")
    return str(dictionary_entry(app, "/Name") or "").removeprefix("/")


def array_items(array: Any) -> list[Any]:
    """Return what an array holds, wherever in the file it stands; nothing without an array."""
    return [] if array is None else [array[n] for n in range(len(array))]


def _leaves(tree: Any) -> Iterator[tuple[str, Any]]:
    """Yield the names and the references of a name tree (ISO 32000-1, 7.9.6), each node once."""
    waiting, seen = [tree], 0
    while waiting:
        node = waiting.pop()
        seen += 1
        if seen > _MOST_NODES:
            raise DocumentError("attachments: found more than make sense")
        if "/Kids" in node:
            waiting += [kid.get_object() for kid in node["/Kids"]]
        names = dictionary_entry(node, "/Names")
        if names is not None:
            if len(names) > _MOST_NODES:
                raise DocumentError("attachments: found more than make sense")
            for at in range(0, len(names) - 1, 2):
                yield str(names[at]), names.raw_get(at + 1)
