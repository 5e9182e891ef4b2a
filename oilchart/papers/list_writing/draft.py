"""How a model's list is begun: a file that can be used as it is, with everything inherited in it as
comments to change."""

from __future__ import annotations

import json
from collections.abc import Iterable

from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.numbering import numbers_to_keep
from oilchart.core.point_lists.point_list import Avoid, Mechanism, Place, Point, PointList
from oilchart.papers.list_writing.numbers import numbers_toml
from oilchart.papers.wording import plain_number

HEAD = """\
# {name}: drafted from {count}. It can be used as it is; {file} is its id.
# What is inherited stands below as comments. To change a point take the # away from its [change...] line and from what differs;
# drop = ["point-id"] leaves one out; a [[point]] of its own is written like those of a mechanism.

name = {name_text}
maker = "Unknown"             # as on its badge
about = "Say in a sentence or two how one recognises it."
mechanisms = {mechanisms}
views = {views}  # drawings that show its points, the front first
# drop = []
# years = "1950-1960"
needle_system = "130/705 H"   # look at the needle in it, and at the manual
needle_flat = "to the back"
# bobbin_metres = 50          # thread that a full bobbin holds
stitches_a_minute = {stitches}
source = "practice"           # covers the figures above
# edited = 2026-11-25         # the day of its last change, told on its papers
{numbers}
# [[wear]]
# id = "belt"
# name = "Drive belt"
# part = "what to order"
# stock_minimum = 2
# source = "practice"

# [[document]]
# title = "Owner's booklet"
# path = "manuals/{file}.pdf"   # in the points folder; or address = "https://..."
"""  # noqa: E501 - its lines are as long as the file's


def draft_toml(
    point_list: PointList, drawings: ModelDrawings, mechanisms: Iterable[Mechanism]
) -> str:
    """Write the file of a model that has only what its mechanisms bring.

    Args:
        point list: put together from the mechanisms; its id is the file's name.
    """
    named = list(mechanisms)
    count = f"{len(named)} mechanism{'' if len(named) == 1 else 's'}"
    head = HEAD.format(
        name=point_list.name,
        name_text=_text(point_list.name),
        count=count,
        file=point_list.id,
        mechanisms=_list(mechanism.id for mechanism in named),
        views=_list(view.id for view in drawings.views),
        stitches=point_list.stitches_a_minute,
        numbers=numbers_toml(numbers_to_keep(point_list, ())),
    )
    parts = [head]
    for mechanism in named:
        points = [point for point in point_list.points if point.mechanism == mechanism.id]
        avoids = [avoid for avoid in point_list.avoids if avoid.mechanism == mechanism.id]
        parts.append(f"# ---- {mechanism.name}: {mechanism.about}\n")
        parts += [_commented(f"[change.{point.id}]", _point(point, drawings)) for point in points]
        parts += [_commented(f"[change.{avoid.id}]   # do not", _avoid(avoid)) for avoid in avoids]
    return "\n".join(parts)


def _point(point: Point, drawings: ModelDrawings) -> list[tuple[str, str | None]]:
    lubricant = point.lubricant.id if point.lubricant else None
    sources = dict(point.sources)
    same = len(set(sources.values())) == 1
    return [
        ("where", _text(point.where)),
        ("home", _may(point.home)),
        ("work", _text(point.work)),
        ("do", _may(point.do)),
        ("every", _text(point.every.words)),
        ("every_home", _may(point.every_home.words if point.every_home else None)),
        ("keeper", _text(point.keeper)),
        ("with", _may(lubricant)),
        ("amount", _may(point.amount)),
        ("access", _may(point.access)),
        ("at", _at(drawings.places(point))),
        ("runs", _text(point.runs)),
        ("needs", _list(point.needs) if point.needs else None),
        ("deep", "true" if point.deep else None),
        ("safety", "true" if point.safety else None),
        ("power", "true" if point.power else None),
        ("proof", _may(point.proof)),
        ("if_dry", _may(point.if_dry)),
        ("minutes", plain_number(point.minutes)),
        ("material", _may(point.material)),
        ("why", _may(point.why)),
        ("caution", _may(point.caution)),
        ("source", _text(next(iter(sources.values()))) if same else _inline(sources)),
    ]


def _avoid(avoid: Avoid) -> list[tuple[str, str | None]]:
    return [
        ("where", _text(avoid.where)),
        ("home", _may(avoid.home)),
        ("do_not", _text(avoid.do_not)),
        ("why", _text(avoid.why)),
        ("forbids", _list(avoid.forbids) if avoid.forbids else None),
        ("places", _list(avoid.places) if avoid.places else None),
        ("source", _text(avoid.source)),
    ]


def _commented(head: str, lines: Iterable[tuple[str, str | None]]) -> str:
    return "\n".join(
        [f"# {head}", *(f"# {key} = {value}" for key, value in lines if value is not None), ""]
    )


def _text(words: str) -> str:
    """Words as TOML has them, which writes a text on one line as JSON does."""
    return json.dumps(str(words), ensure_ascii=False)


def _may(words: str | None) -> str | None:
    return None if words is None else _text(words)


def _list(words: Iterable[str]) -> str:
    return f"[{', '.join(_text(word) for word in words)}]"


def _inline(table: dict[str, str]) -> str:
    return f"{{ {', '.join(f'{key} = {_text(value)}' for key, value in table.items())} }}"


def _at(places: tuple[Place, ...]) -> str | None:
    written = [f"[{_text(place.view)}, {place.x:g}, {place.y:g}]" for place in places]
    if not written:
        return None
    return written[0] if len(written) == 1 else f"[{', '.join(written)}]"
