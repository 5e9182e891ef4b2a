"""The board: one page of the shop's state for a screen or the wall."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import out_option

if TYPE_CHECKING:
    from oilchart.core.planning.standing import OpenCall, Standing
    from oilchart.papers.board.content import BoardCall, BoardLine


@click.command("board")
@click.option(
    "--weeks",
    type=click.IntRange(1, 52),
    default=8,
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
    app.write_output(
        board_bytes(app, weeks=weeks, phones=not no_phones), out, "board.html", in_shop=True
    )


def board_bytes(app: AppContext, *, weeks: int = 8, phones: bool = True) -> bytes:
    """The board as a page."""
    from oilchart.papers.board.content import board
    from oilchart.papers.board.html import board_page
    from oilchart.sources.files.packaged import packaged

    settings = app.shop.settings
    lines = [_line(standing) for standing in app.shop.standings()]
    with app.shop.calls() as planned:
        calls = [_call(call) for call in planned]
    if not phones:
        lines, calls = (
            [replace(line, phone="") for line in lines],
            [replace(call, phone="") for call in calls],
        )
    whole = board(
        lines,
        calls=calls,
        today=app.today,
        shop=settings.shop_details,
        calls_a_day=settings.calls_a_day,
        services_a_week=settings.services_a_week,
        weeks=weeks,
        open_days=settings.open_days,
    )
    return board_page(whole, [app.folder / "templates", packaged("templates")]).encode()


def _line(standing: Standing) -> BoardLine:
    from oilchart.papers.board.content import BoardLine

    schedule, record = standing.schedule, standing.record
    service = schedule.services[0] if schedule.services else None
    return BoardLine(
        machine=record.number,
        owner=record.owner.name,
        phone=record.owner.phone,
        model=schedule.machine.point_list.name,
        state=schedule.state,
        due=schedule.due.likely,
        because=schedule.due.because or "",
        next_service=None if service is None else service.on,
        points=0 if service is None else len(service.points),
        minutes=Fraction(0)
        if service is None
        else sum((point.minutes for point in service.points), start=Fraction(0)),
        late=service is not None and service.late,
        served=schedule.machine.served,
        unsafe=record.unsafe is not None,
        since=None if record.open_job is None else record.open_job.in_on,
    )


def _call(call: OpenCall) -> BoardCall:
    from oilchart.papers.board.content import BoardCall

    return BoardCall(
        on=call.on,
        owner=call.owner.name,
        phone=call.owner.phone,
        machines=tuple(record.number for record, _ in call.services),
        about=call.about,
    )
