"""On which days an owner is rung about a stay."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.planning.stay_calls import rung_on, stay_calls
from oilchart.core.records.job import Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.waiting import Part, PartEnd, Question
from tests.builders.records import a_record, booked_for

READY = date(2026, 12, 31)
JOB = Job(id=1, in_on=date(2026, 12, 1), complaint="makes loops")


def told(on: date, about: CallAbout, machines: tuple[int, ...] = ()) -> CallOutcome:
    return CallOutcome(on=on, outcome=Outcome.REACHED, about=about, machines=machines)


def ready() -> MachineRecord:
    return a_record(jobs=(replace(JOB, ready_on=READY),))


@pytest.mark.parametrize(
    ("last", "then"),
    [
        (None, READY),
        (READY, date(2027, 1, 3)),
        (date(2027, 1, 2), date(2027, 1, 3)),
        (date(2027, 1, 3), date(2027, 1, 14)),
        (date(2027, 1, 13), date(2027, 1, 14)),
        # from then on monthly
        (date(2027, 1, 14), date(2027, 2, 14)),
        (date(2027, 2, 20), date(2027, 3, 14)),
        (date(2028, 1, 14), date(2028, 2, 14)),
    ],
)
def test_a_ready_machine_is_rung_that_day_after_3_after_14_days_then_monthly(
    last: date | None, then: date
) -> None:
    outcomes = [] if last is None else [told(last, CallAbout.READY)]
    assert stay_calls(ready(), (), outcomes) == [(CallAbout.READY, READY, then)]


def test_only_calls_about_that_stay_and_machine_move_the_next_one() -> None:
    others = [
        told(READY, CallAbout.SERVICE),
        told(date(2026, 12, 20), CallAbout.READY),  # it was ready once, and was taken up again
        told(READY, CallAbout.READY, (7,)),
    ]
    assert stay_calls(ready(), (), others) == [(CallAbout.READY, READY, READY)]


def test_a_question_is_asked_at_once_and_again_after_three_days_until_it_is_answered() -> None:
    asked = Question(id=1, job=1, asked_on=date(2026, 12, 2), words="new lead?")
    record = a_record(jobs=(JOB,), questions=(asked,))
    assert stay_calls(record, (), []) == [(CallAbout.QUESTION, asked.asked_on, asked.asked_on)]
    talk = told(date(2026, 12, 4), CallAbout.QUESTION)
    assert stay_calls(record, (), [talk])[0][2] == date(2026, 12, 7)
    answered = replace(asked, answered_on=date(2026, 12, 5), answer="yes", answered_by="Ida")
    assert stay_calls(replace(record, questions=(answered,)), (), [talk]) == []


HERE = Part(id=1, words="belt", wanted_on=date(2026, 12, 1), here_on=date(2026, 12, 9))


@pytest.mark.parametrize(
    ("part", "known", "rung"),
    [
        (HERE, {}, True),
        (replace(HERE, here_on=None), {}, False),
        (replace(HERE, ended_on=READY, end=PartEnd.FITTED), {}, False),
        # it comes anyway, or is here already
        (HERE, {"bookings": booked_for(READY)}, False),
        (HERE, {"jobs": (JOB,)}, False),
    ],
)
def test_who_went_home_without_a_part_is_rung_when_it_is_here(
    part: Part, known: dict[str, Any], rung: bool
) -> None:
    about = [call[0] for call in stay_calls(a_record(**known), (part,), [])]
    assert about == ([CallAbout.PART_HERE] if rung else [])


@pytest.mark.parametrize(
    ("day", "today", "on"),
    [
        # on the day itself, though the bench is shut: 5 December 2026 is a Saturday
        (date(2026, 12, 5), date(2026, 12, 5), date(2026, 12, 5)),
        (date(2026, 12, 5), date(2026, 12, 6), date(2026, 12, 7)),
        (date(2026, 12, 8), date(2026, 12, 6), date(2026, 12, 8)),
        (date(2026, 12, 12), date(2026, 12, 6), date(2026, 12, 14)),
    ],
)
def test_a_call_of_a_stay_is_made_on_an_open_day_but_at_once_on_its_first(
    day: date, today: date, on: date
) -> None:
    assert rung_on(day, date(2026, 12, 5), today=today, open_days=OpenDays()) == on
