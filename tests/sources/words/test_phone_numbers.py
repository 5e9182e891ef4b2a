"""Telephone numbers, judged by what the library knows of each country."""

from __future__ import annotations

import csv

import pytest

from oilchart.sources.packaged import packaged
from oilchart.sources.words.phone_numbers import is_region, read_phones


@pytest.mark.parametrize(
    ("text", "region", "number", "dial"),
    [
        # Numbers for drama, Ofcom: 020 7946 0xxx, 0117 496 0xxx
        ("02079460107", "GB", "020 7946 0107", "+442079460107"),
        ("+44 (0)20-7946-0107", "GB", "020 7946 0107", "+442079460107"),
        ("0117 4960107", "GB", "0117 496 0107", "+441174960107"),
        ("+44 20 7946 0107", "DE", "+44 20 7946 0107", "+442079460107"),
        ("+44 2079460107", "", "+44 20 7946 0107", "+442079460107"),
        ("020 7946 0107 x12", "GB", "020 7946 0107 x12", "+442079460107;ext=12"),
        ("2079460107", "", "2079460107", ""),
    ],
)
def test_a_number_that_is_given_out_is_kept_as_it_is_written_there(
    text: str, region: str, number: str, dial: str
) -> None:
    [phone], doubts = read_phones(text, region)
    assert (phone.number, phone.dial, doubts) == (number, dial, ())


@pytest.mark.parametrize(
    ("text", "region", "why"),
    [
        ("01632 96320", "GB", "no such number is given out, or a figure is missing"),
        ("07700 90031", "GB", "no such number is given out, or a figure is missing"),
        ("020 79", "GB", "its area code is missing"),
        ("020 7946 010712345", "GB", "it is too long"),
        ("+999 12345678", "GB", "it cannot be dialled"),
        ("+44 20 7", "", "it is too short"),
    ],
)
def test_a_number_that_is_none_is_doubted_and_kept_as_it_was_said(
    text: str, region: str, why: str
) -> None:
    [phone], [doubt] = read_phones(f"{text} (daughter)", region)
    assert (phone.number, phone.dial, phone.whose) == (text, "", "daughter")
    assert doubt.why == why


def test_the_numbers_of_the_demo_are_set_aside_for_fiction_and_known() -> None:
    with (packaged("demo_data") / "owners.csv").open(encoding="utf-8") as file:
        told = [row["phone"] for row in csv.DictReader(file) if row["phone"]]
    assert len(told) > 10
    for number in told:
        assert number.startswith(("020 7946 0", "0117 496 0"))
        [phone], doubts = read_phones(number, "GB")
        assert (phone.number, doubts) == (number, ())


def test_a_country_is_known_by_two_letters() -> None:
    assert is_region("GB")
    assert not is_region("XX")
