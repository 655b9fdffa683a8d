"""Which characters the typesetter's own fonts hold: made anew by ``python -m tests.handover.font_ranges``.

Every character is set in a colour of its own; where the outline that stands for a missing glyph has that colour, the
font lacks it. To be run when the version of the typesetter changes.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable
from itertools import islice, pairwise
from pathlib import Path
from xml.sax.saxutils import escape

import typst

from commission_tui.handover.drawings.svg import Sketch
from commission_tui.handover.typeset.typst_document import STANDARDS
from commission_tui.text import is_hidden
from tests.house import PACKAGE

_STYLES = ('weight: "regular"', 'weight: "semibold"', 'weight: "bold"')
"""What people type is never set in italics."""
SET = {
    "serif": [f'font: "Libertinus Serif", fallback: false, {style}' for style in _STYLES],
    "mono": [f'font: "DejaVu Sans Mono", fallback: false, {style}' for style in _STYLES],
    "any": [
        *(f'font: ("Libertinus Serif", "DejaVu Sans Mono"), {style}' for style in _STYLES),
        *(f'font: "DejaVu Sans Mono", {style}' for style in _STYLES),
    ],
}
"""Font to the styles in which the document has it; `any` is whichever the typesetter falls back to."""
JOINERS = "\u200c\u200d"
"""Invisible, and needed to write some languages; other invisible characters are named."""
_MISSING = "\U0010fffd"
"""Of private use: no font of ours has it."""
_CIRCLE = "\u25cc"
"""Stands for the letter that a mark is on; shapers show it instead of a mark that is nowhere at home."""
_USE = re.compile(r'<use xlink:href="#(\w+)"[^>]*?fill="#([0-9a-f]{6})"')
_SOURCE = """#set page(width: auto, height: auto, margin: 0pt)
#set text(STYLE, size: 4pt)
#for (n, c) in json("c.json").enumerate() {
  place(top + left, text(fill: rgb(calc.quo(n, 65536), calc.rem(calc.quo(n, 256), 256), calc.rem(n, 256)), "a" + c))
}
"""
_AT_ONCE = 15_000
DRAWING = '#set document(title: "x")\n#image("drawn.svg", alt: "x")\n'
_HERE = "HERE"


def held(characters: Iterable[str], style: str) -> set[str]:
    """Return those that a font holds in a style."""
    found: set[str] = set()
    waiting = iter(characters)
    while part := list(islice(waiting, _AT_ONCE)):
        listed = [_MISSING, _CIRCLE, *part]
        files = {"main": _SOURCE.replace("STYLE", style), "c.json": json.dumps(listed)}
        made = typst.compile(
            {name: text.encode() for name, text in files.items()},  # type: ignore[call-overload]
            format="svg",
            ignore_system_fonts=True,
        )
        drawn = _USE.findall((made if isinstance(made, bytes) else made[0]).decode())
        outlines: dict[int, list[str]] = {}
        for outline, fill in drawn:
            outlines.setdefault(int(fill, 16), []).append(outline)
        letter, *box = outlines[0]
        box += outlines[1][1:]
        found |= {
            c
            for n, c in enumerate(listed)
            if c == _CIRCLE
            or (
                not set(box).intersection(outlines.get(n, box))
                and (outlines[n] != [letter] or unicodedata.category(c) == "Zs" or c in JOINERS)
            )
        }
    return found


def drawn(characters: Iterable[str]) -> set[str]:
    """Return those that a drawing can show, each by itself.

    The typesetter takes some letters apart into letter and marks, and then lacks what the marks stand for:
    PDF/A refuses that, unless the same marks happen to stand elsewhere in the drawing.
    """
    return {c for c in characters if all(_is_drawn(f"a{c}", bold=bold) for bold in (False, True))}


def _is_drawn(words: str, *, bold: bool) -> bool:
    sketch = Sketch(20, 5, "one")
    sketch.text(0, 5, _HERE, 4, bold=bold)
    picture = sketch.to_bytes().replace(_HERE.encode(), escape(words).encode())
    files = {
        "main": DRAWING.encode(),
        "drawn.svg": picture,
    }
    try:
        typst.compile(  # type: ignore[call-overload]
            files,
            format="pdf",
            pdf_standards=list(STANDARDS),
            ignore_system_fonts=True,
        )
    except typst.TypstError:
        return False
    return True


def assigned() -> list[str]:
    """Return every assigned character that is seen, or is a space."""
    every = (chr(code) for code in range(0x20, 0x110000))
    return [c for c in every if unicodedata.category(c) not in {"Cn", "Cs"} and not is_hidden(c)]


def ranges(characters: Iterable[str]) -> str:
    """Write characters as ranges of their numbers in hex: ``20-7e b2``."""
    codes = sorted(map(ord, characters))
    starts = [0, *(n for n, (a, b) in enumerate(pairwise(codes), start=1) if b != a + 1)]
    spans = [(codes[a], codes[b - 1]) for a, b in pairwise([*starts, len(codes)])]
    return " ".join(f"{a:x}" if a == b else f"{a:x}-{b:x}" for a, b in spans)


def every_in(written: str) -> list[str]:
    """Read ranges back."""
    spans = (span.partition("-") for span in written.split())
    return [
        chr(code)
        for first, _, last in spans
        for code in range(int(first, 16), int(last or first, 16) + 1)
    ]


def main() -> None:
    """Write the table that the document prints by."""
    every = sorted(held([*assigned(), *JOINERS], SET["any"][0]))
    table = {
        font: ranges(set.intersection(*(held(every, style) for style in styles)))
        for font, styles in SET.items()
    }
    table["drawn"] = ranges(drawn(every_in(table["mono"])))
    path = Path(PACKAGE) / "handover" / "typeset" / "glyphs.json"
    path.write_text(json.dumps(table, indent=1) + "\n", encoding="ascii")


if __name__ == "__main__":
    main()
