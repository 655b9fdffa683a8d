"""What documents state, held against what the cabinets say."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from commission_tui.engineering.structure.geometry import aspect_text, nearest_layouts, pitch_mm
from commission_tui.engineering.structure.stated_figures import reconcile, stated_pitch_matches
from commission_tui.text import NO_SOURCE, counted
from commission_tui.wall.model.contract_model import Stated
from commission_tui.wall.model.file_model import CabinetType
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.findings import Finding

_ARITHMETIC = "arithmetic on the cabinets of the wall file"
_ROUNDING = 0.005
"""Share by which a printed aspect may differ from the exact one: half the last digit of '1.78:1'."""
_JOINT_MM = 1.0
"""What each joint may add; common practice, no published source."""


def contradictions(wall: Wall) -> list[Finding]:
    """Return every contradiction between a document, the cabinets and the other documents."""
    documents = wall.file.stated
    return [
        *(finding for stated in documents for finding in _of_document(wall, stated)),
        *_of_views(documents),
        *_between(documents),
    ]


def document_name(stated: Stated) -> str:
    return f"{stated.document} {stated.revision}" if stated.revision else stated.document


def _of_document(wall: Wall, stated: Stated) -> Iterator[Finding]:
    name = document_name(stated)
    for says in (
        *_of_axis(wall, stated, "width"),
        *_of_axis(wall, stated, "height"),
        *_of_aspect(wall, stated),
    ):
        yield Finding("contradiction", name, name + says, _ARITHMETIC)
    if stated.weight_kg and abs(stated.weight_kg - wall.weight_kg) > 0.02 * wall.weight_kg:
        text = f"{name} states {stated.weight_kg:g} kg; the cabinets weigh {wall.weight_kg:g} kg."
        yield Finding("contradiction", name, text, f"{_ARITHMETIC}; 2 % allowed, {NO_SOURCE}")


def _of_axis(wall: Wall, stated: Stated, axis: str) -> Iterator[str]:
    """Yield what is wrong along one axis, to stand after the document's name."""
    size = getattr(stated, f"{axis}_mm")
    pixels = getattr(stated, f"{axis}_px")
    if size is None and pixels is None and (stated.pitch_mm is None or axis == "height"):
        return
    kind = _one_type(wall)
    if kind is None:
        yield from _of_mixed(wall, stated, axis)
        return
    cabinet_mm, cabinet_px = getattr(kind, f"{axis}_mm"), getattr(kind, f"{axis}_px")
    alone = size is None and pixels is None
    built = wall.columns if axis == "width" else wall.rows
    result = reconcile(
        size, stated.pitch_mm, pixels, cabinet_mm, cabinet_px, cabinets=built if alone else None
    )
    # The pitch is stated once for both axes and said once, with the width.
    odd = {
        figure: reason
        for figure, reason in zip(result.odd, result.reasons, strict=True)
        if not (figure == "pitch" and axis == "height" and _pitch_is_said(stated, kind))
    }
    cabinets = counted(result.cabinets, "cabinet")
    if odd:
        yield (
            f", {axis}: the {' and '.join(odd)} cannot be true: {'; '.join(odd.values())}."
            f"{_product_text(stated, size, pixels)} {cabinets}: {result.size_mm:g} mm, "
            f"{result.pixels} px at {result.pitch_mm:.4g} mm."
        ) + (_layouts_text(stated, kind) if {"size", "pixels"} & odd.keys() else "")
    elif result.cabinets != built:
        yield (
            f" states a {axis} of {cabinets} ({result.size_mm:g} mm, {result.pixels} px); "
            f"the wall file has {built} ({built * cabinet_mm:g} mm)."
        )


def _pitch_is_said(stated: Stated, kind: CabinetType) -> bool:
    square = kind.width_mm * kind.height_px == kind.height_mm * kind.width_px
    return square and (stated.width_mm is not None or stated.width_px is not None)


def _one_type(wall: Wall) -> CabinetType | None:
    """Return the type that alone, unturned, makes up the wall from edge to edge.

    Places left empty do not matter as long as the columns and rows have their own width and height.
    """
    kinds = {(c.type_name, c.rotation_deg % 180) for c in wall.cabinets.values()}
    first = next(iter(wall.cabinets.values()))
    if len(kinds) != 1 or first.rotation_deg % 180:
        return None
    kind = first.kind
    right = max(c.x_px + c.width_px for c in wall.cabinets.values())
    bottom = max(c.y_px + c.height_px for c in wall.cabinets.values())
    in_px = (right, bottom) == (wall.columns * kind.width_px, wall.rows * kind.height_px)
    across = abs(wall.width_mm - wall.columns * kind.width_mm) <= wall.columns * _JOINT_MM
    down = abs(wall.height_mm - wall.rows * kind.height_mm) <= wall.rows * _JOINT_MM
    return kind if in_px and across and down else None


