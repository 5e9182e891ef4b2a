"""What stands on the shop's board: who wants the bench, what is in the shop, whom to ring, and how
full the coming weeks are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from oilchart.core.days import MONTHS, ONE_DAY, WEEKDAYS
from oilchart.core.due.due_dates import PRESSING, State
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.capacity import ShopLimits
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.planning.tally import Tally, tally
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.wording import counted

WEEKS = 8

MEANING = {
    State.OVERDUE: "past its date even if it was sewn on little",
    State.FIRST_SERVICE: "never served here: due now",
    State.LIKELY_OVERDUE: "past its likely date",
    State.MAYBE_OVERDUE: "past its date if it was sewn on a lot",
    State.DUE_SOON: "the likely date is near",
    State.IN_TIME: "the likely date is further off",
    State.NOT_SEEN_YET: "its model is decided on the bench",
    State.IN_THE_SHOP: "here, from check-in to collection",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardDay:
    """A day of the coming weeks.

    Args:
        calls: to be made on it; on the board's day with those that were left over.
        left_over: how many of them are from earlier days.
        shut: the shop is not open on it.
    """

    on: date
    calls: int
    left_over: int
    shut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardWeek:
    """A week of the coming ones, Monday to Sunday, and the machines whose next service is in it, by
    day."""

    days: tuple[BoardDay, ...]
    services: tuple[Standing, ...]

    @property
    def first(self) -> date:
        """Its Monday."""
        return self.days[0].on

    @property
    def booked(self) -> int:
        """How many of the services were agreed with the owner."""
        return sum(each.schedule.booked is not None for each in self.services)

    @property
    def minutes(self) -> Fraction:
        """Of work at the bench."""
        planned = [each.schedule.next_service for each in self.services]
        return sum((each.minutes for each in planned if each is not None), start=Fraction(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The shop's state on a day.

    Args:
        tally: its machines, sorted and counted as everywhere.
        calls: by day.
        phones: whether telephone numbers are shown.
    """

    on: date
    shop: ShopDetails
    tally: Tally
    calls: tuple[OpenCall, ...]
    weeks: tuple[BoardWeek, ...]
    limits: ShopLimits
    phones: bool = True

    @property
    def machines(self) -> tuple[Standing, ...]:
        """Those on the board, worst first."""
        return self.tally.listed

    @property
    def counts(self) -> tuple[tuple[State, int], ...]:
        """How many machines are in each state, also in none: each state keeps its place on the
        wall."""
        return self.tally.by_state

    @property
    def in_the_shop(self) -> tuple[Standing, ...]:
        """The machines in the shop, the one that has been there longest first."""
        here = self.tally.here
        return tuple(sorted(here, key=lambda each: (-(each.days_here or 0), each.record.id)))

    @property
    def in_time(self) -> tuple[Standing, ...]:
        """The machines that want nothing."""
        return self.tally.in_time

    @property
    def attention(self) -> tuple[Standing, ...]:
        """The machines that want attention, worst first."""
        return self.tally.wanted

    @property
    def calls_now(self) -> tuple[OpenCall, ...]:
        """The calls of the board's day, and those left over from earlier ones."""
        return tuple(call for call in self.calls if call.rung_on(self.on) == self.on)

    @property
    def calls_next(self) -> tuple[OpenCall, ...]:
        """The calls of the next day on which there are any."""
        after = [call for call in self.calls if call.on > self.on]
        return tuple(call for call in after if call.on == after[0].on)

    @property
    def end(self) -> date:
        """The first day after the coming weeks."""
        return self.weeks[-1].days[-1].on + ONE_DAY

    @property
    def summary(self) -> str:
        """How the shop stands, in two sentences."""
        wanted, soon, here = (
            len(self.tally.in_state(states))
            for states in (PRESSING, (State.DUE_SOON,), (State.IN_THE_SHOP,))
        )
        wants, falls = _verb(wanted, "wants", "want"), _verb(soon, "falls", "fall")
        calls = counted(len(self.calls_now), "call")
        services = counted(len(self.weeks[0].services), "service")
        lapsed = len(self.tally.lapsed)
        apart = f" {counted(lapsed, 'machine')} more of owners who let two rounds of calls pass."
        return (
            f"{wanted} of {counted(len(self.machines), 'machine')} {wants} the bench now, "
            f"{soon} {falls} due soon, {here} {_verb(here, 'is', 'are')} in the shop. "
            f"{calls} today, {services} this week.{apart if lapsed else ''}"
        )


