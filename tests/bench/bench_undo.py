"""Measures what it costs to keep what a command changed, so that it can be taken back.

By hand: python -m tests.bench.bench_undo. It prints ratios from one run, which hold on any machine.
`pytest` runs it once, short, to see that one way keeps the change and the other does not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from shutil import copytree
from statistics import median
from tempfile import TemporaryDirectory

import pytest

from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.records.job import ElectricalCheck
from oilchart.core.records.service_notes import ServiceNotes
from oilchart.shop import call_outcomes, machines, reports
from oilchart.shop.bench import jobs, services
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from tests.bench.measure import TIMES, Figure, hold, seconds, tell
from tests.conftest import make_demo

MOST = 1.3
Writing = Callable[[Book, Shop], object]


def serve(book: Book, shop: Shop) -> None:
    """A whole service, the largest of the usual changes."""
    check = ElectricalCheck(on=shop.today, by="R. Amsel", passed=True)
    found = machines.found(book, "M-003")
    services.record(book, shop, found, shop.today, ServiceNotes(check=check))


def hear(book: Book, shop: Shop) -> None:
    """Words of use, a small change."""
    reports.add(book, shop, "M-003", "5 hours a week", shop.today)


def call(book: Book, shop: Shop) -> None:
    """What came of a call, before which all calls are planned."""
    call_outcomes.record(
        book, shop, "OW-003", CallOutcome(on=shop.today, outcome=Outcome.NO_ANSWER)
    )


def come_in(book: Book, shop: Shop) -> None:
    """A machine that comes into the shop."""
    jobs.check_in(book, shop, "M-003", jobs.CheckIn(on=shop.today, complaint="makes loops"))


COMMANDS: dict[str, Writing] = {
    "a service": serve,
    "words of use": hear,
    "a call": call,
    "a check-in": come_in,
}


def write(shop: Shop, writing: Writing, *, undoable: bool) -> int | None:
    """Write in a shop; the number of the change where it is kept."""
    with shop.book(writing=True, undoable=undoable) as book:
        writing(book, shop)
    return book.kept


def figures(times: int = TIMES) -> Iterator[Figure]:
    """What each way of writing costs with the change kept against without, each in a shop of its
    own, in turns."""
    with TemporaryDirectory() as room:
        demo, made = make_demo(Path(room) / "demo"), 0
        for words, writing in COMMANDS.items():
            ratios = []
            for _ in range(times):
                taken = []
                for undoable in (False, True):
                    made += 1
                    shop = Shop(Path(room) / str(made), demo.today)
                    copytree(demo.folder, shop.folder)

                    taken.append(seconds(partial(write, shop, writing, undoable=undoable)))
                ratios.append(taken[1] / taken[0])
            yield Figure(
                words=f"{words}: {{:.2f}} times as long with what it changed kept",
                value=median(ratios),
                most=MOST,
            )


@pytest.mark.parametrize("words", COMMANDS)
def test_one_way_keeps_the_change_and_the_other_does_not(words: str, tmp_path: Path) -> None:
    kept, bare = make_demo(tmp_path / "kept"), make_demo(tmp_path / "bare")
    assert write(kept, COMMANDS[words], undoable=True) == 1
    assert write(bare, COMMANDS[words], undoable=False) is None


@pytest.mark.full
def test_a_change_kept_costs_little_more_than_the_writing_itself(
    record_property: Callable[[str, object], None],
) -> None:
    hold(figures(), record_property)


if __name__ == "__main__":
    tell(figures())
