"""Care cards: of one machine, of many at once, on cards of their own or several on an office
sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import TypeVar

import click
from rich.console import Console
from rich.progress import track

from oilchart.cli.batch import STDOUT, Batch
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import model_options, out_option
from oilchart.cli.printing import tell_missing
from oilchart.cli.terminal import bare_stderr
from oilchart.cli.unregistered import machine_of
from oilchart.core.due.due_dates import DUE
from oilchart.core.planning.standing import ScheduledMachine, Standing
from oilchart.core.records.paper import PrintedPaper
from oilchart.core.records.paper_style import CardSize, OfficeSheet
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.errors import OilchartError
from oilchart.papers.card.content import card_words, care_card
from oilchart.papers.card.pages import TooSmall, card_leaflet
from oilchart.papers.do_not_plug_in.content import UnsafeSheet, unsafe_sheet
from oilchart.papers.do_not_plug_in.pdf import unsafe_leaflet, unsafe_words
from oilchart.papers.imposition import CardTooLarge, sheets_pdf
from oilchart.papers.pdf.card_sizes import CARD_FORMATS, Setting, setting
from oilchart.papers.pdf.fonts import fallbacks
from oilchart.papers.pdf.leaflets import Leaflet, leaflets_pdf
from oilchart.papers.wording import counted
from oilchart.shop import standings
from oilchart.sources.files.settings import Settings
from oilchart.sources.points.library import PointLibrary

_T = TypeVar("_T")
LONG_RUN = 12  # so many cards take longer than one likes to wait without a sign
ALL_CARDS = "cards.pdf"
KIND = "care card"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintOptions:
    """On what cards are printed: the size asked for, or the shop's; on sheets to cut, or alone."""

    size: CardSize | None = None
    sheet: OfficeSheet | None = None


@click.command("card")
@click.argument("machine", required=False)
@model_options
@click.option(
    "--all-due",
    is_flag=True,
    help="The cards of all machines that are overdue or due soon; "
    "with --model, of that model only.",
)
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="The cards of all machines; with --model, of that model only; with an owner in MACHINE's "
    "place, of theirs only, as with --all-due.",
)
@click.option(
    "--size",
    type=click.Choice([each.value for each in CardSize]),
    help="The size of a card; a4 and letter are large print. Else the shop's.",
)
@click.option(
    "--sheet",
    type=click.Choice([each.value for each in OfficeSheet]),
    help="Lay cards out on sheets of this size, with marks to cut along.",
)
@out_option
@pass_app
def card_command(
    app: AppContext,
    machine: str | None,
    unregistered: UnregisteredMachine,
    all_due: bool,
    everything: bool,
    size: str | None,
    sheet: str | None,
    out: Path | None,
) -> None:
    """Print care cards for owners, as PDF; for a machine found unsafe the do-not-plug-in sheet.

    Cards are for both sides of the paper, printed at 100 %, not "fit to page"; sheets are turned
    over their long edge. With --all-due or
    --all, -o names one file for all, like cards.pdf, or a folder for a file each.

    \b
    Example: oilchart card M-014
             oilchart card M-014 --size a4
             oilchart card --all-due --sheet a4 -o cards.pdf
             oilchart card --all --model heron-3
             oilchart card OW-003 --all --sheet a4 -o cards.pdf
             oilchart card --model heron-3 --use "5-8 hours a week" --serviced 2026-11-20 -o a.pdf
    """
    options = PrintOptions(
        size=CardSize(size) if size else None, sheet=OfficeSheet(sheet) if sheet else None
    )
    if all_due or everything:
        _check_batch("--all-due" if all_due else "--all", unregistered, both=all_due and everything)
        machines, settings = _machines(app, unregistered.model, machine, due_only=all_due)
        _write_all(app, machines, settings, options, out)
        return
    of_whom, settings = machine_of(app, machine, unregistered)
    try:
        data = card_bytes(of_whom, app.library, settings, options)
    except TooSmall as why:
        raise OilchartError(why.line("--size")) from None
    name, in_shop = f"{of_whom.name}-card.pdf", machine is not None
    app.write_output(data, out, name, in_shop=in_shop, paper=KIND, about=_ids([of_whom]))


def _check_batch(flag: str, unregistered: UnregisteredMachine, *, both: bool) -> None:
    """A batch stands alone, or with a model or an owner of which the machines are.

    Raises:
        click.UsageError
    """
    if both:
        raise click.UsageError(
            "--all: prints the cards that --all-due prints, and more; leave one of them out"
        )
    if not unregistered.tells_nothing:
        raise click.UsageError(
            f"{flag}: is about machines of the book; "
            "leave out --use, --serviced, --condition and --can"
        )


def _machines(
    app: AppContext, model: str | None, owner: str | None, *, due_only: bool
) -> tuple[list[Standing], Settings]:
    """The machines, by number, so that a pile of cards is easily put in order; with the shop's
    settings."""
    with app.shop.book() as book:
        settings = app.shop.settings_in(book)
        worst = standings.worst(book, app.shop, model=model, owner=owner)
    wanted = [
        each for each in worst if each.record.model and (each.schedule.state in DUE or not due_only)
    ]
    return sorted(wanted, key=lambda each: each.record.id), settings


