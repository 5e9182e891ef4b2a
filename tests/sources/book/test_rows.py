"""A damaged row is told as one; a fault of ours is not."""

from __future__ import annotations

import pytest

from oilchart.errors import BookFault
from oilchart.sources.book.rows import reading


@pytest.mark.parametrize("damage", [KeyError(99), ValueError("no such word")])
def test_a_row_of_which_a_reader_makes_nothing_is_damaged(damage: Exception) -> None:
    with (
        pytest.raises(BookFault, match=r"^shop book: its owner is damaged; bring back a copy"),
        reading("its owner"),
    ):
        raise damage


@pytest.mark.parametrize(
    "fault",
    [
        AttributeError("no attribute 'nmae'"),
        TypeError("not callable"),
        IndexError("out of range"),
        LookupError("no codec"),
        ZeroDivisionError(),
    ],
)
def test_a_fault_of_ours_sends_nobody_to_a_copy_of_the_book(fault: Exception) -> None:
    with pytest.raises(type(fault)), reading("its owner"):
        raise fault
