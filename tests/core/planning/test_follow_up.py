"""What comes of a call, and what follows: when they are rung again, when a letter is proposed, who
is lapsed."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import (
    CallOutcome,
    Outcome,
    follow_up,
    has_lapsed,
    lapsed_on,
    rounds_passed,
    tries,
    wants_letter,
)
from tests.builders.make import TODAY
from tests.counts import counted

OUTCOMES = st.lists(
    st.builds(
        CallOutcome,
        on=st.dates(date(2025, 1, 1), date(2026, 11, 25)),
        outcome=st.sampled_from(Outcome),
    ),
    max_size=12,
).map(lambda told: sorted(told, key=lambda each: each.on))


def told(outcome: Outcome, on: date = TODAY, day: date | None = None) -> CallOutcome:
    return CallOutcome(on=on, outcome=outcome, day=day)


@pytest.mark.parametrize(
    ("outcome", "days", "round_ends"),
    [
        # spoken to: they have four weeks to come in
        (Outcome.REACHED, 28, True),
        (Outcome.CANCELLED, 28, True),
        (Outcome.LETTER_SENT, 28, True),
        (Outcome.DECLINED, 182, True),
        # nobody was: another day
        (Outcome.NO_ANSWER, 1, False),
        (Outcome.LEFT_MESSAGE, 7, False),
        (Outcome.TEXTED, 7, False),
        (Outcome.MAILED, 7, False),
        (Outcome.WRONG_NUMBER, 1, False),
        # they asked something: nothing follows, and the round goes on
        (Outcome.RANG_BACK, None, False),
        # the shop owes them another day, or asks why they did not come
        (Outcome.CANCELLED_BY_US, 1, False),
        (Outcome.DID_NOT_COME, 1, False),
        # agreed, or over
        (Outcome.BOOKED, None, True),
        (Outcome.SOLD, None, True),
        (Outcome.GOES_ELSEWHERE, None, True),
        (Outcome.DIED, None, True),
    ],
)
def test_each_outcome_has_its_follow_up(
    outcome: Outcome, days: int | None, round_ends: bool
) -> None:
    follows = follow_up(told(outcome), [])
    assert follows.round_ends is round_ends
    assert follows.again == (None if days is None else TODAY + timedelta(days=days))


def test_who_wants_to_be_rung_later_is_rung_on_their_day() -> None:
    day = date(2027, 3, 8)
    follows = follow_up(told(Outcome.LATER, day=day), [])
    assert (follows.again, follows.round_ends) == (day, False)


def test_a_call_about_settling_in_is_over_once_they_were_spoken_to() -> None:
    follows = follow_up(
        CallOutcome(on=TODAY, outcome=Outcome.REACHED, about=CallAbout.SETTLING_IN), []
    )
    assert (follows.again, follows.round_ends) == (None, True)


def test_after_three_times_without_an_answer_a_letter_is_proposed() -> None:
    calls = [told(Outcome.NO_ANSWER), told(Outcome.LEFT_MESSAGE)]
    assert not wants_letter(calls)
    third = told(Outcome.LEFT_MESSAGE)
    assert wants_letter([*calls, third])
    # the third is not waited for a week: the letter can go tomorrow
    assert follow_up(third, calls).again == TODAY + timedelta(days=1)
    # a wrong number is no try: nobody could have answered
    assert tries([told(Outcome.WRONG_NUMBER)]) == 0
    assert tries([*calls, told(Outcome.WRONG_NUMBER)]) == 0
    # once they were spoken to the count begins anew
    assert tries([*calls, third, told(Outcome.LATER)]) == 0


def test_an_owner_who_lets_two_rounds_pass_is_lapsed_once_the_time_to_come_in_is_over() -> None:
    rounds = [told(Outcome.REACHED, date(2026, 9, 1)), told(Outcome.LETTER_SENT, date(2026, 10, 1))]
    assert not has_lapsed(rounds[:1], None)
    assert has_lapsed(rounds, None)
    assert lapsed_on(rounds[:1], None) is None
    assert lapsed_on(rounds, None) == date(2026, 10, 29)
    # who declines twice has said so
    assert lapsed_on([rounds[0], told(Outcome.DECLINED, date(2026, 10, 1))], None) == date(
        2026, 10, 1
    )


@pytest.mark.parametrize(
    "anew",
    [
        # a visit after the first round, a day agreed after it, all rounds before a visit
        (
            [told(Outcome.REACHED, date(2026, 9, 1)), told(Outcome.REACHED, date(2026, 10, 1))],
            date(2026, 9, 15),
        ),
        (
            [
                told(Outcome.REACHED, date(2026, 9, 1)),
                told(Outcome.BOOKED),
                told(Outcome.REACHED, date(2026, 11, 26)),
            ],
            None,
        ),
        (
            [
                told(Outcome.REACHED, date(2026, 9, 1)),
                told(Outcome.LATER),
                told(Outcome.REACHED, date(2026, 11, 26)),
            ],
            None,
        ),
        (
            [told(Outcome.REACHED, date(2026, 9, 1)), told(Outcome.REACHED, date(2026, 10, 1))],
            date(2026, 10, 1),
        ),
        # one talk about two calls is one round
        ([told(Outcome.REACHED), told(Outcome.REACHED)], None),
        # talks about settling in are no rounds
        (
            [
                told(Outcome.REACHED),
                CallOutcome(
                    on=date(2026, 12, 1), outcome=Outcome.REACHED, about=CallAbout.SETTLING_IN
                ),
            ],
            None,
        ),
    ],
)
def test_nobody_is_let_be_who_came_in_or_agreed_on_a_day(
    anew: tuple[list[CallOutcome], date | None],
) -> None:
    calls, visited = anew
    assert not has_lapsed(calls, visited)
    assert lapsed_on(calls, visited) is None


@counted
@given(OUTCOMES, st.dates(date(2025, 1, 1), date(2026, 11, 25)))
def test_a_visit_never_makes_an_owner_lapsed_and_one_today_never_leaves_them_so(
    calls: list[CallOutcome], visited: date
) -> None:
    assert len(rounds_passed(calls, visited)) <= len(rounds_passed(calls, None))
    assert not has_lapsed(calls, TODAY)
    assert has_lapsed(calls, None) or not has_lapsed(calls, visited)
    assert (lapsed_on(calls, visited) is not None) == has_lapsed(calls, visited)
