"""The commands of the program as click knows them, so that whoever tries them all misses none."""

from __future__ import annotations

import re
from collections.abc import Iterator

import click

# of a service told as a whole: the mains test was made, and nobody is there to be asked
TESTED = ("--check", "R. Amsel=pass", "--yes")


def besides_change(stderr: str) -> str:
    """What a command says on stderr, but for the line by which number its change is taken back."""
    return re.sub(
        r"^Change (\d+); to take it back: oilchart undo \1\n", "", stderr, flags=re.MULTILINE
    )


def commands_of(group: click.Group, before: str = "") -> Iterator[tuple[str, click.Command]]:
    """Every command that can be run below a group, loaded, by the words it is called with."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        called = f"{before}{name}"
        if isinstance(command, click.Group):
            yield from commands_of(command, f"{called} ")
        if not isinstance(command, click.Group) or command.invoke_without_command:
            yield called, command
