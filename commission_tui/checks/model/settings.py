"""The settings that a result can rest on, and what a check needs to be done.

(Common practice, no published source.)
"""

from __future__ import annotations

from typing import Literal

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
