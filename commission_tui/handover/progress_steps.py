"""The formats of a handover, and what the making of each says of itself as it goes on."""

from __future__ import annotations

from collections.abc import Callable, Iterable

OnStep = Callable[[str], None]
"""Is told what begins."""

READING = "reading the logbook"
GATHERING = "what it says"
DRAWING = "drawings"
SETTING = "setting the pages"
MAKING = ""
"""A format that is made in one step has no name for it but its own."""
WRITING = "writing the files"

_OF_FORM = {
    **dict.fromkeys(("pdf", "png"), (DRAWING, GATHERING, SETTING)),
    **dict.fromkeys(("json", "record", "schema", "csv", "html", "xlsx", "dxf"), (MAKING,)),
    **dict.fromkeys(("client", "sheet", "card", "electrician", "rigger"), (GATHERING, SETTING)),
}
FORMATS = tuple(_OF_FORM)
"""``png`` is a picture a page, ``record`` the canonical record alone, ``schema`` the JSON Schema of it and
of ``json``; the last ones are for one reader each, ``sheet`` the content specification, ``card`` the
operator's card."""


def steps_of_format(on_step: OnStep, form: str) -> OnStep:
    """Return what tells each step with the format whose step it is."""
    return lambda step: on_step(f"{form}: {step}" if step else form)


def format_steps(form: str) -> tuple[str, ...]:
    return _OF_FORM.get(form, (MAKING,))


def count_of_steps(forms: Iterable[str]) -> int:
    """Count the steps of an export: the logbook read, every format made, the files written."""
    return 2 + sum(len(format_steps(form)) for form in forms)
