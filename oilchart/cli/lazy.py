"""Groups that list their commands without loading them; each is loaded when it is run."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import Any, NamedTuple

import click


class Lazy(NamedTuple):
    """A command before it is loaded: the module of `cli/commands/` it stands in, and the first
    sentence of its help."""

    module: str
    help: str


class LazyGroup(click.Group):
    """A group with commands that are only loaded when they are run.

    Args:
        lazy: those commands, by name; a module has them by their names.
    """

    def __init__(self, *args: Any, lazy: Mapping[str, Lazy], **options: Any) -> None:
        super().__init__(*args, **options)
        self.lazy = lazy
        for name, each in lazy.items():
            self.add_command(click.Command(name, help=each.help))  # stands for it until it is run

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """A command, loaded if need be."""
        if cmd_name not in self.lazy:
            return super().get_command(ctx, cmd_name)
        module = importlib.import_module(f"oilchart.cli.commands.{self.lazy[cmd_name].module}")
        command: click.Command = getattr(module, f"{cmd_name.replace('-', '_')}_command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands with their first sentences, without loading any."""
        names = self.list_commands(ctx)
        room = formatter.width - 6 - max(map(len, names))
        listed = [(name, self.commands[name].get_short_help_str(room)) for name in names]
        with formatter.section("Commands"):
            formatter.write_dl(listed)
