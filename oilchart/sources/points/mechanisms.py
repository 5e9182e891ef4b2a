"""How a mechanism is written: what it is, what a machine has with it, and its drawings."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from oilchart import bounds
from oilchart.core.point_lists.point_list import Mechanism
from oilchart.sources.files.toml_table import Table
from oilchart.sources.points.reference import Reference


def read_mechanism(file: Path, table: Table, reference: Reference) -> Mechanism:
    """Read what a mechanism's file says of the mechanism, without its points."""
    mechanism = Mechanism(
        id=file.stem,
        name=table.text("name", most=bounds.NAME_LETTERS),
        kind=table.text("kind"),
        about=table.text("about"),
        has=table.words("has"),
        goes_with=table.optional("goes_with"),
        views=table.words("views"),
        instead=_instead(table, reference),
        stitches_a_minute=table.whole("stitches_a_minute"),
        edited=table.day("edited"),
    )
    check_things(table, "has", mechanism.has, reference)
    if mechanism.goes_with is not None:
        check_things(table, "goes_with", (mechanism.goes_with,), reference)
    known = [
        view for view in mechanism.views if table.known("views", view, reference.views, "drawing")
    ]
    return replace(mechanism, views=tuple(known))


def check_things(table: Table, key: str, things: tuple[str, ...], reference: Reference) -> None:
    """Add a fault for each thing a machine may have that the order of work does not know."""
    for thing in things:
        table.known(key, thing, reference.things, "thing the order of work knows")


def _instead(table: Table, reference: Reference) -> tuple[tuple[str, str], ...]:
    """Pairs of drawings, each with the one that takes its place."""
    value = table.raw("instead")
    if value is None:
        return ()
    if not isinstance(value, dict) or not all(isinstance(new, str) for new in value.values()):
        table.fault(
            "instead",
            value,
            "is no table of drawings",
            'write instead = { flatbed-front = "another-front" }',
        )
        return ()
    pairs = tuple((str(old), str(new)) for old, new in value.items())
    missing = [
        view
        for pair in pairs
        for view in pair
        if not table.known("instead", view, reference.views, "drawing")
    ]
    return () if missing else pairs
