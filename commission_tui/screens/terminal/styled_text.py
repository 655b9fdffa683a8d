"""Text as the screens show it: parts with a role, glyphs with a word, nothing a terminal acts on."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from rich.cells import cell_len, set_cell_size

from commission_tui.checks.model.types import Figure, Limit, Outcome, Value, Verdict

Part = tuple[str, str]
"""A text and its role: '', strong, muted, pass, fail, marginal, caution, error, here, key."""
Line = tuple[Part, ...]

VERDICT_WORD: Mapping[Verdict, str] = {
    Verdict.PASS: "PASS",
    Verdict.FAIL: "FAIL",
    Verdict.MARGINAL: "MARGINAL",
    Verdict.NOT_APPLICABLE: "not applicable",
    Verdict.OPEN: "open",
}
VERDICT_SHORT: Mapping[Verdict, str] = {**VERDICT_WORD, Verdict.NOT_APPLICABLE: "n/a"}
"""For narrow columns; the help says what n/a means."""
VERDICT_ROLE: Mapping[Verdict, str] = {
    Verdict.PASS: "pass",
    Verdict.FAIL: "fail",
    Verdict.MARGINAL: "marginal",
    Verdict.NOT_APPLICABLE: "muted",
    Verdict.OPEN: "",
}
FAULT_ROLE: Mapping[str, str] = {
    "open": "fail",
    "mended": "marginal",
    "verified": "pass",
    "accepted": "muted",
}


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One sign for each meaning; a word always stands beside it, or in the legend."""

    verdict: Mapping[Verdict, str]
    fault: Mapping[str, str]
    arrow: Mapping[tuple[int, int], str]
    """Steps down and across to the arrow that points there, as it is seen."""
    caution: str
    here: str
    shades: str
    """From dark to light."""
    dash: str
    border: str
    """Left edge of a cabinet."""
    plus_minus: str
    changes: str
    """From much less over the same to much more."""
    mark: str
    """Left edge of a cabinet that is marked."""
    pixel: str


DRAWN = Glyphs(
    verdict={
        Verdict.PASS: "●",
        Verdict.FAIL: "✕",
        Verdict.MARGINAL: "◐",
        Verdict.NOT_APPLICABLE: "–",
        Verdict.OPEN: "○",
    },
    fault={"open": "▲", "mended": "◆", "verified": "●", "accepted": "◇"},
    arrow={(0, 1): "→", (0, -1): "←", (1, 0): "↓", (-1, 0): "↑", (0, 0): "■"},
    caution="▲",
    here="▸",
    shades="░▒▓█",
    dash="·",
    border="▏",
    plus_minus="±",
    changes="≪<=>≫",
    mark="▌",
    pixel="·",
)
ASCII = Glyphs(
    verdict={
        Verdict.PASS: "+",
        Verdict.FAIL: "x",
        Verdict.MARGINAL: "~",
        Verdict.NOT_APPLICABLE: "-",
        Verdict.OPEN: ".",
    },
    fault={"open": "!", "mended": "m", "verified": "v", "accepted": "a"},
    arrow={(0, 1): ">", (0, -1): "<", (1, 0): "v", (-1, 0): "^", (0, 0): "#"},
    caution="!",
    here=">",
    shades=".:#@",
    dash="-",
    border="|",
    plus_minus="+/-",
    changes="{<=>}",
    mark="*",
    pixel=".",
)


def visible(text: str) -> str:
    """Return text with what a terminal would act on, or hide, made visible.

    Control characters become their pictures (U+2400), so that an escape sequence shows as typed and
    does nothing; direction overrides and other invisible signs become their code.
    """
    if text.isprintable():
        return text
    return "".join(_visible_char(char) for char in text)


def _visible_char(char: str) -> str:
    code = ord(char)
    if char == "\n":
        return char
    if code < 0x20:
        return chr(0x2400 + code)
    if code == 0x7F:
        return "\u2421"
    if char.isprintable() or unicodedata.category(char) == "Zs":
        return char
    return f"<U+{code:04X}>"


