"""Schedules of one machine, and the machines that are due."""

from __future__ import annotations

from datetime import date

import click

from oilchart.cli.desk import STRETCH, Desk, check_one_form, json_option, loose_options, pass_desk
from oilchart.cli.loose import Subject, subject_of


@click.command("schedule")
@click.argument("machine", required=False)
@loose_options
@json_option
@pass_desk
def schedule_command(desk: Desk, machine: str | None, model: str | None, words: str | None, serviced: date | None, as_json: bool) -> None:
    """Show a machine's interval schedule: of a machine in the book, or of any machine of a model.

    \b
    Example: oilchart schedule M-014
             oilchart schedule --model heron-3 --use "5-8 hours a week" --serviced 2026-11-20
    """
    from oilchart.papers.ink.as_json import schedule_json
    from oilchart.papers.ink.terminal import schedule_text

    check_one_form(machine, model, use=words, serviced=serviced)
    subject: Subject = subject_of(desk, machine, model, words, serviced)
    owner = None if subject.owner is None else subject.owner.name
    text = schedule_json(subject.schedule) if as_json else schedule_text(subject.schedule, desk.screen, owner=owner)
    click.echo(text, nl=False)


@click.command("due")
@click.option("--within", type=STRETCH, metavar="DAYS", help="Machines likely due within these days, like 30d or 4w.")
@click.option("--all", "everything", is_flag=True, help="All machines, those in time too.")
@json_option
@pass_desk
def due_command(desk: Desk, within: int | None, everything: bool, as_json: bool) -> None:
    """List the machines that are overdue and due soon, the worst first.

    Example: oilchart due --within 30d
    """
    from oilchart.core.due import State
    from oilchart.papers.ink.as_json import due_json
    from oilchart.papers.ink.terminal import due_text, summary
    from oilchart.papers.wording import counted

    standings = desk.shop.standings(within)
    wanted = [standing for standing in standings if everything or standing.schedule.state is not State.IN_TIME]
    rows = [(standing.schedule, standing.record.owner) for standing in wanted]
    if as_json:
        click.echo(due_json(rows), nl=False)
        return
    if rows:
        click.echo(due_text(rows, desk.screen, today=desk.today), nl=False)
    click.echo(f"{counted(len(standings), 'machine')}: {summary([standing.schedule for standing in standings])}.", err=True)
