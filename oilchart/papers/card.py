"""Knows what stands on an owner's care card: the drawing, what to do by rhythm, what never to do, when to ring, the next service."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from oilchart.core.chart import Keeper, Point, Work
from oilchart.core.due import State
from oilchart.core.people import Contact
from oilchart.core.rhythm import RHYTHMS, SEWING_DAY
from oilchart.core.schedule import PointPlan, Schedule
from oilchart.core.settling import SETTLING_POINTS
from oilchart.core.units import Ticks
from oilchart.papers.picture import Picture, pictures
from oilchart.papers.wording import TOLD_TO_OWNER, hours_words, month_words, needle_words, owner_task

BEFORE_YOU_START = {
    "plug": "Pull the plug out of the wall before you oil, clean or open anything, and whenever you leave the machine.",
    "treadle": "Slip the belt off the hand wheel before you oil, clean or open anything.",
    "crank": "Fold the crank out of the wheel before you oil or clean, and turn the wheel slowly, fingers clear of the needle.",
}
STANDING_RULES = (
    "After oiling: wipe, turn the wheel by hand a few times, then sew on a scrap of cloth.",
    "After a rest of three months or more: oil before you sew.",
)
STOP_HEADING = "Stop, unplug, ring us"
STOP_WITHOUT_PLUG = "Stop, ring us"
STOP_ELECTRIC = (
    "it tingles when you touch it",
    "it smells of burning",
    "it runs by itself",
    "the foot pedal gets very hot",
)
STOP_SIGNS = (
    "the wheel turns stiffly",
    "it knocks",
)
NEVER_HEADING = "Not at home: leave this to us"
NEVER_ELECTRIC = ("opening the motor, the foot pedal or a plug",)
NEVER_AT_HOME = (
    "tension and timing screws",
    "solvents and cleaning sprays",
    "freeing a machine that is stuck",
    "blowing it out with canned or compressed air",
)
OIL_MEANS = "“Oil” on this card is {oil}, and nothing else: no kitchen, spray, car or penetrating oil."
MORE_DRAWINGS = "Numbers that are not on this drawing are on those further on."
DEFERS = "Where your machine's own manual says otherwise, the manual comes first."
SETTLING_NOTE = "it was stuck and has been freed; we ring you in about three weeks"
OCCASION_HEADINGS = {
    "each bobbin": "With each new bobbin",
    "each sewing day": "Each day you sew",
    "each service": "At each service",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One thing to do: the number of its place on the drawing, if it is to be seen there, the place and the work."""

    number: int | None
    place: str
    task: str
    caution: str | None


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
        do_not: pairs of place and what must not be done there.
        next_service: month of the next service, or what takes its place.
        how: how the times came about.
    """

    title: str
    machine: str
    language: str
    more_drawings: str
    pictures: tuple[Picture, ...]
    before: str
    groups: tuple[CardGroup, ...]
    rules: tuple[str, ...]
    do_not: tuple[tuple[str, str], ...]
    stop_heading: str
    stop_signs: tuple[str, ...]
    never_heading: str
    never_at_home: tuple[str, ...]
    needle: str
    next_service: str
    next_service_note: str
    how: tuple[str, ...]
    defers: str
    shop: Contact


def care_card(schedule: Schedule, *, shop: Contact, owner: str | None, serial: str = "") -> CareCard:
    """Write the care card of a machine for its owner."""
    chart = schedule.machine.chart
    electric = "plug" in chart.has
    plans = [plan for plan in schedule.points if plan.point.keeper is Keeper.OWNER]
    settling = [plan for plan in plans if plan.point in SETTLING_POINTS]
    groups = _grouped([plan for plan in plans if plan not in settling])
    shown = [plan.point for _, members in groups for plan in members if plan.point.place is not None]
    numbers = {point.id: number for number, point in enumerate(shown, start=1)}
    drawn = pictures(chart.views, enumerate(shown, start=1))
    return CareCard(
        title=f"Care card for {owner}" if owner else "Care card",
        machine=" · ".join(part for part in (chart.name, schedule.machine.number, f"serial {serial}" if serial else "") if part),
        language="en-GB",
        more_drawings=MORE_DRAWINGS if len(drawn) > 1 else "",
        pictures=drawn,
        before=" ".join(words for thing, words in BEFORE_YOU_START.items() if thing in chart.has),
        groups=_each_caution_once((*_settling(settling), *(_group(key, members, numbers) for key, members in groups))),
        rules=(*_oil(plans), *STANDING_RULES),
        do_not=tuple((avoid.home, avoid.do_not) for avoid in chart.avoids if avoid.home is not None),
        stop_heading=STOP_HEADING if electric else STOP_WITHOUT_PLUG,
        stop_signs=(*(STOP_ELECTRIC if electric else ()), *STOP_SIGNS),
        never_heading=NEVER_HEADING,
        never_at_home=(*(NEVER_ELECTRIC if electric else ()), *NEVER_AT_HOME),
        needle=f"Needles: {needle_words(chart)}.",
        next_service=_next_service(schedule),
        next_service_note=_next_service_note(schedule),
        how=_how(schedule),
        defers=DEFERS,
        shop=shop,
    )


def _oil(plans: list[PointPlan]) -> list[str]:
    """What the card means by oil."""
    oils = dict.fromkeys(plan.point.lubricant.home for plan in plans if plan.point.work is Work.OIL and plan.point.lubricant)
    return [OIL_MEANS.format(oil=" or ".join(oils))] if oils else []


def _each_caution_once(groups: tuple[CardGroup, ...]) -> tuple[CardGroup, ...]:
    """The groups with every caution in full at its first line; the lines after it point back to that."""
    first: dict[str, int | None] = {}
    told = []
    for group in groups:
        lines = []
        for line in group.lines:
            again = line.caution is not None and line.caution in first and first[line.caution] is not None
            if line.caution is not None:
                first.setdefault(line.caution, line.number)
            lines.append(replace(line, caution=f"caution as at {first[line.caution]}") if again and line.caution else line)
        told.append(replace(group, lines=tuple(lines)))
    return tuple(told)


def _grouped(plans: list[PointPlan]) -> list[tuple[str, list[PointPlan]]]:
    """The plans by rhythm, the most frequent rhythm first; those that fit none by their hours."""
    order = ["each bobbin", SEWING_DAY.name, *(rhythm.name for rhythm in RHYTHMS[1:]), "each service"]
    groups: dict[str, list[PointPlan]] = {}
    for plan in plans:
        allowed = plan.allowed.use if plan.allowed is not None else None
        key = plan.rhythm or f"hours {0 if allowed is None else allowed}"
        groups.setdefault(key, []).append(plan)
    return sorted(groups.items(), key=lambda item: (item[0] in order, order.index(item[0]) if item[0] in order else 0))


def _group(key: str, members: list[PointPlan], numbers: dict[str, int]) -> CardGroup:
    limits = [plan.allowed.use for plan in members if plan.allowed is not None and plan.allowed.use is not None]
    return CardGroup(
        heading=_heading(key, limits),
        note=_note(key, limits),
        lines=tuple(_line(plan.point, numbers.get(plan.point.id)) for plan in members),
    )


def _settling(plans: list[PointPlan]) -> list[CardGroup]:
    """What an owner does with a machine that was stuck and has been freed, before all rhythms."""
    lines = tuple(_line(plan.point, None) for plan in plans)
    return [CardGroup(heading="The first weeks", note=SETTLING_NOTE, lines=lines)] if lines else []


def _heading(key: str, limits: list[Ticks]) -> str:
    if key in OCCASION_HEADINGS:
        return OCCASION_HEADINGS[key]
    return f"Every {key}" if not key.startswith("hours ") else hours_words(min(limits)).capitalize()


def _note(key: str, limits: list[Ticks]) -> str:
    """The hours of sewing beside a timed rhythm: the shortest limit among its points."""
    timed = key in {rhythm.name for rhythm in RHYTHMS[1:]}
    return hours_words(min(limits)) if timed and limits else ""


def _line(point: Point, number: int | None) -> CardLine:
    return CardLine(number=number, place=point.home or point.where, task=owner_task(point), caution=point.caution)


def _next_service(schedule: Schedule) -> str:
    if schedule.state is State.FIRST_SERVICE:
        return "as soon as you can bring it"
    if not schedule.services:
        return "when something troubles you"
    return month_words(schedule.services[0].on)


def _next_service_note(schedule: Schedule) -> str:
    if not schedule.services or schedule.state is State.FIRST_SERVICE:
        return "Ring us and we find a day."
    return "We will ring you to find a day."


def use_told(words: str) -> str:
    """What an owner said of their sewing, as it is told them again: whether they oil is not held up to them."""
    return "; ".join(part.strip() for part in words.split(";") if not re.search(r"\boils?\b", part.casefold()))


def _how(schedule: Schedule) -> tuple[str, ...]:
    """One line on where the times come from, and what the owner should tell."""
    lines = []
    if schedule.use is not None:
        words = use_told(schedule.use.words)
        if words:
            lines.append(f"The times come from “{words}”, as you told us in {month_words(schedule.use.said)}.")
    lines += [TOLD_TO_OWNER[notice] for notice in schedule.notices]
    return tuple(lines)
