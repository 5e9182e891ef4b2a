"""The machines that stand in the shop, in what state, and what else of owners is here: as a table
and as JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from oilchart.core.planning.standing import Standing
from oilchart.core.records.job import Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.stay_state import StayState, stay_states
from oilchart.core.records.waiting import Part
from oilchart.papers.screen import Column, Screen, day_cell, table
from oilchart.papers.stay_words import part_state_words, state_words
from oilchart.papers.tables.dangers import danger_cell, danger_values
from oilchart.papers.tables.json_text import json_text
from oilchart.papers.wording import counted

COLUMNS = (
    Column("State", wraps=True),
    Column("Machine", wraps=True),
    Column("Owner", wraps=True),
    Column("Since"),
    Column("Ready by", optional=True),
    Column("Done", right=True),
    Column("Complaint", wraps=True),
)
PART_COLUMNS = (
    Column("Part", wraps=True),
    Column("State", wraps=True),
    Column("Machine", wraps=True),
    Column("Owner", wraps=True),
    Column("Wanted"),
    Column("Where it is", wraps=True),
)
THING_COLUMNS = (Column("Still here", wraps=True), Column("Of"), Column("Owner", wraps=True))


def in_shop_text(standings: Iterable[Standing], screen: Screen) -> str:
    """The stays in the order given. What makes a machine unsafe stands first, in its state."""
    return table(COLUMNS, [_cells(each, job) for each in standings for job in _stay(each)], screen)


def _stay(standing: Standing) -> list[Job]:
    """Its stay; none for a machine that is with its owner."""
    return [] if standing.record.open_job is None else [standing.record.open_job]


def _cells(standing: Standing, job: Job) -> list[str]:
    record = standing.record
    done = standing.points_done
    state = state_words(record, job)
    late = job.ready_on is None and job.ready_by is not None
    late = late and job.ready_by is not None and job.ready_by < standing.schedule.as_of
    return [
        f"{danger_cell(record.dangers)}; {state}" if record.dangers else state,
        f"{record.number} {standing.schedule.machine.point_list.name}",
        record.owner.name,
        job.in_on.isoformat(),
        f"{day_cell(job.ready_by)}{', late' if late else ''}",
        "" if done is None else f"{done[0]}/{done[1]}",
        job.complaint,
    ]


def in_shop_json(standings: Iterable[Standing]) -> str:
    """The stays in the order given."""
    return json_text([_values(each, job) for each in standings for job in _stay(each)])


def _values(standing: Standing, job: Job) -> dict[str, Any]:
    record = standing.record
    done, of = standing.points_done or (None, None)
    question = record.question_of(job)
    return {
        "machine": record.number,
        "owner": record.owner.name,
        "phone": record.owner.phone,
        "model": standing.schedule.machine.point_list.id,
        "job": job.number,
        "complaint": job.complaint,
        "left_with": list(job.left_with),
        "since": job.in_on,
        "states": list(stay_states(record, job)),
        "question": None if question is None else question.words,
        "parts": [part_values(part) for part in record.parts if part.job == job.id],
        "ready_by": job.ready_by,
        "ready": job.ready_on,
        "points_done": done,
        "points": of,
        "photos": sum(photo.job == job.id for photo in record.photos),
        **danger_values(record.dangers),
    }


def part_values(part: Part) -> dict[str, Any]:
    """A part, and how far it is; when and how it ended, where it is wanted no more."""
    return {
        "part": part.words,
        "state": part.state,
        "wanted": part.wanted_on,
        "ordered_from": part.ordered_from,
        "ordered": part.ordered_on,
        "here": part.here_on,
        "ended": part.ended_on,
        "end": part.end,
    }


def parts_text(wanted: Iterable[tuple[MachineRecord, str, Part]], screen: Screen) -> str:
    """Parts that are wanted, each with its machine and the name of that model."""
    rows = [
        [
            part.words,
            part_state_words(part),
            f"{record.number} {model}",
            record.owner.name,
            part.wanted_on.isoformat(),
            "with its owner" if record.open_job is None else "in the shop",
        ]
        for record, model, part in wanted
    ]
    return table(PART_COLUMNS, rows, screen)


def parts_json(wanted: Iterable[tuple[MachineRecord, str, Part]]) -> str:
    """Parts that are wanted, each with its machine."""
    return json_text(
        [
            {
                "machine": record.number,
                "owner": record.owner.name,
                "phone": record.owner.phone,
                "in_the_shop": record.open_job is not None,
                "point": part.point or None,
                **part_values(part),
            }
            for record, _, part in wanted
        ]
    )


def things_text(records: Iterable[MachineRecord], screen: Screen) -> str:
    """What was left with machines that went home, and is here still."""
    rows = [
        [", ".join(job.still_here), record.number, record.owner.name]
        for record in records
        for job in record.jobs
        if job.still_here
    ]
    return table(THING_COLUMNS, rows, screen)


def in_shop_summary(standings: Sequence[Standing]) -> str:
    """How many machines stand here, and how: "3 machines in the shop: 1 ready, 2 on the bench";
    each is counted by the first of its states."""
    first = Counter(stay_states(each.record, job)[0] for each in standings for job in _stay(each))
    states = ", ".join(f"{first[state]} {state}" for state in StayState if first[state])
    return f"{counted(len(standings), 'machine')} in the shop{f': {states}' if states else ''}."
