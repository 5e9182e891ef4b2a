"""Any change is taken back, and what follows is as if it had never been; that can be taken back,
too."""

from __future__ import annotations

import tempfile
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    precondition,
    rule,
    run_state_machine_as_test,
)

from oilchart.errors import BookFault, OilchartError
from oilchart.shop import machines, undo
from oilchart.shop.bench import safety
from oilchart.shop.folder import Shop
from tests.builders.lived import (
    Life,
    Step,
    add_machine,
    add_owner,
    read_closure,
    steps_of_machine,
    steps_of_owner,
)
from tests.counts import count_of, is_full

FIRST = date(2026, 1, 12)
NUMBER = st.integers(0, 50)


class Shops(RuleBasedStateMachine):
    """A shop in which anything is done, and any of it taken back; after that it is held against a
    twin that lived the same without it."""

    def __init__(self) -> None:
        super().__init__()
        self.room = tempfile.TemporaryDirectory()
        self.life = Life.begun(Path(self.room.name) / "shop", FIRST)
        self.twins = self.place = 0
        self.undone: dict[int, int] = {}  # the change by which a step is taken back, by its place
        self.highest: dict[str, int] = defaultdict(int)
        self.known = self.life.given()
        self.sequences: dict[tuple[str, str], int] = {}
        self.do(add_owner(0))
        self.do(add_machine(1, 0))

    def teardown(self) -> None:
        self.room.cleanup()

    def do(self, step: Step) -> None:
        """Do a step; no number that it gives was given before."""
        self.place += 1
        self.life.do(self.place, step)
        for table, ids in self.life.given().items():
            top = max(ids, default=0)
            assert all(each > self.highest[table] for each in ids - self.known[table]), table
            self.highest[table] = max(self.highest[table], top)
        self.known = self.life.given()

    def those(self, kind: str) -> list[int]:
        """The steps that added owners, or machines, and stand."""
        return [
            place
            for place, each in self.life.done.items()
            if (each.added or "").startswith(kind) and place not in self.undone
        ]

    @rule(days=st.sampled_from([1, 3, 30, 120]))
    def days_pass(self, days: int) -> None:
        self.life.today += timedelta(days=days)

    @rule(name=NUMBER)
    def an_owner_comes(self, name: int) -> None:
        self.do(add_owner(name))

    @precondition(lambda self: self.those("OW-"))
    @rule(data=st.data(), model=st.integers(0, 1))
    def a_machine_comes(self, data: st.DataObject, model: int) -> None:
        self.do(add_machine(data.draw(st.sampled_from(self.those("OW-"))), model))

    @precondition(lambda self: self.those("OW-"))
    @rule(data=st.data(), number=NUMBER)
    def something_is_told_of_an_owner(self, data: st.DataObject, number: int) -> None:
        owner = st.sampled_from(self.those("OW-"))
        self.do(
            data.draw(st.sampled_from(steps_of_owner(data.draw(owner), data.draw(owner), number)))
        )

    @precondition(lambda self: self.those("M-"))
    @rule(data=st.data(), number=NUMBER)
    def something_is_done_with_a_machine(self, data: st.DataObject, number: int) -> None:
        machine = data.draw(st.sampled_from(self.those("M-")))
        owner = data.draw(st.sampled_from(self.those("OW-")))
        self.do(data.draw(st.sampled_from(steps_of_machine(machine, owner, number))))

    @rule(number=NUMBER)
    def closures_are_read_from_a_calendar(self, number: int) -> None:
        self.do(read_closure(number))

    @rule()
    def the_calls_are_planned_and_their_calendar_written(self) -> None:
        self.do(lambda at: self.life.plan_in(at.book, at.shop))
        now = self.life.sequences()
        assert all(now[key] >= number for key, number in self.sequences.items())
        self.sequences = now

    @precondition(lambda self: any(each.change for each in self.life.done.values()))
    @rule(data=st.data(), stays=st.booleans())
    def one_is_taken_back(self, data: st.DataObject, stays: bool) -> None:
        standing = [
            place
            for place, each in self.life.done.items()
            if each.change is not None and place not in self.undone
        ]
        if not standing:
            return
        place = data.draw(st.sampled_from(standing))
        number = self.life.done[place].change
        before = (self.life.rows(), self.life.lists())
        taken = self.take_back(number)
        if taken is None:
            return
        self.undone[place] = taken
        self.twins += 1
        left = [each for each in self.life.done if each not in self.undone]
        twin = self.life.twin(Path(self.room.name) / f"twin-{self.twins}", left)
        assert self.life.rows() == twin.rows()
        assert self.life.lists() == twin.lists()
        if not stays:
            again = self.take_back(taken)
            assert again is not None
            del self.undone[place]
            assert (self.life.rows(), self.life.lists()) == before

    def take_back(self, number: int | None) -> int | None:
        """Take a change back; the number of the change that does so, None where it is refused; for
        a book it never is."""
        shop = self.life.shop
        try:
            with shop.book(writing=True) as book:
                undo.undo(book, shop, undo.to_be_undone(book, number), "told by mistake")
        except BookFault:
            raise
        except OilchartError:
            return None
        self.known = self.life.given()
        return book.kept


def test_after_an_undo_the_shop_is_as_one_in_which_the_change_was_never_made() -> None:
    tries = count_of("test_after_an_undo_the_shop_is_as_one_in_which_the_change_was_never_made")
    steps = 30 if is_full() else 12
    run_state_machine_as_test(
        Shops, settings=settings(max_examples=tries, stateful_step_count=steps, deadline=None)
    )


def test_that_a_machine_is_unsafe_is_taken_back_by_nobody_without_a_reason(
    demo_shop: Shop,
) -> None:
    with demo_shop.book(writing=True) as book:
        safety.mark_unsafe(book, demo_shop, "M-003", "bare wire", demo_shop.today)
    with demo_shop.book(writing=True) as book, pytest.raises(undo.ReasonWanted):
        undo.undo(book, demo_shop, undo.to_be_undone(book, None))
    with demo_shop.book(writing=True) as book:
        undo.undo(book, demo_shop, undo.to_be_undone(book, None), "it was M-004")
    with demo_shop.book() as book:
        assert machines.named(book, "M-003").dangers == ()


def taken_back(shop: Shop, number: int) -> int | None:
    """Take a change back; the number of the change that does so."""
    with shop.book(writing=True) as book:
        undo.undo(book, shop, undo.to_be_undone(book, number))
    return book.kept


def test_an_undo_can_be_taken_back_though_the_calls_were_planned_in_between(tmp_path: Path) -> None:
    life = Life.begun(tmp_path / "shop", FIRST)
    for place, step in enumerate([add_owner(0), add_machine(1, 0), steps_of_owner(1, 1, 0)[0]], 1):
        assert life.do(place, step)
    before = life.rows(), life.lists()
    undone = taken_back(life.shop, 3)
    life.lists()  # the plan withdraws the call that was to follow
    assert undone is not None
    taken_back(life.shop, undone)
    assert (life.rows(), life.lists()) == before


def test_a_promised_call_is_open_again_once_what_made_the_plan_withdraw_it_is_taken_back(
    tmp_path: Path,
) -> None:
    life = Life.begun(tmp_path / "shop", FIRST)
    reached, *_, leave_alone = steps_of_owner(1, 1, 0)
    for place, step in enumerate([add_owner(0), add_machine(1, 0), reached], 1):
        assert life.do(place, step)
    before = life.rows(), life.lists()
    assert life.do(4, leave_alone)
    life.lists()
    taken_back(life.shop, 4)
    assert (life.rows(), life.lists()) == before
