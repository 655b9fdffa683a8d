"""What was read round the current place: the column beside the text of the walk."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Collection, Sequence

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.places.places import is_place
from commission_tui.figures import bare_reading
from commission_tui.logbook.integrity.clashes import people_who_read
from commission_tui.logbook.judging.plausibility import doubt_word
from commission_tui.logbook.judging.visits import readings_between
from commission_tui.logbook.state.state import State
from commission_tui.screens.terminal.styled_text import CAUTION_SIGN, DASH, HERE, Line
from commission_tui.screens.walk.view import LONG_PLACE, Step
from commission_tui.text import CUT, clipped


def reading_rows(
    state: State,
    check: CheckDefinition,
    walk: Sequence[Step],
    at: int,
    room: tuple[int, int],
    to_do: Collection[tuple[str, str]] = (),
) -> list[Line]:
    """Return what stands at the places round the current one, with where one is.

    What was read and is still `to_do` is no longer good: it is to be read again. What could not be
    told from another once it is shortened, or has lost its beginning, takes as many rows as it needs.
    """
    width, height = room
    start = max(0, min(at - height // 2, len(walk) - height))
    window = walk[start : start + height]
    labels = [_labels_beside(step, check, state) for step in window]
    whole, short = [], []
    for index, step in enumerate(window, start=start):
        name = step.place if step.place != "wall" else ""
        label = step.field.label if labels[index - start] or not name else ""
        row = _reading_row(state, check, step, index == at, f"{name} {label}".strip())
        mark, named, gap, (shown, role), _, *rest = row
        if step.slot in to_do and role == "strong":  # it stands, and counts no more
            row = (mark, named, gap, (shown, "muted"), (" again", "marginal"), *rest)
        whole.append(row)
        brief = f"{clipped(name, LONG_PLACE)} {label}".strip() + " "
        beginning = _common_beginning(step.field.label, labels[index - start])
        short.append(_fitted((mark, (brief, named[1]), *row[2:]), width, beginning))
    alike = Counter(row[1][0] for row in short)
    blocks = [
        _wrapped(row, width)
        if alike[brief[1][0]] > 1 or brief[1][0].lstrip().startswith(CUT)
        else [brief]
        for row, brief in zip(whole, short, strict=True)
    ]
    first = next((n for n, step in enumerate(walk) if step.is_optional), 0)
    if first > 0 and 0 <= first - start < len(blocks):
        blocks[first - start].insert(0, ((clipped(_OPTIONAL_FOLLOW, width), "muted"),))
    return _around(blocks, at - start, height)


def _labels_beside(step: Step, check: CheckDefinition, state: State) -> list[str]:
    """Return what else is read at a place, by its labels."""
    others: list[FieldDefinition] = [item for item in check.fields if item is not step.field]
    return [item.label for item in others if is_place(step.place, item.where, state.wall)]


def _common_beginning(label: str, others: Sequence[str]) -> str:
    """Return the words that a field's label begins with as another of the same place does."""
    words = label.split(" ")
    apart = [o.split(" ") for o in others]
    alike = [[one == other for one, other in zip(words, o, strict=False)] + [False] for o in apart]
    shared = max((same.index(False) for same in alike), default=0)
    return " ".join([*words[:shared], ""]) if shared < len(words) else ""


def _wrapped(row: Line, width: int) -> list[Line]:
    """Return a row on as many as its name takes; what was read there stands on the last."""
    (mark, role), (name, named), *rest = row
    wide = sum(len(text) for text, _ in rest)
    names = textwrap.wrap(name, width - len(mark)) or [""]
    if len(names[-1]) + wide > width - len(mark):
        names.append("")
    lead = " " * len(mark)
    above: list[Line] = [
        ((mark if not n else lead, role), (text, named)) for n, text in enumerate(names[:-1])
    ]
    last: Line = ((lead if above else mark, role), (names[-1], named), *rest)
    return [*above, last]


def _around(blocks: Sequence[Sequence[Line]], at: int, height: int) -> list[Line]:
    """Return as many whole blocks round one of them as there is room for; that one in any case."""
    first, last = 0, len(blocks)
    while sum(map(len, blocks[first:last])) > height and last - first > 1:
        if last - 1 - at >= at - first:
            last -= 1
        else:
            first += 1
    return [row for block in blocks[first:last] for row in block]


_LEAST_NAME = 9
"""Characters that tell one place from the next: a row of less says nothing."""
_OPTIONAL_FOLLOW = "  Optional from here:"
_OPTIONAL = " optional"
"""Said of a line that Enter passes over, where there is room; its brackets say so in any case."""


def _fitted(row: Line, width: int, beginning: str = "") -> Line:
    """Shorten the place, so that the row stays one row; last of all its remark gives way.

    Where only the `beginning` would be left, which another row has too, that gives way first.
    """
    mark, (name, role), *rest = row
    room = width - sum(len(text) for text, _ in (mark, *rest))
    least = len(name) if rest[-1][0] == _OPTIONAL else _LEAST_NAME
    if room < min(least, len(name)):
        rest, room = rest[:-1], room + len(rest[-1][0])
    room = max(4, room)
    place, begins, differs = name.partition(beginning) if beginning else (name, "", "")
    if begins and room < min(len(name), len(place + begins) + len(CUT) + 2):
        place = clipped(place.rstrip(), max(4, room - min(len(differs), 4) - len(CUT) - 1))
        name = f"{place} {CUT}{differs}"
    return (mark, (clipped(name, room), role), *rest)


def _reading_row(state: State, check: CheckDefinition, step: Step, here: bool, name: str) -> Line:
    latest, unit = state.latest(check.id, *step.slot), step.field.unit
    slot = state.slot(check.id, *step.slot)
    now = readings_between(slot, state.visits[-1].id if state.visits else "")
    follows = "repeats" if latest and latest.body.again else "was"
    before = f" {follows} {clipped(bare_reading(slot[-2].body.value, unit), 8)}" if slot[1:] else ""
    if latest and not now:
        before, latest = f" before {clipped(bare_reading(latest.body.value, unit), 10)}", None
    elif latest and len(people_who_read(now, state)) > 1:
        before += f" by {len(people_who_read(now, state))}"
    shown = clipped(bare_reading(latest.body.value, unit), 16) if latest else DASH
    mark = " put right" if latest and latest.corrected else ""
    if not slot and step.is_optional:
        shown, mark = f"({DASH})", _OPTIONAL
    asked = latest.body.odd if latest else ""
    doubt = doubt_word(asked)
    odd = f" {CAUTION_SIGN} {doubt}" if doubt else ""
    return (
        (f"{HERE if here else ' '} ", "here" if here else ""),
        (f"{name} ", "here" if here else "muted"),
        (" ", ""),
        (shown, "strong" if latest else "muted"),
        (odd, "caution"),
        (f"{before}{mark}", "muted"),
    )
