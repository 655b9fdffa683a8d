"""What `wall new` asks of a wall, in the order in which a technician has it at hand."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from commission_tui.cli.design.backup_answers import chains_named, room_for_backups
from commission_tui.errors import InputError
from commission_tui.wall.draft import typed_design as typed
from commission_tui.wall.draft.wall_draft import USUAL_ROUTE, least_port_px
from commission_tui.wall.model.time_zones import machine_zone, time_zone

Answers = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask; it is an option of the command as well."""

    key: str
    words: str
    read: Callable[[str], Any]
    example: str = ""
    standard: str | None = None
    """What Enter alone answers; None asks again."""
    when: Callable[[Answers], bool] = lambda _: True
    many: bool = False
    """Whether it is asked until Enter alone ends it."""
    doubt: Callable[[Answers, Any], str] = lambda _, _value: ""
    """What is odd about an answer beside those before it; it is asked about, and may be kept."""

    @property
    def option(self) -> str:
        return "--" + self.key.replace("_", "-")


def option_alone(_answers: Answers) -> bool:
    """Never: what is asked of nobody can be said by its option."""
    return False


_LONGEST_LINE = 200
"""Of a name in the logbook."""


def some_text(text: str) -> str:
    name = typed.a_name(text)
    if not name:
        raise InputError("found nothing, expected some text")
    if len(name) > _LONGEST_LINE:
        raise InputError(f"found {len(name)} characters, expected at most {_LONGEST_LINE}")
    return name


_SIZE = re.compile(r"[\d\s.,x×*]+")


def _no_name(_answers: Answers, name: str) -> str:
    """Ask about a name that looks like the answer to another question."""
    return f"{name!r} looks like a size, not a name; is it so?" if _SIZE.fullmatch(name) else ""


def _choice(words: tuple[str, ...], text: str) -> str:
    begun = [word for word in words if text.strip() and word.startswith(text.strip().lower())]
    if len(begun) != 1:
        raise InputError(f"found {text.strip()[:30]!r}, expected one of {', '.join(words)}")
    return begun[0]


_HUNG = (
    *(("hung", "flown"), ("hanging", "flown"), ("hangs", "flown"), ("suspended", "flown")),
    *(("rigged", "flown"), ("on a truss", "flown"), ("truss", "flown")),
    *(("ground-stacked", "stacked"), ("ground stacked", "stacked"), ("standing", "stacked")),
    *(("on a base", "stacked"), ("on the floor", "stacked"), ("free-standing", "stacked")),
    *(("wall mounted", "wall-mounted"), ("on the wall", "wall-mounted")),
    *(("fixed", "wall-mounted"), ("screwed to the wall", "wall-mounted")),
)
"""What people say of how a wall is held up, and the wall file's word for it."""


def _mounting(text: str) -> str:
    words = " ".join(text.lower().split())
    return dict(_HUNG).get(words) or _choice(("flown", "stacked", "wall-mounted"), text)


_ALIKE = 0.005
"""Of two pitches that count as one: cabinets are stated in whole pixels and round millimetres."""


def _unequal_pitch(answers: Answers, px: tuple[int, int]) -> str:
    """Say that the pixels of a cabinet lie farther apart one way than the other."""
    across, down = (mm / count for mm, count in zip(answers["cabinet_mm"], px, strict=True))
    if abs(across / down - 1) <= _ALIKE:
        return ""
    return (
        f"the pitch is {across:.4g} mm across and {down:.4g} mm down, which stretches every picture; "
        "is it so?"
    )


_FEW_MM = 20.0
"""No cabinet is so small, and nothing hangs so near to an edge (common practice, no published source)."""


def _in_metres(mm: float) -> str:
    """Ask about a length in mm that is more likely one in metres."""
    if not 0 < mm <= _FEW_MM:
        return ""
    return f"found {mm:g} mm; is it in mm? in metres it would be {mm * 1000:g} mm"


