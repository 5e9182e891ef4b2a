"""What stands on the sheet that an unsafe machine gets instead of a care card: do not plug in, why,
and whom to ring."""

from __future__ import annotations

from dataclasses import dataclass

from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.job import UnsafeMark
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.wording import day_words, machine_words

HEADING = "Do not plug in"
RULES = (
    "Leave the plug out of every socket, also for a short try.",
    "Do not open the machine, its motor, pedal or plug.",
    "Keep it where nobody else plugs it in, children and guests too.",
    "Only a person qualified for mains work may put it right; local rules apply.",
)
UNTIL = "This sheet holds until an electrical check is passed. Then you get a care card from us."
CHECK_LINES = ("Checked by", "Passed on", "Signature")


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsafeSheet:
    """A do-not-plug-in sheet as words and their order."""

    heading: str
    machine: str
    owner: str
    why: str
    since: str
    rules: tuple[str, ...]
    until: str
    check_lines: tuple[str, ...]
    shop: ShopDetails


def unsafe_sheet(
    record: MachineRecord, unsafe: UnsafeMark, point_list: PointList, *, shop: ShopDetails
) -> UnsafeSheet:
    """Write the sheet of a machine that must not be plugged in."""
    return UnsafeSheet(
        heading=HEADING,
        machine=machine_words(point_list, record),
        owner=record.owner.name,
        why=unsafe.why,
        since=f"Found on {day_words(unsafe.on)}",
        rules=RULES,
        until=UNTIL,
        check_lines=CHECK_LINES,
        shop=shop,
    )
