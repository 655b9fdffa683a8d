"""A folder into which pictures are copied: which of them are new, and whole."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from commission_tui.photo.extra import PICTURES

_Stamp = tuple[int, int]
"""Size and time of change."""


class FolderWatch:
    """Knows what was in the folder before, and what is still being copied."""

    def __init__(self, folder: Path, endings: Collection[str] = PICTURES) -> None:
        self.folder, self._endings = folder, endings
        self.trouble = ""
        self._arriving: dict[Path, _Stamp] = {}
        self._before = self._there()

    def arrived(self) -> list[Path]:
        """Return pictures that are new and have not grown since the last look."""
        there = self._there()
        new = {path: stamp for path, stamp in there.items() if self._before.get(path) != stamp}
        whole = sorted(path for path, stamp in new.items() if self._arriving.get(path) == stamp)
        self._arriving = new
        self._before |= {path: new[path] for path in whole}
        return whole

    def _there(self) -> dict[Path, _Stamp]:
        """Return the folder's pictures; none while it cannot be read, and why."""
        found = {}
        self.trouble = ""
        try:
            for path in self.folder.iterdir():
                if path.suffix.lower() in self._endings and path.is_file():
                    stat = path.stat()
                    found[path] = (stat.st_size, stat.st_mtime_ns)
        except OSError as error:
            self.trouble = f"{self.folder}: cannot be read: {error.strerror}"
        return found
