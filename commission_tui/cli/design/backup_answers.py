"""Which chains of a wall have a backup run, as it is typed, and whether the processor has ports for them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from commission_tui.errors import InputError
from commission_tui.wall.draft import typed_design as typed
from commission_tui.wall.draft.wall_draft import least_ports

_CHAINS = re.compile(
    r"(?:(?:yes|only|one|two|three|four|to|of|and|the|chains?|ports?|p|\d+|[,:&+])\s*)+"
)


def chains_named(text: str) -> tuple[int, ...]:
    """Read ``1, 3`` or ``one, to chain 1``; nothing where no chain is named."""
    word = text.strip().lower()
    numbers = re.findall(r"\d+", word)
    if not numbers or not _CHAINS.fullmatch(word):
        return ()
    return tuple(sorted({typed.count(number, most=1024) for number in numbers}))


def room_for_backups(answers: Mapping[str, Any], said: bool | tuple[int, ...] | None) -> str:
    """Refuse more backup runs than the processor has ports left, where they are asked for.

    Raises
    ------
    InputError
        When there are not as many ports, or no such chain.
    """
    if not said:
        return ""
    used = answers["ports_in_use"] or least_ports(
        answers["grid"],
        answers["cabinet_px"],
        answers["pixels_per_port"],
        answers["route"],
        answers.get("load_rule") or "sum",
    )
    chains = said if isinstance(said, tuple) else tuple(range(1, used + 1))
    if chains[-1] > used:
        raise InputError(f"found chain {chains[-1]}, expected chains from 1 to {used}")
    ports = answers["ports"]
    if answers.get("two_processors"):
        if len(chains) > ports >= used:
            raise InputError(
                f"{len(chains)} ports are wanted for backups, and the second processor has {ports}; "
                "expected n, or the chains that have one, such as 1"
            )
        return ""
    wanted = used + len(chains)
    if wanted > ports >= used:
        raise InputError(
            f"{used} ports are in use, with {len(chains)} for backups it is {wanted}, and the processor "
            f"has {ports}; expected n, or the chains that have one, such as 1"
        )
    return ""
