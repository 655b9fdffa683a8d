"""The mapping check's readings as a table of what was seen, and such a table as its readings."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from commission_tui.checks.checklists.checklist import mapping_check
from commission_tui.checks.methods.signal import tile_places
from commission_tui.checks.model.types import Value
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import doubtful_readings
from commission_tui.logbook.judging.whole_look import rest_is_right
from commission_tui.logbook.state.state import Readings, State
from commission_tui.text import quoted
from commission_tui.wall.mapping.observed.observation import Dimness, Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

NO_CHECK = "This checklist has no mapping check, so nothing can be logged here."
WHOLE, SEEN, ARROW = tile_places.WHOLE, tile_places.SEEN, tile_places.ARROW
UNSEEN = tile_places.UNSEEN
ARROWS = {"up": 0, "right": 90, "down": 180, "left": 270}
"""How an arrow stands, and its clockwise turn in degrees."""
WORD_AT = {angle: word for word, angle in ARROWS.items()}

DONE = "Mapping correction marked as done: "
NEEDLESS = "Mapping correction not needed: "
_DONE_BEFORE = "Mapping correction done: "
"""As older logbooks have it."""
LOOKED_AT = "Mapping, also looked at: "
"""What notes on the mapping check begin with."""

_OWN = {"own", "ok", "as designed"}
_DIM: Mapping[str, Dimness] = {
    "dark": "dark", "d": "dark", "garbled": "garbled", "g": "garbled",
}  # fmt: skip
_TYPED = re.compile(
    r"(?P<tile>R\d+C\d+|\d+[ .,]\d+|own|ok|as designed|dark|d|garbled|g|not looked at)?"
    r"(?: ?(?P<arrow>up|right|down|left|upside down|0|90|180|270))?"
    r"(?: ?(?P<mirrored>mirrored))?"
    r"(?: ?(?P<dx>[+-]\d{1,6}(?:\.\d{1,3})?) (?P<dy>[+-]\d{1,6}(?:\.\d{1,3})?))?",
    re.IGNORECASE,
)
TYPED = (
    "a tile like R3C7, ok, dark, garbled or not looked at, then how its arrow stands (up, right, "
    "down, left), mirrored, and where the tile starts in px (+24 -3)"
)


@dataclass(frozen=True, slots=True)
class SeenTable:
    """What every cabinet of the wall shows, as far as it was logged."""

    readings: Mapping[Cell, Observation]
    unclear: Mapping[Cell, str]
    """Cabinets whose logged words name no tile of this wall; nothing is concluded from them."""
    answers: Mapping[str, str]
    """What else was looked at since the last move, such as ``R1C5 cable``, and what was seen."""

    @property
    def looked_at(self) -> tuple[Cell, ...]:
        return tuple(cell for cell, reading in self.readings.items() if reading.seen is not None)

    @property
    def exceptions(self) -> tuple[Cell, ...]:
        """Cabinets that do not show their own tile, upright and in place."""
        return tuple(c for c in self.looked_at if not is_right(c, self.readings[c]))


def is_right(cell: Cell, reading: Observation) -> bool:
    return replace(reading, confirmed=False) == Observation(cell)


# --- from the logbook


def seen_table(state: State) -> SeenTable:
    """Return the table as the standing readings tell it.

    Once the whole wall was said to be right, a cabinet without a reading of its own is as designed;
    before that, and after a bare no, nobody looked at it.
    """
    check = mapping_check(state.checklist)
    rest_right = check is not None and rest_is_right(state, check.id)
    readings: dict[Cell, Observation] = {}
    unclear: dict[Cell, str] = {}
    for cell in state.wall.cabinets:
        seen, arrow = slot_of(state, SEEN, str(cell)), slot_of(state, ARROW, str(cell))
        if not seen and not arrow:
            readings[cell] = Observation(cell) if rest_right else Observation()
            continue
        text = str(seen[-1].body.value) if seen else "own"
        try:
            reading = typed_tile(state.wall, cell, text)
        except InputError:
            unclear[cell] = text
            readings[cell] = Observation()
            continue
        twice = len(seen) > 1 and seen[-2].body.value == seen[-1].body.value
        readings[cell] = replace(_with_arrow(reading, arrow), confirmed=twice)
    noted = (note.body.text.removeprefix(LOOKED_AT) for note in other_looks(state))
    answers = {look: answer for look, _, answer in (text.partition(": ") for text in noted)}
    return SeenTable(readings, unclear, answers)


def other_looks(state: State) -> tuple[Logged[e.Note], ...]:
    """Return the notes of what else was looked at; a move done since may have changed any of it."""
    check, whole = mapping_check(state.checklist), slot_of(state, WHOLE, "wall")
    right_since = whole[-1].id if whole and whole[-1].body.value is True else ""
    found: list[Logged[e.Note]] = []
    for note in state.notes:
        if check is None or note.body.check != check.id or note.id < right_since:
            continue
        if note.body.text.startswith((DONE, _DONE_BEFORE)):
            found = []
        elif note.body.text.startswith(LOOKED_AT):
            found.append(note)
    return tuple(found)


def slot_of(state: State, field: str, place: str) -> Readings:
    check = mapping_check(state.checklist)
    return state.slot("" if check is None else check.id, field, place)


def _with_arrow(reading: Observation, arrow: Readings) -> Observation:
    """Return a reading with its arrow's own; a dark cabinet shows none, whatever was logged before."""
    if not arrow or reading.seen in (None, "dark"):
        return reading
    word = str(arrow[-1].body.value)
    if word == "mirrored":
        return replace(reading, mirrored=True)
    return replace(reading, angle_deg=reading.angle_deg or ARROWS.get(word, 0))


