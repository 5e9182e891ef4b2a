"""One machine's schedule: how it stands, its points and its services ahead; as tables and JSON."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from typing import Any

from oilchart.core.due.due_dates import Window
from oilchart.core.planning.schedule import PointPlan, Schedule
from oilchart.core.planning.services import PlannedService
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.own_interval import OwnInterval
from oilchart.papers.danger_words import NOT_WHILE_UNSAFE, danger_line
from oilchart.papers.screen import (
    DANGER_SIGN,
    STATE_SIGNS,
    Column,
    Screen,
    day_cell,
    filled,
    plain_cell,
    state_cell,
    table,
)
from oilchart.papers.tables.dangers import danger_values
from oilchart.papers.tables.json_text import json_text, rounded, window_json
from oilchart.papers.tables.months_ahead import MonthsAhead, months_ahead_json
from oilchart.papers.tables.services_ahead import ServiceLine
from oilchart.papers.wording import (
    TO_BE_TOLD,
    day_words,
    interval_words,
    service_words,
    settling_words,
    sewing_words,
    short_day,
    sureness,
    waits_since,
)

BOOKED = "booked"
OWNER_COLUMNS = (
    Column("At home", wraps=True),
    Column("Work"),
    Column("Every", wraps=True),
    Column("Rhythm", wraps=True),
    Column("Earliest", spare=True),
    Column("Likely"),
    Column("Latest", spare=True),
    Column("Because", spare=True),
)
BENCH_COLUMNS = (
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
)
AHEAD_COLUMNS = (
    Column("Services ahead"),
    Column("Late", optional=True),
    Column("Booked", optional=True),
    Column("Points", right=True),
    Column("Work", wraps=True),
    Column("Takes", wraps=True),
    Column("Deep work", wraps=True, optional=True),
)


def schedule_text(
    schedule: Schedule, screen: Screen, *, owner: str | None, services: Sequence[ServiceLine]
) -> str:
    """One machine's schedule: what makes it unsafe, how it stands, the owner's points by rhythm,
    the bench's by due date, and its services ahead."""
    point_list = schedule.machine.point_list
    title = plain_cell(
        " · ".join(
            part
            for part in (schedule.machine.number, point_list.name, owner, day_words(schedule.as_of))
            if part
        )
    )
    dangers = [plain_cell(danger_line(mark)) for mark in schedule.machine.dangers]
    lines = [
        *(f"{DANGER_SIGN} {words}." for words in dangers),
        title,
        f"{STATE_SIGNS[schedule.state][0]} {schedule.state}. {service_words(schedule)}",
    ]
    if schedule.call is not None:
        since = waits_since(schedule.call.waits_since)
        lines.append(f"Call on {day_words(schedule.call.on)}{since}.")
    if schedule.settling:
        lines.append(settling_words(schedule))
    if schedule.use is not None:
        lines.append(
            f"Use: “{schedule.use.words}” ({short_day(schedule.use.said)}): "
            f"{sewing_words(schedule.use)}{sureness(schedule.use)}."
        )
        if schedule.use.conversion:
            lines.append(f"Reckoned: {schedule.use.conversion}.")
    if schedule.machine.conditions:
        lines.append(
            f"Works under: "
            f"{', '.join(condition.name for condition in schedule.machine.conditions)}."
        )
    lines += [f"Note: {TO_BE_TOLD[notice]}" for notice in schedule.notices]
    owners = [plan for plan in schedule.points if plan.point.keeper is Keeper.OWNER]
    bench = [plan for plan in schedule.points if plan.point.keeper is Keeper.BENCH]
    tables = [
        _owner_table(owners, screen),
        _bench_table(bench, schedule, screen),
        *([_ahead_table(services, screen)] if services else []),
    ]
    return "\n".join([*(filled(line, screen) for line in lines), "", *tables])


def _owner_table(plans: Sequence[PointPlan], screen: Screen) -> str:
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
    return table(OWNER_COLUMNS, rows, screen)


def _bench_table(plans: Sequence[PointPlan], schedule: Schedule, screen: Screen) -> str:
    planned = {point.id for service in schedule.services for point in service.points}
    ordered = sorted(
        plans, key=lambda plan: (plan.due is None, (plan.due and plan.due.likely) or date.max)
    )
    rows = [
        [
            plan.point.where,
            plan.point.work + (", deep" if plan.point.deep else ""),
            interval_words(plan),
            day_cell(plan.done),
            *_window(plan),
            _because(plan),
            state_cell(plan.state) if plan.state else "",
            _at_next_service(plan, planned, schedule.machine.struck),
        ]
        for plan in ordered
    ]
    return table(BENCH_COLUMNS, rows, screen)


