"""Colours: for a dark house, for eyes that must stay adapted to the dark, and for an office.

Blue stands for good and orange for bad in the first and the last, which people with any of the
common colour deficiencies tell apart; a glyph and a word stand beside every colour anyway.
"""

from __future__ import annotations

from textual.theme import Theme

DARK_HOUSE = Theme(
    name="dark house",
    primary="#5f93c4",
    secondary="#46698a",
    accent="#c9a45a",
    success="#5fa3d8",
    warning="#d1b45c",
    error="#d9803a",
    foreground="#b4bac0",
    background="#0a0c0e",
    surface="#101316",
    panel="#20272e",
    boost="#151a1f",
    dark=True,
    variables={
        "footer-key-foreground": "#c9a45a",
        "footer-background": "#101316",
        "footer-foreground": "#8f979e",
        "input-cursor-background": "#c9a45a",
        "scrollbar": "#2a3138",
        "scrollbar-background": "#0a0c0e",
    },
)
LOW_BLUE = Theme(
    name="low blue",
    primary="#bf7644",
    secondary="#7d4a2a",
    accent="#c98a3c",
    success="#b98a4a",
    warning="#c9a03c",
    error="#de5f38",
    foreground="#bd7746",
    background="#080301",
    surface="#0f0602",
    panel="#241008",
    boost="#190c05",
    dark=True,
    variables={
        "footer-key-foreground": "#c98a3c",
        "footer-background": "#0f0602",
        "footer-foreground": "#8f5832",
        "input-cursor-background": "#c98a3c",
        "scrollbar": "#33190a",
        "scrollbar-background": "#080301",
    },
)
OFFICE = Theme(
    name="office",
    primary="#1d5c99",
    secondary="#4a7aa6",
    accent="#7a4f00",
    success="#1d5c99",
    warning="#755900",
    error="#a03e00",
    foreground="#1b1f23",
    background="#f4f4f0",
    surface="#ebebe6",
    panel="#dcdcd5",
    boost="#e6e6e0",
    dark=False,
)
THEMES = (DARK_HOUSE, LOW_BLUE, OFFICE)
