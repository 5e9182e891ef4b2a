"""Corrections as the shop keeps them: calls and bookings follow, nothing is lost."""

from __future__ import annotations

from datetime import date

import pytest

from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.records.owner import OwnerChange, Way
from oilchart.errors import OilchartError
from oilchart.shop import call_outcomes, machines, owners, reports
from oilchart.shop.call_outcomes import Telling
from oilchart.shop.corrections import machines as of_machines
from oilchart.shop.corrections import owners as of_owners
from oilchart.shop.corrections import services as of_services
from oilchart.shop.corrections import stays
from oilchart.shop.corrections.services import ServiceChange, ServiceCorrected
from oilchart.shop.corrections.stays import StayChange
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    all_machines,
    check_in,
    collect,
    mark_gone,
    open_calls,
    record_service,
    record_use,
    standing_of,
    the_machine,
)
from tests.builders.snapshot import rows_in

SERVED = date(2025, 9, 1)  # long enough ago for a call today


def two_owners(shop: Shop) -> None:
    """Two owners; the first has two machines that are overdue, the other none."""
    add_owner(shop, name="Ida Brandvold", phone="01632 960107")
    add_owner(shop, name="Owen Tarrowby", phone="01632 960121")
    for _ in range(2):
        record_service(shop, add_machine(shop, owner="OW-001", model="heron-3").number, SERVED)


def told(shop: Shop, owner: str, outcome: Outcome, day: date | None = None, *which: str) -> None:
    """Record what came of a call."""
    with shop.book(writing=True) as book:
        what = CallOutcome(on=shop.today, outcome=outcome, day=day)
        call_outcomes.record(book, shop, owner, what, Telling(named=which))


def mend(
    shop: Shop, machine: str, change: ServiceChange, on: date | None = None
) -> ServiceCorrected:
    """Mend a service."""
    with shop.book(writing=True) as book:
        return of_services.correct(book, shop, machines.found(book, machine), on, change)


def to_the_other(shop: Shop, machine: str = "M-001") -> None:
    """Mend the owner of a machine."""
    with shop.book(writing=True) as book:
        of_machines.correct_owner(book, shop, machine, "OW-002")


# the wrong owner


def test_a_promised_call_about_a_machine_and_its_booked_day_follow_it_to_its_owner(
    fresh_shop: Shop,
) -> None:
    two_owners(fresh_shop)
    told(fresh_shop, "OW-001", Outcome.LATER, date(2026, 12, 7))
    told(fresh_shop, "OW-001", Outcome.BOOKED, date(2026, 12, 9), "M-002")
    to_the_other(fresh_shop, "M-001")
    to_the_other(fresh_shop, "M-002")
    [call] = open_calls(fresh_shop)
    assert (call.owner.name, call.promised_on) == ("Owen Tarrowby", date(2026, 12, 7))
    assert [record.number for record, _ in call.services] == ["M-001"]
    assert the_machine(fresh_shop, "M-002").booked == date(2026, 12, 9)


def test_a_call_about_two_machines_is_parted_where_only_one_was_anothers(fresh_shop: Shop) -> None:
    two_owners(fresh_shop)
    told(fresh_shop, "OW-001", Outcome.LATER, date(2026, 12, 7))
    [before] = open_calls(fresh_shop)
    to_the_other(fresh_shop)
    calls = {call.owner.number: call for call in open_calls(fresh_shop)}
    assert calls["OW-001"].id == before.id
    for owner, machine in (("OW-001", "M-002"), ("OW-002", "M-001")):
        assert [record.number for record, _ in calls[owner].services] == [machine]
        assert calls[owner].promised_on == date(2026, 12, 7)


def test_what_one_owner_did_not_answer_is_no_try_to_reach_the_other(fresh_shop: Shop) -> None:
    add_owner(fresh_shop, name="Ida Brandvold", phone="01632 960107")
    add_owner(fresh_shop, name="Owen Tarrowby", phone="01632 960121")
    record_service(
        fresh_shop, add_machine(fresh_shop, owner="OW-001", model="heron-3").number, SERVED
    )
    for _ in range(2):
        told(fresh_shop, "OW-001", Outcome.NO_ANSWER)
    to_the_other(fresh_shop)
    [call] = open_calls(fresh_shop)
    assert (call.owner.number, call.outcomes) == ("OW-002", ())
    with fresh_shop.book(writing=True) as book:
        again = CallOutcome(on=TODAY, outcome=Outcome.NO_ANSWER)
        recorded = call_outcomes.record(book, fresh_shop, "OW-002", again)
    assert (recorded.tries, recorded.letter) == (1, False)


