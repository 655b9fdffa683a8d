"""Where on the walk one is: the check, and which of its places, in which order."""

from __future__ import annotations

import re
from collections.abc import Collection
from operator import is_

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.input_parsing import (
    is_like_size,
    is_like_xy,
    size_pair,
    xy_pair,
)
from commission_tui.checks.model.physical_bounds import other_coordinate
from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.actions.reading_corrections import latest_reading, reading_in_place
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import doubtful_readings
from commission_tui.logbook.judging.outcomes import baseline_at
from commission_tui.logbook.state.state import Slot
from commission_tui.screens.host.typed_keys import Asked
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.view import Step


class Route:
    """The steps of the check one is at, and the current one."""

    def __init__(self, job: OpenJob) -> None:
        self._job = job
        self._made: tuple[tuple[object, ...], tuple[Step, ...]] | None = None
        self.check_id = walk_view.first_open(job)
        self.at = 0
        self.path = walk_view.PATHS[0]
        self.same = False
        """Whether only the points that the first visit read are walked."""
        self._left_at: int | None = None
        """Where one was before one looked at another place."""
        self._passed: int | None = None
        """The first line that Enter passed over for what stands there."""
        self.start()

    @property
    def check(self) -> CheckDefinition:
        if self.check_id not in self._job.state.checklist:  # a revised checklist may have lost it
            self.check_id = walk_view.first_open(self._job)
        return self._job.state.checklist.check(self.check_id)

    @property
    def steps(self) -> tuple[Step, ...]:
        state, check = self._job.state, self.check
        same = self.same and bool(state.visits)
        rests_on = (check, state.wall, self.path, state.visits if same else None)
        if self._made is None or not all(map(is_, self._made[0], rests_on)):
            steps = walk_view.steps(check, state.wall, self.path)
            read = same and [s for s in steps if baseline_at(state, check.id, *s.slot) is not None]
            self._made = (rests_on, tuple(read) if read else steps)
        return self._made[1]

    @property
    def step(self) -> Step | None:
        steps = self.steps
        return steps[min(self.at, len(steps) - 1)] if steps else None

    @property
    def asks_for(self) -> Asked | None:
        """What is asked for at the current place; None for nothing."""
        step = self.step
        if step is None:
            return None
        return self._asked(step)

    def _asked(self, step: Step) -> Asked:
        field = step.field
        # Of the maker's sheet they are others than those measured.
        is_of_pair = field.unit == "xy" and field.name.endswith(("x", "y"))
        name = f"{field.name[:-1]}x or y" if is_of_pair else field.name
        label = re.sub(r"\b[xy]\b", "x, y", field.label, count=1) if is_of_pair else field.label
        return Asked(self.check_id, name, label)

    @property
    def asks_for_other(self) -> Asked | None:
        """What is asked for of the other half of a pair; None where none comes next."""
        is_next = self.is_y_next or self.is_height_next
        return self._asked(self.steps[self.at + 1]) if is_next else None

    @property
    def is_second_half(self) -> bool:
        """Whether y is asked for, or a height, behind its x or width."""
        before = self.at - 1
        return before >= 0 and (self._y_follows(before) or self._height_follows(before))

    @property
    def is_height_next(self) -> bool:
        """Whether a width is asked for, and its height on the next line."""
        return self._height_follows(self.at)

    def _height_follows(self, at: int) -> bool:
        here = self.steps[at : at + 2]
        if len(here) < 2:
            return False
        name, place = here[0].slot
        heights = {name.replace("width", "height"), name.replace("across", "down")} - {name}
        return here[1].slot in {(height, place) for height in heights}

    @property
    def is_y_next(self) -> bool:
        """Whether x of a colour is asked for, and its y on the next line."""
        return self._y_follows(self.at)

    def _y_follows(self, at: int) -> bool:
        here = self.steps[at : at + 2]
        if len(here) < 2 or not here[0].field.name.endswith("x"):
            return False
        return here[1].slot == (other_coordinate(here[0].field.name), here[0].place)

    def pair(self, typed: str) -> tuple[str, str] | None:
        """Return x and y, or width and height, of one line, where one is asked for after the other."""
        if self.is_y_next:
            return xy_pair(typed)
        return size_pair(typed) if self.is_height_next else None

    def is_like_pair(self, typed: str) -> bool:
        """Whether a line that was refused named both halves, where one is asked for after the other."""
        if self.is_y_next:
            return is_like_xy(typed)
        return self.is_height_next and is_like_size(typed)

    def _is_read(self, at: int) -> bool:
        return latest_reading(self._job.state, self.check_id, *self.steps[at].slot) is not None

    @property
    def left(self) -> list[tuple[str, str]]:
        """What is still to read of what is walked."""
        walked = {step.slot for step in self.steps} if self.same else None
        to_do = self._job.outcome(self.check_id).to_do
        return [slot for slot in to_do if walked is None or slot in walked]

    @property
    def doubted(self) -> list[Slot]:
        """What was read here and a change left no longer good, also where enough others were read."""
        return list(doubtful_readings(self._job.state, self.check_id))

    def start(self) -> None:
        """Go to the first place that is still to read."""
        self._left_at = self._passed = None
        to_do = self.left or self.doubted
        if not to_do and self._job.outcome(self.check_id).verdict is Verdict.OPEN:
            # Open by its method alone, as a sample that is too small: more of the same is wanted.
            to_do = [step.slot for n, step in enumerate(self.steps) if not self._is_read(n)]
        self.at = walk_view.next_index(self.steps, to_do) or 0

    def go_to(self, check_id: str, place: str | None = None, among: Collection[Slot] = ()) -> None:
        """Go to a check, at its first open place, at one given or at the first of some lines."""
        self.check_id = check_id
        self.start()
        places = [step.place for step in self.steps]
        if place in places:
            self.at = places.index(place)
        elif among:
            self.at = walk_view.next_index(self.steps, among) or 0

    def go_to_slot(self, slot: tuple[str, str]) -> bool:
        """Go to a field at a place of this check; False when it has none such."""
        slots = [step.slot for step in self.steps]
        if slot in slots:
            self.at = slots.index(slot)
        return slot in slots

    def look(self, by: int) -> bool:
        """Look at a place so many lines on; False at either end. `go_back` comes back from there."""
        at = max(0, min(len(self.steps) - 1, self.at + by))
        moved = at != self.at
        if moved and self._left_at is None:
            self._left_at = self.at
        self.at, self._passed = at, None
        return moved

    def go_back(self) -> None:
        """Go back to where one was before one looked at this place, else on, to what is still to read.

        Where nothing is, one stays: the next correction is about the place that is shown.
        """
        to_do, back = self.left or self.doubted, self._left_at
        if back is not None and back < len(self.steps) and self.steps[back].slot in to_do:
            self.at = back
        elif to_do:
            self.advance()
        self._left_at = None

    def pass_on(self) -> None:
        """Go on to the next line, read or not, but for the optional ones that Enter passes over."""
        steps, at = self.steps, self.at + 1
        asked = [n for n in range(at, len(steps)) if not steps[n].is_optional or self._is_read(n)]
        self._left_at = self._passed = None
        self.at = at if self.is_y_next else min(asked, default=min(at, len(steps) - 1))

    def advance(self) -> None:
        """Go on to what is still to read, before all behind here; y comes after its x, a height after its width.

        The optional lines are passed over until there is nothing else to read.
        """
        steps, at = self.steps, self.at
        next_at = walk_view.next_index(steps, self.left or self.doubted, at)
        if (self.is_y_next or self.is_height_next) and not self._is_read(at + 1):
            next_at = at + 1
        if next_at is None:  # what is left may be left: on to the next that was not read
            unread = (n for n in range(at + 1, len(steps)) if not self._is_read(n))
            next_at = next(unread, min(at + 1, len(steps) - 1))
        self._left_at = None
        between = range(at + 1, next_at)
        self._passed = next((n for n in between if self._stands(steps[n].slot)), None)
        self.at = next_at

    def _stands(self, slot: Slot) -> bool:
        return reading_in_place(self._job.state, self.check_id, *slot) is not None

    def go_back_to_passed(self) -> bool:
        """Go to the line that Enter passed over, if any: whoever types a list from a paper saw no jump."""
        passed, self._passed = self._passed, None
        self.at = self.at if passed is None else passed
        return passed is not None

    @property
    def last_read(self) -> Logged[ReadingTaken] | None:
        """What was logged last of this check on this visit, at whichever place."""
        read = (latest_reading(self._job.state, self.check_id, *step.slot) for step in self.steps)
        return max(filter(None, read), key=lambda logged: logged.id, default=None)

    def next_path(self) -> None:
        """Take the next order of the cabinets."""
        at = walk_view.PATHS.index(self.path)
        self.path = walk_view.PATHS[(at + 1) % len(walk_view.PATHS)]
        self.start()

    def toggle_same(self) -> None:
        """Walk the first visit's points only, or all again."""
        self.same = not self.same
        self.start()
