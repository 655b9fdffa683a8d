"""The keys of the layer "mapping"."""

from __future__ import annotations

from textual.binding import Binding, BindingType


def _key(key: str, action: str, word: str, tooltip: str) -> Binding:
    return Binding(
        key, f"mapping('{action}')", word, id=f"mapping.{action}", tooltip=tooltip, show=False
    )


KEYS: list[BindingType] = [
    _key(
        "t",
        "tile_seen",
        "Tile seen",
        "Log what is seen, line after line: tiles, phrases for many, other looks",
    ),
    _key("a", "all_as_designed", "All as designed", "Log that every cabinet shows its own tile"),
    _key("s", "side", "Front or behind", "Say from which side columns in phrases are counted"),
    _key("o", "photograph", "Photograph", "Read photographs of the pattern 'coded tiles'"),
    _key("e", "explain", "Explain", "Find what may be wrong with the mapping"),
    _key("d", "move_done", "Move done", "Log that the move shown was done, go to the next"),
    _key("n", "move_needless", "Not needed", "Log that the move shown is not needed"),
    _key("u", "undo_move", "Undo", "Withdraw the last move, or other look, that was logged"),
    _key("c", "drop_list", "Drop corrections", "Put the correction list away; the log keeps it"),
]
"""Each does what `MappingPanel`'s method of that name does."""
