"""A machine that is in no book, and what every machine takes from its owner's words: habits and
conditions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from oilchart.core.lists.conditions import Condition
from oilchart.core.lists.point_list import PointList
from oilchart.core.planning.call_plan import WantedService, plan_calls
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.machine import Machine, Service, habits
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import Report
from oilchart.errors import OilchartError, UnknownName, nearest
from oilchart.sources.files.settings import Settings
from oilchart.sources.words.phrase import Terms
from oilchart.sources.words.reader import read_report


def terms(machine: Machine, settings: Settings) -> Terms:
    """What the owner's words need to know of a machine and the shop."""
    metres = machine.point_list.bobbin_metres
    return Terms(
        bobbin=None if metres is None else Bobbin(metres=metres),
        speed=machine.speed,
        pieces=settings.pieces,
    )


def with_habits(
    machine: Machine, conditions: Iterable[str], known: Mapping[str, Condition]
) -> Machine:
    """A machine with the habits its owner told of, and its conditions, those that follow from the
    habits included.

    Raises:
        UnknownName: there is no such condition.
    """
    told = habits(machine.reports)
    ids = dict.fromkeys((*conditions, *told.conditions))
    for condition in ids:
        if condition not in known:
            number = f"{machine.number}: " if machine.number else ""
            raise UnknownName(
                f'{number}condition "{condition}": there is no such condition'
                f"{nearest(condition, known)}"
            )
    return replace(
        machine,
        zigzag_share=told.zigzag_share,
        speed_factor=told.speed_factor,
        conditions=tuple(known[condition] for condition in ids),
    )


def reckoning_of_unregistered(
    point_list: PointList,
    told: UnregisteredMachine,
    settings: Settings,
    today: date,
    known: Mapping[str, Condition],
) -> Reckoning:
    """What can be reckoned about a machine that is in no book, its use said today.

    Args:
        known: all conditions by id.

    Raises:
        UnreadableWords; UnknownName: no such condition; OilchartError: the service is after today.
    """
    if told.serviced is not None and told.serviced > today:
        raise OilchartError(
            f"--serviced {told.serviced}: is after today, {today}; give a day that has been"
        )
    everything = frozenset(point.id for point in point_list.points)
    bare = Machine(
        point_list=point_list.for_owner(told.can),
        services=() if told.serviced is None else (Service(on=told.serviced, done=everything),),
    )
    reports: tuple[Report, ...] = ()
    if told.words is not None:
        reports = (read_report(told.words, today, terms(bare, settings)),)
    machine = with_habits(replace(bare, reports=reports), told.conditions, known)
    return Reckoning(machine, open_days=settings.open_days, lead_days=settings.lead_days)


def with_call(schedule: Schedule, settings: Settings) -> Schedule:
    """A schedule with the call planned for it alone."""
    wanted = [WantedService(owner=0, machine=0, on=service.on) for service in schedule.services]
    calls = plan_calls(
        wanted, today=schedule.as_of, open_days=settings.open_days, lead_days=settings.lead_days
    )
    return replace(schedule, call=calls[0] if calls else None)
