"""The board: one page of the shop's state for a screen or the wall."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from oilchart import bounds
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import out_option
from oilchart.papers.board.content import WEEKS, board
from oilchart.papers.board.html import board_page
from oilchart.shop import calls
from oilchart.shop.calls import CallPlan


@click.command("board")
@click.option(
    "--weeks",
    type=click.IntRange(1, bounds.WEEKS_ON_BOARD),
    default=WEEKS,
    show_default=True,
    metavar="N",
    help="How many weeks ahead.",
)
@click.option(
    "--no-phones",
    is_flag=True,
    help="Leave the telephone numbers out, where customers can see the screen.",
)
@out_option
@pass_app
def board_command(app: AppContext, weeks: int, no_phones: bool, out: Path | None) -> None:
    """Write the shop's state as one page: who is overdue, what is in the shop, the calls by day and
    the services ahead.

    Example: oilchart board -o board.html
    """
    with app.recording() as (book, files):
        data = board_of(app, calls.plan(book, app.shop), weeks=weeks, phones=not no_phones)
        files.add(out or app.place_in_shop("board.html"), data)


def board_of(app: AppContext, plan: CallPlan, *, weeks: int = WEEKS, phones: bool = True) -> bytes:
    """The board of a plan as a page."""
    settings = plan.settings
    whole = board(
        plan.standings,
        plan.calls,
        today=app.today,
        shop=settings.shop_details,
        limits=settings.limits,
        weeks=weeks,
    )
    shown = replace(whole, phones=phones)
    return board_page(shown, app.templates).encode()
