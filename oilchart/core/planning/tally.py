"""How the machines of a shop stand, sorted and counted in one place: whatever lists or counts them
takes its machines from here, so that no two lists tell different numbers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable
from dataclasses import dataclass

from oilchart.core.due.due_dates import DUE, WORST_FIRST, State
from oilchart.core.planning.standing import Standing, worst_first

COUNTED = tuple(state for state in WORST_FIRST if state is not State.GONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """The machines that are looked after, each in one of two parts, the worst first.

    Args:
        listed: all but the lapsed.
        lapsed: those whose owners let two rounds of calls pass; but not one that is in the shop or
            could hurt someone.
    """

    listed: tuple[Standing, ...]
    lapsed: tuple[Standing, ...]

    @property
    def by_state(self) -> tuple[tuple[State, int], ...]:
        """How many listed machines are in each state, also in none."""
        return by_state(self.listed)

    def in_state(self, states: Container[State]) -> tuple[Standing, ...]:
        """The listed machines in any of these states."""
        return tuple(each for each in self.listed if each.schedule.state in states)

    @property
    def here(self) -> tuple[Standing, ...]:
        """The machines in the shop."""
        return self.in_state((State.IN_THE_SHOP,))

    @property
    def wanted(self) -> tuple[Standing, ...]:
        """The machines that want the bench now or soon; one that could hurt someone does wherever
        it is, unless it is here."""
        return tuple(
            each
            for each in self.listed
            if each.schedule.state in DUE
            or (each.record.dangers and each.schedule.state is not State.IN_THE_SHOP)
        )

    @property
    def in_time(self) -> tuple[Standing, ...]:
        """The machines that want nothing."""
        return tuple(each for each in self.listed if wants_nothing(each))


def by_state(standings: Iterable[Standing]) -> tuple[tuple[State, int], ...]:
    """How many machines are in each state, also in none; those that are gone are not counted."""
    found = Counter(each.schedule.state for each in standings)
    return tuple((state, found[state]) for state in COUNTED)


def wants_nothing(standing: Standing) -> bool:
    """Whether a machine is in time, or was not seen yet, and could hurt nobody."""
    calm = (State.IN_TIME, State.NOT_SEEN_YET)
    return standing.schedule.state in calm and not standing.record.dangers


def tally(standings: Iterable[Standing]) -> Tally:
    """Sort machines into those that are listed and the lapsed; those that are gone are in
    neither."""
    machines = sorted(
        (each for each in standings if each.schedule.state is not State.GONE), key=worst_first
    )
    apart = [
        each.lapsed_on is not None
        and not each.record.dangers
        and each.schedule.state is not State.IN_THE_SHOP
        for each in machines
    ]
    return Tally(
        listed=tuple(each for each, is_apart in zip(machines, apart, strict=True) if not is_apart),
        lapsed=tuple(each for each, is_apart in zip(machines, apart, strict=True) if is_apart),
    )
