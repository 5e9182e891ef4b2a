"""The group of all commands: each is loaded when it is run; every refusal is one line and an exit
code."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import click

from oilchart import __version__
from oilchart.cli.invocation import CHANGES_MADE, COMMAND_LINE, Invocation
from oilchart.cli.lazy import Lazy, LazyGroup
from oilchart.cli.terminal import guarded, harmless_words
from oilchart.cli.types import DAY_AS_OF
from oilchart.ending import forget_recorded, is_recorded
from oilchart.errors import (
    CannotWrite,
    FaultyList,
    NoBook,
    OilchartError,
    UnclearWords,
    UnreadableWords,
    WrongValue,
    elsewhere,
    nearest,
    quoted,
)

COMMANDS = {
    "demo": Lazy(
        "demo",
        "Make an invented shop with two years of history, write every paper from it, and show "
        "who is due.",
    ),
    "init": Lazy(
        "init",
        "Make a new shop folder: settings, shop book, lists and templates of your own, papers.",
    ),
    "models": Lazy("models", "List the models, show a model's point list, check lists for faults."),
    "owner": Lazy("owners", "Add, change, show and list owners."),
    "machine": Lazy("machines", "Add, change, show and list machines."),
    "use": Lazy(
        "machines",
        "Record what an owner says about their sewing, in their own words; what was "
        "understood is said back.",
    ),
    "checkin": Lazy(
        "checkin",
        "Note that a machine came into the shop, and what is wrong in its owner's words.",
    ),
    "tag": Lazy("papers.tags", "Print the tag of a machine that is in the shop once more."),
    "in-shop": Lazy(
        "in_shop",
        "List the machines in the shop: in what state each is, since when it is here, by when it "
        "is to be ready, how many of its points are done, and its complaint.",
    ),
    "bench": Lazy("jobs", "Note that a machine in the shop is on the bench, or soaks."),
    "waiting": Lazy(
        "jobs",
        'Note what a machine in the shop waits for: a part, or its owner\'s answer; "" when it '
        "waits no more.",
    ),
    "parts": Lazy(
        "in_shop",
        "List the parts that are wanted: to order, ordered, or here; also for machines that went "
        "home without them.",
    ),
    "part-arrived": Lazy(
        "jobs",
        "Note that a part is here that a machine waits for; PART is its name or a piece of it, "
        "where there are several.",
    ),
    "photo": Lazy(
        "photos",
        "Keep photos of a machine with its stay: turned upright, scaled to print size, and without "
        "place, time or any other word that the camera has put into them.",
    ),
    "ready": Lazy("jobs", "Note that a machine can be collected; whom to ring is said."),
    "collected": Lazy("jobs", "Note that a machine went back to its owner; its use starts again."),
    "serviced": Lazy("services", "Record a service, or more of the one of the same stay."),
    "service": Lazy("corrections", "Mend a service that was written down wrongly."),
    "stay": Lazy("corrections", "Mend a stay in the shop that was written down wrongly."),
    "fixed": Lazy(
        "safety",
        "Record what was put right at a machine: a repair, which is no service and moves no day.",
    ),
    "electrical": Lazy("safety", "Record a check of a machine's mains side."),
    "unsafe": Lazy(
        "safety",
        "Note that a machine must not be plugged in, and why; with --mechanical, or where it has "
        "no plug, that it must not be used.",
    ),
    "safe": Lazy("safety", "Note that a machine that must not be used was put right, and how."),
    "schedule": Lazy(
        "schedules",
        "Show a machine's interval schedule: of a machine in the book, or of any machine of a "
        "model.",
    ),
    "card": Lazy(
        "papers.cards",
        "Print care cards for owners, as PDF; for a machine found unsafe the do-not-plug-in sheet.",
    ),
    "checklist": Lazy(
        "papers.checklists",
        "Print a bench checklist: a PDF, or a page for the screen over the bench if FILE ends "
        "in .html.",
    ),
    "record": Lazy(
        "papers.records",
        "Print the record of a machine's latest stay, or of its latest service without one, for "
        "its owner: what was told, found, put right, serviced and not done, by whom, and the next "
        "service.",
    ),
    "due": Lazy("due", "List the machines that are overdue and due soon, the worst first."),
    "calls": Lazy(
        "papers.calls",
        "List the follow-up calls of the coming weeks; with -o a sheet with whom to ring, "
        "what to say and to ask, and boxes to tick.",
    ),
    "tell": Lazy(
        "tell",
        "Tell what to read out to an owner who rings: what to oil with and how often, the needles "
        "and which side the flat faces, what never to do, what was done last and what comes next.",
    ),
    "called": Lazy("called", "Record what came of a call; what follows from it is said."),
    "board": Lazy(
        "papers.board",
        "Write the shop's state as one page: who is overdue, what is in the shop, the calls "
        "by day and the services ahead.",
    ),
    "calendar": Lazy(
        "papers.calendars",
        "Write a calendar file (iCalendar) that any calendar program takes in, again and "
        "again: the follow-up calls, or with --services the services ahead, or of a machine "
        "what its owner does each month and more seldom, and its next service.",
    ),
    "letters": Lazy(
        "papers.letters",
        "Write letters for window envelopes: to owners who are better written to than rung, "
        "or to all whose machines are due.",
    ),
    "undo": Lazy("undo", "Take back what a command changed: the last one, or that of a number."),
    "clock": Lazy(
        "clock",
        "List what the book has of days after today, as a clock that ran ahead leaves it; with "
        "--set-to it gets the day that was meant.",
    ),
}
IN_THE_WAY, WRONG_USAGE, STOPPED = 1, 2, 130


class _Unheard(OSError):
    """Nobody reads stdout any more; click would leave without a word at a `BrokenPipeError`."""


class Program(LazyGroup):
    """The group of all commands. A refusal is one line on stderr: exit 2 for a command line that
    cannot be, 1 for whatever else is in the way, 130 where an answer that was asked for is not
    given."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All names, in the order of a machine's life."""
        return list(COMMANDS)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; of one that is not there, say which come nearest."""
        if args[0] not in COMMANDS and not args[0].startswith("-"):
            ctx.fail(
                f"command {quoted(args[0])}: there is no such command{nearest(args[0], COMMANDS)}"
            )
        ctx.meta[COMMAND_LINE] = tuple(args)
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command, and say by which number what it changed is taken back."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError as error:
            raise _Unheard(None, error.strerror) from error
        finally:
            for number in ctx.meta.get(CHANGES_MADE, ()):
                click.echo(f"Change {number}; to take it back: oilchart undo {number}", err=True)

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        *rest: Any,
        **extra: Any,
    ) -> Any:
        """Run a command line to its exit code."""
        extra["standalone_mode"] = False
        forget_recorded()
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
            code = _refuse(error.format_message(), IN_THE_WAY)
        except FaultyList as error:
            code = _refuse("\n".join(error.faults), IN_THE_WAY)
        except (
            UnreadableWords
        ) as error:  # what is still to be asked is a matter of the command line
            why = WRONG_USAGE if isinstance(error, UnclearWords) else IN_THE_WAY
            code = _refuse("\n".join([" ".join(str(error).split()), *error.below]), why)
        except OilchartError as error:
            code = _refuse(" ".join(_words(error).split()), IN_THE_WAY)
        except click.Abort:  # an answer that is asked for was refused, by the end of input
            code = _refuse("stopped; nothing was left half done", STOPPED)
        except OSError as error:  # of stdout, or of a folder that cannot even be looked into
            _leave_stdout()
            code = IN_THE_WAY
            if is_recorded() or not isinstance(error, BrokenPipeError | _Unheard):
                _refuse(_trouble(error), code)
        sys.exit(code if isinstance(code, int) else 0)


@click.group(cls=Program, lazy=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]})
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
@click.option("--today", metavar="DATE", help="Reckon as of this day, like 2026-11-25.")
@click.pass_context
def main(ctx: click.Context, folder: Path, today: str | None) -> None:
    """Keep revived sewing machines alive: oiling points and hours of use in, care cards,
    checklists, calls and due dates out."""
    clock_day = date.today()  # noqa: DTZ011 - the one reading of the clock
    ctx.obj = Invocation(folder=folder, given_day=None, clock_day=clock_day)
    if today is not None:
        param = next(each for each in ctx.command.params if each.name == "today")
        ctx.obj = replace(ctx.obj, given_day=DAY_AS_OF.convert(today, param, ctx))


def _refuse(line: str, code: int) -> int:
    """Say why a run ends, and what it has recorded before; what was typed may be repeated in it."""
    before = "recorded; " if is_recorded() else ""
    click.echo(f"oilchart: {before}{harmless_words(line)}", err=True)
    return code


def _words(error: OilchartError) -> str:
    """What a refusal says, with the option by which a wrong value was or a shop can be given, and
    without the promise that nothing was changed where something was."""
    if isinstance(error, CannotWrite):
        return error.line(recorded=is_recorded())
    if isinstance(error, WrongValue):
        return error.line(f"--{error.name}")
    if isinstance(error, NoBook):
        remedy = 'name a shop folder with --shop, or make one with "oilchart init FOLDER"'
        return f"{error}; {remedy}"
    return str(error)


def _trouble(error: OSError) -> str:
    """What is wrong with a folder, or with where the answer goes."""
    if error.filename is None and is_recorded():
        return f"what was to be said could not be written to stdout: {error.strerror}"
    if error.filename is None:
        remedy = elsewhere(error, "choose a file")
        return f"stdout: cannot be used: {error.strerror}; {remedy}"
    return f"{error.filename}: cannot be used: {error.strerror}"


def _ready_stdout() -> None:
    """Make stdout one that can be written to, closed or not, and that takes every letter, if only
    as a question mark; and neither stream one by which a text could steer a terminal."""
    if sys.stdout is None:
        sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - it stays open to the end
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    sys.stdout, sys.stderr = guarded(sys.stdout), guarded(sys.stderr)


def _leave_stdout() -> None:
    """Turn stdout away from where nothing can be written, so that nothing is tried again at the
    end."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _path(error: click.UsageError) -> str:
    return error.ctx.command_path if error.ctx else "oilchart"
