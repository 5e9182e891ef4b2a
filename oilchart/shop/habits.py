"""How a machine is worked, as its owner told of it: the habits and conditions that follow."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from oilchart.core.point_lists.conditions import Condition
from oilchart.core.records.machine import Machine, habits
from oilchart.core.use.bobbin import Bobbin
from oilchart.errors import UnknownName, nearest, quoted
from oilchart.sources.files.settings import Settings
from oilchart.sources.words.phrase import Terms


def terms(machine: Machine, settings: Settings) -> Terms:
    """What the owner's words need to know of a machine and the shop."""
    metres = machine.point_list.bobbin_metres
    return Terms(
        bobbin=None if metres is None else Bobbin(metres=metres),
        speed=machine.speed,
        pieces=settings.pieces,
        day_order=settings.day_order,
    )


def with_habits(
    machine: Machine, conditions: Iterable[str], known: Mapping[str, Condition]
) -> Machine:
    """A machine with the habits its owner told of, and its conditions, those that follow from the
    habits included.

    Raises:
        UnknownName: there is no such condition.
    """
    told = habits(machine.reports)
    ids = dict.fromkeys((*conditions, *told.conditions))
    for condition in ids:
        if condition not in known:
            number = f"{machine.number}: " if machine.number else ""
            raise UnknownName(
                f"{number}condition {quoted(condition)}: there is no such condition"
                f"{nearest(condition, known)}"
            )
    return replace(
        machine,
        zigzag_share=told.zigzag_share,
        speed_factor=told.speed_factor,
        conditions=tuple(known[condition] for condition in ids),
    )
