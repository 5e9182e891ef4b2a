"""Taking back what a command changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import click

from oilchart.cli.asking import make_sure
from oilchart.cli.batch import STDOUT
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.types import TOLD
from oilchart.core.records.change import Change
from oilchart.core.records.machine_record import machine_number
from oilchart.core.records.owner import owner_number
from oilchart.core.records.paper import PrintedPaper
from oilchart.errors import quoted
from oilchart.papers.screen import Column, table
from oilchart.papers.wording import plain_day
from oilchart.shop import undo


@click.command("undo")
@click.argument("what", required=False, metavar="[NUMBER]")
@click.option("--list", "lists", is_flag=True, help="List the changes; of WHAT, if it is given.")
@click.option(
    "--why", type=TOLD, help="Why a mark that a machine is unsafe is taken back; wanted for that."
)
@click.option("--yes", is_flag=True, help="Take it back unasked.")
@pass_app
def undo_command(
    app: AppContext, what: str | None, lists: bool, why: str | None, yes: bool
) -> None:
    """Take back what a command changed: the last one, or that of a number. An undo is a change, and
    can be undone. With --list the changes are listed, of a machine or an owner if one is named.

    A look at calls, the board or a calendar is never what is taken back without a number.

    \b
    Example: oilchart undo --yes
             oilchart undo 1 --yes
             oilchart undo --list M-014
    """
    if lists:
        with app.shop.book() as book:
            changes = undo.changes_of(book, what)
            by_id = {each.id: each for each in book.changes.all()}
        rows = [[str(each.id), str(each.on), _state(each, by_id), each.words] for each in changes]
        columns = [Column("Change"), Column("Day"), Column("State"), Column("What", wraps=True)]
        click.echo(table(columns, rows, app.screen), nl=False)
        return
    number = _number(what)
    with app.shop.book() as book:
        undoing = undo.to_be_undone(book, number)
    change = undoing.change
    try:
        undo.check_reason(undoing, why or "")
    except undo.ReasonWanted as wanted:
        raise click.UsageError(f"{wanted}: --why") from None
    told = f"change {change.id} of {plain_day(change.on)}: {change.words or 'without words'}"
    if undoing.whose:
        told += f" ({', '.join(undoing.whose)})"
    if not yes:
        _tell_papers(undoing.papers, "To be got back then")
        make_sure(told, "take it back?")
    with app.shop.book(writing=True) as book:
        again = undo.to_be_undone(book, change.id)
        undo.undo(book, app.shop, again, why or "")
    click.echo(f"Taken back: {told}.")
    if again.back is not None:
        click.echo(f"In force again: change {again.back.id}: {again.back.words}")
    _tell_papers(again.papers, "Get back")


def _tell_papers(papers: Sequence[PrintedPaper], what: str) -> None:
    """Name papers that tell what is taken back."""
    for each in papers:
        if each.machine is not None:
            whose = f"of {machine_number(each.machine)}"
        else:
            whose = f"to {owner_number(each.owner or 0)}, which stays sent if it was,"
        place = "" if each.file == str(STDOUT) else f" ({each.file})"
        click.echo(f"{what}: the {each.kind} {whose} of {plain_day(each.on)}{place}", err=True)


def _number(what: str | None) -> int | None:
    if what is None:
        return None
    if not what.isdecimal() or len(what) > 9:
        raise click.UsageError(
            f"{quoted(what)}: is no number of a change; they are listed by: oilchart undo --list"
        )
    return int(what)


def _state(change: Change, by_id: Mapping[int, Change]) -> str:
    if change.undone_by is not None and change.stands(by_id):
        return f"in force again by {by_id[change.undone_by].undone_by}"
    if change.undone_by is not None:
        return f"taken back by {change.undone_by}"
    return f"took back {change.undoes}" if change.undoes is not None else ""
