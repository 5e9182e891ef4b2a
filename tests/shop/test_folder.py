"""The front door: who is worst off, whom to ring, what a service covers, and how a machine may be
called."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from oilchart.core.due.due_dates import WORST_FIRST, State
from oilchart.core.planning.standing import OpenCall
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.errors import OilchartError, UnknownName
from oilchart.shop.calls import plan
from oilchart.shop.folder import Shop
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from tests.builders.make import TODAY, loose_schedule
from tests.builders.present import the
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    all_machines,
    all_owners,
    all_standings,
    open_calls,
    record_service,
    record_use,
    standing_of,
)
from tests.builders.snapshot import call_stamps

FIRST = date(2026, 3, 2)  # of services without a report: due again a year later


def on(shop: Shop, day: date) -> Shop:
    """The same shop on another day."""
    return Shop(shop.folder, day)


def machine_of(
    shop: Shop, owner: str, model: str = "heron-3", *, serviced: date | None = None, phone: str = ""
) -> str:
    """Add a machine, with its owner where that is a new one."""
    if owner not in [known.name for known, _ in all_owners(shop)]:
        add_owner(shop, name=owner, phone=phone, email="")
    number = add_machine(shop, owner=owner, model=model, serial="", note="").number
    if serviced:
        record_service(shop, number, serviced)
    return number


def calls(shop: Shop) -> list[OpenCall]:
    return open_calls(shop)


def due_soon_call(shop: Shop, number: str) -> date:
    """The day on which the schedule has its call."""
    call = standing_of(shop, number).schedule.call
    assert call is not None
    return call.on


# who is worst off


def test_machines_stand_the_worst_first(fresh_shop: Shop) -> None:
    in_time = machine_of(fresh_shop, "Ann", serviced=date(2026, 11, 2))
    unserved = machine_of(fresh_shop, "Bea")
    long_overdue = machine_of(fresh_shop, "Cleo", serviced=date(2024, 3, 1))
    due_soon = machine_of(fresh_shop, "Dot", serviced=date(2025, 12, 1))
    overdue = machine_of(fresh_shop, "Eve", serviced=date(2025, 3, 1))
    much_used = machine_of(fresh_shop, "Fay", serviced=date(2026, 6, 1))
    record_use(fresh_shop, much_used, "4-20 hours a week", date(2026, 6, 1))
    standings = [
        (standing.record.number, standing.schedule.state) for standing in all_standings(fresh_shop)
    ]
    assert standings == [
        (long_overdue, State.OVERDUE),
        (overdue, State.OVERDUE),
        (unserved, State.FIRST_SERVICE),
        (much_used, State.LIKELY_OVERDUE),
        (due_soon, State.DUE_SOON),
        (in_time, State.IN_TIME),
    ]


def test_the_demo_stands_in_the_order_of_states_and_within_one_by_risk_and_days_left(
    demo_shop: Shop,
) -> None:
    schedules = [standing.schedule for standing in all_standings(demo_shop)]
    ranks = [WORST_FIRST.index(schedule.state) for schedule in schedules]
    assert ranks == sorted(ranks)
    for state in {schedule.state for schedule in schedules} - {State.FIRST_SERVICE}:
        alike = [schedule for schedule in schedules if schedule.state is state]
        assert not [
            schedule for schedule in alike if schedule.risk is None or schedule.due.likely is None
        ]
        ranks_within = [
            (-round(the(each.risk).weight, 2), each.due.days_left(demo_shop.today))
            for each in alike
        ]
        assert ranks_within == sorted(ranks_within)


def test_a_wider_look_ahead_finds_more_machines_due_soon(fresh_shop: Shop) -> None:
    machine_of(fresh_shop, "Ann", serviced=TODAY.replace(year=2025) + timedelta(days=20))
    [narrow], [wide] = all_standings(fresh_shop, 19), all_standings(fresh_shop, 20)
    assert (narrow.schedule.state, wide.schedule.state) == (State.IN_TIME, State.DUE_SOON)


# whom to ring


def test_a_call_keeps_its_number_and_stamps_on_a_second_look(fresh_shop: Shop) -> None:
    machine_of(fresh_shop, "Ann", serviced=FIRST)
    [first] = calls(fresh_shop)
    assert call_stamps(fresh_shop.book_path, first.id) == (TODAY, TODAY, 0)
    assert [first] == calls(on(fresh_shop, TODAY + timedelta(days=3)))


def test_the_call_is_the_one_the_schedule_names(fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    [call] = calls(fresh_shop)
    schedule = standing_of(fresh_shop, number).schedule
    assert call.on == due_soon_call(fresh_shop, number)
    assert [(record.number, day) for record, day in call.services] == [
        (number, schedule.services[0].on)
    ]


def test_a_call_moves_in_its_place_when_the_use_changes(fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    [before] = calls(fresh_shop)
    later = on(fresh_shop, TODAY + timedelta(days=5))
    record_use(later, number, "4 hours a week", TODAY)
    [after] = calls(later)
    assert after.id == before.id
    assert after.on < before.on
    assert call_stamps(later.book_path, after.id) == (TODAY, later.today, 1)
    assert [after] == calls(later)


def test_a_service_closes_the_call_and_the_next_one_gets_a_number_of_its_own(
    fresh_shop: Shop,
) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    [before] = calls(fresh_shop)
    record_service(fresh_shop, number, TODAY)
    [after] = calls(fresh_shop)
    assert after.id > before.id
    assert after.on > before.on


def test_an_older_service_told_late_does_not_close_the_call(fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    [before] = calls(fresh_shop)
    record_service(fresh_shop, number, FIRST - timedelta(days=300))
    assert [call.id for call in calls(fresh_shop)] == [before.id]


def test_a_service_of_one_machine_leaves_the_shared_call_to_the_other_and_counts_as_a_change(
    fresh_shop: Shop,
) -> None:
    first = machine_of(fresh_shop, "Ann", serviced=FIRST)
    second = machine_of(fresh_shop, "Ann", serviced=FIRST)
    [before] = calls(fresh_shop)
    assert [record.number for record, _ in before.services] == [first, second]
    later = on(fresh_shop, TODAY + timedelta(days=5))
    record_service(later, first, later.today)
    kept, new = calls(later)
    assert kept.id == before.id
    assert [record.number for record, _ in kept.services] == [second]
    # a calendar takes an entry in anew only if it says that it was changed
    assert kept.on == before.on
    assert call_stamps(later.book_path, kept.id) == (TODAY, later.today, 1)
    assert new.id > before.id
    assert [record.number for record, _ in new.services] == [first]


def test_one_call_and_one_visit_serve_an_owners_machines_within_sixty_days_of_the_first(
    fresh_shop: Shop,
) -> None:
    apart: dict[str, int] = {}
    # the next service is on a Thursday, so that 60 and 61 days after it are open days
    start = date(2026, 3, 4)
    for days in (0, 30, 60, 61, 90):
        owner = f"Owner {days} apart"
        pair = [
            machine_of(fresh_shop, owner, serviced=start + timedelta(days=later))
            for later in (0, days)
        ]
        first, second = (standing_of(fresh_shop, number).schedule.services[0].on for number in pair)
        apart[owner] = (second - first).days
    made: dict[str, int] = dict.fromkeys(apart, 0)
    for call in calls(fresh_shop):
        made[call.owner.name] += 1
    assert list(apart.values()) == [0, 0, 0, 61, 90]
    assert made == {owner: 2 if days else 1 for owner, days in apart.items()}


def test_machines_of_two_owners_never_share_a_call(fresh_shop: Shop) -> None:
    machine_of(fresh_shop, "Ann", serviced=FIRST)
    machine_of(fresh_shop, "Bea", serviced=FIRST)
    assert [call.owner.name for call in calls(fresh_shop)] == ["Ann", "Bea"]


def test_calls_that_come_together_keep_the_first_number_and_withdraw_the_other(
    fresh_shop: Shop,
) -> None:
    early = machine_of(fresh_shop, "Ann", serviced=FIRST)
    late = machine_of(fresh_shop, "Ann", serviced=FIRST + timedelta(days=150))
    first, second = calls(fresh_shop)
    assert [[record.number for record, _ in call.services] for call in (first, second)] == [
        [early],
        [late],
    ]
    record_use(fresh_shop, late, "6 hours a week", FIRST + timedelta(days=150))
    [together] = calls(fresh_shop)
    assert together.id == first.id
    assert {record.number for record, _ in together.services} == {early, late}


def test_calls_that_could_not_be_shown_are_not_kept(fresh_shop: Shop) -> None:
    machine_of(fresh_shop, "Ann", serviced=FIRST)
    with pytest.raises(ZeroDivisionError), fresh_shop.book(writing=True) as book:
        assert plan(book, fresh_shop).calls
        raise ZeroDivisionError
    [call] = calls(on(fresh_shop, TODAY + timedelta(days=1)))
    made_on, _, _ = call_stamps(fresh_shop.book_path, call.id)
    assert made_on == TODAY + timedelta(days=1)


# what a service covers


# done by the check that is passed with it, never by being told
MAINS_TEST = {"insulation-test"}


def points_of(shop: Shop, number: str, **told: Any) -> tuple[set[str], set[str]]:
    """Record a service today: the points done, and those left out."""
    findings = record_service(shop, number, shop.today, **told).told.service.findings
    return {finding.point for finding in findings if finding.done}, {
        finding.point for finding in findings if finding.planned and not finding.done
    }


def test_the_first_service_does_every_point(fresh_shop: Shop) -> None:
    done, left_out = points_of(fresh_shop, machine_of(fresh_shop, "Ann"))
    everything = {point.id for point in fresh_shop.library.point_list("heron-3").points}
    assert done == everything - MAINS_TEST
    assert left_out == MAINS_TEST


def test_a_later_service_leaves_deep_points_that_can_wait(fresh_shop: Shop) -> None:
    point_list = fresh_shop.library.point_list("heron-3")
    deep = {point.id for point in point_list.kept_by(Keeper.BENCH) if point.deep}
    assert len(deep) >= 3
    done, left_out = points_of(fresh_shop, machine_of(fresh_shop, "Ann", serviced=FIRST))
    assert done == {point.id for point in point_list.points} - deep - MAINS_TEST
    assert left_out == MAINS_TEST


def test_a_deep_point_is_done_when_it_would_fall_due_before_the_next_service(
    fresh_shop: Shop,
) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=date(2024, 3, 1))
    due_before = {
        plan.point.id
        for plan in standing_of(fresh_shop, number).schedule.points
        if plan.point.deep
        and plan.due
        and plan.due.likely
        and plan.due.likely < TODAY.replace(year=2027) - timedelta(days=3)
    }
    assert due_before  # three years are over in the year that follows
    done, _ = points_of(fresh_shop, number)
    assert {
        point.id for point in fresh_shop.library.point_list("heron-3").points if point.deep
    } & done == due_before


def test_excepted_points_are_kept_as_not_done_and_stay_due_from_before(fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    done, left_out = points_of(fresh_shop, number, excepted=["belt-inspect", "needle-bar-oil"])
    assert left_out - MAINS_TEST == {"belt-inspect", "needle-bar-oil"}
    assert not done & left_out
    days = {plan.point.id: plan.done for plan in standing_of(fresh_shop, number).schedule.points}
    assert (days["belt-inspect"], days["needle-bar-oil"], days["lamp-inspect"]) == (
        FIRST,
        FIRST,
        TODAY,
    )


def test_also_adds_a_deep_point_that_could_have_waited(fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    done, _ = points_of(fresh_shop, number, also=["motor-dust-clean"])
    assert "motor-dust-clean" in done
    assert "needle-bar-frame-clean" not in done
    plan = standing_of(fresh_shop, number).schedule.plan("motor-dust-clean")
    assert plan is not None
    assert plan.done == TODAY


def test_what_was_found_and_left_is_kept_also_of_a_point_that_was_not_done(
    fresh_shop: Shop,
) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    kept_service = record_service(
        fresh_shop,
        number,
        TODAY,
        excepted=["belt-inspect"],
        found=[
            ("belt-inspect", (Found.WORN,)),
            ("lamp-inspect", (Found.GOOD,)),
            ("belt-inspect", (Found.CRACKED, Found.WORN)),
        ],
        left=[("belt-inspect", Left.PART_ORDERED), ("motor-dust-clean", Left.WATCH)],
    )
    kept = {finding.point: finding for finding in kept_service.told.service.findings}
    # what is told twice of a point is told of it together
    assert kept["belt-inspect"] == Finding(
        point="belt-inspect",
        done=False,
        found=(Found.WORN, Found.CRACKED),
        left=Left.PART_ORDERED,
        why="not asked for",
    )
    assert kept["lamp-inspect"] == Finding(
        point="lamp-inspect", done=True, found=(Found.GOOD,), left=None, ticked=True
    )
    # a deep point that was looked at but could wait
    assert kept["motor-dust-clean"] == Finding(
        point="motor-dust-clean", done=False, planned=False, found=(), left=Left.WATCH
    )
    [machine] = all_machines(fresh_shop)
    assert {finding.point: finding for finding in machine.services[-1].findings} == kept


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (
            {"excepted": ["belt-inspekt"]},
            r'^M-001: point "belt-inspekt": .* did you mean belt-inspect',
        ),
        ({"also": ["belt-inspekt"]}, r"did you mean belt-inspect"),
        ({"found": [("belt-inspekt", (Found.WORN,))]}, r"did you mean belt-inspect"),
        ({"left": [("belt-inspekt", Left.WATCH)]}, r"did you mean belt-inspect"),
        (
            {"excepted": ["belt-inspect"], "also": ["belt-inspect"]},
            r'^point "belt-inspect": .* told as excepted and as also',
        ),
        (
            {"left": [("belt-inspect", Left.WATCH), ("belt-inspect", Left.GOOD)]},
            r'^point "belt-inspect": .* told as left twice',
        ),
    ],
)
def test_a_service_that_cannot_have_been_is_refused_and_not_kept(
    told: dict[str, Any], said: str, fresh_shop: Shop
) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    with pytest.raises(OilchartError, match=said):
        record_service(fresh_shop, number, TODAY, **told)
    assert [service.on for service in all_machines(fresh_shop)[0].services] == [FIRST]


def test_a_service_recorded_out_of_order_changes_no_date_after_it(fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=TODAY)
    before = standing_of(fresh_shop, number).schedule
    kept = record_service(fresh_shop, number, FIRST)
    standing = kept.standing
    # it was the first one then
    assert not [each.point for each in kept.told.left_out]
    assert [service.on for service in standing.record.services] == [FIRST, TODAY]
    assert standing.schedule.machine.served == TODAY
    assert standing.schedule.due == before.due
    assert {plan.done for plan in standing.schedule.points} == {TODAY}


@pytest.mark.parametrize("days", [1, 400])
def test_neither_work_nor_words_of_tomorrow_are_taken_down(days: int, fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann")
    tomorrow = TODAY + timedelta(days=days)
    for refused in (
        lambda: record_service(fresh_shop, number, tomorrow),
        lambda: record_use(fresh_shop, number, "none", tomorrow),
    ):
        with pytest.raises(OilchartError, match=f"^on {tomorrow}: .* is after today, 2026-11-25"):
            refused()
    [machine] = all_machines(fresh_shop)
    assert (machine.reports, machine.services) == ((), ())


def test_a_machine_in_no_book_stands_as_one_in_the_book_does(fresh_shop: Shop) -> None:
    number = machine_of(fresh_shop, "Ann", serviced=FIRST)
    record_use(fresh_shop, number, "5-8 hours a week; idle Jul-Aug", TODAY)
    kept = standing_of(fresh_shop, number).schedule
    unregistered = loose_schedule(
        fresh_shop.library.point_list("heron-3"),
        "5-8 hours a week; idle Jul-Aug",
        FIRST,
        TODAY,
        WITHOUT_A_SHOP,
    )
    assert (
        unregistered.state,
        unregistered.due,
        unregistered.use,
        unregistered.points,
        unregistered.services,
    ) == (
        kept.state,
        kept.due,
        kept.use,
        kept.points,
        kept.services,
    )
    assert unregistered.call is not None and kept.call is not None
    assert unregistered.call.on == kept.call.on


# how a machine or an owner may be called


@pytest.fixture
def three_owners(fresh_shop: Shop) -> Shop:
    machine_of(fresh_shop, "Zdeňka Řeháková", phone="01632 960126")
    machine_of(fresh_shop, "Zdena Ulm", model="velmora-7", phone="+44 1632 960133")
    add_owner(fresh_shop, name="Gülten Akyıldız", phone="(01632) 960-170", email="")
    add_machine(fresh_shop, owner="Gülten", model="velmora-7", serial="V7-0042", note="")
    return fresh_shop


@pytest.mark.parametrize(
    ("name", "number"),
    [
        # numbers, written as one types them
        ("M-002", "M-002"),
        ("m-002", "M-002"),
        ("M-2", "M-002"),
        ("m2", "M-002"),
        (" M-002 ", "M-002"),
        ("OW-3", "M-003"),
        # part of a name, in any case and however its letters are composed
        ("řeháková", "M-001"),
        ("r\u030ceha\u0301kova\u0301", "M-001"),
        ("zdena  ulm", "M-002"),
        ("gül", "M-003"),
        # without accents, blanks and hyphens; words in any order
        ("rehakova", "M-001"),
        ("ulm zdena", "M-002"),
        ("gulten akyildiz", "M-003"),
        ("v70042", "M-003"),
        ("v7 0042", "M-003"),
        ("velmora akyıldız", "M-003"),
        # the number alone
        ("2", "M-002"),
        # part of a phone number, however its digits are parted
        ("01632 960126", "M-001"),
        ("01632960126", "M-001"),
        ("960-126", "M-001"),
        ("+441632960133", "M-002"),
        ("01632 960170", "M-003"),
        # what else only one machine has
        ("V7-0042", "M-003"),
        ("heron", "M-001"),
    ],
)
def test_a_machine_is_found_by_whatever_fits_only_one(
    name: str, number: str, three_owners: Shop
) -> None:
    assert standing_of(three_owners, name).record.number == number


@pytest.mark.parametrize(
    ("name", "said"),
    [
        # several, named by their numbers
        (
            "Zde",
            'machine "Zde": fits 2: M-001 (Zdeňka Řeháková), M-002 (Zdena Ulm); name one of them '
            "by its number",
        ),
        (
            "01632",
            'machine "01632": fits 2: M-001 (Zdeňka Řeháková), M-003 (Gülten Akyıldız); name one '
            "of them by its number",
        ),
        (
            "velmora-7",
            'machine "velmora-7": fits 2: M-002 (Zdena Ulm), M-003 (Gülten Akyıldız); name one of '
            "them by its number",
        ),
        # none, with the nearest or the first few
        (
            "M-009",
            'machine "M-009": there is none of that number, name or phone; did you mean M-003 or '
            "M-002 or M-001?",
        ),
        (
            "",
            'machine "": there is none of that number, name or phone; there are: M-001, M-002, '
            "M-003",
        ),
        (
            "Ida",
            'machine "Ida": there is none of that number, name or phone; there are: M-001, M-002, '
            "M-003",
        ),
    ],
)
def test_what_fits_none_or_several_is_refused_with_those_there_are(
    name: str, said: str, three_owners: Shop
) -> None:
    with pytest.raises(UnknownName) as refused:
        standing_of(three_owners, name)
    assert str(refused.value).startswith(said)


@pytest.mark.parametrize(
    ("name", "owner"),
    [
        ("OW-002", "Zdena Ulm"),
        ("ow2", "Zdena Ulm"),
        ("ulm", "Zdena Ulm"),
        ("960126", "Zdeňka Řeháková"),
        ("1632960170", "Gülten Akyıldız"),
    ],
)
def test_an_owner_is_found_by_whatever_fits_only_one(
    name: str, owner: str, three_owners: Shop
) -> None:
    assert (
        add_machine(three_owners, owner=name, model="heron-3", serial="", note="").owner.name
        == owner
    )


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "Zde",
            'owner "Zde": fits 2: OW-001 (Zdeňka Řeháková), OW-002 (Zdena Ulm); name one of them '
            "by its number",
        ),
        (
            "Zdenka Ulm",
            'owner "Zdenka Ulm": there is none of that number, name or phone; did you mean OW-002 '
            "(Zdena Ulm)",
        ),
    ],
)
def test_a_machine_is_not_added_to_an_owner_who_fits_none_or_several(
    name: str, said: str, three_owners: Shop
) -> None:
    with pytest.raises(UnknownName) as refused:
        add_machine(three_owners, owner=name, model="heron-3", serial="", note="")
    assert str(refused.value).startswith(said)
    assert len(all_machines(three_owners)) == 3


def test_a_machine_is_not_added_without_a_list_of_its_model(three_owners: Shop) -> None:
    with pytest.raises(
        UnknownName, match='model "heron-33": there is no such model; did you mean heron-3'
    ):
        add_machine(three_owners, owner="Ulm", model="heron-33", serial="", note="")
    assert len(all_machines(three_owners)) == 3
