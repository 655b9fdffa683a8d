"""A command group that imports a command only when it runs; its help needs none of them."""

from __future__ import annotations

import importlib
import keyword
from collections.abc import Mapping
from typing import Any

import click


class LazyGroup(click.Group):
    """Commands by the module that each is a function of; start-up pays for the one that runs."""

    def __init__(
        self,
        *args: Any,
        modules: Mapping[str, str],
        summaries: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        """Make a group of the commands that each module of this package has, named with spaces between.

        A summary is what the help says of a command, so that it is not imported; their order is the
        commands'.
        """
        super().__init__(*args, **kwargs)
        self._module = {
            name: f"{__package__}.{module}"
            for module, names in modules.items()
            for name in names.split()
        }
        self._summaries = summaries or {}

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 (click's)
        return [*(self._summaries or self._module)]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in self._module:
            return None
        function = f"{cmd_name}_" if keyword.iskeyword(cmd_name) else cmd_name
        module = importlib.import_module(self._module[cmd_name])
        command: click.Command = getattr(module, function)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        names = self.list_commands(ctx)
        room = formatter.width - 6 - max(len(name) for name in names)
        rows = [(name, self._summary(ctx, name, room)) for name in names]
        with formatter.section("Commands"):
            formatter.write_dl(rows)

    def _summary(self, ctx: click.Context, name: str, room: int) -> str:
        """Return the first sentence of a command's help, cut as the library cuts it."""
        if name in self._summaries:
            return click.Command(name, help=self._summaries[name]).get_short_help_str(room)
        command = self.get_command(ctx, name)
        return command.get_short_help_str(room) if command is not None else ""
