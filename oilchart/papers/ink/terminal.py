"""Knows how lists look on a terminal: tables with words and signs for states, plain columns in a pipe."""

from __future__ import annotations

import io
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from oilchart.core.chart import Chart, Keeper
from oilchart.core.due import State, Window
from oilchart.core.people import Owner
from oilchart.core.schedule import PointPlan, Schedule
from oilchart.papers.wording import (
    TO_BE_TOLD,
    counted,
    day_words,
    plain_number,
    service_words,
    sewing_words,
    short_day,
    window_words,
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
    """A column of a table: its heading, whether it is set to the right, and whether it may be wrapped."""

    heading: str
    right: bool = False
    wraps: bool = False


def due_text(machines: Sequence[tuple[Schedule, Owner]], screen: Screen, *, today: date) -> str:
    """The machines that want attention, in the order given."""
    columns = [
        Column("State"),
        Column("Machine"),
        Column("Owner", wraps=True),
        Column("Phone"),
        Column("Likely due"),
        Column("Days", right=True),
        Column("Because"),
    ]
    rows = [
        [
            _state(schedule.state),
            f"{schedule.machine.number} {schedule.machine.chart.name}",
            owner.name,
            owner.phone,
            _day(schedule.due.likely),
            _days(schedule.due.days_left(today)),
            schedule.due.because or "",
        ]
        for schedule, owner in machines
    ]
    return table(columns, rows, screen)


def schedule_text(schedule: Schedule, screen: Screen, *, owner: str | None) -> str:
    """One machine's schedule: how it stands, the owner's points by rhythm, the bench's by due date."""
    chart = schedule.machine.chart
    title = " · ".join(part for part in (schedule.machine.number, chart.name, owner, day_words(schedule.as_of)) if part)
    lines = [title, f"{STATE_SIGNS[schedule.state][0]} {schedule.state}. {service_words(schedule)}"]
    if schedule.call is not None:
        lines.append(f"Call on {day_words(schedule.call.on)}.")
    if schedule.use is not None:
        lines.append(f"Use: “{schedule.use.words}” ({short_day(schedule.use.said)}): {sewing_words(schedule.use)}.")
    lines += [f"Note: {TO_BE_TOLD[notice]}" for notice in schedule.notices]
    owners = [plan for plan in schedule.points if plan.point.keeper is Keeper.OWNER]
    bench = [plan for plan in schedule.points if plan.point.keeper is Keeper.BENCH]
    return "\n".join([*lines, "", _owner_table(owners, screen), _bench_table(bench, schedule, screen)])


def models_text(charts: Iterable[Chart], screen: Screen) -> str:
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
            chart.id,
            chart.name,
            chart.years or "",
            str(len(chart.points)),
            str(len(chart.kept_by(Keeper.OWNER))),
            ", ".join(name for _, name in chart.mechanisms),
        ]
        for chart in charts
    ]
    return table(columns, rows, screen)


def chart_text(chart: Chart, screen: Screen) -> str:
    """A model's list as a technician reads it, in working order, with where its figures come from."""
    titles = dict(chart.sources)
    lines = [f"{chart.name} · {chart.maker}" + (f" · {chart.years}" if chart.years else ""), chart.about]
    lines.append(f"Needle {chart.needle_system}, flat {chart.needle_flat}. Mechanisms: {', '.join(name for _, name in chart.mechanisms)}.")
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
    for stage in chart.stages:
        points = [point for point in chart.points if point.access == stage.id]
        rows = [
            [
                point.id,
                point.work + (" (deep)" if point.deep else ""),
                point.where,
                point.keeper,
                point.every.words,
                f"{point.amount}, {point.lubricant.name}" if point.lubricant and point.amount else "",
                plain_number(point.minutes),
                ", ".join(dict.fromkeys(titles.get(key, key) for _, key in point.sources)),
            ]
            for point in points
        ]
        if rows:
            parts.append(f"{stage.name}\n{table(columns, rows, screen)}")
    avoids = [[avoid.where, avoid.do_not, avoid.why] for avoid in chart.avoids]
    never = [Column("Place", wraps=True), Column("Never", wraps=True), Column("Why", wraps=True)]
    parts.append(f"Never\n{table(never, avoids, screen)}")
    return "\n".join(parts)


