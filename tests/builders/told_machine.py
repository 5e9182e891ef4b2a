"""A machine of which all kinds of things were told over some years, drawn at random: the same for
the program and for the simulation day by day."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from oilchart.core.days import Span
from oilchart.core.point_lists.conditions import Condition
from oilchart.core.point_lists.point_list import IfDry, Point, Runs, Work
from oilchart.core.records.habits import WorkedUnder, with_habits
from oilchart.core.records.machine import Machine, Service
from oilchart.core.units import PERIOD_DAYS, ticks, ticks_over
from oilchart.core.use.report import Oiling, Rate, Reading, Report, SewingPace, Total
from tests.builders.make import a_chart, a_point
from tests.oracles.day_by_day import Habits, Noted, Period, Statement
from tests.oracles.day_by_day import Rate as ToldRate
from tests.oracles.day_by_day import Total as ToldTotal

ENTERED = date(2023, 1, 1)
PERIODS: tuple[Period, ...] = ("day", "week", "month", "year")
PACES = {
    Fraction(1, 2): SewingPace.SLOW,
    Fraction(1): SewingPace.NORMAL,
    Fraction(3, 2): SewingPace.FLAT_OUT,
}
ANSWERS = {"yes": Oiling.YES, "sometimes": Oiling.SOMETIMES, "never": Oiling.NEVER}
NOTED = ("lint", "dust", "damp", "heat", "cold-room")


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldPoint:
    """One point: its limits before anything shortens them, and when its work was last done.

    Args:
        hours: of use, at normal speed; None without a limit of use.
        stitches: the limit is counted in stitches, so that fast work comes to it sooner.
    """

    point: Point
    hours: int | None
    stitches: bool
    months: int | None
    days: int | None
    done: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldMachine:
    """All that was told of one machine."""

    statements: list[Statement]
    habits: list[Habits]
    noted: list[Noted]
    stays: list[tuple[date, date]]
    points: list[ToldPoint]
    served: date
    today: date

    def machine(self, known: dict[str, Condition]) -> Machine:
        """It for the program."""
        reports = tuple(
            report_of(statement, habits)
            for statement, habits in zip(self.statements, self.habits, strict=True)
        )
        later = sorted({each.done for each in self.points} - {self.served})
        everything = frozenset(each.point.id for each in self.points)
        machine = Machine(
            point_list=a_chart(*(each.point for each in self.points)),
            number="M-001",
            reports=reports,
            services=(
                Service(on=self.served, done=everything),
                *(
                    Service(
                        on=day,
                        done=frozenset(each.point.id for each in self.points if each.done == day),
                        whole=False,
                    )
                    for day in later
                ),
            ),
            stays=tuple(Span(first=first, end=end) for first, end in self.stays),
            came=ENTERED,
        )
        worked_under = [
            WorkedUnder(condition=each["condition"], since=each["since"], until=each["until"])
            for each in self.noted
        ]
        return with_habits(machine, worked_under, known, ENTERED)


def drawn(chance: random.Random) -> ToldMachine:
    """Draw a machine."""
    served = _day(chance, 300)
    statements, habits = _statements(chance)
    points = []
    for number in range(chance.randint(1, 4)):
        hours = chance.choice([None, chance.randint(1, 300), chance.randint(1, 40)])
        at_rest = chance.choice(["months", "months", "days"])
        months = chance.randint(1, 30) if at_rest == "months" else None
        days = chance.randint(1, 60) if at_rest == "days" else None
        stitches = hours is not None and chance.random() < 0.3
        done = served if chance.random() < 0.6 else served + timedelta(days=chance.randint(1, 200))
        points.append(
            ToldPoint(
                point=a_point(
                    f"p{number}",
                    every=_words(hours, months, days, stitches),
                    work=chance.choice(list(Work)),
                    runs=chance.choice(list(Runs)),
                    if_dry=chance.choice([None, IfDry.WEARS, IfDry.SEIZES]),
                ),
                hours=hours,
                stitches=stitches,
                months=months,
                days=days,
                done=done,
            )
        )
    last = max(*(each.done for each in points), served)
    return ToldMachine(
        statements=statements,
        habits=habits,
        noted=[_noted(chance) for _ in range(chance.choice([0, 0, 1, 2]))],
        stays=[_span(chance, 40) for _ in range(chance.choice([0, 0, 1, 2]))],
        points=points,
        served=served,
        today=last + timedelta(days=chance.randint(0, 500)),
    )


def _words(hours: int | None, months: int | None, days: int | None, stitches: bool) -> str:
    """An interval; at 800 stitches a minute, the needle moving in a quarter of the time, an hour at
    the machine has 12,000 stitches."""
    use = [] if hours is None else [f"{hours * 12_000} stitches" if stitches else f"{hours} hours"]
    rest = [f"{months} months"] if months else [f"{days} days"] if days else []
    return " or ".join([*use, *rest])


def _day(chance: random.Random, within: int) -> date:
    return ENTERED + timedelta(days=chance.randint(0, within))


def _span(chance: random.Random, longest: int) -> tuple[date, date]:
    first = _day(chance, 900)
    return first, first + timedelta(days=chance.randint(1, longest))


def _hours(chance: random.Random) -> Fraction:
    return Fraction(chance.choice([0, chance.randint(1, 300), chance.randint(300, 3_000)]), 100)


def _ends(chance: random.Random, times: int) -> tuple[Fraction, Fraction]:
    low = _hours(chance) * times
    if chance.random() < 0.5:
        return low, low
    return low, low + _hours(chance) * times


def _weights(chance: random.Random) -> list[int]:
    """Season weights: of each month, or of one season against the rest of the year, as an owner
    says who tells the hours of both."""
    if chance.random() < 0.5:
        return [chance.randint(1, 4) for _ in range(12)]
    season = set(chance.sample(range(12), chance.randint(1, 4)))
    usual, busy = chance.randint(1, 5), chance.randint(1, 100)
    return [busy if month in season else usual for month in range(12)]


def _statements(chance: random.Random) -> tuple[list[Statement], list[Habits]]:
    """What the owner told, in the order of the days; readings rise, and are one a day."""
    statements: list[Statement] = []
    habits: list[Habits] = []
    shown = Fraction(0)
    read: set[date] = set()
    days = sorted(
        ENTERED if chance.random() < 0.2 else _day(chance, 800) for _ in range(chance.randint(1, 6))
    )
    for said in days:
        rate: ToldRate | None = None
        total: ToldTotal | None = None
        reading = None
        if chance.random() < 0.35:
            low, high = _ends(chance, 1)
            rate = {"low": low, "high": high, "per": chance.choice(PERIODS)}
            if rate["per"] == "year":
                rate["low"], rate["high"] = low * 50, high * 50
        if chance.random() < 0.3:
            low, high = _ends(chance, chance.choice([1, 10, 30]))
            since = said - timedelta(days=chance.choice([1, 9, 40, chance.randint(1, 500)]))
            total = {"low": low, "high": high, "since": since}
        if said not in read and chance.random() < 0.4:
            shown += _hours(chance) * chance.choice([0, 1, 10])
            reading = shown
            read.add(said)
        seldom = chance.random() < 0.25
        statements.append(
            {
                "said": said,
                "rate": rate,
                "total": total,
                "reading": reading,
                "new_meter": reading is not None and chance.random() < 0.2,
                "idle_months": set(chance.sample(range(1, 13), chance.randint(0, 5)))
                if chance.random() < 0.25
                else None,
                "weights": _weights(chance) if seldom else None,
                "idle_spans": [_span(chance, 200)] if chance.random() < 0.15 else [],
            }
        )
        habits.append(
            {
                "said": said,
                "zigzag_share": chance.choice([Fraction(0), Fraction(1, 2), Fraction(9, 10)])
                if chance.random() < 0.25
                else None,
                "speed": chance.choice(list(PACES)) if chance.random() < 0.25 else None,
                "oiled": chance.choice(["yes", "sometimes", "never", "never"])
                if chance.random() < 0.3
                else None,
            }
        )
    return statements, habits


def _noted(chance: random.Random) -> Noted:
    since = chance.choice([None, ENTERED, _day(chance, 900)])
    until = None
    if chance.random() < 0.4:
        until = (since or ENTERED) + timedelta(days=chance.randint(1, 500))
    return {"condition": chance.choice(NOTED), "since": since, "until": until}


def report_of(statement: Statement, habits: Habits | None = None) -> Report:
    """What was told on one day, for the program."""
    rate, total, reading = statement["rate"], statement["total"], statement["reading"]
    idle_months, weights = statement["idle_months"], statement["weights"]
    report = Report(
        said=statement["said"],
        words="",
        rate=rate
        and Rate(
            low=ticks_over(rate["low"], PERIOD_DAYS[rate["per"]]),
            high=ticks_over(rate["high"], PERIOD_DAYS[rate["per"]]),
            yearly=rate["per"] == "year",
        ),
        total=total
        and Total(low=ticks(total["low"]), high=ticks(total["high"]), since=total["since"]),
        reading=None
        if reading is None
        else Reading(amount=reading, new_meter=statement["new_meter"]),
        idle_months=None if idle_months is None else frozenset(idle_months),
        weights=None if weights is None else tuple(weights),
        idle_spans=tuple(Span(first=first, end=end) for first, end in statement["idle_spans"]),
    )
    if habits is None:
        return report
    speed, oiled = habits["speed"], habits["oiled"]
    return replace(
        report,
        zigzag_share=habits["zigzag_share"],
        pace=None if speed is None else PACES[speed],
        oiling=None if oiled is None else ANSWERS[oiled],
    )
