"""Every key of the wall file explained, from its model: as a page, and as comments in a file."""

from __future__ import annotations

import ast
import inspect
import json
import sys
import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from commission_tui.validation_errors import shape
from commission_tui.wall.model.file_model import WallFile

_WIDTH = 96
_LEFT_OUT = " when left out"
_ONE_OF_MANY = frozenset({"cabinet_types"})
"""Tables that have a name of their own after the point."""

_INTRODUCTION = """\
# The wall file

One TOML file says what the wall was designed to be. `commission-tui wall new` asks for it and writes
it, `commission-tui wall review` says what follows from it. A file that is not sound is refused with
one line for each thing that is wrong: file, key, what was found, what was expected.

Places are as seen from the front: `R1C1` is the cabinet at the top left; ranges go from the top left
to the bottom right, `R1C1:R2C6`. Lengths are in mm or m, weights in kg, as the key's ending says.

This page is made from the models that read the file: `commission-tui wall keys`.
"""


@dataclass(frozen=True, slots=True)
class KeyHelp:
    """One key: what it takes, whether it must stand there, what it says."""

    key: str
    takes: str
    standard: str
    """What holds when it is left out: `must be there`, `may be left out` or a value."""
    says: str


@dataclass(frozen=True, slots=True)
class TableHelp:
    """One table of the file."""

    key: str
    heading: str
    says: str
    keys: tuple[KeyHelp, ...]


def tables() -> tuple[TableHelp, ...]:
    """Return every table that may stand in a wall file, in their order."""
    found = []
    explained = _Explained()
    for name, field in WallFile.model_fields.items():
        model, many = _model_of(field.annotation)
        heading = f"[[{name}]]" if many else f"[{name}]"
        if name in _ONE_OF_MANY:
            heading = f"[{name}.NAME]"
        says = inspect.getdoc(model) or ""
        found.append(TableHelp(name, heading, says, tuple(_keys(model, explained))))
    return tuple(found)


def _model_of(annotation: Any) -> tuple[type[BaseModel], bool]:
    """Return the model in an annotation, and whether there may be several in a list."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, False
    inner = [a for a in annotation.__args__ if a is not type(None) and a is not Ellipsis]
    model, _ = _model_of(inner[-1])
    return model, getattr(annotation, "__origin__", None) is tuple


def _keys(model: type[BaseModel], explained: _Explained) -> Iterator[KeyHelp]:
    schema = model.model_json_schema()
    meanings = explained.keys_of(model)
    for name, field in model.model_fields.items():
        standard = "must be there" if field.is_required() else _standard(field.default)
        yield KeyHelp(name, _takes(schema["properties"][name]), standard, meanings[name])


class _Explained:
    """What stands below the keys of models in their source, of which each module is parsed once."""

    def __init__(self) -> None:
        self._modules: dict[str, dict[str, list[ast.stmt]]] = {}

    def keys_of(self, model: type[BaseModel]) -> dict[str, str]:
        """Return key to what stands below it."""
        if model.__module__ not in self._modules:
            parsed = ast.parse(inspect.getsource(sys.modules[model.__module__]))
            classes = (line for line in parsed.body if isinstance(line, ast.ClassDef))
            self._modules[model.__module__] = {one.name: one.body for one in classes}
        found: dict[str, str] = {}
        last = ""
        for line in self._modules[model.__module__][model.__name__]:
            if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name):
                last = line.target.id
            elif isinstance(line, ast.Expr) and isinstance(line.value, ast.Constant) and last:
                found[last] = " ".join(str(line.value.value).split())
        return found


def _standard(default: Any) -> str:
    if default is None or default == ():
        return "may be left out"
    return f"{toml_value(default)}{_LEFT_OUT}"


def _takes(schema: Mapping[str, Any]) -> str:
    """Say in words what a JSON schema takes."""
    known = [part for part in schema.get("anyOf", [schema]) if part.get("type") != "null"]
    (one,) = known
    if "enum" in one:
        *others, last = map(toml_value, one["enum"])
        return f"{', '.join(others)} or {last}" if others else last
    if one["type"] == "array":
        return f"list of {_takes(one['items'])}"
    if one["type"] == "string":
        return shape(one.get("pattern", "")) or "text"
    return ("whole number" if one["type"] == "integer" else "number") + _range(one)


def _range(schema: Mapping[str, Any]) -> str:
    words = {
        "minimum": "from",
        "exclusiveMinimum": "above",
        "maximum": "to",
        "exclusiveMaximum": "below",
    }
    return "".join(f" {word} {schema[key]:.15g}" for key, word in words.items() if key in schema)


def page() -> str:
    """Return the page that explains every key, as Markdown."""
    lines = [_INTRODUCTION]
    for table in tables():
        lines += [f"## `{table.heading}`", "", table.says, ""]
        lines += ["| key | takes | left out | what it says |", "| --- | --- | --- | --- |"]
        lines += [
            f"| `{k.key}` | {k.takes} | {k.standard.removesuffix(_LEFT_OUT)} | {k.says} |"
            for k in table.keys
        ]
        lines.append("")
    return "\n".join(lines)


def toml_value(value: Any) -> str:
    """Write a value as TOML; a JSON string is a TOML basic string, but for the raw DEL that JSON allows."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return f"{value:.15g}"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(toml_value, value)) + "]"
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def commented(data: Mapping[str, Any]) -> str:
    """Write a wall file from its data, every key that may stand there explained by a comment.

    What the data does not say stands there as a comment that only wants its `#` taken away and its
    value filled in.
    """
    lines: list[str] = []
    for table in tables():
        there = data.get(table.key)
        lines += ["", *_comment(table.says)]
        if not there:
            lines += [f"# {table.heading}", *_rows(table, {}, explained=True)]
        elif isinstance(there, list):
            for number, row in enumerate(there):
                lines += [*([""] if number else []), table.heading, *_rows(table, row, number == 0)]
        elif table.key in _ONE_OF_MANY:
            for number, (name, row) in enumerate(there.items()):
                lines += [f"[{table.key}.{name}]", *_rows(table, row, number == 0)]
        else:
            lines += [table.heading, *_rows(table, there, explained=True)]
    return "\n".join([*lines, ""])


def _rows(table: TableHelp, row: Mapping[str, Any], explained: bool) -> Iterator[str]:
    for key in table.keys:
        if explained:
            yield from _comment(f"{key.says} ({key.takes}; {key.standard})")
        if key.key in row:
            yield f"{key.key} = {toml_value(row[key.key])}"
        elif explained:
            yield f"# {key.key} ="


def _comment(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent="# ", subsequent_indent="# ")
