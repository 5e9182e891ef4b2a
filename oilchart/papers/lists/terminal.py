"""Knows how lists look on a terminal: tables with words and signs for states, plain columns in a
pipe."""

from __future__ import annotations

import io
import os
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from oilchart.core.due.due_dates import State, Window
from oilchart.core.lists.point_list import Keeper, Point, PointList, Runs
from oilchart.core.planning.schedule import PointPlan, Schedule
from oilchart.papers.cleaning import printable
from oilchart.papers.lists.due import DueLine, remarks
from oilchart.papers.lists.months_ahead import Coming
from oilchart.papers.lists.services_ahead import ServiceLine
from oilchart.papers.point_list.differences import differences
from oilchart.papers.wording import (
    TO_BE_TOLD,
    chance_words,
    counted,
    day_words,
    interval_words,
    lubricant_words,
    month_words,
    needle_words,
    plain_number,
    service_words,
    settling_words,
    sewing_words,
    short_day,
)

# a sign and a colour beside the word, never instead of it
STATE_SIGNS = {
    State.OVERDUE: ("▲", "bold red"),
    State.FIRST_SERVICE: ("■", "bold red"),
    State.LIKELY_OVERDUE: ("▲", "red"),
    State.MAYBE_OVERDUE: ("△", "yellow"),
    State.DUE_SOON: ("◆", "yellow"),
    State.IN_TIME: ("○", "green"),
    State.IN_THE_SHOP: ("□", "cyan"),
    State.GONE: ("-", "dim"),
}
LATE, LATE_STYLE = "late", "red"
BOOKED = "booked"

COLUMN_GAP = 2
NARROWEST = 12  # letters of a column that may wrap