def typed_tile(wall: Wall, cell: Cell, text: str, old: Observation | None = None) -> Observation:
    """Return what one cabinet shows from what was typed; an arrow alone keeps the old tile.

    Raises
    ------
    InputError
        When the text has no meaning or names a tile that is not of this wall.
    """
    cleaned = " ".join(text.split())
    match = _TYPED.fullmatch(cleaned)
    if match is None or not cleaned:
        raise InputError(f"seen: found {quoted(cleaned)}, expected {TYPED}")
    seen = _tile(wall, cell, match["tile"], old)
    if seen is None:
        return Observation()
    word = (match["arrow"] or "up").lower()
    angle = ARROWS["down"] if word == "upside down" else ARROWS.get(word, -1)
    return Observation(
        seen,
        angle if angle >= 0 else int(word),
        bool(match["mirrored"]),
        float(match["dx"] or 0),
        float(match["dy"] or 0),
    )


def _tile(
    wall: Wall, cell: Cell, text: str | None, old: Observation | None
) -> Cell | Dimness | None:
    if text is None:
        shows_tile = old is not None and old.seen not in (None, "dark")
        return old.seen if old is not None and shows_tile else cell
    word = text.lower()
    if word == UNSEEN:
        return None
    if word in _OWN:
        return cell
    if word in _DIM:
        return _DIM[word]
    numbers = re.split(r"[ .,]", word)
    tile = Cell.parse("R{}C{}".format(*numbers) if len(numbers) == 2 else text)
    if tile not in wall.cabinets:
        last = f"R1C1 to R{wall.rows}C{wall.columns}"
        raise InputError(f"seen: found {tile}, expected a cabinet of this wall ({last})")
    return tile


# --- to the logbook


def seen_text(reading: Observation) -> str:
    """Return what is logged as seen; the arrow has a field of its own, which holds one word."""
    if reading.seen is None:
        return UNSEEN
    parts = [str(reading.seen)]
    if reading.mirrored and reading.angle_deg:
        parts.append(WORD_AT[reading.angle_deg])
    if reading.dx_px or reading.dy_px:
        parts.append(f"{reading.dx_px:+g} {reading.dy_px:+g}")
    return " ".join(parts)


def mapping_reading(
    job: OpenJob, field: str, place: str, value: Value, photo: str | None = None
) -> e.ReadingTaken:
    """Return what the mapping check is told of one place."""
    return job.reading(mapping_check_id(job.state), field, place, value, photo=photo)


def mapping_check_id(state: State) -> str:
    """Return the id of the job's mapping check; raise InputError when its checklist has none."""
    check = mapping_check(state.checklist)
    if check is None:
        raise InputError(NO_CHECK)
    return check.id


def all_in_place(job: OpenJob) -> list[e.Body]:
    """Return the entries that say: every cabinet shows its own tile, upright."""
    state = job.state
    bodies: list[e.Body] = [mapping_reading(job, WHOLE, "wall", True)]
    table = seen_table(state)
    doubted = {place for _, place in doubtful_readings(state, mapping_check_id(state))}
    for cell, reading in table.readings.items():
        is_wrong = slot_of(state, SEEN, str(cell)) and not is_right(cell, reading)
        if cell in table.unclear or is_wrong or str(cell) in doubted:
            bodies.append(mapping_reading(job, SEEN, str(cell), str(cell)))
        bodies += _arrow_bodies(job, cell, Observation(cell))
    return bodies


def rest_in_place(job: OpenJob) -> list[e.Body]:
    """Return the entries that say: every cabinet not looked at yet shows its own tile, upright."""
    table = seen_table(job.state)
    rest = {cell: Observation(cell) for cell, r in table.readings.items() if r.seen is None}
    bodies = table_bodies(job, {c: r for c, r in rest.items() if c not in table.unclear})
    return [*bodies, mapping_reading(job, WHOLE, "wall", value=False)]


def _arrow_bodies(
    job: OpenJob, cell: Cell, reading: Observation, photo: str | None = None
) -> list[e.Body]:
    """Return the arrow's entry where it differs from what stands; up needs none to begin with."""
    if reading.seen in (None, "dark"):
        return []
    word = "mirrored" if reading.mirrored else WORD_AT[reading.angle_deg]
    stands = slot_of(job.state, ARROW, str(cell))
    if word == (stands[-1].body.value if stands else "up"):
        return []
    return [mapping_reading(job, ARROW, str(cell), word, photo)]


def table_bodies(
    job: OpenJob, new: Mapping[Cell, Observation], photo: str | None = None
) -> list[e.Body]:
    """Return the entries that say what some cabinets show.

    What a photograph says of every cabinet, by its SHA-256, answers for the whole wall too.
    """
    bodies: list[e.Body] = []
    whole = slot_of(job.state, WHOLE, "wall")
    wrong = any(r.seen is not None and not is_right(c, r) for c, r in new.items())
    every = photo is not None and new.keys() == job.state.wall.cabinets.keys()
    for cell, reading in new.items():
        bodies.append(mapping_reading(job, SEEN, str(cell), seen_text(reading), photo))
        bodies += _arrow_bodies(job, cell, reading, photo)
    if every or (wrong and whole and whole[-1].body.value is True):
        bodies.append(mapping_reading(job, WHOLE, "wall", not wrong, photo))
    return bodies
