"""Knows what stands on the shop's board: who wants the bench, what is in the shop, whom to ring,
and how full the coming weeks are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from oilchart.core.days import ONE_DAY, OpenDays
from oilchart.core.due.due_dates import WORST_FIRST, State
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.wording import MONTHS, WEEKDAYS, counted

WEEKS = 8
ALWAYS_OPEN = OpenDays(weekdays=frozenset(range(7)))
WANTED = (State.OVERDUE, State.FIRST_SERVICE, State.LIKELY_OVERDUE, State.MAYBE_OVERDUE)
ATTENTION = (*WANTED, State.DUE_SOON)
SHOWN = tuple(state for state in WORST_FIRST if state is not State.GONE)

MEANING = {
    State.OVERDUE: "past its date even if it was sewn on little",
    State.FIRST_SERVICE: "never served here: due now",
    State.LIKELY_OVERDUE: "past its likely date",
    State.MAYBE_OVERDUE: "past its date if it was sewn on a lot",
    State.DUE_SOON: "the likely date is near",
    State.IN_TIME: "the likely date is further off",
    State.IN_THE_SHOP: "here, from check-in to collection",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLine:
    """One machine on the board.

    Args:
        model: its name.
        due: the likely due date, the last day still in time; None where nothing falls due, or it
            was never served.
        because: what makes it fall due, in words; empty where nothing does.
        points, minutes: of the next service.
        late: that service comes after its deadline.
        since: the day it was checked in, while it is in the shop.
        unsafe: it must not be plugged in.
    """

    machine: str
    owner: str
    phone: str
    model: str
    state: State
    due: date | None = None
    because: str = ""
    next_service: date | None = None
    points: int = 0
    minutes: Fraction = Fraction(0)
    late: bool = False
    served: date | None = None
    since: date | None = None
    unsafe: bool = False

    def days_left(self, today: date) -> int | None:
        """Days from today to the likely due date; 0 means that today is the last day in time."""
        return None if self.due is None else (self.due - today).days

    def days_here(self, today: date) -> int | None:
        """Days it has been in the shop."""
        return None if self.since is None else (today - self.since).days


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCall:
    """A call still to be made.

    Args:
        machines: their numbers.
        about: in words.
    """

    on: date
    owner: str
    phone: str
    machines: tuple[str, ...]
    about: str


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
    services: tuple[BoardLine, ...]

    @property
    def first(self) -> date:
        """Its Monday."""
        return self.days[0].on

    @property
    def minutes(self) -> Fraction:
        """Of work at the bench."""
        return sum((line.minutes for line in self.services), start=Fraction(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The shop's state on a day.

    Args:
        lines: all machines that are not gone, worst first; in the shop, the one that has been there
            longest first.
        calls: by day.
        calls_a_day, services_a_week: the shop's limits; None for none.
    """

    on: date
    shop: ShopDetails
    lines: tuple[BoardLine, ...]
    calls: tuple[BoardCall, ...]
    weeks: tuple[BoardWeek, ...]
    calls_a_day: int | None
    services_a_week: int | None

    @property
    def counts(self) -> tuple[tuple[State, int], ...]:
        """How many machines are in each state, also in none: each state keeps its place on the
        wall."""
        found = Counter(line.state for line in self.lines)
        return tuple((state, found[state]) for state in SHOWN)

    def in_state(self, *states: State) -> tuple[BoardLine, ...]:
        """The machines in any of these states, worst first."""
        return tuple(line for line in self.lines if line.state in states)

    @property
    def attention(self) -> tuple[BoardLine, ...]:
        """The machines that want attention, worst first; one that must not be plugged in does
        wherever it is, unless it is here."""
        return tuple(
            line
            for line in self.lines
            if line.state in ATTENTION or (line.unsafe and line.state is not State.IN_THE_SHOP)
        )

    @property
    def calls_now(self) -> tuple[BoardCall, ...]:
        """The calls of the board's day, and those left over from earlier ones."""
        return tuple(call for call in self.calls if call.on <= self.on)

    @property
    def calls_next(self) -> tuple[BoardCall, ...]:
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
            len(self.in_state(*states))
            for states in (WANTED, (State.DUE_SOON,), (State.IN_THE_SHOP,))
        )
        machines = (
            f"{wanted} of {counted(len(self.lines), 'machine')} {_verb(wanted, 'wants', 'want')} the bench now, "
            f"{soon} {_verb(soon, 'falls', 'fall')} due soon, {here} {_verb(here, 'is', 'are')} in the shop."
        )
        return f"{machines} {counted(len(self.calls_now), 'call')} today, {counted(len(self.weeks[0].services), 'service')} this week."