@dataclass(frozen=True, slots=True)
class Screen:
    """Where text goes.

    Args:
        columns: width; None for a pipe, where nothing is wrapped or cut.
        colour: whether colours may be used.
    """

    columns: int | None
    colour: bool


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Args:
        right: set to the right.
        wraps: may be wrapped, but never cut; the others keep their width.
        spare: left out where the screen is too narrow for it; the last one first.
    """

    heading: str
    right: bool = False
    wraps: bool = False
    spare: bool = False


def due_text(lines: Sequence[DueLine], screen: Screen, *, today: date) -> str:
    """The machines that want attention, in the order given; contact with their owners where there
    was any."""
    columns = [
        Column("State"),
        Column("Machine", wraps=True),
        Column("Owner", wraps=True),
        Column("Phone"),
        Column("Likely due"),
        Column("Days", right=True),
        Column("Chance", spare=True),
        Column("Because", spare=True),
    ]
    contacts = [remarks(line) for line in lines]
    if any(contacts):
        columns.append(Column("Contact", wraps=True, spare=True))
    rows = [
        [*_due_cells(line, today), contact] for line, contact in zip(lines, contacts, strict=True)
    ]
    return table(columns, [row[: len(columns)] for row in rows], screen)


def _due_cells(line: DueLine, today: date) -> list[str]:
    schedule = line.schedule
    return [
        _state(schedule.state),
        f"{schedule.machine.number} {schedule.machine.point_list.name}",
        line.owner.name,
        line.owner.phone,
        _day(schedule.due.likely),
        _days(schedule.due.days_left(today)),
        "" if schedule.risk is None else chance_words(schedule.risk.chance),
        schedule.due.because or "",
    ]


def schedule_text(
    schedule: Schedule, screen: Screen, *, owner: str | None, services: Sequence[ServiceLine]
) -> str:
    """One machine's schedule: how it stands, the owner's points by rhythm, the bench's by due date,
    and its services ahead."""
    point_list = schedule.machine.point_list
    title = _plain(
        " · ".join(
            part
            for part in (schedule.machine.number, point_list.name, owner, day_words(schedule.as_of))
            if part
        )
    )
    lines = [title, f"{STATE_SIGNS[schedule.state][0]} {schedule.state}. {service_words(schedule)}"]
    if schedule.call is not None:
        lines.append(f"Call on {day_words(schedule.call.on)}.")
    if schedule.settling:
        lines.append(settling_words(schedule))
    if schedule.use is not None:
        lines.append(
            f"Use: “{schedule.use.words}” ({short_day(schedule.use.said)}): {sewing_words(schedule.use)}."
        )
        if schedule.use.conversion:
            lines.append(f"Reckoned: {schedule.use.conversion}.")
    if schedule.machine.conditions:
        lines.append(
            f"Works under: {', '.join(condition.name for condition in schedule.machine.conditions)}."
        )
    lines += [f"Note: {TO_BE_TOLD[notice]}" for notice in schedule.notices]
    owners = [plan for plan in schedule.points if plan.point.keeper is Keeper.OWNER]
    bench = [plan for plan in schedule.points if plan.point.keeper is Keeper.BENCH]
    tables = [
        _owner_table(owners, screen),
        _bench_table(bench, schedule, screen),
        *([_ahead_table(services, screen)] if services else []),
    ]
    return "\n".join([*lines, "", *tables])


def coming_text(ahead: Coming, screen: Screen) -> str:
    """What comes up, a line a month: the owner's occasions counted, services and calls by their
    day."""
    months: dict[tuple[int, int], list[str]] = {}
    counts: dict[tuple[int, int], Counter[str]] = {}
    for occasion in ahead.occasions:
        counts.setdefault((occasion.on.year, occasion.on.month), Counter())[
            occasion.point.where
        ] += 1
    for on, points in ahead.services:
        months.setdefault((on.year, on.month), []).append(
            f"service {short_day(on)}, {counted(points, 'point')}"
        )
    for on in ahead.calls:
        months.setdefault((on.year, on.month), []).append(f"call {short_day(on)}")
    rows = [
        [
            month_words(date(*month, 1)),
            "; ".join(months.get(month, [])),
            "; ".join(
                f"{place} {count} x" if count > 1 else place
                for place, count in counts.get(month, Counter()).items()
            ),
        ]
        for month in sorted({*months, *counts})
    ]
    columns = [
        Column("Month"),
        Column("Bench and calls", wraps=True),
        Column("At home, at likely use", wraps=True),
    ]
    return table(columns, rows, screen)


def models_text(point_lists: Iterable[PointList], screen: Screen) -> str:
    """The models there are."""
    columns = [
        Column("Model"),
        Column("Name"),
        Column("Years"),
        Column("Points", right=True),
        Column("Owner's", right=True),
        Column("Mechanisms", wraps=True),
    ]
    rows = [
        [
            point_list.id,
            point_list.name,
            point_list.years or "",
            str(len(point_list.points)),
            str(len(point_list.for_owner(()).kept_by(Keeper.OWNER))),
            ", ".join(name for _, name in point_list.mechanisms),
        ]
        for point_list in point_lists
    ]
    return table(columns, rows, screen)


def chart_text(point_list: PointList, screen: Screen) -> str:
    """A model's list as a technician reads it, in working order, with where its figures come
    from."""
    titles = dict(point_list.sources)
    kind = (
        "a family, for machines that have no list of their own"
        if point_list.family
        else point_list.maker
    )
    lines = [
        " · ".join(part for part in (point_list.name, kind, point_list.years) if part),
        point_list.about,
    ]
    bobbin = (
        ""
        if point_list.bobbin_metres is None
        else f" A full bobbin holds about {plain_number(point_list.bobbin_metres)} m."
    )
    lines.append(
        f"Needle {needle_words(point_list)}. {point_list.stitches_a_minute} stitches a minute.{bobbin}"
    )
    lines.append(f"Mechanisms: {', '.join(name for _, name in point_list.mechanisms)}.")
    parts = ["\n".join(lines) + "\n"]
    columns = [
        Column("Point"),
        Column("Work"),
        Column("Place", wraps=True),
        Column("By"),
        Column("Every", wraps=True),
        Column("With", wraps=True),
        Column("Min", right=True),
        Column("Source", wraps=True),
    ]
    for stage in point_list.stages:
        points = point_list.at_stage(stage.id)
        rows = [
            [
                point.id,
                point.work + (" (deep)" if point.deep else ""),
                point.where,
                _whose(point),
                _how_often(point),
                f"{point.amount}, {point.lubricant.name}"
                if point.lubricant and point.amount
                else "",
                plain_number(point.minutes),
                ", ".join(dict.fromkeys(titles.get(key, key) for _, key in point.sources)),
            ]
            for point in points
        ]
        if rows:
            parts.append(f"{stage.name}\n{table(columns, rows, screen)}")
    avoids = [[avoid.where, avoid.do_not, avoid.why] for avoid in point_list.avoids]
    never = [Column("Place", wraps=True), Column("Never", wraps=True), Column("Why", wraps=True)]
    parts.append(f"Never\n{table(never, avoids, screen)}")
    used = {
        point.lubricant.id: point.lubricant
        for point in point_list.points
        if point.lubricant is not None
    }
    oils = [
        [lubricant_words(lubricant), lubricant.belongs, lubricant.never]
        for lubricant in used.values()
    ]
    if oils:
        columns = [
            Column("Lubricant", wraps=True),
            Column("Belongs", wraps=True),
            Column("Never", wraps=True),
        ]
        parts.append(table(columns, oils, screen))
    wear = [
        [
            part.name,
            part.part,
            "" if part.stock_minimum is None else f"order at {part.stock_minimum} left",
        ]
        for part in point_list.wear_parts
    ]
    if wear:
        parts.append(
            table(
                [Column("Wear part", wraps=True), Column("To order", wraps=True), Column("Stock")],
                wear,
                screen,
            )
        )
    if point_list.documents:
        parts.append(
            table(
                [Column("Document"), Column("At")],
                [[each.title, each.address] for each in point_list.documents],
                screen,
            )
        )
    return "\n".join(parts)


def _how_often(point: Point) -> str:
    """An interval, with that at home, and in which part of the sewing time its hours are
    counted."""
    home = f"; at home {point.every_home.words}" if point.every_home else ""
    counted_in = (
        "" if point.runs is Runs.ALWAYS or point.every.occasion else f" ({point.runs} hours)"
    )
    return point.every.words + home + counted_in


def _whose(point: Point) -> str:
    """Who does a point; an owner's that needs something is the bench's for most."""
    usual = point.for_owner(())
    return (
        usual.keeper
        if usual.keeper is point.keeper
        else f"bench, or an owner: {', '.join(point.needs)}"
    )


def differences_text(first: PointList, second: PointList, screen: Screen) -> str:
    """In what two lists differ."""
    rows = [
        [
            each.point or "(model)",
            each.key or ("only here" if each.first else "only there"),
            each.first,
            each.second,
        ]
        for each in differences(first, second)
    ]
    if not rows:
        return f"{first.name} and {second.name}: no difference\n"
    columns = [
        Column("Point"),
        Column("Key"),
        Column(first.name, wraps=True),
        Column(second.name, wraps=True),
    ]
    return table(columns, rows, screen)


def table(columns: Sequence[Column], rows: Iterable[Sequence[str]], screen: Screen) -> str:
    """A table; in a pipe every row is one line, its cells two blanks apart.

    On a screen too narrow for it spare columns are left out, then columns that may wrap become
    narrow; nothing is ever cut: what still does not fit is wider than the screen.
    """
    cells = [[_plain(cell) for cell in row] for row in rows]
    kept = _fitting(columns, cells, screen.columns)
    widths = {at: _width(columns[at], [row[at] for row in cells]) for at in kept}
    # on a screen the box adds a blank between columns
    gap = (0, 1 if screen.columns else COLUMN_GAP, 0, 0)
    look = box.SIMPLE_HEAD if screen.columns else None
    made = Table(box=look, pad_edge=False, header_style="bold", show_edge=False, padding=gap)
    for at, wide in widths.items():
        justify: Literal["left", "right"] = "right" if columns[at].right else "left"
        made.add_column(
            columns[at].heading,
            justify=justify,
            no_wrap=not columns[at].wraps,
            overflow="fold",
            min_width=wide,
        )
    for row in cells:
        made.add_row(*(Text(row[at], style=_style(row[at])) for at in kept))
    out = io.StringIO()
    console = Console(
        file=out,
        width=max(screen.columns, sum(widths.values()) + COLUMN_GAP * len(widths))
        if screen.columns
        else 10_000,
        color_system="standard" if screen.colour else None,
        force_terminal=screen.colour,
        legacy_windows=False,
    )
    console.print(made)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def _fitting(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], room: int | None
) -> list[int]:
    """Which columns are shown: all, less the spare ones that the screen has no room for."""
    kept = list(range(len(columns)))
    widths = [_width(column, [row[at] for row in rows]) for at, column in enumerate(columns)]
    while room is not None and sum(widths[at] for at in kept) + COLUMN_GAP * (len(kept) - 1) > room:
        spare = [at for at in kept if columns[at].spare]
        if not spare:
            break
        kept.remove(spare[-1])
    return kept


def _width(column: Column, cells: Sequence[str]) -> int:
    """The least width of a column: its widest cell, or a few letters where it may wrap; its
    heading's longest word."""
    widest = max([0, *map(cell_len, cells)])
    least = min(widest, NARROWEST) if column.wraps else widest
    heading = (
        max(map(cell_len, column.heading.split()), default=0)
        if column.wraps
        else cell_len(column.heading)
    )
    return max(least, heading)