def table(columns: Sequence[Column], rows: Iterable[Sequence[str]], screen: Screen) -> str:
    """A table; in a pipe every row is one line, its cells two blanks apart."""
    made = Table(box=box.SIMPLE_HEAD if screen.columns else None, pad_edge=False, header_style="bold", show_edge=False)
    for column in columns:
        made.add_column(column.heading, justify="right" if column.right else "left", no_wrap=not column.wraps, overflow="fold")
    for row in rows:
        made.add_row(*(Text(_plain(cell), style=_style(cell)) for cell in row))
    out = io.StringIO()
    console = Console(
        file=out,
        width=screen.columns or 10_000,
        color_system="standard" if screen.colour else None,
        force_terminal=screen.colour,
        legacy_windows=False,
    )
    console.print(made)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def screen_of(*, is_terminal: bool) -> Screen:
    """The screen text is written to: a terminal's width, and colours unless NO_COLOR forbids them."""
    if not is_terminal:
        return Screen(columns=None, colour=False)
    return Screen(columns=Console().width, colour=not os.environ.get("NO_COLOR"))


def _owner_table(plans: Sequence[PointPlan], screen: Screen) -> str:
    columns = [
        Column("At home", wraps=True),
        Column("Work"),
        Column("Every", wraps=True),
        Column("Rhythm"),
        Column("Earliest"),
        Column("Likely"),
        Column("Latest"),
    ]
    rows = [[plan.point.where, plan.point.work, plan.point.every.words, plan.rhythm or "", *_window(plan)] for plan in plans]
    return table(columns, rows, screen)


def _bench_table(plans: Sequence[PointPlan], schedule: Schedule, screen: Screen) -> str:
    planned = {point.id for service in schedule.services for point in service.points}
    columns = [
        Column("On the bench", wraps=True),
        Column("Work"),
        Column("Every", wraps=True),
        Column("Done"),
        Column("Earliest"),
        Column("Likely"),
        Column("Latest"),
        Column("Because"),
        Column("State"),
        Column("Next service"),
    ]
    ordered = sorted(plans, key=lambda plan: (plan.due is None, (plan.due and plan.due.likely) or date.max))
    rows = [
        [
            plan.point.where,
            plan.point.work + (", deep" if plan.point.deep else ""),
            plan.point.every.words,
            _day(plan.done),
            *_window(plan),
            plan.due.because if plan.due and plan.due.because else "",
            _state(plan.state) if plan.state else "",
            "yes" if plan.point.id in planned else "can wait",
        ]
        for plan in ordered
    ]
    return table(columns, rows, screen)


def _window(plan: PointPlan) -> list[str]:
    due: Window | None = plan.due
    if due is None:
        return ["", window_words(plan), ""]
    return [_day(due.earliest), _day(due.likely), _day(due.latest)]


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""


def _days(left: int | None) -> str:
    return "" if left is None else str(left)


def _state(state: State) -> str:
    return f"{STATE_SIGNS[state][0]} {state}"


def _style(cell: str) -> str:
    return next((style for state, (_, style) in STATE_SIGNS.items() if cell == _state(state)), "")


def _plain(cell: str) -> str:
    """A cell on one line, without control characters."""
    return "".join(char if char.isprintable() else " " for char in cell)


def summary(machines: Sequence[Schedule]) -> str:
    """How many machines stand how: "2 overdue, 3 due soon, 13 in time"."""
    counts = [(sum(schedule.state is state for schedule in machines), state) for state in State]
    return ", ".join(f"{count} {state}" for count, state in counts if count) or counted(0, "machine")
