"""Makes the board of an invented shop with thirty machines; every name in it is invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from oilchart.core.days import OpenDays
from oilchart.core.due.due_dates import State
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.capacity import ShopLimits
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.papers.board.content import Board, board
from tests.builders.make import TODAY, a_chart
from tests.builders.records import (
    SHOP,
    a_record,
    a_service,
    a_standing,
    an_open_call,
    an_owner,
    in_shop_since,
)

ALWAYS_OPEN = OpenDays(weekdays=frozenset(range(7)))
LIMITS = ShopLimits(open_days=ALWAYS_OPEN, calls_a_day=4, services_a_week=6)
OWNERS = (
    "Ida Brandvold", "Łucja Wierzbicka", "Nguyễn Thị Bích", "Owen Tarrowby", "Zdeňka Řeháková",
    "Marisol Ybarrondo", "Άννα Καλλιγά",
    "Quernhaven Sail Loft", "Șerban Ungureșan", "Mrs E. Pettigarth", "Ольга Береговая",
    "Gülten Akyıldız", "Tidelane School",
    "Fionnuala Ó Dreada", "Baltasar Quindel", "Wilhelmina van der Achterhuyzen-Roodmond",
)  # fmt: skip
MODELS = ("Heron 3", "Velmora 7", "Tarnwick Treadle 20")

# state, days from today to the likely due date, days to the next service, days since the last one
# or since check-in
THIRTY: tuple[tuple[State, int | None, int | None, int | None], ...] = (
    (State.OVERDUE, -63, 0, 480),
    (State.OVERDUE, -41, 0, 400),
    (State.OVERDUE, -18, 1, 390),
    (State.FIRST_SERVICE, None, 1, None),
    (State.FIRST_SERVICE, None, 2, None),
    (State.LIKELY_OVERDUE, -29, 5, 371),
    (State.LIKELY_OVERDUE, -8, 5, 300),
    (State.LIKELY_OVERDUE, -1, 6, 366),
    (State.MAYBE_OVERDUE, 4, 2, 350),
    (State.MAYBE_OVERDUE, 9, 8, 340),
    (State.DUE_SOON, 0, 0, 365),
    (State.DUE_SOON, 6, 6, 359),
    (State.DUE_SOON, 11, 9, 220),
    (State.DUE_SOON, 14, 14, 351),
    (State.IN_TIME, 21, 21, 344),
    (State.IN_TIME, 23, 23, 340),
    (State.IN_TIME, 26, 26, 170),
    (State.IN_TIME, 40, 40, 325),
    (State.IN_TIME, 41, 40, 320),
    (State.IN_TIME, 47, 47, 318),
    (State.IN_TIME, 55, 54, 310),
    (State.IN_TIME, 90, 89, 275),
    (State.IN_TIME, 130, 128, 235),
    (State.IN_TIME, 171, 170, 194),
    (State.IN_TIME, 233, 233, 132),
    (State.IN_TIME, None, None, 12),
    (State.IN_THE_SHOP, -12, 0, 9),
    (State.IN_THE_SHOP, 35, 3, 2),
    (State.IN_THE_SHOP, None, 5, 0),
    (State.GONE, -300, None, 700),
)

# days from today, at Monday to Friday from a Wednesday
CALLS = (
    -2,
    0,
    0,
    0,
    1,
    1,
    2,
    5,
    5,
    5,
    5,
    5,
    6,
    8,
    9,
    9,
    12,
    12,
    13,
    19,
    22,
    22,
    23,
    40,
    41,
    47,
    70,
)


def standings(today: date = TODAY) -> list[Standing]:
    """The thirty machines, one of which is gone."""
    made = []
    for at, (state, due, service, before) in enumerate(THIRTY):
        here = state is State.IN_THE_SHOP
        back = None if before is None else today - timedelta(days=before)
        whose = at * 5 % len(OWNERS)
        owner = an_owner(whose + 1, OWNERS[whose], phone=f"01632 960{107 + whose * 5}")
        record = a_record(at * 7 % 30 + 1, owner)
        if here and back is not None:
            record = replace(record, jobs=in_shop_since(back))
        planned = [] if service is None else [today + timedelta(days=service)]
        late = due is not None and service is not None and due < service
        made.append(
            a_standing(
                record,
                state,
                point_list=replace(a_chart(), name=MODELS[at % 3]),
                due=None if due is None else today + timedelta(days=due),
                served=None if here else back,
                as_of=today,
                services=tuple(
                    a_service(on, points=9 + at * 3 % 8, minutes=35 + at * 17 % 60, late=late)
                    for on in planned
                ),
            )
        )
    return made


def calls(today: date = TODAY) -> list[OpenCall]:
    """Calls to their owners, one of them left over from Monday."""
    made = []
    for at, days in enumerate(CALLS):
        whose = at * 3 % len(OWNERS)
        owner = an_owner(whose + 1, OWNERS[whose], phone=f"01632 960{107 + whose * 5}")
        numbers = (at + 1,) if at % 4 else (at + 1, at + 2)
        about = CallAbout.SETTLING_IN if at % 7 == 3 else CallAbout.SERVICE
        records = [a_record(number, owner) for number in numbers]
        on = today + timedelta(days=days)
        made.append(an_open_call(on, *records, call_id=at + 1, about=about))
    return made


def thirty(today: date = TODAY) -> Board:
    """The board of the thirty machines."""
    return board(standings(today), calls(today), today=today, shop=SHOP, limits=LIMITS)
