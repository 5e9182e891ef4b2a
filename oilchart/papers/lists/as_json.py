"""Knows the JSON form of schedules, due lists and models; its keys are what other programs rely
on."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from typing import Any

from oilchart.core.due.due_dates import Window
from oilchart.core.lists.point_list import Keeper, Point, PointList
from oilchart.core.planning.schedule import PointPlan, Schedule
from oilchart.core.planning.services import PlannedService
from oilchart.core.records.own_interval import OwnInterval
from oilchart.papers.lists.due import DueLine, last_told
from oilchart.papers.lists.months_ahead import Coming
from oilchart.papers.point_list.differences import differences


def schedule_json(
    schedule: Schedule, services: Iterable[PlannedService], ahead: Coming | None = None
) -> str:
    """One machine's schedule with its services ahead, and what comes up where it was asked for."""
    use = schedule.use
    asked = {} if ahead is None else {"coming": _coming(ahead)}
    return _written(
        {
            "machine": schedule.machine.number,
            "model": schedule.machine.point_list.id,
            "as_of": schedule.as_of,
            "served": schedule.machine.served,
            "state": schedule.state,
            "due": _window(schedule.due),
            "use": None
            if use is None
            else {
                "words": use.words,
                "said": use.said,
                "hours_per_week": {
                    "low": _rounded(use.low),
                    "likely": _rounded(use.likely),
                    "high": _rounded(use.high),
                },
                "assumed": use.assumed,
            },
            "notices": list(schedule.notices),
            "conditions": [condition.id for condition in schedule.machine.conditions],
            "points": [
                _plan(plan, schedule.machine.own_interval(plan.point)) for plan in schedule.points
            ],
            "services": [
                {
                    "on": service.on,
                    "points": [point.id for point in service.points],
                    "minutes": _rounded(service.minutes),
                    "late": service.late,
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


def due_json(lines: Iterable[DueLine]) -> str:
    """Machines with their owners, in the order given."""
    return _written([_due_line(line) for line in lines])


def _due_line(line: DueLine) -> dict[str, Any]:
    schedule, owner = line.schedule, line.owner
    last = last_told(line)
    return {
        "machine": schedule.machine.number,
        "owner": owner.name,
        "model": schedule.machine.point_list.id,
        "state": schedule.state,
        "due": _window(schedule.due),
        "days_left": schedule.due.days_left(schedule.as_of),
        "because": schedule.due.because,
        "phone": owner.phone,
        "chance": None if schedule.risk is None else round(schedule.risk.chance, 2),
        "point": None if schedule.risk is None else schedule.risk.point,
        "booked": schedule.booked,
        "last_contact": None
        if last is None
        else {"on": last.on, "outcome": last.outcome, "day": last.day, "note": last.note},
        "lapsed": line.lapsed_on,
        "unsafe": line.unsafe or None,
        "left_alone": None if owner.do_not_contact is None else owner.do_not_contact.why,
    }


def models_json(point_lists: Iterable[PointList]) -> str:
    """Models with the counts of their points."""
    return _written([_model(point_list) for point_list in point_lists])


def chart_json(point_list: PointList) -> str:
    """A model's whole list, its points in working order."""
    points = [point for stage in point_list.stages for point in point_list.at_stage(stage.id)]
    return _written(
        {
            **_model(point_list),
            "needle_system": point_list.needle_system,
            "needle_flat": point_list.needle_flat,
            "stitches_a_minute": point_list.stitches_a_minute,
            "bobbin_metres": None
            if point_list.bobbin_metres is None
            else float(point_list.bobbin_metres),
            "has": sorted(point_list.has),
            "list": [_point(point) for point in points],
            "never": [
                {"id": avoid.id, "where": avoid.where, "do_not": avoid.do_not, "why": avoid.why}
                for avoid in point_list.avoids
            ],
            "wear_parts": [
                {
                    "id": part.id,
                    "name": part.name,
                    "part": part.part,
                    "stock_minimum": part.stock_minimum,
                }
                for part in point_list.wear_parts
            ],
            "documents": [
                {"title": each.title, "address": each.address} for each in point_list.documents
            ],
        }
    )


def differences_json(first: PointList, second: PointList) -> str:
    """In what two lists differ; a side is null where only the other list has the point."""
    return _written(
        [
            {
                "point": each.point or None,
                "key": each.key or None,
                first.id: each.first or None,
                second.id: each.second or None,
            }
            for each in differences(first, second)
        ]
    )


def _model(point_list: PointList) -> dict[str, Any]:
    usual = point_list.for_owner(())
    return {
        "id": point_list.id,
        "name": point_list.name,
        "maker": point_list.maker,
        "family": point_list.family,
        "years": point_list.years,
        "points": len(point_list.points),
        "owner_points": len(usual.kept_by(Keeper.OWNER)),
        "bench_points": len(usual.kept_by(Keeper.BENCH)),
        "avoid": len(point_list.avoids),
        "mechanisms": [mechanism for mechanism, _ in point_list.mechanisms],
    }


def _point(point: Point) -> dict[str, Any]:
    return {
        "id": point.id,
        "mechanism": point.mechanism,
        "where": point.where,
        "home": point.home,
        "work": point.work,
        "do": point.do,
        "every": point.every.words,
        "every_home": point.every_home.words if point.every_home else None,
        "keeper": point.keeper,
        "needs": list(point.needs),
        "with": point.lubricant.id if point.lubricant else None,
        "amount": point.amount,
        "access": point.access,
        "at": [[place.view, place.x, place.y] for place in point.places],
        "deep": point.deep,
        "minutes": float(point.minutes),
        "source": dict(point.sources),
    }


def rows_json(rows: Iterable[dict[str, Any]]) -> str:
    """Any list of plain rows."""
    return _written(list(rows))


def shortened_rows(limits: Iterable[OwnInterval]) -> list[dict[str, Any]]:
    """The intervals that are shorter for a machine than its list's."""
    return [{"point": limit.point, **_own_interval(limit)} for limit in limits]


def _own_interval(limit: OwnInterval) -> dict[str, Any]:
    """A shorter interval, since when and why; the side on which the list's holds is null."""
    return {
        "hours": None if limit.hours is None else _rounded(limit.hours, 4),
        "days": limit.days,
        "since": limit.since,
        "found": list(limit.found),
        "found_on": limit.found_on,
    }


def _plan(plan: PointPlan, own: OwnInterval | None) -> dict[str, Any]:
    point = plan.point
    return {
        "id": point.id,
        "where": point.where,
        "home": point.home,
        "work": point.work,
        "keeper": point.keeper,
        "every": point.every.words,
        "every_hours": None if plan.every_hours is None else _rounded(plan.every_hours, 4),
        "every_months": plan.every_months,
        "every_days": plan.every_days,
        "shortened": None if own is None else _own_interval(own),
        "occasion": point.every.occasion,
        "factor": float(plan.acting.factors.use),
        "factor_time": float(plan.acting.factors.time),
        "runs_share": _rounded(plan.share, 4),
        "done": plan.done,
        "due": None if plan.due is None else _window(plan.due),
        "because": None if plan.due is None else plan.due.because,
        "state": plan.state,
        "rhythm": plan.rhythm,
        "deep": point.deep,
        "minutes": _rounded(point.minutes),
    }


def _coming(ahead: Coming) -> dict[str, Any]:
    return {
        "until": ahead.until,
        "occasions": [
            {"on": occasion.on, "point": occasion.point.id} for occasion in ahead.occasions
        ],
        "services": [{"on": on, "points": points} for on, points in ahead.services],
        "calls": list(ahead.calls),
    }


def _service_day(schedule: Schedule) -> date | None:
    """The planned service of this machine that its call is for."""
    return schedule.services[0].on if schedule.services else None


def _window(due: Window) -> dict[str, date | None]:
    return {"earliest": due.earliest, "likely": due.likely, "latest": due.latest}


def _rounded(number: Fraction, decimals: int = 2) -> float | int:
    """A number rounded half to even; whole ones without a point."""
    close = round(number, decimals)
    return int(close) if close.denominator == 1 else float(close)


def _written(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2, default=date.isoformat) + "\n"
