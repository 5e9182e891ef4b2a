"""The work of a visit by its list: counted for the owner, singly where it was ticked, and what was
not done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from oilchart.core.point_lists.point_list import PointList, Work
from oilchart.core.records.findings import Finding, Left
from oilchart.core.records.job import Danger
from oilchart.core.records.machine_record import struck
from oilchart.core.records.visit import Visit
from oilchart.papers.record.places import owners_place, place_for_bench, place_in_list
from oilchart.papers.record.story import is_proof, was_done
from oilchart.papers.wording import capital, counted, day_words, edition_words, joined, plain_day

# heading of the places and the word before their number, in the order in which they are told
WORK_DONE = {
    Work.OIL: ("Oiled", "oiled"),
    Work.CLEAN: ("Cleaned", "cleaned"),
    Work.GREASE: ("Greased", "greased"),
    Work.INSPECT: ("Looked at", "looked at"),
    Work.ADJUST: ("Adjusted", "adjusted"),
    Work.REPLACE: ("Replaced", "replaced"),
}
OTHER_WORK = ("Also done", "worked on")
PARTS = ("Parts on order", "We ring you when they are here.")
DECLINED = ("Left as it is, as you wished", "Ring us whenever you would like it done.")
WATCH = ("To watch", "We look at it again next time.")
NOT_DONE = "Not done this time"
WHY = "Why: {}."
NEEDS_CURRENT = "needs current, and it must not be plugged in"
NEEDS_USE = "needs the machine to run, and it must not be used"
TOLD_SINGLY = 6  # places left out without a reason; more of them are counted
SINGLY = "Place by place"
AS_A_WHOLE = "The other {} of the list were done as a whole and are not named here."


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDone:
    """The places at which one kind of work was done, or was not."""

    heading: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remaining:
    """Places at which something remains, and what follows from it; `note` may be empty."""

    heading: str
    note: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Serviced:
    """The work of a visit by its list.

    Args:
        whole: how much of the list was done; empty where nothing was.
        kinds: how many places were oiled, cleaned; empty likewise.
        when: on which days, and by whom.
        places: those told of by themselves, by kind of work, under the technicians' names.
        others: how many were told as a whole, and by which list the places are numbered; empty
            where none is named.
        remaining: what was left for later.
    """

    whole: str
    kinds: str
    when: str
    places: tuple[WorkDone, ...]
    others: str
    remaining: tuple[Remaining, ...]


def serviced_words(visit: Visit, point_list: PointList) -> Serviced:
    """Tell the work of a visit.

    What cannot be done while something makes the machine unsafe was not, unless it was told of by
    itself. What a repair left as good is told as put right. The mains test has its own line.
    """
    findings = sorted(
        (each for each in visit.findings if not is_proof(point_list, each.point)),
        key=lambda finding: place_in_list(point_list, finding.point),
    )
    off = struck(point_list, visit.dangers)
    done = [
        each
        for each in findings
        if was_done(point_list, each) and (each.ticked or each.point not in off)
    ]
    mended = {point for fix in visit.repairs for point, left in fix.left if left is Left.GOOD}
    left_out = [
        each
        for each in findings
        if each not in done and (each.planned or each.done) and each.point not in mended
    ]
    ticked = [each for each in done if each.ticked]
    silent = _silent(left_out, visit, off)
    places = _by_kind(point_list, ticked)
    if len(silent) > TOLD_SINGLY:
        names = tuple(place_for_bench(point_list, each.point) for each in silent)
        places = (*places, WorkDone(heading=NOT_DONE, places=names))
    return Serviced(
        whole=_how_much(visit, len(done), len(done) + len(left_out)),
        kinds=_counts(point_list, done),
        when=_when(visit),
        places=places,
        others=_others(point_list, len(done) - len(ticked), named=bool(ticked)) if places else "",
        remaining=_remaining(visit, point_list, left_out, off),
    )


def _how_much(visit: Visit, done: int, of: int) -> str:
    if not done:
        return ""
    if not any(service.whole for service in visit.services):
        return f"Work at {counted(done, 'place')} only"
    if done == of:
        return f"The whole list for this service, {counted(done, 'place')}"
    return f"{done} of the {counted(of, 'place')} on the list for this service"


def _kind(point_list: PointList, finding: Finding) -> tuple[str, str]:
    point = point_list.point(finding.point)
    return OTHER_WORK if point is None else WORK_DONE[point.work]


def _counts(point_list: PointList, done: Iterable[Finding]) -> str:
    """Oiled 18 places, cleaned 9 and looked at 11."""
    kinds = [_kind(point_list, each) for each in done]
    counts = [
        f"{words} {kinds.count((heading, words))}"
        for heading, words in (*WORK_DONE.values(), OTHER_WORK)
        if (heading, words) in kinds
    ]
    if not counts:
        return ""
    first = " place" if counts[0].endswith(" 1") else " places"
    return f"{capital(joined([counts[0] + first, *counts[1:]]))}."


def _when(visit: Visit) -> str:
    """On Tuesday 24 November 2026, by J. Tarn."""
    if not visit.services:
        return ""
    first = visit.services[0].on
    last = max(service.last_day for service in visit.services)
    days = f"On {day_words(first)}"
    if last != first:
        days = f"From {plain_day(first)} to {plain_day(last)}"
    by = joined(list(dict.fromkeys(each.by for each in visit.services if each.by)))
    return f"{days}{f', by {by}' if by else ''}."


def _by_kind(point_list: PointList, ticked: Iterable[Finding]) -> tuple[WorkDone, ...]:
    """The places that were told of by themselves, by kind of work."""
    places: dict[str, list[str]] = {}
    for finding in ticked:
        on = "" if finding.on is None else f" ({plain_day(finding.on)})"
        name = f"{place_for_bench(point_list, finding.point)}{on}"
        places.setdefault(_kind(point_list, finding)[0], []).append(name)
    return tuple(
        WorkDone(heading=heading, places=tuple(dict.fromkeys(places[heading])))
        for heading, _ in (*WORK_DONE.values(), OTHER_WORK)
        if heading in places
    )


def _others(point_list: PointList, others: int, *, named: bool) -> str:
    """How many places were not named, and by which list those that are have their numbers."""
    whole = AS_A_WHOLE.format(counted(others, "place")) if others and named else ""
    edition = (
        f"Numbers are those of {edition_words(point_list)}." if point_list.edition.code else ""
    )
    return " ".join(filter(None, (whole, edition)))


def _silent(left_out: Iterable[Finding], visit: Visit, off: frozenset[str]) -> list[Finding]:
    """What was left out and has neither a reason nor a word that tells it."""
    told = (Left.PART_ORDERED, Left.DECLINED)
    return [
        each
        for each in left_out
        if not each.why and each.point not in off and visit.left.get(each.point) not in told
    ]


def _remaining(
    visit: Visit, point_list: PointList, left_out: list[Finding], off: frozenset[str]
) -> tuple[Remaining, ...]:
    """What was left for later; what waits for a part or was declined is not told a second time as
    not done, unless there is a reason."""
    left = sorted(visit.left.items(), key=lambda each: place_in_list(point_list, each[0]))

    def left_as(word: Left) -> list[str]:
        return [owners_place(point_list, point) for point, how in left if how is word]

    parts = left_as(Left.PART_ORDERED)
    parts += [part.words for part in visit.parts if not part.point]
    kinds = (
        (PARTS, parts),
        (DECLINED, left_as(Left.DECLINED)),
        (WATCH, left_as(Left.WATCH)),
    )
    return (
        *_not_done(visit, point_list, left_out, off),
        *(
            Remaining(heading=heading, note=note, places=tuple(dict.fromkeys(places)))
            for (heading, note), places in kinds
            if places
        ),
    )


def _not_done(
    visit: Visit, point_list: PointList, left_out: list[Finding], off: frozenset[str]
) -> list[Remaining]:
    """The places that were left out: for the sake of safety first, those with one reason together,
    then those without."""
    mains = any(mark.danger is Danger.ELECTRICAL for mark in visit.dangers)
    cannot = NEEDS_CURRENT if mains else NEEDS_USE
    reasons: dict[str, list[str]] = {}
    for finding in sorted(left_out, key=partial(_safety_first, point_list)):
        if why := finding.why or (cannot if finding.point in off else ""):
            reasons.setdefault(why, []).append(owners_place(point_list, finding.point))
    silent = [owners_place(point_list, each.point) for each in _silent(left_out, visit, off)]
    if len(silent) > TOLD_SINGLY:
        silent = [f"{counted(len(silent), 'place')} of the list, named under “{SINGLY}”"]
    told = [(WHY.format(why.rstrip(".")), places) for why, places in reasons.items()]
    return [
        Remaining(heading=NOT_DONE, note=note, places=tuple(dict.fromkeys(places)))
        for note, places in (*told, ("", silent))
        if places
    ]


def _safety_first(point_list: PointList, finding: Finding) -> bool:
    point = point_list.point(finding.point)
    return point is None or not point.safety
