"""A machine that is gone falls due no more, and nobody is rung about it; its history stays."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import select

from oilchart.shop.folder import Shop
from oilchart.sources.book import schema
from tests.conftest import Run


def test_a_machine_that_is_gone_is_on_no_list_and_its_call_is_closed(
    run: Run, demo_shop: Shop
) -> None:
    shop = demo_shop.folder
    with demo_shop.calls() as calls:
        before = {call.id for call in calls if call.owner.name == "Ida Brandvold"}
    result = run("machine", "gone", "M-001", "sold", shop=shop)
    assert (
        result.stdout
        == "M-001 Ida Brandvold: gone (sold); it falls due no more, and nobody is rung about it\n"
    )
    assert "M-001" not in run("due", "--all", shop=shop).stdout
    assert "M-001" not in run("machine", "list", shop=shop).stdout
    with demo_shop.calls() as calls:
        assert before
        assert not before & {call.id for call in calls}
    assert run("schedule", "M-001", shop=shop).exit_code == 1


def test_its_history_stays_in_the_book_and_its_number_is_not_used_again(
    run: Run, demo_shop: Shop
) -> None:
    shop = demo_shop.folder
    run("machine", "gone", "M-018", "scrapped", "--on", "2026-11-20", shop=shop)
    with schema.open_book(shop / "shop.db", writing=False).connect() as connection:
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
