"""Calls to owners: whom to ring on which day, on the screen and as a sheet beside the telephone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path

import click

from oilchart import bounds
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option, out_option
from oilchart.cli.printing import printed
from oilchart.core.planning.standing import OpenCall
from oilchart.papers.call_sheet.content import call_sheet
from oilchart.papers.call_sheet.pdf import call_sheet_pdf, call_sheet_words
from oilchart.papers.tables.calls import calls_json, calls_text
from oilchart.papers.wording import counted
from oilchart.shop import calls
from oilchart.sources.files.settings import Settings

WEEKS = 4


@click.command("calls")
@click.option(
    "--weeks",
    type=click.IntRange(1, bounds.WEEKS_LISTED),
    default=WEEKS,
    show_default=True,
    metavar="N",
    help="How many weeks ahead.",
)
@json_option
@out_option
@pass_app
def calls_command(app: AppContext, weeks: int, as_json: bool, out: Path | None) -> None:
    """List the follow-up calls of the coming weeks; with -o a sheet with whom to ring, what to say
    and to ask, and boxes to tick.

    \b
    Example: oilchart calls --weeks 2
             oilchart calls -o calls.pdf
    """
    with app.recording() as (book, files):
        plan = calls.plan(book, app.shop)
        coming = [call for call in plan.calls if call.on < app.today + timedelta(weeks=weeks)]
        if out is not None:
            files.add(out, _sheet(app, plan.settings, coming, weeks))
        else:
            click.echo(calls_json(coming) if as_json else calls_text(coming, app.screen), nl=False)
            if not as_json:
                click.echo(counted(len(coming), "call"), err=True)


def _sheet(app: AppContext, settings: Settings, calls: Sequence[OpenCall], weeks: int) -> bytes:
    records = [record for call in calls for record, _ in call.services]
    sheet = call_sheet(
        calls,
        {record.id: app.shop.list_for_owner_of(record) for record in records},
        on=app.today,
        shop=settings.shop_details,
        weeks=weeks,
    )
    return printed(settings, "call sheet", call_sheet_words(sheet), lambda: call_sheet_pdf(sheet))
