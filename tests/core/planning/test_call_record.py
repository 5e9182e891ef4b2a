"""Open calls and the plan: which goes on as which, and at what cost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from oilchart.core.planning.call_plan import CallAbout, PlannedCall, WantedService
from oilchart.core.planning.call_record import CallRecord, continued_calls

ON = date(2026, 11, 25)


class Looked(tuple[tuple[int, date], ...]):
    """The services of an open call, which count how often they are looked at."""

    times = 0

    def __iter__(self) -> Iterator[tuple[int, date]]:
        Looked.times += 1
        return super().__iter__()


def planned(owner: int) -> PlannedCall:
    """A planned call to an owner about their one machine, of the same number."""
    service = WantedService(owner=owner, machine=owner, on=ON)
    return PlannedCall(owner=owner, about=CallAbout.SERVICE, on=ON, services=(service,))


def kept(call_id: int, owner: int) -> CallRecord:
    """An open call to an owner about their one machine, of the same number."""
    about = CallAbout.SERVICE
    services = Looked([(owner, ON)])
    return CallRecord(id=call_id, owner_id=owner, about=about, on=ON, services=services)


def test_each_planned_call_goes_on_as_the_open_one_to_its_owner_and_only_theirs_are_looked_at() -> (
    None
):
    owners = range(1, 201)
    Looked.times = 0
    pairs = continued_calls(map(planned, owners), [kept(1000 + owner, owner) for owner in owners])
    assert [(call.owner, row and row.id) for call, row in pairs] == [
        (owner, 1000 + owner) for owner in owners
    ]
    assert Looked.times == len(owners)


def test_an_open_call_to_another_owner_of_the_same_machine_does_not_go_on() -> None:
    [(_, row)] = continued_calls([planned(1)], [kept(7, 2)])
    assert row is None
