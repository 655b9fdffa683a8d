"""The keys of the walk."""

from __future__ import annotations

from textual.binding import Binding, BindingType

KEYS: list[BindingType] = [
    Binding(
        "ctrl+l",
        "fault_here",
        "Fault",
        id="walk.fault",
        tooltip="Log a fault; the check and the place are filled in",
    ),
    Binding(
        "ctrl+r",
        "put_right",
        "Correct",
        id="walk.correct",
        tooltip="Correct the reading at this place; the old value is kept with the reason",
    ),
    Binding(
        "ctrl+o",
        "skip",
        "Not applicable",
        id="walk.skip",
        tooltip="Say that this check does not apply, and why; or settle what it waits for",
    ),
    Binding("ctrl+n", "note", "Note", id="walk.note", tooltip="Write a note on this check"),
    Binding(
        "pagedown",
        "check(1)",
        "Next",
        id="walk.next_check",
        tooltip="Go on to the next check; this one keeps what it has",
    ),
    Binding(
        "pageup",
        "check(-1)",
        "Check before",
        id="walk.check_before",
        tooltip="Go back to the check before",
        show=False,
    ),
    Binding(
        "ctrl+t",
        "instrument",
        "Instrument",
        id="walk.instrument",
        tooltip="Choose or add the instrument for this unit",
        show=False,
    ),
    Binding(
        "down", "step(1)", "Next place", id="walk.next_place", tooltip="Next place", show=False
    ),
    Binding(
        "up",
        "step(-1)",
        "Place before",
        id="walk.place_before",
        tooltip="Back one place",
        show=False,
    ),
    Binding(
        "ctrl+s",
        "find_place",
        "Find place",
        id="walk.find_place",
        tooltip="Go to any place of this check; or walk the cabinets in another order",
        show=False,
    ),
    Binding(
        "ctrl+f",
        "again",
        "Read again",
        id="walk.again",
        tooltip="The value repeats the reading here; repeats are averaged",
        show=False,
    ),
    Binding(
        "f9",
        "same_points",
        "Same points",
        id="walk.same_points",
        tooltip="At a later visit: only the points that the first visit read, or all again",
        show=False,
    ),
    Binding(
        "f6",
        "files",
        "Photographs, a table; test patterns",
        id="walk.files",
        tooltip="Read photographs or a meter's table into this check, or write its test patterns",
        show=False,
    ),
]
