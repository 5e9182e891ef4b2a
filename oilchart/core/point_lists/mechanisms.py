"""The mechanisms a machine has: its model's, or others where one machine differs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from oilchart.core.point_lists.point_list import Mechanism
from oilchart.errors import UnknownName, nearest, quoted

# kinds of the mechanisms that turn a machine, and by which one starts and lights it
DRIVE, CONTROL = "drive", "control"
MOTOR, PLUG = "motor", "plug"


@dataclass(frozen=True, slots=True, kw_only=True)
class MechanismChange:
    """How a machine is changed.

    Args:
        drive: takes the place of all its drives; one without a motor takes the mains side with it,
            unless that is added by name.
        add: mechanisms it has from now on.
        drop: mechanisms it has no more.
        as_model: it is as its model again.
    """

    drive: str | None = None
    add: tuple[str, ...] = ()
    drop: tuple[str, ...] = ()
    as_model: bool = False


NO_MECHANISM_CHANGE = MechanismChange()


def going_together(mechanisms: Iterable[Mechanism]) -> list[Mechanism]:
    """The mechanisms of a machine, less those that go with something none of them has."""
    everything = list(mechanisms)
    has = {thing for mechanism in everything for thing in mechanism.has}
    return [
        mechanism
        for mechanism in everything
        if mechanism.goes_with is None or mechanism.goes_with in has
    ]


def mechanisms_after(
    now: Sequence[str],
    mechanism_change: MechanismChange,
    known: Mapping[str, Mechanism],
    machine: str,
) -> tuple[str, ...]:
    """The mechanisms of a machine after a change.

    Raises:
        UnknownName: there is no such mechanism or drive, or it has not got the one taken away.
    """
    drives = {name: mechanism for name, mechanism in known.items() if mechanism.kind == DRIVE}
    if mechanism_change.drive is not None and mechanism_change.drive not in drives:
        raise UnknownName(
            f"{machine}: drive {quoted(mechanism_change.drive)}: there is no such "
            f"drive{nearest(mechanism_change.drive, drives)}"
        )
    for added in mechanism_change.add:
        if added not in known:
            raise UnknownName(
                f"{machine}: mechanism {quoted(added)}: there is no such "
                f"mechanism{nearest(added, known)}"
            )
    for dropped in mechanism_change.drop:
        if dropped not in now:
            raise UnknownName(
                f"{machine}: mechanism {quoted(dropped)}: it has no such "
                f"mechanism{nearest(dropped, now)}"
            )
    kept = [
        each
        for each in now
        if each not in mechanism_change.drop
        and (mechanism_change.drive is None or each not in drives)
    ]
    if (
        mechanism_change.drive is not None and MOTOR not in known[mechanism_change.drive].has
    ):  # a head without a motor seldom keeps its mains side
        kept = [each for each in kept if known[each].kind != CONTROL or PLUG not in known[each].has]
    after = [
        *kept,
        *([mechanism_change.drive] if mechanism_change.drive else []),
        *mechanism_change.add,
    ]
    return tuple(
        mechanism.id for mechanism in going_together(known[each] for each in dict.fromkeys(after))
    )
