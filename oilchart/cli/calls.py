"""Calls to owners: whom to ring on which day, on the screen and as a sheet to tick beside the telephone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.desk import Desk, json_option, out_option, pass_desk
from oilchart.cli.papers import tell_missing

if TYPE_CHECKING:
    from oilchart.papers.call_sheet import CallLine
    from oilchart.shop import OpenCall

WEEKS = 4


@click.command("calls")
@click.option("--weeks", type=click.IntRange(1, 104), default=WEEKS, show_default=True, metavar="N", help="How many weeks ahead.")
@json_option
@out_option
@pass_desk
def calls_command(desk: Desk, weeks: int, as_json: bool, out: Path | None) -> None:
    """List the follow-up calls of the coming weeks; with -o a sheet with whom to ring, what to say and to ask, and boxes to tick.

    \b
    Example: oilchart calls --weeks 2
             oilchart calls -o calls.pdf
    """
    with desk.shop.calls() as planned:
        coming = [call for call in planned if call.on < desk.today + timedelta(weeks=weeks)]
        if out is not None:
            desk.deliver(_sheet(desk, coming, weeks), out, "calls.pdf", in_shop=True)
        else:
            _show(desk, coming, as_json=as_json)


def _show(desk: Desk, calls: Sequence[OpenCall], *, as_json: bool) -> None:
    from oilchart.papers.ink.as_json import rows_json
    from oilchart.papers.ink.terminal import Column, table
    from oilchart.papers.wording import counted

    rows = [
        {
            "on": call.on.isoformat(),
            "owner": call.owner.name,
            "phone": call.owner.phone,
            "about": call.about,
            "machines": [record.number for record, _ in call.services],
            "service": call.services[0][1].isoformat(),
        }
        for call in calls
    ]
    if as_json:
        click.echo(rows_json(rows), nl=False)
        return
    columns = [
        Column("Day"), Column("Owner", wraps=True), Column("Phone"), Column("About"), Column("Machines", wraps=True), Column("Service"),
    ]  # fmt: skip
    cells = [[", ".join(value) if isinstance(value, list) else str(value) for value in row.values()] for row in rows]
    click.echo(table(columns, cells, desk.screen), nl=False)
    click.echo(counted(len(rows), "call"), err=True)


def _sheet(desk: Desk, calls: Sequence[OpenCall], weeks: int) -> bytes:
    from oilchart.papers.call_sheet import call_sheet
    from oilchart.papers.ink.call_sheet_pdf import call_sheet_pdf, call_sheet_words

    sheet = call_sheet([_line(desk, call) for call in calls], on=desk.today, shop=desk.shop.settings.contact, weeks=weeks)
    tell_missing("call sheet", call_sheet_words(sheet))
    return call_sheet_pdf(sheet)


def _line(desk: Desk, call: OpenCall) -> CallLine:
    from oilchart.papers.call_sheet import CalledMachine, CallLine
    from oilchart.papers.wording import month_words

    records = [record for record, _ in call.services]
    charts = [desk.shop.chart_of(record) for record in records]
    told = dict.fromkeys(record.reports[-1].words for record in records if record.reports)
    return CallLine(
        day=call.on,
        owner=call.owner.name,
        phone=call.owner.phone,
        machines=tuple(
            CalledMachine(number=record.number, model=chart.name, has=chart.has) for record, chart in zip(records, charts, strict=True)
        ),
        about=call.about,
        service_on=month_words(call.services[0][1]),
        last_use="; ".join(told),
    )