def screen_of(*, is_terminal: bool) -> Screen:
    """The screen text is written to: a terminal's width, and colours unless NO_COLOR or a plain
    terminal forbids them."""
    if not is_terminal:
        return Screen(columns=None, colour=False)
    return Screen(
        columns=Console().width,
        colour=not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb",
    )


def _owner_table(plans: Sequence[PointPlan], screen: Screen) -> str:
    columns = [
        Column("At home", wraps=True),
        Column("Work"),
        Column("Every", wraps=True),
        Column("Rhythm", wraps=True),
        Column("Earliest", spare=True),
        Column("Likely"),
        Column("Latest", spare=True),
        Column("Because", spare=True),
    ]
    rows = [
        [
            plan.point.where,
            plan.point.work,
            interval_words(plan),
            plan.rhythm or "",
            *_window(plan),
            _because(plan),
        ]
        for plan in plans
    ]
    return table(columns, rows, screen)


def _bench_table(plans: Sequence[PointPlan], schedule: Schedule, screen: Screen) -> str:
    planned = {point.id for service in schedule.services for point in service.points}
    columns = [
        Column("On the bench", wraps=True),
        Column("Work", wraps=True),
        Column("Every", wraps=True),
        Column("Done", spare=True),
        Column("Earliest", spare=True),
        Column("Likely"),
        Column("Latest", spare=True),
        Column("Because", spare=True),
        Column("State", wraps=True),
        Column("Next service", wraps=True),
    ]
    ordered = sorted(
        plans, key=lambda plan: (plan.due is None, (plan.due and plan.due.likely) or date.max)
    )
    rows = [
        [
            plan.point.where,
            plan.point.work + (", deep" if plan.point.deep else ""),
            interval_words(plan),
            _day(plan.done),
            *_window(plan),
            _because(plan),
            _state(plan.state) if plan.state else "",
            "yes" if plan.point.id in planned else "can wait",
        ]
        for plan in ordered
    ]
    return table(columns, rows, screen)


