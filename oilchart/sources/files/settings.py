"""A shop's settings: shop.toml in the shop folder."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction
from operator import attrgetter
from pathlib import Path

from oilchart import bounds
from oilchart.core.days import MONDAY_TO_FRIDAY, WEEKDAYS, DayOrder, OpenDays, Span, add_days
from oilchart.core.planning.call_plan import LEAD_DAYS
from oilchart.core.planning.capacity import ShopLimits
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.shop_details import ShopDetails
from oilchart.errors import FaultyList
from oilchart.sources.files.paper_settings import STARTING_PAPER, read_paper
from oilchart.sources.files.public_holidays import NoSuchHolidays, public_holidays
from oilchart.sources.files.toml_table import Table, day_of, read_toml
from oilchart.sources.words.phrase import SEASONS, months_from
from oilchart.sources.words.word_list import Range

SETTINGS_FILE = "shop.toml"
# between two services of a machine, unless the shop says otherwise; common practice, no source
LEAST_DAYS = 90
_HOURS = rf"(\d{{1,{bounds.NUMBER_DIGITS}}}(?:\.\d{{1,{bounds.NUMBER_DIGITS}}})?)"
_PIECE = re.compile(rf"{_HOURS}(?:\s*[-–]\s*{_HOURS})?")

STARTING_SETTINGS = (
    """\
# The shop as its papers name it. Fill this in before you print the first card.
name = "My sewing-machine shop"
phone = ""
# region = "GB"               # the country whose telephone numbers need no country code: by it owners' numbers are judged
email = ""
address = []                  # its lines: ["12 Example Street", "Example Town"]
# day_order = "day first"     # 12/05/2026 is 12 May; "month first": 5 December; without it such a day is asked for anew

[bench]
open = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"]
closures = []                 # last day included: ["2026-12-24 to 2027-01-02"]
# holidays = "DE-BY"          # public holidays, too, on which the shop is shut: pip install 'oilchart[holidays]'
lead_days = 14                # ring the owner so many days before a service
# calls_a_day = 6             # no more calls are planned for one day
# services_a_week = 10        # no more services are planned for one week, Monday to Sunday
electrical_tests = "here"     # "elsewhere" where others make them: then no list asks for one, and papers say so
work_by = ""                  # who does the work, where a command does not say
least_days = 90               # so many days pass between two services at least: "models check" tells bench intervals that are shorter

[pieces]                      # hours at the machine for one piece of work; common practice, set them to your own owners
quilt = "20-40"
dress = "4-8"
blouse = "3-6"
skirt = "2-4"
coat = "10-20"
curtain = "1-3"
cushion = "0.5-1"
bag = "2-4"

