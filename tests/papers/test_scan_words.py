"""The code on a card: what it says to a telephone, and that a reader gets exactly that from the
printed page, also held askew."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from oilchart.core.records.paper_style import CardSize, CodeFor, PaperStyle
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.card.content import CareCard
from oilchart.papers.pdf.scan_code import LEAST_MODULE, QUIET, rows_of, side_of
from oilchart.papers.scan_words import MOST_BYTES, day_scan, dialled, phone_scan
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import card_pdf, care_card
from tests.builders.make import TODAY, loose_schedule
from tests.builders.outside import need
from tests.counts import counted

DAY = date(2027, 1, 14)
SHOP = ShopDetails(
    name="Tidelane Sewing Machine Repairs",
    phone="+44 (1632) 960100",
    address=("7 Tide Lane",),
    invented=True,
)
TRICKY = "Bobbin; hook, & Co \\ <b>\nBEGIN:VALARM"


def card_of(code: CodeFor, *, booked: date | None = DAY, shop: ShopDetails = SHOP) -> CareCard:
    schedule = loose_schedule(
        PointLibrary([packaged("points")]).point_list("heron-3"),
        "5 hours a week",
        TODAY,
        TODAY,
        WITHOUT_A_SHOP,
    )
    return care_card(
        replace(schedule, booked=booked),
        shop=shop,
        owner="Ida Brandvold",
        style=PaperStyle(code=code),
    )


@pytest.mark.parametrize(
    ("phone", "number"),
    [
        ("01632 960100", "01632960100"),
        ("+44 (1632) 960100", "+441632960100"),
        ("01632/960-100 (mornings)", "01632960100"),
        ("01632 960100;ext=5\nBEGIN:VCARD", "016329601005"),
        ("", ""),
    ],
)
def test_a_number_is_dialled_as_digits(phone: str, number: str) -> None:
    assert dialled(phone) == number
    scan = phone_scan(phone)
    assert (scan.words if scan else "tel:") == f"tel:{number}"


@pytest.mark.parametrize(
    ("code", "booked", "words", "does"),
    [
        (CodeFor.PHONE, DAY, "tel:+441632960100", "Scan to ring us"),
        (CodeFor.CALENDAR, None, "tel:+441632960100", "Scan to ring us"),
        (
            CodeFor.CALENDAR,
            DAY,
            "BEGIN:VCALENDAR\nVERSION:2.0\nBEGIN:VEVENT\nDTSTART;VALUE=DATE:20270114\n"
            "SUMMARY:Tidelane Sewing Machine Repairs: Heron 3\\, service\n"
            "END:VEVENT\nEND:VCALENDAR",
            "Scan to put the day into your calendar",
        ),
    ],
)
def test_a_card_has_the_code_that_the_shop_wants(
    code: CodeFor, booked: date | None, words: str, does: str
) -> None:
    scan = card_of(code, booked=booked).scan
    assert scan is not None
    assert (scan.words, scan.does) == (words, does)


def test_a_shop_may_have_no_code_and_one_without_a_telephone_has_none_to_ring() -> None:
    assert card_of(CodeFor.NONE).scan is None
    assert card_of(CodeFor.PHONE, shop=replace(SHOP, phone="")).scan is None


@counted
@given(st.text(max_size=400))
def test_a_day_for_the_calendar_is_one_entry_whatever_the_shop_is_called(title: str) -> None:
    words = day_scan(DAY, title).words
    assert len(words.encode()) <= MOST_BYTES
    assert words.count("\n") == 6
    [event] = icalendar.Calendar.from_ical(words.replace("\n", "\r\n")).walk("VEVENT")
    assert sorted(event) == ["DTSTART", "SUMMARY"]
    assert event.decoded("DTSTART") == DAY
    assert " ".join(title.split()).startswith(str(event["SUMMARY"]).rstrip("\\"))


@pytest.mark.parametrize("length", [0, 14, 60, 150, MOST_BYTES])
def test_a_code_is_of_level_m_and_leaves_room_on_the_smallest_card(length: int) -> None:
    rows = rows_of("t" * length or "t")
    assert all(len(row) == len(rows) for row in rows)
    # the two modules that tell the level beside the first eye, after the mask 10: level M is 00.
    # Source: ISO/IEC 18004, 7.9
    assert [rows[8][0], rows[8][1]] == [True, False]
    assert len(rows) <= 57
    assert side_of(rows, LEAST_MODULE) <= 0.4 * (57 + 2 * QUIET)


# --- read by a reader


def pictures_of(pdf: bytes, folder: Path) -> list[Image.Image]:
    """Its pages at 150 dots to the inch."""
    tool = need("pdftoppm")
    (folder / "card.pdf").write_bytes(pdf)
    subprocess.run([tool, "-r", "150", "-gray", folder / "card.pdf", folder / "page"], check=True)
    return [Image.open(path) for path in sorted(folder.glob("page*.pgm"))]


def read_from(image: Image.Image, turned: float) -> list[str]:
    """What a reader finds on a page that is turned by so many degrees on white."""
    need("zxingcpp")
    import zxingcpp

    reader: Any = zxingcpp
    askew = image.rotate(turned, expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC)
    return [found.text for found in reader.read_barcodes(askew)]


@pytest.mark.parametrize("size", CardSize)
@pytest.mark.parametrize(
    ("code", "shop"),
    [
        (CodeFor.PHONE, SHOP),
        (CodeFor.CALENDAR, SHOP),
        (CodeFor.CALENDAR, replace(SHOP, name=TRICKY)),
        (
            CodeFor.CALENDAR,
            replace(
                SHOP,
                name="Nähmaschinen Łucja & Ольга, Sewing Machines of All Kinds Brought Back to "
                "Life, since 1932 " * 2,
            ),
        ),
    ],
    ids=["phone", "calendar", "tricky", "longest"],
)
def test_a_reader_gets_the_code_from_the_page_also_when_it_is_held_askew(
    size: CardSize, code: CodeFor, shop: ShopDetails, tmp_path: Path
) -> None:
    card = card_of(code, shop=shop)
    assert card.scan is not None
    images = pictures_of(card_pdf(card, size), tmp_path)
    upright = [(image, read_from(image, 0)) for image in images]
    [(with_code, words)] = [(image, words) for image, words in upright if words]
    assert words == read_from(with_code, 15) == [card.scan.words]
