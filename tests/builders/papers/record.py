"""Makes the service record of a machine from few words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from oilchart.core.point_lists.point_list import PointList, Work
from oilchart.core.records.findings import Finding
from oilchart.core.records.job import Danger, Job, UnsafeMark
from oilchart.core.records.note import Note
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.records.shop_details import ShopDetails
from oilchart.core.records.visit import latest_visit
from oilchart.core.records.waiting import Part
from oilchart.papers.record.content import ServiceSheet, service_record
from tests.builders.make import TODAY, a_chart, a_point
from tests.builders.present import the
from tests.builders.records import SHOP, a_service, a_standing, an_owner, booked_for
from tests.builders.records import a_record as a_machine_record

CHART = a_chart(
    a_point("hook-clean", work=Work.CLEAN),
    a_point("race-oil"),
    a_point("bar-oil", home=None),
    a_point("gear-grease", work=Work.GREASE),
    a_point("belt-look", work=Work.INSPECT),
    a_point("needle-change", work=Work.REPLACE),
    a_point("tension-set", work=Work.ADJUST),
)


def a_record_sheet(
    findings: Iterable[Finding] | None = None,
    point_list: PointList = CHART,
    *,
    shop: ShopDetails = SHOP,
    style: PaperStyle | None = None,
    next_service: date | None = date(2027, 5, 4),
    **told: Any,
) -> ServiceSheet:
    """The record of a stay that began today; `told` is what the book has of it.

    Args:
        findings: of its service, every point done as a whole if left out; there is none with
            served=False.
    """
    done = [Finding(point=point.id) for point in point_list.points]
    service = ServiceRecord(
        id=1,
        on=TODAY,
        findings=tuple(done if findings is None else findings),
        freed=told.get("freed", False),
        whole=told.get("whole", True),
        by=told.get("by", ""),
    )
    complaint, unsafe = told.get("complaint", "It squeaks when I go fast"), told.get("unsafe", "")
    danger = told.get("danger", Danger.ELECTRICAL)
    holding = (UnsafeMark(id=1, danger=danger, on=TODAY, why=unsafe),) if unsafe else ()
    record = a_machine_record(
        owner=an_owner(name=told.get("owner", "Ida Brandvold")),
        serial=told.get("serial", "H3-20417"),
        unsafe_marks=(*told.get("marks", ()), *holding),
        services=(service,) if told.get("served", True) else (),
        jobs=(
            Job(
                id=1,
                in_on=TODAY,
                complaint=complaint,
                ready_on=told.get("ready_on"),
            ),
        ),
        parts=tuple(
            Part(id=1, job=1, words=words, wanted_on=TODAY)
            for words in [told.get("waiting_for", "")]
            if words
        ),
        repairs=told.get("repairs", ()),
        checks=told.get("checks", ()),
        notes=tuple(
            Note(on=TODAY, words=words, for_owner=True) for words in [told.get("note", "")] if words
        ),
        bookings=booked_for(told.get("booked")),
    )
    planned = () if next_service is None else (a_service(next_service),)
    standing = a_standing(record, point_list=point_list, services=planned)
    return service_record(
        standing,
        the(latest_visit(record), "visit"),
        shop=shop,
        style=style,
    )