# [seasons]                   # what owners call them; the first and the last month, in the northern half of the world
# winter = "Dec-Feb"
# summer = "Jun-Aug"
# term = "Sep-Jun"
"""  # noqa: E501 - its lines are as long as the file's
    + STARTING_PAPER
)


class ElectricalTests(StrEnum):
    """Where the electrical tests of machines are made."""

    HERE = "here"
    ELSEWHERE = "elsewhere"


def starting_settings(tests: ElectricalTests) -> str:
    """The text of shop.toml in a new shop."""
    here = f'electrical_tests = "{ElectricalTests.HERE}"     #'
    there = f'electrical_tests = "{tests}"'.ljust(len(here) - 1) + "#"
    return STARTING_SETTINGS.replace(here, there)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """A shop's settings.

    Args:
        least_days: between two services of one machine; only lists are held against it.
        pieces: hours at the machine for one piece of work, low and high, by its name in the
            singular.
        seasons: months by what owners call them.
        paper: how it wants its papers.
        tests_mains: the shop makes the electrical tests itself; else others do.
        work_by: who does the work, where nothing else is said; may be empty.
        region: the country whose telephone numbers need no country code, by two letters; empty
            where it does not say.
        day_order: in which day and month are written in figures; None where it does not say.
        fallback_fonts: files, in the order in which they are asked for a letter; a relative one
            lies in the shop folder.
    """

    shop_details: ShopDetails
    limits: ShopLimits
    lead_days: int
    least_days: int
    pieces: Mapping[str, Range]
    seasons: Mapping[str, frozenset[int]] = field(default_factory=lambda: SEASONS)
    paper: PaperStyle = field(default_factory=PaperStyle)
    fallback_fonts: tuple[Path, ...] = ()
    tests_mains: bool = True
    work_by: str = ""
    day_order: DayOrder | None = None
    region: str = ""

    def as_tested(self, point_list: PointList) -> PointList:
        """A list as the shop works by it: without the electrical tests where others make them."""
        return point_list if self.tests_mains else point_list.tested_elsewhere()


def read_settings(path: Path) -> Settings:
    """Read shop.toml.

    Raises:
        FaultyList: every fault of the file.
    """
    table = Table(read_toml(path), str(path))
    shop_details = ShopDetails(
        name=table.text("name", most=bounds.NAME_LETTERS),
        phone=_may_be_empty(table, "phone"),
        email=_may_be_empty(table, "email"),
        address=table.words("address", most=bounds.NAME_LETTERS),
        invented=table.flag("invented"),
    )
    day_order = (
        table.choice("day_order", DayOrder, default=DayOrder.DAY_FIRST)
        if "day_order" in table
        else None
    )
    region = _may_be_empty(table, "region")
    if not re.fullmatch("|[A-Z]{2}", region):
        table.fault("region", region, "is no country", 'write two letters, like region = "GB"')
    bench = Table(table.raw("bench") if "bench" in table else {}, f"{path}: [bench]", table)
    weekdays = _weekdays(bench)
    closures = tuple(
        span for words in bench.words("closures") if (span := _closure(bench, words)) is not None
    )
    holidays = _holidays(bench)
    lead_days = bench.whole("lead_days", least=0, most=bounds.LONGEST_LEAD_DAYS)
    least_days = bench.whole("least_days", least=0, most=bounds.LONGEST_LEAD_DAYS)
    tests = bench.choice("electrical_tests", ElectricalTests, default=ElectricalTests.HERE)
    work_by = _may_be_empty(bench, "work_by")
    calls_a_day, services_a_week = (
        bench.whole(key, most=bounds.PLACES) for key in ("calls_a_day", "services_a_week")
    )
    pieces = _pieces(
        Table(table.raw("pieces") if "pieces" in table else {}, f"{path}: [pieces]", table)
    )
    seasons = _seasons(
        Table(table.raw("seasons") if "seasons" in table else {}, f"{path}: [seasons]", table)
    )
    paper_table = Table(table.raw("paper") if "paper" in table else {}, f"{path}: [paper]", table)
    fallback_fonts = tuple(path.parent / name for name in paper_table.words("fallback_fonts"))
    paper = read_paper(paper_table, path.parent)
    for each in (bench, table):  # once all is read, and it is known what stands where
        each.finish()
    if table.faults:
        raise FaultyList(table.faults)
    return Settings(
        shop_details=shop_details,
        limits=ShopLimits(
            open_days=OpenDays(weekdays=weekdays, closures=closures, holidays=holidays),
            calls_a_day=calls_a_day,
            services_a_week=services_a_week,
        ),
        lead_days=LEAD_DAYS if lead_days is None else lead_days,
        least_days=LEAST_DAYS if least_days is None else least_days,
        pieces=pieces,
        seasons=seasons,
        paper=paper,
        fallback_fonts=fallback_fonts,
        tests_mains=tests is ElectricalTests.HERE,
        work_by=work_by,
        day_order=day_order,
        region=region,
    )


def far_closures(settings: Settings, today: date) -> list[Span]:
    """The closures so long ago or so far ahead that their year may be a slip of the pen, by day."""
    earliest, end = bounds.earliest_day(today), add_days(bounds.latest_day(today), 1)
    closures = settings.limits.open_days.closures
    return sorted(
        (span for span in closures if span.first < earliest or span.end > end),
        key=attrgetter("first"),
    )


def _seasons(table: Table) -> dict[str, frozenset[int]]:
    """Seasons with their months; those that are not told are those of the north."""
    seasons = dict(SEASONS)
    for name in table.names():
        months = months_from(str(table.raw(name)))
        if months is None:
            table.fault(
                name, table.raw(name), "is no stretch of months", f'write {name} = "Dec-Feb"'
            )
        else:
            seasons[" ".join(name.split())] = months
    return seasons


def _pieces(table: Table) -> dict[str, Range]:
    """Pieces of work with their hours."""
    pieces = {}
    for name in table.names():
        hours = _piece(table.raw(name))
        if hours is None:
            table.fault(name, table.raw(name), "is no range of hours", f'write {name} = "4-8"')
        else:
            pieces[" ".join(name.casefold().split())] = hours
    return pieces


def _piece(value: object) -> Range | None:
    """Hours from a number, or from a text like "4-8"; None where it is none."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    if isinstance(value, int) and value >= bounds.NUMBER_BELOW:  # Python may not even write it
        return None
    found = _PIECE.fullmatch(str(value))
    if found is None:
        return None
    low, high = Fraction(found[1]), Fraction(found[2] or found[1])
    return (low, high) if 0 < low <= high <= bounds.PIECE_HOURS else None


