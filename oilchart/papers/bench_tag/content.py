"""What stands on the tag that hangs on a machine while it is in the shop: its number, whose it is,
why it came, what came with it."""

from __future__ import annotations

from dataclasses import dataclass

from oilchart.core.records.job import Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.shop_details import ShopDetails
from oilchart.errors import OilchartError
from oilchart.papers.danger_words import Warned, warnings
from oilchart.papers.wording import day_words

LONGEST_NUMBER = 12  # letters; a longer one would be too small to read across the shop
COMPLAINT_HEADING = "In their words"
NO_COMPLAINT = "Nothing in particular."
LEFT_WITH_HEADING = "Left with it"
LEFT_WITH_NOTHING = "Nothing but the machine."
UNPLUGGED = "unplugged, not tested"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """A bench tag as words and their order.

    Args:
        warnings: what must not be done with it; they stand before all else, and in the place of the
            box for a machine that was not tested.
        machine: its number, which stands in the code too.
        left_with: what came with the machine and goes back with it, each to be ticked when it is
            collected.
    """

    warnings: tuple[Warned, ...]
    machine: str
    owner: str
    model: str
    came: str
    complaint: str
    left_with: tuple[str, ...]
    shop: ShopDetails


def tag(record: MachineRecord, job: Job, *, model: str, shop: ShopDetails) -> Tag:
    """Write the tag of a machine that was checked in.

    Args:
        job: its stay.
        model: the name of its model.

    Raises:
        OilchartError: a machine's number that would not be large.
    """
    if len(record.number) > LONGEST_NUMBER:
        raise OilchartError(
            f'tag: machine number "{record.number}": has {len(record.number)} letters; '
            f"a tag takes 1 to {LONGEST_NUMBER}"
        )
    return Tag(
        warnings=warnings(record.dangers),
        machine=record.number,
        owner=record.owner.name,
        model=model,
        came=_came(job),
        complaint=job.complaint,
        left_with=tuple(thing for thing in job.left_with if thing.strip()),
        shop=shop,
    )


def _came(job: Job) -> str:
    """When it came, and by when it is to be ready where that was promised."""
    by = "" if job.ready_by is None else f", ready by {day_words(job.ready_by)}"
    return f"in on {day_words(job.in_on)}{by}"
