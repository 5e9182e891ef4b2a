"""How a model's file keeps the numbers of its points."""

from __future__ import annotations

from collections.abc import Collection

from oilchart.sources.files.toml_table import Table

NUMBERS = "numbers"


def read_numbers(
    table: Table, model: str, points: Collection[str], *, differs: bool
) -> tuple[str, ...]:
    """The points that have numbers of their own, the first has 1; one that was taken out keeps its
    place, under its name or as "", so that nothing else gets its number.

    Args:
        points: ids of the points of the list.
        differs: one machine has other mechanisms than its model, so that points that are named may
            not be there.
    """
    value = table.raw(NUMBERS)
    remedy = f"write them into it: oilchart models numbers {model}"
    if value is None:
        odd = "is missing: a point's number changes with the list"
        table.doubts.append(f"{table.place}: {NUMBERS}: {odd}; {remedy}")
        return ()
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        table.fault(NUMBERS, value, "must be a list of points", f'write {NUMBERS} = ["...", "..."]')
        return ()
    named = [point for point in value if point]
    for twice in sorted({point for point in named if named.count(point) > 1}):
        table.fault(NUMBERS, twice, "stands in it twice", "take the later one out")
    for new in [point for point in points if point not in named and not differs]:
        table.doubt(NUMBERS, new, "has no number of its own yet", remedy)
    return tuple(value)
