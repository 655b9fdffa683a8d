"""The words that a checklist may use: units, roles and hazards, settings that results rest on, what a check needs.

Every check of a role fills its part, in the order of the checklist; `mapping`, of which a job has
one, is the first. A check that replaces another has its role, unless it names one of its own.
Settings and needs are common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

FIELD_UNITS = frozenset(
    {
        *("", "count", "code", "grade", "%", "ppm", "m", "mm", "mm/m", "deg", "arcmin", "mm²"),
        *("cd/m2", "lx", "K", "mired", "xy", "stops", "IRE", "px", "px/s", "dB", "dBA", "dBm"),
        *("h", "min", "s", "ms", "µs", "Hz", "kHz", "MHz", "°C", "kg", "N", "kN", "N·m"),
        *("V", "mV", "A", "mA", "kA", "ohm", "mΩ", "MΩ", "W", "kW", "VA", "kVA", "Wh", "kWh"),
    }
)
"""What a field or a limit may be in. Values are typed in any unit of the same quantity that
`engineering.numeric.units` knows; what no quantity in a unit can be is in `physical_bounds`."""

MAPPING = "mapping"
MAPPING_METHOD = "cabinet_mapping"
"""What judges a check of that role, with the fields that the mapping screen writes."""

ROLES: Mapping[str, str] = {
    "backups": "the settings that were saved and restored",
    "blackout": "the operator's card: how to go black and back",
    "certificate": "certificates from third parties, with who recorded them",
    "clip": "the content specification: the client's clip as played",
    "delays": "the content specification: delays set in the sound system",
    "exceptions": "the exceptions as they were read aloud",
    "failure": "single failures as tried, with their photos",
    "levels": "the operator's card: levels of the light states",
    MAPPING: "the mapping screen; while it fails, the plan puts off what rests on the mapping",
    "metering": "how the luminance meter was used",
    "spares": "spares as counted, and how long they last",
    "start-up": "the operator's card: switching on and off",
    "warranty": "the warranty as it runs",
}
"""Role to what its checks fill."""

HAZARDS: Mapping[str, str] = {
    "mains": "A record of a licensed electrician's work, no approval of the installation.",
    "suspension": "A record of the competent person's work, no approval of the suspension.",
}
"""What people can be hurt by in a stage, and the caution that its results bear.

What blocks acceptance in such a stage comes first in every plan.
"""
Setting = Literal[
    "brightness level",
    "card programme",
    "card firmware",
    "processor firmware",
    "correction data",
    "white point and colour",
    "grey curve",
    "refresh or bit depth",
    "mapping",
    "cabling",
    "circuit wiring",
    "preset",
    "input format",
    "genlock",
    "light state",
    "front light",
    "sound delay",
    "video path",
    "start-up and schedule",
    "rights",
    "suspension",
    "alignment",
    "cabinet",
    "module",
    "receiving card",
    "power supply",
]
"""What can be changed after a result was taken; the last four are parts that can be exchanged."""

Need = Literal[
    "power on",
    "house dark",
    "house quiet",
    "lift",
    "rear access",
    "lighting operator",
    "camera operator",
    "sound operator",
    "client",
    "competent person",
    "licensed electrician",
    "second person",
    "sources",
    "a day or more",
]
"""What must be there for a check; the plan for the remaining time leaves out what is not."""
