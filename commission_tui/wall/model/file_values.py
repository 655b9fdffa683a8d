"""What the tables of the wall file are made of: kinds of value, checked as strictly as TOML tells them apart."""

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

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
