"""A machine that is gone falls due no more, and nobody is rung about it; its history stays."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest
from sqlalchemy import select

from oilchart.shop.folder import Shop
from oilchart.sources.book import schema
from oilchart.sources.book.file.opening import open_book
from tests.builders.shop_steps import add_machine, add_owner, all_owners, open_calls
from tests.conftest import Run


def test_a_machine_that_is_gone_is_on_no_list_and_its_call_is_closed(
    run: Run, demo_shop: Shop
) -> None:
    shop = demo_shop.folder
    calls = open_calls(demo_shop)
    before = {call.id for call in calls if call.owner.name == "Ida Brandvold"}
    result = run("machine", "gone", "M-001", "sold", shop=shop)
    assert (
        result.stdout
        == "M-001 Ida Brandvold: gone (sold); it falls due no more, and nobody is rung about it\n"
    )
    assert "M-001" not in run("due", "--all", shop=shop).stdout
    assert "M-001" not in run("machine", "list", shop=shop).stdout
    calls = open_calls(demo_shop)
    assert before
    assert not before & {call.id for call in calls}
    assert run("schedule", "M-001", shop=shop).exit_code == 1


def test_its_history_stays_in_the_book_and_its_number_is_not_used_again(
    run: Run, demo_shop: Shop
) -> None:
    shop = demo_shop.folder
    run("machine", "gone", "M-018", "scrapped", "--on", "2026-11-20", shop=shop)
    engine, _ = open_book(shop / "shop.db", writing=False)
    with engine.connect() as connection:
        t = schema.machine.c
        assert connection.execute(select(t.gone_on, t.gone_why).where(t.id == 18)).one() == (
            date(2026, 11, 20),
            "scrapped",
        )
        assert connection.execute(
            select(schema.report.c.id).where(schema.report.c.machine_id == 18)
        ).all()
    assert run("machine", "add", "Tarrowby", "heron-3", shop=shop).stdout.startswith("M-019 ")


@pytest.mark.parametrize(
    ("words", "code"),
    [(["M-001", "lost"], 2), (["M-001", "sold", "--on", "2026-11-26"], 1), (["M-099", "sold"], 1)],
)
def test_what_cannot_be_is_refused(run: Run, demo_shop: Shop, words: list[str], code: int) -> None:
    result = run("machine", "gone", *words, shop=demo_shop.folder)
    assert result.exit_code == code
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "alone"),
    [
        # who asked never to be rung is left alone, whatever becomes of the machine
        ((("owner", "edit", "Ida", "--leave-alone"), ("machine", "gone", "M-001", "sold")), True),
        # who went elsewhere with it and comes back may be rung again
        ((("called", "Ida", "goes-elsewhere"),), False),
    ],
)
def test_who_comes_back_may_be_rung_again_unless_they_asked_for_none(
    run: Run, fresh_shop: Shop, words: tuple[tuple[str, ...], ...], alone: bool
) -> None:
    add_owner(fresh_shop, name="Ida")
    add_machine(fresh_shop, owner="Ida", model="heron-3")
    for line in (*words, ("machine", "back", "M-001")):
        assert run(*line, shop=fresh_shop.folder).exit_code == 0
    [(owner, machines)] = all_owners(fresh_shop)
    assert machines == 1
    assert (owner.do_not_contact is not None) is alone


def test_owners_are_listed_with_as_many_machines_as_are_looked_after(
    run: Run, demo_shop: Shop
) -> None:
    run("machine", "gone", "M-001", "sold", shop=demo_shop.folder)
    add_owner(demo_shop, name="Without Machines", phone="", email="")
    with demo_shop.book() as book:
        of_owners = Counter(record.owner.id for record in book.machines.all())
    listed = all_owners(demo_shop)
    assert {owner.id: machines for owner, machines in listed} == {
        owner.id: of_owners[owner.id] for owner, _ in listed
    }
    assert listed[-1][1] == 0
