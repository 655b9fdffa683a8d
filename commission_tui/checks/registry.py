"""Methods by name: pure functions that turn readings into an outcome.

A method registers with the fields and limits it needs, so that a checklist that names a method but
lacks one of them is refused when it is read, not on site.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from commission_tui.checks.model.types import CheckInput, Outcome

MethodFunction = Callable[[CheckInput], Outcome]


@dataclass(frozen=True, slots=True)
class Method:
    """A method and what a check that uses it must define."""

    name: str
    function: MethodFunction
    fields: frozenset[str]
    limits: frozenset[str]
    optional_fields: frozenset[str]
    optional_limits: frozenset[str]
    any_limits: bool = False
    """Whether a limit may bear the name of any number that the check records."""
    reads_record: bool = False
    """Whether it looks at what the record says of itself, so that any entry may change it."""
    reads_faults: bool = False
    """Whether it looks at the punch list; no other is handed it, nor judged again for a fault."""


METHODS: dict[str, Method] = {}
"""Those that have registered so far; `checks.methods` has every one of them."""
_FORMER = {"all_yes": "in_limits"}
"""Names that the checklists of jobs begun earlier use, and the method that judges them now."""


def method(
    *,
    fields: str = "",
    limits: str = "",
    any_limits: bool = False,
    reads_record: bool = False,
    reads_faults: bool = False,
) -> Callable[[MethodFunction], MethodFunction]:
    """Register a function as the method that checklist files call by its name.

    `fields` and `limits` name, with spaces between, what a check must define; one that ends in ``?``
    may be left out.
    """

    def register(function: MethodFunction) -> MethodFunction:
        METHODS[function.__name__] = Method(
            function.__name__,
            function,
            fields=_names(fields),
            limits=_names(limits),
            optional_fields=_names(fields, optional=True),
            optional_limits=_names(limits, optional=True),
            any_limits=any_limits,
            reads_record=reads_record,
            reads_faults=reads_faults,
        )
        return function

    return register


def _names(words: str, *, optional: bool = False) -> frozenset[str]:
    there = (word for word in words.split() if word.endswith("?") is optional)
    return frozenset(word.removesuffix("?") for word in there)


def current_method_name(name: str) -> str:
    """Return the name of the method that judges what a checklist names so."""
    return _FORMER.get(name, name)
