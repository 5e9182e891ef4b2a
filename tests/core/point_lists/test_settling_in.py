"""A machine that was seized and freed settles in: oil again after 2 and 5 hours, a call after three
weeks, and its card says so."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pypdf

from oilchart.core.days import OpenDays
from oilchart.core.point_lists.settling_in import settling_call
from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.shop_steps import open_calls
from tests.conftest import Run


def freed(run: Run, shop: Shop, machine: str = "M-004") -> None:
    run("use", machine, "7 hours a week", shop=shop.folder)
    result = run("serviced", machine, *TESTED, "--freed", shop=shop.folder)
    assert result.stdout.splitlines()[-1] == (
        "It settles in: the owner oils all points again after 2 and after 5 hours of sewing. Ring "
        "the owner on Wednesday 16 December 2026."
    )


def settling_points(run: Run, shop: Shop, today: str) -> dict[str, dict[str, str]]:
    told = json.loads(run("schedule", "M-004", "--json", shop=shop.folder, today=today).stdout)
    return {
        point["id"]: point["due"]
        for point in told["points"]
        if point["id"].startswith("settling-in")
    }


def test_the_owner_oils_again_after_2_and_after_5_hours(run: Run, demo_shop: Shop) -> None:
    freed(run, demo_shop)
    # 7 hours a week are an hour a day
    assert {
        point: due["likely"] for point, due in settling_points(run, demo_shop, "2026-11-25").items()
    } == {
        "settling-in-2-hours": "2026-11-27",
        "settling-in-5-hours": "2026-11-30",
    }


def test_it_lasts_three_weeks(run: Run, demo_shop: Shop) -> None:
    freed(run, demo_shop)
    assert len(settling_points(run, demo_shop, "2026-12-16")) == 2
    assert settling_points(run, demo_shop, "2026-12-17") == {}


def test_the_card_says_so_while_it_lasts(run: Run, demo_shop: Shop) -> None:
    freed(run, demo_shop)
    for today, said in (("2026-11-25", True), ("2026-12-17", False)):
        run("card", "M-004", "-o", "card.pdf", shop=demo_shop.folder, today=today)
        text = " ".join(
            " ".join(page.extract_text() for page in pypdf.PdfReader("card.pdf").pages).split()
        )
        assert ("it was stuck and has been freed" in text) is said
        assert ("after the first 2 hours" in text) is said


def test_the_owner_is_rung_within_three_weeks_by_a_call_of_its_own(
    run: Run, demo_shop: Shop
) -> None:
    freed(run, demo_shop)
    calls = open_calls(demo_shop)
    about = [
        (call.on, call.about)
        for call in calls
        if any(record.number == "M-004" for record, _ in call.services)
    ]
    ids = {call.id for call in calls}
    assert (date(2026, 12, 16), "settling in") in about
    assert len(about) == 2
    text = run("calendar", "-o", "-", shop=demo_shop.folder).stdout
    assert "SUMMARY:Text Owen Tarrowby: Tarnwick 20 M-004\\, settling in" in text
    calls = open_calls(demo_shop)
    assert {call.id for call in calls} == ids


def test_the_owner_is_still_rung_on_the_last_of_six_weeks_and_no_day_later() -> None:
    freed_on, last = date(2026, 11, 25), date(2027, 1, 6)
    assert (last - freed_on).days == 42
    days = [
        settling_call(freed_on, today=today, open_days=OpenDays())
        for today in (last, last + timedelta(days=1))
    ]
    assert days == [last, None]


def test_a_machine_served_again_settles_in_no_more(run: Run, demo_shop: Shop) -> None:
    freed(run, demo_shop)
    served = run("serviced", "M-004", *TESTED, shop=demo_shop.folder, today="2026-11-26")
    assert served.exit_code == 0, served.output
    assert settling_points(run, demo_shop, "2026-11-26") == {}
    calls = open_calls(demo_shop)
    assert [call for call in calls if call.about == "settling in"] == []
