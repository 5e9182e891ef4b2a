"""A machine that is in no book, as the command line describes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from oilchart.core.planning.call_plan import WantedService, plan_calls
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.core.point_lists.conditions import Condition
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.habits import WorkedUnder
from oilchart.core.records.machine import Machine, Service
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.core.use.report import Report
from oilchart.errors import WrongValue
from oilchart.shop.habits import terms, with_habits
from oilchart.sources.files.settings import Settings
from oilchart.sources.words.reader import read_report
from oilchart.sources.words.word_list import WordList


def reckoning_of_unregistered(
    point_list: PointList,
    told: UnregisteredMachine,
    settings: Settings,
    today: date,
    known: Mapping[str, Condition],
    own_words: WordList | None = None,
) -> Reckoning:
    """What can be reckoned about a machine that is in no book, its use said today.

    Args:
        known: all conditions by id.
        own_words: what a shop takes vague words for; None where it is what comes along.

    Raises:
        UnreadableWords; UnknownName: no such condition; WrongValue: the service is after today.
    """
    if told.serviced is not None and told.serviced > today:
        raise WrongValue(
            "serviced", told.serviced, f"is after today, {today}; give a day that has been"
        )
    everything = frozenset(point.id for point in point_list.points)
    bare = Machine(
        point_list=point_list.for_owner(told.can),
        services=() if told.serviced is None else (Service(on=told.serviced, done=everything),),
    )
    reports: tuple[Report, ...] = ()
    if told.words is not None:
        reports = (read_report(told.words, today, terms(bare, settings, own_words)),)
    worked_under = [WorkedUnder(condition=each) for each in told.conditions]
    machine = with_habits(replace(bare, reports=reports), worked_under, known, today)
    return Reckoning(machine, open_days=settings.limits.open_days, lead_days=settings.lead_days)


def with_call(schedule: Schedule, settings: Settings) -> Schedule:
    """A schedule with the call planned for it alone."""
    wanted = [
        WantedService(owner=0, machine=0, on=service.on, wanted_by=service.wanted_by)
        for service in schedule.services
    ]
    calls = plan_calls(
        wanted,
        today=schedule.as_of,
        open_days=settings.limits.open_days,
        lead_days=settings.lead_days,
    )
    return replace(schedule, call=calls[0] if calls else None)