# a service


def test_a_service_of_a_wrong_year_ends_the_call_and_the_booking_once_its_year_is_right(
    fresh_shop: Shop,
) -> None:
    two_owners(fresh_shop)
    told(fresh_shop, "OW-001", Outcome.BOOKED, TODAY, "M-001")
    record_service(fresh_shop, "M-001", date(2024, 11, 24))
    assert the_machine(fresh_shop, "M-001").booked == TODAY
    change = ServiceChange(day=date(2026, 11, 24))
    mended = mend(fresh_shop, "M-001", change, date(2024, 11, 24))
    record = the_machine(fresh_shop, "M-001")
    assert record.booked is None
    assert [service.on for service in record.services] == [SERVED, date(2026, 11, 24)]
    assert record.is_tested(record.services[-1])
    assert mended.standing.schedule == standing_of(fresh_shop, "M-001").schedule
    assert mended.standing.schedule.services[0].on > TODAY


def test_a_day_that_has_a_service_already_is_refused(fresh_shop: Shop) -> None:
    two_owners(fresh_shop)
    record_service(fresh_shop, "M-001", date(2026, 11, 20))
    with pytest.raises(OilchartError, match="on 2026-11-20 there is a service already"):
        mend(fresh_shop, "M-001", ServiceChange(day=date(2026, 11, 20)), SERVED)
    check_in(fresh_shop, "M-002", "squeaks", date(2026, 11, 10))
    record_service(fresh_shop, "M-002", date(2026, 11, 20))
    with pytest.raises(OilchartError, match="in the stay of 2026-11-10 there is a service"):
        mend(fresh_shop, "M-002", ServiceChange(day=date(2026, 11, 12)), SERVED)


def test_a_service_is_of_the_stay_in_which_its_right_day_lies(fresh_shop: Shop) -> None:
    two_owners(fresh_shop)
    check_in(fresh_shop, "M-001", "squeaks", date(2026, 11, 10))
    collect(fresh_shop, "M-001", date(2026, 11, 14))
    record_service(fresh_shop, "M-001", date(2026, 11, 20))
    mend(fresh_shop, "M-001", ServiceChange(day=date(2026, 11, 12)))
    record = the_machine(fresh_shop, "M-001")
    assert record.services[-1].job == record.jobs[0].id
    mend(fresh_shop, "M-001", ServiceChange(day=date(2026, 11, 20)))
    assert the_machine(fresh_shop, "M-001").services[-1].job is None


def test_the_first_day_of_a_service_does_not_come_after_a_later_one_of_it(
    fresh_shop: Shop,
) -> None:
    two_owners(fresh_shop)
    check_in(fresh_shop, "M-001", "squeaks", date(2026, 11, 10))
    record_service(fresh_shop, "M-001", date(2026, 11, 11), excepted=["belt-inspect"])
    record_service(fresh_shop, "M-001", date(2026, 11, 13), also=["belt-inspect"])
    with pytest.raises(OilchartError, match="part of its work was done on 2026-11-13"):
        mend(fresh_shop, "M-001", ServiceChange(day=date(2026, 11, 14)))
    after = mend(fresh_shop, "M-001", ServiceChange(day=date(2026, 11, 13))).after
    assert after.last_day == date(2026, 11, 13)


def test_nothing_is_left_of_a_service_by_taking_it_back_alone(fresh_shop: Shop) -> None:
    two_owners(fresh_shop)
    service = the_machine(fresh_shop, "M-001").services[-1]
    every = tuple((each.point, "not done") for each in service.findings if each.done)
    with pytest.raises(OilchartError, match="nothing would be left of the service"):
        mend(fresh_shop, "M-001", ServiceChange(not_done=every))


# a stay


def test_stays_do_not_overlap_and_services_stay_in_theirs(fresh_shop: Shop) -> None:
    two_owners(fresh_shop)
    check_in(fresh_shop, "M-001", "squeaks", date(2026, 11, 1))
    record_service(fresh_shop, "M-001", date(2026, 11, 3))
    collect(fresh_shop, "M-001", date(2026, 11, 4))
    check_in(fresh_shop, "M-001", "howls", date(2026, 11, 10))

    def mended(number: str | None, change: StayChange) -> None:
        with fresh_shop.book(writing=True) as book:
            stays.correct(book, fresh_shop, "M-001", number, change)

    with pytest.raises(OilchartError, match="the stay J-001 of 2026-11-01 lasts until 2026-11-04"):
        mended(None, StayChange(came=date(2026, 11, 2)))
    with pytest.raises(OilchartError, match="its service of 2026-11-03 would not be in the stay"):
        mended("j1", StayChange(collected=date(2026, 11, 2)))
    mended("J-001", StayChange(collected=date(2026, 11, 5)))
    first, second = the_machine(fresh_shop, "M-001").jobs
    assert (first.out_on, second.in_on) == (date(2026, 11, 5), date(2026, 11, 10))


