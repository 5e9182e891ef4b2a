"""Services and stays that were written down wrongly."""

from __future__ import annotations

from datetime import date

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.mending import tell_mended
from oilchart.cli.service_types import EXCEPT
from oilchart.cli.types import DAY, DAY_ANSWERED, DAY_TO_COME, LINE, NAME, TOLD, WORDS
from oilchart.cli.word_types import FOUND, LEFT
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.service_record import ServiceRecord
from oilchart.papers.wording import day_words, plain_day, service_words
from oilchart.shop import machines
from oilchart.shop.bench.services import WantsDayBack, WantsReason
from oilchart.shop.corrections import services, stays
from oilchart.shop.corrections.services import ServiceChange, ServiceCorrected
from oilchart.shop.corrections.stays import StayChange


@click.group("service")
def service_command() -> None:
    """Mend a service that was written down wrongly."""


@service_command.command("edit")
@click.argument("machine")
@click.option(
    "--service", "on", type=DAY, metavar="DATE", help="Which: of that day; the latest if left out."
)
@click.option("--day", type=DAY_ANSWERED, metavar="DATE", help="It was on that day.")
@click.option("--done", multiple=True, metavar="POINT", help="This point was done.")
@click.option(
    "--not-done",
    multiple=True,
    type=EXCEPT,
    metavar="POINT[=WHY]",
    help="This point was not done, and why.",
)
@click.option(
    "--found",
    multiple=True,
    type=FOUND,
    metavar="POINT=WORDS",
    help="As found, in the place of what was noted there.",
)
@click.option(
    "--left",
    multiple=True,
    type=LEFT,
    metavar="POINT=WORD",
    help="As left, in the place of what was noted there.",
)
@click.option(
    "--nothing-noted",
    "unnoted",
    multiple=True,
    metavar="POINT",
    help="Nothing was noted at this point, neither as found nor as left.",
)
@click.option("--by", type=NAME, metavar="NAME", help="Who did the work.")
@click.option(
    "--back-on",
    type=DAY_TO_COME,
    metavar="DATE",
    help="The day it comes back for what was left out and cannot wait.",
)
@pass_app
def edit_service(
    app: AppContext,
    machine: str,
    on: date | None,
    day: date | None,
    done: tuple[str, ...],
    not_done: tuple[tuple[str, str], ...],
    found: tuple[tuple[str, tuple[Found, ...]], ...],
    left: tuple[tuple[str, Left], ...],
    unnoted: tuple[str, ...],
    by: str | None,
    back_on: date | None,
) -> None:
    """Mend a service: its day, the points that were done or not, what was found and left there, who
    did it. What it was and what it is now are said. With its day goes the electrical check that was
    made on the same; its points stay as they were told.

    \b
    Example: oilchart service edit M-014 --service 2026-07-21 --day 2026-07-20
             oilchart service edit M-014 --not-done 44="no lamp fitted" --found 32=dry
    """
    change = ServiceChange(
        day=day,
        done=done,
        not_done=not_done,
        found=found,
        left=left,
        unnoted=unnoted,
        by=by,
        back_on=back_on,
    )
    if change == ServiceChange():
        raise click.UsageError("say what of it was otherwise: --day, --done, --found, ...")
    try:
        with app.shop.book(writing=True) as book:
            mended = services.correct(book, app.shop, machines.found(book, machine), on, change)
    except WantsReason as error:
        point = error.points[0].number
        raise click.UsageError(f'{error}, by --not-done {point}="..."') from None
    except WantsDayBack as error:
        raise click.UsageError(f"{error}: by --back-on") from None
    _tell_service(mended)


