"""The walk as it was when the program ended: where one was, what was half typed there, and the lines behind it.

Lines come faster than they are logged. What is kept holds those that are still to do: the first in the
field, the rest behind it. It is kept before each Enter that has more behind it, so that of a line that
was logged since, nothing but its own place need be asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from commission_tui.logbook.actions.reading_corrections import latest_reading
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.host.begun_forms import is_of_visit
from commission_tui.screens.host.typed_keys import Asked, Typed, kept_text
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.value_entry import ValueEntry

NOBODYS = ""
"""The field of lines behind a key that may have led to another."""


def to_keep(asking: ValueEntry, ahead: Sequence[Typed]) -> dict[str, str]:
    """Return where one is, what is half typed there, and what waits; `ahead` is still to be taken."""
    here, lines, at = asking.half_typed.now, asking.lines, asking.asks_for
    if not here or at is None:
        return here
    before = lines.question.keys if lines.question is not None else []
    if ahead and not before and _field_of(ahead, at) == at.field:
        stands = "" if asking.field.is_offered and ahead[0].is_text else asking.field.value
        value, _, waits = (stands + kept_text(ahead)).partition("\n")
        return {**here, "value": value} | _waits(waits, at.field)
    if lines.question is not None and lines.question.meant_for is not None and lines.are_strays:
        return here | _waits(kept_text([*before, *ahead]), lines.question.meant_for.field)
    if before:
        return here | _waits(kept_text([*before, *ahead]))
    return here | _waits(kept_text(ahead), _field_of(ahead, at))


def _waits(text: str, field: str | None = None) -> dict[str, str]:
    if not text.strip():
        return {}
    return {"waits": text} if field is None else {"waits": text, "waits_for": field}


def _field_of(ahead: Sequence[Typed], at: Asked) -> str:
    """Return the field for which lines were typed that no field has taken yet."""
    if not all(one.is_text or one.is_enter for one in ahead):
        return NOBODYS
    fields = [paste.fields[0] for one in ahead if (paste := one.paste) and paste.fields]
    return next((field.field for field in fields if field != at), at.field)


def come_back(job: OpenJob, route: Route, asking: ValueEntry, kept: Mapping[str, str]) -> None:
    """Go back to where one was, with what was half typed there and the lines that waited."""
    slot = kept.get("field", ""), kept.get("place", "")
    if route.check_id != kept.get("check") or not route.go_to_slot(slot):
        return
    if not is_of_visit(kept, job.state):
        typed = [kept.get("value", ""), *kept.get("waits", "").split("\n")]
        asking.half_typed.say_dropped(*typed)
        return
    value, waits, field = kept.get("value", ""), kept.get("waits", ""), kept.get("waits_for")
    if kept.get("over", "") != asking.half_typed.now.get("over", ""):  # it was logged since
        value = _y_left(job, route, value)
        if not value:
            route.advance()
    asking.show_place()
    at = route.asks_for
    if at is None:
        return
    if not value and field == at.field:
        value, _, waits = waits.partition("\n")
    asking.half_typed.put_back({"value": value})
    if field is None:
        field = at.field if value else NOBODYS
    labels = {item.name: item.label for item in route.check.fields}
    meant_for = Asked(at.check, field, labels.get(field, at.label))
    # By the app, for a key bubbles no further than to what made it.
    asking.app.call_later(partial(asking.lines.wait_again, waits, meant_for))


def _y_left(job: OpenJob, route: Route, typed: str) -> str:
    """Return y of a line with x and y, where only x was logged before the program ended; go there."""
    pair, step = route.pair(typed), route.step
    if pair is None or step is None:
        return ""
    follows = route.steps[route.at + 1].slot
    x, y = (latest_reading(job.state, route.check_id, *slot) for slot in (step.slot, follows))
    if x is None or (y is not None and y.id > x.id):
        return ""
    route.go_to_slot(follows)
    return pair[1]
