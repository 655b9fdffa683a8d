"""Text as the screens show it: parts with a role, signs with a word, nothing a terminal acts on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime

from rich.cells import cell_len, set_cell_size

from commission_tui.checks.model.types import Figure, Limit, Outcome, Verdict
from commission_tui.logbook.state.state import State
from commission_tui.text import CUT, visible
from commission_tui.wall.model.time_zones import at_the_wall

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


# One sign for each meaning; a word always stands beside it, or in the legend. A terminal that has
# ASCII alone is shown other ones: `ascii_signs`.
VERDICT_SIGN: Mapping[Verdict, str] = {
    Verdict.PASS: "●",
    Verdict.FAIL: "✕",
    Verdict.MARGINAL: "◐",
    Verdict.NOT_APPLICABLE: "–",
    Verdict.OPEN: "○",
}
FAULT_SIGN: Mapping[str, str] = {"open": "▲", "mended": "◆", "verified": "●", "accepted": "◇"}
ARROW: Mapping[tuple[int, int], str] = {
    (0, 1): "→", (0, -1): "←", (1, 0): "↓", (-1, 0): "↑", (0, 0): "■",
}  # fmt: skip
"""Steps down and across to the arrow that points there, as it is seen."""
CAUTION_SIGN = "▲"
HERE = "▸"
SHADES = "░▒▓█"
"""From dark to light."""
DASH = "·"
EDGE = "▏"
"""Left edge of a cabinet."""
MARK = "▌"
"""Left edge of a cabinet that is marked."""
CHANGES = "≪<=>≫"
"""From much less over the same to much more."""


def verdict_part(verdict: Verdict) -> Part:
    return f"{VERDICT_SIGN[verdict]} {VERDICT_WORD[verdict]}", VERDICT_ROLE[verdict]


def fault_part(state: str) -> Part:
    return f"{FAULT_SIGN[state]} {state}", FAULT_ROLE[state]


def tab(key: str, word: str, *, here: bool, end: str = " ") -> Line:
    """Name one of several things that a key shows; the one that is shown stands out."""
    if here:
        return ((f" {key} {word} ", "here"),)
    return ((f" {key}", "key"), (f" {word}{end}", "muted"))


def caution_line(text: str) -> Line:
    return (f"{CAUTION_SIGN} CAUTION ", "caution"), (f" {text}", "caution-text")


def source_text(limit: Limit) -> str:
    """Say who a limit comes from and where it stands, each word once."""
    return limit.source if limit.names_standing else f"{limit.standing}: {limit.source}"


def figure_line(figure: Figure) -> Line:
    """Say one figure with uncertainty, limit, who says so, and its verdict."""
    parts: list[Part] = [
        (f"{figure.name} ", "muted"),
        (str(figure), "strong"),
    ]
    if figure.limit is not None:
        parts.append((f" ({figure.limit}; {figure.limit.standing})", "muted"))
    if figure.verdict is not None:
        parts += [(" ", ""), verdict_part(figure.verdict)]
    return tuple(parts)


def outcome_lines(outcome: Outcome, lead: str = "", room: int | None = None) -> list[Line]:
    """Say an outcome: verdict and why, what to do next, each figure.

    Where there is room for so many characters only, what is next comes before the rest of the reason.
    """
    first: list[Part] = [(f"{lead} ", "muted")] if lead else []
    first.append(verdict_part(outcome.verdict))
    if outcome.so_far is not None:
        first += [(", so far ", "muted"), verdict_part(outcome.so_far)]
    reason, rest = outcome.reason, ""
    if outcome.next_step and room is not None:
        reason, rest = _parted(reason, room - sum(len(text) for text, _ in first) - 2)
        more = len(rest.split("; ")) if rest else 0
        reason += f"; and {more} more" if more else ""
    first.append((f"  {reason}", ""))
    lines: list[Line] = [tuple(first)]
    if outcome.next_step:
        lines.append((("Next: ", "key"), (outcome.next_step, "")))
    if rest:
        lines.append(((rest, ""),))
    return [*lines, *(figure_line(figure) for figure in outcome.figures)]


_MORE = "; and 9 more"


def _parted(reason: str, room: int) -> tuple[str, str]:
    """Part a reason after the last of its clauses that there is room for; after the first, if none."""
    clauses = reason.split("; ")
    most = len(clauses)
    while most > 1 and len("; ".join(clauses[:most])) > room - len(_MORE) * (most < len(clauses)):
        most -= 1
    return "; ".join(clauses[:most]), "; ".join(clauses[most:])


MOMENT = "%d %b %H:%M"


def local_time(at: str, state: State) -> datetime:
    """Return an entry's time on the clock at the wall; where the job states no zone, on this laptop's."""
    return at_the_wall(at, state.wall.file.wall.time_zone)


def moment_text(at: str, state: State) -> str:
    """Say when an entry was made, as `local_time` has it."""
    return f"{local_time(at, state):{MOMENT}}"


def clock_text(at: str, state: State) -> str:
    """Say at what time of the day an entry was made, as `local_time` has it."""
    return local_time(at, state).strftime("%H:%M:%S")


def plain_line(line: Line) -> str:
    """Return a line without its roles."""
    return "".join(text for text, _ in line)


def minutes_text(minutes: float) -> str:
    """Say how long something takes as people say it: 45 min, 11 h, 1.5 h."""
    return f"{round(minutes / 60, 1):g} h" if minutes >= 90 else f"{minutes:.0f} min"


def in_cells(text: str, width: int) -> str:
    """Return text in one line that takes exactly a width, wide characters and all."""
    shown = visible(" ".join(text.split()) if "\n" in text else text)
    if cell_len(shown) > width > len(CUT):
        return set_cell_size(shown, width - len(CUT)) + CUT
    return set_cell_size(shown, width)


_WORD = re.compile(r"\S+\s*|\s+")


def wrapped(line: Line, width: int) -> list[Line]:
    """Break a line between its parts, or between the words of a long part, so that each row fits."""
    rows: list[list[Part]] = [[]]
    used = 0
    for text, role in line:
        pieces = [text] if len(text) <= width // 3 else _WORD.findall(text)
        for piece in pieces:
            if used and used + len(piece.rstrip()) > width:
                rows.append([])
                used = 0
            shown = piece if used else piece.lstrip()
            if shown:
                rows[-1].append((shown, role))
                used += len(shown)
    return [tuple(row) for row in rows]
