"""Makes bench tags from few words."""

from __future__ import annotations

from typing import Any

from oilchart.core.records.job import Job
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.bench_tag.content import Tag, tag
from tests.builders.make import TODAY
from tests.builders.records import SHOP, a_record, an_owner

LEFT_WITH = ("foot pedal", "cord", "bobbin case", "4 bobbins", "manual", "wooden lid with key")


def a_tag(
    *, machine: str = "M-014", model: str = "Heron 3", shop: ShopDetails = SHOP, **told: Any
) -> Tag:
    """The tag of a machine that came in today; `told` is its owner and what the job says."""
    record = a_record(
        int(machine.removeprefix("M-")),
        an_owner(name=told.get("owner", "Ida Brandvold")),
        unsafe_marks=tuple(told.get("unsafe_marks", ())),
    )
    job = Job(
        id=1,
        in_on=TODAY,
        complaint=told.get("complaint", "It squeaks when I go fast"),
        left_with=tuple(told.get("left_with", LEFT_WITH)),
    )
    return tag(record, job, model=model, shop=shop)
