"""The wall file as written: one TOML document, checked key by key.

What the keys mean is in the field descriptions; `read_wall` in ``wall_file.py`` turns a file into a
`Wall`, which is what the rest of the house uses.
"""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationInfo

from commission_tui.engineering.viewing.camera import parse_shutter_s
from commission_tui.engineering.viewing.moire import Sensor
from commission_tui.wall.model.contract_model import Stated, Targets
from commission_tui.wall.model.file_values import (
    Finite,
    Name,
    NonNegative,
    Part,
    Phase,
    Pixels,
    Positive,
    Region,
    Zone,
)


class WallHead(Part):
    """What the wall is called and how it hangs."""

    name: Name
    """What the wall is called, such as `Main auditorium`."""
    site: Name = "site not stated"
    """The building."""
    mounting: Literal["flown", "stacked", "wall-mounted"]
    """Whether it hangs from above, stands on its base or is fixed to the building."""
    units: Literal["metric", "us"] = "metric"
    """What the document shows lengths and weights in; the file itself is always metric."""
    time_zone: Zone | None = None
    """The zone in which the document prints times, as the IANA database names it: `Europe/London`.
    Without it times are printed in UTC."""
    region: Region | None = None
    """Where the wall stands, as ISO 3166 codes it: `GB`, `US`, `US-NY`. National codes hold only where
    they are in force; without it none of them is applied."""

    def stands_in(self, code: str) -> bool:
        """Whether the wall stands in a country, or in the part of one, that a code names."""
        return self.region is not None and f"{self.region}-".startswith(f"{code}-")


class CabinetType(Part):
    """One make of cabinet; the name after the point is the one that the grid uses."""

    width_mm: Positive
    """Width, as it hangs unturned."""
    height_mm: Positive
    """Height, as it hangs unturned."""
    width_px: Pixels
    """Pixels across."""
    height_px: Pixels
    """Pixels down."""
    module_columns: Annotated[int, Field(ge=1, le=64, strict=True)] = 1
    """Modules across in one cabinet."""
    module_rows: Annotated[int, Field(ge=1, le=64, strict=True)] = 1
    """Modules down in one cabinet."""
    weight_kg: Positive
    """Weight of one cabinet with everything that hangs with it."""
    power_max_w: Positive
    """Highest power of one cabinet, on full white at the highest level."""
    power_typical_w: Positive | None = None
    """Usual power of one cabinet, on moving pictures."""
    power_factor: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False, strict=True)] = 1.0
    """Power factor on full white."""
    leakage_ma: NonNegative | None = None
    """Earth leakage of one cabinet."""
    inrush_a: NonNegative | None = None
    """Inrush current of one cabinet."""


class Grid(Part):
    """A plain grid of cabinets of one type; a wall of several types has placements instead."""

    columns: Annotated[int, Field(ge=1, le=500, strict=True)]
    """Cabinets across."""
    rows: Annotated[int, Field(ge=1, le=500, strict=True)]
    """Cabinets down."""
    type: Name
    """One of the cabinet types."""
    absent: tuple[str, ...] = ()
    """Cells or ranges (`R1C1`, `R1C1:R2C3`) where no cabinet hangs."""


class Placement(Part):
    """One cabinet in its place, for a wall that is no plain grid."""

    position: str
    """Its name, `R1C1`: row and column from the front, from the top left."""
    type: Name
    """One of the cabinet types."""
    x_mm: Finite
    """Left edge, from the left edge of the wall."""
    y_mm: Finite
    """Upper edge, downwards from the upper edge of the wall."""
    x_px: Annotated[int, Field(ge=0, le=65_536, strict=True)]
    """First column of its picture on the canvas, from 0."""
    y_px: Annotated[int, Field(ge=0, le=65_536, strict=True)]
    """First row of its picture on the canvas, from 0."""
    rotation_deg: Literal[0, 90, 180, 270] = 0
    """How far it is turned."""


class Processor(Part):
    """The processor that drives the wall."""

    name: Name = "processor"
    """What it is called."""
    ports: Annotated[int, Field(ge=1, le=1024, strict=True)]
    """Output ports that it has, in use or not; of two processors those of both."""
    pixels_per_port: Annotated[int, Field(gt=0, le=100_000_000, strict=True)]
    """Pixels that one port carries at the depth and rate below."""
    load_rule: Literal["sum", "rectangle"] = "sum"
    """Whether a port carries the pixels of its cabinets, or the whole rectangle round them."""
    bits: Literal[8, 10, 12] = 8
    """Bits a colour."""
    frame_rate_hz: Positive = 60.0
    """Frame rate."""
    refresh_hz: Positive | None = None
    """Refresh rate of the LEDs."""


class Chain(Part):
    """One port in use and the cabinets that its data passes: `order`, or `block` and `pattern`."""

    port: Annotated[int, Field(ge=1, le=1024, strict=True)]
    """The port."""
    order: tuple[str, ...] | None = None
    """Every cabinet in the order the data passes it."""
    block: str | None = None
    """A range `R1C1:R3C12`, with `pattern` for the way through it."""
    pattern: str | None = None
    """Such as `rows, serpentine, from top left`."""
    backup_port: Annotated[int, Field(ge=1, le=1024, strict=True)] | None = None
    """The port that feeds the far end of the chain when the first way is lost."""


