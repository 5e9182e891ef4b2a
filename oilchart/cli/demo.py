"""The demo shop: builds it, writes every paper from it and shows who is overdue."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.board import board_bytes
from oilchart.cli.calendars import calendar_bytes
from oilchart.cli.cards import card_bytes
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import UnregisteredMachine
from oilchart.cli.output import write_whole
from oilchart.cli.papers import checklist_bytes, checklist_of
from oilchart.cli.unregistered import machine_of
from oilchart.core.due.due_dates import State

if TYPE_CHECKING:
    from oilchart.core.planning.standing import Standing

AT_PEACE = (State.IN_TIME, State.IN_THE_SHOP)  # states that the closing screen only counts


@click.command("demo")
@click.argument("folder", type=click.Path(path_type=Path), default="oilchart-demo")
@pass_app
def demo_command(app: AppContext, folder: Path) -> None:
    """Make an invented shop with two years of history, write every paper from it, and show who is
    due.

    Example: oilchart demo
    """
    from oilchart.shop.folder import Shop
    from oilchart.sources.files.demo import read_demo
    from oilchart.sources.files.packaged import packaged

    demo = read_demo(packaged("demo_data"))
    today = app.given_day or demo.today
    is_new = not folder.exists()
    shop = Shop.make(folder, today, settings=demo.settings, namespace=demo.namespace)
    try:
        shop.fill(demo)
        at_demo = AppContext(folder=folder, given_day=today, clock_day=app.clock_day)
        standings = at_demo.shop.standings()
        names = _write_papers(at_demo, standings)
    except BaseException:
        if is_new:  # half a demo is of no use, and would be in the way of the next try
            shutil.rmtree(folder, ignore_errors=True)
        raise
    _show(at_demo, standings, names)


def _write_papers(app: AppContext, standings: list[Standing]) -> list[str]:
    """Write the papers; what was written is told by kind."""
    from oilchart.papers.lists.schedule import schedule_json
    from oilchart.papers.wording import counted

    out = app.folder / "out"
    shop = app.shop
    served = [
        standing for standing in standings if standing.schedule.state is not State.FIRST_SERVICE
    ]
    for standing in served:
        write_whole(
            out / f"{standing.record.number}-card.pdf",
            card_bytes(standing, app),
        )
    for standing in standings:
        services = standing.reckoning.services_ahead(standing.schedule)
        write_whole(
            out / f"{standing.record.number}-schedule.json",
            schedule_json(standing.schedule, services).encode(),
        )
    models = sorted({standing.record.model for standing in standings})
    for model in models:
        of_model = machine_of(app, None, UnregisteredMachine(model=model))
        whole = checklist_of(app, of_model, of_model=True)
        write_whole(out / f"{model}-checklist.pdf", checklist_bytes(whole, app, html=False))
        write_whole(out / f"{model}-checklist.html", checklist_bytes(whole, app, html=True))
    worst = checklist_of(app, standings[0], of_model=False)
    write_whole(out / f"{worst.machine}-checklist.pdf", checklist_bytes(worst, app, html=False))
    with shop.calendars() as calendars:
        write_whole(out / "calls.ics", calendar_bytes(app, calendars))
    write_whole(out / "board.html", board_bytes(app))
    return [
        f"{len(served)} care cards",
        f"the bench checklists of {counted(len(models), 'model')} (paper and screen) and of {worst.machine}",
        f"{len(standings)} schedules (JSON)",
        f"a calendar of {counted(len(calendars.calls), 'call')}",
        "a board for the wall",
    ]


def _show(app: AppContext, standings: list[Standing], papers: list[str]) -> None:
    """The closing screen."""
    from oilchart.papers.lists.due import due_text, summary
    from oilchart.papers.wording import day_words, joined

    shop = app.shop
    click.echo(
        f"{shop.settings.shop_details.name}, {shop.settings.shop_details.address[-1]} (all invented), on {day_words(app.today)}\n"
    )
    due = [standing for standing in standings if standing.schedule.state not in AT_PEACE]
    click.echo(due_text(due, app.screen))
    click.echo(
        f"{len(shop.owners())} owners, {len(standings)} machines: {summary([s.schedule for s in standings])}."
    )
    click.echo(f"Written to {app.folder / 'out'}: {joined(papers)}.\n")
    worst = standings[0].record.number
    before = f"oilchart --shop {shlex.quote(str(app.folder))} --today {app.today}"
    click.echo(f"Look next: {before} due")
    click.echo(f"           {before} schedule {worst}")
    click.echo(f'           {before} use {worst} "3-4 hours a week; idle Aug"')
