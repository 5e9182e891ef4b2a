"""The tag that hangs on a machine while it is in the shop."""

from __future__ import annotations

from pathlib import Path

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import out_option
from oilchart.cli.printing import printed
from oilchart.core.records.job import Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.papers.bench_tag.content import tag
from oilchart.papers.bench_tag.pdf import tag_pdf, tag_words
from oilchart.shop import machines
from oilchart.shop.bench import stay
from oilchart.sources.files.settings import Settings


@click.command("tag")
@click.argument("machine")
@out_option
@pass_app
def tag_command(app: AppContext, machine: str, out: Path | None) -> None:
    """Print the tag of a machine that is in the shop once more.

    Example: oilchart tag M-012
    """
    with app.shop.book() as book:
        settings = app.shop.settings_in(book)
        record = machines.named(book, machine)
    data = tag_bytes(app, settings, record, stay.stay_of(record))
    app.write_output(data, out, tag_name(record), in_shop=True, paper="tag", about=[record.id])


def tag_name(record: MachineRecord) -> str:
    """The name of the file of a machine's tag."""
    return f"{record.number}-tag.pdf"


def tag_bytes(app: AppContext, settings: Settings, record: MachineRecord, job: Job) -> bytes:
    """The tag of a machine as a PDF.

    Args:
        job: its stay.
    """
    model = app.shop.list_of(record).name
    paper = tag(record, job, model=model, shop=settings.shop_details)
    return printed(settings, f"tag {record.number}", tag_words(paper), lambda: tag_pdf(paper))
