"""What every part of the document looks at, gathered once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from pydantic import BaseModel

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Limit, Outcome, Verdict
from commission_tui.handover.figure_text import Printing
from commission_tui.logbook.entries.chain import is_contact
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Entry, ReadingTaken, Signature
from commission_tui.logbook.entries.record_form import fingerprint
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.acceptance_state import Acceptance, AcceptanceState
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.doubts import doubtful_readings, judged_readings
from commission_tui.logbook.judging.visits import counting_value, visit_readings, with_repeats
from commission_tui.logbook.state.state import Fault, Readings, Slot, State
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.design_review import Review, review

SlotReadings = tuple[Slot, Readings]
"""Field and place with every reading there, oldest first."""
VERDICT_WORDS = {
    Verdict.FAIL: "not met",
    Verdict.MARGINAL: "within its uncertainty of the limit",
    Verdict.OPEN: "not done, or to be done again",
    Verdict.PASS: "met",
    Verdict.NOT_APPLICABLE: "does not apply",
}
"""What each verdict says of a limit, the worst first."""
NOT_STATED = "not stated"
NOT_KNOWN = "not known"
NOT_RECORDED = "not recorded"
NOT_READ = "not read"
NO_LONGER_GOOD = "no longer good"
"""Beside a figure that was read before something it rests on was changed."""


def stated_texts(part: BaseModel, **texts: str) -> list[str]:
    """Return the texts of those keys that the wall file states, never of what stands in for one."""
    return [text for key, text in texts.items() if key in part.model_fields_set]


@dataclass(frozen=True)
class Context:
    """One job as it stands, judged, with the way it prints."""

    job: OpenJob
    without_contacts: bool = False
    """Leave people's contact data out: of what is printed, of the tables and of the record."""
    draft: bool = False
    """Call it a draft whatever its state."""

    @cached_property
    def state(self) -> State:
        """The job as it stands; without contacts as one in which nobody ever wrote them down.

        A document made from the record alone is thus the same, byte for byte.
        """
        return _without_people(self.job.state) if self.without_contacts else self.job.state

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """Every entry, in the order of the ids."""
        return self.state.in_order()

    @cached_property
    def wall(self) -> Wall:
        return self.state.wall

    @property
    def name_of_wall(self) -> str:
        """The job and its wall, at the head of what hangs alone."""
        return f"{self.state.title.name}: {self.wall.name}"

    @cached_property
    def printing(self) -> Printing:
        head = self.wall.file.wall
        return Printing(us=head.units == "us", zone=head.time_zone)

    @cached_property
    def outcomes(self) -> Mapping[str, Outcome]:
        return self.job.outcomes_with_before()

    @cached_property
    def printed(self) -> Mapping[str, Outcome]:
        """How every check stands, in the units in which the job prints."""
        if not self.printing.us:
            return self.outcomes
        return {check: self.printing.outcome(found) for check, found in self.outcomes.items()}

    @cached_property
    def stands(self) -> Acceptance:
        return self.job.acceptance()

    @property
    def standing_word(self) -> str:
        """One of `AcceptanceState`."""
        return str(AcceptanceState.DRAFT if self.draft else self.stands.state)

    @cached_property
    def review(self) -> Review:
        return review(self.wall)

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        return self.state.faults

    @cached_property
    def photo_numbers(self) -> dict[str, int]:
        """Entry id to the number under which a photo is printed."""
        return {photo.id: number for number, photo in enumerate(self.state.photos, start=1)}

    @cached_property
    def last_at(self) -> str:
        """When the latest entry was made, which dates the document."""
        return max(entry.at for entry in self.entries)

    @cached_property
    def fingerprint(self) -> str:
        """Names the record without its signatures."""
        return fingerprint(self.entries)

    def verdict(self, check: CheckDefinition) -> Verdict:
        return self.outcomes[check.id].verdict

    def title_of(self, check_id: str) -> str:
        """Return the title of a check; of one that is no longer agreed its id."""
        checklist = self.state.checklist
        return checklist.check(check_id).title if check_id in checklist else check_id

    def with_verdict(self, *verdicts: Verdict) -> list[CheckDefinition]:
        """Return the checks of one verdict after the other, each in the order of the checklist."""
        return [c for v in verdicts for c in self.state.checklist if self.verdict(c) is v]

    def unmet(self) -> list[CheckDefinition]:
        """Return the checks whose limit is not met, then those that are not decided."""
        return self.with_verdict(Verdict.FAIL, Verdict.MARGINAL)

    def in_doubt(self) -> list[CheckDefinition]:
        """Return the checks that were done and are to be done again, by a later change."""
        opened = self.with_verdict(Verdict.OPEN)
        return [check for check in opened if doubtful_readings(self.state, check.id)]

    @property
    def undone_words(self) -> str:
        """How many checks were not done, and how many are to be done again."""
        again, partly = len(self.in_doubt()), self.read_in_part
        more = f", {again} to be done again" if again else ""
        more += f", {partly} read again in part" if partly else ""
        return f"{self.not_done} not done{more}"

    @property
    def read_in_part(self) -> int:
        """How many checks were met before and are read again in part."""
        return sum(self.printed[c.id].before is not None for c in self.with_verdict(Verdict.OPEN))

    @property
    def not_done(self) -> int:
        return self.count(Verdict.OPEN) - len(self.in_doubt()) - self.read_in_part

    def count(self, verdict: Verdict) -> int:
        return len(self.with_verdict(verdict))

    def by_method(self, method: str) -> Iterator[CheckDefinition]:
        """Yield the checks that a method judges, whatever a firm calls them."""
        return (check for check in self.state.checklist if check.method == method)

    def in_role(self, role: str) -> tuple[CheckDefinition, ...]:
        return self.state.checklist.in_role(role)

    def standing(self, check_id: str) -> Iterator[Logged[ReadingTaken]]:
        """Yield the readings of a check that count, repeats too, by field and place as they are asked for."""
        for _, slot in self.slots(check_id):
            yield from with_repeats(slot)

    def slots(self, check_id: str, visit: int | None = None) -> list[SlotReadings]:
        """Return field and place with every reading there that was not withdrawn, oldest first.

        Of one visit when it is named, else those that the check is judged on.
        """
        known = self._read.get((check_id, visit))
        if known is None:
            found = (
                judged_readings(self.state, check_id)
                if visit is None
                else visit_readings(self.state, check_id, visit)
            )
            known = self._read[check_id, visit] = sorted(found.items(), key=lambda item: item[0])
        return known

    @cached_property
    def _read(self) -> dict[tuple[str, int | None], list[SlotReadings]]:
        """What was asked for already: many pages look at the same check."""
        return {}

    @cached_property
    def made(self) -> dict[str, Mapping[str, bytes]]:
        """What several files of one handover are made from, by name: made once, by the first of them."""
        return {}

    def numbers(self, method: str, field: str) -> dict[str, float]:
        """Return place to number of one field of the first check that a method judges.

        Without those that a later change left no longer good.
        """
        found = self._numbers(method, field)
        return {place: number for place, (number, is_good) in found.items() if is_good}

    def figures(self, method: str, field: str, printed: Callable[[float], str]) -> dict[str, str]:
        """Return place to printed number, and beside each that is no longer good that it is not."""
        found = self._numbers(method, field)
        return {
            place: printed(number) if is_good else f"{printed(number)}, {NO_LONGER_GOOD}"
            for place, (number, is_good) in found.items()
        }

    def _numbers(self, method: str, field: str) -> dict[str, tuple[float, bool]]:
        """Return place to number of one field, and whether it is still good."""
        for check in self.by_method(method):
            doubtful = doubtful_readings(self.state, check.id)
            read = (
                (place, counting_value(slot))
                for (name, place), slot in self.slots(check.id)
                if name == field
            )
            found = {
                place: (float(value), (field, place) not in doubtful)
                for place, value in read
                if not isinstance(value, bool | str)
            }
            if found:
                return found
        return {}

    def number(self, method: str, field: str) -> float | None:
        """Return what was read once for the wall."""
        return self.numbers(method, field).get("wall")

    def limit(self, method: str, name: str) -> Limit | None:
        for check in self.by_method(method):
            found = limits_of(self.state, check.id).get(name)
            if found is not None:
                return found
        return None

    def text(self, method: str, field: str, place: str) -> str:
        """Return what was written in a field of the first check that a method judges, or nothing.

        At the visit that `numbers` is of.
        """
        for check in self.by_method(method):
            for slot, readings in self.slots(check.id):
                if slot == (field, place):
                    return str(readings[-1].body.value)
        return ""

    def signatures(self, role: str) -> list[Logged[Signature]]:
        return [s for s in self.state.signatures if s.body.role.strip().lower() == role]


def _without_people(state: State) -> State:
    about = {entry.id for entry in state.entries.values() if is_contact(entry)}
    entries, corrections = state.entries, state.corrections
    for entry_id in about:
        entries = entries.delete(entry_id)
    for key, made in state.corrections.items():
        left = tuple(entry for entry in made if not is_contact(entry))
        corrections = corrections.set(key, left) if left else corrections.delete(key)
    return replace(
        state, entries=entries, corrections=corrections, people=(), last_id=max(entries, default="")
    )
