"""The list of owners, as a table and as JSON."""

from __future__ import annotations

from collections.abc import Iterable

from oilchart.core.records.owner import Owner
from oilchart.papers.screen import Column, Screen, table
from oilchart.papers.tables.json_text import json_text

COLUMNS = (
    Column("Owner"),
    Column("Name", wraps=True),
    Column("Phone"),
    Column("E-mail"),
    Column("Machines", right=True, spare=True),
    Column("Can", wraps=True),
)


def owners_text(owners: Iterable[tuple[Owner, int]], screen: Screen) -> str:
    """Owners, each with the count of their machines, in the order given."""
    rows = [
        [
            owner.number,
            owner.name,
            owner.phone_words,
            owner.email,
            str(machines),
            ", ".join(owner.can),
        ]
        for owner, machines in owners
    ]
    return table(COLUMNS, rows, screen)


def owners_json(owners: Iterable[tuple[Owner, int]]) -> str:
    """Owners, each with the count of their machines, in the order given."""
    return json_text(
        [
            {
                "owner": owner.number,
                "name": owner.name,
                "phone": owner.phone,
                "phones": [
                    {
                        "number": phone.number,
                        "dial": phone.dial or None,
                        "whose": phone.whose or None,
                        "wrong": phone.wrong,
                    }
                    for phone in owner.phones
                ],
                "email": owner.email,
                "machines": machines,
                "can": list(owner.can),
            }
            for owner, machines in owners
        ]
    )
