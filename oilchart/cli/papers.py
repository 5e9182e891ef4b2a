"""Papers: bench checklist, record of a service."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.context import STDOUT, AppContext, pass_app
from oilchart.cli.options import model_options, out_option
from oilchart.cli.unregistered import machine_of
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.errors import OilchartError, one_line

if TYPE_CHECKING:
    from oilchart.core.planning.standing import ScheduledMachine
    from oilchart.papers.checklist.content import Checklist
    from oilchart.sources.files.settings import Settings

MOST_SIGNS = 8  # that are named of those that cannot be printed
MOST_LETTERS = 60  # of the words they stand in
FALLBACK_KEY = "[paper] fallback_fonts in shop.toml"
RTL_REMEDY = "for their right order: pip install arabic-reshaper python-bidi"


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
@out_option
@pass_app
def checklist_command(
    app: AppContext,
    machine: str | None,
    unregistered: UnregisteredMachine,
    seized: bool,
    sheet: str,
    out: Path | None,
) -> None:
    """Print a bench checklist: a PDF, or a page for the screen over the bench if FILE ends in
    .html.

    With --model alone it is the model's whole list; for a machine, or with --use or --serviced, it
    is the list of its next service.

    \b
    Example: oilchart checklist M-014
             oilchart checklist --model heron-3 -o bench.html
             oilchart checklist M-014 --sheet letter
    """
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
    data = checklist_bytes(
        whole,
        app,
        settings,
        html=(out or Path(name)).suffix.casefold() in (".html", ".htm"),
        sheet=sheet,
    )
    app.write_output(data, out, name, in_shop=machine is not None)


@click.command("record")
@click.argument("machine")
@out_option
@pass_app
def record_command(app: AppContext, machine: str, out: Path | None) -> None:
    """Print the record of a machine's latest service for its owner: as received, found, done, left
    for later, the next service.

    Example: oilchart record M-014
    """
    from oilchart.papers.record.content import service_record
    from oilchart.papers.record.pdf import record_pdf, record_words
    from oilchart.shop import standings

    with app.shop.book() as book:
        settings = app.shop.settings_in(book)
        standing = standings.of_machine(book, app.shop, machine)
    number, services = standing.record.number, standing.record.services
    if not services:
        raise OilchartError(
            f"{number}: has no service yet; record one first: oilchart serviced {number}"
        )
    sheet = service_record(standing, services[-1], shop=settings.shop_details, style=settings.paper)
    data = printed(settings, f"record {number}", record_words(sheet), lambda: record_pdf(sheet))
    app.write_output(data, out, f"{number}-record.pdf", in_shop=True)


def checklist_of(
    app: AppContext,
    machine: ScheduledMachine,
    settings: Settings,
    *,
    of_model: bool,
    seized: bool = False,
) -> Checklist:
    """The checklist of a machine's next service, or the whole one of its model."""
    from oilchart.papers.checklist.content import checklist

    schedule = machine.schedule
    record = None if of_model else machine.record
    return checklist(
        schedule.machine.point_list,
        drawings=app.library.drawings(schedule.machine.point_list),
        on=schedule.as_of,
        schedule=None if of_model else schedule,
        owner=machine.owner_name,
        serial=machine.serial,
        note="" if record is None else record.note,
        last_left={} if record is None else record.last_left,
        seized=seized,
        invented=settings.shop_details.invented,
        style=settings.paper,
    )


def checklist_bytes(
    whole: Checklist, app: AppContext, settings: Settings, *, html: bool, sheet: str = "a4"
) -> bytes:
    """The checklist as a PDF, of A4 or Letter size, or a page."""
    from oilchart.papers.checklist.pdf import checklist_pdf, checklist_words

    if html:
        from oilchart.papers.checklist.html import checklist_page

        return checklist_page(whole, app.templates).encode()
    return printed(
        settings,
        f"checklist {whole.machine or whole.model}",
        checklist_words(whole),
        lambda: checklist_pdf(whole, sheet),
    )


def printed(
    settings: Settings, what: str, words: Sequence[str], write: Callable[[], bytes]
) -> bytes:
    """Write a paper with the shop's fallback fonts; what they cannot print as it should be is told
    on stderr, and on whose paper.

    Args:
        what: the paper and whose it is, like "card M-014".
        words: all on it that come from the shop and the owner.
    """
    return printed_together(settings, [(what, words)], write)


def printed_together(
    settings: Settings, papers: Sequence[tuple[str, Sequence[str]]], write: Callable[[], bytes]
) -> bytes:
    """The same for several papers in one file: what each is and whose, and its words."""
    from oilchart.papers.pdf.fonts import fallbacks

    with fallbacks(settings.fallback_fonts):
        for what, words in papers:
            tell_missing(what, words)
        return write()


def tell_missing(what: str, words: Sequence[str]) -> None:
    """Tell on stderr what the type, with the fallback fonts in force, cannot print as it should
    be."""
    from oilchart.papers.pdf.direction import can_be_turned, is_right_to_left
    from oilchart.papers.pdf.fonts import missing

    told = ""
    for text in words:
        signs = "".join(sign for sign in missing([text]) if sign not in told)
        told += signs
        if signs:
            click.echo(
                f"{what}: {_missing_words(text, signs)}; name a font that has them: {FALLBACK_KEY}",
                err=True,
            )
    if not can_be_turned() and any(is_right_to_left(text) for text in words):
        click.echo(
            f"{what}: right-to-left words are printed in the order they are stored; {RTL_REMEDY}",
            err=True,
        )


def _missing_words(text: str, signs: str) -> str:
    """Which characters of which words cannot be printed."""
    names = ", ".join(f"{sign} (U+{ord(sign):04X})" for sign in signs[:MOST_SIGNS])
    more = f" and {len(signs) - MOST_SIGNS} more" if len(signs) > MOST_SIGNS else ""
    whose = one_line(text)
    whose = whose if len(whose) <= MOST_LETTERS else f"{whose[:MOST_LETTERS]}…"
    return f'"{whose}": the type has no {names}{more}: printed as empty boxes'