class Circuit(Part):
    """One circuit and the cabinets that it feeds."""

    name: Name
    """As on the panel."""
    phase: Phase
    """The phase that it is on."""
    voltage_v: Positive
    """Voltage at the cabinets."""
    breaker_a: Positive
    """Rated current of the breaker."""
    cable_mm2: Positive | None = None
    """Cross-section of its cable; or `cable_awg`."""
    cable_awg: Annotated[int, Field(ge=0, le=24, strict=True)] | None = None
    """Gauge of its cable; or `cable_mm2`."""
    length_m: Positive | None = None
    """Length of its cable, one way."""
    residual_ma: Positive | None = None
    """Rated residual current of the protective device, when one is fitted."""
    panel: Name | None = None
    """The panel that it comes from, and where that is."""
    cabinets: tuple[str, ...]
    """Cells or ranges that it feeds."""


class SuspensionPoint(Part):
    """One point that the wall hangs from."""

    name: Name
    """What it is called."""
    x_mm: Finite
    """From the left edge of the wall."""
    rated_kn: Positive
    """What the point may carry."""
    predicted_kn: NonNegative | None = None
    """From the structural engineer's calculation."""


class Input(Part):
    """One input and the signal that was agreed for it."""

    name: Name
    """What is plugged in."""
    connector: Name
    """Where, such as `HDMI 1`."""
    width_px: Pixels
    """Pixels across of the signal."""
    height_px: Pixels
    """Pixels down of the signal."""
    frame_rate_hz: Positive
    """Frame rate of the signal."""
    bits: Literal[8, 10, 12] = 8
    """Bits a colour."""
    chroma: Literal["4:4:4", "4:2:2", "4:2:0"] = "4:4:4"
    """Colour sampling."""
    quantization: Literal["full", "limited"] = "full"
    """Whether black is 0 or 16 of 255."""


def _as_shown(value: object, info: ValidationInfo) -> object:
    """Read a shutter that was written as the camera shows it: "1/50", "180°", "20 ms"."""
    if not isinstance(value, str):
        return value
    try:
        return parse_shutter_s(value, info.data.get("frame_rate_hz"))
    except ValueError:
        raise ValueError('a shutter such as "1/50", "180°" or "20 ms"') from None


class Camera(Part):
    """One camera that shoots the wall."""

    name: Name
    """What it is called."""
    distance_m: Positive
    """From the wall."""
    frame_rate_hz: Positive
    """Frame rate."""
    shutter_s: Annotated[
        float,
        BeforeValidator(_as_shown),
        Field(gt=0, le=1, allow_inf_nan=False, strict=True),
    ]
    """Exposure time in seconds, or in quotes as the camera shows it: "1/50", "180°"."""
    focal_length_mm: Positive | None = None
    """Focal length in use."""
    photosite_um: Positive | None = None
    """Pitch of the sensor's photosites; the picture that the camera gives out may have fewer columns."""
    sensor: Sensor = "colour mosaic"
    """Whether one sensor with a colour mosaic, or three sensors."""
    shutter: Literal["rolling", "global"] | None = None
    """Whether its lines are read one after the other or all at once."""
    readout_ms: Positive | None = None
    """Of a rolling shutter, from the first line to the last."""


class StagePosition(Part):
    """A place where somebody stands before the wall."""

    name: Name
    """What it is called."""


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
Feature = Literal[RoomFeature, "residual-current devices", "backup runs", "cameras"]
"""What a wall or its room has, has not, or is not known to have."""


class Room(Part):
    """What the wall and its room have. What no list names is a question, never a no."""

    features: tuple[Feature, ...] = ()
    """What is there."""
    without: tuple[Feature, ...] = ()
    """What is known not to be there."""
    not_known: tuple[Feature, ...] = ()
    """What was asked about and nobody knew; it stays on the list of what is to be settled."""
    light_states: tuple[Name, ...] = ()
    """States of the house's light in which the wall is used."""
    presets: tuple[Name, ...] = ()
    """Presets of the processor."""
    control_points: tuple[Name, ...] = ()
    """Places that the wall is controlled from."""
    sound_zones: tuple[Name, ...] = ()
    """Groups of loudspeakers with a delay of their own."""
    seats: tuple[Name, ...] = ()
    """Seats that are judged from."""


class SignalPart(Part):
    """Something on the signal path or the supply that more than one port may hang on."""

    name: Name
    """What it is called; `P1` is a port."""
    kind: Literal["processor", "port", "converter", "trunk", "switch", "supply", "source"]
    """What it is."""
    fed_by: tuple[Name, ...] = ()
    """Any one of these is enough."""
    powered_by: tuple[Name, ...] = ()
    """Any one of these supplies is enough."""


class Canvas(Part):
    """The canvas, where it is larger than the wall."""

    width_px: Pixels
    """Pixels across."""
    height_px: Pixels
    """Pixels down."""


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
    targets: Targets = Field(default_factory=Targets)
    stated: tuple[Stated, ...] = ()
