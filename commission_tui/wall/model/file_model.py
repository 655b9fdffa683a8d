"""The wall file as written: one TOML document, checked key by key.

What the keys mean is in the field descriptions; `read_wall` in ``reading.py`` turns a file into a
`Wall`, which is what the rest of the house uses.
"""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationInfo,
)

from commission_tui.engineering.colour.colorimetry import is_light
from commission_tui.engineering.viewing.camera import Sensor, parse_shutter_s
from commission_tui.text import NO_CONTROLS_IN_LINE
from commission_tui.wall.model.time_zones import time_zone

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
Region = Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}(-[A-Z0-9]{1,3})?$")]
"""A country or one of its parts, as ISO 3166-1 alpha-2 and ISO 3166-2 code them."""


def _zone(key: str) -> str:
    return str(time_zone(key).key)


Zone = Annotated[str, AfterValidator(_zone)]
"""A time zone of the IANA database."""


class Part(BaseModel):
    """Base of every table of the file: nothing unknown, nothing changed afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


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
    """Output ports that it has, in use or not."""
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


def _of_light(white_y: float, info: ValidationInfo) -> float:
    white_x = info.data.get("white_x")
    if white_x is not None and not is_light(white_x, white_y):
        raise ValueError(f"a colour that light can have together with white_x = {white_x:g}")
    return white_y


class Targets(Part):
    """What the contract asks; each that stands here replaces the limit that comes with the program."""

    luminance_cd_m2: Positive | None = None
    """Luminance of full white at the highest level."""
    house_level_cd_m2: Positive | None = None
    """Luminance of full white at the level the house runs at."""
    white_x: Annotated[float, Field(gt=0, lt=0.8, allow_inf_nan=False, strict=True)] = 0.3127
    """White point, x."""
    white_y: Annotated[
        float, Field(gt=0, lt=0.9, allow_inf_nan=False, strict=True), AfterValidator(_of_light)
    ] = 0.3290
    """White point, y."""
    grey_exponent: Annotated[float, Field(ge=1, le=3.5, allow_inf_nan=False, strict=True)] = 2.2
    """Exponent of the grey curve."""
    nearest_m: Positive | None = None
    """Distance of the nearest seat."""
    farthest_m: Positive | None = None
    """Distance of the farthest seat."""
    pixel_faults_ppm: NonNegative | None = None
    """Faulty pixels that are allowed, in a million."""
    spare_modules: Annotated[int, Field(ge=0, le=100_000, strict=True)] | None = None
    """Spare modules to be left at the site."""
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
    """The document."""
    revision: Name | None = None
    """Its revision."""
    width_mm: Positive | None = None
    """Width of the wall."""
    height_mm: Positive | None = None
    """Height of the wall."""
    pitch_mm: Annotated[str, Field(pattern=r"^\d{1,3}(\.\d{1,4})?$")] | None = None
    """As printed, in quotes, since the number of decimals tells rounding from truncation."""
    width_px: Pixels | None = None
    """Pixels across."""
    height_px: Pixels | None = None
    """Pixels down."""
    aspect: Annotated[str, Field(pattern=r"^\d{1,5}(\.\d{1,4})?:\d{1,5}(\.\d{1,4})?$")] | None = (
        None
    )
    """As printed, in quotes, such as `16:9`."""
    weight_kg: Positive | None = None
    """Weight of the wall."""
    view: Literal["front", "rear"] | None = None
    """The side that its drawing shows."""


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
