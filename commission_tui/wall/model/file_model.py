"""The wall file as written: one TOML document, checked key by key.

What the keys mean is in the field descriptions; `read_wall` in ``reading.py`` turns a file into a
`Wall`, which is what the rest of the house uses.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from commission_tui.text import NO_CONTROLS_IN_LINE

# Strict, since TOML's `true` is no number and a number in quotes is a slip.
Positive = Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False, strict=True)]
NonNegative = Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False, strict=True)]
Pixels = Annotated[int, Field(gt=0, le=65_536, strict=True)]
Finite = Annotated[float, Field(ge=-1e6, le=1e6, allow_inf_nan=False, strict=True)]
Name = Annotated[
    str,
    StringConstraints(
        strip_whitespace=True,
        min_length=1,
        max_length=80,
        pattern=NO_CONTROLS_IN_LINE,
    ),
]
Phase = Literal["L1", "L2", "L3"]


class Part(BaseModel):
    """Base of every table of the file: nothing unknown, nothing changed afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class WallHead(Part):
    name: Name
    site: Name = "site not stated"
    mounting: Literal["flown", "stacked", "wall-mounted"]
    units: Literal["metric", "us"] = "metric"


class CabinetType(Part):
    width_mm: Positive
    height_mm: Positive
    width_px: Pixels
    height_px: Pixels
    module_columns: Annotated[int, Field(ge=1, le=64, strict=True)] = 1
    module_rows: Annotated[int, Field(ge=1, le=64, strict=True)] = 1
    weight_kg: Positive
    power_max_w: Positive
    power_typical_w: Positive | None = None
    power_factor: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False, strict=True)] = 1.0
    leakage_ma: NonNegative | None = None
    inrush_a: NonNegative | None = None


class Grid(Part):
    columns: Annotated[int, Field(ge=1, le=500, strict=True)]
    rows: Annotated[int, Field(ge=1, le=500, strict=True)]
    type: Name
    absent: tuple[str, ...] = ()
    """Cells or ranges (`R1C1`, `R1C1:R2C3`) where no cabinet hangs."""


class Placement(Part):
    position: str
    type: Name
    x_mm: Finite
    y_mm: Finite
    x_px: Annotated[int, Field(ge=0, le=65_536, strict=True)]
    y_px: Annotated[int, Field(ge=0, le=65_536, strict=True)]
    rotation_deg: Literal[0, 90, 180, 270] = 0


class Processor(Part):
    name: Name = "processor"
    ports: Annotated[int, Field(ge=1, le=1024, strict=True)]
    pixels_per_port: Annotated[int, Field(gt=0, le=100_000_000, strict=True)]
    load_rule: Literal["sum", "rectangle"] = "sum"
    bits: Literal[8, 10, 12] = 8
    frame_rate_hz: Positive = 60.0
    refresh_hz: Positive | None = None


class Chain(Part):
    port: Annotated[int, Field(ge=1, le=1024, strict=True)]
    order: tuple[str, ...] | None = None
    """Every cabinet in the order the data passes it."""
    block: str | None = None
    """A range `R1C1:R3C12`, with `pattern` for the way through it."""
    pattern: str | None = None
    """Such as `rows, serpentine, from top left`."""
    backup_port: Annotated[int, Field(ge=1, le=1024, strict=True)] | None = None


class Circuit(Part):
    name: Name
    phase: Phase
    voltage_v: Positive
    breaker_a: Positive
    cable_mm2: Positive | None = None
    cable_awg: Annotated[int, Field(ge=0, le=24, strict=True)] | None = None
    length_m: Positive | None = None
    residual_ma: Positive | None = None
    """Rated residual current of the protective device, when one is fitted."""
    cabinets: tuple[str, ...]


class SuspensionPoint(Part):
    name: Name
    x_mm: Finite
    rated_kn: Positive
    predicted_kn: NonNegative | None = None
    """From the structural engineer's calculation."""


class Input(Part):
    name: Name
    connector: Name
    width_px: Pixels
    height_px: Pixels
    frame_rate_hz: Positive
    bits: Literal[8, 10, 12] = 8
    chroma: Literal["4:4:4", "4:2:2", "4:2:0"] = "4:4:4"
    quantization: Literal["full", "limited"] = "full"


class Camera(Part):
    name: Name
    distance_m: Positive
    shutter_s: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False, strict=True)]
    frame_rate_hz: Positive
    focal_length_mm: Positive | None = None
    photosite_um: Positive | None = None


class StagePosition(Part):
    name: Name


RoomFeature = Literal[
    "daylight",
    "hearing loop",
    "radio microphones",
    "recorded programme",
    "side screens",
    "sound from picture",
    "reference lock",
    "high dynamic range",
    "protected sources",
    "interlaced sources",
    "ambient sensor",
    "schedule",
    "remote access",
    "fire input",
    "emergency stop",
    "fibre",
    "hoists",
    "seismic restraint",
    "two supplies",
    "two processors",
    "light desk",
    "live speech",
    "worship",
    "public lobby",
]
"""What a room can have that asks for a check of its own."""