def _product_text(stated: Stated, size: float | None, pixels: int | None) -> str:
    if size is None or pixels is None or stated.pitch_mm is None:
        return ""
    product = float(stated.pitch_mm) * pixels
    if abs(product - size) < 1:
        return ""
    return f" {stated.pitch_mm} mm x {pixels} px is {product:g} mm, stated is {size:g} mm."


def _layouts_text(stated: Stated, kind: CabinetType) -> str:
    """Name the whole-cabinet layouts nearest to what the document wants."""
    across = {"width_px": stated.width_px} if stated.width_px else {"width_mm": stated.width_mm}
    down = {"height_px": stated.height_px} if stated.height_px else {"height_mm": stated.height_mm}
    if None in (*across.values(), *down.values()):
        return ""
    layouts = nearest_layouts(
        cabinet_width_mm=kind.width_mm,
        cabinet_height_mm=kind.height_mm,
        cabinet_width_px=kind.width_px,
        cabinet_height_px=kind.height_px,
        count=2,
        **across,
        **down,
    )
    listed = " or ".join(
        f"{x.columns} x {x.rows} cabinets{' turned' if x.turned else ''} "
        f"({x.width_px} x {x.height_px} px, {x.width_mm:g} x {x.height_mm:g} mm)"
        for x in layouts
    )
    return f" Nearest whole-cabinet layouts: {listed}."


def _of_mixed(wall: Wall, stated: Stated, axis: str) -> Iterator[str]:
    """Hold a document against a wall of mixed or spaced cabinets: totals, and each one's pitch."""
    if axis == "width" and stated.pitch_mm is not None:
        pitches = {pitch_mm(c.width_mm, c.width_px) for c in wall.cabinets.values()}
        if not any(stated_pitch_matches(stated.pitch_mm, None, pitch) for pitch in pitches):
            exact = ", ".join(f"{pitch:.4g} mm" for pitch in sorted(pitches))
            yield f" states a pitch of {stated.pitch_mm} mm; the cabinets have {exact}."
    joints_mm = max(wall.columns, wall.rows) * _JOINT_MM
    for unit, tolerance in (("mm", joints_mm), ("px", 0.0)):
        size, built = getattr(stated, f"{axis}_{unit}"), getattr(wall, f"{axis}_{unit}")
        if size is not None and abs(size - built) > tolerance:
            yield f" states a {axis} of {size:g} {unit}; the cabinets give {built:g} {unit}."


def _of_aspect(wall: Wall, stated: Stated) -> Iterator[str]:
    if stated.aspect is None:
        return
    across, _, down = stated.aspect.partition(":")
    ratio = float(across) / float(down) if float(down) else 0.0
    built = wall.width_px / wall.height_px
    decimals = len(across.partition(".")[2])
    last_digit = 0.5 * 10.0**-decimals if decimals and float(down) == 1 else 0.0
    if abs(ratio - built) > max(_ROUNDING * built, last_digit):
        yield (
            f" states an aspect ratio of {stated.aspect}; the canvas of {wall.width_px} x "
            f"{wall.height_px} px is {aspect_text(wall.width_px, wall.height_px)}. "
            "Content made for the stated one will be scaled or cut."
        )


def _of_views(documents: tuple[Stated, ...]) -> Iterator[Finding]:
    """Point out plans drawn from behind; a mirrored plan is the dearest mistake in cabling."""
    views = {stated.view for stated in documents if stated.view}
    also = ", others from the front" if "front" in views else ""
    for name in (document_name(stated) for stated in documents if stated.view == "rear"):
        text = f"{name} is drawn from the rear{also}: mirror it before it is held against the wall."
        yield Finding("warning", name, text, NO_SOURCE)


_FIGURES = {
    "width_mm": ("width", " mm"),
    "height_mm": ("height", " mm"),
    "pitch_mm": ("pitch", " mm"),
    "width_px": ("width", " px"),
    "height_px": ("height", " px"),
    "aspect": ("aspect ratio", ""),
    "weight_kg": ("weight", " kg"),
}


def _between(documents: tuple[Stated, ...]) -> Iterator[Finding]:
    """Say which documents differ among themselves; the one that is wrong is told elsewhere."""
    for field, (figure, unit) in _FIGURES.items():
        statements = [
            (document, value) for document in documents if (value := getattr(document, field))
        ]
        if any(not _agree(field, statements[0][1], value) for _, value in statements[1:]):
            each = ", ".join(f"{document_name(d)} {_shown(value)}{unit}" for d, value in statements)
            text = f"The documents differ on the {figure}: {each}."
            yield Finding("note", figure, text, "documents")


def _agree(field: str, one: Any, other: Any) -> bool:
    if field == "pitch_mm":
        short, long = sorted((one, other), key=len)
        return stated_pitch_matches(short, None, float(long))
    if field == "aspect":
        first, second = (float(a) / float(b) for a, b in (x.split(":") for x in (one, other)))
        return abs(first - second) <= _ROUNDING * first
    return bool(one == other)


def _shown(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
