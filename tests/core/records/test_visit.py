"""What belongs to a machine's latest visit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.job import Danger, ElectricalCheck, Job, Repair, UnsafeMark
from oilchart.core.records.note import Note
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.records.visit import Visit, latest_visit
from tests.builders.present import the
from tests.builders.records import a_record

CAME = date(2026, 11, 2)
STAY = Job(id=7, in_on=CAME, complaint=" knocks ", out_on=CAME + timedelta(days=8))
FITTED = Repair(id=1, on=CAME, words="belt fitted", left=(("belt", Left.GOOD),))
PASSED = ElectricalCheck(on=CAME, by="R. Amsel", passed=True)
LEAD = UnsafeMark(id=1, danger=Danger.ELECTRICAL, on=CAME, why="the lead crumbles")


def service(after: int, *findings: Finding, job: int | None = None) -> ServiceRecord:
    """A service so many days after the machine came."""
    return ServiceRecord(id=after, on=day(after), findings=findings, job=job)


def day(after: int) -> date:
    return CAME + timedelta(days=after)


def visit_of(**told: Any) -> Visit:
    return the(latest_visit(a_record(**told)), "visit")


def test_a_machine_that_was_never_there_has_no_visit() -> None:
    assert latest_visit(a_record(unsafe_marks=(LEAD,), checks=(PASSED,))) is None


def test_the_latest_visit_is_a_stay_or_a_later_day_of_work_without_one() -> None:
    before, last_day, after = service(-9), service(8), service(9)
    stay = visit_of(jobs=(STAY,), services=(before, last_day))
    assert (stay.first, stay.last, stay.services) == (CAME, STAY.out_on, (last_day,))
    assert stay.complaint == "knocks"
    later = visit_of(jobs=(STAY,), services=(before, last_day, after))
    assert (later.first, later.last, later.services, later.job) == (day(9), day(9), (after,), None)
    mended = visit_of(jobs=(STAY,), services=(after,), repairs=(replace(FITTED, on=day(20)),))
    assert (mended.first, mended.services, len(mended.repairs)) == (day(20), (), 1)


def test_all_that_was_recorded_on_the_days_of_a_stay_is_of_it_and_nothing_else() -> None:
    inside, outside = (CAME, day(8)), (day(-1), day(9))
    both = sorted((*inside, *outside))
    visit = visit_of(
        jobs=(STAY,),
        repairs=tuple(replace(FITTED, on=on) for on in (*inside, day(-1))),
        checks=tuple(replace(PASSED, on=on) for on in both),
        notes=tuple(
            Note(on=on, words="x", for_owner=told) for on in both for told in (True, False)
        ),
        services=(service(9, job=7),),
    )
    for each in (visit.repairs, visit.checks, visit.notes):
        assert tuple(one.on for one in each) == inside
    assert all(note.for_owner for note in visit.notes)
    # what is written as of the stay is of it, whatever its day
    assert visit.services == (service(9, job=7),)


def test_what_was_found_at_several_services_of_a_stay_adds_up() -> None:
    first = service(
        0, Finding(point="belt", found=(Found.WORN,), left=Left.PART_ORDERED), Finding(point="rod")
    )
    second = service(5, Finding(point="rod", found=(Found.DRY,)), Finding(point="lamp"))
    visit = visit_of(jobs=(STAY,), services=(first, second))
    assert [(each.point, each.found, each.on) for each in visit.findings] == [
        ("belt", (Found.WORN,), None),
        ("lamp", (), day(5)),
        ("rod", (Found.DRY,), None),
    ]
    assert visit.left == {"belt": Left.PART_ORDERED}
    fitted = visit_of(jobs=(STAY,), services=(first, second), repairs=(FITTED,))
    assert fitted.left == {"belt": Left.GOOD}


def test_a_check_older_than_the_service_or_before_the_first_plug_in_is_no_mains_test() -> None:
    early, late = replace(PASSED, on=day(1)), replace(PASSED, on=day(3))
    told: dict[str, Any] = {"jobs": (STAY,), "services": (service(2),)}
    assert visit_of(**told, checks=(early,)).mains_test is None
    assert visit_of(**told, checks=(early, replace(late, before=True))).mains_test is None
    failed = replace(late, passed=False)
    assert visit_of(**told, checks=(early, late, failed)).mains_test == failed
    # where nothing was served, any of the stay is
    assert visit_of(jobs=(STAY,), checks=(early,)).mains_test == early


def test_a_danger_is_of_every_visit_until_it_is_put_right_and_of_none_before_it_was_found() -> None:
    before = replace(LEAD, on=day(-30), lifted_on=day(-1))
    inside = replace(LEAD, on=day(-3), lifted_on=day(8))
    later = replace(LEAD, lifted_on=day(9))
    after = replace(LEAD, on=day(9))
    visit = visit_of(jobs=(STAY,), unsafe_marks=(before, inside, later, after, LEAD))
    assert visit.marks == (inside, later, LEAD)
    assert visit.lifted == (inside,)
    assert visit.dangers == (later, LEAD)
    still_here = replace(STAY, out_on=None)
    assert visit_of(jobs=(still_here,), unsafe_marks=(after,)).dangers == (after,)
