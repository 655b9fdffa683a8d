"""The computations asked for most, under a short name with all of what one wants to know."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from typing import Any

import click

from commission_tui.cli.options import Measured, json_option
from commission_tui.cli.output import answer, jsonable
from commission_tui.errors import InputError
from commission_tui.text import counted, quoted


def _numbers(
    _ctx: click.Context, param: click.Parameter, value: str | None
) -> tuple[float, ...] | None:
    if value is None:
        return None
    try:
        return tuple(float(item) for item in value.split(","))
    except ValueError:
        raise InputError(
            f"--{(param.name or '').replace('_', '-')}: found {quoted(value)}, expected numbers 1,2,3"
        ) from None


def figure_text(value: Any) -> str:
    """Return a result, or several of them, as a person reads it: six figures at most."""
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, list):
        return ", ".join(figure_text(item) for item in value)
    if isinstance(value, dict):
        return " ".join(f"{key} {figure_text(item)}" for key, item in value.items())
    return "none" if value is None else str(value)


def _shortcut(figures: Callable[..., Mapping[str, Any]]) -> click.Command:
    """Make a command of a function that returns figures by name, or refuses what it is given."""

    @wraps(figures)
    def command(**given: Any) -> None:
        try:
            found = figures(**given)
        except ValueError as error:
            raise InputError(str(error)) from None
        answer(found, *(f"{name}: {figure_text(value)}" for name, value in found.items()))

    made = click.command()(json_option(command))
    made.params.append(made.params.pop(0))  # --json stands last
    return made


@_shortcut
@click.option("--x", type=Measured(), required=True)
@click.option("--y", type=Measured(), required=True)
def white(x: float, y: float) -> Mapping[str, Any]:
    """Colour temperature, distance from the black body and u', v' of a white."""
    from commission_tui.engineering.colour.colorimetry import cct_duv_ohno, xy_to_uv_prime

    found = cct_duv_ohno(x, y)
    u_prime, v_prime = xy_to_uv_prime(x, y)
    return {"cct_k": found.cct_k, "duv": found.duv, "u_prime": u_prime, "v_prime": v_prime}


@_shortcut
@click.option("--amps", callback=_numbers, required=True, help="Of the three phases: 20,15,10.")
@click.option("--third-harmonic-share", type=Measured(), default=0.0, show_default=True)
def neutral(amps: tuple[float, ...], third_harmonic_share: float) -> Mapping[str, Any]:
    """Give the current in the neutral of three phases, and how far they differ."""
    from commission_tui.engineering.power.phases import neutral_current_a, phase_imbalance

    return {
        "neutral_a": neutral_current_a(amps, third_harmonic_share),
        "imbalance": phase_imbalance(amps),
    }


@_shortcut
@click.option("--refresh-hz", type=Measured("Hz"), required=True)
@click.option(
    "--rate",
    "frame_rate_hz",
    type=Measured("Hz"),
    required=True,
    help="Frames per second.",
)
@click.option(
    "--shutter", "opened", help="As the camera shows it: 1/50, 180°, '20 ms'. Default: one frame."
)
@click.option(
    "--global", "is_global", is_flag=True, help="A global shutter: it flickers, not bands."
)
def shutter(
    refresh_hz: float, frame_rate_hz: float, opened: str | None, is_global: bool
) -> Mapping[str, Any]:
    """Count the refreshes in one exposure, with bands to expect and clean shutters near it."""
    from commission_tui.engineering.numeric.bounds import Range
    from commission_tui.engineering.viewing import camera

    frame_s = 1 / Range("Hz", above=0, most=1e6).figure("--rate", frame_rate_hz)
    wanted = frame_s if opened is None else camera.parse_shutter_s(opened, frame_rate_hz)
    Range("s", most=frame_s * (1 + 1e-9)).figure("--shutter", wanted)
    contrast = (
        {"flicker_contrast": camera.flicker_contrast(wanted, refresh_hz, frame_rate_hz)}
        if is_global
        else {"band_contrast": camera.band_contrast(wanted, refresh_hz)}
    )
    clean = camera.clean_shutters(refresh_hz, wanted, longest_s=frame_s)
    return {
        "shutter_s": wanted,
        "refreshes": camera.refreshes_per_exposure(wanted, refresh_hz),
        **contrast,
        "clean_shutters_s": [item.shutter_s for item in clean],
    }


@_shortcut
@click.option("--distance-m", type=Measured("m"), required=True)
@click.option("--pitch-mm", type=Measured("mm"), required=True)
def text(distance_m: float, pitch_mm: float) -> Mapping[str, Any]:
    """Smallest capital letter, in pixels, that the farthest seat can read."""
    from commission_tui.engineering.viewing.viewing import arcmin, element_height_px, text_height_px

    return {
        "text_px": text_height_px(pitch_mm, distance_m),
        "basic_decision_px": element_height_px(distance_m, pitch_mm),
        "arcmin_per_px": arcmin(pitch_mm, distance_m),
    }


@_shortcut
@click.option("--width", type=int, required=True)
@click.option("--height", type=int, required=True)
@click.option("--rate", type=Measured("Hz"), required=True, help="Frames per second.")
@click.option(
    "--blanking", type=click.Choice(["cvt", "rb1", "rb2"]), default="rb1", show_default=True
)
def timing(width: int, height: int, rate: float, blanking: Any) -> Mapping[str, Any]:
    """Work out the video timing of a canvas, and the cheapest link that carries it."""
    from commission_tui.engineering.signal.link_budget import advise_link
    from commission_tui.engineering.signal.video_timing import cvt_timing

    found = cvt_timing(width, height, rate, blanking)
    cheapest = advise_link(width, height, rate).cheapest
    return {
        "pixel_clock_mhz": found.pixel_clock_mhz,
        "h_total": found.h_total,
        "v_total": found.v_total,
        "refresh_hz": found.refresh_hz,
        "cheapest_link": f"{cheapest.link.name}, {cheapest.format_name}" if cheapest else None,
    }


@_shortcut
@click.option("--spans-m", callback=_numbers, required=True, help="Such as 3,3,4.")
@click.option("--load-kn-per-m", type=Measured("kN/m"), required=True)
@click.option("--overhang-m", callback=_numbers, help="Left and right, such as 0.5,0.5.")
def beam(
    spans_m: tuple[float, ...],
    load_kn_per_m: float,
    overhang_m: tuple[float, ...] | None,
) -> Mapping[str, Any]:
    """Compute what each support of a continuous beam carries; it warns, it approves nothing."""
    from commission_tui.engineering.structure.suspension import beam_reactions_kn

    ends = overhang_m or (0.0, 0.0)
    if len(ends) != 2:
        raise InputError(
            f"--overhang-m: found {counted(len(ends), 'number')}, expected two: left,right"
        )
    found = beam_reactions_kn(spans_m, load_kn_per_m, (ends[0], ends[1]))
    return dict(jsonable(found))


SHORTCUTS = {str(made.name): made for made in (beam, neutral, shutter, text, timing, white)}
