"""Knows the reference files of a points folder: lubricants, conditions, publications and the order of work at the bench."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from oilchart.core.chart import Lubricant, Stage, Work
from oilchart.core.conditions import Condition
from oilchart.core.interval import Factors
from oilchart.errors import FaultyList
from oilchart.sources.tables import Table, read_toml, shown, toml_files

PRACTICE = "practice"  # common practice, no source
REFERENCE_FILES = SOURCES, LUBRICANTS, ORDER, CONDITIONS = ("sources.toml", "lubricants.toml", "order.toml", "conditions.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """What the lists refer to.

    Args:
        lubricants: by key.
        sources: titles of publications by key.
        stages: of the bench work, in working order.
        conditions: by key.
        views: ids of the drawings.
    """

    lubricants: dict[str, Lubricant]
    sources: dict[str, str]
    stages: tuple[Stage, ...]
    conditions: dict[str, Condition]
    views: frozenset[str]


def read_reference(folders: list[Path], faults: list[str]) -> Reference:
    """Read the reference files of all folders; a key of a later folder stands in for the same key of an earlier one."""
    lubricants: dict[str, Lubricant] = {}
    sources: dict[str, str] = {}
    stages: tuple[Stage, ...] = ()
    conditions: dict[str, Condition] = {}
    for folder in folders:
        sources.update(_sources(folder / SOURCES, faults))
    for folder in folders:
        lubricants.update(_lubricants(folder / LUBRICANTS, faults, {*sources, PRACTICE}))
        stages = _stages(folder / ORDER, faults) or stages
        conditions.update(_conditions(folder / CONDITIONS, faults, {*sources, PRACTICE}))
    views = frozenset(file.stem for folder in folders for file in toml_files(folder, "views/*.toml"))
    return Reference(lubricants=lubricants, sources=sources, stages=stages, conditions=conditions, views=views)


def _tables(path: Path, faults: list[str]) -> dict[str, Any]:
    """What stands in a file; nothing where there is no such file, or, with a fault, where it cannot be read."""
    try:
        return read_toml(path) if path.exists() else {}
    except FaultyList as broken:
        faults += broken.faults
        return {}


def _sources(path: Path, faults: list[str]) -> dict[str, str]:
    titles = {}
    for key, values in _tables(path, faults).items():
        table = Table(values, f"{path}: source {shown(key)}", faults)
        year = table.whole("year")
        named = [table.text("title"), table.optional("number"), table.optional("publisher")]
        parts = [*named, None if year is None else str(year), table.optional("page")]
        table.optional("note")
        table.finish()
        titles[key] = ", ".join(part for part in parts if part)
    return titles


def _lubricants(path: Path, faults: list[str], sources: set[str]) -> dict[str, Lubricant]:
    found = {}
    for key, values in _tables(path, faults).items():
        table = Table(values, f"{path}: lubricant {shown(key)}", faults)
        table.whole("iso_vg")
        table.raw("nlgi")
        kind = table.text("kind")
        if kind and kind not in ("oil", "grease"):
            table.fault("kind", kind, "is not known", "write oil or grease")
        table.known_text("source", sources, "source")
        found[key] = Lubricant(
            id=key, name=table.text("name"), home=table.text("home"), kind=kind, belongs=table.text("belongs"), never=table.text("never")
        )
        table.finish()
    return found


def _stages(path: Path, faults: list[str]) -> tuple[Stage, ...]:
    top = Table(_tables(path, faults), str(path), faults)
    stages = []
    for table in top.tables("stage", lambda at, item: f"stage {shown(item.get('id', at))}"):
        stages.append(
            Stage(
                id=table.text("id"),
                name=table.text("name"),
                open=table.words("open"),
                close=table.words("close"),
                caution=table.optional("caution"),
            )
        )
        table.finish()
    top.finish()
    return tuple(stages)


def _conditions(path: Path, faults: list[str], sources: set[str]) -> dict[str, Condition]:
    found = {}
    for key, values in _tables(path, faults).items():
        table = Table(values, f"{path}: condition {shown(key)}", faults)
        table.known_text("source", sources, "source")
        factors = {work: _factors(table, work) for work in Work if table.raw(work) is not None}
        if not factors:
            table.missing(", ".join(Work), "oil = { use = 0.5, time = 1.0 }")
        found[key] = Condition(id=key, name=table.text("name"), about=table.text("about"), factors=factors)
        table.finish()
    return found


def _factors(table: Table, work: Work) -> Factors:
    """Both factors of a condition on a kind of work, each above 0 and at most 1."""
    inner = Table(table.raw(work), f"{table.place}: {work}", table.faults)
    values = []
    for key in ("use", "time"):
        value = inner.number(key)
        if value is not None and value > 1:
            inner.fault(key, float(value), "is above 1; a condition never lengthens", "write a number from 0 to 1")
        values.append(min(value or Fraction(1), Fraction(1)))
    inner.finish()
    return Factors(use=values[0], time=values[1])
