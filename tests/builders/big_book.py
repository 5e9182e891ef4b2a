"""Makes a book of as many machines as wanted, with reports, services, stays and calls as a real
shop has them, drawn by chance."""

from __future__ import annotations

import contextlib
import random
import sqlite3
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from oilchart.core.days import OpenDays
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.findings import Found, Left
from oilchart.shop.folder import BOOK_FILE, Shop, make_shop
from oilchart.sources.book import schema
from oilchart.sources.book.rows import NUMBERED
from oilchart.sources.files.settings import STARTING_SETTINGS
from oilchart.sources.words.reader import read_report
from oilchart.sources.words.report_json import understood_json
from tests.builders.make import TODAY

MODELS = (
    "heron-3", "velmora-7", "tarnwick-20", "ashgrove-27", "garrow-80", "lindmoor-33", "odwin-52",
    "pellbrook-8", "sedge-44", "fenna-210",
    "family-zigzag-motor", "family-straight-treadle", "family-overlock",
)  # fmt: skip
MORE_WORDS = (
    "",
    "; idle Jul-Aug",
    "; busy Oct-Dec x2",
    "; mostly zigzag",
    "; flat out",
    "; idle Dec-Feb",
    "; never oils it",
    "; busy May-Jun x3; idle Aug",
)
PERIODS = ("week", "month", "month")
CONDITIONS = ("", "", "", "", "", "lint", "cold-room", "lint, fast-work")
FIRST_DAY = TODAY - timedelta(days=1_100)  # no owner was added before
SERVICE_DAY = TODAY + timedelta(days=40)  # for which calls were planned; no call is later
OPEN_DAYS = OpenDays()


