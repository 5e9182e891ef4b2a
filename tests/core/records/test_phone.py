"""Telephone numbers as people give them."""

from __future__ import annotations

import pytest

from oilchart.core.records.phone import Phone, phones_in, with_phones


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("020 7946 0107", [("020 7946 0107", "")]),
        # two in one field
        ("07700 900303 / 020 7946 0199", [("07700 900303", ""), ("020 7946 0199", "")]),
        ("020 7946 0107; 020 7946 0108", [("020 7946 0107", ""), ("020 7946 0108", "")]),
        ("020 7946 0107 or 020 7946 0108", [("020 7946 0107", ""), ("020 7946 0108", "")]),
        # one, with a mark in it that parts others
        ("030/1234567", [("030/1234567", "")]),
        ("(0117) 496 0107", [("(0117) 496 0107", "")]),
        ("+44 (0)20 7946-0107", [("+44 (0)20 7946-0107", "")]),
        ("020 7946 0107, ext. 12", [("020 7946 0107, ext. 12", "")]),
        # whose it is, before or after
        ("daughter: 020 7946 0107", [("020 7946 0107", "daughter")]),
        ("020 7946 0107 (Mrs Hart and son)", [("020 7946 0107", "Mrs Hart and son")]),
        ("her son, 020 7946 0107, work, 020 7946 0108",
         [("020 7946 0107", "her son"), ("020 7946 0108", "work")]),
        ("020 7946 0107, home, 020 7946 0108, work",
         [("020 7946 0107", "home"), ("020 7946 0108", "work")]),
        # no number
        ("ask at the bakery", [("ask at the bakery", "")]),
        ("12", [("12", "")]),
        ("  ", []),
    ],
)  # fmt: skip
def test_a_field_is_read_as_its_numbers_each_with_whose_it_is(
    text: str, numbers: list[tuple[str, str]]
) -> None:
    assert [(each.number, each.whose) for each in phones_in(text)] == numbers


@pytest.mark.parametrize(
    ("phone", "digits"),
    [
        (Phone(number="+44 (1632) 960107"), "+441632960107"),
        (Phone(number="01632/960-107 mornings"), "01632960107"),
        (Phone(number="020 7946 0107", dial="+442079460107"), "+442079460107"),
        (Phone(number="no telephone"), ""),
        (Phone(number="٠١٦٣٢"), ""),
    ],
)
def test_what_is_dialled_is_digits_and_a_plus_in_front(phone: Phone, digits: str) -> None:
    assert phone.digits == digits


def test_a_number_that_is_told_again_is_right_again_and_stays_whose_it_was() -> None:
    wrong = Phone(number="020 7946 0107", dial="+442079460107", whose="daughter", wrong=True)
    other = Phone(number="0117 496 0108", dial="+441174960108")
    again = Phone(number="+44 20 7946 0107", dial="+442079460107")
    [first, second] = with_phones([wrong, other], [again])
    assert (first.whose, first.wrong) == ("daughter", False)
    assert second == other
