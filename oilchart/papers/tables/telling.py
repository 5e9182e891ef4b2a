"""What one reads out to an owner who rings: what to oil with and how often, the needles, what never
to do, what was done last and what comes."""

from __future__ import annotations

from oilchart.core.due.rhythm import RHYTHMS
from oilchart.core.planning.standing import Standing
from oilchart.core.point_lists.point_list import Keeper, PointList, Work
from oilchart.core.records.machine_record import MachineRecord
from oilchart.papers.danger_words import UNSAFE_QUESTIONS, danger_line, told_of_dangers
from oilchart.papers.home_rules import before_you_start, home_rules
from oilchart.papers.tables.history import Story, service_ahead
from oilchart.papers.wording import day_words, lubricant_words, needle_words

NOT_KNOWN = "not known yet; it is decided on the bench"


def telling(standing: Standing) -> Story:
    """What is read out about a machine; of one not seen yet, what is known; of one that could hurt
    someone, what is to be done with it now, and nothing of how it is looked after."""
    record, schedule = standing.record, standing.schedule
    point_list = schedule.machine.point_list
    if record.dangers:
        facts = [("Say now", _of_danger(record, point_list)), *_never(point_list)]
    elif point_list.is_known:
        facts = _at_home(standing, point_list)
    else:
        facts = [("Model", NOT_KNOWN), *_never(point_list)]
    last = record.services[-1] if record.services else None
    done = "" if last is None else f"{sum(each.done for each in last.findings)} points"
    return Story(
        dangers=tuple(danger_line(mark) for mark in record.dangers),
        title=f"{record.number} {point_list.name}",
        facts=tuple(
            (label, words)
            for label, words in (
                ("Owner", f"{record.owner.name}, {record.owner.phone_words or 'no phone'}"),
                *facts,
                ("They said", f"“{record.last_words}”" if record.last_words else ""),
                (
                    "Done last",
                    f"{day_words(last.on)}: {done}" if last is not None else "nothing by us yet",
                ),
                ("Comes next", service_ahead(standing)),
            )
            if words
        ),
        past=(),
        ahead=(),
    )


def _of_danger(record: MachineRecord, point_list: PointList) -> str:
    """What the owner is told of a machine that could hurt someone, and asked."""
    return " ".join([*told_of_dangers(record, point_list.name), *UNSAFE_QUESTIONS[0]])


def _at_home(standing: Standing, point_list: PointList) -> list[tuple[str, str]]:
    """What the owner does, with what, how often, and what never."""
    schedule = standing.schedule
    plans = [
        plan for plan in schedule.planner.plans(schedule.as_of) if plan.point.keeper is Keeper.OWNER
    ]
    lubricants = {
        plan.point.lubricant.id: lubricant_words(plan.point.lubricant)
        for plan in plans
        if plan.point.lubricant is not None
    }
    by_rhythm: dict[str, list[str]] = {}
    for plan in plans:
        key = plan.rhythm or plan.point.every.words
        place = plan.point.home or plan.point.where
        done = place if plan.point.work is Work.OIL else f"{place} ({plan.point.work})"
        by_rhythm.setdefault(key, []).append(done)
    order = [rhythm.name for rhythm in RHYTHMS]
    often = sorted(by_rhythm, key=lambda key: (key in order, key in order and order.index(key)))
    return [
        ("To buy", "; ".join(lubricants.values())),
        ("Needles", needle_words(point_list)),
        ("Before", " ".join(before_you_start(point_list.has))),
        *(
            (
                _how_often(key),
                "; ".join(by_rhythm[key]),
            )
            for key in often
        ),
        *_never(point_list),
    ]


def _how_often(rhythm: str) -> str:
    return rhythm if rhythm.startswith(("each", "before")) else f"every {rhythm}"


def _never(point_list: PointList) -> list[tuple[str, str]]:
    """What is never done at home, and when to stop and ring."""
    rules = home_rules(electric=point_list.has_plug)
    avoided = [f"{each.home}: {each.do_not}" for each in point_list.avoids if each.home]
    return [
        ("Never", "; ".join([*avoided, *rules.never_at_home])),
        (rules.stop_heading, rules.stop_when),
    ]
