"""How the published intervals and what nobody must do are written: spreads.toml and never.toml of
a points folder."""

from __future__ import annotations

from collections.abc import Collection

from oilchart.core.point_lists.doubts import Figure, Never, Spread
from oilchart.core.point_lists.point_list import Keeper, Work
from oilchart.sources.files.toml_table import Table, shown


def read_spreads(file: Table, sources: Collection[str]) -> dict[str, Spread]:
    """Read the published intervals, by id."""
    found = {}
    for key in file.names():
        table = file.table(key, f"spread {shown(key)}")
        figures = tuple(
            _figure(inner, sources)
            for inner in table.tables("figure", lambda at, _: f"figure {at}")
        )
        if not figures:
            table.missing(
                "figure",
                "a spread has figures: write [[NAME.figure]] with says, hours or months, and "
                "source",
            )
        found[key] = Spread(
            id=key,
            name=table.text("name"),
            work=table.choice("work", Work) or Work.OIL,
            keeper=table.choice("keeper", Keeper) if "keeper" in table else None,
            words=tuple(word.casefold() for word in table.words("words")),
            figures=figures,
        )
        table.finish()
    return found


def _figure(table: Table, sources: Collection[str]) -> Figure:
    table.text("says")  # the published rule in our own words, for who reads the file
    figure = Figure(
        hours=table.number("hours") if "hours" in table else None,
        months=table.number("months") if "months" in table else None,
        source=table.known_text("source", sources, "source"),
    )
    if figure.hours is None and figure.months is None:
        table.missing("hours", "a figure has hours or months")
    table.finish()
    return figure


def read_nevers(file: Table) -> tuple[Never, ...]:
    """Read what nobody, or no owner, must do."""
    found = []
    for table in file.tables("never", lambda at, item: f"never {shown(item.get('name', at))}"):
        found.append(
            Never(
                name=table.text("name"),
                why=table.text("why"),
                forbids=table.choices("forbids", Work, "kind of work"),
                owners_only=table.flag("owners_only"),
                words=tuple(word.casefold() for word in table.words("words")),
            )
        )
        table.finish()
    file.finish()
    return tuple(found)
