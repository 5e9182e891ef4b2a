"""What stands on the service record handed over with a machine: as received, found, done, left for
later, the next service."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from oilchart.core.planning.standing import Standing
from oilchart.core.point_lists.point_list import PointList, Work
from oilchart.core.point_lists.settling_in import SETTLING_POINTS
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.card.content import SETTLING_NOTE
from oilchart.papers.home_rules import HomeRules, before_you_start, home_rules, unsafe_words
from oilchart.papers.next_service import service_note, service_when
from oilchart.papers.wording import capital, day_words, machine_words

# What a word of the bench means to an owner. None of them says whose doing it was.
FOUND_TOLD = {
    Found.DRY: "dry, no oil left",
    Found.GUMMED: "old oil had thickened to gum",
    Found.SEIZED: "stuck fast",
    Found.PACKED: "full of lint",
    Found.OVER_OILED: "more oil than it needs",
    Found.WRONG_OIL: "an oil that does not suit it",
    Found.RUSTY: "some rust",
    Found.WORN: "worn",
    Found.CRACKED: "cracked",
    Found.LOOSE: "loose",
    Found.OUT_OF_TIME: "its timing had shifted",
    Found.MISSING: "a part was missing",
    Found.NOT_CHECKED: "not looked at before the work",
}
WORK_DONE = {
    Work.CLEAN: "Cleaned",
    Work.OIL: "Oiled",
    Work.GREASE: "Greased",
    Work.INSPECT: "Looked at",
    Work.REPLACE: "Replaced",
    Work.ADJUST: "Adjusted",
}
OTHER_WORK = "Also done"

RECEIVED_HEADING = "As you brought it"
FOUND_HEADING = "What we found"
DONE_HEADING = "What we did"
NOTE_HEADING = "From the bench"
NO_COMPLAINT = "It came for its service."
NOTHING_FOUND = "Nothing out of the ordinary."
NOTHING_DONE = "No work was done this time."
PARTS = ("Parts on order", "We ring you when they are here.")
DECLINED = ("Left as it is, as you wished", "Ring us whenever you would like it done.")
WATCH = ("To watch", "We look at it again next time.")
NOT_DONE = ("Not done this time", "")
FREED = "It was stuck and has been freed."
UNTIL_CHECKED = "Once it has been checked; ring us and we find a day."
SIGNED = ("Work done by", "Tested by sewing", "Handed over to", "Date")
SIGNED_ELECTRIC = ("Work done by", "Plugged in and tested", "Handed over to", "Date")
SIGNED_UNSAFE = ("Work done by", "Handed over to", "Told about the danger", "Date")


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundAt:
    """How one place was found, in the owner's language."""

    place: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDone:
    """The places at which one kind of work was done."""

    heading: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remaining:
    """Places at which something remains, and what follows from it; `note` may be empty."""

    heading: str
    note: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceSheet:
    """A service record as words and their order.

    Args:
        unsafe: heading, reason and what to do, for a machine found unsafe; else empty.
        received: what the owner said of it, in their words; empty if nothing.
        freed: that it was stuck, for a machine that was; else empty.
        note: what the bench wrote to the service.
        settling: heading and sentences on the first weeks of a machine that was freed and may be
            used; else empty.
        signed: what stands before each line to sign on.
        style: the shop's colour, logo and line at the foot.
    """

    title: str
    machine: str
    day: str
    unsafe: tuple[str, ...]
    received: str
    found: tuple[FoundAt, ...]
    done: tuple[WorkDone, ...]
    freed: str
    note: str
    remaining: tuple[Remaining, ...]
    settling: tuple[str, ...]
    home: HomeRules
    next_service: str
    next_service_note: str
    signed: tuple[str, ...]
    shop: ShopDetails
    style: PaperStyle = field(default_factory=PaperStyle)


