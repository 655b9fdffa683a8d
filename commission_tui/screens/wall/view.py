"""What each layer of the wall shows in every cabinet, and its legend."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers import chain_layers, luminance_layers, progress_layers
from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.screens.terminal.styled_text import Glyphs, Line
from commission_tui.wall.model.location import Cell

LAYERS = ("progress", "chains", "circuits", "luminance", "faults")
CHANGE = "change"


def looks(layer: str, job: OpenJob, glyphs: Glyphs, *, rear: bool = False) -> dict[Cell, Look]:
    """Return what every cabinet shows in a layer."""
    wall, changes = job.state.wall, luminance_layers.changes_of
    made: dict[str, Callable[[], dict[Cell, Look]]] = {
        "progress": lambda: progress_layers.progress_looks(job, glyphs),
        "chains": lambda: chain_layers.chain_looks(wall, glyphs, rear=rear),
        "circuits": lambda: chain_layers.circuit_looks(wall),
        "luminance": lambda: luminance_layers.luminance_looks(job, glyphs),
        "faults": lambda: progress_layers.fault_looks(job, glyphs),
        CHANGE: lambda: luminance_layers.change_looks(wall.cabinets, changes(job), glyphs),
    }
    return made[layer]()


def legend(layer: str, job: OpenJob, glyphs: Glyphs) -> Line:
    """Return a layer's signs with their words, on one line."""
    wall, changes = job.state.wall, luminance_layers.changes_of
    made: dict[str, Callable[[], Line]] = {
        "progress": lambda: progress_layers.progress_legend(glyphs),
        "chains": lambda: chain_layers.chain_legend(wall, glyphs),
        "circuits": lambda: chain_layers.circuit_legend(wall),
        "luminance": lambda: luminance_layers.luminance_legend(job, glyphs),
        "faults": lambda: progress_layers.fault_legend(glyphs),
        CHANGE: lambda: luminance_layers.change_legend(job, changes(job), glyphs),
    }
    return made[layer]()
