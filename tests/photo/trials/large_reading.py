"""Reads one large picture in a process of its own and says what that takes: time, memory, cabinets."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from commission_tui.photo.tile_reading import read_tiles
from tests.photo.walls_hung import small_wall


def main() -> None:
    wall = small_wall(40, 25)
    clock, processor = time.perf_counter(), time.process_time()
    found = read_tiles(wall, [Path(sys.argv[1])])
    clock, processor = time.perf_counter() - clock, time.process_time() - processor
    wrong = sum(reading.seen not in (None, cell) for cell, reading in found.readings.items())
    # Not getrusage: it counts what the process had before this program was started in it.
    status = Path("/proc/self/status").read_text("ascii")
    most = int(status.split("VmHWM:")[1].split()[0]) / 1024
    width, height = found.pictures[0].size
    print(  # noqa: T201
        f"{width * height / 1e6:.0f} megapixels: {found.read} of {len(found.readings)} cabinets read, "
        f"{wrong} wrongly; {clock:.1f} s by the clock, {processor:.1f} s of processor, {most:.0f} MB"
    )


if __name__ == "__main__":
    main()
