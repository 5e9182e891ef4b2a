"""Stays in the shop after check-in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import click

from oilchart.cli.asking import at_terminal
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.hearing import tell_unclear
from oilchart.cli.types import DAY, NAME, TOLD, WORDS
from oilchart.core.records.job import Stage
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.wanted_parts import wanted_parts
from oilchart.errors import OilchartError
from oilchart.papers.danger_words import danger_line
from oilchart.papers.stay_words import part_words, state_words
from oilchart.papers.wording import day_words
from oilchart.shop import machines
from oilchart.shop.bench import jobs, waiting
from oilchart.shop.bench.jobs import NothingRecorded
from oilchart.shop.bench.safety import wants_a_check


@click.command("waiting")
@click.argument("machine")
@click.argument("part", type=WORDS, required=False)
@click.option("--part", "named", type=NAME, metavar="PART", help="The part, as the argument.")
@click.option(
    "--ordered",
    "ordered_from",
    type=NAME,
    metavar="FROM",
    help="Where the part was ordered, on that day; to be ordered if left out.",
)
@click.option("--not-wanted", is_flag=True, help="The part is wanted no more.")
@click.option(
    "--owner",
    "question",
    type=TOLD,
    metavar="QUESTION",
    help="What its owner is asked: they are rung today.",
)
@click.option("--answer", type=TOLD, metavar="WORDS", help="What they answered.")
@click.option("--by", type=NAME, metavar="NAME", help="Who answered; the owner if left out.")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def waiting_command(app: AppContext, /, machine: str, on: date | None, **told: Any) -> None:
    """Note what a machine in the shop waits for: a part, or its owner's answer; "" when it waits no
    more. Of a part that is wanted already, though its machine went home, it can be told that it was
    ordered, or is wanted no more.

    \b
    Example: oilchart waiting M-012 "drive belt"
             oilchart waiting M-012 --part "drive belt" --ordered "Ambleworth Parts"
             oilchart waiting M-012 --owner "a new motor lead, 38 pounds?"
             oilchart waiting M-012 --answer "yes, go on" --by "her daughter"
    """
    part, question, answer = _one_of(told)
    ordered_from, by = told["ordered_from"], told["by"] or ""
    if not part and (ordered_from or told["not_wanted"]):
        raise click.UsageError("--ordered, --not-wanted: say of which part, by --part")
    if ordered_from and told["not_wanted"]:
        raise click.UsageError("--ordered and --not-wanted: give one of them")
    if by and answer is None:
        raise click.UsageError("--by: says who answered; give --answer, too")
    day = on or app.today
    with app.shop.book(writing=True) as book:
        if question is not None:
            record = waiting.ask_owner(book, app.shop, machine, question, day)
            phone = record.owner.phone or "no phone"
            words = f"its owner is asked: “{question}”; ring {record.owner.name}, {phone}"
        elif answer is not None:
            record, asked = waiting.answered(book, app.shop, machine, answer, by, day)
            words = f"“{asked.words}” – {asked.answered_by}: “{answer}”"
        elif not part:
            record = waiting.wait_no_more(book, app.shop, machine, day)
            words = "waits no more"
        elif told["not_wanted"]:
            record, found = waiting.want_no_more(book, app.shop, machine, part, day)
            words = f"not wanted any more: {found.words}"
        else:
            wanted = waiting.PartTold(words=part, ordered_from=ordered_from)
            record, found = waiting.want_part(book, app.shop, machine, wanted, day)
            words = f"waits for: {part_words(found)}"
        model = app.shop.list_of(record).name
    tell(record, model, words)


def _one_of(told: dict[str, Any]) -> tuple[str | None, str | None, str | None]:
    """The part, question or answer that is told.

    Raises:
        click.UsageError: none is, or several are.
    """
    if told["part"] is not None and told["named"] is not None:
        raise click.UsageError("PART and --part: give one of them")
    part = told["part"] if told["named"] is None else told["named"]
    question, answer = told["question"], told["answer"]
    if sum(each is not None for each in (part, question, answer)) != 1:
        raise click.UsageError("say what it waits for: PART, or --owner, or --answer; one of them")
    return part, question, answer


@click.command("bench")
@click.argument("machine")
@click.option("--soaking", is_flag=True, help="It soaks, and is left alone for so long.")
@pass_app
def bench_command(app: AppContext, machine: str, soaking: bool) -> None:
    """Note that a machine in the shop is on the bench, or soaks. What is recorded of its stay says
    that it is on the bench, too.

    \b
    Example: oilchart bench M-012
             oilchart bench M-012 --soaking
    """
    stage = Stage.SOAKING if soaking else Stage.ON_THE_BENCH
    with app.shop.book(writing=True) as book:
        record, job = waiting.put_on_bench(book, app.shop, machine, stage)
        model = app.shop.list_of(record).name
    tell(record, model, state_words(record, job))


@click.command("part-arrived")
@click.argument("machine")
@click.argument("part", type=NAME, required=False)
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def part_arrived_command(app: AppContext, machine: str, part: str | None, on: date | None) -> None:
    """Note that a part is here that a machine waits for; PART is its name or a piece of it, where
    there are several. The owner of one that went home without it is on the list of calls.

    Example: oilchart part-arrived M-012 tyre
    """
    with app.shop.book(writing=True) as book:
        record, found = waiting.part_arrived(book, app.shop, machine, part, on or app.today)
        model = app.shop.list_of(record).name
    tell(record, model, f"here: {found.words}")
    if record.open_job is not None:
        click.echo(f"In the shop: {state_words(record, record.open_job)}.")
    elif record.booked is not None:
        click.echo(f"It is booked for {day_words(record.booked)}.")
    elif record.owner.do_not_contact is not None:
        click.echo(f"{record.owner.name} is left alone: {record.owner.do_not_contact.why}.")
    else:
        click.echo(f"Ring {record.owner.name}, {record.owner.phone or 'no phone'}, as promised.")


@click.command("ready")
@click.argument("machine")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@click.option(
    "--nothing-done", is_flag=True, help="Nothing was recorded of its stay, and that is right."
)
@pass_app
def ready_command(app: AppContext, machine: str, on: date | None, nothing_done: bool) -> None:
    """Note that a machine can be collected; whom to ring is said. Where nothing was recorded of its
    stay it is asked first.

    Example: oilchart ready M-012 --nothing-done
    """

    def mark(nothing_done: bool) -> tuple[MachineRecord, str]:
        with app.shop.book(writing=True) as book:
            record = jobs.mark_ready(
                book, app.shop, machine, on or app.today, nothing_done=nothing_done
            )
            return record, app.shop.list_of(record).name

    try:
        record, model = mark(nothing_done)
    except NothingRecorded as error:
        if not at_terminal():
            raise click.UsageError(f"{error}; if that is right, give --nothing-done") from None
        if not click.confirm(f"{error}; is that right?", err=True):
            raise OilchartError("nothing was changed") from None
        record, model = mark(True)
    owner = record.owner
    tell(record, model, f"ready; ring {owner.name}, {owner.phone_words or 'no phone'}")
    job = record.open_job
    if job is not None and (parts := record.parts_of(job)):
        click.echo(
            f"Still wanted for it: {'; '.join(map(part_words, parts))}. If it was fitted: oilchart "
            f'fixed {record.number} "..." --part "{parts[0].words}"'
        )
    if wants_a_check(app.shop, record):
        click.echo(
            "No electrical check since it was put right: oilchart electrical "
            f"{record.number} --by NAME --pass"
        )
    _warn(record)


@click.command("collected")
@click.argument("machine")
@click.option(
    "--kept",
    type=WORDS,
    metavar="THINGS",
    help="What was left with it and stays here, like pedal; all is handed back if left out.",
)
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def collected_command(app: AppContext, machine: str, kept: str | None, on: date | None) -> None:
    """Note that a machine went back to its owner; its use starts again. What was left with it is
    ticked off: on a screen each thing is asked for. What stays is on the list of in-shop, until
    this command is given once more.

    \b
    Example: oilchart collected M-012
             oilchart collected M-012 --kept pedal
    """
    with app.shop.book() as book:
        record = machines.named(book, machine)
    job = record.open_job
    things = job.left_with if job else tuple(each for j in record.jobs for each in j.still_here)
    stays = _things(kept) if kept is not None else _asked_for(things)
    if job is None and things:
        with app.shop.book(writing=True) as book:
            record, back = jobs.hand_back(book, record.number, stays)
            model = app.shop.list_of(record).name
        tell(record, model, f"handed back: {', '.join(back) or 'nothing'}")
        return
    with app.shop.book(writing=True) as book:
        record = jobs.collect(book, app.shop, record.number, on or app.today, kept=stays)
        model = app.shop.list_of(record).name
        wanted = wanted_parts(record, app.shop.list_of(record))
    job = next(each for each in record.jobs if job is not None and each.id == job.id)
    again = "" if record.dangers else "; its use starts again"
    tell(record, model, f"collected on {job.out_on}{again}")
    if handed := [thing for thing in job.left_with if thing not in job.still_here]:
        click.echo(f"To be handed back: {', '.join(handed)}.")
    if job.still_here:
        click.echo(f"Still here: {', '.join(job.still_here)}; see: oilchart in-shop")
    if wanted:
        click.echo(f"Still wanted for it: {'; '.join(map(part_words, wanted))}.")
    tell_unclear([record])
    _warn(record)


def _things(words: str) -> tuple[str, ...]:
    """Things that are named with commas between them."""
    return tuple(thing for part in words.split(",") if (thing := part.strip()))


def _asked_for(things: Sequence[str]) -> tuple[str, ...]:
    """Those of the things that are not handed back, each asked for on a screen."""
    if not at_terminal():
        return ()
    return tuple(
        thing for thing in things if not click.confirm(f"{thing}: handed back?", default=True)
    )


def _warn(record: MachineRecord) -> None:
    """Say of a machine found unsafe what goes with it."""
    for mark in record.dangers:
        click.echo(
            f"{danger_line(mark)}. Hand the sheet that says so over: oilchart card {record.number}"
        )


def tell(record: MachineRecord, model: str, words: str) -> None:
    """Say what was noted of a machine.

    Args:
        model: the name of its model.
    """
    click.echo(f"{record.number} {model}, {record.owner.name}: {words}")
