"""What was found at a machine in its visit, and what was put right, in the owner's language."""

from __future__ import annotations

from dataclasses import dataclass

from oilchart.core.point_lists.point_list import PointList, Work
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.job import Danger, ElectricalCheck, Repair, UnsafeMark
from oilchart.core.records.visit import Visit
from oilchart.papers.record.places import owners_place, place_in_list
from oilchart.papers.wording import TESTED_ELSEWHERE, capital, plain_day

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
NOT_SAFE = {
    Danger.ELECTRICAL: "Not safe to plug in",
    Danger.MECHANICAL: "Not safe to use",
}
SAFE_AGAIN = {
    Danger.ELECTRICAL: "Safe to plug in again",
    Danger.MECHANICAL: "Safe to use again",
}
STUCK = "It was stuck fast."
FREED = "It was stuck and has been freed."
NOTHING_FOUND = "Nothing out of the ordinary."
NOTHING_AT_PLACES = "Nothing out of the ordinary at the places we worked on."
NOTHING_BESIDES_COMPLAINT = "Nothing besides what you told us."
NOTHING_BESIDES = "Nothing besides what stands below."
CHECK = "Check of the mains side"
CHECK_BEFORE = "Check of the mains side before it was first plugged in"
MAINS_TEST = "Mains test"
NO_MAINS_TEST = "not made this time"


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One thing that is told: its heading, which may be empty, and its words, which may be."""

    heading: str
    words: str


def found_words(visit: Visit, point_list: PointList) -> tuple[Told, ...]:
    """What was found other than good: what could hurt someone first, then the places, those found
    alike together."""
    lines = [
        Told(heading=NOT_SAFE[mark.danger], words=f"{mark.why}, found on {plain_day(mark.on)}")
        for mark in sorted(visit.marks, key=_mains_first)
    ]
    lines += [
        Told(heading=CHECK_BEFORE if check.before else CHECK, words=check_words(check))
        for check in visit.checks
        if check != visit.mains_test
    ]
    if visit.freed and not any(Found.SEIZED in each.found for each in visit.findings):
        lines.append(Told(heading="", words=STUCK))
    alike: dict[str, list[str]] = {}
    for finding in sorted(
        visit.findings, key=lambda finding: place_in_list(point_list, finding.point)
    ):
        if how := "; ".join(_how(point_list, finding)):
            alike.setdefault(capital(how), []).append(owners_place(point_list, finding.point))
    lines += [
        Told(heading=how, words="; ".join(dict.fromkeys(places))) for how, places in alike.items()
    ]
    return tuple(lines)


def nothing_found(visit: Visit) -> str:
    """What is said where nothing was found; empty where nobody was asked to look."""
    if not visit.services:
        return ""
    if (
        visit.repairs
        or any(left is not Left.GOOD for left in visit.left.values())
        or any(finding.why for finding in visit.findings)
    ):
        return NOTHING_BESIDES
    if visit.complaint:
        return NOTHING_BESIDES_COMPLAINT
    whole = any(service.whole for service in visit.services)
    return NOTHING_FOUND if whole else NOTHING_AT_PLACES


def put_right_words(visit: Visit) -> tuple[Told, ...]:
    """Repairs with what was fitted, and what made the machine unsafe and does so no more."""
    lines = [Told(heading="", words=FREED)] if visit.freed else []
    lines += [_repaired(repair) for repair in visit.repairs]
    lines += [_lifted(visit, mark) for mark in sorted(visit.lifted, key=_mains_first)]
    return tuple(lines)


def mains_test_words(visit: Visit, point_list: PointList) -> Told | None:
    """The mains test as its result, or that there was none; None of a machine without a plug."""
    if not point_list.has_plug:
        return None
    test = visit.mains_test
    if test is not None:
        return Told(heading=MAINS_TEST, words=check_words(test))
    if not point_list.tested_here:
        return Told(heading="", words=TESTED_ELSEWHERE)
    why = next(
        (
            finding.why
            for finding in visit.findings
            if finding.why and is_proof(point_list, finding.point)
        ),
        "",
    )
    return Told(heading=MAINS_TEST, words=f"{NO_MAINS_TEST}{f': {why}' if why else ''}")


def check_words(check: ElectricalCheck) -> str:
    """Passed, R. Amsel, 2.1 megohm."""
    result = "passed" if check.passed else "not passed"
    return ", ".join(part for part in (result, check.by, check.reading) if part)


def is_proof(point_list: PointList, point_id: str) -> bool:
    """Whether a point is done by a named check alone."""
    point = point_list.point(point_id)
    return point is not None and point.proof is not None


def was_done(point_list: PointList, finding: Finding) -> bool:
    """Whether work was done at a point; one that is only looked at and was noted "not checked" was
    not."""
    point = point_list.point(finding.point)
    only_looked = point is not None and point.work is Work.INSPECT
    return finding.done and not (only_looked and Found.NOT_CHECKED in finding.found)


def _how(point_list: PointList, finding: Finding) -> list[str]:
    """What is told of how a point was found; that nobody looked matters only where work
    followed."""
    silent = Found.NOT_CHECKED if not was_done(point_list, finding) else None
    return [
        FOUND_TOLD[found] for found in finding.found if found in FOUND_TOLD and found is not silent
    ]


def _mains_first(mark: UnsafeMark) -> int:
    return list(Danger).index(mark.danger)


def _repaired(repair: Repair) -> Told:
    fitted = f"part: {repair.part}" if repair.part else ""
    by = ", ".join(part for part in (repair.by, plain_day(repair.on)) if part)
    return Told(heading=capital(repair.words), words="; ".join(filter(None, (fitted, by))))


def _lifted(visit: Visit, mark: UnsafeMark) -> Told:
    """That a danger is no more: what was put right, where no repair of the visit tells it, by whom,
    and which check was passed."""
    told = {part for repair in visit.repairs for part in repair.words.split("; ")}
    put_right = "; ".join(part for part in mark.put_right.split("; ") if part not in told)
    check = next(
        (
            check
            for check in reversed(visit.checks)
            if mark.danger is Danger.ELECTRICAL
            and check.proves
            and (check.on, check.by) == (mark.lifted_on, mark.lifted_by)
        ),
        None,
    )
    proof = mark.lifted_by if check is None else f"check {check_words(check)}"
    on = "" if mark.lifted_on is None else plain_day(mark.lifted_on)
    words = "; ".join(filter(None, (put_right, ", ".join(filter(None, (proof, on))))))
    return Told(heading=SAFE_AGAIN[mark.danger], words=words)