class _Rows:
    """The rows of a book, drawn machine by machine."""

    def __init__(self, shop: Shop, many: int, new: int) -> None:
        self._chance = random.Random(many)
        self._points = {
            model: [(point.id, point.deep) for point in shop.library.point_list(model).points]
            for model in MODELS
        }
        self._timed = {
            model: [
                point.id
                for point in shop.library.point_list(model).kept_by(Keeper.BENCH)
                if point.every.steps
            ]
            for model in MODELS
        }
        self._understood: dict[str, str] = {}
        self._left_alone: set[int] = set()  # owners whom nobody is to ring
        self.rows: dict[str, list[dict[str, Any]]] = {
            table.name: [] for table in schema.metadata.sorted_tables if table.name != "meta"
        }
        for number in range(1, many + 1):
            self._machine(number)
        for number in range(many + 1, many + new + 1):
            self._new_machine(number)

    def _add(self, table: str, **values: Any) -> int:
        """A row more; its id."""
        rows = self.rows[table]
        number = len(rows) + 1
        rows.append({"id": number, **values} if "id" in schema.metadata.tables[table].c else values)
        return number

    def _machine(self, number: int) -> None:
        """A machine with all that is known of it, and its owner where they are new."""
        chance = self._chance
        owner = len(self.rows["owner"])
        if not owner or chance.random() < 0.7:  # most owners have one machine, some a workroom full
            owner = self._owner()
        # a few let it slip
        day = TODAY - timedelta(days=chance.randrange(1, 120 if chance.random() < 0.9 else 400))
        served = [
            day,
            *(
                day := day - timedelta(days=chance.randrange(120, 290))
                for _ in range(chance.randrange(3))
            ),
        ][::-1]
        added = served[0] - timedelta(days=chance.randrange(1, 60))
        model = self._row_of_machine(number, owner, added)
        self._reports(number, added)
        if chance.random() > 0.02:  # else it was never looked at
            dry = chance.choice(self._timed[model]) if chance.random() < 0.05 else None
            self._services(number, model, served, dry)
            if dry is not None:
                self._shorter_interval(number, dry, served[-1])
        if self._stays(number, added):
            return
        # a day is agreed, or the owner is to be rung about it, or neither
        if chance.random() < 0.03:
            self._booking(number, after=served[-1])
        elif chance.random() < 0.6 and owner not in self._left_alone:
            self._open_call(owner, number, after=served[-1])

    def _new_machine(self, number: int) -> None:
        """A machine that came with an owner of its own and was served today."""
        model = self._row_of_machine(number, self._owner(), TODAY)
        self._add_report(number, TODAY, self._words())
        self._services(number, model, [TODAY])

    def _row_of_machine(self, number: int, owner: int, added: date) -> str:
        """Its model is given back."""
        model = self._chance.choice(MODELS)
        conditions = self._chance.choice(CONDITIONS)
        values = {
            "owner_id": owner,
            "model": model,
            "added_on": added.isoformat(),
        }
        machine = self._add("machine", **values, serial=f"S-{number:06}")
        for position, condition in enumerate(filter(None, conditions.split(", ")), start=1):
            since = self._chance.choice([None, added, TODAY - timedelta(days=90)])
            self._add(
                "worked_under",
                machine_id=machine,
                position=position,
                condition=condition,
                since=None if since is None else since.isoformat(),
            )
        return model

    def _owner(self) -> int:
        """An owner and what came of calls in the last months; their id."""
        chance = self._chance
        left_alone = chance.random() < 0.02
        number = self._add(
            "owner",
            name=f"Owner {len(self.rows['owner']) + 1}",
            email="",
            added_on=FIRST_DAY.isoformat(),
            can=chance.choice(["", "", "", "tip", "tip, fine"]),
            left_alone_on=FIRST_DAY.isoformat() if left_alone else None,
            left_alone_why="asked for" if left_alone else None,
        )
        called = f"01632 96{chance.randrange(10_000):04}"
        self._add("phone", owner_id=number, position=1, number=called, dial="", whose="", wrong=0)
        if left_alone:
            self._left_alone.add(number)
            return number
        for _ in range(chance.choice([0, 0, 0, 1, 2])):
            told = (TODAY - timedelta(days=chance.randrange(1, 300))).isoformat()
            came = chance.choice(["no answer", "left message", "reached", "declined"])
            self._add(
                "outcome", owner_id=number, about="service", told_on=told, outcome=came, note=""
            )
        return number

    def _open_call(self, owner: int, machine: int, after: date) -> None:
        """A call shown three weeks ago, or since the last service, which ended all before it; a few
        are promised for their day."""
        day = self._open_day(TODAY, 38).isoformat()
        made = max(TODAY - timedelta(days=20), after).isoformat()
        values = {
            "about": "service",
            "call_on": day,
            "made_on": made,
            "changed_on": made,
            "changes": 0,
        }
        promised = day if self._chance.random() < 0.05 else None
        call = self._add("call", owner_id=owner, **values, promised_on=promised)
        self._add(
            "call_service",
            call_id=call,
            machine_id=machine,
            service_on=SERVICE_DAY.isoformat(),
        )

    def _booking(self, machine: int, after: date) -> None:
        """A day agreed last week, or since the last service; some owners did not come."""
        made = max(TODAY - timedelta(days=7), after)
        self._add(
            "booking",
            machine_id=machine,
            booked_for=self._open_day(made + timedelta(days=1), 30).isoformat(),
            made_on=made.isoformat(),
        )

    def _open_day(self, first: date, days: int) -> date:
        """One of so many days from the first, or the next open one after it."""
        return OPEN_DAYS.first_open(first + timedelta(days=self._chance.randrange(days)))

    def _words(self) -> str:
        """How much an owner sews, in their words."""
        low = self._chance.randint(1, 8)
        high, period = low + self._chance.randint(1, 5), self._chance.choice(PERIODS)
        return f"{low}-{high} hours a {period}{self._chance.choice(MORE_WORDS)}"

    def _reports(self, number: int, added: date) -> None:
        """What was said since a machine came into the book, once to three times."""
        chance = self._chance
        days = sorted(
            added + timedelta(days=chance.randrange((TODAY - added).days))
            for _ in range(chance.randint(1, 3))
        )
        shown = 0
        for day in days:
            words, kind = self._words(), chance.random()
            if kind < 0.08:
                since = day - timedelta(days=chance.randrange(60, 300))
                words = f"{chance.randrange(20, 200)} hours since {since}"
            elif kind < 0.12 and len(set(days)) == len(days):
                shown += chance.randrange(5, 24)  # no more than a day can have
                words = f"meter {shown} hours"
            elif kind < 0.2:
                first, last = day + timedelta(days=20), day + timedelta(days=50)
                words = f"5-8 hours a week; idle {first} to {last}"
            self._add_report(number, day, words)

    def _add_report(self, number: int, day: date, words: str) -> None:
        if words not in self._understood:
            self._understood[words] = understood_json(read_report(words, day))
        self._add(
            "report",
            machine_id=number,
            said_on=day.isoformat(),
            words=words,
            understood=self._understood[words],
        )

    def _services(
        self, number: int, model: str, served: Sequence[date], dry: str | None = None
    ) -> None:
        """Its services; the point `dry` was found so at the last of them."""
        chance = self._chance
        for at, day in enumerate(served):
            freed = int(at == 0 and chance.random() < 0.03)
            service = self._add(
                "service", machine_id=number, done_on=day.isoformat(), freed=freed, complete=1
            )
            for point, deep in self._points[model]:
                is_dry = point == dry and at == len(served) - 1
                planned = int(not (at and deep and chance.random() < 0.6 and not is_dry))
                done = int(planned and (chance.random() > 0.02 or is_dry))
                found: Found | str = ""
                if is_dry:
                    found = Found.DRY
                elif planned and chance.random() < 0.05:
                    found = chance.choice([Found.DRY, Found.GUMMED, Found.WORN])
                left = Left.WATCH if planned and chance.random() < 0.02 else ""
                self._add(
                    "service_point",
                    service_id=service,
                    point_id=point,
                    done=done,
                    planned=planned,
                    found=str(found),
                    left=str(left),
                )

    def _shorter_interval(self, number: int, point: str, found: date) -> None:
        """A limit at rest of this machine alone, as accepted on the day the point was found dry."""
        days = self._chance.randrange(60, 120)
        day = found.isoformat()
        self._add(
            "shortened",
            machine_id=number,
            point_id=point,
            days=days,
            accepted_on=day,
            found=str(Found.DRY),
            found_on=day,
        )

    def _stays(self, number: int, added: date) -> bool:
        """A stay in the shop and an electrical check, if any; whether it is in the shop now."""
        chance = self._chance
        in_shop = False
        if chance.random() < 0.3:
            came = max(TODAY - timedelta(days=chance.randrange(5, 600)), added)
            out = came + timedelta(days=chance.randrange(1, 20))
            in_shop = out > TODAY
            self._add(
                "job",
                machine_id=number,
                in_on=came.isoformat(),
                complaint="skips stitches",
                left_with="pedal",
                ready_on=min(out, TODAY).isoformat(),
                out_on=None if in_shop else out.isoformat(),
            )
        if chance.random() < 0.02:
            checked = TODAY - timedelta(days=chance.randrange(5, 600))
            self._add(
                "electrical_check",
                machine_id=number,
                checked_on=checked.isoformat(),
                checked_by="A. Sparks",
                passed=1,
            )
        return in_shop


