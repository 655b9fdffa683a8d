"""The rules of the house that no linter knows: small rooms, a name for each module, rooms that say
what they are for.
"""

from __future__ import annotations

import ast
import re
import sys
from collections import defaultdict
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from tests.house import PACKAGE, PAGE, docstring, outside_tests, page_with_rooms, rooms
from tests.paths import ROOT

MOST_FILES = 14
EVERYWHERE = frozenset({"__init__", "screen", "view", "dialog", "keys"})
"""What each feature of the screens may have; its folder says of what."""

SOURCES = re.compile(
    r"numpy|scipy|PyPI|\bpint\b|colour-science|itertools|`statistics`|Reference:"  # libraries
    r"|edid-decode|\bcvt\b|kernel|qpdf|poppler|pdftotext|pdfdetach|OpenSSL|strace|PDF/A"  # programs
    r"|\b(?:IEC|ISO|ITU-R|JCGM|CIE|NIST|IEEE|VESA|ASTM|ANSI|WCAG|EN|BS|EBU|ILAC|NFPA|IAPWS|SMPTE)\b"
    r"|CTA-861|NUREG|TM-21|CIEDE2000"
    r"|[Tt]able|[Hh]andbook|guide|glossary|worked example|Printed examples|[Pp]ublished"
)
"""Programs, libraries, standards and publications: what is not ours."""
NAMED = re.compile(r"(?<!`)`([A-Za-z_]\w*(?:\.[A-Za-z_]\w*)*)`(?!`)")
"""A name of the code in a docstring; between double backticks stands what a person types or reads."""
NAMED_TEST = re.compile(r"\btests/[\w/]+\.py(?:::\w+)?|-m (tests\.[\w.]*\w)")
OWN = re.compile(
    r"\W*(arithmetic|by hand|trigonometry|geometry|kinematics|definition|power law|euclid|\d)", re.I
)
"""How a docstring begins that says no more than how the expected value was reckoned here."""


@pytest.mark.parametrize("top", ["commission_tui", "tests"])
def test_no_folder_is_too_full_to_read(top: str) -> None:
    count: dict[Path, int] = defaultdict(int)
    for path in (ROOT / top).rglob("*.py"):
        count[path.parent] += 1
    assert {str(folder): n for folder, n in count.items() if n > MOST_FILES} == {}


def test_no_two_modules_have_one_name() -> None:
    places: dict[str, list[str]] = defaultdict(list)
    for path in PACKAGE.rglob("*.py"):
        if path.stem not in EVERYWHERE:
            places[path.stem.lstrip("_")].append(str(path.relative_to(PACKAGE)))
    assert {stem: found for stem, found in places.items() if len(found) > 1} == {}


def test_no_floor_has_one_name_for_two_types() -> None:
    """Classes, and aliases of types: a reader of one floor meets them together."""
    places: dict[tuple[str, str], list[str]] = defaultdict(list)
    for path in PACKAGE.rglob("*.py"):
        where = path.relative_to(PACKAGE)
        for name in types_of(ast.parse(path.read_text("utf-8"))):
            places[where.parts[0], name].append(str(where))
    assert len(places) > 500
    assert {name: found for name, found in places.items() if len(found) > 1} == {}


def types_of(module: ast.Module) -> Iterator[str]:
    """Name the public classes and aliases of a module, each ``LikeThis``; a constant is ``LIKE_THIS``."""
    for node in module.body:
        if isinstance(node, ast.ClassDef):
            names = [node.name]
        elif isinstance(node, ast.Assign):
            names = [target.id for target in node.targets if isinstance(target, ast.Name)]
        else:
            continue
        yield from (name for name in names if name[0].isupper() and not name.isupper())


def test_names_in_docstrings_are_names_of_the_code() -> None:
    """A name that is nowhere but in docstrings was given up, or never was."""
    named: set[tuple[str, str]] = set()
    words = {"tests", "benchmarks", *sys.stdlib_module_names}
    words |= {path.stem for path in (ROOT / "tests").rglob("*.py")}
    for path in PACKAGE.rglob("*"):
        words.update(re.findall(r"\w+", path.name))
        if path.suffix != ".py":
            continue
        text = path.read_text("utf-8")
        code = text.splitlines()
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
                said, end = str(node.value.value), node.end_lineno or node.lineno
                named |= {(path.name, name) for name in NAMED.findall(said)}
                code[node.lineno - 1 : end] = [""] * (end - node.lineno + 1)
        words.update(re.findall(r"\w+", "\n".join(code)))
    assert len(named) > 300
    assert sorted(pair for pair in named if not words.issuperset(pair[1].split("."))) == []


def test_tests_that_are_named_are_there() -> None:
    """In a benchmark that runs them, and in what is said of how to run them."""
    pages = [PAGE, ROOT / "README.md", *(ROOT / "tests").rglob("*.py")]
    named = [m for page in pages for m in NAMED_TEST.finditer(page.read_text("utf-8"))]
    assert len(named) > 25
    for found in named:
        module = ROOT / found[1].replace(".", "/") if found[1] else ROOT / found[0].split("::")[0]
        path = next(
            (p for p in (module, module.with_suffix(".py"), module / "__main__.py") if p.is_file()),
            None,
        )
        assert path is not None, found[0]
        assert found[0].partition("::")[2] in path.read_text("utf-8"), found[0]


def test_every_room_says_what_it_is_for() -> None:
    assert [str(room) for room in rooms() if not docstring(room)] == []


def test_the_table_of_rooms_is_current() -> None:
    page = PAGE.read_text("utf-8")
    assert page == page_with_rooms(page)


def test_every_outside_test_names_what_it_is_held_against() -> None:
    """A test whose expected value is our own arithmetic is a good test, but not an outside one."""
    told = dict(outside_tests())
    assert len(told) > 100
    nameless = [test for test, said in told.items() if not SOURCES.search(said)]
    reckoned = [test for test, said in told.items() if OWN.match(said)]
    assert (nameless, reckoned) == ([], [])


def test_the_two_ways_through_the_house_go_by_functions_that_are_there() -> None:
    way = PAGE.read_text("utf-8").partition("## Two ways")[2].partition("\n## ")[0]
    named = re.findall(r"`([a-z_/]+)\.([A-Za-z_.]+)`", way)
    assert len(named) > 15
    for module, names in named:
        found: object = import_module(f"commission_tui.{module.replace('/', '.')}")
        for name in names.split("."):
            found = getattr(found, name)
        assert callable(found)
