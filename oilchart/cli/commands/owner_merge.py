"""An owner who was written down twice."""

from __future__ import annotations

import click

from oilchart.cli.asking import make_sure
from oilchart.cli.context import AppContext, pass_app
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner
from oilchart.papers.wording import joined
from oilchart.shop.corrections import owners


@click.command("merge")
@click.argument("owner")
@click.option("--into", required=True, metavar="OWNER", help="Who stays, with their number.")
@click.option("--yes", is_flag=True, help="Do it unasked.")
@pass_app
def merge_command(app: AppContext, owner: str, into: str, yes: bool) -> None:
    """Put an owner who was written down twice together with the other: machines, calls, booked days
    and notes are the other's, who keeps their number and wishes. Both are shown, and in what they
    differ; what only one has is kept.

    Example: oilchart owner merge OW-014 --into OW-013 --yes
    """
    with app.shop.book() as book:
        both = owners.merging(book, owner, into)
    for line in _lines(both):
        click.echo(line, err=True)
    goes, stays = both.goes, both.stays
    if not yes:
        make_sure(
            f"{goes.number} {goes.name} is written down as {stays.number} {stays.name} from now on",
            "put them together?",
        )
    with app.shop.book(writing=True) as book:
        after = owners.merge(book, app.shop, owners.merging(book, goes.number, stays.number))
    click.echo(f"{goes.number}: was {goes.name}; now {after.number} {after.name}")


def _lines(both: owners.Merging) -> list[str]:
    """Both owners, and in what they differ."""
    return [
        _owner_words(both.goes, both.machines),
        _owner_words(both.stays, both.stays_machines),
        *(
            f"{each.what}: stays {each.kept or 'nothing'}; of {both.goes.number}: {each.other}"
            for each in both.differences
        ),
    ]


def _owner_words(owner: Owner, machines: tuple[MachineRecord, ...]) -> str:
    theirs = joined([record.number for record in machines]) or "no machine"
    phone, email = owner.phone_words or "no phone", owner.email or "no e-mail"
    return f"{owner.number} {owner.name}, {phone}, {email}: {theirs}"
