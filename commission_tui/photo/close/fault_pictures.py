"""Pictures of faulty LEDs: each one's piece of the photograph, and the wall with a map of all of them."""

from __future__ import annotations

import io
from collections import Counter

from PIL import Image

from commission_tui.photo.close.led_faults import LedFault
from commission_tui.photo.close.pixel_report import PixelReport, cut_out
from commission_tui.photo.light.light_reading import Shot
from commission_tui.photo.light.light_samples import Outlines
from commission_tui.photo.rectified import Said, WallSheet, beside_each_other
from commission_tui.wall.model.wall_model import Wall


def piece_of(shot: Shot, fault: LedFault, report: PixelReport) -> bytes:
    """Return the piece of the photograph round a fault, a PNG."""
    held = io.BytesIO()
    Image.fromarray(cut_out(shot, fault, report.px_a_led)).save(held, "PNG")
    return held.getvalue()


def wall_with_faults(wall: Wall, outlines: Outlines, shot: Shot, report: PixelReport) -> bytes:
    """Return the cabinets of the photograph as they hang, beside how many faults each has: a JPEG."""
    sheet = WallSheet(wall, outlines)
    laid = sheet.picture()
    sheet.lay_out(laid, shot.pixels, outlines, linear=shot.linear)
    many = Counter(fault.at.cell for fault in report.faults)
    said = {
        cell: Said("apart", f"{cell} {many[cell]}x")
        if many[cell]
        else Said("as it should be", str(cell))
        for cell in outlines
    }
    return beside_each_other(laid, sheet.map_of(said))
