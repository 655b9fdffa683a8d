"""Two visits compared, told on the command line."""

from __future__ import annotations

from commission_tui.cli.output import say, table
from commission_tui.logbook.plan.visit_comparison import Comparison, Drift
from commission_tui.text import counted


def print_comparison(found: Comparison) -> None:
    """Print a comparison: drift first, then what is new, what is gone, and other settings."""
    hours = "" if found.hours is None else f", {found.hours:g} hours run between"
    say(
        f"{found.before} against {found.after}{hours}: {counted(len(found.pairs), 'number')} at the same places"
    )
    table(
        ("check", "field", "places", "drift", "left the common drift"),
        [(d.check, d.field, str(d.places), _drift(d), _outliers(d)) for d in found.drifts],
    )
    for white in found.whites:
        say(
            f"white ({white.check}): mean moved {white.mean_duv:.4f} in u'v', most at "
            f"{white.largest_at}: {white.largest_duv:.4f}"
        )
    for words, faults in (
        ("new fault", found.new_faults),
        ("known and still there", found.known_faults),
        ("settled", found.settled_faults),
    ):
        for fault in faults:
            body = fault.found.body
            say(f"{words}: {fault.number} {body.called} at {body.location}, {fault.state}")
    for setting, place, old, new in found.settings:
        say(f"setting {setting} at {place}: {old or 'not logged'} -> {new}")
    if found.only_before:
        say(f"checks not read on the later visit: {len(found.only_before)} (--json names them)")


def _drift(drift: Drift) -> str:
    if drift.median_percent is None or drift.unit == "xy":
        return f"{drift.median_difference:+.4g} {drift.unit}".strip()
    return f"{drift.median_percent:+.1f} %"


def _outliers(drift: Drift) -> str:
    return ", ".join(f"{pair.place} {pair.percent:+.1f} %" for pair in drift.outliers[:6])
