"""Bench checklists, on paper and for the screen over the bench."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from oilchart.cli.batch import STDOUT
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import all_option, model_options, out_option
from oilchart.cli.printing import printed
from oilchart.cli.shown_photos import photos_of_stay, shown_photos
from oilchart.cli.unregistered import machine_of, machines_of
from oilchart.core.calendar.uids import shop_uid
from oilchart.core.planning.standing import ScheduledMachine
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.papers.checklist.content import BenchMachine, Checklist, checklist
from oilchart.papers.checklist.html import checklist_page
from oilchart.papers.checklist.pdf import checklist_pdf, checklist_words
from oilchart.papers.stay_words import stay_lines
from oilchart.sources.files.settings import Settings


@click.command("checklist")
@click.argument("machine", required=False)
@model_options
@click.option(
    "--seized", is_flag=True, help="The head is stuck: its opening steps stand before all work."
)
@click.option(
    "--sheet",
    type=click.Choice(["a4", "letter"], case_sensitive=False),
    default="a4",
    help="The size of the PDF's pages; a4 if left out.",
)
@all_option
@out_option
@pass_app
def checklist_command(
    app: AppContext,
    machine: str | None,
    unregistered: UnregisteredMachine,
    seized: bool,
    sheet: str,
    of_all: bool,
    out: Path | None,
) -> None:
    """Print a bench checklist: a PDF, or a page for the screen over the bench if FILE ends in
    .html.

    With --model alone it is the model's whole list; for a machine, or with --use or --serviced, it
    is the list of its next service. With --all, -o names a folder for a file each.

    \b
    Example: oilchart checklist M-014
             oilchart checklist OW-003 --all
             oilchart checklist --model heron-3 -o bench.html
             oilchart checklist M-014 --sheet letter
    """
    if of_all:
        theirs, settings = machines_of(app, machine, unregistered)
        papers = (
            (
                each.record.id,
                f"{each.name}-checklist.pdf",
                checklist_bytes(whole, app, settings, sheet=sheet),
            )
            for each in theirs
            for whole in [checklist_of(app, each, settings, of_model=False, seized=seized)]
        )
        app.write_each(papers, out, "checklist")
        return
    of_whom, settings = machine_of(app, machine, unregistered)
    whole = checklist_of(
        app,
        of_whom,
        settings,
        of_model=machine is None and unregistered.tells_nothing,
        seized=seized,
    )
    name = f"{(machine and whole.machine) or whole.model}-checklist.pdf"
    if (
        out is not None
        and out != STDOUT
        and out.suffix.casefold() not in ("", ".pdf", ".html", ".htm")
    ):
        raise click.UsageError(
            f"-o {out}: a checklist is a .pdf or a .html file; give it one of these endings"
        )
    html = (out or Path(name)).suffix.casefold() in (".html", ".htm")
    if html and of_whom.record is not None:
        whole = replace(whole, kept_under=_kept_under(app, of_whom.record, whole.on))
        if of_whom.record.open_job is not None:
            shown = shown_photos(app, photos_of_stay(of_whom.record))
            whole = replace(whole, photos=shown)
    data = checklist_bytes(whole, app, settings, html=html, sheet=sheet)
    about = [] if of_whom.record is None else [of_whom.record.id]
    in_shop = machine is not None
    app.write_output(data, out, name, in_shop=in_shop, paper="checklist", about=about)


def _kept_under(app: AppContext, record: MachineRecord, on: date) -> str:
    """Under what a browser keeps the ticks of a machine's page: for as long as it is in the shop,
    or else on that day."""
    with app.shop.book() as book:
        shop = shop_uid(book.namespace)
    stay = on.isoformat() if record.open_job is None else record.open_job.number
    return ":".join([shop, record.number, stay])


def checklist_of(
    app: AppContext,
    machine: ScheduledMachine,
    settings: Settings,
    *,
    of_model: bool,
    seized: bool = False,
) -> Checklist:
    """The checklist of a machine's next service, or the whole one of its model."""
    schedule = machine.schedule
    record = None if of_model else machine.record
    return checklist(
        schedule.machine.point_list,
        drawings=app.library.drawings(schedule.machine.point_list),
        on=schedule.as_of,
        machine=BenchMachine(
            schedule=None if of_model else schedule,
            owner=machine.owner_name,
            serial=machine.serial,
            notes=() if record is None else record.notes,
            dangers=() if record is None else record.dangers,
            last_left={} if record is None else record.last_left,
            stay=() if record is None else stay_lines(record, schedule.as_of),
            seized=seized,
        ),
        invented=settings.shop_details.invented,
        style=settings.paper,
    )


def checklist_bytes(
    whole: Checklist, app: AppContext, settings: Settings, *, html: bool = False, sheet: str = "a4"
) -> bytes:
    """The checklist as a PDF, of A4 or Letter size, or a page."""
    if html:
        return checklist_page(whole, app.templates).encode()
    return printed(
        settings,
        f"checklist {whole.machine or whole.model}",
        checklist_words(whole),
        lambda: checklist_pdf(whole, sheet),
    )
