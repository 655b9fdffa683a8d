"""The walk's one line about what was just typed: a question, an error, or what was logged last."""

from __future__ import annotations

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.figures import reading_text, unit_word
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.plausibility import doubts_of_value
from commission_tui.screens.terminal.styled_text import Glyphs, Line
from commission_tui.screens.walk import input_prompt
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.view import Preview, Step
from commission_tui.text import clipped, lower_first


def message(
    job: OpenJob,
    check: CheckDefinition,
    step: Step | None,
    shown: Preview,
    glyphs: Glyphs,
    *,
    odd: bool = False,
    over: Logged[ReadingTaken] | None = None,
    waits: bool = False,
) -> Line:
    """Return what is asked about what was typed, or what is wrong with it; else what stands.

    `odd` says that Enter was pressed on a value with a warning, `over` what it would be logged over,
    `waits` that more was typed before this is answered.
    """
    caution = glyphs.caution
    if over is not None and not odd:
        return _over(over, caution, waits)
    of_meter = "" if doubts_of_value(shown.warning) else "about the instrument, "
    if odd:
        return ((f"{caution} Enter again logs it as it is: {of_meter}{shown.warning}", "caution"),)
    if shown.error:
        return ((shown.error, "error"),)
    if step is not None and walk_view.needs_instrument(job, step):
        what = unit_word(step.field.unit) or lower_first(step.field.label)
        return (
            (f"No instrument chosen for {what}: ", "caution-text"),
            ("Ctrl+T", "key"), (" chooses one", "caution-text"),
        )  # fmt: skip
    if shown.warning:
        return ((f"{caution} {of_meter}{shown.warning}", "caution-text"),)
    return input_prompt.last_line(job, check)


def strays(lines: int) -> Line:
    """Ask what is done with lines that were typed for another field."""
    wait = "1 line waits" if lines == 1 else f"{lines} lines wait"
    return (
        (f"{wait}, not typed for this: ", "caution-text"),
        ("Enter", "key"), (" takes the next here, ", "caution-text"),
        ("Esc", "key"), (" drops" + (" it" if lines == 1 else " them"), "caution-text"),
    )  # fmt: skip


def _over(old: Logged[ReadingTaken], caution: str, waits: bool) -> Line:
    value = old.body.value
    number = not isinstance(value, bool | str)
    repeat: Line = (("Ctrl+F", "key"), (" adds a repeat, ", "caution-text")) if number else ()
    return (
        (f"{caution} {clipped(reading_text(value), 16)} is logged here: ", "caution"),
        ("Ctrl+R", "key"), (" replaces it, ", "caution-text"), *repeat,
        ("Esc", "key"), (f" leaves it{' and goes on' if waits else ''}", "caution-text"),
    )  # fmt: skip
