"""The tables of the wall file that say what was agreed: targets of the contract, statements of documents."""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, ValidationInfo

from commission_tui.engineering.colour.colorimetry import D65_XY, is_light
from commission_tui.wall.model.file_values import Name, NonNegative, Part, Pixels, Positive


def _of_light(white_y: float, info: ValidationInfo) -> float:
    white_x = info.data.get("white_x")
    if white_x is not None and not is_light(white_x, white_y):
        raise ValueError(f"a colour that light can have together with white_x = {white_x:g}")
    return white_y


class Targets(Part):
    """What the contract asks; each that stands here replaces the limit that comes with the program."""

    luminance_cd_m2: Positive | None = Field(None, title="luminance")
    """Luminance of full white at the highest level."""
    house_level_cd_m2: Positive | None = Field(None, title="luminance at the house level")
    """Luminance of full white at the level the house runs at."""
    white_x: Annotated[float, Field(gt=0, lt=0.8, allow_inf_nan=False, strict=True)] = Field(
        D65_XY[0], title="white point x"
    )
    """White point, x."""
    white_y: Annotated[
        float, Field(gt=0, lt=0.9, allow_inf_nan=False, strict=True), AfterValidator(_of_light)
    ] = Field(D65_XY[1], title="white point y")
    """White point, y."""
    grey_exponent: Annotated[float, Field(ge=1, le=3.5, allow_inf_nan=False, strict=True)] = Field(
        2.2, title="exponent of the grey scale"
    )
    """Exponent of the grey curve."""
    nearest_m: Positive | None = Field(None, title="nearest seat")
    """Distance of the nearest seat."""
    farthest_m: Positive | None = Field(None, title="farthest seat")
    """Distance of the farthest seat."""
    pixel_faults_ppm: NonNegative | None = Field(None, title="pixel faults")
    """Faulty pixels that are allowed, in a million."""
    spare_modules: Annotated[int, Field(ge=0, le=100_000, strict=True)] | None = Field(
        None, title="spare modules"
    )
    """Spare modules to be left at the site."""
    single_failure_cabinets: Annotated[int, Field(ge=0, le=100_000, strict=True)] | None = Field(
        None, title="cabinets dark after one failure"
    )
    """The most cabinets that may go dark from one failure."""
    bt709_coverage_percent: (
        Annotated[float, Field(gt=0, le=100, allow_inf_nan=False, strict=True)] | None
    ) = Field(None, title="coverage of the BT.709 gamut")
    """Share of the BT.709 gamut, in u'v', that the primaries must reach."""
    presenter_lx: Positive | None = Field(None, title="light on the presenter's face")
    """Vertical illuminance on a face that the light plan promises."""
    contrast: Annotated[float, Field(gt=1, le=1e6, allow_inf_nan=False, strict=True)] | None = (
        Field(None, title="contrast ratio")
    )
    """Least contrast in the lit room, as seen from the seats."""
    latency_ms: Positive | None = Field(None, title="latency from camera to wall")
    """From the camera to the wall."""
    noise_dba: Positive | None = Field(None, title="sound level of the wall")
    """Of the wall alone at the nearest seat."""
    air_handling_kw: Positive | None = Field(None, title="heat that the air handling carries")
    """Heat that the air handling was designed to carry off."""

    @classmethod
    def label(cls, key: str) -> str:
        """Return what people call a target, without its unit."""
        return cls.model_fields[key].title or key


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