def _write_all(
    app: AppContext,
    machines: Sequence[ScheduledMachine],
    settings: Settings,
    options: PrintOptions,
    out: Path | None,
) -> None:
    """Write all cards: to one file, or to a file each in a folder; one that has no room on its size
    is told and left out."""
    if not machines:
        click.echo("no such machine: no card was written", err=True)
        return
    in_one = options.sheet is not None or (
        out is not None and (out == STDOUT or out.suffix.casefold() == ".pdf")
    )
    if in_one:
        batch_title = (
            f"{counted(len(machines), 'care card')}, {settings.shop_details.name}"
            if len(machines) > 1
            else ""
        )
        left_out: list[ScheduledMachine] = []
        data = _written(_watched(machines), app.library, settings, options, batch_title, left_out)
        if len(left_out) < len(machines):
            about = _ids(each for each in machines if each not in left_out)
            app.write_output(data, out, ALL_CARDS, in_shop=True, paper=KIND, about=about)
    else:
        folder, left_out, papers = out or app.folder / "out", [], []
        with Batch(app.folder) as files:
            for each in _watched(machines):
                try:
                    data = card_bytes(each, app.library, settings, options)
                except TooSmall as why:
                    click.echo(f"oilchart: {why.line('--size')}", err=True)
                    left_out.append(each)
                else:
                    path = folder / f"{each.name}-card.pdf"
                    files.add(path, data, told=False)
                    papers += [
                        PrintedPaper(kind=KIND, on=app.today, file=str(path), machine=machine)
                        for machine in _ids([each])
                    ]
            files.place()
        app.note_printed(papers)
        written = counted(len(machines) - len(left_out), "card")
        click.echo(f"wrote {written} to {folder}", err=True)
    if left_out:
        click.echo(f"left out: {', '.join(each.name for each in left_out)}", err=True)
        raise click.exceptions.Exit(1)


def _ids(machines: Iterable[ScheduledMachine]) -> list[int]:
    """The ids of those machines that are in the book."""
    return [each.record.id for each in machines if each.record is not None]


def _watched(items: Sequence[_T]) -> Iterable[_T]:
    """The items, with a bar on the screen that tells how far a long run is."""
    console = Console(file=bare_stderr())
    return track(
        items,
        "cards",
        console=console,
        transient=True,
        disable=len(items) < LONG_RUN or not console.is_terminal,
    )


def card_bytes(
    machine: ScheduledMachine,
    library: PointLibrary,
    settings: Settings,
    options: PrintOptions | None = None,
) -> bytes:
    """The care card of a machine; what the type cannot print is told on stderr."""
    return _written([machine], library, settings, options or PrintOptions())


def _written(
    machines: Iterable[ScheduledMachine],
    library: PointLibrary,
    settings: Settings,
    options: PrintOptions,
    batch_title: str = "",
    left_out: list[ScheduledMachine] | None = None,
) -> bytes:
    """Cards in one file, each laid out and drawn before the next is looked at.

    Args:
        batch_title: what many are called together.
        left_out: takes those that have no room on their size; without it the first of them is an
            error. Nothing is written of none.
    """
    ink = CARD_FORMATS[options.size or settings.paper.size]
    with fallbacks(settings.fallback_fonts):
        leaflets = _leaflets(machines, library, settings, options, left_out)
        first = next(leaflets, None)
        if first is None:
            return b""
        leaflets = chain([first], leaflets)
        if options.sheet is None:
            return leaflets_pdf(leaflets, ink, batch_title=batch_title)
        try:
            return sheets_pdf(leaflets, ink, options.sheet, batch_title=batch_title)
        except CardTooLarge as why:
            smaller = "leave --sheet out, or give a smaller --size"
            raise OilchartError(f"--{why}; {smaller}") from None


def _leaflets(
    machines: Iterable[ScheduledMachine],
    library: PointLibrary,
    settings: Settings,
    options: PrintOptions,
    left_out: list[ScheduledMachine] | None,
) -> Iterator[Leaflet]:
    for each in machines:
        try:
            leaflet = _leaflet(each, library, settings, options)
        except TooSmall as why:
            if left_out is None:
                raise
            click.echo(f"oilchart: {why.line('--size')}", err=True)
            left_out.append(each)
        else:
            yield leaflet


def _leaflet(
    machine: ScheduledMachine, library: PointLibrary, settings: Settings, options: PrintOptions
) -> Leaflet:
    """A card, or the sheet that takes its place, laid out; what is amiss on it is told on
    stderr."""
    style = settings.paper
    size = setting(options.size or style.size, style.colour)
    if machine.record is not None and machine.record.unsafe is not None:
        sheet = unsafe_sheet(
            machine.record,
            machine.record.dangers,
            machine.schedule.machine.point_list,
            shop=settings.shop_details,
        )
        return _unsafe_leaflet(sheet, machine.name, size)
    card = care_card(
        machine.schedule,
        drawings=library.drawings(machine.schedule.machine.point_list),
        shop=settings.shop_details,
        owner=machine.owner_name,
        serial=machine.serial,
        style=style,
    )
    what = f"card {machine.name}"
    tell_missing(what, card_words(card))
    leaflet = card_leaflet(card, size)
    for fault in leaflet.faults:
        click.echo(f"{what}: {fault}; move one of the places: oilchart models place", err=True)
    return leaflet


def _unsafe_leaflet(sheet: UnsafeSheet, machine: str, size: Setting) -> Leaflet:
    """The sheet of an unsafe machine; it is said on stderr that it takes the card's place."""
    tell_missing(f"sheet {machine}", unsafe_words(sheet))
    why = "; ".join(
        f"{each.heading.lower()} ({', '.join(each.reasons)})" for each in sheet.warnings
    )
    click.echo(f"{machine}: {why}: a {sheet.name.lower()} instead of a card", err=True)
    return unsafe_leaflet(sheet, size)
