from __future__ import annotations

from collections.abc import Sequence

import pytest

from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.paper_style import CardSize
from oilchart.papers.do_not_plug_in.content import UnsafeSheet, unsafe_sheet
from tests.builders.drawn import LIBRARY, unsafe_pdf
from tests.builders.ink_checks import inked, pages_of
from tests.builders.make import TODAY
from tests.builders.records import SHOP, a_record

ELECTRICAL = UnsafeMark(id=1, danger=Danger.ELECTRICAL, on=TODAY, why="the lead crumbles")
FAILED = UnsafeMark(id=2, danger=Danger.ELECTRICAL, on=TODAY, why="the case is live")
MECHANICAL = UnsafeMark(id=3, danger=Danger.MECHANICAL, on=TODAY, why="the hinge pin is cracked")


def a_sheet(model: str, dangers: Sequence[UnsafeMark]) -> UnsafeSheet:
    """The sheet of a machine of a model."""
    return unsafe_sheet(a_record(14), dangers, LIBRARY.point_list(model), shop=SHOP)


@pytest.mark.parametrize(
    ("model", "kept_still"),
    [
        ("heron-3", "Leave its plug out of the wall, so that nobody starts it."),
        ("tansy-3", "Leave the belt off its hand wheel, so that the treadle cannot drive it."),
        ("corrin-12", "Leave its crank folded out of the wheel, so that nobody turns it."),
    ],
)
def test_the_cautions_of_a_machine_not_to_be_used_fit_what_turns_it(
    model: str, kept_still: str
) -> None:
    sheet = a_sheet(model, [MECHANICAL])
    assert kept_still in sheet.rules
    has_plug = LIBRARY.point_list(model).has_plug
    words = " ".join([sheet.heading, *sheet.rules, sheet.until, *sheet.check_lines])
    assert ("plug" in words) is has_plug
    assert "electrical" not in words
    assert sheet.heading == "DO NOT USE"


@pytest.mark.parametrize("size", [CardSize.A6, CardSize.A5, CardSize.A4])
def test_what_is_unsafe_in_two_ways_says_both_the_mains_side_first(size: CardSize) -> None:
    sheet = a_sheet("heron-3", [ELECTRICAL, FAILED, MECHANICAL])
    with inked() as seen:
        first, *others = pages_of(unsafe_pdf(sheet, size))
    since = ", since 25 November 2026"
    assert first.startswith(
        f"DO NOT PLUG IN {ELECTRICAL.why}{since} {FAILED.why}{since} "
        f"DO NOT USE {MECHANICAL.why}{since} Heron 3"
    )
    assert all(page.startswith("DO NOT PLUG IN, DO NOT USE: Heron 3") for page in others)
    assert [ink.words for ink in seen if not ink.within(3)] == []
    high = {ink.words: round(ink.bottom - ink.top, 2) for ink in seen if ink.words}
    assert max(high.values()) == high["DO NOT PLUG IN"] == high["DO NOT USE"]
    assert "both are put right and an electrical check is passed" in sheet.until