def _beyond_the_wall(answers: Answers, point: Mapping[str, Any]) -> str:
    """Say that a point hangs beside the wall, not over it, or at its very edge."""
    width = answers["grid"][0] * answers["cabinet_mm"][0]
    if 0 <= point["x_mm"] <= width:
        return _in_metres(point["x_mm"])
    return f"{point['x_mm']:g} mm is beyond the wall, which is {width:g} mm wide; is it so?"


def _less_than_a_cabinet(answers: Answers, pixels: int) -> str:
    """Refuse a port that does not carry one cabinet, at once and not after the last question."""
    across, down = answers["cabinet_px"]
    least = least_port_px(across * down)
    if pixels < least:
        raise InputError(
            f"found {pixels}, expected at least {least}: a cabinet has {across * down} px, and 5 % of "
            "a port is kept free"
        )
    return ""


def _before_the_nearest(answers: Answers, farthest: float | None) -> str:
    """Say that the farthest seat is nearer than the nearest."""
    nearest = answers.get("nearest_m")
    if nearest is None or farthest is None or nearest <= farthest:
        return ""
    return f"the farthest seat, {farthest:g} m, is before the nearest, {nearest:g} m; is it so?"


def _above_white(answers: Answers, house: float | None) -> str:
    """Say that the level that the house runs at is above the highest there is."""
    white = answers.get("luminance_cd_m2")
    if white is None or house is None or house <= white:
        return ""
    return f"the house level, {house:g} cd/m2, is above the white that was agreed, {white:g} cd/m2; is it so?"


def _positive(unit: str, text: str) -> float:
    value = typed.figure(text, unit)
    if value <= 0:
        raise InputError(f"found {text.strip()[:30]!r}, expected more than 0")
    return value


def _input_rates(answers: Answers) -> set[float]:
    return {listed["frame_rate_hz"] for listed in answers.get("input", ())}


def _no_input_s_rate(answers: Answers, rate: float) -> str:
    """Ask about a wall that runs at the rate of no input."""
    rates = _input_rates(answers)
    if not rates or rate in rates:
        return ""
    return f"no input has {rate:g} Hz, they have {', '.join(f'{one:g}' for one in sorted(rates))}; is it so?"


def _power_factor(text: str) -> float:
    value = _positive("", text)
    if value > 1:
        raise InputError(f"found {text.strip()[:30]!r}, expected more than 0 and at most 1")
    return value


def _perhaps(read: Callable[[str], Any], text: str) -> Any:
    return read(text) if text.strip() else None


_NOT_GB = {"UK": "GB"}


def _region(text: str) -> str | None:
    code = text.strip().upper()
    code = _NOT_GB.get(code, code)
    if code and not re.fullmatch(r"[A-Z]{2}(-[A-Z0-9]{1,3})?", code):
        raise InputError(
            f"found {text.strip()[:30]!r}, expected a country's code such as GB or US-NY"
        )
    return code or None


def _time_zone(text: str) -> str | None:
    try:
        return time_zone(text.strip()).key if text.strip() else machine_zone()
    except ValueError as error:
        raise InputError(str(error)) from None


def known(text: str) -> bool | None:
    """Read yes, no or not known."""
    word = text.strip().lower()
    if word in {"", "?", "not known", "unknown", "n/k"}:
        return None
    return _choice(("yes", "no"), word) == "yes"


_MANY_PORTS = 64


def _many_ports(_answers: Answers, ports: int) -> str:
    """Ask about a number of ports that looks like pixels per port."""
    return f"{ports} ports are many for one processor; is it so?" if ports > _MANY_PORTS else ""


def backups(text: str) -> bool | tuple[int, ...] | None:
    """Read yes, no or not known of all chains, or the chains that have a backup run by number."""
    try:
        return chains_named(text) or known(text)
    except InputError as error:
        raise InputError(f"{error}, or the chains that have one, such as 1, 3") from None


_MAINS_V = 90.0, 500.0
"""No supply of a wall has less or more between its conductors (common practice, no published source)."""


def _no_mains(_answers: Answers, volts: float) -> str:
    low, high = _MAINS_V
    if low <= volts <= high:
        return ""
    return f"found {volts:g} V; mains is {low:g} to {high:g} V; is it so?"