def board(
    standings: Iterable[Standing],
    calls: Iterable[OpenCall],
    *,
    today: date,
    shop: ShopDetails,
    limits: ShopLimits,
    weeks: int = WEEKS,
) -> Board:
    """Write the board: machines worst first, calls by day, and the coming weeks from this week's
    Monday.

    A call left over from an earlier day is one of today's; a service planned for an earlier week is
    one of this week's. The same machines and calls in another order give the same board.

    Args:
        standings: machines; those that are gone are left out, the lapsed only counted.
        weeks: how many are shown, at least one.
    """
    machines = tally(standings)
    ordered = tuple(sorted(calls, key=_by_day_and_owner))
    monday = today - timedelta(days=today.weekday())
    services = _services_by_week(machines.listed, monday)
    days = _calls_by_day(ordered, today)
    mondays = [monday + timedelta(weeks=at) for at in range(max(1, weeks))]
    return Board(
        on=today,
        shop=shop,
        tally=machines,
        calls=ordered,
        weeks=tuple(
            BoardWeek(
                days=tuple(_day(first + timedelta(days=at), days, limits) for at in range(7)),
                services=tuple(services[first]),
            )
            for first in mondays
        ),
        limits=limits,
    )


def _by_day_and_owner(call: OpenCall) -> tuple[date, str, tuple[int, ...], CallAbout]:
    return call.on, call.owner.name, tuple(record.id for record, _ in call.services), call.about


def _services_by_week(
    machines: Iterable[Standing], this_monday: date
) -> dict[date, list[Standing]]:
    """The machines by the Monday of their next service, those of a week by its day and number;
    without those that are declined."""
    weeks: dict[date, list[Standing]] = defaultdict(list)
    planned = [
        (service.on, each.record.id, each)
        for each in machines
        if (service := each.schedule.next_service) is not None and each.declined_until is None
    ]
    for on, _, each in sorted(planned, key=lambda service: service[:2]):
        weeks[max(on - timedelta(days=on.weekday()), this_monday)].append(each)
    return weeks


def _calls_by_day(calls: Iterable[OpenCall], today: date) -> dict[date, list[OpenCall]]:
    """The calls by the day on which they are made."""
    days: dict[date, list[OpenCall]] = defaultdict(list)
    for call in calls:
        days[call.rung_on(today)].append(call)
    return days


def _day(on: date, calls: Mapping[date, Sequence[OpenCall]], limits: ShopLimits) -> BoardDay:
    mine = calls.get(on, ())
    return BoardDay(
        on=on,
        calls=len(mine),
        left_over=sum(call.on < on for call in mine),
        shut=not limits.open_days.is_open(on),
    )


def over(count: int, limit: int | None) -> int:
    """How many are more than the limit."""
    return 0 if limit is None else max(0, count - limit)


def near_day(day: date, today: date) -> str:
    """Thu 26 Nov; the year only where it is another than today's: Mon 4 Jan 2027."""
    words = f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1][:3]}"
    return words if day.year == today.year else f"{words} {day.year}"


def days_words(standing: Standing) -> tuple[str, str]:
    """How far a machine is from the day by which it is wanted, as number and word: 63 past; 6 left;
    0 left on the last day in time."""
    days = standing.schedule.days_left
    if days is None:
        return "", "no date"
    return str(abs(days)), "past" if days < 0 else "left"


def _verb(number: int, one: str, many: str) -> str:
    return one if number == 1 else many
