"""The keys of the walk."""

from __future__ import annotations

from textual.binding import BindingType

from commission_tui.screens.host.key_table import key, quiet

KEYS: list[BindingType] = [
    key("walk.fault", "ctrl+l", "fault_here", "Fault",
        "Log a fault; the check and the place are filled in"),
    key("walk.correct", "ctrl+r", "put_right", "Correct",
        "Correct the reading at this place; the old value is kept with the reason"),
    key("walk.skip", "ctrl+o", "skip", "Not applicable",
        "Say that this check does not apply, and why; or settle what it waits for"),
    key("walk.note", "ctrl+n", "note", "Note", "Write a note on this check"),
    key("walk.next_check", "pagedown", "check(1)", "Next",
        "Go on to the next check; this one keeps what it has"),
    quiet("walk.check_before", "pageup", "check(-1)", "Check before",
        "Go back to the check before"),
    quiet("walk.instrument", "ctrl+t", "instrument", "Instrument",
        "Choose or add the instrument for this unit"),
    quiet("walk.next_place", "down", "step(1)", "Next place", "Next place"),
    quiet("walk.place_before", "up", "step(-1)", "Place before", "Back one place"),
    quiet("walk.find_place", "ctrl+s", "find_place", "Find place",
        "Go to any place of this check; or walk the cabinets in another order"),
    quiet("walk.again", "ctrl+f", "again", "Read again",
        "The value repeats the reading here; repeats are averaged"),
    quiet("walk.same_points", "f9", "same_points", "Same points",
        "At a later visit: only the points that the first visit read, or all again"),
    quiet("walk.files", "f6", "files", "Photographs, a table; test patterns",
        "Read photographs or a meter's table into this check, or write its test patterns"),
]  # fmt: skip
