"""The shop's week: calls and services share days and weeks that hold only so many; plans are shown
by their dates."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

import pytest

from oilchart.core.days import OpenDays, Span
from oilchart.core.due.due_dates import State
from oilchart.core.planning.call_plan import PlannedCall, WantedService, plan_calls
from oilchart.errors import FaultyList
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    all_standings,
    check_in,
    open_calls,
    record_service,
    record_use,
    standing_of,
)

THREE_WEEKS_SHUT = OpenDays(closures=(Span(first=date(2026, 12, 14), end=date(2027, 1, 4)),))


def planned(
    services: Iterable[tuple[int, int, date]],
    *,
    limit: int | None = None,
    open_days: OpenDays | None = None,
    taken: dict[date, int] | None = None,
) -> list[PlannedCall]:
    wanted = [WantedService(owner=owner, machine=machine, on=on) for owner, machine, on in services]
    return plan_calls(
        wanted,
        today=TODAY,
        open_days=open_days or OpenDays(),
        lead_days=14,
        limit=limit,
        taken=taken or {},
    )


def days(calls: list[PlannedCall]) -> list[str]:
    return [call.on.isoformat() for call in calls]


def test_without_a_limit_each_call_has_its_latest_day() -> None:
    services = [
        (1, 1, date(2027, 1, 15)),
        (2, 2, date(2027, 1, 15)),
        (3, 3, date(2027, 1, 17)),
    ]
    # 3 January is a Sunday, 1 January open here
    assert days(planned(services)) == ["2027-01-01", "2027-01-01", "2027-01-01"]


def test_with_a_limit_of_one_calls_move_forward_one_by_one_and_none_is_late() -> None:
    services = [(owner, owner, date(2027, 1, 15)) for owner in (1, 2, 3)]
    assert days(planned(services, limit=1)) == ["2026-12-30", "2026-12-31", "2027-01-01"]


def test_a_saturday_is_no_day_for_calls_unless_the_shop_is_open_then() -> None:
    on = [(1, 1, date(2026, 12, 19))]  # 14 days before is Saturday 5 December
    assert days(planned(on)) == ["2026-12-04"]
    assert days(planned(on, open_days=OpenDays(weekdays=frozenset({5})))) == ["2026-12-05"]


def test_a_closure_of_three_weeks_brings_its_calls_before_it() -> None:
    services = [(at, at, date(2027, 1, 8)) for at in range(5)]
    calls = planned(services, limit=2, open_days=THREE_WEEKS_SHUT)
    assert days(calls) == ["2026-12-09", "2026-12-10", "2026-12-10", "2026-12-11", "2026-12-11"]


def test_500_calls_due_on_one_day_fill_the_days_before_it_and_go_on_from_today() -> None:
    # due 4 December
    services = [(at, at, date(2026, 12, 18)) for at in range(500)]
    calls = planned(services, limit=10)
    by_day = Counter(call.on for call in calls)
    assert set(by_day.values()) == {10}
    assert (min(by_day), len(by_day)) == (TODAY, 50)
    assert max(by_day) == date(2027, 2, 2)


def test_one_machine_long_overdue_makes_no_other_call_late() -> None:
    services = [(at, at, TODAY + timedelta(days=14 + at)) for at in range(5, 8)]
    without = planned(services, limit=1)
    assert without[0].on > TODAY
    with_it = planned([(26, 26, TODAY - timedelta(days=200)), *services], limit=1)
    assert with_it[0].owner == 26 and with_it[0].on == TODAY
    assert days(with_it)[1:] == days(without)


def test_an_owner_with_nine_machines_is_rung_once() -> None:
    services = [(1, at, date(2027, 1, 15) + timedelta(days=5 * at)) for at in range(9)]
    [call] = planned(services, limit=1)
    assert len(call.services) == 9


def test_other_calls_take_their_places() -> None:
    services = [(1, 1, date(2027, 1, 15))]
    assert days(planned(services, limit=1, taken={date(2027, 1, 1): 1})) == ["2026-12-31"]


# --- in the shop
# --------------------------------------------------------------------------------------------------


@pytest.fixture
def busy(fresh_shop: Shop) -> Shop:
    """A shop with six machines, all served on the same day and used alike."""
    for at in range(6):
        add_owner(fresh_shop, name=f"Owner {at}", phone=f"01632 96010{at}", email="")
        add_machine(fresh_shop, owner=f"OW-{at + 1}", model="tarnwick-20", serial="", note="")
        record_use(fresh_shop, f"M-{at + 1}", "4 hours a week", date(2026, 6, 1))
        record_service(fresh_shop, f"M-{at + 1}", date(2026, 6, 1))
    return fresh_shop


def limited(shop: Shop, **limits: int) -> Shop:
    """The shop with limits in its settings."""
    settings = shop.folder / "shop.toml"
    lines = "".join(f"{key} = {value}\n" for key, value in limits.items())
    settings.write_text(
        settings.read_text(encoding="utf-8").replace("[bench]\n", f"[bench]\n{lines}"),
        encoding="utf-8",
    )
    return Shop(shop.folder, shop.today)


def service_days(shop: Shop) -> list[date]:
    return sorted(each.schedule.services[0].on for each in all_standings(shop))


def weeks(found: list[date]) -> list[int]:
    return sorted(Counter(day.isocalendar()[:2] for day in found).values())


def test_services_share_weeks_that_hold_only_so_many_and_none_is_late(busy: Shop) -> None:
    free = service_days(busy)
    assert len(set(free)) == 1
    two = limited(busy, services_a_week=2)
    assert weeks(service_days(two)) == [2, 2, 2]
    assert max(service_days(two)) == free[0]
    assert not any(each.schedule.services[0].late for each in all_standings(two))
    points = {len(each.schedule.services[0].points) for each in all_standings(two)}
    assert min(points) >= 10


def test_a_call_follows_the_placed_day_of_its_service(busy: Shop) -> None:
    shop = limited(busy, services_a_week=1, calls_a_day=1)
    for each in all_standings(shop):
        service, call = each.schedule.services[0], each.schedule.call
        assert call is not None
        assert (service.on - call.on).days >= shop.settings().lead_days
    calls = open_calls(shop)
    assert len({call.on for call in calls}) == 6


def test_one_machine_asked_for_has_the_same_day_as_among_all(busy: Shop) -> None:
    shop = limited(busy, services_a_week=1, calls_a_day=1)
    among_all = {
        each.record.number: (each.schedule.services[0].on, each.schedule.call)
        for each in all_standings(shop)
    }
    for number, told in among_all.items():
        alone = standing_of(shop, number).schedule
        assert (alone.services[0].on, alone.call) == told


def test_a_machine_in_the_shop_takes_no_place_and_what_is_done_this_week_takes_one(
    busy: Shop,
) -> None:
    shop = limited(busy, services_a_week=1)
    check_in(shop, "M-001", "squeaks", TODAY)
    late = Shop(shop.folder, OpenDays().first_open(service_days(shop)[-1] + timedelta(days=40)))
    states = Counter(each.schedule.state for each in all_standings(late))
    assert states[State.IN_THE_SHOP] == 1
    before = sorted(
        each.schedule.services[0].on
        for each in all_standings(late)
        if each.record.number != "M-001"
    )
    record_service(late, "M-002", late.today)
    after = sorted(
        each.schedule.services[0].on
        for each in all_standings(late)
        if each.record.number not in ("M-001", "M-002")
    )
    assert before[0].isocalendar()[:2] == late.today.isocalendar()[:2]
    assert after[0].isocalendar()[:2] > late.today.isocalendar()[:2]


@pytest.mark.parametrize("line", ["calls_a_day = 0", "services_a_week = -1", 'calls_a_day = "six"'])
def test_a_limit_that_holds_nothing_is_refused(line: str, fresh_shop: Shop) -> None:
    settings: Path = fresh_shop.folder / "shop.toml"
    settings.write_text(
        settings.read_text(encoding="utf-8").replace("[bench]\n", f"[bench]\n{line}\n"),
        encoding="utf-8",
    )
    with pytest.raises(FaultyList) as refused:
        assert Shop(fresh_shop.folder, TODAY).settings()
    assert "must be a whole number; write" not in refused.value.faults[0]
    assert "must be a whole number" in refused.value.faults[0]
