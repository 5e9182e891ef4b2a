"""The board as a page for the wall, the desk, the telephone in the hand and a sheet of paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType

from markupsafe import Markup

from oilchart.core.days import MONTHS, WEEKDAYS
from oilchart.core.due.due_dates import State
from oilchart.core.records.phone import Phone
from oilchart.papers.board.content import MEANING, Board, days_words, near_day, over
from oilchart.papers.contact_words import call_so_far, day_at_the_bench
from oilchart.papers.danger_words import danger_lines
from oilchart.papers.html.page import page
from oilchart.papers.stay_words import call_reason, state_words
from oilchart.papers.wording import (
    INVENTED,
    counted,
    day_words,
    minutes_words,
    short_day,
)

# A shape for each state, in a square of 20: a triangle is past its date, and the fuller it is the
# surer that is.
TRIANGLE = "M 10 2 L 19 18 H 1 Z"
MARKS = {
    State.OVERDUE: f'<path class="full" d="{TRIANGLE}"/>',
    State.FIRST_SERVICE: (
        '<path class="full" d="M 2 2 H 18 V 18 H 2 Z"/>'
        '<path class="cut" d="M 10 6 V 14 M 6 10 H 14"/>'
    ),
    State.LIKELY_OVERDUE: (
        f'<path class="edge" d="{TRIANGLE}"/><path class="full" d="M 5.5 10 H 14.5 L 19 18 H 1 Z"/>'
    ),
    State.MAYBE_OVERDUE: f'<path class="edge" d="{TRIANGLE}"/>',
    State.DUE_SOON: '<path class="full" d="M 10 1 L 19 10 L 10 19 L 1 10 Z"/>',
    State.IN_TIME: '<circle class="edge" cx="10" cy="10" r="7.5"/>',
    State.NOT_SEEN_YET: '<circle class="edge" cx="10" cy="10" r="3"/>',
    State.IN_THE_SHOP: (
        '<path class="edge" d="M 2 9 L 10 2.5 L 18 9 V 18 H 2 Z"/>'
        '<path class="full" d="M 7.5 18 V 12 H 12.5 V 18 Z"/>'
    ),
}

STITCH = 10  # length of a stitch with its gap, in the units of a bar
GAP = 1.5
MOST_STITCHES = 12  # a bar of more is unbroken: so many could not be told apart


def board_page(board: Board, templates: Sequence[Path]) -> str:
    """Write the board as a page.

    Args:
        templates: folders with board.html, board.css and board.js; an earlier one wins, file by
            file.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    days = [day for week in board.weeks for day in week.days]
    limits = board.limits
    most_calls = max([limits.calls_a_day or 1, *(day.calls for day in days)])
    most_services = max(
        [limits.services_a_week or 1, *(len(week.services) for week in board.weeks)]
    )
    return page(
        "board",
        templates,
        functions={
            "danger_lines": danger_lines,
            "contact_of": day_at_the_bench,
            "so_far": call_so_far,
            "stay_of": state_words,
            "reason_of": call_reason,
            "call_bar": lambda count: stitches(count, limits.calls_a_day, most_calls),
            "service_bar": lambda count: stitches(count, limits.services_a_week, most_services),
            "near": lambda day: near_day(day, board.on),
            "days_of": days_words,
            "waits_since_of": lambda call: call.waits_since(board.on),
            "mark": _mark,
            "name_of": _name_of,
            "over": over,
            "counted": counted,
            "short_day": short_day,
            "time_words": _time_words,
            "day_in_month": _day_in_month,
            "link_of": _link_of,
        },
        board=board,
        day=day_words(board.on),
        weekdays=tuple(WEEKDAYS),
        meanings=MappingProxyType(MEANING),
        invented=INVENTED,
    )


def stitches(count: int, limit: int | None, most: int) -> Markup:
    """Draw a bar as a seam: a stitch for each, a thin thread where there is room up to the limit,
    another stitch for each above it.

    Args:
        most: how many fill the width; not less than the limit and any count beside which the bar
            stands.
    """
    inside = count - over(count, limit)
    if most > MOST_STITCHES:
        runs = [("done", 0, inside), ("room", inside, limit or 0), ("more", inside, count)]
        parts = [_stretch(kind, start, end) for kind, start, end in runs if end > start]
    else:
        kinds = ["done"] * inside + ["more"] * (count - inside) + ["room"] * ((limit or 0) - count)
        parts = [_stretch(kind, at, at + 1) for at, kind in enumerate(kinds)]
    drawn = "".join(parts)
    return Markup(
        f'<svg class="seam" viewBox="0 0 {most * STITCH} 10" preserveAspectRatio="none" '
        f'aria-hidden="true">{drawn}</svg>'
    )


def _stretch(kind: str, start: int, end: int) -> str:
    top, height = {"done": (1, 8), "more": (0, 10), "room": (4, 2)}[kind]
    x, width = start * STITCH + GAP / 2, (end - start) * STITCH - GAP
    return f'<rect class="{kind}" x="{x:g}" y="{top}" width="{width:g}" height="{height}"/>'


def _mark(state: State) -> Markup:
    return Markup(
        f'<svg class="mark {_name_of(state)}" viewBox="0 0 20 20" '
        f'aria-hidden="true">{MARKS[state]}</svg>'
    )


def _name_of(state: State) -> str:
    """A state as a class of the style: likely-overdue."""
    return state.value.replace(" ", "-")


def _time_words(minutes: Fraction) -> str:
    """1 h 35 min: the page says once that all such are estimates."""
    return minutes_words(minutes).removeprefix("about ")


def _day_in_month(day: date, *, named: bool = False) -> str:
    """The day of the month; the month's name with its first day, or where asked for."""
    return f"{day.day} {MONTHS[day.month - 1][:3]}" if named or day.day == 1 else str(day.day)


def _link_of(phone: Phone) -> str:
    """What a telephone dials: the digits and a leading plus, nothing else of what was written;
    empty without digits."""
    return f"tel:{phone.digits}" if phone.digits else ""
