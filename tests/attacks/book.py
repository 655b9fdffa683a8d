"""The attack book: one function an attack; its first line says what it would buy whoever does it.

``python -m tests.attacks.book`` prints the book as a table.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from importlib import import_module
from types import ModuleType
from typing import Any

CHAPTERS = ("pages", "signatures", "rows", "histories", "exports")
"""Modules of attacks: on a document before it is signed, on signatures."""

Attack = Callable[..., Any]


def attacks(module: ModuleType) -> list[Attack]:
    """Return the attacks of a chapter in the order in which they stand in it."""
    own = [
        found
        for name, found in vars(module).items()
        if inspect.isfunction(found)
        and found.__module__ == module.__name__
        and not name.startswith("_")
    ]
    return sorted(own, key=lambda found: found.__code__.co_firstlineno)


def buys(attack: Attack) -> str:
    """Return what an attack would buy."""
    return (inspect.getdoc(attack) or "").partition("\n")[0]


def main() -> None:
    for chapter in CHAPTERS:
        listed = attacks(import_module(f"tests.attacks.{chapter}"))
        print(f"{chapter}: {len(listed)}")  # noqa: T201
        for attack in listed:
            print(f"  {attack.__name__.replace('_', ' ')}: {buys(attack)}")  # noqa: T201


if __name__ == "__main__":
    main()
