"""What a meter can and cannot show, and when it contradicts what its owner says."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction

from oilchart.core.units import DAY_HOURS, HOUR, Speed
from oilchart.core.use.history import UseHistory
from oilchart.core.use.report import Reading, Report
from oilchart.errors import UnreadableWords

# a meter this many times outside of what was said contradicts it; common practice, no source
TOLERANCE = Fraction(3, 2)


def check_reading(report: Report, others: Sequence[Report], speed: Speed) -> None:
    """Refuse a meter reading that cannot be, beside those before and after it.

    Args:
        others: all other reports of the machine, in the order they were said.

    Raises:
        UnreadableWords: the meter falls, changes its unit, or runs more than 24 hours a day, and
            what to do.
    """
    if report.reading is None:
        return
    read = [(other, other.reading) for other in others if other.reading is not None]
    before = next(
        ((other, reading) for other, reading in reversed(read) if other.said <= report.said), None
    )
    after = next(((other, reading) for other, reading in read if other.said > report.said), None)
    if before is not None and not report.reading.new_meter:
        _check_run(before[0], before[1], report, report.reading, speed)
    if after is not None and not after[1].new_meter:
        _check_run(report, report.reading, after[0], after[1], speed)


def _check_run(first: Report, start: Reading, last: Report, end: Reading, speed: Speed) -> None:
    shown = f"{_shown(end)} on {last.said}, after {_shown(start)} on {first.said}"
    anew = f'if it has a new meter, say "new meter {_shown(end)}"'
    if first.said == last.said:
        raise UnreadableWords(
            f"use: the meter: {shown}: is read twice on one day; "
            f"if the first was misread, correct that one; or {anew}"
        )
    if start.unit is not end.unit:
        raise UnreadableWords(
            f"use: the meter: {shown}: counts something else than before; read it again, or {anew}"
        )
    if end.amount < start.amount:
        raise UnreadableWords(f"use: the meter: {shown}: has fallen; read it again, or {anew}")
    run = speed.hours(end.amount, end.unit) - speed.hours(start.amount, start.unit)
    if run > DAY_HOURS * (last.said - first.said).days:
        raise UnreadableWords(
            f"use: the meter: {shown}: has run more than {DAY_HOURS} hours a day; "
            f"read it again, or {anew}"
        )


def _shown(reading: Reading) -> str:
    # `g` has six digits, and would write more of them as a power
    amount = f"{float(reading.amount):g}" if reading.amount < 1_000_000 else str(reading.amount)
    return f"{amount} {reading.unit}"


def contradicts(reports: Sequence[Report], speed_on: Callable[[date], Speed]) -> bool:
    """Whether the last two readings of a meter lie far outside of what the owner said otherwise.

    Args:
        reports: of one machine, in the order they were said.
        speed_on: turns a meter's stitches into hours, by the day on which it was read.
    """
    read = [report for report in reports if report.reading is not None]
    if len(read) < 2:
        return False
    first, last = read[-2], read[-1]
    if (
        first.reading is None
        or last.reading is None
        or last.reading.new_meter
        or first.said >= last.said
    ):
        return False
    words = UseHistory([replace(report, reading=None) for report in reports], [], first.said)
    if not words.is_known:
        return False
    curves = words.curves()
    end = last.said.toordinal()
    speed = speed_on(last.said)
    run = (
        speed.hours(last.reading.amount, last.reading.unit)
        - speed.hours(first.reading.amount, first.reading.unit)
    ) * HOUR
    return (
        not curves.low.used_before(end) / TOLERANCE
        <= run
        <= curves.high.used_before(end) * TOLERANCE
    )
