"""Every computation of the engineering floor, by subject and name.

The commands are made from the functions themselves: each public module is a subject, parameters
become options, annotations and docstrings the help, so that what is new is reachable at once.
"""

from __future__ import annotations

import dataclasses
import enum
import importlib
import inspect
import pkgutil
import re
import types
import typing
from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from typing import Any

import click

from commission_tui import engineering
from commission_tui.cli.design.calc_shortcuts import SHORTCUTS, figure_text
from commission_tui.cli.options import json_option
from commission_tui.cli.output import answer, jsonable
from commission_tui.engineering.numeric.bounds import noted
from commission_tui.engineering.numeric.quantity_text import parse_quantity
from commission_tui.engineering.viewing.camera import parse_shutter_s
from commission_tui.errors import InputError
from commission_tui.text import quoted, upper_first

_GROUND = frozenset({"bounds", "error_parts", "monte_carlo", "rounding"})
"""Modules that the subjects stand on; nobody computes with one alone."""


@cache
def subjects() -> Mapping[str, str]:
    """Return every subject, which is a public module of the engineering floor, with its full name."""
    found = pkgutil.walk_packages(engineering.__path__, f"{engineering.__name__}.")
    names = {module.name.rpartition(".")[2]: module.name for module in found if not module.ispkg}
    return {
        subject: name
        for subject, name in names.items()
        if not subject.startswith("_") and subject not in _GROUND
    }


class _Calc(click.Group):
    """Shortcuts first, then the subjects, each imported when asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 (click's)
        return [*sorted(SHORTCUTS), *(name.replace("_", "-") for name in subjects())]

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002 (click's)
        cmd_name: str,
    ) -> click.Command | None:
        if cmd_name in SHORTCUTS:
            return SHORTCUTS[cmd_name]
        subject = cmd_name.replace("-", "_")
        return _subject(subject) if subject in subjects() else None


@click.group(cls=_Calc)
def calc() -> None:
    """Compute one thing: timing, load, current, contrast, shutter and so on.

    A list is written 1,2,3; a list of lists 1,2;3,4; places with values R1C1=200,R1C2=203; a
    timing 2400x1200@60,rb1; bytes in hexadecimal.
    """


def public_functions(subject: str) -> dict[str, Callable[..., Any]]:
    """Return the functions of a subject that numbers and text alone can call."""
    module = importlib.import_module(subjects()[subject])
    return {
        name: item
        for name, item in vars(module).items()
        if inspect.isfunction(item)
        and not name.startswith("_")
        and item.__module__ == module.__name__
        and all(map(_form, _hints(item).values()))
    }


def _subject(subject: str) -> click.Group:
    module = importlib.import_module(subjects()[subject])
    group = click.Group(subject.replace("_", "-"), help=_first_line(module))
    for name, function in public_functions(subject).items():
        group.add_command(_command(name, function))
    return group


def _first_line(item: object) -> str:
    return (inspect.getdoc(item) or "").split("\n\n", 1)[0].replace("\n", " ").replace("``", "'")


def _command(name: str, function: Callable[..., Any]) -> click.Command:
    hints, meanings = _hints(function), _meanings(function)
    options: list[click.Parameter] = []
    for parameter in inspect.signature(function).parameters.values():
        written, _ = _form(hints[parameter.name]) or ("", None)
        options.append(
            click.Option(
                [_option(parameter.name), parameter.name],
                required=parameter.default is inspect.Parameter.empty,
                help=f"{meanings.get(parameter.name, '')} {_left_out(parameter.default)}".strip(),
                metavar=written,
            )
        )

    @json_option
    def run(**given: str | None) -> None:
        values = {
            key: _read(_option(key), text, hints[key])
            for key, text in given.items()
            if text is not None
        }
        _show(name, _called(function, values), _unit_of(function), values)

    command = click.command(name.replace("_", "-"), help=_first_line(function))(run)
    command.params = [*options, *command.params]
    return command


def _left_out(default: Any) -> str:
    """Say what a parameter is when it is left out, as it would be typed; nothing where that is nothing."""
    items = default if isinstance(default, tuple) else (default,)
    if default is inspect.Parameter.empty or not all(
        isinstance(x, int | float | str) for x in items
    ):
        return ""
    words = (
        {True: "yes", False: "no"}[x] if isinstance(x, bool) else figure_text(x) for x in items
    )
    return f"Default: {','.join(words)}." if items else ""


def _option(parameter: str) -> str:
    return f"--{parameter.replace('_', '-')}"


def _called(function: Callable[..., Any], values: dict[str, Any]) -> Any:
    variable = [
        p.name
        for p in inspect.signature(function).parameters.values()
        if p.kind is inspect.Parameter.VAR_POSITIONAL
    ]
    listed = [item for key in variable for item in values.pop(key, ())]
    try:
        return function(*listed, **values)
    except (ValueError, KeyError, OverflowError) as error:
        raise InputError(str(error)) from None


def _show(name: str, result: Any, unit: str, values: Mapping[str, Any]) -> None:
    """Print a result; a single number with its unit, which may be one of the values given."""
    data = jsonable(result)
    shown = data if isinstance(data, dict) else {name: data}
    given = values.get(unit)
    is_number = isinstance(data, int | float) and not isinstance(data, bool)
    behind = f" {given or unit}" if unit and is_number else ""
    answer(
        shown | ({} if given is None else {"unit": given}),
        *(f"{key}: {figure_text(value)}{behind}" for key, value in shown.items()),
    )


def _unit_of(function: Callable[..., Any]) -> str:
    """Return the unit that a function's annotation gives its result, or the parameter that names it."""
    _, limits, _ = noted(typing.get_type_hints(function, include_extras=True)["return"])
    return limits.unit if limits else ""


