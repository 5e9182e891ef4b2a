"""What needs tipping, fine sight or force is the bench's, unless this owner can; the card
follows."""

from __future__ import annotations

import json

from oilchart.core.point_lists.point_list import Keeper, Need
from oilchart.shop.folder import Shop
from oilchart.sources.points.intervals import read_interval
from tests.builders.make import TODAY, a_chart, a_point
from tests.builders.shop_steps import add_machine, add_owner, record_service, standing_of
from tests.conftest import Run

TIPPED = a_point(
    "shaft",
    every="150-200 hours or 12 months",
    keeper="owner",
    needs=(Need.TIP,),
    every_home=read_interval("20 hours or 6 months"),
)


def keepers(shop: Shop) -> dict[str, Keeper]:
    return {plan.point.id: plan.point.keeper for plan in standing_of(shop, "M-001").schedule.points}


def test_a_point_that_needs_something_is_the_benchs_with_its_long_interval() -> None:
    point = a_chart(TIPPED).for_owner(()).points[0]
    assert (point.keeper, point.every.words) == (Keeper.BENCH, "150-200 hours or 12 months")
    assert a_chart(TIPPED).for_owner({Need.FINE}).points[0].keeper is Keeper.BENCH


def test_it_is_the_owners_with_its_interval_at_home_where_this_owner_can() -> None:
    point = a_chart(TIPPED).for_owner({Need.TIP, Need.FINE}).points[0]
    assert (point.keeper, point.every.words) == (Keeper.OWNER, "20 hours or 6 months")


def test_a_point_that_needs_two_things_wants_both() -> None:
    both = a_point("shaft", keeper="owner", needs=(Need.TIP, Need.FORCE))
    assert both.for_owner({Need.TIP}).keeper is Keeper.BENCH
    assert both.for_owner({Need.TIP, Need.FORCE}).keeper is Keeper.OWNER


def test_the_benchs_own_points_stay_the_benchs_whatever_an_owner_can() -> None:
    assert a_point("cap", needs=(Need.FORCE,)).for_owner(set(Need)).keeper is Keeper.BENCH


def test_the_card_and_the_schedule_follow_what_an_owner_can(fresh_shop: Shop, run: Run) -> None:
    add_owner(fresh_shop, name="Ida Brandvold", phone="", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    record_service(fresh_shop, "M-001", TODAY)
    assert keepers(fresh_shop)["hook-shaft-oil"] is Keeper.BENCH
    told = run(
        "owner", "edit", "Ida", "--can", "tip", "--phone", "020 7946 0107", shop=fresh_shop.folder
    ).stdout
    assert told == "OW-001 Ida Brandvold, 020 7946 0107, no e-mail: can do at home: tip the head\n"
    after = Shop(fresh_shop.folder, TODAY)
    assert keepers(after)["hook-shaft-oil"] is Keeper.OWNER
    assert keepers(after)["crank-links-oil"] is Keeper.BENCH  # it needs fine sight
    point = next(
        p
        for p in json.loads(run("schedule", "M-001", "--json", shop=fresh_shop.folder).stdout)[
            "points"
        ]
        if p["id"] == "hook-shaft-oil"
    )
    assert (point["keeper"], point["every"], point["state"]) == (
        "owner",
        "20-28 hours or 6 months",
        None,
    )
    run("owner", "edit", "Ida", "--cannot", "tip", shop=fresh_shop.folder)
    assert keepers(Shop(fresh_shop.folder, TODAY))["hook-shaft-oil"] is Keeper.BENCH


def test_a_machine_in_no_book_may_have_an_able_owner_too(run: Run) -> None:
    lines = ("schedule", "--model", "heron-3", "--json")
    usual, able = (
        json.loads(run(*lines, *more).stdout)["points"]
        for more in ((), ("--can", "tip", "--can", "fine"))
    )
    mine = [sum(point["keeper"] == "owner" for point in points) for points in (usual, able)]
    assert mine[1] == mine[0] + 3
    refused = run("schedule", "M-001", "--can", "tip")
    assert refused.exit_code == 2 and "--can: only with --model" in refused.stderr


def test_to_can_and_not_to_can_at_once_is_refused(fresh_shop: Shop, run: Run) -> None:
    add_owner(fresh_shop, name="Ida", phone="", email="")
    refused = run("owner", "edit", "Ida", "--can", "tip", "--cannot", "tip", shop=fresh_shop.folder)
    assert refused.exit_code == 1
    assert (
        refused.stderr
        == "oilchart: --can tip, --cannot tip: an owner either can or cannot; leave one of the two "
        "out\n"
    )
    wrong = run("owner", "edit", "Ida", "--can", "tipp", shop=fresh_shop.folder)
    assert wrong.exit_code == 2 and "did you mean tip?" in wrong.stderr
