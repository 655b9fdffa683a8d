"""A list of parts, CSV or a spreadsheet, read against what is on the wall and on the shelf."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.logbook.entries.models import PartFitted, SparePut
from commission_tui.logbook.state.parts import fitting_bodies, inventory, spare_body
from commission_tui.logbook.state.state import State
from commission_tui.logbook.tables.table_cells import cell_text
from commission_tui.logbook.tables.table_files import read_sheet
from commission_tui.text import counted

COLUMNS = ("part", "location", "serial", "batch", "replaces", "kept at")
SPARE = "spare"


@dataclass(frozen=True, slots=True)
class PartRows:
    """The rows as entries in their order, and one line for each row that is none."""

    good: list[PartFitted | SparePut]
    bad: list[str]


def read_parts(
    state: State, path: Path, *, part: str | None = None, sheet: str | None = None
) -> PartRows:
    """Read a list of parts; nothing is logged.

    Columns: ``location`` (a place, or ``spare``) and ``serial``; ``part`` unless given; ``batch``,
    ``replaces`` and, of a spare, ``kept at`` where known.

    Raises
    ------
    InputError
        When the file as a whole is not sound: unreadable, a column missing or unknown, no rows.
    """
    table = read_sheet(path, sheet=sheet)
    header = table.header(COLUMNS, {"location", "serial"} | ({"part"} if part is None else set()))
    now, good = inventory(state), list[PartFitted | SparePut]()
    for row in table.rows:
        cells = {n: cell_text(c).strip() for n, c in zip(header, row.cells, strict=False)}
        try:
            if len(row.cells) > len(header):
                raise InputError(f"found {counted(len(row.cells), 'cell')}, expected {len(header)}")  # noqa: TRY301 (told with its row)
            sort, serial = part or cells.get("part", ""), cells.get("serial", "")
            batch = cells.get("batch") or None
            made: PartFitted | SparePut
            if cells.get("location", "").casefold() == SPARE:
                made = spare_body(
                    now, sort, serial, batch=batch, kept_at=cells.get("kept at") or None
                )
            else:
                made = fitting_bodies(
                    *(state.wall, now, sort, cells.get("location", ""), serial),
                    batch=batch,
                    replaces=cells.get("replaces") or None,
                )
            now.take(made)
            good.append(made)
        except InputError as error:
            table.refuse(row.where, error, "a list of parts")
    if not good and not table.bad:
        raise InputError(f"{path}: found no rows under the header, expected parts")
    return PartRows(good, [f"{table.at(where)}: {why}" for where, why in table.bad])
