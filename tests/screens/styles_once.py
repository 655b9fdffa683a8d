"""Style sheets parsed once for all apps of a run: each app parses the same ones anew, a fourth of its start."""

from __future__ import annotations

from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

_Key = tuple[object, ...]


def parse_each_once() -> None:
    """Give every style sheet of the same text and variables the same rules, which nothing changes."""
    parsed: dict[_Key, list[RuleSet]] = {}
    parse = Stylesheet._parse_rules

    def once(sheet: Stylesheet, css: str, *place: object, **more: object) -> list[RuleSet]:
        key = (css, place, tuple(more.items()), tuple(sheet._variables.items()))
        if key not in parsed:
            parsed[key] = parse(sheet, css, *place, **more)  # type: ignore[arg-type]
        return parsed[key]

    Stylesheet._parse_rules = once  # type: ignore[method-assign, assignment]
