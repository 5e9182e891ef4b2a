"""Knows the commands, loads each only when it is wanted, and turns every refusal into one line and
an exit code."""

from __future__ import annotations

import contextlib
import importlib
import io
import os
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from oilchart import __version__
from oilchart.cli.context import AppContext
from oilchart.cli.types import DAY
from oilchart.errors import FaultyList, OilchartError, UnreadableWords, nearest

COMMANDS = {
    "demo": "demo",
    "init": "shops",
    "models": "models",
    "owner": "owners",
    "machine": "machines",
    "use": "machines",
    "checkin": "jobs",
    "waiting": "jobs",
    "ready": "jobs",
    "collected": "jobs",
    "serviced": "machines",
    "electrical": "jobs",
    "schedule": "schedules",
    "card": "cards",
    "checklist": "papers",
    "record": "papers",
    "due": "schedules",
    "calls": "calls",
    "called": "calls",
    "board": "board",
    "calendar": "calendars",
    "letters": "letters",
}
OUR_ERROR, WRONG_USAGE, STOPPED = 1, 2, 130


class Program(click.Group):
    """The group of all commands. A refusal is one line on stderr: exit 1 for ours, 2 for wrong
    usage, 130 for Ctrl-C."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All names, in the order of a machine's life."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load a command's module and find it there; a module has its commands by their names."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"oilchart.cli.{COMMANDS[cmd_name]}")
        command: click.Command = getattr(module, f"{cmd_name}_command")
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; of one that is not there, say which come nearest."""
        if args[0] not in COMMANDS and not args[0].startswith("-"):
            ctx.fail(f'command "{args[0]}": there is no such command{nearest(args[0], COMMANDS)}')
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; Ctrl-C ends it."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            if sys.stderr.isatty():
                click.echo(err=True)  # below the ^C
            raise click.Abort from None

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        *rest: Any,
        **extra: Any,
    ) -> Any:
        """Run a command line to its exit code."""
        extra["standalone_mode"] = False
        _ready_stdout()
        try:
            code = super().main(args, prog_name or "oilchart", *rest, **extra)
            sys.stdout.flush()
        except click.exceptions.NoArgsIsHelpError as error:
            click.echo(error.ctx.get_help() if error.ctx else "", err=True)
            code = WRONG_USAGE
        except click.UsageError as error:
            code = _refuse(
                f"{' '.join(error.format_message().split())} (see: {_path(error)} --help)",
                WRONG_USAGE,
            )
        except click.ClickException as error:
            code = _refuse(error.format_message(), OUR_ERROR)
        except FaultyList as error:
            code = _refuse("\n".join(error.faults), OUR_ERROR)
        except UnreadableWords as error:
            code = _refuse("\n".join([" ".join(str(error).split()), *error.below]), OUR_ERROR)
        except OilchartError as error:
            code = _refuse(" ".join(str(error).split()), OUR_ERROR)
        except click.Abort:
            code = _refuse("stopped; nothing was left half done", STOPPED)
        except BrokenPipeError:
            _leave_stdout()
            code = OUR_ERROR
        except OSError as error:  # of stdout, or of a folder that cannot even be looked into
            _leave_stdout()
            code = _refuse(
                f"{error.filename or 'stdout'}: cannot be used: {error.strerror}", OUR_ERROR
            )
        sys.exit(code if isinstance(code, int) else 0)


@click.group(cls=Program, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="oilchart")
@click.option(
    "--shop",
    "folder",
    metavar="FOLDER",
    envvar="OILCHART_SHOP",
    default=".",
    type=click.Path(path_type=Path),
    help="The shop folder; else OILCHART_SHOP, else the folder you stand in.",
)
@click.option("--today", type=DAY, metavar="DATE", help="Reckon as of this day, like 2026-11-25.")
@click.pass_context
def main(ctx: click.Context, folder: Path, today: date | None) -> None:
    """Keep revived sewing machines alive: oiling points and hours of use in, care cards,
    checklists, calls and due dates out."""
    ctx.obj = AppContext(folder=folder, given_day=today, clock_day=date.today())  # noqa: DTZ011 - the one reading of the clock


def _refuse(line: str, code: int) -> int:
    click.echo(f"oilchart: {line}", err=True)
    return code


def _ready_stdout() -> None:
    """Make stdout one that can be written to, closed or not, and that takes every letter, if only
    as a question mark."""
    if sys.stdout is None:
        sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - it stays open to the end
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def _leave_stdout() -> None:
    """Turn stdout away from where nothing can be written, so that nothing is tried again at the
    end."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _path(error: click.UsageError) -> str:
    return error.ctx.command_path if error.ctx else "oilchart"
