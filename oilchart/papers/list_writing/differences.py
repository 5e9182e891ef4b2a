"""In what two models' lists differ: facts, points that only one has, and points that are not the
same in both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from oilchart.core.point_lists.point_list import Avoid, Point, PointList
from oilchart.papers.wording import needle_words, plain_number

_Item = TypeVar("_Item", Point, Avoid)

FACTS: dict[str, Callable[[PointList], str]] = {
    "mechanisms": lambda point_list: ", ".join(mechanism for mechanism, _ in point_list.mechanisms),
    "years": lambda point_list: point_list.years or "",
    "needle": needle_words,
    "bobbin": lambda point_list: (
        "" if point_list.bobbin_metres is None else f"{plain_number(point_list.bobbin_metres)} m"
    ),
    "stitches a minute": lambda point_list: str(point_list.stitches_a_minute),
    "wear parts": lambda point_list: ", ".join(part.name for part in point_list.wear_parts),
}
KEYS: dict[str, Callable[[Point], str]] = {
    "where": lambda point: point.where,
    "home": lambda point: point.home or "",
    "work": lambda point: point.work,
    "do": lambda point: point.do or "",
    "every": lambda point: point.every.words,
    "every_home": lambda point: point.every_home.words if point.every_home else "",
    "keeper": lambda point: point.keeper,
    "with": lambda point: point.lubricant.id if point.lubricant else "",
    "amount": lambda point: point.amount or "",
    "access": lambda point: point.access or "",
    "runs": lambda point: point.runs,
    "needs": lambda point: ", ".join(point.needs),
    "deep": lambda point: "yes" if point.deep else "",
    "if_dry": lambda point: point.if_dry or "",
    "minutes": lambda point: plain_number(point.minutes),
    "material": lambda point: point.material or "",
    "why": lambda point: point.why or "",
    "caution": lambda point: point.caution or "",
}
AVOID_KEYS: dict[str, Callable[[Avoid], str]] = {
    "where": lambda avoid: avoid.where,
    "home": lambda avoid: avoid.home or "",
    "do_not": lambda avoid: avoid.do_not,
    "why": lambda avoid: avoid.why,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One difference: of which point, or of the model as a whole; which key; what stands in the
    first and in the second list.

    Args:
        point: id, empty for a fact of the model.
        key: empty where only one list has the point; then the other's side is empty too.
    """

    point: str
    key: str
    first: str
    second: str


def differences(first: PointList, second: PointList) -> list[Difference]:
    """Every difference of two lists: facts first, then points, then do-not points, each by the
    order of the lists."""
    found = [
        Difference(point="", key=name, first=tell(first), second=tell(second))
        for name, tell in FACTS.items()
        if tell(first) != tell(second)
    ]
    points, other_points = (
        {point.id: point for point in point_list.points} for point_list in (first, second)
    )
    avoids, other_avoids = (
        {avoid.id: avoid for avoid in point_list.avoids} for point_list in (first, second)
    )
    found += _of_items(points, other_points, KEYS, lambda point: point.where)
    return found + _of_items(
        avoids, other_avoids, AVOID_KEYS, lambda avoid: f"{avoid.where}: {avoid.do_not}"
    )


def _of_items(
    first: dict[str, _Item],
    second: dict[str, _Item],
    keys: dict[str, Callable[[_Item], str]],
    told: Callable[[_Item], str],
) -> list[Difference]:
    found = []
    for item_id in dict.fromkeys((*first, *second)):
        mine, other = first.get(item_id), second.get(item_id)
        if mine is None or other is None:
            sides = ("" if mine is None else told(mine), "" if other is None else told(other))
            found.append(Difference(point=item_id, key="", first=sides[0], second=sides[1]))
        else:
            found += [
                Difference(point=item_id, key=key, first=tell(mine), second=tell(other))
                for key, tell in keys.items()
                if tell(mine) != tell(other)
            ]
    return found
