"""An incremental update that leaves a PDF/A-3 file what it is."""

from __future__ import annotations

from pyhanko.pdf_utils.extensions import DeveloperExtension
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter


class ArchivalUpdate(IncrementalPdfFileWriter):
    """Keeps the version, 1.7 as PDF/A-3 demands, and the metadata, which says who made the document.

    The reader would otherwise raise the version to 2.0 for a key on an elliptic curve, and lay out the
    XMP metadata anew.
    """

    def ensure_output_version(self, version: tuple[int, int]) -> None:  # noqa: ARG002
        self.output_version = (1, 7)

    def register_extension(self, ext: DeveloperExtension) -> None:
        if str(ext.base_version) == "/1.7":
            super().register_extension(ext)

    def _update_meta(self) -> None:
        pass
