"""What follows from a wall file: figures, loads, and everything that does not fit together."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from commission_tui.engineering.power.circuits import (
    continuous_limit_a,
    current_a,
    leakage_limit_ma,
)
from commission_tui.engineering.power.conductors import voltage_drop_v
from commission_tui.engineering.power.heat import heat_btu_h, heat_tons
from commission_tui.engineering.power.phases import (
    NEUTRAL_RULES_ABOVE,
    PHASES,
    neutral_current_a,
    phase_imbalance,
)
from commission_tui.engineering.signal.data_link import SPARE_SHARE, load_rectangle, load_sum
from commission_tui.engineering.structure.geometry import Rectangle, aspect_text, pitch_mm
from commission_tui.engineering.viewing.camera import BEAT_HZ, frame_beat_hz
from commission_tui.engineering.viewing.viewing import arcmin, text_height_px
from commission_tui.errors import WallFileError
from commission_tui.text import NO_SOURCE, counted, listed
from commission_tui.wall.model.wall_model import ResolvedChain, ResolvedCircuit, Wall
from commission_tui.wall.review.document_figures import contradictions
from commission_tui.wall.review.findings import Finding
from commission_tui.wall.review.weight_review import weight_findings

_CONTINUOUS = f"{NO_SOURCE}: 80 % of the breaker for a load that runs for hours; local code decides"
_LEAKAGE = f"{NO_SOURCE}: 30 % of the rated residual current"
_CONTINUOUS_IN = {"US": "NEC 2020 (NFPA 70) 210.20(A): 80 % of the breaker for continuous load"}
_LEAKAGE_IN = {"GB": "BS 7671:2018 regulation 531.3.2: 30 % of the rated residual current"}
"""National codes, quoted only where they are in force."""
_DROP = "IEC 60364-5-52:2009 annex G (informative), table G.52.1: 5 % from the origin"
_HARMONICS = "IEC 60364-5-52:2009 annex E (normative), table E.52.1; the current is computed"
_IMBALANCE = 0.10
_DROP_SHARE = 0.05

CAUTION = (
    "Computed to warn, not to approve: suspension and electrical design belong to the competent "
    "person and the licensed electrician, under local codes."
)


@dataclass(frozen=True, slots=True)
class PortLoad:
    """Pixels on one port, counted both ways, against its capacity."""

    port: int
    cabinets: int
    sum_px: int
    rectangle_px: int
    capacity_px: int

    def share(self, rule: str) -> float:
        return (self.sum_px if rule == "sum" else self.rectangle_px) / self.capacity_px


@dataclass(frozen=True, slots=True)
class CircuitLoad:
    """Current of one circuit on full white against its breaker; drop and leakage where known."""

    name: str
    phase: str
    cabinets: int
    power_w: float
    current_a: float
    limit_a: float
    breaker_a: float
    drop_v: float | None
    voltage_v: float
    leakage_ma: float | None
    leakage_limit_ma: float | None


@dataclass(frozen=True)
class Review:
    """Everything that follows from a wall file."""

    name: str
    site: str
    width_mm: float
    height_mm: float
    width_px: int
    height_px: int
    lit_pixels: int
    pitches_mm: tuple[str, ...]
    viewing: tuple[str, ...]
    aspect: str
    cabinets: int
    cabinet_types: dict[str, int]
    weight_kg: float
    power_max_w: float
    power_typical_w: float | None
    heat_btu_h: float
    heat_tons: float
    load_rule: str
    ports: tuple[PortLoad, ...]
    circuits: tuple[CircuitLoad, ...]
    phase_currents_a: dict[str, float]
    neutral_a: float | None
    findings: tuple[Finding, ...]
    caution: str = CAUTION

    def lines(self) -> Iterator[str]:
        """Yield the review as text, findings last."""
        yield f"{self.site}, {self.name}: {counted(self.cabinets, 'cabinet')}"
        yield f"size       {self.width_mm:g} x {self.height_mm:g} mm"
        yield f"pixels     {self.width_px} x {self.height_px} ({self.lit_pixels} lit), aspect {self.aspect}"
        yield f"pitch      {'; '.join(self.pitches_mm)}"
        for line in self.viewing:
            yield f"viewing    {line}"
        yield f"weight     {self.weight_kg:g} kg"
        typical = f", typical {self.power_typical_w:g} W" if self.power_typical_w else ""
        yield f"power      {self.power_max_w:g} W at most{typical}"
        yield f"heat       {self.heat_btu_h:.0f} BTU/h, {self.heat_tons:.2f} tons at most"
        for port in self.ports:
            yield (
                f"port {port.port:<5} {counted(port.cabinets, 'cabinet')}, {port.sum_px} px by sum "
                f"({port.share('sum'):.0%}), {port.rectangle_px} px by rectangle "
                f"({port.share('rectangle'):.0%}) of {port.capacity_px}"
            )
        for c in self.circuits:
            drop = f", drop {c.drop_v:.1f} V ({c.drop_v / c.voltage_v:.1%})" if c.drop_v else ""
            yield (
                f"circuit {c.name} on {c.phase}: {counted(c.cabinets, 'cabinet')}, {c.current_a:.1f} A of "
                f"{c.limit_a:.1f} A continuous ({c.breaker_a:g} A breaker){drop}"
            )
        if self.neutral_a is not None:
            shown = ", ".join(f"{p} {a:.1f} A" for p, a in self.phase_currents_a.items())
            yield f"phases     {shown}; neutral {self.neutral_a:.1f} A without harmonics"
        yield ""
        for finding in self.findings:
            yield f"{finding.severity.upper()}: {finding.text} ({finding.source})"
        if not any(f.severity in ("contradiction", "overload") for f in self.findings):
            yield "no contradiction, no overload"
        yield self.caution


def review(wall: Wall) -> Review:
    """Work out what follows from a wall and find what does not fit together.

    Raises
    ------
    WallFileError
        When a figure of the file is outside what the computation takes.
    """
    try:
        return wall.once(_review)
    except ValueError as error:
        raise WallFileError(f"{wall.name}: {error}") from None


def _review(wall: Wall) -> Review:
    ports = tuple(_port(wall, chain) for chain in wall.chains)
    circuits = tuple(_circuit(wall, circuit) for circuit in wall.circuits)
    currents = _phase_currents(circuits)
    neutral = _neutral(circuits, currents)
    typical = [c.kind.power_typical_w for c in wall.cabinets.values()]
    findings = (
        *contradictions(wall),
        *_seat_findings(wall),
        *_level_findings(wall),
        *_port_findings(wall, ports),
        *_circuit_findings(wall, circuits),
        *_phase_findings(currents, neutral),
        *_harmonic_findings(currents, neutral),
        *_rate_findings(wall),
        *_input_findings(wall),
        *_camera_findings(wall),
        *_loose_ends(wall),
        *weight_findings(wall),
    )
    return Review(
        name=wall.name,
        site=wall.file.wall.site,
        width_mm=wall.width_mm,
        height_mm=wall.height_mm,
        width_px=wall.width_px,
        height_px=wall.height_px,
        lit_pixels=wall.lit_pixels,
        pitches_mm=_pitches(wall),
        viewing=tuple(_viewing(wall)),
        aspect=aspect_text(wall.width_px, wall.height_px),
        cabinets=len(wall.cabinets),
        cabinet_types=dict(Counter(c.type_name for c in wall.cabinets.values())),
        weight_kg=round(wall.weight_kg, 3),
        power_max_w=wall.power_max_w,
        power_typical_w=None if None in typical else math.fsum(w for w in typical if w),
        heat_btu_h=heat_btu_h(wall.power_max_w),
        heat_tons=heat_tons(wall.power_max_w),
        load_rule=wall.file.processor.load_rule,
        ports=ports,
        circuits=circuits,
        phase_currents_a=currents,
        neutral_a=neutral,
        findings=tuple(findings),
    )


def _pitches(wall: Wall) -> tuple[str, ...]:
    shown = []
    for name, kind in wall.file.cabinet_types.items():
        across = pitch_mm(kind.width_mm, kind.width_px)
        down = pitch_mm(kind.height_mm, kind.height_px)
        text = f"{kind.width_mm:g} / {kind.width_px} = {across:.4g} mm"
        if abs(across - down) > 1e-9:
            text += f" across, {kind.height_mm:g} / {kind.height_px} = {down:.4g} mm down"
        shown.append(f"{name}: {text}")
    return tuple(shown)


def _viewing(wall: Wall) -> Iterator[str]:
    """Say what the nearest and the farthest seat see, by the coarsest pitch of the wall."""
    kinds = wall.file.cabinet_types.values()
    pitch = max(pitch_mm(kind.width_mm, kind.width_px) for kind in kinds)
    targets = wall.file.targets
    if targets.nearest_m is not None:
        seen = arcmin(pitch, targets.nearest_m)
        yield f"nearest seat {targets.nearest_m:g} m: one pixel is {seen:.2f} arcmin"
    if targets.farthest_m is not None:
        text_px = text_height_px(pitch, targets.farthest_m)
        yield f"farthest seat {targets.farthest_m:g} m: capitals of at least {text_px} px (16 arcmin)"


def _port(wall: Wall, chain: ResolvedChain) -> PortLoad:
    cabinets = [wall.cabinets[cell] for cell in chain.cells]
    boxes = [Rectangle(c.x_px, c.y_px, c.width_px, c.height_px) for c in cabinets]
    capacity = wall.file.processor.pixels_per_port
    return PortLoad(chain.port, len(chain.cells), load_sum(boxes), load_rectangle(boxes), capacity)


def _circuit(wall: Wall, resolved: ResolvedCircuit) -> CircuitLoad:
    circuit = resolved.circuit
    kinds = [wall.cabinets[cell].kind for cell in resolved.cells]
    amps = math.fsum(current_a(k.power_max_w, circuit.voltage_v, k.power_factor) for k in kinds)
    leakages = [kind.leakage_ma for kind in kinds if kind.leakage_ma is not None]
    drop = None
    if circuit.length_m and (circuit.cable_mm2 or circuit.cable_awg is not None):
        drop = voltage_drop_v(
            amps, circuit.length_m, area_mm2=circuit.cable_mm2, awg=circuit.cable_awg
        )
    return CircuitLoad(
        name=circuit.name,
        phase=circuit.phase,
        cabinets=len(kinds),
        power_w=math.fsum(kind.power_max_w for kind in kinds),
        current_a=amps,
        limit_a=continuous_limit_a(circuit.breaker_a),
        breaker_a=circuit.breaker_a,
        drop_v=drop,
        voltage_v=circuit.voltage_v,
        leakage_ma=math.fsum(leakages) if leakages else None,
        leakage_limit_ma=leakage_limit_ma(circuit.residual_ma) if circuit.residual_ma else None,
    )


def _phase_currents(circuits: tuple[CircuitLoad, ...]) -> dict[str, float]:
    sums = dict.fromkeys(PHASES, 0.0)
    for circuit in circuits:
        sums[circuit.phase] += circuit.current_a
    return {phase: amps for phase, amps in sums.items() if amps}


def _neutral(circuits: tuple[CircuitLoad, ...], currents: dict[str, float]) -> float | None:
    if len(currents) < 2 or len({c.voltage_v for c in circuits}) != 1:
        return None
    return neutral_current_a([currents.get(phase, 0.0) for phase in PHASES])


def _port_findings(wall: Wall, ports: tuple[PortLoad, ...]) -> Iterator[Finding]:
    rule = wall.file.processor.load_rule
    other = "rectangle" if rule == "sum" else "sum"
    maker = f"processor's sheet: load by {rule}"
    for port in ports:
        subject, share = f"port {port.port}", port.share(rule)
        carries = f"Port {port.port} carries {port.share('sum'):.0%} by sum, "
        carries += f"{port.share('rectangle'):.0%} by rectangle"
        if share > 1:
            text = f"{carries} of {port.capacity_px} px: move cabinets to another port."
            yield Finding("overload", subject, text, maker)
        elif port.share(other) > 1:
            text = f"{carries}: it holds only if the processor counts by {rule}."
            yield Finding("warning", subject, text, maker)
        elif share > 1 - SPARE_SHARE:
            text = f"Port {port.port} is {share:.0%} full; keep {SPARE_SHARE:.0%} in hand."
            yield Finding("warning", subject, text, NO_SOURCE)


def _source_in(wall: Wall, codes: Mapping[str, str], elsewhere: str) -> str:
    """Return who says so where the wall stands."""
    return next((source for at, source in codes.items() if wall.file.wall.stands_in(at)), elsewhere)


def _circuit_findings(wall: Wall, circuits: tuple[CircuitLoad, ...]) -> Iterator[Finding]:
    for c in circuits:
        if c.current_a > c.limit_a:
            text = (
                f"Circuit {c.name} draws {c.current_a:.1f} A on full white "
                f"({counted(c.cabinets, 'cabinet')}), more than {c.limit_a:.1f} A continuous."
            )
            yield Finding("overload", c.name, text, _source_in(wall, _CONTINUOUS_IN, _CONTINUOUS))
        if c.leakage_ma and c.leakage_limit_ma and c.leakage_ma > c.leakage_limit_ma:
            text = (
                f"Circuit {c.name}: standing leakage {c.leakage_ma:.1f} mA is over "
                f"{c.leakage_limit_ma:.1f} mA; the residual device will open some mornings."
            )
            yield Finding("warning", c.name, text, _source_in(wall, _LEAKAGE_IN, _LEAKAGE))
        if c.drop_v and c.drop_v > _DROP_SHARE * c.voltage_v:
            lost = f"{c.drop_v:.1f} V ({c.drop_v / c.voltage_v:.1%}) lost in the cable."
            yield Finding("warning", c.name, f"Circuit {c.name}: {lost}", _DROP)


def _phase_findings(currents: dict[str, float], neutral: float | None) -> Iterator[Finding]:
    if neutral is None or len(currents) < 3:
        return
    imbalance = phase_imbalance([currents[phase] for phase in PHASES])
    if imbalance > _IMBALANCE:
        text = f"The phases differ by {imbalance:.0%} of their mean; the neutral carries {neutral:.1f} A."
        yield Finding("warning", "phases", text, f"{NO_SOURCE}: {_IMBALANCE:.0%}")


def _harmonic_findings(currents: dict[str, float], neutral: float | None) -> Iterator[Finding]:
    """Warn of third harmonics, which add up in the neutral: how many there are, no design says."""
    if neutral is None:
        return
    amps = [currents.get(phase, 0.0) for phase in PHASES]
    third = neutral_current_a(amps, NEUTRAL_RULES_ABOVE, true_rms=True)
    text = (
        f"The neutral's {neutral:.1f} A is without harmonics: third harmonics of the supplies add up in "
        f"it, and the power factor does not tell them. With {NEUTRAL_RULES_ABOVE:.0%} of them it carries "
        f"{third:.1f} A, and more than that chooses the cable by the neutral. Ask the maker, and have it "
        "read with a true-rms clamp."
    )
    yield Finding("warning", "neutral", text, _HARMONICS)


def _seat_findings(wall: Wall) -> Iterator[Finding]:
    nearest, farthest = wall.file.targets.nearest_m, wall.file.targets.farthest_m
    if nearest is not None and farthest is not None and nearest > farthest:
        text = f"The nearest seat, {nearest:g} m away, is behind the farthest, {farthest:g} m away."
        yield Finding("contradiction", "seats", text, "wall file")


def _level_findings(wall: Wall) -> Iterator[Finding]:
    house, white = wall.file.targets.house_level_cd_m2, wall.file.targets.luminance_cd_m2
    if house is not None and white is not None and house > white:
        text = (
            f"The house level, {house:g} cd/m2, is above the luminance of white at the highest level, "
            f"{white:g} cd/m2: ask which of them is meant otherwise."
        )
        yield Finding("warning", "house level", text, "wall file")


def _rate_findings(wall: Wall) -> Iterator[Finding]:
    rate, inputs = wall.file.processor.frame_rate_hz, wall.file.inputs
    if "frame_rate_hz" not in wall.file.processor.model_fields_set:
        text = (
            f"The wall file states no frame rate: what rests on it is worked out for {rate:g} Hz."
        )
        yield Finding("note", "frame rate", text, "wall file")
    elif inputs and all(item.frame_rate_hz != rate for item in inputs):
        rates = ", ".join(f"{item.frame_rate_hz:g}" for item in inputs)
        text = (
            f"The wall shows {rate:g} frames a second and no input has that rate ({rates}): frames of "
            "each are shown twice or left out. Run the wall at the rate of the main input."
        )
        yield Finding("warning", "frame rate", text, NO_SOURCE)


def _input_findings(wall: Wall) -> Iterator[Finding]:
    """Warn where no input has as many pixels as the canvas; of several one may well be scaled."""
    inputs = wall.file.inputs
    width, height = wall.width_px, wall.height_px
    if not inputs or any(one.width_px >= width and one.height_px >= height for one in inputs):
        return
    sizes = listed([f"{one.name} {one.width_px} x {one.height_px} px" for one in inputs], 4)
    text = (
        f"No input covers the canvas of {width} x {height} px ({sizes}): each is scaled, which softens "
        "it, or leaves LEDs dark, unless several are laid side by side."
    )
    yield Finding(
        "warning", "inputs", text, f"arithmetic on the wall file; of scaling, {NO_SOURCE}"
    )


def _camera_findings(wall: Wall) -> Iterator[Finding]:
    rate = wall.file.processor.frame_rate_hz
    for camera in wall.file.cameras:
        name, its_rate = camera.name, camera.frame_rate_hz
        beat = frame_beat_hz(its_rate, rate)
        if beat > BEAT_HZ:
            text = (
                f"{name} takes {its_rate:g} frames a second of a wall that shows {rate:g}: they beat "
                f"{beat:.3g} times a second. Run the wall at the cameras' rate."
            )
            yield Finding("warning", name, text, NO_SOURCE)
        if camera.shutter_s > (1 + 1e-9) / its_rate:
            shutter = f"a shutter of 1/{1 / camera.shutter_s:.4g} s"
            text = f"{name}: {shutter} is longer than its frame of 1/{its_rate:g} s."
            yield Finding("warning", name, text, "wall file")


def _loose_ends(wall: Wall) -> Iterator[Finding]:
    for what, of, there in (
        ("data chain", wall.chain_place, wall.chains),
        ("circuit", wall.circuit_of, wall.circuits),
    ):
        loose = [str(cell) for cell in wall.cabinets if of(cell) is None]
        if loose and there:
            yield Finding("warning", what, f"On no {what}: {listed(loose, 8)}.", "wall file")
        elif loose:
            yield Finding("note", what, f"The wall file names no {what}.", "wall file")
    alone = [f"P{chain.port}" for chain in wall.chains if not chain.backup_port]
    if alone and len(alone) < len(wall.chains):
        has = "has" if len(alone) == 1 else "have"
        text = f"{listed(alone, 8)} {has} no backup port, others have one."
        yield Finding("note", "backup run", text, "wall file")
