"""A command group that imports a command only when it is asked for."""

from __future__ import annotations

import importlib
from typing import Any

import click


class LazyGroup(click.Group):
    """Commands by name as ``module:attribute``; start-up pays for the one that runs."""

    def __init__(self, *args: Any, lazy: dict[str, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._lazy = lazy or {}

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [*self._lazy, *super().list_commands(ctx)]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self._lazy:
            return super().get_command(ctx, cmd_name)
        module, _, attribute = self._lazy[cmd_name].partition(":")
        command: click.Command = getattr(importlib.import_module(module), attribute)
        return command
