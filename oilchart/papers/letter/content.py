"""What stands in a letter to an owner: whom it goes to, its text, and what an owner's paper always
says of stopping and of home.

The text comes from a template; what an owner's paper always says does not, so that no template can
leave it out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from oilchart.core.due.due_dates import LATE, State
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.standing import Standing
from oilchart.core.planning.ways_to_reach import WantedLetter
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.call_sheet.content import to_bring
from oilchart.papers.card.content import use_told
from oilchart.papers.home_rules import HomeRules, before_you_start, home_rules, unsafe_words
from oilchart.papers.letter.template import Paragraph, wording
from oilchart.papers.stay_words import call_reason
from oilchart.papers.wording import capital, day_words, joined, month_words, plain_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A letter as words and their order.

    Args:
        sender: the shop's name and the lines under it.
        address: the owner's name and the lines of their address.
        closing: its lines, with room to sign after the first.
        unsafe: of each thing that makes a machine unsafe a heading, and why and what to do; empty
            where none does.
        style: the shop's colour, logo and line at the foot.
    """

    sender: tuple[str, ...]
    address: tuple[str, ...]
    day: str
    subject: str
    paragraphs: tuple[Paragraph, ...]
    closing: tuple[str, ...]
    unsafe: tuple[tuple[str, str], ...]
    home: HomeRules
    shop: ShopDetails
    style: PaperStyle = field(default_factory=PaperStyle)


def letter(
    wanted: WantedLetter,
    *,
    on: date,
    shop: ShopDetails,
    templates: Sequence[Path],
    style: PaperStyle | None = None,
) -> Letter:
    """Write a letter.

    Args:
        on: the day it is dated.
        templates: folders with a folder "letters" of templates; an earlier one wins, file by file.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    text = wording(wanted.reason, templates, values_for(wanted, shop))
    electric = any(_list_of(standing).has_plug for standing in wanted.standings)
    return Letter(
        sender=_sender(shop),
        address=(wanted.owner.name, *wanted.owner.address),
        day=plain_day(on),
        subject=text.subject,
        paragraphs=text.paragraphs,
        closing=text.closing,
        unsafe=_unsafe(wanted.standings),
        home=home_rules(electric=electric),
        shop=shop,
        style=style or PaperStyle(),
    )


def values_for(wanted: WantedLetter, shop: ShopDetails) -> dict[str, object]:
    """What a template may use; the head of letters/service.txt says what each of them is."""
    standings = wanted.standings
    settling = wanted.about is CallAbout.SETTLING_IN
    days = {standing.schedule.booked for standing in standings}
    booked = days.pop() if len(days) == 1 else None
    has = {thing for standing in standings for thing in _list_of(standing).has}
    return {
        "owner": wanted.owner.name,
        "phone": wanted.owner.phone,
        "shop": {
            "name": shop.name,
            "phone": shop.phone,
            "email": shop.email,
            "address": ", ".join(shop.address),
        },
        "ring_us": _ring_us(shop),
        "machines": tuple(_values_of(standing, settling=settling) for standing in standings),
        "many": len(standings) > 1,
        "names": joined([_name(standing) for standing in standings]),
        "settling": settling,
        "told": tuple(
            f"{_name(each)}: {words}"
            for each in standings
            if (words := call_reason(wanted.about, each.record))
        ),
        "answers": wanted.about is CallAbout.QUESTION,
        "booked": "" if booked is None else day_words(booked),
        "last_use": _last_use(standings),
        "bring": tuple(to_bring({each.record.number: _list_of(each) for each in standings})),
        "before_oiling": " ".join(before_you_start(has)),
    }


def _values_of(standing: Standing, *, settling: bool) -> dict[str, object]:
    """A machine; its month is that of its next service, or in which it was freed, about settling
    in; none where the time for its service has come."""
    schedule = standing.schedule
    service = schedule.next_service
    day = schedule.machine.freed if settling else None if service is None else service.on
    return {
        "name": _name(standing),
        "model": _list_of(standing).name,
        "number": standing.record.number,
        "month": "" if day is None or schedule.state in LATE else month_words(day),
        "booked": "" if schedule.booked is None else day_words(schedule.booked),
        "first": schedule.state is State.FIRST_SERVICE,
    }


def _list_of(standing: Standing) -> PointList:
    return standing.schedule.machine.point_list


def _name(standing: Standing) -> str:
    """Heron 3 (M-001)."""
    return f"{_list_of(standing).name} ({standing.record.number})"


def _sender(shop: ShopDetails) -> tuple[str, ...]:
    reached = (f"Telephone {shop.phone}" if shop.phone else "", shop.email)
    return tuple(line for line in (shop.name, *shop.address, *reached) if line)


def _ring_us(shop: ShopDetails) -> str:
    """How the shop is reached, for the middle of a sentence."""
    ways = [
        *([f"ring us on {shop.phone}"] if shop.phone else []),
        *([f"write to {shop.email}"] if shop.email else []),
    ]
    return " or ".join(ways) or "let us know"


def _last_use(standings: Sequence[Standing]) -> str:
    """What was last said of the machines, with their names where it was not the same of all."""
    words_of = {_name(each): use_told(each.record.last_words) for each in standings}
    if len(set(words_of.values())) == 1 and all(words_of.values()):
        return f"“{next(iter(words_of.values()))}”"
    return joined(
        [
            f"“{words}” for the {name}" if len(words_of) > 1 else f"“{words}”"
            for name, words in words_of.items()
            if words
        ]
    )


def _unsafe(standings: Sequence[Standing]) -> tuple[tuple[str, str], ...]:
    """What makes machines unsafe, the mains side first."""
    marks = [(mark, standing) for standing in standings for mark in standing.record.dangers]
    return tuple(
        _warning(mark, standing)
        for danger in Danger
        for mark, standing in marks
        if mark.danger is danger
    )


def _warning(mark: UnsafeMark, standing: Standing) -> tuple[str, str]:
    heading, what_to_do = unsafe_words(electric=mark.danger is Danger.ELECTRICAL)
    why = capital(mark.why.rstrip("."))
    return f"{heading}: {_name(standing)}", f"{why}, since {plain_day(mark.on)}. {what_to_do}"
