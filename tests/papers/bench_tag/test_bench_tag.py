"""The tag that hangs on a machine in the shop: the number large and as a code, all words in their
room, nothing lost."""

from __future__ import annotations

import io
from dataclasses import replace

import pypdf
import pytest
import segno
from pypdf.generic import ContentStream
from reportlab.lib.units import mm

from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.errors import OilchartError
from oilchart.papers.bench_tag.pdf import tag_pdf, tag_words
from oilchart.papers.pdf.scan_code import LEAST_MODULE
from oilchart.papers.wording import INVENTED
from tests.builders.ink_checks import (
    HOSTILE,
    Ink,
    embedded_faces,
    inked,
    pages_of,
    sizes_of,
    words_in,
)
from tests.builders.make import TODAY
from tests.builders.papers.tag import LEFT_WITH, a_tag
from tests.builders.records import SHOP


def drawn_code(pdf: bytes, at: int = 0) -> tuple[list[list[int]], float, float, float]:
    """The code's rows as they are drawn on a page, its module, left and top, in millimetres."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    page = reader.pages[at]
    operations = ContentStream(page.get_contents(), reader).operations
    names = [operator for _, operator in operations]
    first, last = names.index(b"re"), len(names) - names[::-1].index(b"re")
    # one path: nothing but boxes, then one fill
    assert set(names[first:last]) == {b"re"}
    assert names[last] in (b"f", b"f*")
    boxes = [
        [float(number) / mm for number in operands]
        for operands, operator in operations
        if operator == b"re"
    ]
    module = min(box[3] for box in boxes)
    left = min(box[0] for box in boxes)
    top = max(box[1] + box[3] for box in boxes)
    count = round((max(box[0] + box[2] for box in boxes) - left) / module)
    rows = [[0] * count for _ in range(count)]
    for x, y, wide, _ in boxes:
        down, along = round((top - y) / module) - 1, round((x - left) / module)
        for cell in range(round(wide / module)):
            rows[down][along + cell] = 1
    return rows, module, left, float(page.mediabox.height) / mm - top


@pytest.mark.parametrize("number", ["M-001", "M-014", "M-1014", "M-123456"])
def test_the_code_is_the_machines_number_at_level_m_and_large_enough_to_read(number: str) -> None:
    rows, module, _, _ = drawn_code(tag_pdf(a_tag(machine=number)))
    code = segno.make(number, error="m", micro=False, boost_error=False)
    assert rows == [list(row) for row in code.matrix]
    assert code.error == "M"
    assert module >= LEAST_MODULE


@pytest.mark.parametrize("dangers", [(), (Danger.ELECTRICAL,), tuple(Danger)])
def test_four_modules_around_the_code_stay_white(dangers: tuple[Danger, ...]) -> None:
    marks = [UnsafeMark(id=1, danger=each, on=TODAY, why="W" * 300) for each in dangers]
    with inked() as seen:
        pdf = tag_pdf(a_tag(machine="M-123456", owner="W" * 60, unsafe_marks=marks))
    rows, module, left, top = drawn_code(pdf)
    side, quiet = len(rows) * module, 4 * module
    near = Ink(
        "", left - quiet, top - quiet, left + side + quiet, top + side + quiet, (74, 105), 1, 0.0
    )
    assert near.within(0)
    assert [
        ink
        for ink in seen
        if ink.right > near.left
        and ink.left < near.right
        and ink.bottom > near.top
        and ink.top < near.bottom
    ] == []


@pytest.mark.parametrize(("number", "least"), [("M-014", 14), ("M-1014", 12), ("M-123456", 8)])
def test_the_number_is_the_largest_thing_on_the_tag(number: str, least: float) -> None:
    with inked() as seen:
        tag_pdf(a_tag(machine=number))
    high = {ink.words: ink.bottom - ink.top for ink in seen}
    assert high[number] >= least
    assert max(high.values()) == high[number]


def test_every_word_of_a_tag_is_on_it_and_it_is_a7() -> None:
    pdf = tag_pdf(a_tag())
    wanted = [
        "M-014",
        "Ida Brandvold",
        "Heron 3",
        "in on Wednesday 25 November 2026",
        "“It squeaks when I go fast”",
        *LEFT_WITH,
    ]
    wanted += [
        "In their words",
        "Left with it",
        "unplugged, not tested",
        SHOP.name,
        SHOP.phone,
        INVENTED,
    ]
    assert [words for words in wanted if words not in words_in(pdf)] == []
    assert sizes_of(pdf) == {(74, 105)}
    assert len(pages_of(pdf)) == 1
    assert INVENTED not in words_in(tag_pdf(a_tag(shop=replace(SHOP, invented=False))))


def test_each_thing_left_and_the_warning_have_a_box_to_tick() -> None:
    with inked() as seen:
        tag_pdf(a_tag())
    boxes = [ink for ink in seen if not ink.words and ink.right - ink.left < 5]
    assert len(boxes) == len(LEFT_WITH) + 1


@pytest.mark.parametrize(
    ("words", "whole"),
    [
        ("It squeaks when I go fast and the stitches are loose underneath", True),
        ("it squeaks " * 15, True),
        ("it squeaks " * 16, False),
        ("it squeaks " * 400, False),
    ],
)
def test_a_complaint_takes_five_lines_and_the_rest_is_in_the_book(words: str, whole: bool) -> None:
    with inked() as seen:
        pdf = tag_pdf(a_tag(complaint=words, left_with=()))
    heading = next(ink for ink in seen if ink.words == "In their words")
    below = next(ink for ink in seen if ink.words.startswith("Left with"))
    lines = {
        round(ink.top, 2) for ink in seen if ink.words and heading.bottom <= ink.top < below.top - 1
    }
    assert len(lines) <= 5
    assert ("… see the book" in words_in(pdf)) is not whole
    assert len(pages_of(pdf)) == 1


@pytest.mark.parametrize(
    "name",
    [
        "W" * 60,
        "Wilhelmina Margarethe Oosterhuizen-Brandvold of Quernhaven XY",
        "m" * 60,
        "Ida " * 15,
    ],
)
def test_a_name_of_sixty_letters_is_printed_whole(name: str) -> None:
    words = words_in(tag_pdf(a_tag(owner=name)))
    assert name.replace(" ", "") in words.replace(" ", "")


def test_a_long_list_goes_on_on_the_back_and_the_front_says_so() -> None:
    things = [f"thing {at}" for at in range(1, 31)]
    pages = pages_of(tag_pdf(a_tag(left_with=things)))
    assert len(pages) == 2
    assert "goes on: 1 of 2" in pages[0]
    assert pages[1].startswith("M-014 Left with it – continued")
    assert [thing for thing in things if f"{thing} " not in " ".join(pages) + " "] == []


def test_nothing_left_with_it_is_said() -> None:
    assert "Nothing but the machine." in words_in(tag_pdf(a_tag(left_with=["", " "])))


@pytest.mark.parametrize("number", ["M-" + "1" * 11, "M-" + "1" * 40])
def test_a_number_that_would_not_be_large_is_refused(number: str) -> None:
    with pytest.raises(OilchartError, match="a tag takes 1 to 12"):
        a_tag(machine=number)


@pytest.mark.parametrize("number", ["M-123456789", "M-1234567890"])
def test_a_number_is_never_cut(number: str) -> None:
    assert number in words_in(tag_pdf(a_tag(machine=number))).replace(" ", "")


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_neither_stop_a_tag_nor_run_over_its_edge(words: str) -> None:
    shop = replace(SHOP, name=words, phone=words)
    with inked() as seen:
        tag_pdf(a_tag(owner=words, model=words, complaint=words, left_with=(words,) * 9, shop=shop))
    assert [ink for ink in seen if not ink.within(3.7)] == []


def test_the_faces_are_embedded_and_the_same_tag_gives_the_same_bytes() -> None:
    assert embedded_faces(tag_pdf(a_tag())) == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
    assert tag_pdf(a_tag()) == tag_pdf(a_tag())
    assert set(LEFT_WITH) < set(tag_words(a_tag()))
