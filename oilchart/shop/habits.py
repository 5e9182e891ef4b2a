"""How a machine is worked, as its owner told of it: the habits and conditions that follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from oilchart.core.point_lists.conditions import Condition
from oilchart.core.records import habits
from oilchart.core.records.habits import FROM_HABITS, WorkedUnder
from oilchart.core.records.machine import Machine
from oilchart.core.use.bobbin import Bobbin
from oilchart.errors import UnknownName, nearest, quoted
from oilchart.sources.files.settings import Settings
from oilchart.sources.words.phrase import Terms
from oilchart.sources.words.word_list import WordList


def terms(
    machine: Machine, settings: Settings, words: WordList | None, before: date | None = None
) -> Terms:
    """What the owner's words need to know of a machine and the shop.

    Args:
        words: what vague words are taken for; None where it is what comes along.
        before: what was told before this day is what they compare with; None for all.
    """
    metres = machine.point_list.bobbin_metres
    rates = [
        report.rate
        for report in machine.reports
        if report.rate is not None and (before is None or report.said < before)
    ]
    served = [each.on for each in machine.services if before is None or each.on < before]
    return Terms(
        bobbin=None if metres is None else Bobbin(metres=metres),
        speed=machine.speed,
        pieces=settings.pieces,
        day_order=settings.day_order,
        own_words=words,
        seasons=settings.seasons,
        last_service=max(served, default=None),
        before=rates[-1] if rates else None,
    )


def with_habits(
    machine: Machine,
    worked_under: Sequence[WorkedUnder],
    known: Mapping[str, Condition],
    entered: date | None = None,
) -> Machine:
    """A machine with the habits its owner told of, and its conditions, those that follow from the
    habits included, by the days on which they were told.

    Args:
        entered: the day it was written down; None for a machine that is in no book.

    Raises:
        UnknownName: there is no such condition.
    """
    for condition in (*(each.condition for each in worked_under), *FROM_HABITS):
        if condition not in known:
            number = f"{machine.number}: " if machine.number else ""
            raise UnknownName(
                f"{number}condition {quoted(condition)}: there is no such condition"
                f"{nearest(condition, known)}"
            )
    return habits.with_habits(machine, worked_under, known, entered)
