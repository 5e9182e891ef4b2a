"""The parts wanted for machines and the questions to their owners, in the shop book."""

from __future__ import annotations

from collections import defaultdict

from sqlalchemy import Connection, select

from oilchart.core.records.waiting import Part, PartEnd, Question
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading


class PartTable:
    """The parts within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, part: Part) -> int:
        """Keep a part; its id is given back, the one it has says nothing."""
        return self._rows.insert(
            schema.part,
            machine_id=machine_id,
            job_id=part.job,
            point_id=part.point,
            words=part.words,
            wanted_on=part.wanted_on,
            ordered_from=part.ordered_from,
            ordered_on=part.ordered_on,
            here_on=part.here_on,
            ended_on=part.ended_on,
            ended_by=part.end,
        )

    def edit(self, part: Part) -> None:
        """Put how far a part is into the book; not its words, which an earlier owner's name may be
        left out of here."""
        self._rows.update(
            schema.part,
            part.id,
            ordered_from=part.ordered_from,
            ordered_on=part.ordered_on,
            here_on=part.here_on,
            ended_on=part.ended_on,
            ended_by=part.end,
        )

    def by_machine(self) -> dict[int, list[Part]]:
        """All parts by the machine's id, in the order in which they were wanted."""
        t = schema.part.c
        query = select(
            t.machine_id,
            t.id,
            t.job_id,
            t.point_id,
            t.words,
            t.wanted_on,
            t.ordered_from,
            t.ordered_on,
            t.here_on,
            t.ended_on,
            t.ended_by,
        ).order_by(t.machine_id, t.wanted_on, t.id)
        found: dict[int, list[Part]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a part"):
            with reading("what became of a part"):
                end = None if row.ended_by is None else PartEnd(row.ended_by)
            found[row.machine_id].append(
                Part(
                    id=row.id,
                    job=row.job_id,
                    point=row.point_id,
                    words=row.words,
                    wanted_on=row.wanted_on,
                    ordered_from=row.ordered_from,
                    ordered_on=row.ordered_on,
                    here_on=row.here_on,
                    ended_on=row.ended_on,
                    end=end,
                )
            )
        return found


class QuestionTable:
    """The questions within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, question: Question) -> int:
        """Keep a question; its id is given back, the one it has says nothing."""
        return self._rows.insert(
            schema.question,
            machine_id=machine_id,
            job_id=question.job,
            asked_on=question.asked_on,
            words=question.words,
            answered_on=question.answered_on,
            answer=question.answer,
            answered_by=question.answered_by,
        )

    def edit(self, question: Question) -> None:
        """Put the answer to a question into the book."""
        self._rows.update(
            schema.question,
            question.id,
            answered_on=question.answered_on,
            answer=question.answer,
            answered_by=question.answered_by,
        )

    def by_machine(self) -> dict[int, list[Question]]:
        """All questions by the machine's id, in the order in which they were asked; none of a stay
        that was an earlier owner's on the day it was handed on."""
        t = schema.question.c
        query = (
            select(
                t.machine_id,
                t.id,
                t.job_id,
                t.asked_on,
                t.words,
                t.answered_on,
                t.answer,
                t.answered_by,
            )
            .join(schema.job, schema.job.c.id == t.job_id)
            .where(schema.job.c.earlier_owner == 0)
            .order_by(t.machine_id, t.asked_on, t.id)
        )
        found: dict[int, list[Question]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a question"):
            found[row.machine_id].append(
                Question(
                    id=row.id,
                    job=row.job_id,
                    asked_on=row.asked_on,
                    words=row.words,
                    answered_on=row.answered_on,
                    answer=row.answer,
                    answered_by=row.answered_by,
                )
            )
        return found