def service_record(
    standing: Standing,
    service: ServiceRecord,
    *,
    shop: ShopDetails,
    style: PaperStyle | None = None,
) -> ServiceSheet:
    """Write the record of a service for the machine's owner.

    A point that is only looked at and was noted "not checked" was not done; it is told so.

    Args:
        standing: the machine as it stands after the service.
    """
    record, schedule = standing.record, standing.schedule
    point_list, findings = schedule.machine.point_list, service.findings
    unsafe = "" if record.unsafe is None else record.unsafe.why
    owner = record.owner.name
    electric = point_list.has_plug
    return ServiceSheet(
        title=f"Service record for {owner}" if owner else "Service record",
        machine=machine_words(point_list, record),
        day=day_words(service.on),
        unsafe=_unsafe(unsafe, electric),
        received="" if (job := record.job_of(service)) is None else job.complaint,
        found=tuple(
            _found(point_list, finding) for finding in findings if _how(point_list, finding)
        ),
        done=_done(point_list, findings),
        freed=FREED if service.freed else "",
        note="; ".join(each.words for each in record.notes if each.for_owner),
        remaining=_remaining(point_list, findings),
        settling=_settling(point_list, freed=service.freed, unsafe=bool(unsafe)),
        home=home_rules(electric=electric),
        next_service=service_when(schedule),
        next_service_note=UNTIL_CHECKED if unsafe else service_note(schedule),
        signed=SIGNED_UNSAFE if unsafe else SIGNED_ELECTRIC if electric else SIGNED,
        shop=shop,
        style=style or PaperStyle(),
    )


def _unsafe(why: str, electric: bool) -> tuple[str, ...]:
    heading, what_to_do = unsafe_words(electric=electric)
    return (heading, why, what_to_do) if why else ()


def _how(point_list: PointList, finding: Finding) -> tuple[str, ...]:
    """What is told of how a point was found; that nobody looked matters only where work
    followed."""
    silent = Found.NOT_CHECKED if not _was_done(point_list, finding) else None
    return tuple(
        FOUND_TOLD[found] for found in finding.found if found in FOUND_TOLD and found is not silent
    )


def _found(point_list: PointList, finding: Finding) -> FoundAt:
    point = point_list.point(finding.point)
    place = _place(point_list, finding)
    return FoundAt(
        place=place if point is None or point.home is None else f"{place} ({point.home})",
        how="; ".join(_how(point_list, finding)),
    )


def _place(point_list: PointList, finding: Finding) -> str:
    """The technician's name of a place; the words of its id where the list has changed since."""
    point = point_list.point(finding.point)
    return finding.point.replace("-", " ").capitalize() if point is None else point.where


def _was_done(point_list: PointList, finding: Finding) -> bool:
    point = point_list.point(finding.point)
    only_looked = point is not None and point.work is Work.INSPECT
    return finding.done and not (only_looked and Found.NOT_CHECKED in finding.found)


def _done(point_list: PointList, findings: Sequence[Finding]) -> tuple[WorkDone, ...]:
    """The places by kind of work, in the order in which the kinds are told."""
    places: dict[str, list[str]] = {heading: [] for heading in (*WORK_DONE.values(), OTHER_WORK)}
    for finding in findings:
        if _was_done(point_list, finding):
            point = point_list.point(finding.point)
            places[OTHER_WORK if point is None else WORK_DONE[point.work]].append(
                _place(point_list, finding)
            )
    return tuple(
        WorkDone(heading=heading, places=tuple(dict.fromkeys(names)))
        for heading, names in places.items()
        if names
    )


def _remaining(point_list: PointList, findings: Sequence[Finding]) -> tuple[Remaining, ...]:
    """What was left for later; what waits for a part or was declined is not told a second time as
    not done."""

    def not_done(finding: Finding) -> bool:
        return (
            finding.planned
            and not _was_done(point_list, finding)
            and finding.left
            not in (
                Left.PART_ORDERED,
                Left.DECLINED,
            )
        )

    kinds: tuple[tuple[tuple[str, str], Callable[[Finding], bool]], ...] = (
        (PARTS, lambda finding: finding.left is Left.PART_ORDERED),
        (DECLINED, lambda finding: finding.left is Left.DECLINED),
        (WATCH, lambda finding: finding.left is Left.WATCH),
        (NOT_DONE, not_done),
    )
    return tuple(
        Remaining(heading=heading, note=note, places=places)
        for (heading, note), holds in kinds
        if (
            places := tuple(
                dict.fromkeys(_place(point_list, finding) for finding in findings if holds(finding))
            )
        )
    )


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
