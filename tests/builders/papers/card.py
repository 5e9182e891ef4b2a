"""Makes care cards from few words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

from oilchart.core.planning.schedule import Schedule
from oilchart.papers.card.content import CareCard
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import care_card
from tests.builders.make import TODAY, loose_schedule
from tests.builders.records import SHOP

SHELF = PointLibrary([packaged("points")])


@cache
def schedule_of(
    model: str, use: str | None = "5-8 hours a week", served: date | None = TODAY
) -> Schedule:
    """The schedule of a machine that is in no book."""
    return loose_schedule(SHELF.point_list(model), use, served, TODAY, WITHOUT_A_SHOP)


def card_of(
    model: str = "heron-3", *, owner: str | None = "Ida Brandvold", **changes: Any
) -> CareCard:
    """The card of a machine served today; `changes` are of its schedule."""
    return care_card(
        replace(schedule_of(model), **changes), shop=SHOP, owner=owner, serial="H3-20417"
    )
