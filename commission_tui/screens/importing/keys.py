"""The keys of the import of a table."""

from __future__ import annotations

from textual.binding import BindingType

from commission_tui.screens.host.key_table import key, quiet

KEYS: list[BindingType] = [
    key("import.log", "ctrl+s", "log", "Log all",
        "Log every reading of the table, in one transaction"),
    key("import.meaning", "enter", "meaning", "What it is",
        "Pick what the selected column is: the place, a field of the check, not read", priority=True),
    key("import.odd", "y", "odd", "Odd too",
        "Take what looks odd as it is; y once more: ask again"),
    key("import.bad", "b", "bad", "Leave out",
        "Leave out the rows that are refused; b once more: all or nothing"),
    key("import.remember", "r", "remember", "Remember",
        "Give these columns a name, so that the next table of this meter is read alike"),
    key("import.sheet", "s", "sheet", "Sheet", "Read another sheet of the spreadsheet"),
    quiet("import.decimal", "d", "decimal", "Decimal sign",
        "Say that numbers are written 1.5 or 1,5, where the table leaves it open"),
    quiet("import.next", "right", "step(1)", "Next meaning",
        "Take the selected column for the next thing it can be", priority=True),
    quiet("import.before", "left", "step(-1)", "Meaning before",
        "Take the selected column for the thing before", priority=True),
    quiet("import.page_down", "pagedown", "scroll(1)", "Scroll",
        "Scroll down the rows that are refused or odd", priority=True),
    quiet("import.page_up", "pageup", "scroll(-1)", "Scroll up",
        "Scroll up the rows that are refused or odd", priority=True),
    key("import.back", "escape", "back", "Back",
        "Stop what runs; else back to the choice of a file, with nothing logged"),
]  # fmt: skip