def _hints(function: Callable[..., Any]) -> dict[str, Any]:
    hints = typing.get_type_hints(function)
    hints.pop("return", None)
    for parameter in inspect.signature(function).parameters.values():
        if parameter.kind is inspect.Parameter.VAR_POSITIONAL:
            hints[parameter.name] = types.GenericAlias(list, (hints[parameter.name],))
    return hints


def _meanings(function: Callable[..., Any]) -> dict[str, str]:
    """Return each parameter's meaning, from its annotation or the docstring, with range and unit."""
    found = _described(inspect.getdoc(function) or "")
    for name, hint in typing.get_type_hints(function, include_extras=True).items():
        _, limits, meaning = noted(hint)
        words = [found.get(name, ""), meaning]
        if limits:
            words += [limits.words, limits.unit and f"[{limits.unit}]"]
        found[name] = ", ".join(filter(None, words))
    return {name: f"{upper_first(meaning)}." for name, meaning in found.items() if meaning}


def _described(doc: str) -> dict[str, str]:
    """Return what the numpydoc section says of the parameters whose meaning takes more than a line."""
    section = re.search(r"Parameters\n-+\n(.*?)(?:\n\n[A-Z]|\Z)", doc, re.DOTALL)
    meanings: dict[str, str] = {}
    for names, text in re.findall(
        r"^([*\w, ]+?) : .*\n((?:    .*\n?)*)", section[1] if section else "", re.M
    ):
        for name in names.replace("*", "").split(","):
            meanings[name.strip()] = " ".join(text.split()).rstrip(".")
    return meanings


_FORMS: Mapping[Any, tuple[str, Callable[[str], Any]]] = {
    float: ("NUMBER", partial(parse_quantity, unit="")),
    int: ("WHOLE", int),
    str: ("TEXT", str),
    bool: ("yes|no", lambda text: {"yes": True, "no": False}[text.lower()]),
    bytes: ("HEX", bytes.fromhex),
}


def _plain_hint(hint: Any) -> Any:
    """Take the one real type out of ``X | None``; of several, the text that all of them allow."""
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        inner = [item for item in typing.get_args(hint) if item is not type(None)]
        return inner[0] if len(inner) == 1 else (str if str in inner else inner[-1])
    return hint


def _form(hint: Any) -> tuple[str, Callable[[str], Any]] | None:
    """Return how a value of a type is written and what reads it; None when nobody can type one."""
    plain = _plain_hint(hint)
    kind = typing.get_origin(plain) or plain
    if plain in _FORMS:
        return _FORMS[plain]
    if kind is typing.Literal:
        words = {str(item): item for item in typing.get_args(plain)}
        return "|".join(words), words.__getitem__
    if kind is Callable:
        return None
    if kind.__name__ == "Timing":
        return "WIDTHxHEIGHT@RATE[,rb1|rb2]", _timing
    if dataclasses.is_dataclass(kind):
        return ("LIST", partial(_numbers_of, kind)) if _of_numbers(kind) else None
    if issubclass(kind, enum.Enum):
        return "LIST", kind
    if issubclass(kind, Mapping):
        return "PLACE=NUMBER,...", lambda text: dict(_pair(item) for item in text.split(","))
    return "LIST", partial(_listed, plain)


def _of_numbers(kind: Any) -> bool:
    """Whether a dataclass holds nothing but numbers, so that a list can stand for it."""
    hints = typing.get_type_hints(kind)
    return all(hints[item.name] in (int, float) for item in dataclasses.fields(kind))


def _numbers_of(kind: Any, text: str) -> Any:
    """Make a dataclass of numbers from a list."""
    kinds = [typing.get_type_hints(kind)[item.name] for item in dataclasses.fields(kind)]
    return kind(*(made(cell) for made, cell in zip(kinds, text.split(","), strict=False)))


def _timing(text: str) -> Any:
    """Work out the timing of ``2400x1200@60,rb1`` (without a word: normal blanking)."""
    from commission_tui.engineering.signal.video_timing import cvt_timing

    size, _, rest = text.partition("@")
    rate, _, blanking = rest.partition(",")
    width, _, height = size.lower().partition("x")
    return cvt_timing(int(width), int(height), float(rate), blanking or "cvt")  # type: ignore[arg-type]


def _read(option: str, text: str, hint: Any) -> Any:
    written, read = _form(hint) or ("", str)
    try:
        if option == "--shutter-s" and "/" in text:
            return parse_shutter_s(text)
        return read(text)
    except (ValueError, KeyError):
        raise InputError(f"{option}: found {quoted(text)}, expected {written.lower()}") from None


def _pair(text: str) -> tuple[Any, float]:
    place, _, value = text.partition("=")
    cell = re.fullmatch(r"R(\d{1,4})C(\d{1,4})", place.strip(), re.IGNORECASE)
    return (int(cell[1]), int(cell[2])) if cell else place.strip(), float(value)


def _listed(hint: Any, text: str) -> Any:
    """Read a list of numbers or words; with ``;`` a list of such lists."""
    inner = [arg for arg in typing.get_args(hint) if arg is not Ellipsis]
    element = _plain_hint(inner[0]) if inner else float
    if inspect.isclass(element) and dataclasses.is_dataclass(element):
        return [_numbers_of(element, row) for row in text.split(";")]
    if ";" in text or _nested(element):
        return [[float(cell) for cell in row.split(",")] for row in text.split(";")]
    kind = element if element in (int, str) else float
    return [kind(cell.strip()) for cell in text.split(",")]


def _nested(element: Any) -> bool:
    origin = typing.get_origin(element)
    return inspect.isclass(origin) and issubclass(origin, Sequence)