def test_the_day_of_an_earlier_owners_stay_is_mended_and_its_words_stay_in_the_book(
    fresh_shop: Shop,
) -> None:
    two_owners(fresh_shop)
    check_in(fresh_shop, "M-001", "howls at noon", date(2026, 11, 1))
    collect(fresh_shop, "M-001", date(2026, 11, 4))
    with fresh_shop.book(writing=True) as book:
        machines.hand_on(book, fresh_shop, "M-001", "OW-002", date(2026, 11, 10))
        stays.correct(book, fresh_shop, "M-001", None, StayChange(collected=date(2026, 11, 5)))
        with pytest.raises(OilchartError, match="J-001 was an earlier owner's"):
            stays.correct(book, fresh_shop, "M-001", None, StayChange(complaint="squeaks"))
    assert the_machine(fresh_shop, "M-001").jobs[0].out_on == date(2026, 11, 5)
    assert any("howls at noon" in row for row in rows_in(fresh_shop.book_path))


# a report


def test_of_two_reports_of_a_day_the_one_of_the_same_kind_is_corrected(fresh_shop: Shop) -> None:
    two_owners(fresh_shop)
    day = date(2026, 11, 20)
    for words in ("meter 1840 hours", "3 hours a week", "idle Jul"):
        record_use(fresh_shop, "M-001", words, day)
    for words in ("meter 184 hours", "idle Jul-Aug"):
        with fresh_shop.book(writing=True) as book:
            reports.correct(book, fresh_shop, "M-001", words, day)
    kept = [each.words for each in the_machine(fresh_shop, "M-001").reports]
    assert kept == ["meter 184 hours", "3 hours a week", "idle Jul-Aug"]


# an owner who was there twice


def test_an_owner_who_had_handed_a_machine_on_can_be_put_together_with_the_same_one(
    fresh_shop: Shop,
) -> None:
    two_owners(fresh_shop)
    add_owner(fresh_shop, name="Ida Brandvolt")
    with fresh_shop.book(writing=True) as book:
        machines.hand_on(book, fresh_shop, "M-001", "OW-002", TODAY)
        of_owners.merge(book, fresh_shop, of_owners.merging(book, "OW-001", "OW-003"))
    assert the_machine(fresh_shop, "M-001").owner.number == "OW-002"
    assert the_machine(fresh_shop, "M-002").owner.number == "OW-003"


def test_all_of_an_owner_goes_to_the_other_and_nobody_is_left_under_the_old_number(
    fresh_shop: Shop,
) -> None:
    two_owners(fresh_shop)
    mark_gone(fresh_shop, "M-002", "sold", TODAY)
    told(fresh_shop, "OW-001", Outcome.LATER, date(2026, 12, 7))
    with fresh_shop.book(writing=True) as book:
        owners.edit(book, fresh_shop, "OW-001", OwnerChange(note="has a dog", best_time="at noon"))
        owners.edit(book, fresh_shop, "OW-001", OwnerChange(reached_by=Way.TEXT))
        owners.edit(book, fresh_shop, "OW-001", OwnerChange(do_not_contact=True))
        both = of_owners.merging(book, "OW-001", "OW-002")
        after = of_owners.merge(book, fresh_shop, both)
    assert (after.number, after.reached_by) == ("OW-002", Way.PHONE)
    assert [each.number for each in after.phones] == ["01632 960121", "01632 960107"]
    assert after.best_time == "at noon"
    assert after.do_not_contact is not None  # it was asked for; only the other could be rung
    with fresh_shop.book(writing=True) as book:
        kept = book.owners.all()
        assert list(kept) == [2]
        assert kept[2] == after
        assert [each.words for each in kept[2].notes] == [
            "has a dog",
            "was written down twice, as OW-001: name Ida Brandvold; reach by text",
        ]
        assert [each.outcome for each in book.outcomes.by_owner()[2]] == [Outcome.LATER]
        machines.restore(book, "M-002")
        owners.edit(book, fresh_shop, "OW-002", OwnerChange(do_not_contact=False))
    assert {record.owner.number for record in all_machines(fresh_shop)} == {"OW-002"}
    [call] = open_calls(fresh_shop)
    assert (call.owner.number, call.promised_on) == ("OW-002", date(2026, 12, 7))
