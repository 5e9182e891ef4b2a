"""The list of machines, as a table and as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from oilchart.core.records.machine_record import MachineRecord
from oilchart.papers.screen import Column, Screen, day_cell, table
from oilchart.papers.tables.dangers import danger_cell, danger_values
from oilchart.papers.tables.json_text import json_text
from oilchart.papers.tables.schedule import own_interval_rows

COLUMNS = (
    Column("State", wraps=True, optional=True),
    Column("Machine"),
    Column("Model"),
    Column("Owner", wraps=True),
    Column("Serial"),
    Column("Use", wraps=True),
    Column("Served"),
)

GONE_COLUMNS = (
    Column("Machine"),
    Column("Model"),
    Column("Owner", wraps=True),
    Column("Serial"),
    Column("Gone"),
    Column("Why"),
    Column("Served"),
)


def machines_text(records: Iterable[MachineRecord], screen: Screen) -> str:
    """The machines, in the order given; what makes one unsafe stands first."""
    rows = [
        [
            danger_cell(record.dangers),
            record.number,
            _model_words(record),
            record.owner.name,
            record.serial,
            record.reports[-1].words if record.reports else "",
            day_cell(record.services[-1].on if record.services else None),
        ]
        for record in records
    ]
    return table(COLUMNS, rows, screen)


def gone_machines_text(records: Iterable[MachineRecord], screen: Screen) -> str:
    """Machines that are not looked after any more, in the order given."""
    rows = [
        [
            record.number,
            _model_words(record),
            record.owner.name,
            record.serial,
            day_cell(record.gone.on if record.gone else None),
            record.gone.why if record.gone else "",
            day_cell(record.services[-1].on if record.services else None),
        ]
        for record in records
    ]
    return table(GONE_COLUMNS, rows, screen)


def _model_words(record: MachineRecord) -> str:
    """The model of a machine, whether it differs from that, and what it is called."""
    model = record.model + (" (differs)" if record.mechanisms else "") or "not seen yet"
    name = f"{model}: {record.name}" if record.name else model
    return f"{name} ({record.mark})" if record.mark else name


def machines_json(records: Iterable[MachineRecord]) -> str:
    """The machines, in the order given; what is not known is null."""
    return json_text([_values(record) for record in records])


def _values(record: MachineRecord) -> dict[str, Any]:
    return {
        "machine": record.number,
        "model": record.model or None,
        "name": record.name or None,
        "mark": record.mark or None,
        "owner": record.owner.name,
        "serial": record.serial or None,
        "use": record.reports[-1].words if record.reports else None,
        "served": record.services[-1].on if record.services else None,
        "mechanisms": list(record.mechanisms),
        "shortened": own_interval_rows(record.own_intervals),
        "handed_on": record.handed_on,
        "gone": None if record.gone is None else {"on": record.gone.on, "why": record.gone.why},
        **danger_values(record.dangers),
    }
