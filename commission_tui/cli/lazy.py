"""A command group that imports a command only when it runs; its help needs none of them."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import Any

import click


class LazyGroup(click.Group):
    """Commands by name as ``module:attribute``; start-up pays for the one that runs."""

    def __init__(
        self,
        *args: Any,
        lazy: dict[str, str] | None = None,
        summaries: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        """Make a group; a summary is what the help says of a command, so that it is not imported."""
        super().__init__(*args, **kwargs)
        self._lazy = lazy or {}
        self._summaries = summaries or {}

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [*self._lazy, *super().list_commands(ctx)]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self._lazy:
            return super().get_command(ctx, cmd_name)
        module, _, attribute = self._lazy[cmd_name].partition(":")
        command: click.Command = getattr(importlib.import_module(module), attribute)
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
