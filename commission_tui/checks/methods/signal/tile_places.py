"""Data as cabled: cards on their ports, tiles in their places, lines through every module."""

from __future__ import annotations

from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.text import counted, listed, upper_first

WHOLE, SEEN, ARROW = "all_in_place", "seen", "arrow"
AS_DESIGNED = frozenset({"", "as designed", "own", "ok"})
UNSEEN = "not looked at"
_NAMED = 8
"""So many cabinets that are not right fit into one sentence; a circuit feeds about as many."""


@method(fields="cards_found cards_from_backup?")
def cards_on_ports(data: CheckInput) -> Outcome:
    """Compare the cards that answer on each port, and on its backup, with the chain as designed."""
    wanted = {f"P{chain.port}": len(chain.cells) for chain in data.wall.chains}
    found = data.numbers("cards_found")
    wrong = sorted(
        (port for port in found if found[port] != wanted[port]),
        key=lambda port: found[port] - wanted[port],
    )
    figures = [
        j.right_or_wrong("cards found", sum(found.values()), "", ok=not wrong, digits=5),
        Figure("cards designed on these ports", sum(wanted[port] for port in found), digits=5),
    ]
    back = data.numbers("cards_from_backup")
    if back:
        short = [port for port in back if back[port] != wanted[port]]
        total = sum(back.values())
        figures.append(
            j.right_or_wrong("cards found from the backups", total, ok=not short, digits=5)
        )
        if short and not wrong:
            reason = f"the backup of {listed(short)} does not find every card"
            step = "Trace the backup cable from the last cabinet to the processor."
            return j.conclude(figures, upper_first(reason), where=short, next_step=step)
    if not wrong:
        return j.conclude(
            figures, f"Every card answers on {len(found)} of {counted(len(wanted), 'port')}"
        )
    port = wrong[0]
    reason = f"{port} answers with {found[port]:g} of {wanted[port]} cards"
    reason += f"; also wrong: {listed(wrong[1:])}" if wrong[1:] else ""
    return j.conclude(figures, reason, where=wrong, next_step=_first_lost(data, port, found[port]))


def _first_lost(data: CheckInput, port: str, found: float) -> str:
    """Say between which two cabinets the chain stops."""
    cells = next(c.cells for c in data.wall.chains if f"P{c.port}" == port)
    if found >= len(cells):
        return f"{port} finds more cards than designed: look where a chain runs on too far."
    place = max(0, int(found))
    before = (
        f"the processor and {cells[0]}" if place == 0 else f"{cells[place - 1]} and {cells[place]}"
    )
    return f"Look at the jumper between {before} ({port}.{place + 1}), then at that card."


_NOT_ITS_TILE = frozenset(
    {
        "cabinet dark",
        "cabinet dark, card alive",
        "cabinet frozen or on its own pattern",
        "cabinet scrambled or part width",
        "cabinet shows wrong tile",
        "cabinet turned or mirrored",
    }
)
"""Kinds of fault with which a cabinet does not show its own tile, upright."""
_SINCE_MENDED = frozenset({"mended", "verified"})
"""States of a fault in which it says no more what the cabinet shows now: who looks says it."""


def says_wrong(cell: str, shows: str) -> bool:
    """Whether what was logged of a cabinet, its tile or its arrow, is not as designed."""
    return shows.lower() not in {cell.lower(), "up", UNSEEN, *AS_DESIGNED}


