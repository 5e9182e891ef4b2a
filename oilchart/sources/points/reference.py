"""The reference files of a points folder: lubricants, conditions, publications and the order of
work at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from oilchart.core.point_lists.conditions import Condition
from oilchart.core.point_lists.doubts import Never, Spread
from oilchart.core.point_lists.interval import Factors
from oilchart.core.point_lists.lubricants import CONSISTENCY_CLASSES, VISCOSITY_GRADES
from oilchart.core.point_lists.point_list import SEIZED, Lubricant, Order, Stage, Work
from oilchart.errors import FaultyList, one_line
from oilchart.sources.files.toml_table import Table, read_toml, shown, toml_files
from oilchart.sources.points.published import read_nevers, read_spreads

PRACTICE = "practice"  # common practice, no source
REFERENCE_FILES = (SOURCES, LUBRICANTS, ORDER, CONDITIONS, SPREADS, NEVER, FORMER) = (
    "sources.toml", "lubricants.toml", "order.toml", "conditions.toml", "spreads.toml",
    "never.toml", "former.toml",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """What the lists refer to.

    Args:
        lubricants: by key.
        sources: titles of publications by key.
        stages: of the bench work, in working order.
        things: what a machine may have that the order of work asks for.
        conditions: by key.
        views: ids of the drawings.
        spreads: published intervals, the particular ones first.
        nevers: what nobody, or no owner, must do.
        former: ids of the points that came along before services kept all that their lists had.
    """

    lubricants: dict[str, Lubricant]
    sources: dict[str, str]
    stages: tuple[Stage, ...]
    things: frozenset[str]
    conditions: dict[str, Condition]
    views: frozenset[str]
    spreads: tuple[Spread, ...]
    nevers: tuple[Never, ...]
    former: frozenset[str]

    @property
    def source_keys(self) -> frozenset[str]:
        """What may stand under `source`."""
        return frozenset((*self.sources, PRACTICE))


def read_reference(folders: Sequence[Path]) -> tuple[Reference, tuple[str, ...]]:
    """Read the reference files of all folders; a key of a later folder stands in for the same key
    of an earlier one.

    Returns:
        What could be read, and every fault.
    """
    sources: dict[str, str] = {}
    found = _Found()
    tables = []
    for folder in folders:
        tables.append(_file(folder / SOURCES))
        sources.update(_sources(tables[-1]))
    keys = {*sources, PRACTICE}
    for folder in folders:
        of_folder = {name: _file(folder / name) for name in REFERENCE_FILES[1:]}
        tables += of_folder.values()
        found.lubricants.update(_lubricants(of_folder[LUBRICANTS], keys))
        stages, found.things = _order(of_folder[ORDER], found.things)
        found.stages = stages or found.stages
        found.conditions.update(_conditions(of_folder[CONDITIONS], keys))
        found.spreads.update(read_spreads(of_folder[SPREADS], keys))
        found.nevers += read_nevers(of_folder[NEVER])
        found.former.update(of_folder[FORMER].words("points"))
    reference = Reference(
        lubricants=found.lubricants,
        sources=sources,
        stages=found.stages,
        things=found.things,
        conditions=found.conditions,
        views=frozenset(
            file.stem for folder in folders for file in toml_files(folder, "views/*.toml")
        ),
        spreads=tuple(sorted(found.spreads.values(), key=lambda spread: not spread.words)),
        nevers=tuple(found.nevers),
        former=frozenset(found.former),
    )
    return reference, tuple(fault for table in tables for fault in table.faults)


@dataclass(slots=True)
class _Found:
    """What the reference files have told so far, as `Reference` has it."""

    lubricants: dict[str, Lubricant] = field(default_factory=dict)
    stages: tuple[Stage, ...] = ()
    things: frozenset[str] = frozenset()
    conditions: dict[str, Condition] = field(default_factory=dict)
    spreads: dict[str, Spread] = field(default_factory=dict)
    nevers: list[Never] = field(default_factory=list)
    former: set[str] = field(default_factory=set)


def _file(path: Path) -> Table:
    """A file; empty where there is none, or, with a fault, where it cannot be read."""
    try:
        return Table(read_toml(path) if path.exists() else {}, str(path))
    except FaultyList as broken:
        table = Table({}, str(path))
        table.faults += broken.faults
        return table


def _sources(file: Table) -> dict[str, str]:
    """Titles of publications, by key."""
    titles = {}
    for key in file.names():
        table = file.table(key, f"source {shown(key)}")
        year = table.whole("year")
        named = [table.text("title"), table.optional("number"), table.optional("publisher")]
        parts = [*named, None if year is None else str(year), table.optional("page")]
        table.optional("note")
        table.finish()
        titles[key] = ", ".join(part for part in parts if part)
    return titles


def _lubricants(file: Table, sources: set[str]) -> dict[str, Lubricant]:
    found = {}
    for key in file.names():
        table = file.table(key, f"lubricant {shown(key)}")
        kind = table.text("kind")
        if kind and kind not in ("oil", "grease"):
            table.fault("kind", kind, "is not known", "write oil or grease")
        table.known_text("source", sources, "source")
        found[key] = Lubricant(
            id=key,
            name=table.text("name"),
            home=table.text("home"),
            kind=kind,
            belongs=table.text("belongs"),
            never=table.text("never"),
            iso_vg=_grade(table, kind),
            nlgi=_consistency(table, kind),
        )
        table.finish()
    return found


def _grade(table: Table, kind: str) -> int | None:
    """The viscosity grade of an oil."""
    grade = table.whole("iso_vg")
    if grade is not None and kind == "grease":
        table.fault("iso_vg", grade, "is for oils", "write nlgi, or leave it out")
    elif grade is not None and grade not in VISCOSITY_GRADES:
        table.fault(
            "iso_vg",
            grade,
            "is no grade of ISO 3448",
            f"write one of: {', '.join(map(str, VISCOSITY_GRADES))}",
        )
    return grade


def _consistency(table: Table, kind: str) -> str | None:
    """The consistency class of a grease: a number, or words for 00 and 000."""
    value = table.raw("nlgi")
    if value is None:
        return None
    if kind == "oil":
        table.fault("nlgi", value, "is for greases", "write iso_vg, or leave it out")
    elif (
        isinstance(value, bool)
        or not isinstance(value, int | str)
        or str(value) not in CONSISTENCY_CLASSES
    ):
        table.fault(
            "nlgi", value, "is no class of NLGI", 'write one of: "000", "00", 0, 1, 2, 3, 4, 5, 6'
        )
    return str(value)


def _orders(table: Table, key: str) -> tuple[Order, ...]:
    """Sentences, each as it is or with what a machine must have for it."""
    value = table.raw(key)
    if value is None:
        return ()
    orders = []
    for item in value if isinstance(value, list) else [value]:
        if isinstance(item, str) and item.strip():
            orders.append(Order(words=one_line(item)))
        elif isinstance(item, dict):
            inner = Table(item, f"{table.place}: {key}", table)
            orders.append(
                Order(
                    words=inner.text("do"),
                    having=inner.words("having"),
                    power=inner.flag("power"),
                )
            )
            inner.finish()
        else:
            table.fault(
                key, item, "is no sentence", 'write "..." or { do = "...", having = ["belt"] }'
            )
    return tuple(orders)


def _order(file: Table, known: frozenset[str]) -> tuple[tuple[Stage, ...], frozenset[str]]:
    """The stages, and what a machine may have: what is known already and what the file adds."""
    things = known | set(file.words("things"))
    stages = []
    for table in file.tables("stage", lambda at, item: f"stage {shown(item.get('id', at))}"):
        stage = Stage(
            id=table.text("id"),
            name=table.text("name"),
            open=_orders(table, "open"),
            close=_orders(table, "close"),
            caution=_orders(table, "caution"),
            having=table.words("having"),
        )
        stages.append(stage)
        sentences = (*stage.open, *stage.close, *stage.caution)
        for thing in dict.fromkeys(
            [*stage.having, *(thing for order in sentences for thing in order.having)]
        ):
            table.known("having", thing, things | {SEIZED}, "thing a machine may have")
        table.finish()
    file.finish()
    return tuple(stages), things


def _conditions(file: Table, sources: set[str]) -> dict[str, Condition]:
    found = {}
    for key in file.names():
        table = file.table(key, f"condition {shown(key)}")
        table.known_text("source", sources, "source")
        factors = {work: _factors(table, work) for work in Work if table.raw(work) is not None}
        if not factors:
            table.missing(", ".join(Work), "oil = { use = 0.5, time = 1.0 }")
        found[key] = Condition(
            id=key, name=table.text("name"), about=table.text("about"), factors=factors
        )
        table.finish()
    return found


def _factors(table: Table, work: Work) -> Factors:
    """Both factors of a condition on a kind of work, each above 0 and at most 1."""
    inner = table.table(work, work)
    values = []
    for key in ("use", "time"):
        value = inner.number(key)
        if value is not None and value > 1:
            inner.fault(
                key,
                float(value),
                "is above 1; a condition never lengthens",
                "write a number from 0 to 1",
            )
        values.append(min(value or Fraction(1), Fraction(1)))
    inner.finish()
    return Factors(use=values[0], time=values[1])
