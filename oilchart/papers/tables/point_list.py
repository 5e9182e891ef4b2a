"""A model's point list as a technician reads it, and in what two of them differ."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.numbering import in_working_order
from oilchart.core.point_lists.point_list import Point, PointList, Runs
from oilchart.papers.list_writing.differences import differences
from oilchart.papers.screen import Column, Screen, filled, not_shown, shown_columns, table
from oilchart.papers.tables.json_text import json_text
from oilchart.papers.tables.models import model_values
from oilchart.papers.wording import (
    capital,
    edition_words,
    lubricant_words,
    needle_words,
    plain_number,
)

POINT_COLUMNS = (
    Column("No.", right=True),
    Column("Point"),
    Column("Work", wraps=True, narrowest=7),
    Column("Place", wraps=True),
    Column("By", wraps=True, spare=True),
    Column("Every", wraps=True),
    Column("With", wraps=True),
    Column("Min", right=True, spare=True),
    Column("Source", wraps=True, spare=True),
)
AVOID_COLUMNS = (
    Column("Place", wraps=True),
    Column("Never", wraps=True),
    Column("Why", wraps=True),
)
LUBRICANT_COLUMNS = (
    Column("Lubricant", wraps=True),
    Column("Belongs", wraps=True),
    Column("Never", wraps=True),
)
WEAR_PART_COLUMNS = (
    Column("Wear part", wraps=True),
    Column("To order", wraps=True),
    Column("Stock"),
)
DOCUMENT_COLUMNS = (Column("Document", wraps=True), Column("At"))


def point_list_text(point_list: PointList, screen: Screen) -> str:
    """A model's list as a technician reads it, in working order, with where its figures come
    from."""
    avoids = [[avoid.where, avoid.do_not, avoid.why] for avoid in point_list.avoids]
    return "\n".join(
        [
            _head(point_list, screen),
            *_stages(point_list, screen),
            f"Never\n{table(AVOID_COLUMNS, avoids, screen)}",
            *_lubricants(point_list, screen),
            *_parts_and_documents(point_list, screen),
        ]
    )


def _head(point_list: PointList, screen: Screen) -> str:
    """What the model is, its needles and its mechanisms; an empty line below."""
    kind = (
        "a family, for machines that have no list of their own"
        if point_list.family
        else point_list.maker
    )
    metres = point_list.bobbin_metres
    bobbin = "" if metres is None else f" A full bobbin holds about {plain_number(metres)} m."
    speed = f"{point_list.stitches_a_minute} stitches a minute."
    lines = [
        " · ".join(part for part in (point_list.name, kind, point_list.years) if part),
        point_list.about,
        f"Needle {needle_words(point_list)}. {speed}{bobbin}",
        f"Mechanisms: {', '.join(name for _, name in point_list.mechanisms)}.",
        f"{capital(edition_words(point_list))}.",
    ]
    return "\n".join(filled(line, screen) for line in lines) + "\n"


def _stages(point_list: PointList, screen: Screen) -> list[str]:
    """The points of each stage of the work in which there are any, in the same columns at all."""
    titles = dict(point_list.sources)
    rows_of = {
        stage: [_row(point, titles) for point in point_list.at_stage(stage.id)]
        for stage in point_list.stages
    }
    shown = shown_columns(POINT_COLUMNS, [row for rows in rows_of.values() for row in rows], screen)
    columns = [POINT_COLUMNS[at] for at in shown]
    tables = [
        f"{stage.name}\n{table(columns, [[row[at] for at in shown] for row in rows], screen)}"
        for stage, rows in rows_of.items()
        if rows
    ]
    hidden = [each.heading for at, each in enumerate(POINT_COLUMNS) if at not in shown]
    return [*tables, *([not_shown(hidden, screen)] if hidden else [])]


def _row(point: Point, titles: Mapping[str, str]) -> list[str]:
    """A point with its interval, and where its figures come from."""
    return [
        str(point.number),
        point.id,
        point.work + (" (deep)" if point.deep else ""),
        point.where,
        _whose(point),
        _how_often(point),
        f"{point.amount}, {point.lubricant.name}" if point.lubricant and point.amount else "",
        plain_number(point.minutes),
        ", ".join(dict.fromkeys(titles.get(key, key) for _, key in point.sources)),
    ]


def _lubricants(point_list: PointList, screen: Screen) -> list[str]:
    """What is used at the points, each oil and grease once."""
    used = {
        point.lubricant.id: point.lubricant
        for point in point_list.points
        if point.lubricant is not None
    }
    rows = [
        [lubricant_words(lubricant), lubricant.belongs, lubricant.never]
        for lubricant in used.values()
    ]
    return [table(LUBRICANT_COLUMNS, rows, screen)] if rows else []


def _parts_and_documents(point_list: PointList, screen: Screen) -> list[str]:
    """The wear parts and the documents, where there are any."""
    wear = [
        [
            part.name,
            part.part,
            "" if part.stock_minimum is None else f"order at {part.stock_minimum} left",
        ]
        for part in point_list.wear_parts
    ]
    documents = [[each.title, each.address] for each in point_list.documents]
    tables = ((WEAR_PART_COLUMNS, wear), (DOCUMENT_COLUMNS, documents))
    return [table(columns, rows, screen) for columns, rows in tables if rows]


def _how_often(point: Point) -> str:
    """An interval, with that at home, and in which part of the sewing time its hours are
    counted."""
    home = f"; at home {point.every_home.words}" if point.every_home else ""
    counted_in = (
        "" if point.runs is Runs.ALWAYS or point.every.occasion else f" ({point.runs} hours)"
    )
    return point.every.words + home + counted_in


def _whose(point: Point) -> str:
    """Who does a point; an owner's that needs something is the bench's for most."""
    usual = point.for_owner(())
    return (
        usual.keeper
        if usual.keeper is point.keeper
        else f"bench, or an owner: {', '.join(point.needs)}"
    )


def differences_text(first: PointList, second: PointList, screen: Screen) -> str:
    """In what two lists differ."""
    rows = [
        [
            each.point or "(model)",
            each.key or ("only here" if each.first else "only there"),
            each.first,
            each.second,
        ]
        for each in differences(first, second)
    ]
    if not rows:
        return f"{first.name} and {second.name}: no difference\n"
    columns = [
        Column("Point"),
        Column("Key"),
        Column(first.name, wraps=True),
        Column(second.name, wraps=True),
    ]
    return table(columns, rows, screen)


def point_list_json(point_list: PointList, drawings: ModelDrawings) -> str:
    """A model's whole list, its points in working order, and where they lie on its drawings."""
    points = in_working_order(point_list)
    return json_text(
        {
            **model_values(point_list),
            "needle_system": point_list.needle_system,
            "needle_flat": point_list.needle_flat,
            "stitches_a_minute": point_list.stitches_a_minute,
            "bobbin_metres": None
            if point_list.bobbin_metres is None
            else float(point_list.bobbin_metres),
            "has": sorted(point_list.has),
            "edition": {"day": point_list.edition.day, "code": point_list.edition.code},
            "list": [_point_values(point, drawings) for point in points],
            "never": [
                {"id": avoid.id, "where": avoid.where, "do_not": avoid.do_not, "why": avoid.why}
                for avoid in point_list.avoids
            ],
            "wear_parts": [
                {
                    "id": part.id,
                    "name": part.name,
                    "part": part.part,
                    "stock_minimum": part.stock_minimum,
                }
                for part in point_list.wear_parts
            ],
            "documents": [
                {"title": each.title, "address": each.address} for each in point_list.documents
            ],
        }
    )


def _point_values(point: Point, drawings: ModelDrawings) -> dict[str, Any]:
    return {
        "id": point.id,
        "number": point.number,
        "mechanism": point.mechanism,
        "where": point.where,
        "home": point.home,
        "work": point.work,
        "do": point.do,
        "every": point.every.words,
        "every_home": point.every_home.words if point.every_home else None,
        "keeper": point.keeper,
        "needs": list(point.needs),
        "with": point.lubricant.id if point.lubricant else None,
        "amount": point.amount,
        "access": point.access,
        "at": [[place.view, place.x, place.y] for place in drawings.places(point)],
        "deep": point.deep,
        "safety": point.safety,
        "power": point.power,
        "proof": point.proof,
        "minutes": float(point.minutes),
        "source": dict(point.sources),
    }


def differences_json(first: PointList, second: PointList) -> str:
    """In what two lists differ; a side is null where only the other list has the point."""
    return json_text(
        [
            {
                "point": each.point or None,
                "key": each.key or None,
                first.id: each.first or None,
                second.id: each.second or None,
            }
            for each in differences(first, second)
        ]
    )