def _is(feature: str) -> Callable[[Answers], bool]:
    return lambda answers: answers.get(_feature_key(feature)) is True


def _feature_key(feature: str) -> str:
    return feature.replace(" ", "_").replace("-", "_")


def _feature(feature: str) -> Question:
    when = (lambda a: a.get("mounting") == "flown") if feature == "hoists" else (lambda _: True)
    return Question(
        _feature_key(feature), typed.FEATURES[feature], known, "y, n; not known: Enter", "", when
    )


def _target(
    key: str, words: str, unit: str, doubt: Callable[[Answers, Any], str] = lambda _, _value: ""
) -> Question:
    read = partial(_perhaps, typed.count if unit == "count" else partial(_positive, unit))
    return Question(key, f"{words} (none agreed: Enter)", read, standard="", doubt=doubt)


TARGETS = (
    _target("luminance_cd_m2", "Luminance of white that was agreed, cd/m2", "cd/m2"),
    _target("house_level_cd_m2", "Luminance at the house level, cd/m2", "cd/m2", _above_white),
    _target("nearest_m", "Nearest seat, m", "m"),
    _target("farthest_m", "Farthest seat, m", "m", _before_the_nearest),
    _target("pixel_faults_ppm", "Pixel faults allowed, in a million", "ppm"),
    _target("spare_modules", "Spare modules to be left", "count"),
)

QUESTIONS: tuple[Question, ...] = (
    Question("name", "Wall", some_text, "for example Main auditorium", doubt=_no_name),
    Question("site", "Site, the building", some_text, "for example Town Hall", doubt=_no_name),
    Question(
        "mounting", "Mounting", _mounting,
        "flown (hung), stacked or wall-mounted", "flown",
    ),
    Question("region", "Country, for the codes that hold there", _region, "GB, US-NY; none: Enter", ""),
    Question("grid", "Cabinets, across x down", partial(typed.two_whole, most=500), "for example 9 x 4"),
    Question("cabinet_mm", "Cabinet, mm", partial(typed.pair, unit="mm"), "for example 600x337,5 or 2 x 2 ft",
             doubt=lambda _, size: _in_metres(min(size))),
    Question("cabinet_px", "Cabinet, px", typed.whole_pair, "for example 200x200", doubt=_unequal_pitch),
    Question("modules", "Modules in a cabinet", partial(typed.two_whole, most=64), "for example 2x2", "1x1"),
    Question("weight_kg", "Weight of a cabinet, kg", partial(_positive, "kg"), "for example 8,4 or 18 lb"),
    Question("power_w", "Highest power of a cabinet, W", partial(_positive, "W"), "for example 170"),
    Question(
        "power_typical_w", "Usual power of a cabinet, W",
        partial(_perhaps, partial(_positive, "W")),
        "not stated: Enter", "",
    ),
    Question(
        "power_factor", "Power factor on full white", partial(_perhaps, _power_factor),
        "0.95; not stated: Enter, then 1 is counted with", "",
    ),
    Question("ports", "Ports of the processor", partial(typed.count, most=1024), "for example 16", doubt=_many_ports),
    Question(
        "pixels_per_port", "Pixels per port", typed.count, "for example 650k", doubt=_less_than_a_cabinet
    ),
    Question(
        "ports_in_use", "Ports in use", partial(_perhaps, partial(typed.count, most=1024)),
        "as few as carry it: Enter", "",
    ),
    Question(
        "route", "Way of the data, from the front", typed.route_words,
        "columns from bottom right; serpentine, unless you say: same way", USUAL_ROUTE,
    ),
    _feature("two processors"),
    Question(
        "backup_runs", typed.FEATURES["backup runs"], backups,
        "y, n, or the chains that have one: 1, 3; not known: Enter", "", doubt=room_for_backups,
    ),
    _feature("fibre"),
    Question("voltage", "Voltage, V", partial(_positive, "V"), standard="230", doubt=_no_mains),
    Question("breaker", "Breaker of a circuit, A", partial(_positive, "A"), standard="16"),
    Question("phases", "Phases", partial(typed.count, most=3), "1, 2 or 3", "3"),
    Question(
        "circuits", "Circuits", partial(_perhaps, partial(typed.count, most=1000)),
        "as few as carry it: Enter", "",
    ),
    _feature("residual-current devices"),
    Question(
        "residual_ma", "Their rated residual current, mA", partial(_positive, "mA"),
        standard="30", when=_is("residual-current devices"),
    ),
    _feature("two supplies"),
    _feature("hoists"),
    Question(
        "suspension_point", "Suspension point, from the left edge", typed.suspension_line,
        "H1, 250 mm, 5 kN; no more: Enter", "", lambda a: a.get("mounting") == "flown", many=True,
        doubt=_beyond_the_wall,
    ),
    Question(
        "input", "Input", typed.input_line, "Laptop, HDMI 1, 1920x1080, 60; no more: Enter", "",
        many=True,
    ),
    Question(
        "rate", "Frame rate that the wall runs at, Hz", partial(_positive, "Hz"),
        "for example 50", when=lambda answers: len(_input_rates(answers)) > 1, doubt=_no_input_s_rate,
    ),
    _feature("cameras"),
    Question(
        "camera", "Camera", typed.camera_line, "Camera 1, 18 m, 1/50, 50; no more: Enter", "",
        _is("cameras"), many=True,
    ),
    Question(
        "stage_position", "Stage position", typed.name_line, "Lectern; no more: Enter", "", many=True
    ),
    _feature("sound from picture"),
    _feature("daylight"),
    _feature("fire input"),
    *TARGETS,
    Question(
        "stated", "What a document states", typed.stated_line,
        "Tender, rev B, 6000x3000 mm, 2400x1200 px, pitch 2.5, 2:1; no more: Enter", "", many=True,
    ),
    Question(
        "units", "Units of the document", partial(_choice, ("metric", "us")),
        "metric on A4, or us on Letter", "metric",
    ),
    Question(
        "time_zone", "Time zone of the document's times", _time_zone,
        "Europe/London; that of this machine: Enter", "",
    ),
    Question(
        "load_rule", "Load of a port", partial(_choice, ("sum", "rectangle")), standard="sum",
        when=option_alone,
    ),
)  # fmt: skip
"""The last one is an option alone: it is asked of nobody."""


