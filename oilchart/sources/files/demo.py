"""The invented demo shop as the files of demo_data/ tell it: settings, owners, machines, reports,
stays, services and calls."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.records.findings import Found, Left
from oilchart.core.records.job import ElectricalCheck, Job
from oilchart.core.records.owner import OwnerChange, Way
from oilchart.core.records.waiting import Part
from oilchart.errors import FaultyList
from oilchart.sources.files.toml_table import read_toml


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoService:
    """A service of the demo: machine by its number in the files, what was left out, found and
    left."""

    machine: int
    on: date
    excepted: tuple[str, ...]
    found: tuple[tuple[str, tuple[Found, ...]], ...]
    left: tuple[tuple[str, Left], ...]
    note: str
    freed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoOwner:
    """An owner of the demo, and how and where they want to be reached."""

    name: str
    phone: str
    email: str
    wishes: OwnerChange


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoShop:
    """The demo's data, in the order of the files.

    Args:
        today: the day on which it is shown.
        machines: number of the owner, model, serial number, day added, note.
        conditions: number of the machine and the conditions it works under, where there are any.
        reports: number of the machine, day, words.
        jobs: number of the machine, its stay in the shop, and the part it waits for.
        checks: number of the machine, a check of its mains side.
        outcomes: number of the owner, what came of a call.
    """

    today: date
    namespace: str
    settings: str
    owners: tuple[DemoOwner, ...]
    machines: tuple[tuple[int, str, str, date, str], ...]
    conditions: tuple[tuple[int, tuple[str, ...]], ...]
    reports: tuple[tuple[int, date, str], ...]
    services: tuple[DemoService, ...]
    jobs: tuple[tuple[int, Job, Part | None], ...]
    checks: tuple[tuple[int, ElectricalCheck], ...]
    outcomes: tuple[tuple[int, CallOutcome], ...]


def read_demo(folder: Path) -> DemoShop:
    """Read the demo's files.

    Raises:
        FaultyList: a file is missing or faulty.
    """
    try:
        top = read_toml(folder / "demo.toml")
        return DemoShop(
            today=top["today"],
            namespace=top["namespace"],
            settings=(folder / "shop.toml").read_text(encoding="utf-8"),
            owners=tuple(_owner(row) for row in _rows(folder / "owners.csv")),
            machines=tuple(
                (
                    int(row["owner"]),
                    row["model"],
                    row["serial"],
                    date.fromisoformat(row["added"]),
                    row["note"],
                )
                for row in _rows(folder / "machines.csv")
            ),
            conditions=tuple(
                (int(row["machine"]), tuple(row["conditions"].split()))
                for row in _rows(folder / "machines.csv")
                if row["conditions"]
            ),
            reports=tuple(
                (int(row["machine"]), date.fromisoformat(row["said"]), row["words"])
                for row in _rows(folder / "reports.csv")
            ),
            services=tuple(_service(row) for row in _rows(folder / "services.csv")),
            jobs=tuple(
                (int(row["machine"]), _job(row), _part(row)) for row in _rows(folder / "jobs.csv")
            ),
            checks=tuple(
                (int(row["machine"]), _check(row)) for row in _rows(folder / "checks.csv")
            ),
            outcomes=tuple(
                (int(row["owner"]), _outcome(row)) for row in _rows(folder / "outcomes.csv")
            ),
        )
    except (KeyError, ValueError, OSError) as error:
        raise FaultyList(
            [f"{folder}: the demo's files are damaged: {error}; install oilchart anew"]
        ) from None


def _owner(row: dict[str, str]) -> DemoOwner:
    address = tuple(line.strip() for line in row["address"].split(";") if line.strip())
    wishes = OwnerChange(
        reached_by=Way(row["reach by"]), best_time=row["best time"], address=address
    )
    return DemoOwner(name=row["name"], phone=row["phone"], email=row["email"], wishes=wishes)


def _outcome(row: dict[str, str]) -> CallOutcome:
    day = date.fromisoformat(row["day"]) if row["day"] else None
    return CallOutcome(
        on=date.fromisoformat(row["on"]), outcome=Outcome(row["outcome"]), day=day, note=row["note"]
    )


def _service(row: dict[str, str]) -> DemoService:
    found = _pairs(row["found"])
    return DemoService(
        machine=int(row["machine"]),
        on=date.fromisoformat(row["on"]),
        excepted=tuple(row["except"].split()),
        found=tuple(
            (point, tuple(Found(word) for word in words.split(","))) for point, words in found
        ),
        left=tuple((point, Left(word)) for point, word in _pairs(row["left"])),
        note=row["note"],
        freed=row["freed"] == "yes",
    )


def _job(row: dict[str, str]) -> Job:
    ready, out = (date.fromisoformat(row[key]) if row[key] else None for key in ("ready", "out"))
    left_with = tuple(thing.strip() for thing in row["left"].split(",") if thing.strip())
    return Job(
        id=0,
        in_on=date.fromisoformat(row["in"]),
        complaint=row["complaint"],
        left_with=left_with,
        ready_by=date.fromisoformat(row["ready by"]) if row["ready by"] else None,
        ready_on=ready,
        out_on=out,
    )


def _part(row: dict[str, str]) -> Part | None:
    """The part that a stay waits for; None where it waits for none."""
    if not row["waiting"]:
        return None
    ordered = row["ordered on"]
    return Part(
        id=0,
        words=row["waiting"],
        wanted_on=date.fromisoformat(row["in"]),
        ordered_from=row["ordered from"],
        ordered_on=date.fromisoformat(ordered) if ordered else None,
    )


def _check(row: dict[str, str]) -> ElectricalCheck:
    return ElectricalCheck(
        on=date.fromisoformat(row["on"]),
        by=row["by"],
        passed=row["passed"] == "yes",
        reading=row["reading"],
        before=row["before"] == "yes",
    )


def _pairs(cell: str) -> list[tuple[str, str]]:
    """Pairs of point and words, written POINT=words; POINT=words."""
    pairs = (part.strip().partition("=") for part in cell.split(";") if part.strip())
    return [(point, words) for point, _, words in pairs]


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
