"""What a photograph says of the wall's light, as a picture that is kept: it fills no field of a meter."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.logbook.store.photos import KeptPicture

if TYPE_CHECKING:
    from commission_tui.photo.light.light_reading import Shot
    from commission_tui.photo.light.light_report import LightReport
    from commission_tui.photo.perspective import Outlines
    from commission_tui.wall.model.wall_model import Wall


def shown_light(
    wall: Wall, outlines: Outlines, white: Shot, report: LightReport, path: Path
) -> KeptPicture:
    """Return the photograph laid out flat beside the map of relative luminance, with its uncertainty."""
    from commission_tui.photo.picture_file import source_words
    from commission_tui.photo.rectified import LEGEND, CellLabel, photograph_beside_map

    levels = {
        cell: CellLabel(
            "apart" if cell in report.white.outliers else "as it should be",
            f"{round(share - 1, 3) + 0.0:+.1%}",
        )
        for cell, share in report.white.relative.items()
    }
    how_well = (
        "not linear: shows, does not measure"
        if report.expanded is None
        else f"steps between neighbours good to ± {report.expanded:.1%} (k = 2, median)"
    )
    gradient = "" if report.gradient else "; the wall's slow gradient is not in it"
    caption = (
        f"From a photograph: cabinets as they hang, and light against the middle cabinet's ({LEGEND}); "
        f"{how_well}{gradient}. It takes no meter's place. "
        f"Of {source_words(path)}"
    )
    picture = photograph_beside_map(wall, white.pixels, outlines, levels, linear=white.linear)
    return KeptPicture(f"light-of-{path.stem}.jpg", picture, caption)
