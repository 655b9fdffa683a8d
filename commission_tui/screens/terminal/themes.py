"""Colours: for a dark house, for eyes that must stay adapted to the dark, and for an office.

Blue stands for good and orange for bad in the first and the last, which people with any of the
common colour deficiencies tell apart; a glyph and a word stand beside every colour anyway. The row
of a list that is marked differs from its ground by hue, not by light: text stays legible on it.
"""

from __future__ import annotations

from textual.theme import Theme

from commission_tui.screens.terminal import colours

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
    dark=True,
    variables={
        **colours.DARK.variables,
        "footer-key-foreground": "#c9a45a",
        "footer-background": "#101316",
        "footer-foreground": "#8f979e",
        "input-cursor-background": "#c9a45a",
        "input-selection-background": "#c9a45a",
        "input-selection-foreground": "#0a0c0e",
        "block-cursor-blurred-background": "#0f2a42",
        "boost": "#151a1f",
        "scrollbar": "#2a3138",
        "scrollbar-background": "#0a0c0e",
    },
)
LOW_BLUE = Theme(
    name="low blue",
    primary="#c87c48",
    secondary="#7d4a2a",
    accent="#c98a3c",
    success="#bd8f4c",
    warning="#cfa640",
    error="#dd5a34",
    foreground="#d68d58",
    background="#080301",
    surface="#0f0602",
    panel="#1e0d06",
    dark=True,
    variables={
        **colours.LOW_BLUE.variables,
        "footer-key-foreground": "#c98a3c",
        "footer-background": "#0f0602",
        "footer-foreground": "#b0734a",
        "input-cursor-background": "#c98a3c",
        "input-selection-background": "#c98a3c",
        "input-selection-foreground": "#080301",
        "block-cursor-blurred-background": "#2e1305",
        "boost": "#190c05",
        "primary-muted": "#33190b",
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
    warning="#785a00",
    error="#7a1500",
    foreground="#1b1f23",
    background="#f4f4f0",
    surface="#ebebe6",
    panel="#dcdcd5",
    dark=False,
    variables={
        **colours.LIGHT.variables,
        "input-selection-background": "#7a4f00",
        "input-selection-foreground": "#f4f4f0",
        "block-cursor-blurred-background": "#c6dcee",
        "boost": "#e6e6e0",
    },
)
THEMES = (DARK_HOUSE, LOW_BLUE, OFFICE)
