"""In what state a stay is, when a machine was here lately, and which parts are wanted for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from oilchart.core.records.findings import Finding, Left
from oilchart.core.records.handing_on import HandingOn, for_present_owner
from oilchart.core.records.job import Danger, Job, Repair, Stage, UnsafeMark
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.records.stay_state import StayState, here_lately, stay_states
from oilchart.core.records.waiting import Part, PartEnd, PartState, Question
from oilchart.core.records.wanted_parts import wanted_parts
from tests.builders.make import TODAY, a_chart, a_point
from tests.builders.records import a_record, an_owner

CAME = date(2026, 11, 20)
JOB = Job(id=1, in_on=CAME, complaint="makes loops")
BELT = Part(id=1, words="drive belt", wanted_on=CAME, job=1)
ASKED = Question(id=1, job=1, asked_on=CAME, words="new lead?")
UNSAFE = UnsafeMark(id=1, danger=Danger.ELECTRICAL, on=CAME, why="lead crumbles")
REPAIR = Repair(id=1, on=CAME, words="belt refitted")
CHART = a_chart(a_point("belt-inspect", where="Drive belt"))
S = StayState


@pytest.mark.parametrize(
    ("job", "known", "states"),
    [
        # nothing was told: it is to be looked at
        ({}, {}, [S.TO_LOOK_AT]),
        # said, or seen by what was recorded
        ({"stage": Stage.ON_THE_BENCH}, {}, [S.ON_THE_BENCH]),
        ({}, {"repairs": (REPAIR,)}, [S.ON_THE_BENCH]),
        ({}, {"parts": (replace(BELT, here_on=TODAY),)}, [S.ON_THE_BENCH]),
        ({}, {"questions": (replace(ASKED, answered_on=TODAY),)}, [S.ON_THE_BENCH]),
        # of before its stay, or of another: says nothing
        ({}, {"repairs": (replace(REPAIR, on=date(2026, 11, 19)),)}, [S.TO_LOOK_AT]),
        ({}, {"parts": (replace(BELT, job=7),), "questions": (replace(ASKED, job=7),)},
         [S.TO_LOOK_AT]),
        # what it waits for, all of it
        ({}, {"parts": (BELT,)}, [S.WAITS_FOR_PART]),
        ({"stage": Stage.SOAKING}, {}, [S.SOAKING]),
        (
            {"stage": Stage.SOAKING},
            {"parts": (BELT,), "questions": (ASKED,)},
            [S.WAITS_FOR_ANSWER, S.WAITS_FOR_PART, S.SOAKING],
        ),
        ({}, {"parts": (replace(BELT, ended_on=TODAY, end=PartEnd.NOT_WANTED),)},
         [S.ON_THE_BENCH]),
        # ready: it waits for nothing
        ({"ready_on": TODAY}, {"parts": (BELT,), "questions": (ASKED,)}, [S.READY]),
        # not safe, first of all and beside the rest
        ({}, {"unsafe_marks": (UNSAFE,)}, [S.NOT_SAFE, S.TO_LOOK_AT]),
        ({"ready_on": TODAY}, {"unsafe_marks": (UNSAFE,)}, [S.NOT_SAFE, S.READY]),
    ],
)  # fmt: skip
def test_the_state_of_a_stay(
    job: dict[str, Any], known: dict[str, Any], states: list[StayState]
) -> None:
    stay = replace(JOB, **job)
    assert list(stay_states(a_record(jobs=(stay,), **known), stay)) == states


@pytest.mark.parametrize(
    ("until", "lately"),
    [
        (date(2026, 8, 25), True),  # three months before 25 November
        (date(2026, 8, 24), False),
        (TODAY, True),  # it went and came on one day
        (None, False),
    ],
)
def test_a_machine_was_here_lately_within_three_months(until: date | None, lately: bool) -> None:
    before = () if until is None else (replace(JOB, in_on=date(2026, 8, 20), out_on=until),)
    now = Job(id=2, in_on=TODAY, complaint="again")
    earlier = here_lately(a_record(jobs=(*before, now)), TODAY)
    assert (earlier is not None) is lately
    if earlier is not None:
        assert (earlier.until, earlier.complaint) == (until, "makes loops")


def test_a_service_without_a_stay_was_lately_too_and_what_was_an_earlier_owners_is_not() -> None:
    service = ServiceRecord(id=1, on=date(2026, 11, 2), findings=())
    record = a_record(services=(service,))
    earlier = here_lately(record, TODAY)
    assert earlier is not None and (earlier.until, earlier.complaint) == (service.on, "")
    handing = HandingOn(on=date(2026, 11, 10), earlier=(an_owner(2, "Ole Late"),))
    assert here_lately(for_present_owner(record, handing), TODAY) is None


@pytest.mark.parametrize(
    ("changes", "state"),
    [
        ({}, PartState.TO_ORDER),
        ({"ordered_on": CAME, "ordered_from": "Ambleworth Parts"}, PartState.ORDERED),
        ({"here_on": TODAY}, PartState.HERE),
    ],
)
def test_how_far_a_part_is(changes: dict[str, Any], state: PartState) -> None:
    part = replace(BELT, **changes)
    assert part.state is state
    assert (part.is_awaited, part.is_here) == (state is not PartState.HERE, state is PartState.HERE)


def left(word: Left, on: date, service_id: int = 1) -> ServiceRecord:
    finding = Finding(point="belt-inspect", left=word)
    return ServiceRecord(id=service_id, on=on, findings=(finding,))


def test_a_point_left_waiting_for_a_part_wants_one_until_it_is_left_otherwise() -> None:
    ordered = left(Left.PART_ORDERED, CAME)
    [part] = wanted_parts(a_record(services=(ordered,)), CHART)
    assert (part.id, part.words, part.point) == (0, "Drive belt", "belt-inspect")
    assert (part.state, part.wanted_on) == (PartState.ORDERED, CAME)
    fitted = left(Left.GOOD, TODAY, 2)
    assert wanted_parts(a_record(services=(ordered, fitted)), CHART) == ()
    # once it is in the book it is told once, and ends with its point, too
    kept = replace(part, id=4, here_on=TODAY)
    assert wanted_parts(a_record(services=(ordered,), parts=(kept,)), CHART) == (kept,)
    assert wanted_parts(a_record(services=(ordered, fitted), parts=(kept,)), CHART) == ()
    ended = replace(kept, ended_on=TODAY, end=PartEnd.FITTED)
    assert wanted_parts(a_record(services=(ordered,), parts=(ended,)), CHART) == ()


def test_an_earlier_owners_answers_are_left_out_and_their_name_of_what_was_ordered() -> None:
    ole = an_owner(2, "Ole Late")
    record = a_record(
        jobs=(replace(JOB, out_on=CAME),),
        parts=(replace(BELT, words="belt as Ole had it"),),
        questions=(ASKED,),
    )
    after = for_present_owner(record, HandingOn(on=TODAY, earlier=(ole,)))
    assert after.questions == ()
    assert [part.words for part in after.parts] == ["belt as an earlier owner had it"]
