"""Letters to owners: instead of calls, or to all whose machines are due."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from oilchart.cli.batch import STDOUT
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import out_option
from oilchart.cli.printing import printed_together
from oilchart.cli.types import STRETCH
from oilchart.core.records.paper import PrintedPaper
from oilchart.papers.letter.content import Letter, letter
from oilchart.papers.letter.pdf import LETTER_SHEETS, address_lines, letter_words, letters_pdf
from oilchart.papers.letter.text import letters_text
from oilchart.papers.wording import counted
from oilchart.shop.letters_due import LettersDue, letters_due
from oilchart.sources.files.settings import Settings

DAYS = 7
SHEET_NAMES = ("a4", "letter")


@click.command("letters")
@click.option(
    "--due",
    is_flag=True,
    help="To all owners of machines that are overdue, likely overdue or never served.",
)
@click.option(
    "--within",
    "within_days",
    type=STRETCH,
    default=DAYS,
    show_default="7d",
    metavar="DAYS",
    help="Calls of these days.",
)
@click.option(
    "--sheet",
    type=click.Choice(SHEET_NAMES),
    default=SHEET_NAMES[0],
    show_default=True,
    help="A4 or US Letter paper.",
)
@click.option("--txt", "as_text", is_flag=True, help="Plain text, a form feed between two letters.")
@out_option
@pass_app
def letters_command(
    app: AppContext, due: bool, within_days: int, sheet: str, as_text: bool, out: Path | None
) -> None:
    """Write letters for window envelopes: to owners who are better written to than rung, or to all
    whose machines are due.

    Without --due they take the place of the coming calls to owners who wish for letters, did not
    answer three times, or have no number on which they answer. Once posted, note each with:
    oilchart called OWNER letter-sent

    \b
    Example: oilchart letters --due -o letters.pdf
             oilchart letters --txt -o -
    """
    as_text = as_text or (out is not None and out != STDOUT and out.suffix.casefold() == ".txt")
    templates = app.templates
    with app.recording() as (book, files):
        settings = app.shop.settings_in(book)
        wanted = letters_due(book, app.shop, due_only=due, within_days=within_days)
        letters = [
            letter(
                each,
                on=app.today,
                shop=settings.shop_details,
                templates=templates,
                style=settings.paper,
            )
            for each in wanted.letters
            if each.owner.address
        ]
        if letters:
            data = letters_text(letters).encode() if as_text else _pdf(settings, letters, sheet)
            name = "letters.txt" if as_text else "letters.pdf"
            path = out or app.place_in_shop(name)
            files.add(path, data)
            book.papers.add(
                [
                    PrintedPaper(kind="letter", on=app.today, file=str(path), owner=each.owner.id)
                    for each in wanted.letters
                    if each.owner.address
                ]
            )
    _tell_left_out(wanted)
    if letters:
        click.echo(counted(len(letters), "letter"), err=True)
    else:
        more = (
            ""
            if due
            else "; for a letter to each owner of a machine that is due: oilchart letters --due"
        )
        click.echo(f"no letters: nothing was written{more}", err=True)


def _pdf(settings: Settings, letters: Sequence[Letter], sheet: str) -> bytes:
    for each in letters:
        if not address_lines(each, LETTER_SHEETS[sheet]).whole:
            click.echo(
                f"letter to {each.address[0]}: the address is too long for the window: "
                "its end is left out",
                err=True,
            )
    papers = [(f"letter to {each.address[0]}", letter_words(each)) for each in letters]
    return printed_together(settings, papers, lambda: letters_pdf(letters, LETTER_SHEETS[sheet]))


def _tell_left_out(post: LettersDue) -> None:
    """Say on stderr who is not written to, and why."""
    for each in post.letters:
        if not each.owner.address:
            number = each.owner.number
            add = f'oilchart owner edit {number} --address "12 Example Street; Example Town"'
            click.echo(
                f"no letter to {number} {each.owner.name}: has no postal address; add it: {add}",
                err=True,
            )
    for owner, why in post.left_out:
        click.echo(f"no letter to {owner.number} {owner.name}: {why}", err=True)