def _ahead_table(services: Sequence[ServiceLine], screen: Screen) -> str:
    """The services ahead; deep work, a booked day and lateness have columns only where there is
    any."""
    columns = [
        Column("Services ahead"),
        Column("Points", right=True),
        Column("Work", wraps=True),
        Column("Takes", wraps=True),
    ]
    rows = [
        [_day(service.on), str(service.points), service.work, service.takes] for service in services
    ]
    if any(service.booked for service in services):
        columns.insert(1, Column("Booked"))
        rows = [
            [row[0], BOOKED if service.booked else "", *row[1:]]
            for row, service in zip(rows, services, strict=True)
        ]
    if any(service.late for service in services):
        columns.insert(1, Column("Late"))
        rows = [
            [row[0], LATE if service.late else "", *row[1:]]
            for row, service in zip(rows, services, strict=True)
        ]
    if any(service.deep for service in services):
        columns.append(Column("Deep work", wraps=True))
        rows = [[*row, service.deep] for row, service in zip(rows, services, strict=True)]
    return table(columns, rows, screen)


def _window(plan: PointPlan) -> list[str]:
    due: Window | None = plan.due
    if due is None:
        return ["", "" if plan.point.every.occasion else "first service", ""]
    return [_day(due.earliest), _day(due.likely), _day(due.latest)]


def _because(plan: PointPlan) -> str:
    return plan.due.because if plan.due and plan.due.because else ""


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""


def _days(left: int | None) -> str:
    return "" if left is None else str(left)


def _state(state: State) -> str:
    return f"{STATE_SIGNS[state][0]} {state}"


def _style(cell: str) -> str:
    return (
        LATE_STYLE
        if cell == LATE
        else next((style for state, (_, style) in STATE_SIGNS.items() if cell == _state(state)), "")
    )


def _plain(cell: str) -> str:
    """A cell on one line, without control and direction characters."""
    return printable(cell, instead=" ")


def summary(machines: Sequence[Schedule]) -> str:
    """How many machines stand how: "2 overdue, 3 due soon, 13 in time"."""
    counts = [(sum(schedule.state is state for schedule in machines), state) for state in State]
    return ", ".join(f"{count} {state}" for count, state in counts if count) or counted(
        0, "machine"
    )