def _at_next_service(plan: PointPlan, planned: Collection[str], struck: Collection[str]) -> str:
    """Whether a point is planned for the next service, that it cannot be done while the machine is
    unsafe, and since when it is carried over."""
    told = "yes" if plan.point.id in planned else "can wait"
    if plan.point.id in struck:
        told = NOT_WHILE_UNSAFE
    if plan.carried_over is None:
        return told
    return f"{told}, carried over since {short_day(plan.carried_over)}"


def _ahead_table(services: Sequence[ServiceLine], screen: Screen) -> str:
    """The services ahead; deep work, a booked day and lateness have columns only where there is
    any."""
    rows = [
        [
            day_cell(service.on),
            service.timing,
            BOOKED if service.booked else "",
            str(service.points),
            service.work,
            service.takes,
            service.deep,
        ]
        for service in services
    ]
    return table(AHEAD_COLUMNS, rows, screen)


def _window(plan: PointPlan) -> list[str]:
    due: Window | None = plan.due
    if due is None:
        return ["", "" if plan.point.every.occasion else "first service", ""]
    return [day_cell(due.earliest), day_cell(due.likely), day_cell(due.latest)]


def _because(plan: PointPlan) -> str:
    return plan.due.because if plan.due and plan.due.because else ""


def schedule_json(
    schedule: Schedule, services: Iterable[PlannedService], ahead: MonthsAhead | None = None
) -> str:
    """One machine's schedule with its services ahead, and what comes up where it was asked for."""
    use = schedule.use
    asked = {} if ahead is None else {"coming": months_ahead_json(ahead)}
    return json_text(
        {
            "machine": schedule.machine.number,
            **danger_values(schedule.machine.dangers),
            "model": schedule.machine.point_list.id or None,
            "as_of": schedule.as_of,
            "served": schedule.machine.served,
            "state": schedule.state,
            "due": window_json(schedule.due),
            "wanted_by": schedule.wanted_by,
            "use": None
            if use is None
            else {
                "words": use.words,
                "said": use.said,
                "hours_per_week": {
                    "low": rounded(use.low),
                    "likely": rounded(use.likely),
                    "high": rounded(use.high),
                },
                "assumed": use.assumed,
            },
            "notices": list(schedule.notices),
            "conditions": [condition.id for condition in schedule.machine.conditions],
            "points": [
                {
                    **_plan(plan, schedule.machine.own_interval(plan.point)),
                    "not_while_unsafe": plan.point.id in schedule.machine.struck,
                }
                for plan in schedule.points
            ],
            "services": [
                {
                    "on": service.on,
                    "points": [point.id for point in service.points],
                    "minutes": rounded(service.minutes),
                    "late": service.late,
                    "now_is_the_time": service.is_time,
                    "booked": service.on == schedule.booked,
                }
                for service in services
            ],
            "call": None
            if schedule.call is None
            else {"on": schedule.call.on, "for": _service_day(schedule)},
            "settling_call": None if schedule.settling_call is None else schedule.settling_call.on,
            **asked,
        }
    )


def _plan(plan: PointPlan, own: OwnInterval | None) -> dict[str, Any]:
    point = plan.point
    return {
        "id": point.id,
        "where": point.where,
        "home": point.home,
        "work": point.work,
        "keeper": point.keeper,
        "every": point.every.words,
        "every_hours": None if plan.every_hours is None else rounded(plan.every_hours, 4),
        "every_months": plan.every_months,
        "every_days": plan.every_days,
        "shortened": None if own is None else _own_interval_values(own),
        "occasion": point.every.occasion,
        "factor": float(plan.acting.factors.use),
        "factor_time": float(plan.acting.factors.time),
        "runs_share": rounded(plan.share, 4),
        "done": plan.done,
        "due": None if plan.due is None else window_json(plan.due),
        "because": None if plan.due is None else plan.due.because,
        "state": plan.state,
        "rhythm": plan.rhythm,
        "carried_over": plan.carried_over,
        "deep": point.deep,
        "minutes": rounded(point.minutes),
    }


def _service_day(schedule: Schedule) -> date | None:
    """The planned service of this machine that its call is for."""
    return schedule.services[0].on if schedule.services else None


def own_interval_rows(limits: Iterable[OwnInterval]) -> list[dict[str, Any]]:
    """The intervals that are shorter for a machine than its list's."""
    return [{"point": limit.point, **_own_interval_values(limit)} for limit in limits]


def _own_interval_values(limit: OwnInterval) -> dict[str, Any]:
    """A shorter interval, since when and why; the side on which the list's holds is null."""
    return {
        "hours": None if limit.hours is None else rounded(limit.hours, 4),
        "days": limit.days,
        "since": limit.since,
        "found": list(limit.found),
        "found_on": limit.found_on,
    }
