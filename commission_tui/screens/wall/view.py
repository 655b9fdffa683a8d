"""What each layer of the wall shows in every cabinet, and its legend."""

from __future__ import annotations

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers import chain_layers, luminance_layers, progress_layers
from commission_tui.screens.layers.cell_style import Look
from commission_tui.screens.terminal.styled_text import Glyphs, Line
from commission_tui.wall.model.location import Cell

LAYERS = ("progress", "chains", "circuits", "luminance", "faults")
CHANGE = "change"


def looks(layer: str, job: OpenJob, glyphs: Glyphs, *, rear: bool = False) -> dict[Cell, Look]:
    """Return what every cabinet shows in a layer."""
    wall = job.state.wall
    if layer == "chains":
        return chain_layers.chain_looks(wall, glyphs, rear=rear)
    if layer == "circuits":
        return chain_layers.circuit_looks(wall)
    if layer == "luminance":
        return luminance_layers.luminance_looks(job, glyphs)
    if layer == CHANGE:
        changes = luminance_layers.changes_of(job)
        return luminance_layers.change_looks(wall.cabinets, changes, glyphs)
    if layer == "faults":
        return progress_layers.fault_looks(job, glyphs)
    return progress_layers.progress_looks(job, glyphs)


def legend(layer: str, job: OpenJob, glyphs: Glyphs) -> Line:
    """Return a layer's signs with their words, on one line."""
    if layer == "chains":
        return chain_layers.chain_legend(job.state.wall, glyphs)
    if layer == "circuits":
        return chain_layers.circuit_legend(job.state.wall)
    if layer == "luminance":
        return luminance_layers.luminance_legend(job, glyphs)
    if layer == CHANGE:
        changes = luminance_layers.changes_of(job)
        return luminance_layers.change_legend(job, changes, glyphs)
    if layer == "faults":
        return progress_layers.fault_legend(glyphs)
    return progress_layers.progress_legend(glyphs)
