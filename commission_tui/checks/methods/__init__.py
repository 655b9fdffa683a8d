"""The methods that judge a check, by stage of the job; importing this package registers each.

Take `methods()` from here; `checks.registry` only holds the decorator that a method bears.
"""

from commission_tui.checks.methods import plain_limits, stated_bounds
from commission_tui.checks.methods.camera import camera_bands, camera_pictures, camera_set_up
from commission_tui.checks.methods.design import contradictions, room_planning, safety_planning
from commission_tui.checks.methods.goods_in import deliveries
from commission_tui.checks.methods.handover import (
    content_sheet,
    repeat_visits,
    sign_off,
    spares_backups_training,
)
from commission_tui.checks.methods.light import (
    chromaticity_limits,
    dimming,
    luminance,
    meter_conditions,
    module_lines,
    module_swap,
    patches,
    pixel_counts,
    seams,
    white_and_grey,
)
from commission_tui.checks.methods.power import circuit_currents, supply
from commission_tui.checks.methods.room import (
    contrast,
    environment,
    interference,
    legibility,
    presenter_light,
    sound,
    stage_and_eyes,
)
from commission_tui.checks.methods.signal import (
    data_paths,
    dynamic_range,
    first_light,
    inputs,
    known_files,
    latency,
    reference,
    single_failures,
    sources,
    tile_places,
)
from commission_tui.checks.methods.structure import fixings, level_and_flatness, load_cells
from commission_tui.checks.registry import Method, registered_methods

__all__ = [
    "camera_bands",
    "camera_pictures",
    "camera_set_up",
    "chromaticity_limits",
    "circuit_currents",
    "content_sheet",
    "contradictions",
    "contrast",
    "data_paths",
    "deliveries",
    "dimming",
    "dynamic_range",
    "environment",
    "first_light",
    "fixings",
    "inputs",
    "interference",
    "known_files",
    "latency",
    "legibility",
    "level_and_flatness",
    "load_cells",
    "luminance",
    "meter_conditions",
    "methods",
    "module_lines",
    "module_swap",
    "patches",
    "pixel_counts",
    "plain_limits",
    "presenter_light",
    "reference",
    "repeat_visits",
    "room_planning",
    "safety_planning",
    "seams",
    "sign_off",
    "single_failures",
    "sound",
    "sources",
    "spares_backups_training",
    "stage_and_eyes",
    "stated_bounds",
    "supply",
    "tile_places",
    "white_and_grey",
]


def methods() -> dict[str, Method]:
    """Return every method by name."""
    return registered_methods()
