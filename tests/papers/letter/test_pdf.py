"""Letters as a PDF: the address in the window of its envelope, nothing else there, and words of any
length within the page."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pypdf
import pytest

from oilchart.core.planning.ways_to_reach import Reason
from oilchart.papers.letter.content import Letter
from oilchart.papers.letter.pdf import LETTER_SHEETS, address_lines, letter_words, letters_pdf
from oilchart.papers.letter.template import Paragraph
from oilchart.papers.wording import INVENTED
from tests.builders.ink_checks import (
    HOSTILE,
    Ink,
    embedded_faces,
    inked,
    not_counted,
    pages_of,
    sizes_of,
    words_in,
)
from tests.builders.papers.letter import CHAFED, HERON, TREADLE, a_heron, a_letter, a_treadle
from tests.builders.records import SHOP

# Width and height of an envelope; of its window the distance from the left and the bottom, width
# and height: all in millimetres, from
# memory of ISO 269 (sizes), DIN 680 (window) and the trade's No. 10; the British window as it is
# commonly sold.
DL, C6_5 = (220.0, 110.0, 20.0, 15.0, 90.0, 45.0), (229.0, 114.0, 20.0, 15.0, 90.0, 45.0)
BRITISH_DL = (220.0, 110.0, 20.0, 18.0, 90.0, 35.0)
NO_10 = (241.3, 104.775, 22.225, 12.7, 114.3, 28.575)
ENVELOPES = {"a4": (DL, C6_5), "letter": (NO_10,)}
SHEET_NAMES = tuple(LETTER_SHEETS)
LONG_ADDRESS = (
    "Attic Flat",
    "The Old Net Loft",
    "9 Harbour Street",
    "Upper Quernhaven",
    "Quernhaven",
    "North Shore",
    "QH1 9ZZ",
    "Invented Isles",
)

Room = tuple[float, float, float, float]


def windows(sheet: str, envelope: tuple[float, ...]) -> tuple[Room, Room]:
    """What a window shows of a letter folded at its first mark: left, top, right, bottom of what
    always shows, and of what ever may."""
    wide, high, from_left, from_bottom, window_wide, window_high = envelope
    slack_x, slack_y = wide - LETTER_SHEETS[sheet].size[0], high - LETTER_SHEETS[sheet].folds[0]
    assert slack_x > 0
    assert slack_y > 0
    top = high - from_bottom - window_high
    right, bottom = from_left + window_wide, top + window_high
    return (from_left, top, right - slack_x, bottom - slack_y), (
        from_left - slack_x,
        top - slack_y,
        right,
        bottom,
    )


def parted(seen: Sequence[Ink], letter: Letter) -> tuple[list[Ink], list[Ink]]:
    """The ink of the address, and all other ink of the first page: the address stands between the
    sender and the day."""
    begin = next(at for at, ink in enumerate(seen) if ink.top > 50)
    end = next(at for at, ink in enumerate(seen) if ink.words == letter.day and at >= begin)
    return list(seen[begin:end]), [*seen[:begin], *seen[end:]]


def outside(inks: Sequence[Ink], room: Room) -> list[Ink]:
    left, top, right, bottom = room
    return [
        ink
        for ink in inks
        if ink.left < left
        or ink.top < top - 0.01
        or ink.right > right + 0.01
        or ink.bottom > bottom + 0.01
    ]


def touching(inks: Sequence[Ink], room: Room) -> list[Ink]:
    left, top, right, bottom = room
    return [
        ink
        for ink in inks
        if ink.left < right and ink.right > left and ink.top < bottom and ink.bottom > top
    ]


def first_page(letter: Letter, sheet: str) -> tuple[list[Ink], list[Ink]]:
    with inked() as seen:
        pdf = letters_pdf([letter], LETTER_SHEETS[sheet])
    pages = len(pages_of(pdf))
    header = f"{' '.join(letter.address[0].split())[:10]}"
    later = next(
        (
            at
            for at, ink in enumerate(seen)
            if pages > 1 and at > 5 and ink.top < 15 and ink.words.startswith(header[:3])
        ),
        len(seen),
    )
    return parted(seen[:later], letter)


@pytest.mark.parametrize("sheet", SHEET_NAMES)
@pytest.mark.parametrize(
    "address",
    [
        (),
        ("3 Quay Steps",),
        ("3 Quay Steps", "Quernhaven", "QH1 2AB"),
        LONG_ADDRESS[:5],
        LONG_ADDRESS[:6],
        LONG_ADDRESS[:7],
        LONG_ADDRESS,
        LONG_ADDRESS * 2,
        ("W" * 300, "many words " * 300),
    ],
)
@pytest.mark.parametrize(
    "owner",
    [
        "Ida Brandvold",
        "m" * 60,
        "Wilhelmina Margarethe Oosterhuizen-Brandvold of Quernhaven XY",
        "Ida " * 75,
    ],
)
def test_the_address_shows_in_every_window_however_the_letter_lies_and_nothing_else_ever_does(
    sheet: str, address: tuple[str, ...], owner: str
) -> None:
    inside, others = first_page(a_letter(owner=owner, address=address), sheet)
    assert inside
    for envelope in ENVELOPES[sheet]:
        always, ever = windows(sheet, envelope)
        assert outside(inside, always) == []
        assert touching(others, ever) == []


@pytest.mark.parametrize("lines", range(1, 5))
def test_an_address_of_five_lines_shows_in_the_low_british_window_too(lines: int) -> None:
    inside, others = first_page(a_letter(address=LONG_ADDRESS[:lines]), "a4")
    always, ever = windows("a4", BRITISH_DL)
    assert outside(inside, always) == []
    assert touching(others, ever) == []


@pytest.mark.parametrize("sheet", SHEET_NAMES)
def test_an_address_of_eight_lines_is_printed_whole_the_town_on_a_line_of_its_own(
    sheet: str,
) -> None:
    set_lines = address_lines(a_letter(address=LONG_ADDRESS), LETTER_SHEETS[sheet])
    lines = ["".join(word.text for word in line).strip() for line in set_lines.lines]
    assert set_lines.whole
    assert ", ".join(lines) == ", ".join(("Ida Brandvold", *LONG_ADDRESS))
    assert lines[0] == "Ida Brandvold"
    assert lines[-1] == "Invented Isles"


@pytest.mark.parametrize(
    ("address", "size", "count"),
    [
        (LONG_ADDRESS[:6], 12, 7),
        # eight lines are smaller, nine are joined
        (LONG_ADDRESS[:7], 10, 8),
        (LONG_ADDRESS, 12, 7),
    ],
)
def test_an_address_is_set_in_12_points_unless_it_would_not_fit(
    address: tuple[str, ...], size: float, count: int
) -> None:
    set_lines = address_lines(a_letter(address=address), LETTER_SHEETS["a4"])
    assert (set_lines.size, len(set_lines.lines), set_lines.whole) == (size, count, True)


@pytest.mark.parametrize("sheet", SHEET_NAMES)
def test_an_address_that_no_window_holds_says_so(sheet: str) -> None:
    set_lines = address_lines(
        a_letter(address=("many words " * 300, "Quernhaven")), LETTER_SHEETS[sheet]
    )
    assert not set_lines.whole
    assert set_lines.lines[0][0].text == "Ida "
    assert set_lines.lines[-1][-1].text == "…"


@pytest.mark.parametrize(
    ("sheet", "size", "folds"),
    [("a4", (210, 297), (105, 210)), ("letter", (216, 279), (101.6, 203.2))],
)
def test_a_letter_is_read_in_the_order_in_which_it_is_written(
    sheet: str, size: tuple[int, int], folds: tuple[float, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    written = a_letter()
    rules: list[tuple[float, float, float]] = []
    monkeypatch.setattr(
        "oilchart.papers.pdf.page.Page.rule",
        lambda page, x, top, wide, **_: rules.append((x, top, x + wide)),
    )
    pdf = letters_pdf([written], LETTER_SHEETS[sheet])
    assert sizes_of(pdf) == {size}
    text = words_in(pdf)
    places = [
        text.index(words)
        for words in (
            "Tidelane Sewing",
            "7 Tide Lane",
            "Ida Brandvold",
            "3 Quay Steps",
            "QH1 2AB",
            written.day,
        )
    ]
    places += [
        text.index(words)
        for words in (
            "time for its service",
            "Dear Ida",
            "One question",
            "With kind regards",
            "Stop, unplug",
        )
    ]
    places += [text.index(words) for words in ("Not at home", INVENTED)]
    assert places == sorted(places)
    # the marks where to fold keep clear of what printers cannot print
    assert [top for _, top, _ in rules] == list(folds)
    assert all(left >= 7 and right < 20 for left, _, right in rules)


@pytest.mark.parametrize("sheet", SHEET_NAMES)
@pytest.mark.parametrize("reason", Reason)
@pytest.mark.parametrize("machines", [(HERON,), (HERON, TREADLE)])
def test_every_shipped_letter_about_one_machine_or_two_is_one_page_of_12_points_or_more(
    sheet: str, reason: Reason, machines: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes: list[float] = []
    monkeypatch.setattr(
        "oilchart.papers.pdf.page.Page._letters", lambda page, *along: sizes.append(along[4])
    )
    with inked():
        letters_pdf([a_letter(*machines, reason=reason)], LETTER_SHEETS[sheet])
    assert min(sizes) >= 12
    monkeypatch.undo()
    pdf = letters_pdf([a_letter(*machines, reason=reason)], LETTER_SHEETS[sheet])
    assert len(pages_of(pdf)) == 1
    assert "page 1 of 1" not in words_in(pdf)


def test_a_short_letter_is_set_large() -> None:
    with inked() as seen:
        letters_pdf([a_letter()], LETTER_SHEETS["a4"])
    dear = next(ink for ink in seen if ink.words.startswith("Dear"))
    assert dear.bottom - dear.top == pytest.approx(14 * 25.4 / 72)


@pytest.mark.parametrize("sheet", SHEET_NAMES)
def test_a_long_letter_goes_on_over_pages_that_are_counted_and_named(sheet: str) -> None:
    written = a_letter()
    more = tuple(
        Paragraph(f"Paragraph {number}. {'Some more words. ' * 20}", listed=number % 3 == 0)
        for number in range(1, 21)
    )
    with inked() as seen:
        pdf = letters_pdf([replace(written, paragraphs=more)], LETTER_SHEETS[sheet])
    pages = pages_of(pdf)
    assert len(pages) > 2
    assert not_counted(pdf) == []
    assert all(page.startswith("Ida Brandvold · 25 November 2026") for page in pages[1:])
    assert [
        number for number in range(1, 21) if f"Paragraph {number}." not in " ".join(pages)
    ] == []
    assert [ink for ink in seen if not ink.within(7)] == []


def test_each_letter_begins_a_sheet_and_counts_for_itself() -> None:
    long = replace(
        a_letter(owner="Bo Tarrowby"), paragraphs=(Paragraph("Some more words. " * 200),)
    )
    pdf = letters_pdf([a_letter(), long, a_letter(owner="Zoë Last")], LETTER_SHEETS["a4"])
    pages = pages_of(pdf)
    assert [
        "Ida Brandvold" in pages[0],
        "page 1 of 2" in pages[1],
        "page 2 of 2" in pages[2],
        "Dear Zoë Last" in pages[3],
    ] == [True] * 4
    preferences: Any = pypdf.PdfReader(io.BytesIO(pdf)).root_object["/ViewerPreferences"]
    assert preferences["/Duplex"] == "/Simplex"  # else the next letter stands on the back of one


def test_an_unsafe_machine_stands_above_all_of_the_text() -> None:
    text = words_in(letters_pdf([a_letter(a_heron(unsafe=(CHAFED,)))], LETTER_SHEETS["a4"]))
    assert (
        text.index("Do not plug it in")
        < text.index("Cord chafed, since")
        < text.index("Keep its plug out of the wall")
        < text.index("time for its service")
    )


@pytest.mark.parametrize("sheet", SHEET_NAMES)
@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_neither_stop_a_letter_nor_leave_their_room(words: str, sheet: str) -> None:
    shop = replace(SHOP, name=words, phone=words, email=words, address=(words,) * 3)
    machines = (
        a_heron(model=words, last_use=words, unsafe=(replace(CHAFED, why=words),)),
        a_treadle(model=words, last_use=words),
    )
    written = a_letter(*machines, owner=words, address=(words,) * 8, phone=words, shop=shop)
    with inked() as seen:
        pdf = letters_pdf([written], LETTER_SHEETS[sheet])
    assert [ink for ink in seen if not ink.within(7)] == []
    assert len(pages_of(pdf)) == 1 or not_counted(pdf) == []
    assert "Stop, unplug, ring us" in words_in(pdf)


def test_what_the_type_cannot_print_is_known_from_the_letters_words() -> None:
    words = letter_words(a_letter(owner="Zoë 🧵"))
    assert "Zoë 🧵" in words
    assert any("Dear Zoë 🧵" in each for each in words)


def test_the_faces_are_embedded_and_the_same_letters_give_the_same_bytes() -> None:
    pdf = letters_pdf([a_letter(), a_letter(HERON, TREADLE)], LETTER_SHEETS["a4"])
    assert embedded_faces(pdf) == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
    assert pdf == letters_pdf([a_letter(), a_letter(HERON, TREADLE)], LETTER_SHEETS["a4"])
