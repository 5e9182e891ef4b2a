"""The machines of a shop are sorted and counted in one place."""

from __future__ import annotations

import random
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.due.due_dates import DUE, State
from oilchart.core.planning.standing import Standing, worst_first
from oilchart.core.planning.tally import COUNTED, tally
from oilchart.core.records.job import Danger, UnsafeMark
from tests.builders.make import TODAY
from tests.builders.records import a_record, a_standing
from tests.counts import counted

MACHINES = st.lists(st.tuples(st.sampled_from(State), st.booleans(), st.booleans()), max_size=12)


def a_machine(number: int, state: State, lapsed: bool, unsafe: bool) -> Standing:
    marks = (UnsafeMark(id=1, on=TODAY, why="frayed", danger=Danger.ELECTRICAL),) if unsafe else ()
    standing = a_standing(a_record(number, unsafe_marks=marks), state)
    return Standing(
        record=standing.record,
        schedule=standing.schedule,
        reckoning=standing.reckoning,
        lapsed_on=TODAY if lapsed else None,
    )


@counted
@given(MACHINES, st.randoms())
def test_each_machine_that_is_looked_after_is_counted_once(
    drawn: list[tuple[State, bool, bool]], chance: random.Random
) -> None:
    machines = [a_machine(at, *each) for at, each in enumerate(drawn, start=1)]
    found = tally(machines)
    kept = [each for each in machines if each.schedule.state is not State.GONE]
    assert sorted([*found.listed, *found.lapsed], key=worst_first) == sorted(kept, key=worst_first)
    # in one of three places of the board
    places = [*found.wanted, *found.here, *found.in_time]
    assert sorted(each.record.id for each in places) == sorted(
        each.record.id for each in found.listed
    )
    assert sum(count for _, count in found.by_state) == len(found.listed)
    assert [state for state, _ in found.by_state] == list(COUNTED)
    for each in found.lapsed:
        assert each.lapsed_on is not None
        assert not each.record.dangers  # who could be hurt is told, whoever rings them or not
        assert each.schedule.state is not State.IN_THE_SHOP
    assert all(each in found.listed for each in kept if each.lapsed_on is None)
    for each in found.wanted:
        assert each.schedule.state in DUE or each.record.dangers
    assert all(worst_first(one) <= worst_first(other) for one, other in pairwise(found.listed))
    assert tally(chance.sample(machines, len(machines))) == found
