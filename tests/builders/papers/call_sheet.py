"""Makes call sheets, and the calls on them, from few words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.standing import OpenCall
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.call_sheet.content import CallSheet, call_sheet
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.make import TODAY
from tests.builders.records import SHOP, a_record, an_open_call, an_owner, said

SHELF = PointLibrary([packaged("points")])


def a_line(
    *,
    day: date = TODAY,
    machines: tuple[tuple[int, str], ...] = ((1, "heron-3"),),
    about: CallAbout = CallAbout.SERVICE,
    wanted: date = date(2026, 12, 9),
    last_use: str = "5-8 hours a week; idle Jul-Aug",
    wishes: str = "Ring after four",
    **owner: Any,
) -> OpenCall:
    """A call about machines of an owner, each with its id and its model."""
    whose = an_owner(**{"name": owner.pop("owner", "Ida Brandvold"), "best_time": wishes, **owner})
    reports = said(last_use) if last_use else ()
    records = [a_record(number, whose, model=model, reports=reports) for number, model in machines]
    return an_open_call(day, *records, wanted=wanted, about=about)


def a_call_sheet(
    *calls: OpenCall,
    weeks: int = 2,
    shop: ShopDetails = SHOP,
    point_lists: Mapping[int, PointList] | None = None,
) -> CallSheet:
    """The sheet of these calls; the point lists are those of their machines."""
    records = [record for call in calls for record, _ in call.services]
    theirs = {record.id: SHELF.point_list(record.model) for record in records}
    return call_sheet(calls, point_lists or theirs, on=TODAY, shop=shop, weeks=weeks)
