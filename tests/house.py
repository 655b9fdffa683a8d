"""The rooms of the house, told from the packages' own docstrings: ``python -m tests.house`` writes
the table of DEVELOPERS.md anew.
"""

from __future__ import annotations

import ast
from pathlib import Path

from tests.paths import ROOT

PACKAGE = ROOT / "commission_tui"
PAGE = ROOT / "DEVELOPERS.md"
FLOORS = ("cli", "screens", "demo", "handover", "logbook", "checks", "wall", "engineering")
_BEGIN, _END = "<!-- rooms -->\n", "<!-- end of rooms -->\n"


def rooms() -> list[Path]:
    """Return every package, floors from the top, rooms by name."""
    return [
        room
        for floor in FLOORS
        for room in sorted({path.parent for path in (PACKAGE / floor).rglob("*.py")})
    ]


def docstring(room: Path) -> str:
    return ast.get_docstring(ast.parse((room / "__init__.py").read_text("utf-8"))) or ""


def table() -> str:
    """Return the table of rooms in Markdown."""
    lines = ["| room | what it is for |", "| --- | --- |"]
    for room in rooms():
        name = room.relative_to(PACKAGE).as_posix()
        said = docstring(room).split("\n\n", 1)[0].replace("\n", " ")
        lines.append(f"| {f'**{name}**' if '/' not in name else name} | {said} |")
    return "\n".join(lines) + "\n"


def page_with_rooms(page: str) -> str:
    """Return the page with its table of rooms as it must be."""
    before, _, rest = page.partition(_BEGIN)
    after = rest.partition(_END)[2]
    return f"{before}{_BEGIN}{table()}{_END}{after}"


if __name__ == "__main__":
    PAGE.write_text(page_with_rooms(PAGE.read_text("utf-8")), "utf-8")
