"""The demo shop: builds it, writes every paper from it and shows who is overdue."""

from __future__ import annotations

import re
import shlex
from dataclasses import replace
from pathlib import Path

import click

from oilchart.cli.commands.papers.board import board_of
from oilchart.cli.commands.papers.calendars import Feeds, calls_bytes, open_feeds
from oilchart.cli.commands.papers.cards import card_bytes
from oilchart.cli.commands.papers.checklists import checklist_bytes, checklist_of
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.unregistered import machine_of_model
from oilchart.core.due.due_dates import State
from oilchart.core.planning.standing import worst_first
from oilchart.core.planning.tally import tally
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.papers.tables.due import due_text, summary
from oilchart.papers.tables.schedule import schedule_json
from oilchart.papers.wording import counted, day_words, joined
from oilchart.shop.calls import CallPlan
from oilchart.shop.demo.filling import fill
from oilchart.shop.demo.folder import demo_being_made
from oilchart.shop.folder import make_shop
from oilchart.sources.files.demo import read_demo
from oilchart.sources.packaged import packaged

# all that are written below
PAPERS = re.compile(
    r"M-\d+-(card\.pdf|schedule\.json|checklist\.pdf)|[a-z0-9-]+-checklist\.(pdf|html)|"
    r"calls\.ics|board\.html"
)


@click.command("demo")
@click.argument("folder", type=click.Path(path_type=Path), default="oilchart-demo")
@pass_app
def demo_command(app: AppContext, folder: Path) -> None:
    """Make an invented shop with two years of history, write every paper from it, and show who is
    due.

    Example: oilchart demo
    """
    demo = read_demo(packaged("demo_data"))
    today = app.invocation.given_day or demo.today
    at_demo = AppContext(replace(app.invocation, folder=folder, given_day=today))
    with demo_being_made(folder, demo.settings, PAPERS):
        shop = make_shop(folder, today, settings=demo.settings, namespace=demo.namespace)
        with shop.book(writing=True, undoable=False) as book:
            fill(book, shop, demo)
        with open_feeds(at_demo) as feeds:
            names = _add_papers(at_demo, feeds)
    _show(at_demo, feeds.plan, len(demo.owners), names)


def _add_papers(app: AppContext, feeds: Feeds) -> list[str]:
    """Write the papers; what was written is told by kind."""
    plan, settings = feeds.plan, feeds.plan.settings
    standings = sorted(plan.standings, key=worst_first)
    served = [
        standing for standing in standings if standing.schedule.state is not State.FIRST_SERVICE
    ]
    for standing in served:
        card = card_bytes(standing, app.library, settings)
        _add(app, feeds, f"{standing.record.number}-card.pdf", card)
    for standing in standings:
        services = standing.reckoning.services_ahead(standing.schedule)
        data = schedule_json(standing.schedule, services).encode()
        _add(app, feeds, f"{standing.record.number}-schedule.json", data)
    models = sorted({standing.record.model for standing in standings})
    for model in models:
        of_model = machine_of_model(app, UnregisteredMachine(model=model), settings)
        whole = checklist_of(app, of_model, settings, of_model=True)
        for ending, html in ((".pdf", False), (".html", True)):
            data = checklist_bytes(whole, app, settings, html=html)
            _add(app, feeds, f"{model}-checklist{ending}", data)
    worst = checklist_of(app, standings[0], settings, of_model=False)
    data = checklist_bytes(worst, app, settings, html=False)
    _add(app, feeds, f"{worst.machine}-checklist.pdf", data)
    _add(app, feeds, "calls.ics", calls_bytes(feeds))
    _add(app, feeds, "board.html", board_of(app, plan))
    return [
        f"{len(served)} care cards",
        f"the bench checklists of {counted(len(models), 'model')} (paper and screen) "
        f"and of {worst.machine}",
        f"{len(standings)} schedules (JSON)",
        f"a calendar of {counted(len(plan.calls), 'call')}",
        "a board for the wall",
    ]


def _add(app: AppContext, feeds: Feeds, name: str, data: bytes) -> None:
    feeds.files.add(app.place_in_shop(name), data, told=False)


def _show(app: AppContext, plan: CallPlan, owners: int, papers: list[str]) -> None:
    """The closing screen."""
    standings = sorted(plan.standings, key=worst_first)
    shop = plan.settings.shop_details
    click.echo(f"{shop.name}, {shop.address[-1]} (all invented), on {day_words(app.today)}\n")
    machines = tally(standings)
    click.echo(due_text(machines.wanted, app.screen))
    apart = len(machines.lapsed)
    click.echo(
        f"{owners} owners, {len(standings)} machines: {summary(machines.listed)}"
        f"{f'; {apart} of owners who let two rounds of calls pass' if apart else ''}."
    )
    click.echo(f"Written to {app.folder / 'out'}: {joined(papers)}.\n")
    worst = standings[0].record.number
    before = f"oilchart --shop {shlex.quote(str(app.folder))} --today {app.today}"
    click.echo(f"Look next: {before} due")
    click.echo(f"           {before} schedule {worst}")
    click.echo(f'           {before} use {worst} "3-4 hours a week; idle Aug"')
