"""Owners."""

from __future__ import annotations

import click

from oilchart.cli.desk import NAME, NEED, WORDS, Desk, can_option, json_option, pass_desk
from oilchart.core.chart import Need

NEED_WORDS = {Need.TIP: "tip the head", Need.FINE: "fine work", Need.FORCE: "what takes force"}


@click.group("owner")
def owner_command() -> None:
    """Add, change and list owners."""


@owner_command.command("add")
@click.argument("name", type=NAME)
@click.option("--phone", type=WORDS, default="", help="As you dial it.")
@click.option("--email", type=WORDS, default="", help="E-mail address.")
@pass_desk
def add(desk: Desk, name: str, phone: str, email: str) -> None:
    """Add an owner.

    Example: oilchart owner add "Ida Brandvold" --phone "01632 960107"
    """
    owner = desk.shop.add_owner(name=name, phone=phone, email=email)
    click.echo(f"{owner.number} {owner.name}")


@owner_command.command("edit")
@click.argument("owner")
@click.option("--name", type=NAME, help="Another name.")
@click.option("--phone", type=WORDS, help="As you dial it.")
@click.option("--email", type=WORDS, help="E-mail address.")
@can_option
@click.option("--cannot", multiple=True, type=NEED, help="This owner cannot, after all.")
@pass_desk
def edit(
    desk: Desk, owner: str, name: str | None, phone: str | None, email: str | None, can: tuple[Need, ...], cannot: tuple[Need, ...]
) -> None:
    """Change what is noted of an owner. What needs tipping, fine sight or force is the bench's unless this owner can; the card follows.

    Example: oilchart owner edit Brandvold --can tip
    """
    now = desk.shop.edit_owner(owner, name=name, phone=phone, email=email, can=can, cannot=cannot)
    able = ", ".join(NEED_WORDS[need] for need in now.can) or "the usual"
    click.echo(f"{now.number} {now.name}, {now.phone or 'no phone'}, {now.email or 'no e-mail'}: can do at home: {able}")


@owner_command.command("list")
@json_option
@pass_desk
def list_owners(desk: Desk, as_json: bool) -> None:
    """List all owners.

    Example: oilchart owner list
    """
    from oilchart.papers.ink.as_json import rows_json
    from oilchart.papers.ink.terminal import Column, table

    rows = [
        {
            "owner": owner.number,
            "name": owner.name,
            "phone": owner.phone,
            "email": owner.email,
            "machines": machines,
            "can": list(owner.can),
        }
        for owner, machines in desk.shop.owners()
    ]
    if as_json:
        click.echo(rows_json(rows), nl=False)
        return
    columns = [
        Column("Owner"),
        Column("Name", wraps=True),
        Column("Phone"),
        Column("E-mail"),
        Column("Machines", right=True),
        Column("Can"),
    ]
    cells = [[", ".join(value) if isinstance(value, list) else str(value) for value in row.values()] for row in rows]
    click.echo(table(columns, cells, desk.screen), nl=False)
