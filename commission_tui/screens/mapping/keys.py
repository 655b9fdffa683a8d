"""The keys of the layer "mapping"."""

from __future__ import annotations

from textual.binding import BindingType

from commission_tui.screens.host.key_table import quiet

_ROWS = (
    ("t", "tile_seen", "Tile seen",
     "Log what is seen, line after line: tiles, phrases for many, other looks"),
    ("a", "all_as_designed", "All as designed", "Log that every cabinet shows its own tile"),
    ("s", "side", "Front or behind", "Say from which side columns in phrases are counted"),
    ("o", "photograph", "Photograph", "Read photographs of the pattern 'coded tiles'"),
    ("e", "explain", "Explain", "Find what may be wrong with the mapping"),
    ("d", "move_done", "Move done", "Log that the move shown was done, go to the next"),
    ("n", "move_needless", "Not needed", "Log that the move shown is not needed"),
    ("u", "undo_move", "Undo", "Withdraw the last move, or other look, that was logged"),
    ("c", "drop_list", "Drop corrections", "Put the correction list away; the log keeps it"),
)  # fmt: skip
KEYS: list[BindingType] = [
    quiet(f"mapping.{action}", key, f"mapping('{action}')", word, tooltip)
    for key, action, word, tooltip in _ROWS
]
"""Each does what `MappingPanel`'s method of that name does."""
