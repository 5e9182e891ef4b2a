"""What stands in an owner's calendar: the care of a machine in its slower rhythms, and its
next service."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from oilchart.core.calendar.recurrence import every_months
from oilchart.core.calendar.uids import care_uid, owners_machine
from oilchart.core.days import ONE_DAY, add_days, add_months
from oilchart.core.due.rhythm import RHYTHMS
from oilchart.core.planning.schedule import PointPlan, Schedule
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.shop_details import ShopDetails
from oilchart.errors import OilchartError
from oilchart.papers.calendar.entry import Entry
from oilchart.papers.card.content import STANDING_RULES
from oilchart.papers.home_rules import before_you_start, home_rules
from oilchart.papers.next_service import service_note
from oilchart.papers.wording import month_words, owner_task

CATEGORY = "Sewing-machine care"
LATE_MONTHS, FAR_MONTHS = 3, 24
SLOW = {rhythm.name: rhythm.months for rhythm in RHYTHMS if rhythm.months}


def care_entries(
    schedule: Schedule, *, shop: ShopDetails, namespace: str, alarm_hours: int | None = None
) -> Mapping[str, Entry]:
    """What an owner does each month or more seldom until the next service, as recurring entries,
    and that service, by uid.

    Quicker rhythms are the card's: nobody wants an entry for every day they sew. An entry recurs
    from the last service on.

    Raises:
        OilchartError: the machine was never served, so that nothing can be reckoned from.
    """
    machine = schedule.machine
    if machine.served is None:
        raise OilchartError(
            f"{machine.number}: was never served here: there is nothing to remind of "
            f"yet; record its service first"
        )
    entries, number = {}, machine.number or machine.point_list.id
    number = owners_machine(number, machine.handed_on)
    until = _until(schedule)
    for rhythm, months in SLOW.items():
        plans = [
            plan
            for plan in schedule.points
            if plan.point.keeper is Keeper.OWNER and plan.rhythm == rhythm
        ]
        if not plans:
            continue
        for part, rule in enumerate(every_months(machine.served, months)):
            if rule.first > until:
                continue
            entry = Entry(
                first=rule.first,
                end=add_days(rule.first, 1),
                title=f"{machine.point_list.name}: every {rhythm}",
                lines=_what_to_do(schedule, plans, shop),
                category=CATEGORY,
                rule=rule.words,
                until=until,
                alarm_hours=alarm_hours,
            )
            entries[care_uid(namespace, number, f"{machine.served} {rhythm} {part}")] = entry
    if schedule.services:
        entries[care_uid(namespace, number, f"{machine.served} service")] = _service(
            schedule, shop, alarm_hours
        )
    return entries


def _until(schedule: Schedule) -> date:
    """The last day on which the care recurs: the one before the next service, or some months on
    where that is late or never due."""
    service = schedule.services[0] if schedule.services else None
    if service is not None and (schedule.booked is not None or not service.late):
        return service.on - ONE_DAY
    return (
        add_months(
            schedule.as_of.replace(day=1), LATE_MONTHS if service is not None else FAR_MONTHS
        )
        - ONE_DAY
    )


def _what_to_do(schedule: Schedule, plans: list[PointPlan], shop: ShopDetails) -> tuple[str, ...]:
    point_list = schedule.machine.point_list
    lines = before_you_start(point_list.has)
    cautions = dict.fromkeys(plan.point.caution for plan in plans if plan.point.caution)
    lines += [
        f"- {plan.point.home or plan.point.where}: {owner_task(plan.point)}" for plan in plans
    ]
    lines += cautions
    lines.append(STANDING_RULES[0])
    home = home_rules(electric=point_list.has_plug)
    lines.append(f"{home.stop_heading} {home.stop_when}")
    return (*lines, *_ring(shop))


def _service(schedule: Schedule, shop: ShopDetails, alarm_hours: int | None) -> Entry:
    """The next service: on its day where one is booked, else over its whole month."""
    point_list = schedule.machine.point_list
    name = point_list.name
    if schedule.booked is not None:
        day = schedule.booked
        title, first, end = f"{name}: service, booked", day, add_days(day, 1)
        things = "pedal, cord and bobbin case" if point_list.has_plug else "bobbin case"
        lines = [f"Please bring the machine on this day, with its {things}."]
    else:
        first = schedule.services[0].on.replace(day=1)
        end = add_months(first, 1)
        title = f"{name}: time for its service in {month_words(first)}"
        lines = [service_note(schedule)]
    return Entry(
        first=first,
        end=end,
        title=title,
        lines=(*lines, *_ring(shop)),
        category=CATEGORY,
        alarm_hours=alarm_hours,
    )


def _ring(shop: ShopDetails) -> list[str]:
    return [", ".join(part for part in (shop.name, shop.phone) if part)] if shop.name else []
