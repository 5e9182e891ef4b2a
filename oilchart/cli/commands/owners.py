"""Owners, and what they wish."""

from __future__ import annotations

from typing import Any

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.lazy import Lazy, LazyGroup
from oilchart.cli.options import can_option, json_option
from oilchart.cli.types import LINE, LINES, NAME, WORDS
from oilchart.cli.word_types import NEED
from oilchart.core.point_lists.point_list import Need
from oilchart.core.records.owner import EITHER_OR, ContradictoryChange, OwnerChange, Way
from oilchart.errors import OilchartError, quoted
from oilchart.papers.tables.owners import owners_json, owners_text
from oilchart.shop import owners
from oilchart.shop.owners import NewOwner, OwnerKept, PhonesTold

NEED_WORDS = {Need.TIP: "tip the head", Need.FINE: "fine work", Need.FORCE: "what takes force"}
# loaded when it is run: it rests on schedules, which the others do without
SHOW = Lazy(
    "owner_story",
    "Tell all that is known of an owner: how to reach them, their machines, the calls planned, and "
    "what came of earlier ones.",
)


MERGE = Lazy(
    "owner_merge",
    "Put an owner who was written down twice together with the other: machines, calls, booked days "
    "and notes are the other's, who keeps their number and wishes.",
)


@click.group("owner", cls=LazyGroup, lazy={"show": SHOW, "merge": MERGE})
def owner_command() -> None:
    """Add, change, show and list owners."""


@owner_command.command("add")
@click.argument("name", type=NAME)
@click.option(
    "--phone",
    "phones",
    multiple=True,
    type=LINE,
    metavar="NUMBER",
    help='As you dial it, and whose it is, if another\'s: "daughter 020 7946 0107".',
)
@click.option("--email", type=LINE, default="", help="E-mail address.")
@click.option(
    "--address",
    type=LINES,
    default=(),
    metavar="LINES",
    help='Postal address: "12 Example Street; Example Town".',
)
@click.option("--note", type=WORDS, default="", help="Anything worth knowing.")
@pass_app
def add(app: AppContext, **told: Any) -> None:
    """Add an owner. Who may be the same as another is told, and so is a number that cannot be
    right by what is known of the country that shop.toml names; it is kept as it was said.

    \b
    Example: oilchart owner add "Ida Brandvold" --phone "020 7946 0107"
             oilchart owner add "Ida Brandvold" --phone "020 7946 0107 / daughter 0117 496 0108"
    """
    with app.shop.book(writing=True) as book:
        kept = owners.add(book, app.shop, NewOwner(**told))
    click.echo(f"{kept.owner.number} {kept.owner.name}")
    _tell(kept)


def _tell(kept: OwnerKept) -> None:
    """Say on stderr which numbers are doubtful, and who may be the same person."""
    number = kept.owner.number
    for doubt in kept.doubts:
        click.echo(
            f"{number}: phone {quoted(doubt.number)}: {doubt.why}; kept as it was said; to mend "
            f"it: oilchart owner edit {number} --phone NUMBER",
            err=True,
        )
    for each in kept.alike:
        phone = f", {each.phone_words}" if each.phones else ""
        click.echo(
            f"{each.number} {each.name}{phone}: if that is the same person: "
            f"oilchart owner merge {number} --into {each.number}",
            err=True,
        )


@owner_command.command("edit")
@click.argument("owner")
@click.option("--name", type=NAME, help="Another name.")
@click.option(
    "--phone",
    "phones",
    multiple=True,
    type=LINE,
    metavar="NUMBER",
    help='As you dial it, in the place of all there were; "" for none.',
)
@click.option(
    "--add-phone",
    "more",
    multiple=True,
    type=NAME,
    metavar="NUMBER",
    help='One more, and whose it is: "daughter 020 7946 0107".',
)
@click.option(
    "--drop-phone", "less", multiple=True, type=NAME, metavar="NUMBER", help="No more theirs."
)
@click.option("--email", type=LINE, help="E-mail address.")
@can_option
@click.option("--cannot", multiple=True, type=NEED, help="This owner cannot, after all.")
@click.option(
    "--reach-by",
    "reached_by",
    type=click.Choice([way.value for way in Way]),
    help="How they want to be reached.",
)
@click.option(
    "--address",
    type=LINES,
    metavar="LINES",
    help='Postal address: "12 Example Street; Example Town"; "" takes it away.',
)
@click.option("--note", type=WORDS, help="Anything worth knowing; added to their notes.")
@click.option("--best-time", type=WORDS, metavar="WORDS", help='When, like "after six".')
@click.option(
    "--leave-alone/--contact",
    "do_not_contact",
    default=None,
    help="Nobody is to ring or write to them; or one may again.",
)
@pass_app
def edit(
    app: AppContext,
    /,
    owner: str,
    reached_by: str | None,
    phones: tuple[str, ...],
    more: tuple[str, ...],
    less: tuple[str, ...],
    **told: Any,
) -> None:
    """Change what is noted of an owner. What needs tipping, fine sight or force is the bench's
    unless this owner can; the card follows.

    \b
    Examples: oilchart owner edit Brandvold --can tip
              oilchart owner edit Brandvold --reach-by text --best-time "after six"
              oilchart owner edit Brandvold --add-phone "daughter 0117 496 0108"
    """
    change = OwnerChange(reached_by=None if reached_by is None else Way(reached_by), **told)
    with app.shop.book(writing=True) as book:
        try:
            kept = owners.edit(
                book,
                app.shop,
                owner,
                change,
                PhonesTold(all=phones or None, more=more, less=less),
            )
        except ContradictoryChange as error:
            needs = f"--can {error.need}, --cannot {error.need}"
            raise OilchartError(f"{needs}: {EITHER_OR}") from None
    now = kept.owner
    able = ", ".join(NEED_WORDS[need] for need in now.can) or "the usual"
    wishes = [
        *([f"by {now.reached_by}"] if now.reached_by is not Way.PHONE else []),
        *([now.best_time] if now.best_time else []),
    ]
    if now.do_not_contact is not None:
        wishes = [f"left alone since {now.do_not_contact.on} ({now.do_not_contact.why})"]
    reached = f"; to be reached: {', '.join(wishes)}" if wishes else ""
    click.echo(
        f"{now.number} {now.name}, {now.phone_words or 'no phone'}, {now.email or 'no e-mail'}: "
        f"can do at home: {able}{reached}"
    )
    _tell(kept)


@owner_command.command("list")
@json_option
@pass_app
def list_owners(app: AppContext, as_json: bool) -> None:
    """List all owners.

    Example: oilchart owner list
    """
    with app.shop.book() as book:
        listed = owners.with_machine_counts(book)
    click.echo(owners_json(listed) if as_json else owners_text(listed, app.screen), nl=False)