def make_big_shop(folder: Path, many: int, *, new: int = 0, bench: str = "") -> Shop:
    """A new shop of so many machines on 25 November 2026; the same for the same numbers, and the
    new ones change no other.

    Args:
        new: so many more machines, numbered last, each of an owner of its own and served today for
            the first time.
        bench: more lines of [bench] in its shop.toml.
    """
    settings = STARTING_SETTINGS.replace("[bench]\n", f"[bench]\n{bench}\n", 1)
    shop = make_shop(
        folder, TODAY, settings=settings, namespace="00000000-0000-4000-8000-000000000000"
    )
    with contextlib.closing(sqlite3.connect(folder / BOOK_FILE)) as file, file:
        for table, rows in _Rows(shop, many, new).rows.items():
            columns = list(dict.fromkeys(key for row in rows for key in row))
            marks = ", ".join(f":{column}" for column in columns)
            names = ", ".join(f'"{column}"' for column in columns)
            if rows:
                file.executemany(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', rows)
        for each in NUMBERED:
            last = f'(SELECT coalesce(max(id), 0) FROM "{each.name}")'
            file.execute(f"UPDATE counter SET last = {last} WHERE name = ?", (each.name,))
    return Shop(folder, TODAY)


def read_bare(folder: Path) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of each table by bare SQL, in no order, with no value made of them."""
    with contextlib.closing(sqlite3.connect(folder / BOOK_FILE)) as file:
        return {
            table.name: file.execute(f'SELECT * FROM "{table.name}"').fetchall()
            for table in schema.metadata.sorted_tables
        }