def board(
    standings: Sequence[BoardLine],
    *,
    calls: Sequence[BoardCall],
    today: date,
    shop: ShopDetails,
    calls_a_day: int | None,
    services_a_week: int | None,
    weeks: int = WEEKS,
    open_days: OpenDays = ALWAYS_OPEN,
) -> Board:
    """Write the board: machines worst first, calls by day, and the coming weeks from this week's
    Monday.

    A call left over from an earlier day is one of today's; a service planned for an earlier week is
    one of this week's. The same machines and calls in another order give the same board.

    Args:
        standings: machines; those that are gone are left out.
        weeks: how many are shown, at least one.
    """
    lines = tuple(
        sorted(
            (line for line in standings if line.state is not State.GONE),
            key=lambda line: _worst_first(line, today),
        )
    )
    ordered = tuple(
        sorted(calls, key=lambda call: (call.on, call.owner, call.machines, call.about, call.phone))
    )
    monday = today - timedelta(days=today.weekday())
    return Board(
        on=today,
        shop=shop,
        lines=lines,
        calls=ordered,
        weeks=tuple(
            _week(monday + timedelta(weeks=at), monday, today, lines, ordered, open_days)
            for at in range(max(1, weeks))
        ),
        calls_a_day=calls_a_day,
        services_a_week=services_a_week,
    )


def _worst_first(line: BoardLine, today: date) -> tuple[int, int, str]:
    """By state, then by days left, those without a date last; in the shop by the day of
    check-in."""
    days = line.days_left(today)
    if line.state is State.IN_THE_SHOP:
        here = line.days_here(today)
        days = None if here is None else -here
    return WORST_FIRST.index(line.state), 10**9 if days is None else days, line.machine


def _week(
    first: date,
    this_monday: date,
    today: date,
    lines: Sequence[BoardLine],
    calls: Sequence[BoardCall],
    open_days: OpenDays,
) -> BoardWeek:
    end = first + timedelta(weeks=1)
    services = [
        (line.next_service, line.machine, line)
        for line in lines
        if line.next_service is not None and first <= max(line.next_service, this_monday) < end
    ]
    return BoardWeek(
        days=tuple(_day(first + timedelta(days=at), today, calls, open_days) for at in range(7)),
        services=tuple(line for _, _, line in sorted(services, key=lambda service: service[:2])),
    )


def _day(on: date, today: date, calls: Sequence[BoardCall], open_days: OpenDays) -> BoardDay:
    mine = [call for call in calls if max(call.on, today) == on]
    return BoardDay(
        on=on,
        calls=len(mine),
        left_over=sum(call.on < on for call in mine),
        shut=not open_days.is_open(on),
    )


def over(count: int, limit: int | None) -> int:
    """How many are more than the limit."""
    return 0 if limit is None else max(0, count - limit)


def near_day(day: date, today: date) -> str:
    """Thu 26 Nov; the year only where it is another than today's: Mon 4 Jan 2027."""
    words = f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1][:3]}"
    return words if day.year == today.year else f"{words} {day.year}"


def days_words(line: BoardLine, today: date) -> tuple[str, str]:
    """How far a machine is from its likely due date, as number and word: 63 past; 6 left; 0 left on
    the last day in time."""
    days = line.days_left(today)
    if days is None:
        return ("now", "") if line.state is State.FIRST_SERVICE else ("", "no date")
    return str(abs(days)), "past" if days < 0 else "left"


def _verb(number: int, one: str, many: str) -> str:
    return one if number == 1 else many
