"""The test patterns: what to look for in each, what it proves, and what it does not prove.

A pattern drawn by the source proves only what lies between the source and the LEDs as a whole; each
entry says where it stops.
"""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import quoted, upper_first

_BRIGHT = "Bright in a dark room: warn the people in front of the wall before it is shown."
_FLASH = (
    "Something on the wall moves all the time: keep it off a wall that an audience looks at, since "
    "flashing light can hurt people with photosensitive epilepsy (ITU-R BT.1702)."
)
_FINE = (
    "Fine regular lines: they trouble some people close up and shimmer on cameras; do not leave "
    "them on."
)
_LEVEL = "The level is a code of 8 bits, not a share of the light."


@dataclass(frozen=True, slots=True)
class Pattern:
    """One test pattern; ``moving`` ones are a sequence of frames."""

    name: str
    look_for: str
    proves: str
    does_not_prove: str
    caution: str = ""
    moving: bool = False


def _field(name: str, what: str, caution: str = "") -> Pattern:
    lights = (
        "which LEDs light" if name.startswith("grey") else "that every LED of these colours lights"
    )
    return Pattern(
        name,
        what,
        f"{upper_first(lights)}, and at this one level how even the wall is.",
        f"Where a picture lands, or how even the wall is at other levels. {_LEVEL}",
        caution,
    )