def _tell_service(mended: ServiceCorrected) -> None:
    """Say what of a service was mended, a line each, and how its machine stands."""
    record, before, after = mended.standing.record, mended.before, mended.after
    whose = f"{record.number}: service of {plain_day(after.on)}"
    tell_mended(whose, "day", day_words(before.on), day_words(after.on))
    if mended.checks_moved:
        tell_mended(whose, "electrical check", plain_day(before.on), plain_day(after.on))
    was = {each.point: each for each in before.findings}
    for now in after.findings:
        known = was.get(now.point, Finding(point=now.point, done=False, planned=False))
        place = _place(mended.point_list, now.point)
        tell_mended(whose, place, _noted(known), _noted(now))
    tell_mended(whose, "by", before.by, after.by)
    tell_mended(whose, "wanted back", _back_on(before), _back_on(after))
    for point in mended.shorter:
        click.echo(
            f"{_place(mended.point_list, point)}: its shorter interval was accepted for what was "
            f"noted there; back to the book's: machine edit {record.number} --book-interval {point}"
        )
    click.echo(service_words(mended.standing.schedule))


def _place(point_list: PointList, point_id: str) -> str:
    point = point_list.point(point_id)
    return point_id if point is None else f"{point.number} {point.where}"


def _noted(finding: Finding) -> str:
    """Whether a point was done, and how it was found and left."""
    not_done = "left out" if finding.planned else "not done"
    words = [
        "done" if finding.done else not_done,
        *([f"because: {finding.why}"] if finding.why else []),
        *([f"found {', '.join(finding.found)}"] if finding.found else []),
        *([f"left: {finding.left}"] if finding.left else []),
    ]
    return ", ".join(words)


def _back_on(service: ServiceRecord) -> str:
    return "" if service.back_on is None else plain_day(service.back_on)


@click.group("stay")
def stay_command() -> None:
    """Mend a stay in the shop that was written down wrongly."""


@stay_command.command("edit")
@click.argument("machine")
@click.option(
    "--job", "number", type=LINE, metavar="JOB", help="Which, like J-003; the latest if left out."
)
@click.option("--complaint", type=TOLD, metavar="WORDS", help="What was wrong.")
@click.option(
    "--with",
    "--left",
    "left_with",
    type=WORDS,
    metavar="THINGS",
    help='What was left with it, like pedal,case; "" for nothing.',
)
@click.option(
    "--ready-by", type=DAY_TO_COME, metavar="DATE", help="The day by which it was promised."
)
@click.option("--came-in", "came", type=DAY, metavar="DATE", help="The day it came in.")
@click.option("--ready", type=DAY, metavar="DATE", help="The day it could be collected.")
@click.option("--collected", type=DAY, metavar="DATE", help="The day it was collected.")
@pass_app
def edit_stay(
    app: AppContext,
    machine: str,
    number: str | None,
    complaint: str | None,
    left_with: str | None,
    ready_by: date | None,
    came: date | None,
    ready: date | None,
    collected: date | None,
) -> None:
    """Mend a stay: its complaint, what was left with the machine, its days. What it was and what it
    is now are said.

    \b
    Example: oilchart stay edit M-012 --complaint "skips stitches"
             oilchart stay edit M-012 --with pedal,case --came-in 2026-11-19
    """
    change = StayChange(
        complaint=complaint,
        left_with=(
            None
            if left_with is None
            else tuple(thing for part in left_with.split(",") if (thing := part.strip()))
        ),
        ready_by=ready_by,
        came=came,
        ready=ready,
        collected=collected,
    )
    if change == StayChange():
        raise click.UsageError("say what of it was otherwise: --complaint, --with, --came-in, ...")
    with app.shop.book(writing=True) as book:
        record, before, after = stays.correct(book, app.shop, machine, number, change)
    whose = f"{record.number}: stay {after.number}"
    tell_mended(whose, "complaint", f"“{before.complaint}”", f"“{after.complaint}”")
    tell_mended(whose, "left with it", ", ".join(before.left_with), ", ".join(after.left_with))
    for what, was, now in (
        ("to be ready by", before.ready_by, after.ready_by),
        ("came in", before.in_on, after.in_on),
        ("ready", before.ready_on, after.ready_on),
        ("collected", before.out_on, after.out_on),
    ):
        tell_mended(whose, what, _day(was), _day(now))
    if after.is_open:
        click.echo(f"Print its tag anew: oilchart tag {record.number}")


def _day(day: date | None) -> str:
    return "" if day is None else plain_day(day)
