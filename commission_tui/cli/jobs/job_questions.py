"""What `job new` asks at a terminal: what the job is called, what is agreed, what is not settled."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, get_args

from commission_tui.checks.checklists.checklist import Checklist, checks_of, sizes, usual_size
from commission_tui.checks.places.applicability import features_to_settle
from commission_tui.cli.design.wall_questions import Question, known, some_text
from commission_tui.errors import InputError
from commission_tui.text import counted
from commission_tui.wall.draft.typed_design import feature_words
from commission_tui.wall.model.file_model import Feature
from commission_tui.wall.model.wall_model import Wall

REQUIRED = ("name", "client", "integrator")
"""What no job goes without."""


def questions(
    wall: Wall, checklist: Checklist, is_free: Callable[[str], None]
) -> tuple[Question, ...]:
    """Return what to ask about a new job on a wall; `is_free` refuses a name that is taken."""

    def job_name(text: str) -> str:
        name = some_text(text)
        is_free(name)
        return name

    return (
        Question("name", "Job", job_name, standard=_name(wall, is_free)),
        Question("client", "Client", some_text, "who signs"),
        Question("integrator", "Firm that commissions", some_text, "yours"),
        Question(
            "scope",
            "Agreed",
            partial(_size, checklist),
            _offered(checklist),
            usual_size(checklist, len(wall.cabinets)),
        ),
        *(
            Question(
                feature,
                feature_words(feature),
                known,
                "y, n; not known: Enter",
                "",
                when=partial(_waits, wall, checklist, feature),
            )
            for feature in get_args(Feature)
        ),
    )


def settled(answers: Mapping[str, Any]) -> dict[str, str]:
    """Return the features that were answered yes or no."""
    features = {feature: answers.get(feature) for feature in get_args(Feature)}
    return {f: "yes" if there else "no" for f, there in features.items() if there is not None}


def _name(wall: Wall, is_free: Callable[[str], None]) -> str | None:
    """Return the usual name, where no job has it already."""
    site = wall.file.wall.site
    begins = re.match(rf"{re.escape(site)}\b", wall.name, re.IGNORECASE)
    name = wall.name if begins else f"{site}, {wall.name}"
    try:
        is_free(name)
    except InputError:
        return None
    return name


def _offered(checklist: Checklist) -> str:
    known_sizes = sizes(checklist).items()
    return ", ".join(f"{size} {counted(len(checks), 'check')}" for size, checks in known_sizes)


def _size(checklist: Checklist, text: str) -> str:
    word = text.strip().lower()
    begun = [size for size in sizes(checklist) if word and size.startswith(word)]
    size = begun[0] if len(begun) == 1 else word
    checks_of(checklist, size)
    return size


def _waits(wall: Wall, checklist: Checklist, feature: str, answers: Mapping[str, Any]) -> bool:
    """Whether a check that is agreed waits for a feature to be settled."""
    agreed = set(checks_of(checklist, answers["scope"]))
    return any(
        feature in features_to_settle(check.applies, wall)
        for check in checklist
        if check.id in agreed
    )
