"""Knows what stands on the sheet beside the telephone: by day whom to ring, what to say and to ask,
what to bring, what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.wording import counted, day_words, joined

OUTCOMES = (
    "reached", "left message", "no answer", "rang back", "wrong number", "booked", "later", "declined", "sold", "goes elsewhere",
)  # fmt: skip
OILING = ("yes", "sometimes", "never")
HOURS_QUESTION = "How much did you sew last week? Was that a week like most?"
# Each for one machine and for several.
TIME_FOR_SERVICE = ("It is time for its service.", "It is time for their service.")
RUNNING_QUESTION = ("How is it running?", "How are they running?")
OILING_QUESTION = ("Have you been oiling it?", "Have you been oiling them?")
SETTLING_OILING_QUESTION = (
    "Have you been oiling it, after 2 and after 5 hours?",
    "Have you been oiling them, after 2 and after 5 hours?",
)
MANNER_QUESTION = (
    "How does it run: as quietly and lightly as it used to?",
    "How do they run: as quietly and lightly as they used to?",
)
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
class CalledMachine:
    """A machine a call is about.

    Args:
        has: what it has that the order of work asks for, as its point list says it: "plug",
            "pedal", "bobbin-case".
    """

    number: str
    model: str
    has: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class CallLine:
    """One call as it is planned.

    Args:
        service_on: month of the service it is about, or in which it was freed, about settling in.
        last_use: what they last said of their sewing, in their words; empty if nothing.
        wishes: what they asked for, such as when to ring; empty if nothing.
    """

    day: date
    owner: str
    phone: str
    machines: tuple[CalledMachine, ...]
    about: CallAbout
    service_on: str
    last_use: str = ""
    wishes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CallBlock:
    """One call as words.

    Args:
        say: how the talk begins.
        about: the machines, and what is known of them.
        questions: to be asked, apart from the oiling.
        oiling: the question whose answer is one of a few words.
    """

    owner: str
    phone: str
    about: str
    say: str
    questions: tuple[str, ...]
    oiling: str
    bring: str
    last_use: str
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
    language: str
    shop: ShopDetails


def call_sheet(calls: Sequence[CallLine], *, on: date, shop: ShopDetails, weeks: int) -> CallSheet:
    """Write the sheet of calls planned for so many weeks; all calls given stand on it, those of one
    day in the order given."""
    days = sorted({call.day for call in calls})
    return CallSheet(
        title="Calls of the next week" if weeks == 1 else f"Calls of the next {weeks} weeks",
        written=f"{day_words(on)} · {counted(len(calls), 'call')}"
        if calls
        else f"{day_words(on)} · {NO_CALLS}",
        danger=DANGER
        if any("plug" in machine.has for call in calls for machine in call.machines)
        else "",
        days=tuple(
            CallDay(
                heading=day_words(day),
                calls=tuple(_block(call) for call in calls if call.day == day),
            )
            for day in days
        ),
        outcomes=OUTCOMES,
        oiling_answers=OILING,
        language="en-GB",
        shop=shop,
    )


def _block(call: CallLine) -> CallBlock:
    many = len(call.machines) > 1
    settling = call.about is CallAbout.SETTLING_IN
    say, manner, oiling = (
        (RUNNING_QUESTION, SETTLING_QUESTION, SETTLING_OILING_QUESTION)
        if settling
        else (TIME_FOR_SERVICE, MANNER_QUESTION, OILING_QUESTION)
    )
    return CallBlock(
        owner=call.owner,
        phone=call.phone or "no number",
        about=_about(call, settling=settling),
        say=say[many],
        questions=(HOURS_QUESTION, manner[many]),
        oiling=oiling[many],
        bring=f"Only if it troubles them: {', '.join(to_bring(call.machines))}"
        if settling
        else ", ".join(to_bring(call.machines)),
        last_use=call.last_use,
        wishes=call.wishes,
    )


def _about(call: CallLine, *, settling: bool) -> str:
    names = joined([f"{machine.model} {machine.number}" for machine in call.machines])
    if not call.service_on:
        return names
    return (
        f"{names} – freed in {call.service_on}, settling in"
        if settling
        else f"{names} – service wanted in {call.service_on}"
    )


def to_bring(machines: Sequence[CalledMachine]) -> list[str]:
    """What to bring; where only some of the machines have it, with their numbers."""
    things = ["the machines" if len(machines) > 1 else "the machine"]
    for thing, wanted in TO_BRING:
        with_it = [machine.number for machine in machines if wanted <= machine.has]
        if with_it:
            things.append(
                thing if len(with_it) == len(machines) else f"{thing} ({', '.join(with_it)})"
            )
    return [*things, "manual"]
