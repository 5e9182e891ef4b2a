"""The record of a machine's visit for its owner."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import all_option, out_option
from oilchart.cli.printing import printed
from oilchart.cli.shown_photos import photos_of_stay, shown_photos
from oilchart.core.planning.standing import Standing
from oilchart.core.records.visit import latest_visit
from oilchart.errors import OilchartError
from oilchart.papers.record.content import service_record
from oilchart.papers.record.pdf import record_pdf, record_words
from oilchart.shop import standings
from oilchart.sources.files.settings import Settings


@click.command("record")
@click.argument("machine")
@click.option("--photos", is_flag=True, help="With the photos of that stay.")
@all_option
@out_option
@pass_app
def record_command(
    app: AppContext, machine: str, photos: bool, of_all: bool, out: Path | None
) -> None:
    """Print the record of a machine's latest stay, or of its latest service without one, for its
    owner: what was told, found, put right, serviced and not done, by whom, and the next service.
    With --all, -o names a folder for a file each.

    \b
    Example: oilchart record M-014
             oilchart record OW-003 --all
    """
    with app.shop.book() as book:
        settings = app.shop.settings_in(book)
        if of_all:
            theirs = standings.of_all(book, app.shop, machine)
        else:
            theirs = [standings.of_machine(book, app.shop, machine)]
    papers = (
        (
            each.record.id,
            f"{each.record.number}-record.pdf",
            _record_bytes(app, settings, each, photos=photos),
        )
        for each in theirs
    )
    if of_all:
        app.write_each(papers, out, "record")
        return
    for number, name, data in papers:
        app.write_output(data, out, name, in_shop=True, paper="record", about=[number])


def _record_bytes(
    app: AppContext, settings: Settings, standing: Standing, *, photos: bool
) -> bytes:
    """The record of a machine's latest visit as a PDF.

    Raises:
        OilchartError: it has none.
    """
    number, visit = standing.record.number, latest_visit(standing.record)
    if visit is None and standing.record.handed_on is not None:
        raise OilchartError(
            f"{number}: was not in the shop since it was handed on to its owner on "
            f"{standing.record.handed_on}; its work before is told by: oilchart machine show "
            f"{number}"
        )
    if visit is None:
        raise OilchartError(
            f"{number}: has no service yet; record one first: oilchart serviced {number}"
        )
    sheet = service_record(
        standing,
        visit,
        shop=settings.shop_details,
        style=settings.paper,
    )
    if photos:
        sheet = replace(sheet, photos=shown_photos(app, photos_of_stay(standing.record)))
    return printed(settings, f"record {number}", record_words(sheet), lambda: record_pdf(sheet))
