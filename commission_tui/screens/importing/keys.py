"""The keys of the import of a table."""

from __future__ import annotations

from textual.binding import Binding, BindingType

KEYS: list[BindingType] = [
    Binding(
        "ctrl+s", "log", "Log all", id="import.log",
        tooltip="Log every reading of the table, in one transaction",
    ),
    Binding(
        "enter", "meaning", "What it is", id="import.meaning", priority=True,
        tooltip="Pick what the selected column is: the place, a field of the check, not read",
    ),
    Binding(
        "y", "odd", "Odd too", id="import.odd",
        tooltip="Take what looks odd as it is; y once more: ask again",
    ),
    Binding(
        "b", "bad", "Leave out", id="import.bad",
        tooltip="Leave out the rows that are refused; b once more: all or nothing",
    ),
    Binding(
        "r", "remember", "Remember", id="import.remember",
        tooltip="Give these columns a name, so that the next table of this meter is read alike",
    ),
    Binding(
        "s", "sheet", "Sheet", id="import.sheet", tooltip="Read another sheet of the spreadsheet"
    ),
    Binding(
        "d", "decimal", "Decimal sign", id="import.decimal", show=False,
        tooltip="Say that numbers are written 1.5 or 1,5, where the table leaves it open",
    ),
    Binding(
        "right", "step(1)", "Next meaning", id="import.next", priority=True, show=False,
        tooltip="Take the selected column for the next thing it can be",
    ),
    Binding(
        "left", "step(-1)", "Meaning before", id="import.before", priority=True, show=False,
        tooltip="Take the selected column for the thing before",
    ),
    Binding(
        "pagedown", "scroll(1)", "Scroll", id="import.page_down", priority=True, show=False,
        tooltip="Scroll down the rows that are refused or odd",
    ),
    Binding(
        "pageup", "scroll(-1)", "Scroll up", id="import.page_up", priority=True, show=False,
        tooltip="Scroll up the rows that are refused or odd",
    ),
    Binding(
        "escape", "back", "Back", id="import.back",
        tooltip="Stop what runs; else back to the choice of a file, with nothing logged",
    ),
]  # fmt: skip
