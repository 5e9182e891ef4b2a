"""Options that several commands share."""

from __future__ import annotations

import functools
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click

from oilchart import bounds
from oilchart.cli.types import DAY, TOLD
from oilchart.cli.word_types import NEED
from oilchart.core.point_lists.point_list import Need
from oilchart.core.records.job import Danger
from oilchart.core.records.unregistered_machine import UnregisteredMachine

out_option = click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help='Write to FILE; "-" is stdout.',
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
yes_option = click.option(
    "--yes", is_flag=True, help=f"Keep days more than {bounds.YEARS_AHEAD} years ahead, unasked."
)
as_said_option = click.option(
    "--as-said",
    is_flag=True,
    help="Keep words that are not clear as they were said, to be asked about again.",
)
all_option = click.option(
    "--all",
    "of_all",
    is_flag=True,
    help="Of all machines of an owner, named in MACHINE's place.",
)
can_option = click.option(
    "--can", "can", multiple=True, type=NEED, help="What the owner can do at home beside the usual."
)


def danger_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options by which a machine is told to be unsafe; given to the command as `unsafe`, why,
    and `danger`."""

    @functools.wraps(command)
    def with_danger(*args: Any, unsafe: str | None, mechanical: bool, **others: Any) -> None:
        if mechanical and not unsafe:
            raise click.UsageError("--mechanical: says of which kind --unsafe is; give both")
        danger = Danger.MECHANICAL if mechanical else None
        command(*args, unsafe=unsafe, danger=danger, **others)

    for option in (
        click.option(
            "--mechanical",
            is_flag=True,
            help="With --unsafe: not its mains side; it must not be used at all.",
        ),
        click.option(
            "--unsafe",
            type=TOLD,
            metavar="WHY",
            help="It must not be plugged in, or not be used: why. No care card until put right.",
        ),
    ):
        with_danger = option(with_danger)
    return with_danger


def model_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options that describe a machine that is in no book, given to the command as one value,
    `unregistered`."""

    @functools.wraps(command)
    def with_unregistered(
        *args: Any,
        model: str | None,
        words: str | None,
        serviced: date | None,
        conditions: tuple[str, ...],
        can: tuple[Need, ...],
        **others: Any,
    ) -> None:
        command(
            *args,
            unregistered=UnregisteredMachine(
                model=model, words=words, serviced=serviced, conditions=conditions, can=can
            ),
            **others,
        )

    for option in (
        can_option,
        click.option(
            "--condition",
            "conditions",
            multiple=True,
            metavar="NAME",
            help="It works under this, like lint (with --model).",
        ),
        click.option(
            "--serviced", type=DAY, metavar="DATE", help="Its last service (with --model)."
        ),
        click.option(
            "--use",
            "words",
            metavar="WORDS",
            help='What the owner says, like "5-8 hours a week" (with --model).',
        ),
        click.option(
            "--model", metavar="MODEL", help="A machine of this model that is in no book."
        ),
    ):
        with_unregistered = option(with_unregistered)
    return with_unregistered


def check_one_form(machine: str | None, model: str | None, **only_with_model: object) -> None:
    """A machine of the book, or a model: one of them, and the model's options only with it.

    Raises:
        click.UsageError
    """
    if (machine is None) == (model is None):
        raise click.UsageError("name a machine of the book, or give --model; one of them")
    given = [f"--{name}" for name, value in only_with_model.items() if value]
    if machine is not None and given:
        raise click.UsageError(
            f"{', '.join(given)}: only with --model; for a machine of the book record it instead"
        )
