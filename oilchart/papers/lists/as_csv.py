"""Knows the CSV form of the due list, as RFC 4180 has it, with a header line; its columns are what
other programs rely on.

Words that a spreadsheet would take for a formula have an apostrophe before them, as spreadsheets
themselves write such words.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable

from oilchart.papers.lists.due import DueLine, last_told, told_words

DUE_COLUMNS = (
    "machine", "owner", "model", "state", "earliest", "likely", "latest", "days_left", "because", "phone", "chance", "point",
    "booked", "last_contact", "lapsed", "left_alone", "unsafe",
)  # fmt: skip
_FORMULA = re.compile(r"[=+\-@\t\r]")
_TELEPHONE = re.compile(r"\+[\d ()./-]*")


def due_csv(lines: Iterable[DueLine]) -> bytes:
    """Machines with their owners, in the order given, as UTF-8; what is not known is empty."""
    out = io.StringIO()
    table = csv.writer(out)  # whose plain dialect is RFC 4180
    table.writerow(DUE_COLUMNS)
    table.writerows(_due_row(line) for line in lines)
    return out.getvalue().encode()


def _due_row(line: DueLine) -> tuple[object, ...]:
    schedule, owner = line.schedule, line.owner
    due, risk = schedule.due, schedule.risk
    window = (due.earliest, due.likely, due.latest, due.days_left(schedule.as_of), due.because)
    chance = (None, None) if risk is None else (f"{risk.chance:.2f}", risk.point)
    last = last_told(line)
    contact = (schedule.booked, None if last is None else told_words(last), line.lapsed_on)
    alone = None if owner.do_not_contact is None else _plain(owner.do_not_contact.why)
    whose = (
        schedule.machine.number,
        _plain(owner.name),
        schedule.machine.point_list.id,
        schedule.state,
    )
    return *whose, *window, _plain(owner.phone), *chance, *contact, alone, _plain(line.unsafe)


def _plain(words: str) -> str:
    """Words of the owner or the shop, such that no spreadsheet reckons with them; a telephone
    number that begins with + stays."""
    return f"'{words}" if _FORMULA.match(words) and not _TELEPHONE.fullmatch(words) else words
