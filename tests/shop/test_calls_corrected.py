"""An outcome of a call that is told in the place of another, whatever both are, and whatever was
told before, is as if it had been told at once."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.planning.follow_up import MAY_HAVE_A_DAY, CallOutcome, Outcome
from oilchart.errors import OilchartError
from oilchart.papers.tables.calls import calls_json
from oilchart.papers.tables.due import due_json
from oilchart.shop import call_outcomes, calls
from oilchart.shop.call_outcomes import OF_SOME, Telling
from oilchart.shop.corrections import calls as corrections
from oilchart.shop.corrections.calls import OutcomeChange
from oilchart.shop.folder import make_shop
from tests.builders.lived import NAMESPACE, Life
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, record_service
from tests.counts import counted


@dataclass(frozen=True)
class Told:
    """What is told of Ida on a day, counted from today."""

    outcome: Outcome
    after: int
    day_after: int | None
    one: bool

    def on(self, life: Life) -> tuple[CallOutcome, Telling]:
        """The same as it is told."""
        day = None
        if self.day_after is not None and self.outcome in MAY_HAVE_A_DAY:
            with life.shop.book() as book:
                open_days = life.shop.settings_in(book).limits.open_days
            day = open_days.first_open(life.today + timedelta(days=self.day_after))
        named = ("M-001",) if self.one and self.outcome in OF_SOME else ()
        return CallOutcome(on=life.today, outcome=self.outcome, day=day), Telling(named=named)


TOLD = st.builds(
    Told,
    outcome=st.sampled_from(list(Outcome)),
    after=st.sampled_from([0, 0, 1, 8, 40]),
    day_after=st.sampled_from([None, 1, 9, 30, 30]),
    one=st.booleans(),
)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop in which Ida has two machines, and Bo one, that were served long ago; one of Ida's was
    freed."""
    shop = make_shop(tmp_path_factory.mktemp("served") / "shop", TODAY, namespace=NAMESPACE)
    for name in ("Ida Brandvold", "Bo Tarrowby"):
        add_owner(shop, name=name, phone="01632 960107")
    for owner, on, freed in (
        ("Ida", date(2024, 11, 25), False),
        ("Ida", date(2026, 11, 2), True),
        ("Bo", date(2024, 12, 1), False),
    ):
        record_service(
            shop, add_machine(shop, owner=owner, model="heron-3").number, on, freed=freed
        )
    return shop.folder


def tell(life: Life, outcome: CallOutcome, telling: Telling) -> bool:
    """Record what came of a call; whether it was not refused."""
    try:
        with life.shop.book(writing=True) as book:
            call_outcomes.record(book, life.shop, "OW-001", outcome, telling)
    except OilchartError:
        return False
    return True


def mend(life: Life, on: date, outcome: CallOutcome, telling: Telling) -> bool:
    """Tell it in the place of what was told last; whether it was not refused."""
    try:
        with life.shop.book(writing=True) as book:
            change = OutcomeChange(
                outcome=outcome.outcome, day=outcome.day, on=on, note="", telling=telling
            )
            corrections.correct(book, life.shop, "OW-001", change)
    except OilchartError:
        return False
    return True


def listed(life: Life) -> list[str]:
    """What the lists say of who is due and whom to ring."""
    shop = life.shop
    with shop.book(writing=True) as book:
        plan = calls.plan(book, shop)
        return [due_json(plan.standings), calls_json(plan.calls)]


def calls_told_of(life: Life) -> list[int | None]:
    """The calls of which anything was told, by number."""
    with closing(sqlite3.connect(life.folder / "shop.db")) as book:
        return [row[0] for row in book.execute("SELECT call_id FROM outcome ORDER BY call_id")]


@counted
@given(before=st.lists(TOLD, max_size=2), wrong=TOLD, right=TOLD, seen_after=st.integers(0, 9))
def test_an_outcome_told_in_the_place_of_another_is_as_if_it_had_been_told_at_once(
    served: Path, before: list[Told], wrong: Told, right: Told, seen_after: int
) -> None:
    with tempfile.TemporaryDirectory() as room:
        life = Life(shutil.copytree(served, Path(room) / "shop"), TODAY)
        for each in before:
            life.today += timedelta(days=each.after)
            tell(life, *each.on(life))
        life.today += timedelta(days=wrong.after)
        twin = Life(shutil.copytree(life.folder, Path(room) / "twin"), life.today)
        on, (outcome, telling) = life.today, right.on(life)
        fits = tell(twin, outcome, telling)
        if not (tell(life, *wrong.on(life)) and fits):
            return
        if seen_after and calls_told_of(life) != calls_told_of(twin):
            return  # once the day is over it is told of the calls that the wrong one was told of
        twin.today = life.today = on + timedelta(days=seen_after)
        listed(life)
        if (wrong.outcome, wrong.on(life)[0].day) == (outcome.outcome, outcome.day):
            return
        assert mend(life, on, outcome, telling)
        assert listed(life) == listed(twin)
        ours, theirs = life.rows(), twin.rows()
        for table in ("outcome", "booking", "machine", "owner"):
            assert ours[table] == theirs[table]
