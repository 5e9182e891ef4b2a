"""The ledger of calendar entries: numbers and stamps only ever rise, and an entry seen as before
stays as it was."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.calendar.ledger import (
    BACK_DAYS,
    CANCELLED_DAYS,
    Content,
    LedgerEntry,
    entries_in_file,
    updated_ledger,
)
from tests.builders.make import TODAY
from tests.counts import counted

SOON = TODAY + timedelta(days=30)


def seen(words: str = "Call Ida", last_day: date = SOON) -> Content:
    return Content(words=words, last_day=last_day)


def test_a_new_entry_begins_at_0_with_the_midnight_of_the_day() -> None:
    [entry] = updated_ledger([], {"a": seen()}, TODAY)
    midnight = datetime(2026, 11, 25, tzinfo=UTC)
    assert entry == LedgerEntry(
        uid="a", content=seen(), sequence=0, made_at=midnight, changed_at=midnight
    )


def test_an_entry_seen_as_before_keeps_its_number_and_stamps() -> None:
    before = updated_ledger([], {"a": seen()}, TODAY)
    assert updated_ledger(before, {"a": seen()}, TODAY + timedelta(days=9)) == before


def test_any_change_raises_the_number_and_the_stamp_even_twice_on_one_day() -> None:
    [first] = updated_ledger([], {"a": seen()}, TODAY)
    [second] = updated_ledger([first], {"a": seen("Call Ida Brandvold")}, TODAY)
    [third] = updated_ledger([second], {"a": seen()}, TODAY)
    assert [entry.sequence for entry in (first, second, third)] == [0, 1, 2]
    assert (second.changed_at - first.changed_at, third.changed_at - second.changed_at) == (
        timedelta(seconds=1),
    ) * 2
    assert third.made_at == first.made_at
    # the clock of a day before changes nothing of that
    [earlier] = updated_ledger([third], {"a": seen("Call Bo")}, TODAY - timedelta(days=3))
    assert earlier.changed_at > third.changed_at


def test_an_entry_wanted_no_more_is_cancelled_once_and_stays_45_days() -> None:
    before = updated_ledger([], {"a": seen()}, TODAY)
    [gone] = updated_ledger(before, {}, TODAY)
    assert (gone.withdrawn_on, gone.sequence) == (TODAY, 1)
    assert updated_ledger([gone], {}, TODAY + timedelta(days=5)) == [gone]
    assert entries_in_file([gone], TODAY + timedelta(days=CANCELLED_DAYS - 1)) == [gone]
    assert entries_in_file([gone], TODAY + timedelta(days=CANCELLED_DAYS)) == []
    # wanted again, it stands again, under the same id and a higher number
    [back] = updated_ledger([gone], {"a": seen()}, TODAY + timedelta(days=60))
    assert (back.uid, back.withdrawn_on, back.sequence) == ("a", None, 2)


def test_an_entry_wanted_no_more_on_its_own_day_is_cancelled() -> None:
    before = updated_ledger([], {"a": seen(last_day=TODAY)}, TODAY - timedelta(days=3))
    [gone] = updated_ledger(before, {}, TODAY)
    assert (gone.withdrawn_on, gone.sequence) == (TODAY, 1)


def test_an_entry_that_went_by_or_was_seen_to_is_not_cancelled_and_stays_30_days() -> None:
    past = updated_ledger(
        [], {"a": seen(last_day=TODAY - timedelta(days=1))}, TODAY - timedelta(days=3)
    )
    assert updated_ledger(past, {}, TODAY) == past
    made = updated_ledger([], {"b": seen(last_day=TODAY)}, TODAY)
    assert updated_ledger(made, {}, TODAY, done={"b"}) == made
    assert entries_in_file(made, TODAY + timedelta(days=BACK_DAYS)) == made
    assert entries_in_file(made, TODAY + timedelta(days=BACK_DAYS + 1)) == []


DAYS = st.dates(date(2026, 11, 1), date(2027, 3, 1))
WANTED = st.dictionaries(
    st.sampled_from("abcde"),
    st.builds(Content, words=st.sampled_from(["x", "y", "z"]), last_day=DAYS),
    max_size=5,
)


@counted
@given(st.lists(st.tuples(DAYS, WANTED), min_size=2, max_size=8))
def test_whatever_is_wanted_numbers_and_stamps_only_rise_and_no_entry_is_lost(
    story: list[tuple[date, dict[str, Content]]],
) -> None:
    ledger: list[LedgerEntry] = []
    for today, wanted in story:
        after = updated_ledger(ledger, wanted, today)
        known = {entry.uid: entry for entry in after}
        assert len(known) == len(after)
        for before in ledger:
            now = known[before.uid]
            assert now == before or (
                now.sequence == before.sequence + 1 and now.changed_at > before.changed_at
            )
            assert now.made_at == before.made_at
        assert all(
            known[uid].content == content and known[uid].withdrawn_on is None
            for uid, content in wanted.items()
        )
        ledger = after
