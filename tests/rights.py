"""A process of another user, and folders that it may pass through."""

from __future__ import annotations

import os
from pathlib import Path

NOBODY = (
    "os.setgroups([]); os.setgid(65534); os.setuid(65534)"
    if os.name == "posix" and os.geteuid() == 0
    else ""
)
"""Statements that make a process nobody's, where this one may."""


def let_others_through(folder: Path) -> None:
    """Open the folders above one to others: pytest's own, which are their maker's alone; no shared one."""
    for parent in folder.parents[:3]:
        if parent.stat().st_uid == os.geteuid() and not parent.stat().st_mode & 0o1000:
            parent.chmod(0o755)
