"""What stands on the sheet beside the telephone: by day whom to ring, what to say and to ask, what
to bring, what came of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.standing import OpenCall
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.shop_details import ShopDetails
from oilchart.core.use.report import still_unclear
from oilchart.papers.contact_words import call_so_far, wishes
from oilchart.papers.danger_words import UNSAFE_QUESTIONS, danger_lines, told_of_dangers
from oilchart.papers.next_service import undone_places
from oilchart.papers.questions import OILING_QUESTION, SEWING_QUESTIONS
from oilchart.papers.stay_words import call_reason
from oilchart.papers.wording import (
    counted,
    day_words,
    joined,
    machines_called,
    month_words,
    short_day,
    waits_since,
)

OUTCOMES = (
    "reached", "left message", "no answer", "rang back", "wrong number",
    "booked", "later", "declined", "sold", "goes elsewhere",
)  # fmt: skip
OILING = ("yes", "sometimes", "never")
# Each for one machine and for several.
TIME_FOR_SERVICE = ("It is time for its service.", "It is time for their service.")
TIME_TO_COME_BACK = (
    "Something was left undone at its service that cannot wait: please bring it back.",
    "Something was left undone at their service that cannot wait: please bring them back.",
)
READY_QUESTION = ("When do you collect it?", "When do you collect them?")
BRING_QUESTION = ("When can you bring it in?", "When can you bring them in?")
ANSWER_QUESTION = ("What do they say, and who says so?",) * 2
# what is asked in a call of a stay
STAY_QUESTIONS = {
    CallAbout.READY: READY_QUESTION,
    CallAbout.PART_HERE: BRING_QUESTION,
    CallAbout.QUESTION: ANSWER_QUESTION,
}
RUNNING_QUESTION = ("How is it running?", "How are they running?")
SETTLING_OILING_QUESTION = (
    "Have you been oiling it, after 2 and after 5 hours?",
    "Have you been oiling them, after 2 and after 5 hours?",
)
MANNER_QUESTION = ("Does it run as ever?", "Do they run as ever?")
SETTLING_QUESTION = (
    "Does the wheel turn as lightly by hand as on the day you took it home?",
    "Do the wheels turn as lightly by hand as on the day you took them home?",
)
DANGER = (
    "If they tell of tingling, a burning smell, a machine that runs by itself or a very hot pedal: "
    "ask them to stop, pull the plug out of the wall, leave it out, and bring the machine in."
)
# What is asked to be brought, and what a machine must have for it.
TO_BRING = (
    ("foot pedal", frozenset({"plug", "pedal"})),
    ("cord", frozenset({"plug"})),
    ("bobbin case", frozenset({"bobbin-case"})),
    ("shuttle", frozenset({"shuttle"})),
    ("bobbins", frozenset({"bobbin"})),
)
NO_CALLS = "Nobody is to be rung in this time."


@dataclass(frozen=True, slots=True, kw_only=True)
class CallBlock:
    """One call as words.

    Args:
        dangers: what makes a machine unsafe, a line each; they stand before all else.
        say: how the talk begins.
        about: the machines, and what is known of them.
        last_use: what was last said of each machine, in quotation marks.
        unclear: what is to be asked of what was said and not understood.
        so_far: what came last of the call, or of a booked day.
        questions: to be asked, apart from the oiling.
        oiling: the question whose answer is one of a few words; empty where all machines are
            unsafe.
    """

    dangers: tuple[str, ...]
    owner: str
    phone: str
    about: str
    say: str
    questions: tuple[str, ...]
    oiling: str
    bring: str
    last_use: str
    unclear: str
    so_far: str
    wishes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CallDay:
    """The calls of one day."""

    heading: str
    calls: tuple[CallBlock, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CallSheet:
    """The sheet as words and their order.

    Args:
        outcomes: what may come of a call, each to be ticked.
    """

    title: str
    written: str
    danger: str
    days: tuple[CallDay, ...]
    outcomes: tuple[str, ...]
    oiling_answers: tuple[str, ...]
    shop: ShopDetails


def call_sheet(
    calls: Sequence[OpenCall],
    point_lists: Mapping[int, PointList],
    *,
    on: date,
    shop: ShopDetails,
    weeks: int,
) -> CallSheet:
    """Write the sheet of calls planned for so many weeks; all calls given stand on it, those of one
    day in the order given.

    Args:
        point_lists: of the machines the calls are about, by the machine's id.
    """
    days = sorted({call.rung_on(on) for call in calls})
    how_many = counted(len(calls), "call") if calls else NO_CALLS
    electric = any(point_lists[record.id].has_plug for call in calls for record, _ in call.services)
    return CallSheet(
        title="Calls of the next week" if weeks == 1 else f"Calls of the next {weeks} weeks",
        written=f"{day_words(on)} · {how_many}",
        danger=DANGER if electric else "",
        days=tuple(
            CallDay(
                heading=day_words(day),
                calls=tuple(_block(call, point_lists) for call in calls if call.rung_on(on) == day),
            )
            for day in days
        ),
        outcomes=OUTCOMES,
        oiling_answers=OILING,
        shop=shop,
    )


def _block(call: OpenCall, point_lists: Mapping[int, PointList]) -> CallBlock:
    records = [record for record, _ in call.services]
    many = len(records) > 1
    settling = call.about is CallAbout.SETTLING_IN
    say, manner, oiling = (
        (RUNNING_QUESTION, SETTLING_QUESTION, SETTLING_OILING_QUESTION)
        if settling
        else (TIME_FOR_SERVICE, MANNER_QUESTION, OILING_QUESTION)
    )
    if call.about is CallAbout.COME_BACK:
        say = TIME_TO_COME_BACK
    if call.about.is_of_a_stay:
        return _stay_block(call, point_lists)
    safe = [record for record in records if not record.dangers]
    bring = ", ".join(to_bring({record.number: point_lists[record.id] for record in records}))
    return CallBlock(
        dangers=tuple(
            f"{record.number}: {line}" for record in records for line in danger_lines(record)
        ),
        owner=call.owner.name,
        phone="no number" if call.owner.rung_at is None else call.owner.rung_at.words,
        about=_about(call, point_lists),
        say=" ".join(
            [
                *(words for record in records for words in _warning(record, point_lists)),
                *([say[many]] if safe else []),
            ]
        ),
        questions=_questions(manner[many], settling=settling) if safe else UNSAFE_QUESTIONS[many],
        oiling=oiling[many] if safe else "",
        bring=f"Only if it troubles them: {bring}" if settling else bring,
        last_use=_last_use(records),
        unclear=_unclear(records) if safe else "",
        so_far=call_so_far(call),
        wishes=wishes(call),
    )


def _questions(manner: str, *, settling: bool) -> tuple[str, ...]:
    """What is asked of the sewing and of how it runs, a row each; a machine that settles in has a
    row for that."""
    often, which = SEWING_QUESTIONS
    return (often, which, manner) if settling else (often, f"{which} {manner}")


def _unclear(records: Sequence[MachineRecord]) -> str:
    """What is to be asked of words that were not understood, each once."""
    asked = [
        f"“{report.words}”: {report.unclear}"
        for record in records
        if (report := still_unclear(record.reports)) is not None
    ]
    return " ".join(dict.fromkeys(asked))


def _stay_block(call: OpenCall, point_lists: Mapping[int, PointList]) -> CallBlock:
    """A call about a stay: what is told or asked, and no word of use and oiling."""
    records = [record for record, _ in call.services]
    lists = {record.number: point_lists[record.id] for record in records}
    brings = call.about is CallAbout.PART_HERE
    return CallBlock(
        dangers=tuple(
            f"{record.number}: {line}" for record in records for line in danger_lines(record)
        ),
        owner=call.owner.name,
        phone=call.owner.phone or "no number",
        about=_about(call, point_lists),
        say=" ".join(call_reason(call.about, record) for record in records),
        questions=(STAY_QUESTIONS[call.about][len(records) > 1],),
        oiling="",
        bring=", ".join(to_bring(lists)) if brings else "",
        last_use="",
        unclear="",
        so_far=call_so_far(call),
        wishes=wishes(call),
    )


def _warning(record: MachineRecord, point_lists: Mapping[int, PointList]) -> list[str]:
    """What an owner is told first of a machine that could hurt someone."""
    return told_of_dangers(record, point_lists[record.id].name)


def _about(call: OpenCall, point_lists: Mapping[int, PointList]) -> str:
    names = machines_called((record, point_lists[record.id]) for record, _ in call.services)
    if call.about.is_of_a_stay:
        return f"{names} – {call.about}, since {short_day(call.services[0][1])}"
    month = month_words(call.services[0][1])
    if call.about is CallAbout.SETTLING_IN:
        return f"{names} – freed in {month}, settling in"
    (_, service) = call.services[0]
    if call.about is CallAbout.COME_BACK:
        undone = "; ".join(
            f"{record.number}: {places}"
            for record, _ in call.services
            if (places := joined(undone_places(record, point_lists[record.id])))
        )
        return f"{names} – wanted back by {day_words(service)} for: {undone}"
    past = (service.year, service.month) < (call.on.year, call.on.month)
    wanted = "as soon as it suits" if past else f"in {month}"
    return f"{names} – service wanted {wanted}{waits_since(call.waits_since(call.on))}"


def _last_use(records: Sequence[MachineRecord]) -> str:
    """What was last said of the machines, with their numbers where it was not the same of all."""
    words_of = {record.number: record.last_words.strip() for record in records}
    if len(set(words_of.values())) == 1:
        words = next(iter(words_of.values()))
        return f"“{words}”" if words else ""
    return ", ".join(f"“{words}” ({number})" for number, words in words_of.items() if words)


def to_bring(point_lists: Mapping[str, PointList]) -> list[str]:
    """What to bring; where only some of the machines have it, with their numbers.

    Args:
        point_lists: of the machines, by their number.
    """
    things = ["the machines" if len(point_lists) > 1 else "the machine"]
    for thing, wanted in TO_BRING:
        with_it = [number for number, point_list in point_lists.items() if wanted <= point_list.has]
        if with_it:
            of_some = "" if len(with_it) == len(point_lists) else f" ({', '.join(with_it)})"
            things.append(f"{thing}{of_some}")
    return [*things, "manual"]
