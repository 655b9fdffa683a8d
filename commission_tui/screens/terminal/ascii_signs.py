"""What a terminal that has ASCII alone is shown; everything else is written in the drawn signs."""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

SPELT = str.maketrans({"±": "+/-", "Ω": "ohm", "°": ""})
"""What takes another width than its sign: spelt out in a text, before that is laid out."""

_SIGNS = (
    str.maketrans(
        "●✕◐–○▲◆◇→←↓↑■▸░▒▓█·▏▌≪≫━─│┌┐└┘├┤┬┴┼²³µ×−Δé…±Ω°",
        "*x~-.!ma><v^#>-:#@.|[{}#-|+++++++++23ux-de.?? ",
    )
    | dict.fromkeys(range(0x2801, 0x2900), "#")  # the dots of Braille, of which drawings are made
    | dict.fromkeys(map(ord, "▁▂▃▄▅▆▇▉▊▋▍▎"), " ")  # the ends of a scroll bar
)
"""What takes the width of its sign: set on the row as it is painted. Two signs that no screen shows
beside each other may become one. The last three are for a text that cannot be spelt, such as a field."""


class AsciiSigns(LineFilter):
    """Sets the signs of ASCII on every row that is painted, whichever widget it is of."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002
        return [Segment(text.translate(_SIGNS), style, more) for text, style, more in segments]
