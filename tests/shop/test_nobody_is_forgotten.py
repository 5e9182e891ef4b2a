"""Whoever is overdue is rung as soon as the telephone has a free place, however many others cannot
come; and who waits for the next call takes no place on the bench."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from oilchart.core.days import OpenDays
from oilchart.core.planning.call_plan import CallAbout, PlannedCall
from oilchart.core.planning.call_record import CallRecord
from oilchart.core.planning.capacity import ShopLimits
from oilchart.core.planning.follow_up import (
    TRIED_AGAIN_TOMORROW,
    CallOutcome,
    Outcome,
    follow_up,
    has_lapsed,
)
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.standing import Standing
from oilchart.core.planning.visits import monday_of
from oilchart.core.point_lists.point_list import IfDry
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.service_record import ServiceRecord
from oilchart.shop.call_and_bench_plan import (
    CallsSoFar,
    first_free_day,
    planned_calls,
    share_bench_weeks,
)
from oilchart.sources.files.settings import Settings
from tests.builders.make import a_machine, a_point
from tests.builders.records import SHOP, a_record, an_owner

MONDAY = date(2026, 1, 5)
WEEKS = 26
LEAD = 14
OUTCOMES = (
    Outcome.REACHED,
    Outcome.LATER,
    Outcome.DECLINED,
    Outcome.LEFT_MESSAGE,
    Outcome.TEXTED,
    Outcome.NO_ANSWER,
    Outcome.BOOKED,
)


@dataclass
class MadeUpShop:
    """A shop with a machine an owner; what comes of its calls is drawn."""

    chance: random.Random
    settings: Settings
    served: dict[int, date]
    months: dict[int, int]
    today: date = MONDAY
    open: dict[int, CallRecord] = field(default_factory=dict)
    of_open: dict[int, list[CallOutcome]] = field(default_factory=dict)
    outcomes: dict[int, list[CallOutcome]] = field(default_factory=dict)
    booked: dict[int, date] = field(default_factory=dict)

    @classmethod
    def drawn(cls, seed: int) -> MadeUpShop:
        chance = random.Random(seed)
        machines = range(1, chance.randint(4, 14))
        limits = ShopLimits(
            open_days=OpenDays(),
            calls_a_day=chance.randint(1, 2),
            services_a_week=chance.randint(1, 3),
        )
        return cls(
            chance=chance,
            settings=Settings(
                shop_details=SHOP, limits=limits, lead_days=LEAD, least_days=90, pieces={}
            ),
            served={each: MONDAY - timedelta(days=chance.randint(1, 500)) for each in machines},
            months={each: chance.randint(3, 12) for each in machines},
        )

    def so_far(self) -> CallsSoFar:
        return CallsSoFar(
            open=tuple(self.open.values()),
            outcomes=self.outcomes,
            of_open=self.of_open,
            answered_settling=frozenset(),
        )

    def plan(self) -> tuple[list[Standing], list[PlannedCall]]:
        alone = []
        for number, served in self.served.items():
            point = a_point(every=f"{self.months[number]} months", if_dry=IfDry.WEARS)
            machine = replace(a_machine(point, served=served), booked=self.booked.get(number))
            record = a_record(number, an_owner(number), services=self._services(number))
            reckoning = Reckoning(machine, open_days=self.settings.limits.open_days, lead_days=LEAD)
            schedule = reckoning.schedule(self.today)
            alone.append(Standing(record=record, schedule=schedule, reckoning=reckoning))
        shared = share_bench_weeks(alone, self.so_far(), self.settings, self.today)
        return shared, planned_calls(shared, self.so_far(), self.settings, self.today)

    def _services(self, number: int) -> tuple[ServiceRecord, ...]:
        return (ServiceRecord(id=number, on=self.served[number], findings=()),)

    def ring(self, call: PlannedCall) -> None:
        """Make a call; what comes of it decides when it is made again."""
        number = call.owner
        what = self.chance.choice(OUTCOMES)
        day = None
        if what in (Outcome.LATER, Outcome.BOOKED):
            day = self.today + timedelta(days=self.chance.randint(1, 40))
            day = self.settings.limits.open_days.first_open(day)
        outcome = CallOutcome(on=self.today, outcome=what, day=day)
        follows = follow_up(outcome, self.of_open.get(number, ()))
        self.outcomes.setdefault(number, []).append(outcome)
        self.open.pop(number, None)
        if what is Outcome.BOOKED and day is not None:
            self.booked[number] = day
            self.of_open.pop(number, None)
            return
        before = self.of_open.get(number, [])
        self.of_open[number] = [] if follows.round_ends else [*before, outcome]
        if follows.again is None or has_lapsed(self.outcomes[number], None):
            return
        again = first_free_day(follows.again, self.so_far(), self.settings, self.today)
        self.open[number] = CallRecord(
            id=number,
            owner_id=number,
            about=CallAbout.SERVICE,
            on=again,
            services=((number, again),),
            promised_on=again,
        )

    def next_day(self) -> None:
        """Serve who was booked for today, and go on to the next open day."""
        for number, day in list(self.booked.items()):
            if day <= self.today:
                self.served[number] = self.today
                self.outcomes.pop(number, None)
                del self.booked[number]
        self.today = self.settings.limits.open_days.first_open(self.today + timedelta(days=1))


def waits(shop: MadeUpShop, record: MachineRecord) -> bool:
    """Whether a machine waits for the day of its next call, or for nobody."""
    number = record.owner.id
    call = shop.open.get(number)
    return (
        number in shop.booked
        or has_lapsed(shop.outcomes.get(number, ()), None)
        or (call is not None and call.promised_on is not None and call.promised_on > shop.today)
    )


def in_turn(calls: Sequence[PlannedCall], standings: Sequence[Standing]) -> list[PlannedCall]:
    """Calls by their deadline, then by chance times harm, then by the owner's number."""
    weights = {
        each.record.owner.id: 0 if each.schedule.risk is None else each.schedule.risk.weight
        for each in standings
    }

    def turn(call: PlannedCall) -> tuple[date, float, int]:
        assert call.deadline is not None
        return call.deadline, -weights[call.owner], call.owner

    return sorted(calls, key=turn)