@method(fields="all_in_place seen? arrow?", reads_faults=True)
def cabinet_mapping(data: CheckInput) -> Outcome:
    """Weigh the look over the whole wall with the cabinets that were logged as wrong.

    What stands on the punch list, and was not mended since, counts as logged here. A cabinet that
    nobody looked at is neither right nor wrong.
    """
    cabinets = [str(cell) for cell in data.wall.cabinets]
    tiles = {cell: j.shortened_text(r) for cell, r in data.field(SEEN).items()}
    left_out = [cell for cell, what in tiles.items() if what.lower() == UNSEEN]
    seen = {cell: what for cell, what in tiles.items() if says_wrong(cell, what)}
    turned = {
        cell: str(r.value)
        for cell, r in data.field(ARROW).items()
        if r.value != "up" and tiles.get(cell, "").lower() not in {"dark", UNSEEN}
    }
    named = seen.keys() | turned.keys()
    wrong = [cell for cell in cabinets if cell in named]
    parts = [f"{cell} shows {what}" for cell, what in seen.items()]
    parts += [f"{cell} has its arrow {how}" for cell, how in turned.items()]
    on_list = {
        fault.location: fault.kind
        for fault in data.faults
        if fault.kind in _NOT_ITS_TILE
        and fault.state not in _SINCE_MENDED
        and fault.location not in named
    }
    wrong += on_list
    parts += [f"the punch list has {place}: {kind}" for place, kind in on_list.items()]
    looked_at = set(cabinets) if data.says(WHOLE, True) else {*tiles, *data.field(ARROW)}
    known = looked_at.difference(left_out).union(wrong)
    unseen = [cell for cell in cabinets if cell not in known]
    if unseen and not wrong and (left_out or not data.says(WHOLE, False)):
        step = "Look at them and log what they show."
        return Outcome(Verdict.OPEN, f"Not looked at: {listed(unseen)}", next_step=step)
    found = _whole_wall(data, WHOLE, wrong, parts, "cabinets in their place, upright", len(unseen))
    if on_list and not named:
        step = (
            "Put right what the punch list has, look at the whole wall again, then verify it there."
        )
        return replace(found, next_step=step)
    return found


@method(fields="all_right line_does?")
def scan_direction(data: CheckInput) -> Outcome:
    """Weigh the look at the stepping line with the cabinets that were logged as wrong."""
    wrong = {c: str(r.value) for c, r in data.field("line_does").items() if r.value != "right way"}
    does = {"backwards": "runs backwards"}
    parts = [f"in {cell} the line {does.get(how, how)}" for cell, how in wrong.items()]
    return _whole_wall(data, "all_right", list(wrong), parts, "cabinets scanned the right way")


def _whole_wall(
    data: CheckInput, answer: str, wrong: list[str], parts: list[str], name: str, unseen: int = 0
) -> Outcome:
    """Judge one yes or no for the wall together with its exceptions, which must not contradict."""
    total = len(data.wall.cabinets)
    figure = j.count_right(name, total - unseen, wrong)
    if wrong:
        reason = listed(parts, _NAMED)
        if data.says(answer, True):
            reason = f"Said to be right everywhere, yet {reason}"
        step = (
            "Correct one thing, then look at the whole wall again; "
            "the mapping diagnosis proposes which plugs to move."
        )
        left = f"{counted(unseen, 'cabinet')} not looked at" if unseen else ""
        return j.conclude([figure], j.phrased(reason, left), where=wrong, next_step=step)
    if data.says(answer, False):
        step = (
            "Log what each wrong cabinet shows, so that its cause can be found; "
            "once all are put right, look at the whole wall again and answer for it."
        )
        reason = "The whole wall was said not to be right, and no cabinet stands as wrong"
        return j.conclude([], reason, next_step=step, failed=True)
    return j.conclude([figure], f"All {total} {name}")


@method(fields="picture_held gap_ms", limits="gap_ms")
def loop_failure(data: CheckInput) -> Outcome:
    """Require the picture back on every port, and the gap within what was agreed."""
    gaps = j.judged_places(data, "gap on {}", "gap_ms", unit="ms", limit="gap_ms")
    lost, held = j.answered_no(data, "picture_held"), len(data.field("picture_held"))
    step = (
        "Trace the backup cable of the named port to its far end, then pull the main cable again."
    )
    figures = [*gaps[:1], j.count_right("ports that held the picture", held, lost, digits=3)]
    return j.conclude(
        figures,
        j.phrased(f"Picture lost on {listed(lost)}", j.clauses_of(figures[:1])) if lost else "",
        where=[*lost, *j.bad_places(gaps)],
        next_step=step,
    )
