"""The rooms of the house, told from the packages' own docstrings: ``python -m tests.house`` writes
the table of DEVELOPERS.md anew.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from tests.paths import ROOT

PACKAGE = ROOT / "commission_tui"
PAGE = ROOT / "DEVELOPERS.md"
FLOORS = ("cli", "screens", "demo", "handover", "logbook", "checks", "photo", "wall", "engineering")
_OUTSIDE = "pytest.mark.outside"
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


def outside_tests() -> Iterator[tuple[str, str]]:
    """Yield every test that is marked `outside`, with the docstring that names what it is held against."""
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        module = ast.parse(path.read_text("utf-8"))
        whole = any(
            isinstance(node, ast.Assign)
            and ast.unparse(node.targets[0]) == "pytestmark"
            and _OUTSIDE in ast.unparse(node.value)
            for node in module.body
        )
        for node in ast.walk(module):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test"):
                marked = any(ast.unparse(mark) == _OUTSIDE for mark in node.decorator_list)
                if whole or marked:
                    yield f"{path.name}: {node.name}", ast.get_docstring(node) or ""


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
