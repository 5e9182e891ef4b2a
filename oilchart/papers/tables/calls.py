"""The list of calls still to be made, as a table and as JSON."""

from __future__ import annotations

from collections.abc import Sequence

from oilchart.core.planning.follow_up import tries
from oilchart.core.planning.standing import OpenCall
from oilchart.papers.contact_words import call_so_far, wishes
from oilchart.papers.screen import Column, Screen, table
from oilchart.papers.tables.dangers import danger_cell, danger_values
from oilchart.papers.tables.json_text import json_text
from oilchart.papers.wording import machine_numbers, waits_since


def calls_text(calls: Sequence[OpenCall], screen: Screen) -> str:
    """Calls in the order given; wishes and what came of them so far, where there is any. What makes
    a machine unsafe stands first."""
    columns = [
        Column("State", wraps=True, optional=True),
        Column("Day"),
        Column("Owner", wraps=True, narrowest=10),
        Column("Phone"),
        Column("About", wraps=True, narrowest=8),
        Column("Machines", wraps=True, narrowest=8),
        Column("Service", spare=True),
        Column("Wishes", wraps=True, optional=not any(call_so_far(call) for call in calls)),
        Column("So far", wraps=True, optional=True),
    ]
    rows = [
        [
            "; ".join(
                f"{danger_cell(record.dangers)} ({record.number})"
                for record, _ in call.services
                if record.dangers
            ),
            call.on.isoformat(),
            call.owner.name,
            "" if call.owner.rung_at is None else call.owner.rung_at.words,
            f"{call.about}{waits_since(call.waits_since(call.on))}",
            ", ".join(machine_numbers(record.id for record, _ in call.services)),
            "" if call.about.is_of_a_stay else call.services[0][1].isoformat(),
            wishes(call),
            call_so_far(call),
        ]
        for call in calls
    ]
    return table(columns, rows, screen)


def calls_json(calls: Sequence[OpenCall]) -> str:
    """Calls in the order given."""
    return json_text(
        [
            {
                "on": call.on,
                "owner": call.owner.name,
                "phone": call.owner.phone,
                "about": call.about,
                "machines": [record.number for record, _ in call.services],
                "service": None if call.about.is_of_a_stay else call.services[0][1],
                "since": call.services[0][1] if call.about.is_of_a_stay else None,
                "way": call.way,
                "best_time": call.owner.best_time,
                "promised": call.promised_on,
                "waits_since": call.waits_since(call.on),
                "tries": tries(call.outcomes),
                "so_far": call_so_far(call),
                "unsafe": [
                    {"machine": record.number, **danger_values(record.dangers)}
                    for record, _ in call.services
                    if record.dangers
                ],
            }
            for call in calls
        ]
    )
