"""What each layer of the wall shows in every cabinet, and its legend."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers import luminance_layers
from commission_tui.screens.layers.cell_style import Look
from commission_tui.screens.layers.chain_layers import (
    chain_arrow,
    chain_legend,
    chain_looks,
    circuit_legend,
    circuit_looks,
)
from commission_tui.screens.layers.luminance_layers import luminance_of
from commission_tui.screens.layers.progress_layers import (
    cabinet_fields,
    cabinet_verdicts,
    fault_legend,
    fault_looks,
    faults_by_cell,
    progress_legend,
    progress_looks,
    unclosed,
)
from commission_tui.screens.terminal.styled_text import Glyphs, Line
from commission_tui.wall.model.location import Cell

LAYERS = ("progress", "chains", "circuits", "luminance", "faults")
CHANGE = "change"


def looks(layer: str, job: OpenJob, glyphs: Glyphs, *, rear: bool = False) -> dict[Cell, Look]:
    """Return what every cabinet shows in a layer."""
    wall = job.state.wall
    if layer == "chains":
        return chain_looks(wall, glyphs, rear=rear)
    if layer == "circuits":
        return circuit_looks(wall)
    if layer == "luminance":
        return luminance_layers.luminance_looks(job, glyphs)
    if layer == CHANGE:
        changes = luminance_layers.changes_of(job)
        return luminance_layers.change_looks(wall.cabinets, changes, glyphs)
    if layer == "faults":
        return fault_looks(job, glyphs)
    return progress_looks(job, glyphs)


def legend(layer: str, job: OpenJob, glyphs: Glyphs) -> Line:
    """Return a layer's signs with their words, on one line."""
    if layer == "chains":
        return chain_legend(job.state.wall, glyphs)
    if layer == "circuits":
        return circuit_legend(job.state.wall)
    if layer == "luminance":
        return luminance_layers.luminance_legend(job, glyphs)
    if layer == CHANGE:
        changes = luminance_layers.changes_of(job)
        return luminance_layers.change_legend(job, changes, glyphs)
    if layer == "faults":
        return fault_legend(glyphs)
    return progress_legend(glyphs)


def overview_looks(job: OpenJob, glyphs: Glyphs) -> Mapping[Cell, Look]:
    """Return what the small wall of the overview shows."""
    return progress_looks(job, glyphs)


__all__ = [
    "CHANGE",
    "LAYERS",
    "Look",
    "cabinet_fields",
    "cabinet_verdicts",
    "chain_arrow",
    "faults_by_cell",
    "legend",
    "looks",
    "luminance_of",
    "overview_looks",
    "unclosed",
]