class Room(Part):
    """The room the wall hangs in; without it every check of a room's features stays on the list."""

    features: tuple[RoomFeature, ...] = ()
    light_states: tuple[Name, ...] = ()
    presets: tuple[Name, ...] = ()
    control_points: tuple[Name, ...] = ()
    sound_zones: tuple[Name, ...] = ()
    seats: tuple[Name, ...] = ()


class SignalPart(Part):
    """Something on the signal path or the supply that more than one port may hang on."""

    name: Name
    kind: Literal["processor", "port", "converter", "trunk", "switch", "supply", "source"]
    fed_by: tuple[Name, ...] = ()
    """Any one of these is enough."""
    powered_by: tuple[Name, ...] = ()


class Canvas(Part):
    width_px: Pixels
    height_px: Pixels


class Targets(Part):
    luminance_cd_m2: Positive | None = None
    house_level_cd_m2: Positive | None = None
    white_x: Annotated[float, Field(gt=0, lt=0.8, allow_inf_nan=False, strict=True)] = 0.3127
    white_y: Annotated[float, Field(gt=0, lt=0.9, allow_inf_nan=False, strict=True)] = 0.3290
    grey_exponent: Annotated[float, Field(ge=1, le=3.5, allow_inf_nan=False, strict=True)] = 2.2
    nearest_m: Positive | None = None
    farthest_m: Positive | None = None
    pixel_faults_ppm: NonNegative | None = None
    spare_modules: Annotated[int, Field(ge=0, le=100_000, strict=True)] | None = None
    single_failure_cabinets: Annotated[int, Field(ge=0, le=100_000, strict=True)] | None = None
    """The most cabinets that may go dark from one failure."""
    bt709_coverage_percent: (
        Annotated[float, Field(gt=0, le=100, allow_inf_nan=False, strict=True)] | None
    ) = None
    """Share of the BT.709 gamut, in u'v', that the primaries must reach."""
    presenter_lx: Positive | None = None
    """Vertical illuminance on a face that the light plan promises."""
    contrast: Annotated[float, Field(gt=1, le=1e6, allow_inf_nan=False, strict=True)] | None = None
    """Least contrast in the lit room, as seen from the seats."""
    latency_ms: Positive | None = None
    """From the camera to the wall."""
    noise_dba: Positive | None = None
    """Of the wall alone at the nearest seat."""
    air_handling_kw: Positive | None = None
    """Heat that the air handling was designed to carry off."""


TARGET_LABELS: Mapping[str, str] = {
    "luminance_cd_m2": "luminance",
    "house_level_cd_m2": "luminance at the house level",
    "white_x": "white point x",
    "white_y": "white point y",
    "grey_exponent": "exponent of the grey scale",
    "nearest_m": "nearest seat",
    "farthest_m": "farthest seat",
    "pixel_faults_ppm": "pixel faults",
    "spare_modules": "spare modules",
    "single_failure_cabinets": "cabinets dark after one failure",
    "bt709_coverage_percent": "coverage of the BT.709 gamut",
    "presenter_lx": "light on the presenter's face",
    "contrast": "contrast ratio",
    "latency_ms": "latency from camera to wall",
    "noise_dba": "sound level of the wall",
    "air_handling_kw": "heat that the air handling carries",
}
"""What people call each target, without its unit."""


class Stated(Part):
    """What one document says; anything it does not say is left out."""

    document: Name
    revision: Name | None = None
    width_mm: Positive | None = None
    height_mm: Positive | None = None
    pitch_mm: Annotated[str, Field(pattern=r"^\d{1,3}(\.\d{1,4})?$")] | None = None
    """As printed, in quotes, since the number of decimals tells rounding from truncation."""
    width_px: Pixels | None = None
    height_px: Pixels | None = None
    aspect: Annotated[str, Field(pattern=r"^\d{1,5}(\.\d{1,4})?:\d{1,5}(\.\d{1,4})?$")] | None = (
        None
    )
    weight_kg: Positive | None = None
    view: Literal["front", "rear"] | None = None


class WallFile(Part):
    """The whole file."""

    wall: WallHead
    cabinet_types: Annotated[dict[Name, CabinetType], Field(min_length=1)]
    grid: Grid | None = None
    placements: tuple[Placement, ...] = ()
    processor: Processor
    chains: tuple[Chain, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    suspension_points: tuple[SuspensionPoint, ...] = ()
    inputs: tuple[Input, ...] = ()
    cameras: tuple[Camera, ...] = ()
    stage_positions: tuple[StagePosition, ...] = ()
    signal_parts: tuple[SignalPart, ...] = ()
    room: Room | None = None
    canvas: Canvas | None = None
    targets: Targets = Targets()
    stated: tuple[Stated, ...] = ()
