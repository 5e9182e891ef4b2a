"""The days on which an owner is rung about a stay: to answer a question, to collect a machine that
is ready, to bring one back for a part that came.

How long is waited was chosen for this program; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from oilchart.core.days import OpenDays, add_days, add_months
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import CallOutcome
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.waiting import Part

READY_DAYS = (0, 3, 14)  # after the day it was ready; then monthly
THINKING_DAYS = 3  # for an owner who was rung about a question and has not answered
BRINGING_DAYS = 28  # for an owner who knows that a part is here


def stay_calls(
    record: MachineRecord, wanted: Iterable[Part], outcomes: Sequence[CallOutcome]
) -> list[tuple[CallAbout, date, date]]:
    """What the owner of a machine is to be rung about, each with the day from which, and the first
    day on which they are rung after the last call about it.

    Args:
        wanted: the parts that are wanted for it.
        outcomes: what came of all calls to its owner, in the order of their days.
    """
    job = record.open_job
    if job is None:
        here = [part.here_on for part in wanted if part.is_here and part.here_on is not None]
        if not here or record.booked is not None:
            return []
        return [_call(CallAbout.PART_HERE, max(here), record, outcomes)]
    if job.ready_on is not None:
        return [_call(CallAbout.READY, job.ready_on, record, outcomes)]
    question = record.question_of(job)
    if question is None:
        return []
    return [_call(CallAbout.QUESTION, question.asked_on, record, outcomes)]


def rung_on(day: date, since: date, *, today: date, open_days: OpenDays) -> date:
    """The day of a call that is to be made on a day or after it: on an open one, but at once on the
    very day from which they are rung."""
    if day == today == since:
        return day
    return open_days.first_open(max(day, today))


def _call(
    about: CallAbout, since: date, record: MachineRecord, outcomes: Sequence[CallOutcome]
) -> tuple[CallAbout, date, date]:
    last = max(
        (
            each.on
            for each in outcomes
            if each.about is about and each.is_about(record.id) and each.on >= since
        ),
        default=None,
    )
    return (
        about,
        since,
        next(day for day in _days(about, since, last) if last is None or day > last),
    )


def _days(about: CallAbout, since: date, last: date | None) -> Iterator[date]:
    """The days on which they are rung, as long as nothing comes of it."""
    if about is not CallAbout.READY:
        wait = THINKING_DAYS if about is CallAbout.QUESTION else BRINGING_DAYS
        yield since
        yield add_days(since if last is None else last, wait)
        return
    for days in READY_DAYS:
        yield add_days(since, days)
    months = 1
    while (day := add_months(add_days(since, READY_DAYS[-1]), months)) < date.max:
        yield day
        months += 1
    yield date.max
