"""The lists of models, mechanisms and drawings there are, as tables and as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from oilchart.core.point_lists.point_list import Keeper, Mechanism, PointList
from oilchart.papers.list_writing.drawings_sheet import DrawingUse
from oilchart.papers.screen import Column, Screen, table
from oilchart.papers.tables.json_text import json_text

MODEL_COLUMNS = (
    Column("Model"),
    Column("Name", wraps=True),
    Column("Years", spare=True),
    Column("Points", right=True),
    Column("Owner's", right=True),
    Column("Mechanisms", wraps=True),
)
MECHANISM_COLUMNS = (
    Column("Mechanism"),
    Column("Kind"),
    Column("Name", wraps=True),
    Column("How one tells it", wraps=True, spare=True),
)
DRAWING_COLUMNS = (
    Column("Drawing"),
    Column("Name", wraps=True),
    Column("Places", right=True),
    Column("Models", right=True),
)


def models_text(point_lists: Iterable[PointList], screen: Screen) -> str:
    """The models there are."""
    rows = [
        [
            point_list.id,
            point_list.name,
            point_list.years or "",
            str(len(point_list.points)),
            str(len(point_list.for_owner(()).kept_by(Keeper.OWNER))),
            ", ".join(name for _, name in point_list.mechanisms),
        ]
        for point_list in point_lists
    ]
    return table(MODEL_COLUMNS, rows, screen)


def models_json(point_lists: Iterable[PointList]) -> str:
    """Models with the counts of their points."""
    return json_text([model_values(point_list) for point_list in point_lists])


def model_values(point_list: PointList) -> dict[str, Any]:
    """A model with the counts of its points."""
    usual = point_list.for_owner(())
    return {
        "id": point_list.id,
        "name": point_list.name,
        "maker": point_list.maker,
        "family": point_list.family,
        "years": point_list.years,
        "points": len(point_list.points),
        "owner_points": len(usual.kept_by(Keeper.OWNER)),
        "bench_points": len(usual.kept_by(Keeper.BENCH)),
        "avoid": len(point_list.avoids),
        "mechanisms": [mechanism for mechanism, _ in point_list.mechanisms],
    }


def mechanisms_text(mechanisms: Iterable[Mechanism], screen: Screen) -> str:
    """The mechanisms of which lists are put together."""
    rows = [[each.id, each.kind, each.name, each.about] for each in mechanisms]
    return table(MECHANISM_COLUMNS, rows, screen)


def mechanisms_json(mechanisms: Iterable[Mechanism]) -> str:
    """The mechanisms, with what the order of work asks for that each of them has."""
    return json_text(
        [
            {
                "id": each.id,
                "kind": each.kind,
                "name": each.name,
                "about": each.about,
                "has": list(each.has),
            }
            for each in mechanisms
        ]
    )


def drawings_text(drawings: Iterable[DrawingUse], screen: Screen) -> str:
    """The drawings that models show."""
    rows = [
        [each.view.id, each.view.name, str(len(each.spots)), str(len(each.models))]
        for each in drawings
    ]
    return table(DRAWING_COLUMNS, rows, screen)


def drawings_json(drawings: Iterable[DrawingUse]) -> str:
    """The drawings with the models that show them."""
    return json_text(
        [
            {
                "view": each.view.id,
                "name": each.view.name,
                "places": len(each.spots),
                "models": list(each.models),
            }
            for each in drawings
        ]
    )
