"""What a machine in the shop waits for, and how far it is, in words."""

from __future__ import annotations

from datetime import date

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.records.job import Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.stay_state import EarlierStay, StayState, here_lately, stay_states
from oilchart.core.records.waiting import Part, PartState, Question
from oilchart.papers.wording import counted, plain_day, short_day


def state_words(record: MachineRecord, job: Job) -> str:
    """All that is true of an open stay, in full, but what makes the machine unsafe: that is told
    before it."""
    told = []
    for state in stay_states(record, job):
        if state is StayState.READY and job.ready_on is not None:
            told.append(f"ready since {short_day(job.ready_on)}")
        elif state is StayState.WAITS_FOR_ANSWER:
            question = record.question_of(job)
            told.append(state if question is None else f"{state}: {question_words(question)}")
        elif state is StayState.WAITS_FOR_PART:
            told.append(f"{state}: {'; '.join(part_words(each) for each in record.parts_of(job))}")
        elif state is not StayState.NOT_SAFE:
            told.append(state)
    here = [part.words for part in record.parts if part.job == job.id and part.is_here]
    if here:
        told.append(f"here: {', '.join(here)}")
    return "; ".join(told)


def short_state_words(record: MachineRecord, job: Job) -> str:
    """The same in few words: waits for a part."""
    return "; ".join(state for state in stay_states(record, job) if state is not StayState.NOT_SAFE)


def part_words(part: Part) -> str:
    """A part and how far it is: drive belt, ordered from Ambleworth Parts on 23 Nov 2026."""
    return f"{part.words}, {part_state_words(part)}"


def part_state_words(part: Part) -> str:
    """How far a part is: ordered from Ambleworth Parts on 23 Nov 2026."""
    if part.here_on is not None:
        return f"{PartState.HERE} since {short_day(part.here_on)}"
    if part.ordered_on is None:
        return PartState.TO_ORDER
    whence = f" from {part.ordered_from}" if part.ordered_from else ""
    return f"{PartState.ORDERED}{whence} on {short_day(part.ordered_on)}"


def question_words(question: Question) -> str:
    """What an owner is asked, and since when: “new motor lead?”, asked 25 Nov 2026."""
    return f"“{question.words}”, asked {short_day(question.asked_on)}"


def lately_words(earlier: EarlierStay) -> str:
    """When a machine was here last: Was here until 5 November 2026: “makes loops”."""
    said = f": “{earlier.complaint}”" if earlier.complaint else ""
    return f"Was here until {plain_day(earlier.until)}{said}"


def stay_lines(record: MachineRecord, on: date) -> tuple[tuple[str, str], ...]:
    """What the bench is told of a machine's stay, each with what it is: the complaint first, then
    what was left with it, since when it is here, what it waits for, what its owner said; and when
    it was here lately, also where it was not checked in."""
    job = record.open_job
    lines: list[tuple[str, str]] = []
    if job is not None:
        by = f", ready by {plain_day(job.ready_by)}" if job.ready_by is not None else ""
        shown = [photo for photo in record.photos if photo.job == job.id]
        received = sum(photo.as_received for photo in shown)
        photos = counted(len(shown), "photo") + (f", {received} as received" if received else "")
        answers = [each for each in record.questions if each.job == job.id and each.answer]
        here = [each.words for each in record.parts if each.is_here and each.job != job.id]
        lines = [
            ("In their words", f"“{job.complaint}”" if job.complaint else ""),
            ("Left with it", ", ".join(job.left_with)),
            ("Here since", f"{plain_day(job.in_on)}, {job.number}{by}"),
            ("State", state_words(record, job)),
            *(("Asked", answer_words(each)) for each in answers),
            ("Here for it", ", ".join(here)),
            ("Photos", photos if shown else ""),
        ]
    earlier = here_lately(record, on if job is None else job.in_on)
    if earlier is not None:
        lines.append(("Lately", lately_words(earlier)))
    return tuple((label, words) for label, words in lines if words)


def answer_words(question: Question) -> str:
    """A question with its answer: “new motor lead?” – her daughter, 26 Nov 2026: “yes”."""
    on = "" if question.answered_on is None else f", {short_day(question.answered_on)}"
    return f"“{question.words}” – {question.answered_by}{on}: “{question.answer}”"


def call_reason(about: CallAbout, record: MachineRecord) -> str:
    """What an owner is told or asked in a call of a stay: It is ready to be collected. Empty for
    every other call."""
    job = record.open_job
    if about is CallAbout.READY:
        things = "" if job is None else ", ".join(job.left_with)
        return f"It is ready to be collected{f', with {things}' if things else ''}."
    if about is CallAbout.PART_HERE:
        here = [part.words for part in record.parts if part.is_here]
        return f"What it waits for is here: {', '.join(here)}. Please bring it in."
    question = None if job is None else record.question_of(job)
    if about is CallAbout.QUESTION and question is not None:
        return f"{question.words.rstrip('.')}{'' if question.words.endswith('?') else '.'}"
    return ""
