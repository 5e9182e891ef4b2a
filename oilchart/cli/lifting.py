"""By which commands a machine that could hurt someone is lifted from that."""

from __future__ import annotations

from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord

TAKE_OFF = "Take off the tag and the sticker that say so; print its tag and card anew."


def lifted_by_words(record: MachineRecord, mark: UnsafeMark) -> str:
    """By which command a danger is lifted."""
    if mark.danger is Danger.MECHANICAL:
        return f'Until: oilchart safe {record.number} --by NAME "what was put right"'
    check = f"oilchart electrical {record.number} --by NAME --pass"
    if any(repair.on >= mark.on for repair in record.repairs):
        return f"Until: {check}"
    return f'Until: oilchart fixed {record.number} "what was put right", then {check}'