_SAID_OF = {
    "cabinet_types.A.module_columns": "modules",
    "cabinet_types.A.module_rows": "modules",
    "cabinet_types.A.width_mm": "cabinet_mm",
    "cabinet_types.A.height_mm": "cabinet_mm",
    "cabinet_types.A.width_px": "cabinet_px",
    "cabinet_types.A.height_px": "cabinet_px",
    "cabinet_types.A.power_max_w": "power_w",
    "processor.frame_rate_hz": "input",
    "circuits.breaker_a": "breaker",
    "circuits.voltage_v": "voltage",
    "suspension_points": "suspension_point",
    "inputs": "input",
    "cameras": "camera",
    "stage_positions": "stage_position",
}
"""What a refusal of the whole names, where that is not the question's own key."""


def about(refusal: str) -> Question | None:
    """Return the question that a refusal of the whole file is about, by what stands before its colon."""
    where = re.sub(r"\[\d+\]", "", refusal.removeprefix("wall new: ").split(":")[0])
    own = {question.key: question for question in QUESTIONS if question.when is not option_alone}
    for named, key in _SAID_OF.items():
        if where == named or where.startswith(f"{named}."):
            return own[key]
    return own.get(where.rsplit(".", 1)[-1].replace(" ", "_"))


def frame_rate_hz(answers: Answers) -> float | None:
    """Return the wall's frame rate: as said, else the one that every input has; None where neither is."""
    stated: float | None = answers["rate"]
    return next(iter(_input_rates(answers)), None) if stated is None else stated


def settled(answers: Answers) -> dict[str, bool | None]:
    """Return feature to whether it is there, as answered; what was not asked is not known."""
    return {
        feature: there if (there := answers.get(_feature_key(feature))) is None else bool(there)
        for feature in typed.FEATURES
        if feature != "hoists" or answers.get("mounting") == "flown"
    }
