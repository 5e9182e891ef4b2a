"""How a point and a do-not point are written in a list."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from oilchart import bounds
from oilchart.core.point_lists.interval import Interval
from oilchart.core.point_lists.point_list import (
    Avoid,
    IfDry,
    Keeper,
    Need,
    Place,
    Point,
    Proof,
    Runs,
    Work,
)
from oilchart.sources.files.toml_table import Table, shown
from oilchart.sources.points.intervals import HOW_TO_WRITE, read_interval
from oilchart.sources.points.reference import Reference

FIGURES = ("every", "amount", "minutes")
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_LUBRICATED = (Work.OIL, Work.GREASE)


def read_point(table: Table, mechanism: str, reference: Reference) -> Point | None:
    """Read one point; None where it is too faulty to stand for anything."""
    work = table.choice("work", Work)
    keeper = table.choice("keeper", Keeper)
    every = table.read_with("every", read_interval, HOW_TO_WRITE)
    with_key, amount = table.optional("with"), table.optional("amount")
    access = table.optional("access")
    if access is not None:
        table.known(
            "access", access, [stage.id for stage in reference.stages], "stage of order.toml"
        )
    lubricant = reference.lubricants.get(with_key or "")
    if with_key is not None:
        table.known("with", with_key, reference.lubricants, "lubricant")
    power = table.flag("power")
    point = Point(
        id=read_id(table),
        mechanism=mechanism,
        where=table.text("where"),
        home=table.optional("home"),
        work=work or Work.INSPECT,
        do=table.optional("do"),
        every=every or Interval(words=""),
        every_home=table.read_with("every_home", read_interval, HOW_TO_WRITE)
        if "every_home" in table
        else None,
        keeper=keeper or Keeper.BENCH,
        lubricant=lubricant,
        amount=amount,
        access=access,
        places=_places(table, reference),
        runs=table.choice("runs", Runs, default=Runs.ALWAYS) or Runs.ALWAYS,
        needs=table.choices("needs", Need, "need"),
        deep=table.flag("deep"),
        if_dry=table.choice("if_dry", IfDry) if "if_dry" in table else None,
        minutes=table.number("minutes") or Fraction(1),
        material=table.optional("material"),
        why=table.optional("why"),
        caution=table.optional("caution"),
        safety=table.flag("safety"),
        power=power,
        test_run=power,
        proof=table.choice("proof", Proof) if "proof" in table else None,
        was=table.words("was"),
        sources=_sources(table, reference, amount is not None),
    )
    _check_together(table, point, work, with_key)
    table.finish()
    return point if point.id and work and keeper and every else None


def read_avoid(table: Table, mechanism: str, reference: Reference) -> Avoid:
    """Read one do-not point."""
    avoid = Avoid(
        id=read_id(table),
        mechanism=mechanism,
        where=table.text("where"),
        home=table.optional("home"),
        do_not=table.text("do_not"),
        why=table.text("why"),
        source=table.known_text("source", reference.source_keys, "source"),
        forbids=table.choices("forbids", Work, "kind of work"),
        places=tuple(word.casefold() for word in table.words("places")),
    )
    if bool(avoid.forbids) != bool(avoid.places):
        table.missing(
            "places" if avoid.forbids else "forbids",
            'the two go together: forbids = ["oil"], places = ["belt"]',
        )
    table.finish()
    return avoid


def read_id(table: Table) -> str:
    """An id: small letters, digits and hyphens."""
    found = table.text("id")
    if found and not _ID.fullmatch(found):
        table.fault(
            "id",
            found,
            "is not an id",
            'write small letters, digits and hyphens, like "hook-race-oil"',
        )
    return found


def _check_together(table: Table, point: Point, work: Work | None, with_key: str | None) -> None:
    """Add the faults that show only when keys are read together."""
    if point.keeper is Keeper.OWNER and point.home is None:
        table.missing("home", 'an owner\'s point says the place in plain words: home = "..."')
    if point.every_home is not None and not (point.keeper is Keeper.OWNER and point.needs):
        table.fault(
            "every_home",
            point.every_home.words,
            "is only for an owner's point that needs something",
            'add needs = ["tip"]',
        )
    if point.keeper is Keeper.OWNER and point.deep:
        table.fault("deep", True, "an owner never dismantles", 'write keeper = "bench"')
    if work in _LUBRICATED:
        for key, value, example in (
            ("with", with_key, "machine-oil"),
            ("amount", point.amount, "1 drop"),
        ):
            if value is None:
                table.missing(key, f'{work} says with what and how much: {key} = "{example}"')
        if point.lubricant is not None and point.lubricant.kind != work:
            table.fault(
                "with",
                with_key,
                f"is {point.lubricant.kind}, and the work is {work}",
                "change one of the two",
            )
    if work is not None and work not in _LUBRICATED and point.do is None:
        table.missing("do", f'{work} says what exactly is done: do = "..."')


def _places(table: Table, reference: Reference) -> tuple[Place, ...]:
    """One place, or a list of them, each on another drawing."""
    value = table.raw("at")
    if value is None:
        return ()
    several = (
        isinstance(value, list) and bool(value) and all(isinstance(item, list) for item in value)
    )
    places = [_place(table, item, reference) for item in (value if several else [value])]
    return tuple(place for place in places if place is not None)


def _place(table: Table, value: object, reference: Reference) -> Place | None:
    match value:
        case [str(view), int() | float() as x, int() | float() as y] if _is_near(x) and _is_near(y):
            table.known("at", view, reference.views, "drawing")
            return Place(view=view, x=float(x), y=float(y))
    table.fault(
        "at", value, "is not a place on a drawing", 'write at = ["flatbed-front", 214, 548]'
    )
    return None


def _is_near(number: float) -> bool:
    """Whether a number can be a distance on a drawing; true, nan and inf cannot."""
    return not isinstance(number, bool) and 0 <= number < bounds.DRAWING_SIDE


def _sources(table: Table, reference: Reference, has_amount: bool) -> tuple[tuple[str, str], ...]:
    """Where each figure comes from: one key for all, or a table by figure."""
    value = table.raw("source")
    figures = [figure for figure in FIGURES if figure != "amount" or has_amount]
    if isinstance(value, str):
        table.known("source", value, reference.source_keys, "source")
        return tuple((figure, value) for figure in figures)
    if value is None:
        table.missing(
            "source", 'every figure has a source: write a key of sources.toml, or "practice"'
        )
        return ()
    if not isinstance(value, Mapping):
        table.fault(
            "source",
            value,
            "every figure has a source",
            'write a key of sources.toml, or "practice"',
        )
        return ()
    by_figure: dict[str, Any] = dict(value)
    for figure, key in by_figure.items():
        if table.known("source", figure, figures, "figure of this point"):
            table.known(
                f"source.{figure}",
                key if isinstance(key, str) else shown(key),
                reference.source_keys,
                "source",
            )
    for figure in figures:
        if figure not in by_figure:
            table.fault(
                "source",
                value,
                f"says nothing of {figure}",
                f'add {figure} = "practice" or a key of sources.toml',
            )
    return tuple((figure, by_figure[figure]) for figure in figures if figure in by_figure)
