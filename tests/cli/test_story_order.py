"""The story of a machine tells one day in the order of the day."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.make import TODAY
from tests.conftest import Run

SERVED = ("serviced", "M-001", *TESTED)
RUNG = ("called", "M-001", "reached")
IN = ("checkin", "M-001", "runs heavily", "--use", "5 hours a week")
READY, OUT = ("ready", "M-001"), ("collected", "M-001")


@pytest.mark.parametrize(
    ("before", "day", "told"),
    [
        # all on one day, as a small repair is; the owner is rung when it is ready
        (
            [],
            [IN, SERVED, READY, RUNG, OUT],
            ["came in", "service", "electrical check", "ready", "call", "said", "collected"],
        ),
        # they are rung in the morning, and bring it
        ([], [RUNG, IN], ["call", "came in", "said"]),
        # it is here for days; they are rung once the work is done
        ([IN], [SERVED, RUNG], ["service", "electrical check", "call"]),
        ([IN], [SERVED, READY, RUNG], ["service", "electrical check", "ready", "call"]),
        ([IN, SERVED, READY], [RUNG, OUT], ["call", "collected"]),
        # it was seen at its owner's, and they are rung after that
        ([], [SERVED, RUNG], ["service", "electrical check", "call"]),
        ([], [("fixed", "M-001", "belt"), RUNG], ["repair", "call"]),
        # a call alone, and the use that was told on it
        ([], [("use", "M-001", "3 hours a week"), RUNG], ["call", "said"]),
    ],
)
def test_one_day_is_told_in_its_order(
    demo_shop: Shop,
    run: Run,
    before: list[tuple[str, ...]],
    day: list[tuple[str, ...]],
    told: list[str],
) -> None:
    for on, steps in ((TODAY - timedelta(days=1), before), (TODAY, day)):
        for words in steps:
            mine = ("called", "Brandvold", *words[2:]) if words[0] == "called" else words
            done = run(*mine, shop=demo_shop.folder, today=on)
            assert done.exit_code == 0, done.stderr
    assert kinds(run("machine", "show", "M-001", shop=demo_shop.folder).stdout, TODAY) == told


def kinds(story: str, on: date) -> list[str]:
    """What happened on a day, in the order in which a story tells it."""
    day = f"{on.day} {on:%b} {on.year}"
    past = story.partition("So far")[2].partition("To come")[0]
    return re.findall(rf"^{day}\s+(\S+(?: \S+)*)", past, re.MULTILINE)
