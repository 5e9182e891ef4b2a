"""Calls to owners: whom to ring on which day, on the screen and as a sheet beside the telephone,
and what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option, out_option
from oilchart.cli.papers import printed
from oilchart.cli.types import DAY, OUTCOME, WORDS
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.planning.letter_reason import way_to_reach
from oilchart.core.records.owner import Way

if TYPE_CHECKING:
    from oilchart.core.planning.standing import OpenCall
    from oilchart.sources.files.settings import Settings

WEEKS = 4


@click.command("calls")
@click.option(
    "--weeks",
    type=click.IntRange(1, 104),
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
    from oilchart.papers.lists.calls import calls_json, calls_text
    from oilchart.papers.wording import counted
    from oilchart.shop import calls

    with app.shop.book(writing=True) as book:
        plan = calls.plan(book, app.shop)
        coming = [call for call in plan.calls if call.on < app.today + timedelta(weeks=weeks)]
        if out is not None:
            data = _sheet(app, plan.settings, coming, weeks)
            app.write_output(data, out, "calls.pdf", in_shop=True)
        else:
            click.echo(calls_json(coming) if as_json else calls_text(coming, app.screen), nl=False)
            if not as_json:
                click.echo(counted(len(coming), "call"), err=True)


def _sheet(app: AppContext, settings: Settings, calls: Sequence[OpenCall], weeks: int) -> bytes:
    from oilchart.papers.call_sheet.content import call_sheet
    from oilchart.papers.call_sheet.pdf import call_sheet_pdf, call_sheet_words

    records = [record for call in calls for record, _ in call.services]
    sheet = call_sheet(
        calls,
        {record.id: app.shop.list_for_owner_of(record) for record in records},
        on=app.today,
        shop=settings.shop_details,
        weeks=weeks,
    )
    return printed(settings, "call sheet", call_sheet_words(sheet), lambda: call_sheet_pdf(sheet))


@click.command("called")
@click.argument("owner")
@click.argument("outcome", type=OUTCOME)
@click.argument("day", type=DAY, required=False)
@click.option(
    "--machine",
    "machines",
    multiple=True,
    metavar="MACHINE",
    help="Which one is booked or sold, where it is not clear.",
)
@click.option("--note", type=WORDS, default="", help="Anything worth keeping.")
@click.option(
    "--on", "on", type=DAY, metavar="DATE", help="The day of the call; today if left out."
)
@pass_app
def called_command(
    app: AppContext,
    owner: str,
    outcome: Outcome,
    day: date | None,
    machines: tuple[str, ...],
    note: str,
    on: date | None,
) -> None:
    """Record what came of a call; what follows from it is said.

    \b
    reached, rang-back   spoken to: rung again in four weeks if the machine is not in by then
    left-message         rung again in a week
    no-answer            rung again on the next open day; after three times a letter is proposed
    wrong-number         a letter is proposed, until there is another number: owner edit --phone
    booked DAY           the machine has its day on the bench
    later DAY            rung on that day
    declined             rung again in half a year
    letter-sent          written to, since nobody could be reached
    sold, goes-elsewhere, died   the machines are gone, and so are all calls about them

    An owner who lets two rounds pass is rung no more: due --lapsed.

    \b
    Example: oilchart called Brandvold no-answer
             oilchart called Brandvold booked 2027-01-15
    """
    from oilchart.papers.wording import counted, day_words, joined
    from oilchart.shop import call_outcomes

    told = CallOutcome(on=on or app.today, outcome=outcome, day=day, note=note)
    with app.shop.book(writing=True) as book:
        answer = call_outcomes.record(book, app.shop, owner, told, machines)
    words = f"{answer.owner.number} {answer.owner.name}: {outcome}"
    if answer.booked and day is not None:
        words += f" for {day_words(day)}: {joined([record.number for record in answer.booked])}"
    if answer.tries:
        words += f" ({counted(answer.tries, 'time')})"
    click.echo(f"{words}.")
    if answer.letter:
        click.echo("A letter is proposed: oilchart letters")
    if answer.again is not None:
        rung = not answer.letter and way_to_reach(answer.owner, ()) is Way.PHONE
        click.echo(
            f"{'To be rung again' if rung else 'On the list again'} on {day_words(answer.again)}."
        )
    if answer.lapsed:
        click.echo("Two rounds have passed: not rung any more. See: oilchart due --lapsed")
    if answer.gone:
        gone = joined([record.number for record in answer.gone])
        click.echo(f"Gone: {gone}. To take it back: oilchart machine back {answer.gone[0].number}")
