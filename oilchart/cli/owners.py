"""Owners."""

from __future__ import annotations

import click

from oilchart.cli.desk import NAME, WORDS, Desk, json_option, pass_desk


@click.group("owner")
def owner_command() -> None:
    """Add and list owners."""


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
        {"owner": owner.number, "name": owner.name, "phone": owner.phone, "email": owner.email, "machines": machines}
        for owner, machines in desk.shop.owners()
    ]
    if as_json:
        click.echo(rows_json(rows), nl=False)
        return
    columns = [Column("Owner"), Column("Name", wraps=True), Column("Phone"), Column("E-mail"), Column("Machines", right=True)]
    click.echo(table(columns, [[str(value) for value in row.values()] for row in rows], desk.screen), nl=False)
