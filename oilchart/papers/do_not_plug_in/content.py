"""What stands on the sheet that an unsafe machine gets instead of a care card: do not plug in or do
not use, why, and whom to ring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.danger_words import Warned, warnings
from oilchart.papers.wording import machine_words

RULES = {
    Danger.ELECTRICAL: (
        "Leave the plug out of every socket, also for a short try.",
        "Do not open the machine, its motor, pedal or plug.",
        "Keep it where nobody else plugs it in, children and guests too.",
        "Only a person qualified for mains work may put it right; local rules apply.",
    ),
    Danger.MECHANICAL: (
        "Do not sew with it, also for a short try.",
        "Keep your fingers off its needle, wheel and moving parts.",
        "Keep it where nobody else uses it, children and guests too.",
        "Do not try to mend it; bring it to us, or ring us before it is moved.",
    ),
}
RULES_BESIDE = 2
# how a machine is kept from being run, by what turns it
KEPT_STILL = {
    "plug": "Leave its plug out of the wall, so that nobody starts it.",
    "treadle": "Leave the belt off its hand wheel, so that the treadle cannot drive it.",
    "crank": "Leave its crank folded out of the wheel, so that nobody turns it.",
}
UNTIL = {
    Danger.ELECTRICAL: "This sheet holds until it is put right and an electrical check is passed "
    "after that. Then you get a care card from us.",
    Danger.MECHANICAL: "This sheet holds until we have put it right. Then you get a care card from "
    "us.",
}
UNTIL_BOTH = (
    "This sheet holds until both are put right and an electrical check is passed after that. Then "
    "you get a care card from us."
)
SHEET_NAMES = {
    Danger.ELECTRICAL: "Do-not-plug-in sheet",
    Danger.MECHANICAL: "Do-not-use sheet",
}
CHECK_LINES = {
    Danger.ELECTRICAL: ("Checked by", "Passed on", "Signature"),
    Danger.MECHANICAL: ("Put right by", "On", "Signature"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsafeSheet:
    """A sheet that takes a card's place as words and their order.

    Args:
        name: of the sheet, by its kind.
        warnings: at least one, the mains side first.
    """

    name: str
    warnings: tuple[Warned, ...]
    machine: str
    owner: str
    rules: tuple[str, ...]
    until: str
    check_lines: tuple[str, ...]
    shop: ShopDetails

    @property
    def heading(self) -> str:
        """What it says first, in one line."""
        return ", ".join(warned.heading for warned in self.warnings)


def unsafe_sheet(
    record: MachineRecord,
    dangers: Sequence[UnsafeMark],
    point_list: PointList,
    *,
    shop: ShopDetails,
) -> UnsafeSheet:
    """Write the sheet of a machine that must not be plugged in or used.

    Args:
        dangers: at least one, the mains side first.
    """
    kinds = tuple(dict.fromkeys(mark.danger for mark in dangers))
    return UnsafeSheet(
        name=SHEET_NAMES[kinds[0]],
        warnings=warnings(dangers),
        machine=machine_words(point_list, record),
        owner=record.owner.name,
        rules=tuple(rule for kind in kinds for rule in _rules(kind, kinds, point_list)),
        until=UNTIL[kinds[0]] if len(kinds) == 1 else UNTIL_BOTH,
        check_lines=CHECK_LINES[kinds[0]],
        shop=shop,
    )


def _rules(kind: Danger, kinds: Sequence[Danger], point_list: PointList) -> tuple[str, ...]:
    """The rules of a kind, with how the machine is kept still; of the moving parts of one whose
    mains side is unsafe too only those that the others do not say already."""
    if kind is Danger.ELECTRICAL:
        return RULES[kind]
    if len(kinds) > 1:
        return RULES[kind][:RULES_BESIDE]
    still = (words for thing, words in KEPT_STILL.items() if thing in point_list.has)
    return (RULES[kind][0], *still, *RULES[kind][1:])
