"""Knows what stands in a letter to an owner: whom it goes to, its text, and what an owner's paper
always says of stopping and of home.

The text comes from a template; what an owner's paper always says does not, so that no template can
leave it out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from oilchart.core.planning.letter_reason import Reason
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.call_sheet.content import CalledMachine, to_bring
from oilchart.papers.card.content import (
    BEFORE_YOU_START,
    NEVER_AT_HOME,
    NEVER_ELECTRIC,
    NEVER_HEADING,
    STOP_ELECTRIC,
    STOP_HEADING,
    STOP_SIGNS,
    STOP_WITHOUT_PLUG,
    use_told,
)
from oilchart.papers.letter.template import Paragraph, wording
from oilchart.papers.record.content import UNSAFE, UNSAFE_PLUG
from oilchart.papers.wording import day_words, joined, month_words


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterMachine:
    """A machine a letter is about.

    Args:
        model: its name.
        has: what it has that the order of work asks for, as its point list says it: "plug",
            "pedal", "bobbin-case".
        service_on: month of its next service, "December 2026", or in which it was freed, about
            settling in; empty if there is none.
        late: the time for its service has come; no month is told.
        first: it has had no service here yet.
        booked: the day agreed for its service, None if there is none.
        unsafe: it must not be used until a check is passed.
        last_use: what was last said of its use, in the owner's words; empty if nothing.
    """

    number: str
    model: str
    has: frozenset[str]
    service_on: str
    late: bool = False
    first: bool = False
    booked: date | None = None
    unsafe: bool = False
    last_use: str = ""

    @property
    def name(self) -> str:
        """Heron 3 (M-001)."""
        return f"{self.model} ({self.number})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Addressee:
    """An owner who is written to.

    Args:
        address: the lines of their postal address.
        phone: the number noted for them; may be empty.
        settling: it is about a machine that was stuck and has been freed.
    """

    owner: str
    address: tuple[str, ...]
    phone: str
    reason: Reason
    machines: tuple[LetterMachine, ...]
    settling: bool = False

    @property
    def booked(self) -> date | None:
        """The day agreed for all of its machines; None if any has none, or another one."""
        days = {machine.booked for machine in self.machines}
        return days.pop() if len(days) == 1 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A letter as words and their order.

    Args:
        sender: the shop's name and the lines under it.
        address: the owner's name and the lines of their address.
        closing: its lines, with room to sign after the first.
        unsafe: heading and words about machines that must not be used; else empty.
        style: the shop's colour, logo and line at the foot.
    """

    sender: tuple[str, ...]
    address: tuple[str, ...]
    day: str
    subject: str
    paragraphs: tuple[Paragraph, ...]
    closing: tuple[str, ...]
    unsafe: tuple[str, ...]
    stop_heading: str
    stop_signs: tuple[str, ...]
    never_heading: str
    never_at_home: tuple[str, ...]
    shop: ShopDetails
    style: PaperStyle = field(default_factory=PaperStyle)
    language: str = "en-GB"


def letter(
    addressee: Addressee,
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
    text = wording(addressee.reason, templates, values_for(addressee, shop))
    electric = any("plug" in machine.has for machine in addressee.machines)
    return Letter(
        sender=_sender(shop),
        address=(addressee.owner, *addressee.address),
        day=f"{on.day} {month_words(on)}",
        subject=text.subject,
        paragraphs=text.paragraphs,
        closing=text.closing,
        unsafe=_unsafe(addressee.machines),
        stop_heading=STOP_HEADING if electric else STOP_WITHOUT_PLUG,
        stop_signs=(*(STOP_ELECTRIC if electric else ()), *STOP_SIGNS),
        never_heading=NEVER_HEADING,
        never_at_home=(*(NEVER_ELECTRIC if electric else ()), *NEVER_AT_HOME),
        shop=shop,
        style=style or PaperStyle(),
    )


def values_for(addressee: Addressee, shop: ShopDetails) -> dict[str, object]:
    """What a template may use; the head of letters/service.txt says what each of them is."""
    machines = addressee.machines
    booked = addressee.booked
    has = {thing for machine in machines for thing in machine.has}
    return {
        "owner": addressee.owner,
        "phone": addressee.phone,
        "shop": {
            "name": shop.name,
            "phone": shop.phone,
            "email": shop.email,
            "address": ", ".join(shop.address),
        },
        "ring_us": _ring_us(shop),
        "machines": [_values_of(machine) for machine in machines],
        "many": len(machines) > 1,
        "names": joined([machine.name for machine in machines]),
        "settling": addressee.settling,
        "booked": "" if booked is None else day_words(booked),
        "last_use": _last_use(machines),
        "bring": to_bring(
            [
                CalledMachine(number=machine.number, model=machine.model, has=machine.has)
                for machine in machines
            ]
        ),
        "before_oiling": " ".join(
            words for thing, words in BEFORE_YOU_START.items() if thing in has
        ),
    }


def _values_of(machine: LetterMachine) -> dict[str, object]:
    return {
        "name": machine.name,
        "model": machine.model,
        "number": machine.number,
        "month": "" if machine.late else machine.service_on,
        "booked": "" if machine.booked is None else day_words(machine.booked),
        "first": machine.first,
    }


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


def _last_use(machines: Sequence[LetterMachine]) -> str:
    """What was last said of the machines, with their names where it was not the same of all."""
    told = {machine.name: use_told(machine.last_use) for machine in machines}
    if len(set(told.values())) == 1 and all(told.values()):
        return f"“{next(iter(told.values()))}”"
    return joined(
        [
            f"“{words}” for the {name}" if len(told) > 1 else f"“{words}”"
            for name, words in told.items()
            if words
        ]
    )


def _unsafe(machines: Sequence[LetterMachine]) -> tuple[str, ...]:
    unsafe = [machine for machine in machines if machine.unsafe]
    if not unsafe:
        return ()
    heading, what_to_do = (
        UNSAFE_PLUG if any("plug" in machine.has for machine in unsafe) else UNSAFE
    )
    return (f"{heading}: {joined([machine.name for machine in unsafe])}", what_to_do)
