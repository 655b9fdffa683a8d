"""The stages and checks of a job, how one is found, and the sizes of which one is agreed at its start.

A check says in which sizes it stands; a firm's own checklists add sizes by naming them. What can
hurt somebody stands in every size, and so does a check of a firm's own that names none: whoever adds
one wants it done. (Common practice, no published source.)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from commission_tui.checks.methods import methods
from commission_tui.checks.model.definition import CheckDefinition, Stage
from commission_tui.checks.model.vocabulary import MAPPING, MAPPING_METHOD
from commission_tui.checks.registry import Method, current_method_name
from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import begin_words, listed, quoted

ALL = "all"
SHORT = "short"
SHORT_CABINETS = 50
"""Up to about this many one person does the short size in an evening; from practice, no source."""


@dataclass(frozen=True)
class Checklist:
    """Every stage and check of a job."""

    stages: tuple[Stage, ...]
    left_out: Mapping[str, str] = field(default_factory=dict, compare=False)
    """Checks that this job leaves out, by id, and why."""
    own: frozenset[str] = field(default=frozenset(), compare=False)
    """Ids of the checks that come from a firm's own files."""

    @cached_property
    def _by_id(self) -> dict[str, CheckDefinition]:
        return {check.id: check for stage in self.stages for check in stage.checks}

    @cached_property
    def _stage_of(self) -> dict[str, Stage]:
        return {check.id: stage for stage in self.stages for check in stage.checks}

    @cached_property
    def _held_against(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for check in self:
            for other in sorted(check.looks_at):
                found[other] = (*found.get(other, ()), check.id)
        return found

    @cached_property
    def judged_by_record(self) -> frozenset[str]:
        """Ids of the checks that are judged by what the record says of itself."""
        return frozenset(c.id for c in self if _method(c).reads_record)

    @cached_property
    def judged_by_faults(self) -> frozenset[str]:
        """Ids of the checks that are judged by what stands on the punch list."""
        return frozenset(c.id for c in self if _method(c).reads_faults)

    def __contains__(self, check_id: object) -> bool:
        return check_id in self._by_id

    def __iter__(self) -> Iterator[CheckDefinition]:
        return iter(self._by_id.values())

    def check(self, check_id: str) -> CheckDefinition:
        """Return a check by id; raise InputError when there is none."""
        try:
            return self._by_id[check_id]
        except KeyError:
            if check_id in self.left_out:
                raise InputError(f"check: {check_id} {self.left_out[check_id]}") from None
            hint = did_you_mean(check_id, self._by_id)
            raise InputError(
                f"check: found {quoted(check_id, 60)}, expected a check of this job{hint}"
            ) from None

    def find(self, words: str) -> CheckDefinition:
        """Return a check by id, by title, by a short name or by words that no other check has.

        Raises
        ------
        InputError
            When there is none, or several are called so.
        """
        found = called(self, words)
        if words in self._by_id or not found:
            return self.check(words)
        if len(found) > 1:
            names = listed([check.id for check in found], 8)
            raise InputError(f"check: found {quoted(words, 60)}, expected one of {names}")
        return found[0]

    def held_against(self, check_id: str) -> tuple[str, ...]:
        """Return the checks that are judged with the readings of a check."""
        return self._held_against.get(check_id, ())

    def in_role(self, role: str) -> tuple[CheckDefinition, ...]:
        """Return the checks of a role, in the order of the checklist."""
        return tuple(check for check in self if check.role == role)

    def without(self, left_out: Mapping[str, str]) -> Checklist:
        """Return the same without some checks; a stage that has none left goes as well."""
        stages = []
        for stage in self.stages:
            kept = tuple(check for check in stage.checks if check.id not in left_out)
            if kept:
                stages.append(stage.model_copy(update={"checks": kept}))
        return Checklist(tuple(stages), left_out, self.own)

    def stage_of(self, check_id: str) -> Stage:
        return self._stage_of[check_id]


def called(checks: Iterable[CheckDefinition], words: str) -> list[CheckDefinition]:
    """Return the checks of that id, title or short name; of none, those whose words begin with these."""
    wanted, checks = words.strip().casefold(), list(checks)
    whole = [
        check
        for check in checks
        if wanted in map(str.casefold, (check.id, check.title, *check.codes, *check.also))
    ]
    return whole or [
        check
        for check in checks
        if wanted and begin_words(" ".join((check.title, *check.also)), wanted.split())
    ]


def _method(check: CheckDefinition) -> Method:
    return methods()[current_method_name(check.method)]


def mapping_check(checklist: Checklist) -> CheckDefinition | None:
    """Return the check in which the mapping screen logs what it is told, if there is one."""
    found = checklist.in_role(MAPPING)
    return next((check for check in found if check.method == MAPPING_METHOD), None)


def sizes(checklist: Checklist) -> dict[str, tuple[str, ...]]:
    """Return each size with the ids of its checks, the smallest first."""
    named = dict.fromkeys(size for check in checklist for size in check.scope if size != ALL)
    found = {
        size: tuple(check.id for check in checklist if _stands_in(checklist, check, size))
        for size in named
    }
    found[ALL] = tuple(check.id for check in checklist)
    return dict(sorted(found.items(), key=lambda item: (len(item[1]), item[0])))


def _stands_in(checklist: Checklist, check: CheckDefinition, size: str) -> bool:
    everywhere = check.hurts or (check.id in checklist.own and not check.scope)
    return everywhere or size in check.scope


def checks_of(checklist: Checklist, size: str) -> tuple[str, ...]:
    """Return the checks of a size; raise InputError when the checklists know no such size."""
    known = sizes(checklist)
    name = size.strip().lower()
    if name not in known:
        raise InputError(
            f"scope: found {size.strip()[:40]!r}, expected one of {', '.join(known)}"
            f"{did_you_mean(name, known)}"
        )
    return known[name]


def usual_size(checklist: Checklist, cabinets: int) -> str:
    """Return the size to suggest for a wall."""
    return SHORT if SHORT in sizes(checklist) and cabinets <= SHORT_CABINETS else ALL
