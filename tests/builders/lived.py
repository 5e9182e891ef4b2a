"""A shop whose life is kept step by step, so that a twin can live the same without one of them."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from oilchart.cli.batch import Batch
from oilchart.cli.commands.papers.calendars import Feeds, calls_bytes
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.records.findings import Found
from oilchart.core.records.job import ElectricalCheck, Repair, Stage
from oilchart.core.records.machine_record import MachineChange, NewMachine
from oilchart.core.records.owner import OwnerChange
from oilchart.core.records.service_notes import ServiceNotes
from oilchart.errors import OilchartError
from oilchart.papers.tables.calls import calls_json
from oilchart.papers.tables.due import due_json
from oilchart.papers.tables.schedule import schedule_json
from oilchart.shop import call_outcomes, calls, machines, owners, reports, standings
from oilchart.shop.bench import jobs, photos, repairs, safety, services, waiting
from oilchart.shop.bench.waiting import PartTold
from oilchart.shop.calendar import reading_back
from oilchart.shop.corrections import calls as call_corrections
from oilchart.shop.corrections import machines as machine_corrections
from oilchart.shop.corrections import owners as owner_corrections
from oilchart.shop.corrections import services as service_corrections
from oilchart.shop.corrections import stays as stay_corrections
from oilchart.shop.folder import Shop, make_shop
from oilchart.shop.owners import NewOwner
from oilchart.sources.book import schema
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.images import NOT_TOLD
from oilchart.sources.files.calendar_file import ReadEntry

NAMESPACE = "7b3d7f0e-0b43-4c53-9a4f-6d1d1f6f2f10"
MODELS = ("heron-3", "pellbrook-8")
LEFT = (("hook-race-oil", (Found.DRY,)),)
CALL_COLUMNS = ("owner_id", "about", "promised_on", "closed_on", "closed_by")


@dataclass(frozen=True, slots=True)
class Doing:
    """Within what a step is done: who is called by which number there.

    Args:
        numbers: by the step that added them.
    """

    book: Book
    shop: Shop
    numbers: dict[int, str]

    @property
    def today(self) -> date:
        """The day of the step."""
        return self.shop.today

    def check(self, passed: bool = True) -> ElectricalCheck:
        """An electrical check of today."""
        return ElectricalCheck(on=self.today, by="R. Amsel", passed=passed)


Step = Callable[[Doing], str | None]  # gives the number of the one it added, if any


def add_owner(name: int) -> Step:
    """A step that adds an owner."""
    told = NewOwner(name=f"Owner {name}", phones=("01632 960107",))
    return lambda at: owners.add(at.book, at.shop, told).owner.number


def add_machine(owner: int, model: int) -> Step:
    """A step that adds a machine of the owner whom a step added."""
    return lambda at: (
        machines.add(at.book, at.shop, at.numbers[owner], NewMachine(model=MODELS[model]))[0].number
    )


def read_closure(number: int) -> Step:
    """A step that reads the days on which the bench is shut from a calendar."""

    def read(at: Doing) -> None:
        first = at.today + timedelta(days=number)
        shut = ReadEntry(
            uid=f"shut-{number}",
            first=first,
            last=first + timedelta(days=number % 4),
            whole_days=True,
            recurs=False,
            sequence=0,
            title="Shut",
            categories=("SHUT",),
            cancelled=False,
        )
        reading_back.read_in(at.book, at.shop, [shut], category="SHUT", only_look=False)

    return read


def _none(of: object) -> None:
    """What a step that adds nobody gives back."""
    del of


def steps_of_owner(owner: int, other: int, number: int) -> list[Step]:
    """All that can be done with an owner.

    Args:
        owner, other: by the steps that added them.
        number: varies what is told.
    """
    outcome = list(Outcome)[number % len(Outcome)]

    def day_at(at: Doing) -> date | None:
        if outcome not in (Outcome.BOOKED, Outcome.LATER):
            return None
        wanted = at.today + timedelta(days=3 + number % 20)
        return at.shop.settings_in(at.book).limits.open_days.first_open(wanted)

    def call(at: Doing) -> None:
        told = CallOutcome(on=at.today, outcome=outcome, day=day_at(at))
        call_outcomes.record(at.book, at.shop, at.numbers[owner], told)

    def correct_call(at: Doing) -> None:
        change = call_corrections.OutcomeChange(outcome=outcome, day=day_at(at))
        call_corrections.correct(at.book, at.shop, at.numbers[owner], change)

    def merge(at: Doing) -> None:
        both = owner_corrections.merging(at.book, at.numbers[owner], at.numbers[other])
        owner_corrections.merge(at.book, at.shop, both)

    def edit(at: Doing) -> None:
        change = OwnerChange(best_time=f"after {number}", note=f"note {number}")
        owners.edit(at.book, at.shop, at.numbers[owner], change)

    def tell_danger(at: Doing) -> None:
        found = call_outcomes.FoundUnsafe(on=at.today, why=f"it tingles {number}")
        call_outcomes.mark_unsafe(at.book, at.shop, at.numbers[owner], (), found)

    def leave_alone(at: Doing) -> None:
        change = OwnerChange(do_not_contact=number % 2 == 0)
        owners.edit(at.book, at.shop, at.numbers[owner], change)

    return [call, call, call, correct_call, merge, edit, tell_danger, leave_alone]


def steps_of_machine(machine: int, owner: int, number: int) -> list[Step]:
    """All that can be done with a machine.

    Args:
        machine, owner: by the steps that added them.
        number: varies what is told.
    """
    some, passed = number % 2 == 0, number % 3 > 0

    def named(at: Doing) -> str:
        return at.numbers[machine]

    def serve(notes: Callable[[Doing], ServiceNotes]) -> Step:
        return lambda at: _none(
            services.record(
                at.book, at.shop, machines.found(at.book, named(at)), at.today, notes(at)
            )
        )

    def correct_service(at: Doing) -> None:
        change = service_corrections.ServiceChange(by=f"worker {number}", found=LEFT)
        service_corrections.correct(
            at.book, at.shop, machines.found(at.book, named(at)), None, change
        )

    def correct_stay(at: Doing) -> None:
        change = stay_corrections.StayChange(complaint=f"complaint {number}")
        stay_corrections.correct(at.book, at.shop, named(at), None, change)

    return [
        lambda at: _none(
            machines.edit(
                at.book,
                at.shop,
                named(at),
                MachineChange(conditions=("lint",) if some else (), note=f"note {number}"),
            )
        ),
        lambda at: _none(
            machines.edit(
                at.book,
                at.shop,
                named(at),
                MachineChange(has_not=(("lamp-inspect", "no lamp"),), serial=f"H3-{number}"),
            )
        ),
        lambda at: _none(
            reports.add(at.book, at.shop, named(at), f"{1 + number} hours a week", at.today)
        ),
        lambda at: _none(
            reports.correct(at.book, at.shop, named(at), f"{2 + number} hours a week", at.today)
        ),
        serve(lambda at: ServiceNotes(found=LEFT, check=at.check(), accept=some)),
        serve(lambda at: ServiceNotes(back_on=at.today + timedelta(days=30))),
        serve(lambda _: ServiceNotes(only=("hook-race-oil",))),
        correct_service,
        lambda at: _none(
            jobs.check_in(
                at.book,
                at.shop,
                named(at),
                jobs.CheckIn(
                    on=at.today,
                    complaint="makes loops",
                    left_with=("pedal", "case"),
                    ready_by=at.today + timedelta(days=7) if some else None,
                ),
            )
        ),
        lambda at: _none(
            waiting.want_part(
                at.book,
                at.shop,
                named(at),
                PartTold(words="a belt", ordered_from="Ambleworth Parts" if some else None),
                at.today,
            )
        ),
        lambda at: _none(
            waiting.want_no_more(at.book, at.shop, named(at), "a belt", at.today)
            if some
            else waiting.wait_no_more(at.book, at.shop, named(at), at.today)
        ),
        lambda at: _none(waiting.part_arrived(at.book, at.shop, named(at), None, at.today)),
        lambda at: _none(waiting.ask_owner(at.book, at.shop, named(at), "ok?", at.today)),
        lambda at: _none(waiting.answered(at.book, at.shop, named(at), "yes", "", at.today)),
        lambda at: _none(waiting.put_on_bench(at.book, at.shop, named(at), list(Stage)[some])),
        lambda at: _none(
            photos.add(at.book, at.shop, named(at), [f"{number}.jpg"], at.today, as_received=some)
        ),
        lambda at: _none(
            jobs.collect(at.book, at.shop, named(at), at.today, kept=("pedal",))
            if some
            else jobs.hand_back(at.book, named(at))
        ),
        lambda at: _none(jobs.mark_ready(at.book, at.shop, named(at), at.today, nothing_done=some)),
        lambda at: _none(jobs.collect(at.book, at.shop, named(at), at.today)),
        correct_stay,
        lambda at: _none(
            safety.mark_unsafe(at.book, at.shop, named(at), f"bare wire {number}", at.today)
        ),
        lambda at: _none(
            safety.make_safe(at.book, at.shop, named(at), "new pin", "R. Amsel", at.today)
        ),
        lambda at: _none(
            safety.record_check(at.book, at.shop, named(at), at.check(passed), "new lead")
        ),
        lambda at: _none(
            repairs.record(
                at.book,
                at.shop,
                named(at),
                Repair(id=0, on=at.today, words="belt refitted", part="a belt" if some else ""),
            )
        ),
        lambda at: _none(machines.mark_gone(at.book, at.shop, named(at), "scrapped", at.today)),
        lambda at: _none(machines.restore(at.book, named(at))),
        lambda at: _none(
            machines.hand_on(at.book, at.shop, named(at), at.numbers[owner], at.today)
        ),
        lambda at: _none(
            machine_corrections.correct_owner(at.book, at.shop, named(at), at.numbers[owner])
        ),
        lambda at: _none(
            machine_corrections.correct_model(at.book, at.shop, named(at), MODELS[number % 2])
        ),
    ]


@dataclass
class Lived:
    """A step that was done, when, and as which change; None where it changed nothing told."""

    on: date
    do: Step
    change: int | None
    added: str | None


@dataclass
class Life:
    """A shop and what was done in it.

    Args:
        done: the steps that were not refused, by their place among all.
    """

    folder: Path
    today: date
    done: dict[int, Lived] = field(default_factory=dict)
    numbers: dict[int, str] = field(default_factory=dict)

    @staticmethod
    def begun(folder: Path, today: date) -> Life:
        """A new shop."""
        make_shop(folder, today, namespace=NAMESPACE)
        return Life(folder, today)

    @property
    def shop(self) -> Shop:
        """The shop today."""
        return Shop(self.folder, self.today)

    def do(self, place: int, step: Step) -> bool:
        """Do a step today, if it is not refused."""
        shop = self.shop
        try:
            with shop.book(writing=True) as book:
                added = step(Doing(book, shop, self.numbers))
        except OilchartError:
            return False
        self.done[place] = Lived(self.today, step, book.kept, added)
        if added is not None:
            self.numbers[place] = added
        return True

    def twin(self, folder: Path, places: Sequence[int]) -> Life:
        """Another shop in which these steps were done, each on its day.

        Raises:
            AssertionError: one of them is refused there.
        """
        twin = Life.begun(folder, min(each.on for each in self.done.values()))
        for place in places:
            twin.today = self.done[place].on
            try:
                assert twin.do(place, self.done[place].do), place
            except KeyError:  # it is about one who is not there, and had changed nothing here
                assert self.done[place].change is None, place
        twin.today = self.today
        return twin

    def plan_in(self, book: Book, shop: Shop) -> None:
        """Plan the calls, and have their calendar in the book as it is written."""
        with Batch(self.folder) as files:
            calls_bytes(Feeds(shop=shop, book=book, files=files, plan=calls.plan(book, shop)))

    def lists(self) -> Any:
        """What the shop says is due, whom to ring, and every schedule; by the places of the
        numbers, not by the numbers."""
        shop = self.shop
        with shop.book(writing=True) as book:
            worst = standings.worst(book, shop)
            told = [due_json(worst), calls_json(calls.plan(book, shop).calls)]
            for each in worst:
                ahead = each.reckoning.services_ahead(each.schedule)
                told.append(schedule_json(each.schedule, ahead))
        return json.loads(self._by_places(json.dumps([json.loads(each) for each in told])))

    def rows(self) -> dict[str, list[list[object]]]:
        """All rows that are told of, by the places of their numbers."""
        with closing(sqlite3.connect(self.folder / "shop.db")) as book:
            ranks = {
                table.name: {
                    row[0]: rank
                    for rank, row in enumerate(
                        book.execute(
                            f'SELECT id FROM "{table.name}" {_counted(table.name)}ORDER BY id'
                        )
                    )
                }
                for table in schema.metadata.sorted_tables
                if "id" in table.columns
            }
            return {
                table.name: sorted(
                    (
                        [
                            self._by_places(ranks[name].get(value, value) if name else value)
                            for name, value in zip(_refers(table), row, strict=True)
                        ]
                        for row in book.execute(_rows_of(table))
                    ),
                    key=str,
                )
                for table in schema.metadata.sorted_tables
                if table not in NOT_TOLD and table.name != "call_service"
            }

    def sequences(self) -> dict[tuple[str, str], int]:
        """The SEQUENCE of each calendar entry."""
        with closing(sqlite3.connect(self.folder / "shop.db")) as book:
            return {
                (feed, uid): number
                for feed, uid, number in book.execute(
                    "SELECT feed, uid, sequence FROM calendar_entry"
                )
            }

    def given(self) -> dict[str, set[int]]:
        """The numbers of all that stand, by table."""
        with closing(sqlite3.connect(self.folder / "shop.db")) as book:
            return {
                name: {row[0] for row in book.execute(f'SELECT id FROM "{name}"')}
                for name in ("owner", "machine", "job", "call", "change")
            }

    def _by_places(self, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        places = {number: place for place, number in self.numbers.items()}
        jobs_by_rank = {
            f"J-{each:03}": rank for rank, each in enumerate(sorted(self.given()["job"]))
        }

        def place(found: re.Match[str]) -> str:
            return f"{found[1]} {(places | jobs_by_rank).get(found[0], found[2])}"

        return re.sub(r"\b(M|OW|J)-(\d+)\b", place, value)


def _told(table: str) -> str:
    """Of the calls only those of which more is told than what is planned."""
    return "WHERE promised_on IS NOT NULL OR closed_by = 'outcome' " if table == "call" else ""


def _counted(table: str) -> str:
    """Of the calls also those that something was told of, and that are but planned all the same."""
    told = _told(table)
    return f"{told}OR id IN (SELECT call_id FROM outcome) " if told else ""


def _columns(table: Any) -> list[Any]:
    return [each for each in table.columns if table.name != "call" or each.name in CALL_COLUMNS]


def _rows_of(table: Any) -> str:
    names = ", ".join(f'"{each.name}"' for each in _columns(table))
    return f'SELECT {names} FROM "{table.name}" {_told(table.name)}'


def _refers(table: Any) -> list[str]:
    """The table whose ids stand in each column; empty where none do."""
    found = []
    for each in _columns(table):
        keys = [key.column.table.name for key in each.foreign_keys]
        found.append(table.name if each.name == "id" else keys[0] if keys else "")
    return found
