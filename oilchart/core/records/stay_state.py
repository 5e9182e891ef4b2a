"""In what state a stay is: what the machine waits for, or how far its work is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from oilchart.core.days import add_months
from oilchart.core.records.job import Job, Stage
from oilchart.core.records.machine_record import MachineRecord

LATELY_MONTHS = 3  # after which nobody asks what was done last time; common practice, no source


class StayState(StrEnum):
    """What is true of a machine in the shop; the first that holds is the one it is counted by."""

    NOT_SAFE = "not safe"
    READY = "ready"
    WAITS_FOR_ANSWER = "waits for the owner's answer"
    WAITS_FOR_PART = "waits for a part"
    SOAKING = "soaking"
    ON_THE_BENCH = "on the bench"
    TO_LOOK_AT = "to look at"


def stay_states(record: MachineRecord, job: Job) -> tuple[StayState, ...]:
    """The states of an open stay, the most pressing first; at least one.

    What makes it unsafe is told beside the rest. A machine that is ready waits for nothing; one
    that waits is neither on the bench nor to be looked at, though it may soak meanwhile.
    """
    held = []
    if record.dangers:
        held.append(StayState.NOT_SAFE)
    if job.ready_on is not None:
        return (*held, StayState.READY)
    waits = []
    if record.question_of(job) is not None:
        waits.append(StayState.WAITS_FOR_ANSWER)
    if record.parts_of(job):
        waits.append(StayState.WAITS_FOR_PART)
    if job.stage is Stage.SOAKING:
        waits.append(StayState.SOAKING)
    if waits:
        return (*held, *waits)
    begun = job.stage is Stage.ON_THE_BENCH or was_looked_at(record, job)
    return (*held, StayState.ON_THE_BENCH if begun else StayState.TO_LOOK_AT)


def was_looked_at(record: MachineRecord, job: Job) -> bool:
    """Whether anything was done or wanted in a stay."""
    days = (*(repair.on for repair in record.repairs), *(check.on for check in record.checks))
    return (
        bool(record.services_of(job))
        or any(job.covers(day) for day in days)
        or any(part.job == job.id for part in record.parts)
        or any(question.job == job.id for question in record.questions)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierStay:
    """When a machine was in the shop last before a day, and for what.

    Args:
        complaint: in its owner's words; empty without a stay.
    """

    until: date
    complaint: str


def here_lately(record: MachineRecord, on: date) -> EarlierStay | None:
    """The latest stay or work of a machine that ended within three months before a day; None where
    there was none, or it was another owner's then.

    Args:
        on: the day it came in; a stay that began on it is not looked at.
    """
    stays = [job for job in record.jobs if job.out_on is not None and job.in_on < on]
    seen = [
        *((job.out_on or on, job.complaint) for job in stays),
        *(
            (service.last_day, "")
            for service in record.services
            if record.job_of(service) is None and service.last_day < on
        ),
    ]
    seen = [each for each in seen if record.is_present_owners(each[0])]
    if not seen:
        return None
    until, complaint = max(seen)
    if until > on or on > add_months(until, LATELY_MONTHS):
        return None
    return EarlierStay(until=until, complaint=complaint)
