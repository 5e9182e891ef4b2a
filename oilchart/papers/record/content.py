"""What stands on the record of a visit, handed over with the machine: what its owner told, what was
found, put right and serviced, what was not done and why, who did it, the next service."""

from __future__ import annotations

from dataclasses import dataclass, field

from oilchart.core.planning.carried_over import cannot_wait
from oilchart.core.planning.schedule import Schedule
from oilchart.core.planning.standing import Standing
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.point_lists.settling_in import SETTLING_POINTS
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.shop_details import ShopDetails
from oilchart.core.records.visit import Visit
from oilchart.papers.card.content import SETTLING_NOTE
from oilchart.papers.danger_words import DANGER_HEADINGS
from oilchart.papers.home_rules import HomeRules, before_you_start, home_rules
from oilchart.papers.next_service import service_note, service_when
from oilchart.papers.photos import ShownPhoto
from oilchart.papers.record.places import owners_place
from oilchart.papers.record.serviced import Serviced, serviced_words
from oilchart.papers.record.story import (
    Told,
    found_words,
    mains_test_words,
    nothing_found,
    put_right_words,
)
from oilchart.papers.wording import capital, day_words, joined, machine_words, plain_day

RECEIVED_HEADING = "What you told us"
FOUND_HEADING = "What we found"
PUT_RIGHT_HEADING = "What we put right"
SERVICED_HEADING = "What we serviced"
REMAINING_HEADING = "What is left for later"
NOTE_HEADING = "From the bench"
NO_COMPLAINT = "It came for its service."
NOTHING_TOLD = "Nothing in particular."
NOTHING_DONE = "No work was done this time."
NOTHING_YET = "No work has been done yet."
NOTHING_SERVICED = "Nothing of its list this time."
KEEP_UNPLUGGED = (
    "Keep its plug out of the wall until someone qualified has checked it and it has passed."
)
LET_IT_REST = "Do not sew with it and do not turn its wheel until it has been put right."
LEAVE_UNPLUGGED = "Leave it unplugged."
RING = "Ring us, and we tell you what comes next."
UNTIL_CHECKED = "Once it has been checked; ring us and we find a day."
UNTIL_PUT_RIGHT = "Once it has been put right; ring us and we find a day."
BACK_ON = "Wanted back on {} for what cannot wait: {}."
WORK_BY = "Work done by"
SIGNED = (WORK_BY, "Tested by sewing", "Handed over to", "Date")
SIGNED_UNSAFE = (WORK_BY, "Handed over to", "Told about the danger", "Date")
SIGNED_NOTHING = ("Handed over by", "Handed over to", "Date")


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerTold:
    """What makes the machine unsafe now: why and since when, and what its owner does."""

    heading: str
    why: str
    what_to_do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceSheet:
    """The record of a visit as words and their order.

    Args:
        days: on which it was in the shop, or served.
        dangers: what makes it unsafe now, the mains side first.
        received: what the owner said of it, in their words; empty if nothing.
        no_complaint: what stands in its place.
        found: with `nothing_found` in its place; both empty where nobody was asked to look.
        nothing_done: that there was no work; empty where there was some.
        mains_test: its result; None of a machine without a plug.
        notes: what the bench wrote to the owner.
        settling: heading and sentences on the first weeks of a machine that was freed and may be
            used; else empty.
        back_on: the day on which it is wanted back for what cannot wait; empty where nothing is.
        signed: what stands before each line to sign on.
        by: who did the work, as far as it is known.
        photos: those that were asked for.
        style: the shop's colour, logo and line at the foot.
    """

    title: str
    machine: str
    days: str
    dangers: tuple[DangerTold, ...]
    received: str
    no_complaint: str
    found: tuple[Told, ...]
    nothing_found: str
    put_right: tuple[Told, ...]
    nothing_done: str
    serviced: Serviced
    mains_test: Told | None
    notes: tuple[str, ...]
    settling: tuple[str, ...]
    home: HomeRules
    next_service: str
    next_service_note: str
    back_on: str
    signed: tuple[str, ...]
    by: str
    shop: ShopDetails
    photos: tuple[ShownPhoto, ...] = ()
    style: PaperStyle = field(default_factory=PaperStyle)