def _may_be_empty(table: Table, key: str) -> str:
    value = table.raw(key)
    return "" if value in (None, "") else table.text(key, most=bounds.NAME_LETTERS)


def _weekdays(bench: Table) -> frozenset[int]:
    words = bench.words("open")
    if bench.raw("open") == []:
        bench.fault("open", [], "the bench is never open", 'write open = ["Monday", "..."]')
    for word in words:
        bench.known("open", word, WEEKDAYS, "day of the week")
    return frozenset(WEEKDAYS.index(word) for word in words if word in WEEKDAYS) or MONDAY_TO_FRIDAY


def _holidays(bench: Table) -> frozenset[date]:
    """The public holidays of the place that is named; none where none is."""
    code = _may_be_empty(bench, "holidays")
    try:
        return public_holidays(code) if code else frozenset()
    except NoSuchHolidays as wrong:
        fault, _, remedy = str(wrong).partition("; ")
        bench.fault("holidays", code, fault, remedy)
        return frozenset()


def _closure(bench: Table, words: str) -> Span | None:
    """A closure from one day to another, both included."""
    days = [day_of(part) for part in words.split(" to ")]
    first, last = days[0], days[-1]
    if (
        first is None
        or last is None
        or len(days) > 2
        or last < first
        or (last - first).days > bounds.CLOSURE_DAYS
    ):
        bench.fault(
            "closures",
            words,
            f"is not a stretch of at most {bounds.CLOSURE_DAYS} days",
            'write it like "2026-12-24 to 2027-01-02"',
        )
        return None
    if first.year < bounds.FIRST_YEAR or last.year > bounds.LAST_YEAR:
        years = f"{bounds.FIRST_YEAR} to {bounds.LAST_YEAR}"
        bench.fault("closures", words, "is in no year that a shop has", f"give a year from {years}")
        return None
    return Span(first=first, end=add_days(last, 1))


# what holds where there is no shop: open Monday to Friday, and the pieces of work of the starting
# settings
WITHOUT_A_SHOP = Settings(
    shop_details=ShopDetails(name="", phone=""),
    limits=ShopLimits(open_days=OpenDays()),
    lead_days=LEAD_DAYS,
    least_days=LEAST_DAYS,
    pieces={
        name: hours
        for name, words in tomllib.loads(STARTING_SETTINGS)["pieces"].items()
        if (hours := _piece(words)) is not None
    },
)