def verdict_part(verdict: Verdict, glyphs: Glyphs) -> Part:
    return f"{glyphs.verdict[verdict]} {VERDICT_WORD[verdict]}", VERDICT_ROLE[verdict]


def fault_part(state: str, glyphs: Glyphs) -> Part:
    return f"{glyphs.fault[state]} {state}", FAULT_ROLE[state]


def value_text(value: Value, unit: str = "") -> str:
    """Say a value as it was logged, with its unit."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    return f"{value:.10g} {unit}".rstrip()


def short_value(value: Value, unit: str = "") -> str:
    """Say a value rounded to what one reads at a glance; the record keeps it whole."""
    if isinstance(value, bool | str):
        return value_text(value)
    rounded = f"{value:.0f}" if abs(value) >= 1e5 else f"{value:.6g}"
    return f"{rounded} {unit}".rstrip()


def _rounded(value: float, digits: int) -> str:
    """Round to significant digits, never with an exponent for the sizes met on a wall."""
    return f"{float(f'{value:.{digits}g}'):.10g}"


def source_text(limit: Limit) -> str:
    """Say who a limit comes from and where it stands, each word once."""
    source, standing = limit.source, str(limit.standing)
    return source if source.startswith(standing) else f"{standing}: {source}"


def figure_line(figure: Figure, glyphs: Glyphs) -> Line:
    """Say one figure with uncertainty, limit, who says so, and its verdict."""
    spread = ""
    if figure.expanded is not None:
        spread = f" {glyphs.plus_minus} {_rounded(figure.expanded, 2)}"
    elif figure.not_known:
        spread = f" {glyphs.plus_minus} not known"
    unit = f" {figure.unit}" if figure.unit else ""
    parts: list[Part] = [
        (f"{figure.name.replace('_', ' ')} ", "muted"),
        (f"{_rounded(figure.value, figure.digits)}{spread}{unit}", "strong"),
    ]
    if figure.limit is not None:
        parts.append((f" ({figure.limit}; {figure.limit.standing})", "muted"))
    if figure.verdict is not None:
        parts += [(" ", ""), verdict_part(figure.verdict, glyphs)]
    return tuple(parts)


def outcome_lines(outcome: Outcome, glyphs: Glyphs, lead: str = "") -> list[Line]:
    """Say an outcome: verdict and why, what to do next, each figure."""
    first: list[Part] = [(f"{lead} ", "muted")] if lead else []
    first.append(verdict_part(outcome.verdict, glyphs))
    if outcome.so_far is not None:
        first += [(", so far ", "muted"), verdict_part(outcome.so_far, glyphs)]
    first.append((f"  {outcome.reason}", ""))
    lines: list[Line] = [tuple(first)]
    if outcome.next_step:
        lines.append((("Next: ", "key"), (outcome.next_step, "")))
    return [*lines, *(figure_line(figure, glyphs) for figure in outcome.figures)]


def moment_text(at: str) -> str:
    """Say an entry's UTC time on this laptop's clock."""
    return datetime.fromisoformat(at).astimezone().strftime("%d %b %H:%M")


def clock_text(at: str) -> str:
    return datetime.fromisoformat(at).astimezone().strftime("%H:%M:%S")


def plain_line(line: Line) -> str:
    """Return a line without its roles."""
    return "".join(text for text, _ in line)


def counted(number: int, thing: str) -> str:
    """Say how many there are of something whose plural ends in s."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def minutes_text(minutes: float) -> str:
    """Say how long something takes as people say it: 45 min, 11 h, 1.5 h."""
    return f"{round(minutes / 60, 1):g} h" if minutes >= 90 else f"{minutes:.0f} min"


def clipped(text: str, width: int) -> str:
    """Return text that fits a width; what is left out shows."""
    if len(text) <= width:
        return text
    return text[: max(0, width - 2)] + ".." if width > 2 else text[:width]


def in_cells(text: str, width: int) -> str:
    """Return text in one line that takes exactly a width, wide characters and all."""
    shown = visible(" ".join(text.split()) if "\n" in text else text)
    if cell_len(shown) > width > 2:
        return set_cell_size(shown, width - 2) + ".."
    return set_cell_size(shown, width)