def service_record(
    standing: Standing,
    visit: Visit,
    *,
    shop: ShopDetails,
    style: PaperStyle | None = None,
) -> ServiceSheet:
    """Write the record of a visit for the machine's owner.

    Args:
        standing: the machine as it stands after it.
    """
    record, schedule = standing.record, standing.schedule
    point_list = schedule.machine.point_list
    owner, dangers = record.owner.name, record.dangers
    served = bool(visit.services)
    put_right = put_right_words(visit)
    people = [*(service.by for service in visit.services), *(fix.by for fix in visit.repairs)]
    return ServiceSheet(
        title=f"Service record for {owner}" if owner else "Service record",
        machine=machine_words(point_list, record),
        days=_days(visit),
        dangers=tuple(_danger(mark, plug=point_list.has_plug) for mark in dangers),
        received=visit.complaint,
        no_complaint=NO_COMPLAINT if served else NOTHING_TOLD,
        found=found_words(visit, point_list),
        nothing_found=nothing_found(visit),
        put_right=put_right,
        nothing_done="" if served or put_right else _nothing_done(visit),
        serviced=serviced_words(visit, point_list),
        mains_test=mains_test_words(visit, point_list),
        notes=tuple(note.words for note in visit.notes),
        settling=_settling(point_list, freed=visit.freed, unsafe=bool(dangers)),
        home=home_rules(electric=point_list.has_plug),
        next_service=service_when(schedule),
        next_service_note=_until(dangers[0]) if dangers else service_note(schedule),
        back_on=_back_on(visit, schedule),
        signed=SIGNED_UNSAFE if dangers else SIGNED if served or put_right else SIGNED_NOTHING,
        by=joined(list(dict.fromkeys(filter(None, people)))),
        shop=shop,
        style=style or PaperStyle(),
    )


def _days(visit: Visit) -> str:
    if visit.job is None:
        return f"{'Service' if visit.services else 'Repair'} of {day_words(visit.first)}"
    if visit.last is None:
        return f"In the shop since {day_words(visit.first)}"
    if visit.last == visit.first:
        return f"In the shop on {day_words(visit.first)}"
    return f"In the shop from {day_words(visit.first)} to {day_words(visit.last)}"


def _nothing_done(visit: Visit) -> str:
    """That there was no work, or none yet where the machine is not ready."""
    job = visit.job
    waits = job is not None and job.is_open and job.ready_on is None
    return NOTHING_YET if waits else NOTHING_DONE


def _danger(mark: UnsafeMark, *, plug: bool) -> DangerTold:
    """What is said of a danger, of its kind: a machine that nothing plugs in has no plug to be kept
    out."""
    rules = {
        Danger.ELECTRICAL: (KEEP_UNPLUGGED, RING),
        Danger.MECHANICAL: (*([LEAVE_UNPLUGGED] if plug else []), LET_IT_REST, RING),
    }
    return DangerTold(
        heading=DANGER_HEADINGS[mark.danger],
        why=f"{mark.why}, since {plain_day(mark.on)}",
        what_to_do=" ".join(rules[mark.danger]),
    )


def _back_on(visit: Visit, schedule: Schedule) -> str:
    """The day on which the machine is wanted back, and for which places; empty where those that
    cannot wait were done since."""
    point_list = schedule.machine.point_list
    waiting = [
        owners_place(point_list, plan.point.id)
        for plan in schedule.points
        if plan.carried_over is not None and cannot_wait(plan.point) and not plan.declined
    ]
    if visit.back_on is None or not waiting:
        return ""
    return BACK_ON.format(day_words(visit.back_on), "; ".join(waiting))


def _until(mark: UnsafeMark) -> str:
    return UNTIL_CHECKED if mark.danger is Danger.ELECTRICAL else UNTIL_PUT_RIGHT


def _settling(point_list: PointList, *, freed: bool, unsafe: bool) -> tuple[str, ...]:
    """What the owner of a freed machine does; one that must not be used yet has no first weeks of
    sewing."""
    if not freed or unsafe:
        return ()
    lines = (
        f"{capital(point.home or point.where)}: {_small(point.do or '')}."
        for point in SETTLING_POINTS
    )
    before = before_you_start(point_list.has)
    return ("The first weeks", f"{capital(SETTLING_NOTE)}.", *before, *lines)


def _small(words: str) -> str:
    return words[:1].lower() + words[1:]