_ALL = (
    Pattern(
        "cabinet numbers",
        "In each cabinet its own row and column, the arrow up, the square mark at the top left, the "
        "ring at the top right, the triangle at the bottom left, the cross at the bottom right, "
        "and rulers that start at the top left.",
        "That the programme of the processor and the cables together put each tile in its place, "
        "upright and not mirrored.",
        "Which of the two is wrong when a number is wrong: that takes the chain numbers that the "
        "processor draws.",
    ),
    Pattern(
        "coded tiles",
        "In each cabinet a square mark for the camera, its own row and column and the arrow up.",
        "In a photograph, read by 'photo tiles': which tile every cabinet shows, turned, mirrored "
        "or shifted.",
        "What lies beside or behind what the camera saw; which of cable and programme is wrong.",
        _BRIGHT,
    ),
    Pattern(
        "port and place",
        "In each cabinet the port and the place in the chain that the wall file gives it.",
        "That cabinets show what the design says, for reading beside the numbers that the "
        "processor draws by itself.",
        "That the cables run so: this picture is drawn by the source and follows the canvas.",
    ),
    Pattern(
        "module numbers",
        "In each module its row and column inside the cabinet, seen from the front, and the arrow up.",
        "That modules sit in the right order and upright, and that the module layout of the "
        "programme is right.",
        "The order of cabinets in a chain.",
    ),
    Pattern(
        "reading direction",
        "The words read normally, UP is up, the hand of the clock face points at 2, house left is at "
        "the left of someone in the audience.",
        "That the whole picture is neither mirrored nor turned.",
        "Anything about a single cabinet.",
    ),
    Pattern(
        "cabinet frames",
        "A closed line of one pixel round every cabinet, two lines lying side by side at every seam, "
        "and two long diagonals without a step.",
        "That sizes and offsets of cabinets in the programme are right to one pixel.",
        "That each cabinet is the right one.",
    ),
    Pattern(
        "seams",
        "At each seam a blue and a yellow line of one pixel side by side, crossed by short lines "
        "that run straight through.",
        "That no pixel is missing, doubled or shifted at a seam.",
        "How bright or dark the seam looks: that takes an even field.",
    ),
    Pattern(
        "canvas corners",
        "A single white pixel in each of the four corners of the canvas and a green one in "
        "each corner of every other cabinet.",
        "That nothing is cropped and that the canvas starts at the first pixel.",
        "The scale between the corners.",
    ),
    Pattern(
        "edge frame",
        "Lines of one pixel along all four edges: white outermost, then red, green and blue, each "
        "one pixel further in with a dark pixel between.",
        "How many pixels are lost at each side: white at pixel 0, red at 2, green at 4, blue at 6.",
        "What happens away from the edges.",
    ),
    Pattern(
        "safe area",
        "Two frames: the outer leaves 3.5 % of width and height free at each edge, the inner 5 %.",
        "What of a broadcast picture would fall in the margins (common practice, no published source).",
        "That all of the wall can be seen from every seat.",
    ),
    Pattern(
        "one-pixel checkerboard",
        "An even grey without bands, patches or a coloured cast.",
        "That the picture arrives pixel for pixel, without scaling.",
        "That it starts at the right pixel.",
        f"{_BRIGHT} {_FINE}",
    ),
    Pattern(
        "one-pixel vertical lines",
        "An even grey without slow waves across; count the waves when there are some.",
        "That nothing scales the width; the waves across are the error in pixels.",
        "The height, and where the picture starts.",
        f"{_BRIGHT} {_FINE}",
    ),
    Pattern(
        "one-pixel horizontal lines",
        "An even grey without slow waves downwards and without twitter.",
        "That nothing scales the height or interlaces.",
        "The width, and where the picture starts.",
        f"{_BRIGHT} {_FINE}",
    ),
    Pattern(
        "one-pixel colour lines",
        "Red, green and blue lines that stay clean and apart, as sharp as the white ones.",
        "That colour is carried at full resolution (4:4:4).",
        "That the colours are the right ones.",
        _FINE,
    ),
    _field("white", "Dark or dim pixels, lines, modules and cabinets; colour casts.", _BRIGHT),
    _field("red", "Pixels without red; modules of another batch.", _BRIGHT),
    _field("green", "Pixels without green; modules of another batch.", _BRIGHT),
    _field("blue", "Pixels without blue; modules of another batch.", _BRIGHT),
    Pattern(
        "black",
        "Pixels that stay lit; glow; a cabinet that shows its own picture.",
        "That nothing lights where nothing is shown.",
        "That an LED lights at all, or how black the wall is in a lit room.",
    ),
    _field("grey 50 %", "Modules, cabinets and seams that differ.", _BRIGHT),
    _field("grey 20 %", "A mosaic of modules from different batches."),
    _field("grey 10 %", "Modules and cabinets that differ; coloured casts; lines that glow."),
    _field("grey 5 %", "Blocks, first lines that are darker, tints; eyes used to the dark."),
    _field("grey 2 %", "Blocks, first lines that are darker, tints; eyes used to the dark."),
    _field("grey 1 %", "Blocks, first lines that are darker, tints; eyes used to the dark."),
    _field(
        "grey 0.5 %", "Whether anything lights at all at code 1; blocks; eyes used to the dark."
    ),
    Pattern(
        "white window",
        "A white window of a tenth of the canvas, in the middle, steady and of one colour.",
        "With the full field beside it: whether a limiter or a weak supply lowers large bright areas.",
        "Evenness over the wall.",
        _BRIGHT,
    ),
    Pattern(
        "sixteen patches",
        "Four by four patches, black and white by turns: measure one of each near the middle.",
        "With a meter: the contrast that is left in this light, seen from this seat.",
        "The contrast of the wall in the dark: that takes full white and full black.",
        _BRIGHT,
    ),
    Pattern(
        "thin lines on grey",
        "In every cabinet a white cross of one pixel on grey: no tail above, below or beside it.",
        "With the white window beside it: whether light leaks along rows and columns.",
        "Which driver or LED is the cause.",
        _BRIGHT,
    ),
    Pattern(
        "grey ramp",
        "A smooth slope in both halves, without bands, steps back or coloured stretches.",
        "That levels rise everywhere and none is lost.",
        "The exact tone curve: that takes a meter and the grey steps.",
        _BRIGHT,
    ),
    Pattern(
        "grey steps",
        "21 even steps from 0 to 100 %, each apart from its neighbours, none coloured.",
        "With a meter: the tone curve and the white point at every level.",
        "Levels between the steps.",
        _BRIGHT,
    ),
    Pattern(
        "light shares",
        "Quarters of cabinets in even greys; near the wall one sees that of every sixteen LEDs so many "
        "are lit, all at full white.",
        "To a camera that is photographed with: how its pictures go with light, since each share is known "
        "whatever exponent the wall works by.",
        "The wall's own grey scale: no LED is at a grey level.",
        f"{_BRIGHT} {_FINE}",
    ),
    Pattern(
        "near-black steps",
        "The lowest code that can be told from black beside it.",
        "Where black begins: 1 in full range; codes up to 16 all black when a full-range source "
        "meets an input set to limited range.",
        "The levels above; a dark room is needed.",
    ),
    Pattern(
        "near-white steps",
        "The highest code that can be told from white beside it.",
        "Where white ends: 254 in full range; codes from 235 all white when a full-range source "
        "meets an input set to limited range.",
        "The levels below.",
        _BRIGHT,
    ),
    Pattern(
        "range steps",
        "The lowest code apart from black in the upper half, the highest apart from white in the lower.",
        "Whether source and input agree on full or limited range.",
        "The levels between.",
        _BRIGHT,
    ),
    Pattern(
        "colour bars",
        "White, yellow, cyan, green, magenta, red, blue and black from left to right, at 100 % "
        "above and 75 % below.",
        "That the colour channels are in order, and whether full and limited range agree.",
        "The colour of the primaries: that takes a meter.",
        _BRIGHT,
    ),
    Pattern(
        "text lines",
        "The smallest line that a person with normal sight reads without guessing, from each seat.",
        "The smallest text that content for this wall may use.",
        "That text of other fonts or colours reads as well.",
    ),
    Pattern(
        "stepping line",
        "One line of one pixel that crosses the canvas from left to right, then from top to bottom, "
        "in single steps, never jumping, splitting or running backwards.",
        "The scan direction and the order of lines in every module that it passes.",
        "That cabinets are in their places: a line looks the same in every row.",
        _FLASH,
        moving=True,
    ),
    Pattern(
        "stepping line in every cabinet",
        "In all cabinets at once a line that steps from left to right, then from top to bottom: all in "
        "step, none backwards.",
        "The scan direction of every module, in as many steps as a cabinet has pixels.",
        "That cabinets are in their places.",
        _FLASH,
        moving=True,
    ),
    Pattern(
        "moving bar",
        "A bar that glides at one speed, for five minutes, without a jerk, a doubled edge or a tear.",
        "That source, processor and wall run at one rate, when the player shows every frame once.",
        "Which of them is off when it jerks: compare the three rates.",
        _FLASH,
        moving=True,
    ),
)

PATTERNS: dict[str, Pattern] = {pattern.name: pattern for pattern in _ALL}


def find_pattern(name: str) -> Pattern:
    """Return the pattern of that name; hyphens, spaces and the per cent sign may be left out.

    Raises
    ------
    InputError
        When there is none, with the nearest name.
    """
    found = _BY_PLAIN_NAME.get(_plain(name))
    if found is None:
        close = did_you_mean(name.lower(), PATTERNS)
        raise InputError(
            f"pattern: found {quoted(name)}{close}, expected one of: {', '.join(PATTERNS)}"
        )
    return found


def named_in(text: str) -> tuple[Pattern, ...]:
    """Return the patterns that a check names, parted by commas; what is no pattern is left out."""
    found = (_BY_PLAIN_NAME.get(_plain(name)) for name in text.split(","))
    return tuple(dict.fromkeys(pattern for pattern in found if pattern is not None))


def _plain(name: str) -> str:
    return "".join(letter for letter in name.lower() if letter.isalnum())


_BY_PLAIN_NAME = {_plain(name): pattern for name, pattern in PATTERNS.items()}