def test_each_overdue_machine_is_rung_once_the_free_places_exceed_the_calls_ahead_of_it(
    tries: int,
) -> None:
    overdue = released = 0
    for seed in range(tries):
        shop = MadeUpShop.drawn(seed)
        limits = shop.settings.limits
        while shop.today < MONDAY + timedelta(weeks=WEEKS):
            standings, calls = shop.plan()
            by_owner = {each.record.owner.id: each for each in standings}
            promised = {
                call.owner_id
                for call in shop.open.values()
                if call.promised_on is not None and call.promised_on >= shop.today
            }
            free = (limits.calls_a_day or 0) - sum(
                call.promised_on == shop.today for call in shop.open.values()
            )
            waiting = [each for each in calls if each.owner not in promised]
            for ahead, call in enumerate(in_turn(waiting, standings)):
                standing = by_owner[call.owner]
                assert call.deadline is not None
                if standing.schedule.days_left is not None and standing.schedule.days_left < 0:
                    assert not waits(shop, standing.record)
                    if ahead < free:
                        assert call.on == shop.today, f"shop {seed} on {shop.today}: {call}"
                        overdue += 1
            released += check_bench(shop, standings)
            for call in calls:
                if call.on == shop.today:
                    shop.ring(call)
            shop.next_day()
    assert overdue > tries
    assert released > tries


def check_bench(shop: MadeUpShop, standings: Sequence[Standing]) -> int:
    """Check that who waits takes no place before their next call's day, and no week has too many;
    how many wait."""
    waiting = 0
    weeks: Counter[date] = Counter()
    for each in standings:
        number, service = each.record.owner.id, each.schedule.next_service
        call, told = shop.open.get(number), shop.of_open.get(number)
        if service is None or has_lapsed(shop.outcomes.get(number, ()), None):
            continue
        weeks[monday_of(service.on)] += 1
        if number in shop.booked or call is None or call.promised_on is None:
            continue
        tried_again = told and told[-1].outcome in TRIED_AGAIN_TOMORROW
        if call.promised_on > shop.today and not tried_again:
            assert service.on >= call.promised_on
            waiting += 1
    booked = Counter(monday_of(day) for day in shop.booked.values())
    most = shop.settings.limits.services_a_week or 0
    assert all(count <= max(most, booked[week]) for week, count in weeks.items())
    return waiting
