"""What machines wait for: parts, from the wish to the day they are fitted, and owners' answers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.records.job import Job, Stage
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.waiting import Part, PartEnd, Question
from oilchart.core.records.wanted_parts import wanted_parts
from oilchart.errors import OilchartError, UnknownName, WrongValue, shortened
from oilchart.shop.bench.stay import changed_stay, not_before, stay_of
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named
from oilchart.sources.book.file.opening import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTold:
    """What is told of a part: its name, and where it was ordered on the day it is told of.

    Args:
        ordered_from: None while it is to be ordered.
    """

    words: str
    ordered_from: str | None = None


def want_part(
    book: Book, shop: Shop, machine: str, told: PartTold, on: date
) -> tuple[MachineRecord, Part]:
    """Note a part that a machine in the shop waits for, or that one that is wanted was ordered. One
    that is here and is told again has to come once more.

    Raises:
        UnknownName; WrongValue: the day is after today; OilchartError: the part is new, and the
            machine is not in the shop.
    """
    shop.refuse_day_to_come(on, "the day it was wanted")
    record = named(book, machine)
    known = next((each for each in _wanted(shop, record) if _is_called(each, told.words)), None)
    part = known or Part(id=0, words=told.words, wanted_on=on, job=stay_of(record).id)
    if told.ordered_from is not None:
        part = replace(part, ordered_from=told.ordered_from, ordered_on=on, here_on=None)
    elif part.here_on is not None:
        part = replace(part, ordered_from="", ordered_on=None, here_on=None)
    job = record.open_job
    if job is not None and part.job == job.id:
        record = changed_stay(book, record, replace(job, ready_on=None))
    return _with_part(book, record, part)


def want_no_more(
    book: Book, shop: Shop, machine: str, part: str, on: date
) -> tuple[MachineRecord, Part]:
    """Note that a part is not wanted any more.

    Raises:
        UnknownName: no such part; WrongValue: the day is after today.
    """
    shop.refuse_day_to_come(on, "the day it was given up")
    record = named(book, machine)
    found = _part_called(record, _wanted(shop, record), part)
    return _with_part(book, record, replace(found, ended_on=on, end=PartEnd.NOT_WANTED))


def wait_no_more(book: Book, shop: Shop, machine: str, on: date) -> MachineRecord:
    """Note that a machine in the shop waits for nothing any more: no part that is not here, no
    answer, and it does not soak.

    Raises:
        UnknownName; OilchartError: it is not in the shop; WrongValue: the day is after today, or
            before it came.
    """
    shop.refuse_day_to_come(on, "the day")
    record = named(book, machine)
    job = stay_of(record)
    not_before(job, on)
    for part in record.parts_of(job):
        record, _ = _with_part(book, record, replace(part, ended_on=on, end=PartEnd.NOT_WANTED))
    question = record.question_of(job)
    if question is not None:
        record = _with_question(book, record, replace(question, answered_on=on))
    return changed_stay(book, record, replace(job, ready_on=None, stage=Stage.ON_THE_BENCH))


def part_arrived(
    book: Book, shop: Shop, machine: str, part: str | None, on: date
) -> tuple[MachineRecord, Part]:
    """Note that a part is here; the owner of a machine that went home without it is to be rung.

    Args:
        part: its name, or a part of it; the only one there is if left out.

    Raises:
        UnknownName: no such part; OilchartError: none is awaited, or there are several; WrongValue:
            the day is after today, or before it was wanted.
    """
    shop.refuse_day_to_come(on, "the day it came")
    record = named(book, machine)
    awaited = [each for each in _wanted(shop, record) if each.is_awaited]
    if not awaited:
        raise OilchartError(f"{record.number}: waits for no part; see: oilchart parts")
    if part is None and len(awaited) > 1:
        names = ", ".join(each.words for each in awaited)
        raise OilchartError(f"{record.number}: waits for {names}; say which of them came")
    found = awaited[0] if part is None else _part_called(record, awaited, part)
    if on < found.wanted_on:
        raise WrongValue(
            "on", on, f"{found.words} was wanted on {found.wanted_on}; give a day from then on"
        )
    return _with_part(book, record, replace(found, here_on=on))


def ask_owner(book: Book, shop: Shop, machine: str, words: str, on: date) -> MachineRecord:
    """Note what the owner of a machine in the shop is to be asked; they are rung.

    Raises:
        UnknownName; OilchartError: it is not in the shop, or they were asked and did not answer
            yet; WrongValue: the day is after today, or before it came.
    """
    shop.refuse_day_to_come(on, "the day of the question")
    record = named(book, machine)
    job = stay_of(record)
    not_before(job, on)
    asked = record.question_of(job)
    if asked is not None:
        raise OilchartError(
            f"{record.number}: {record.owner.name} was asked “{asked.words}” on {asked.asked_on}; "
            "nothing was changed; note the answer first"
        )
    question = Question(id=0, job=job.id, asked_on=on, words=words)
    record = changed_stay(book, record, replace(job, ready_on=None))
    return _with_question(book, record, question)


def answered(
    book: Book, shop: Shop, machine: str, answer: str, by: str, on: date
) -> tuple[MachineRecord, Question]:
    """Keep what an owner answered.

    Args:
        by: who said it; the owner where it is empty.

    Raises:
        UnknownName; OilchartError: it is not in the shop, or nothing was asked; WrongValue: the day
            is after today, or before the question.
    """
    shop.refuse_day_to_come(on, "the day of the answer")
    record = named(book, machine)
    asked = record.question_of(stay_of(record))
    if asked is None:
        raise OilchartError(f"{record.number}: {record.owner.name} was asked nothing")
    if on < asked.asked_on:
        raise WrongValue("on", on, f"they were asked on {asked.asked_on}; give a day from then on")
    asked = replace(asked, answered_on=on, answer=answer, answered_by=by or record.owner.name)
    return _with_question(book, record, asked), asked


def put_on_bench(book: Book, shop: Shop, machine: str, stage: Stage) -> tuple[MachineRecord, Job]:
    """Note that a machine is on the bench, or soaks; so it is not ready any more.

    Raises:
        UnknownName; OilchartError: it is not in the shop.
    """
    record = named(book, machine)
    job = replace(stay_of(record), stage=stage, ready_on=None)
    return changed_stay(book, record, job), job


def fitted(
    book: Book, shop: Shop, record: MachineRecord, part: str, on: date
) -> tuple[MachineRecord, Part | None]:
    """A machine at which a part was fitted: that one is wanted no more; with it, where one is
    called so. What a point was left waiting for is wanted until it is told how that point is left
    now."""
    wanted = [each for each in _wanted(shop, record) if not each.point]
    found = [each for each in wanted if _is_called(each, part)]
    found = found or [each for each in wanted if _is_like(each, part)]
    if len(found) != 1:
        return record, None
    return _with_part(book, record, replace(found[0], ended_on=on, end=PartEnd.FITTED))


def with_here_parts_fitted(book: Book, record: MachineRecord, job: Job, on: date) -> MachineRecord:
    """A machine that is ready: what had come for it in its stay was fitted."""
    for part in record.parts:
        if part.job == job.id and part.is_here:
            record, _ = _with_part(book, record, replace(part, ended_on=on, end=PartEnd.FITTED))
    return record


def _wanted(shop: Shop, record: MachineRecord) -> tuple[Part, ...]:
    return wanted_parts(record, shop.list_of(record))


def _is_called(part: Part, name: str) -> bool:
    return part.words.casefold() == name.strip().casefold()


def _is_like(part: Part, name: str) -> bool:
    one, other = part.words.casefold(), name.strip().casefold()
    return bool(other) and (other in one or one in other)


def _part_called(record: MachineRecord, parts: tuple[Part, ...] | list[Part], name: str) -> Part:
    """The part of a name, or of a part of it.

    Raises:
        UnknownName: none, or more than one, is called so.
    """
    found = [each for each in parts if _is_called(each, name)]
    found = found or [each for each in parts if _is_like(each, name)]
    if len(found) == 1:
        return found[0]
    names = ", ".join(each.words for each in parts) or "none"
    fits = f"{len(found)} parts" if found else "no part"
    raise UnknownName(
        f"{record.number}: {shortened(name)} is {fits} that it waits for; there are: {names}"
    )


def _with_part(book: Book, record: MachineRecord, part: Part) -> tuple[MachineRecord, Part]:
    """A machine with a part as it is now, in the book, too."""
    if part.id == 0:
        part = replace(part, id=book.parts.add(record.id, part))
        return replace(record, parts=(*record.parts, part)), part
    if part not in record.parts:
        book.parts.edit(part)
    parts = tuple(part if each.id == part.id else each for each in record.parts)
    return replace(record, parts=parts), part


def _with_question(book: Book, record: MachineRecord, question: Question) -> MachineRecord:
    """A machine with a question as it is now, in the book, too."""
    if question.id == 0:
        question = replace(question, id=book.questions.add(record.id, question))
        return replace(record, questions=(*record.questions, question))
    book.questions.edit(question)
    questions = tuple(question if each.id == question.id else each for each in record.questions)
    return replace(record, questions=questions)
