"""An owner's care card as words: the drawing, what to do by rhythm, what never to do, when to ring,
the next service."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.due.rhythm import AFTER_REST, RHYTHMS, SEWING_DAY
from oilchart.core.planning.schedule import PointPlan, Schedule
from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.point_list import Avoid, Keeper, Point, PointList, Work
from oilchart.core.point_lists.settling_in import SETTLING_POINTS
from oilchart.core.records.paper_style import CodeFor, Logo, PaperStyle
from oilchart.core.records.shop_details import ShopDetails
from oilchart.core.units import Ticks
from oilchart.papers.card.month_boxes import TickTable, tick_table
from oilchart.papers.drawing.picture import Picture, pictures
from oilchart.papers.home_rules import HomeRules, before_you_start, home_rules
from oilchart.papers.next_service import service_hours, service_note, service_when
from oilchart.papers.scan_words import Scan, day_scan, phone_scan
from oilchart.papers.wording import (
    TOLD_TO_OWNER,
    capital,
    edition_words,
    hours_words,
    month_words,
    needle_words,
    owner_task,
    plain_day,
    tested_elsewhere_words,
)

STANDING_RULES = (
    "After oiling: wipe, turn the wheel by hand a few times, then sew on a scrap of cloth.",
    "After a rest of three months or more: oil before you sew.",
)
DO_NOT_HEADING = "Never"
WRITTEN = "This card was written on {day}, by {edition}."
OIL_MEANS = (
    "“Oil” on this card is {oil}, and nothing else: no kitchen, spray, car or penetrating oil."
)
DEFERS = "Where your machine's own manual says otherwise, the manual comes first."
SETTLING_NOTE = "it was stuck and has been freed; we ring you in about three weeks"
OCCASION_HEADINGS = {
    "each bobbin": "With each new bobbin",
    "each sewing day": "Each day you sew",
    "each service": "At each service",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One thing to do: the number of its place on the drawing, if it is to be seen there, the place
    and the work.

    Args:
        once: it is done one time only, and has a box of its own to tick.
    """

    number: int | None
    place: str
    task: str
    caution: str | None
    once: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CardGroup:
    """What is done in one rhythm."""

    heading: str
    note: str
    lines: tuple[CardLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CareCard:
    """A care card as words and their order.

    Args:
        owner: empty for a machine in no book; then the card has a line to write a name on.
        running: whose card it is, for every page after the first: what gives way to a narrow page
            stands last.
        do_not: pairs of places and what must not be done there.
        needle: system, how often, and which way the flat faces or the long groove.
        next_service: month of the next service, the day that is booked, or what takes its place.
        booked: that day.
        service_hours: after how many hours at the latest; empty where nothing can be said.
        how: how the times came about, and what the shop does not do.
        ticks: boxes for the months to come; None where nothing on the card comes round by the
            calendar.
    """

    title: str
    owner: str
    machine: str
    running: tuple[str, ...]
    pictures: tuple[Picture, ...]
    before: str
    groups: tuple[CardGroup, ...]
    rules: tuple[str, ...]
    do_not_heading: str
    do_not: tuple[tuple[str, str], ...]
    home: HomeRules
    needle: str
    next_service: str
    next_service_note: str
    booked: date | None
    service_hours: str
    how: tuple[str, ...]
    written: str
    defers: str
    ticks: TickTable | None
    scan: Scan | None
    shop: ShopDetails
    logo: Logo | None
    footer: str


def care_card(
    schedule: Schedule,
    *,
    drawings: ModelDrawings,
    shop: ShopDetails,
    owner: str | None,
    serial: str = "",
    style: PaperStyle | None = None,
) -> CareCard:
    """Write the care card of a machine for its owner.

    Args:
        style: the shop's wishes; the usual without.
    """
    point_list, booked = schedule.machine.point_list, schedule.booked
    style = style or PaperStyle()
    plans = [plan for plan in schedule.points if plan.point.keeper is Keeper.OWNER]
    settling = [plan for plan in plans if plan.point in SETTLING_POINTS]
    groups = _grouped([plan for plan in plans if plan not in settling], drawings)
    points = [plan.point for _, members in groups for plan in members]
    shown = [point for point in points if drawings.place(point) is not None]
    numbers = {point.id: point.number for point in shown}
    return CareCard(
        title=f"Care card for {owner}" if owner else "Care card",
        owner=owner or "",
        machine=_machine(schedule, serial),
        running=tuple(part for part in (owner, schedule.machine.number, point_list.name) if part),
        pictures=pictures(drawings, shown),
        before=" ".join(before_you_start(point_list.has)),
        groups=_each_caution_once(
            (*_settling(settling), *(_group(key, members, numbers) for key, members in groups))
        ),
        rules=(*_oil(plans), *STANDING_RULES),
        do_not_heading=DO_NOT_HEADING,
        do_not=_do_not(point_list.avoids),
        home=home_rules(electric=point_list.has_plug),
        needle=_needle(point_list, groups),
        next_service=service_when(schedule),
        next_service_note=service_note(schedule),
        booked=booked,
        service_hours=service_hours(schedule),
        how=(*_how(schedule), *tested_elsewhere_words(point_list)),
        written=WRITTEN.format(day=plain_day(schedule.as_of), edition=edition_words(point_list)),
        defers=DEFERS,
        ticks=tick_table([key for key, _ in groups], schedule.as_of),
        scan=_scan(style.code, shop, point_list.name, booked),
        shop=shop,
        logo=style.logo,
        footer=style.footer,
    )


def card_words(card: CareCard) -> list[str]:
    """All words of the card that come from the shop and the owner."""
    return [
        card.title,
        card.machine,
        *card.how,
        card.footer,
        card.shop.name,
        card.shop.phone,
        *card.shop.address,
    ]


def _machine(schedule: Schedule, serial: str) -> str:
    """Which machine it is: its model, its number in the book and its serial number, as far as there
    are any."""
    number = schedule.machine.number
    parts = (schedule.machine.point_list.name, number, f"serial {serial}" if serial else "")
    return " · ".join(part for part in parts if part)


def _scan(code: CodeFor, shop: ShopDetails, model: str, booked: date | None) -> Scan | None:
    """What the card's code does: a day that is booked goes into the calendar where the shop wants
    that, else it rings the shop."""
    if code is CodeFor.NONE:
        return None
    if code is CodeFor.CALENDAR and booked is not None:
        return day_scan(
            booked, ": ".join(part for part in (shop.name, f"{model}, service") if part)
        )
    return phone_scan(shop.phone)


def _do_not(avoids: Iterable[Avoid]) -> tuple[tuple[str, str], ...]:
    """The owner's do-not points; places where the same is forbidden stand together."""
    places: dict[str, list[str]] = {}
    for avoid in avoids:
        if avoid.home is not None:
            places.setdefault(avoid.do_not, []).append(avoid.home)
    return tuple(("; ".join(homes), do_not) for do_not, homes in places.items())


def _needle(point_list: PointList, groups: Sequence[tuple[str, list[PointPlan]]]) -> str:
    """A new needle: which, how often, which way round."""
    often = [
        _often(key, plan)
        for key, members in groups
        for plan in members
        if plan.point.work is Work.REPLACE and "needle" in plan.point.id
    ]
    return f"New needle: {', '.join([needle_words(point_list), *often[:1]])}."


def _often(key: str, plan: PointPlan) -> str:
    """Every week, about every 8 hours of sewing."""
    limits = [plan.allowed.use] if plan.allowed is not None and plan.allowed.use is not None else []
    parts = (_heading(key, limits), _note(key, limits))
    return ", ".join(part[:1].lower() + part[1:] for part in parts if part)


def _oil(plans: list[PointPlan]) -> list[str]:
    """What the card means by oil."""
    oils = dict.fromkeys(
        plan.point.lubricant.home
        for plan in plans
        if plan.point.work is Work.OIL and plan.point.lubricant
    )
    return [OIL_MEANS.format(oil=" or ".join(oils))] if oils else []


def _each_caution_once(groups: tuple[CardGroup, ...]) -> tuple[CardGroup, ...]:
    """The groups with every caution in full at its first line; the lines after it point back to
    that."""
    first: dict[str, int | None] = {}
    told = []
    for group in groups:
        lines = []
        for line in group.lines:
            again = (
                line.caution is not None
                and line.caution in first
                and first[line.caution] is not None
            )
            if line.caution is not None:
                first.setdefault(line.caution, line.number)
            lines.append(
                replace(line, caution=f"caution as at {first[line.caution]}")
                if again and line.caution
                else line
            )
        told.append(replace(group, lines=tuple(lines)))
    return tuple(told)


def _grouped(plans: list[PointPlan], drawings: ModelDrawings) -> list[tuple[str, list[PointPlan]]]:
    """The plans by rhythm, the most frequent first, those that fit none by their hours; in each by
    the drawings that show them."""
    order = [
        "each bobbin",
        SEWING_DAY.name,
        *(rhythm.name for rhythm in RHYTHMS[1:]),
        AFTER_REST,
        "each service",
    ]
    groups: dict[str, list[PointPlan]] = {}
    for plan in plans:
        allowed = plan.allowed.use if plan.allowed is not None else None
        key = plan.rhythm or f"hours {0 if allowed is None else allowed}"
        groups.setdefault(key, []).append(plan)
    view_ids = [view.id for view in drawings.views]

    def drawing(plan: PointPlan) -> int:
        place = drawings.place(plan.point)
        return len(view_ids) if place is None else view_ids.index(place.view)

    by_rhythm = sorted(
        groups.items(),
        key=lambda item: (item[0] in order, order.index(item[0]) if item[0] in order else 0),
    )
    return [(key, sorted(members, key=drawing)) for key, members in by_rhythm]


def _group(key: str, members: list[PointPlan], numbers: dict[str, int]) -> CardGroup:
    limits = [
        plan.allowed.use
        for plan in members
        if plan.allowed is not None and plan.allowed.use is not None
    ]
    return CardGroup(
        heading=_heading(key, limits),
        note=_note(key, limits),
        lines=tuple(_line(plan.point, numbers.get(plan.point.id)) for plan in members),
    )


def _settling(plans: list[PointPlan]) -> list[CardGroup]:
    """What an owner does with a machine that was stuck and has been freed, before all rhythms."""
    lines = tuple(replace(_line(plan.point, None), once=True) for plan in plans)
    return [CardGroup(heading="The first weeks", note=SETTLING_NOTE, lines=lines)] if lines else []


def _heading(key: str, limits: list[Ticks]) -> str:
    if key in OCCASION_HEADINGS:
        return OCCASION_HEADINGS[key]
    if key == AFTER_REST:
        return capital(key)
    return f"Every {key}" if not key.startswith("hours ") else hours_words(min(limits)).capitalize()


def _note(key: str, limits: list[Ticks]) -> str:
    """The hours of sewing beside a timed rhythm: the shortest limit among its points."""
    timed = key in {rhythm.name for rhythm in RHYTHMS[1:]}
    return hours_words(min(limits)) if timed and limits else ""


def _line(point: Point, number: int | None) -> CardLine:
    return CardLine(
        number=number,
        place=point.home or point.where,
        task=owner_task(point),
        caution=point.caution,
    )


def use_told(words: str) -> str:
    """What an owner said of their sewing, as it is told them again: whether they oil is not held up
    to them."""
    return "; ".join(
        part.strip() for part in words.split(";") if not re.search(r"\boils?\b", part.casefold())
    )


def _how(schedule: Schedule) -> tuple[str, ...]:
    """One line on where the times come from, and what the owner should tell."""
    lines = []
    if schedule.use is not None:
        words = use_told(schedule.use.words)
        if words:
            lines.append(
                f"The times come from “{words}”, as you told us in "
                f"{month_words(schedule.use.said)}, and hold while that holds."
            )
    lines += [TOLD_TO_OWNER[notice] for notice in schedule.notices]
    return tuple(lines)
