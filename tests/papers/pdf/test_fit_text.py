"""Words of any length kept within their room: cut where they must be, and with no more work a
letter in a long text than in a short one."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics

from oilchart.papers.letter.pdf import LETTER_SHEETS, address_lines
from oilchart.papers.pdf.fit_text import MORE, capped, flowing, largest_fitting, short
from oilchart.papers.pdf.fonts import Run, broken, clean, text_width
from tests.builders.papers.letter import a_letter
from tests.counts import counted

SIZE = 10.0
WIDE = 60.0  # millimetres
SHORT, LONG = 500, 2_000  # letters
KINDS = {
    "a word": "abcdefghijklmnopqrstuvwxyz",
    "words": "oil the race and the hook ",
    "a Hebrew word": "אבגדהוזחטיכלמנסעפצקרשת",
    "an Arabic word": "سلامبيتدار",
    "letters with a mark": "a\u0331",
    "letters that no face has": "한지민",
}
# what is done with a text of any length
WAYS: dict[str, Callable[[str], object]] = {
    "broken": lambda text: broken([Run(text)], SIZE, WIDE * mm),
    "flowing": lambda text: flowing([Run(text)], SIZE, WIDE),
    "capped": lambda text: capped([Run(text)], SIZE, WIDE, 5),
    "largest fitting": lambda text: largest_fitting(text, [(20.0, 1), (14.0, 2), (10, 2)], WIDE),
    "short": lambda text: short(text, SIZE, WIDE),
    "an address of one line": lambda text: address_lines(
        a_letter(address=(text,)), LETTER_SHEETS["a4"]
    ),
    "an address of many lines": lambda text: address_lines(
        a_letter(address=tuple(text[at : at + 5] for at in range(0, len(text), 5))),
        LETTER_SHEETS["a4"],
    ),
}


AWKWARD = ("many words " * 30, "W" * 300, "i" * 300, "a b  c " * 50, "Łucja Wierzbicka-" * 20)


@pytest.mark.parametrize("words", AWKWARD)
def test_words_on_one_line_are_cut_where_no_letter_more_would_fit(words: str) -> None:
    text = " ".join(words.split())
    by_trying = next(
        text[:length].rstrip()
        for length in range(len(text), 0, -1)
        if text_width(text[:length].rstrip() + MORE, 12) <= 40.0 * mm
    )
    assert short(words, 12, 40.0) == by_trying + MORE


def test_where_not_even_a_letter_fits_the_mark_stands_alone() -> None:
    assert short("Wide", 12, 1.0) == MORE


@pytest.mark.parametrize("word", ["W" * 300, "i" * 300])
def test_a_word_is_cut_where_no_letter_more_would_fit_on_its_line(word: str) -> None:
    lines = ["".join(each.text for each in line).rstrip() for line in broken([Run(word)], 12, 113)]
    assert "".join(lines) == word
    assert len(lines) > 4
    one = text_width(word[0], 12)
    assert all(text_width(line, 12) <= 113 < text_width(line, 12) + one for line in lines[:-1])


@contextmanager
def measuring() -> Iterator[list[int]]:
    """How many letters are measured at a time meanwhile."""
    measure = pdfmetrics.stringWidth
    letters: list[int] = []

    def counting(text: str, *args: Any) -> float:
        letters.append(len(text))
        return float(measure(text, *args))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pdfmetrics, "stringWidth", counting)
        yield letters


def a_text(kind: str, letters: int) -> str:
    """A text of so many letters, unlike that of any other length."""
    text = f"{letters}{KINDS[kind] * letters}"[:letters]
    return clean(text)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("kind", KINDS)
def test_no_more_is_measured_a_letter_of_a_long_text_than_of_a_short_one(
    kind: str, way: str
) -> None:
    a_letter_takes = []
    for letters in (SHORT, LONG):
        text = a_text(kind, letters)
        with measuring() as measured:
            WAYS[way](text)
        a_letter_takes.append(sum(measured) / len(text))
    assert a_letter_takes[1] <= 1.2 * a_letter_takes[0] + 1


def test_a_block_of_five_lines_measures_no_more_of_a_text_than_it_shows() -> None:
    text = a_text("a word", 10 * LONG)
    takes = []
    for many in (LONG, 10 * LONG):
        with measuring() as measured:
            capped([Run(text[:many])], SIZE, WIDE, 5)
        takes.append(sum(measured))
    assert takes[0] == takes[1] > 0


def cut_by_hand(word: str, room: float) -> list[str]:
    """A word in pieces by the definition: as many letters as fit, at least one, behind the last
    hyphen among them if there is one, and no mark parted from its letter while that can be."""
    pieces = []
    while word:
        fitting = [n for n in range(1, len(word) + 1) if text_width(word[:n], SIZE) <= room]
        most = max(fitting, default=1)
        if most < len(word):
            whole = [n for n in range(1, most + 1) if not unicodedata.combining(word[n])]
            most = max(whole, default=most)
            most = word.rfind("-", 0, most) + 1 or most
        pieces.append(word[:most])
        word = word[most:]
    return pieces


@counted
@given(
    st.lists(
        st.sampled_from([*"abcilmwWM.-", "q\u0323", "x\u0331\u0323", "한"]),
        min_size=1,
        max_size=150,
    ).map("".join),
    st.floats(2, 400),
)
def test_a_word_is_cut_where_the_definition_says(word: str, room: float) -> None:
    lines = broken([Run(word)], SIZE, room)
    assert [piece.text.rstrip() for line in lines for piece in line] == cut_by_hand(word, room)


@counted
@given(
    st.text(st.sampled_from([*"abcilmwWM.- ", "\u0323"]), max_size=150),
    st.floats(0.5, 60),
    st.booleans(),
)
def test_a_short_text_is_the_longest_beginning_with_a_mark_that_fits(
    words: str, wide: float, bold: bool
) -> None:
    text = clean(words)
    shown = short(words, SIZE, wide, bold=bold)
    if text_width(text, SIZE, bold=bold) <= wide * mm:
        assert shown == text
        return
    assert shown.endswith(MORE) and text.startswith(shown.removesuffix(MORE))
    assert text_width(shown, SIZE, bold=bold) <= wide * mm or shown == MORE
    for count in range(len(shown), len(text)):
        longer = text[:count].rstrip()
        if len(longer) >= len(shown) and not unicodedata.combining(text[count]):
            assert text_width(longer + MORE, SIZE, bold=bold) > wide * mm


@pytest.mark.parametrize("room", [6, 7, 11, 30, 100])
def test_a_letter_keeps_its_marks_when_a_word_is_cut(room: float) -> None:
    word = "x\u0331\u0323" * 60
    lines = broken([Run(word)], SIZE, room)
    assert len(lines) > 1
    assert all(line[0].text[0] == "x" for line in lines)
    assert "".join(piece.text for line in lines for piece in line).rstrip() == word


def test_lines_that_are_not_wanted_are_not_broken_and_those_that_are_stay_as_they_are() -> None:
    text = a_text("words", LONG)
    whole = broken([Run(text)], SIZE, WIDE * mm)
    for most in (1, 2, 7, len(whole), len(whole) + 5):
        assert broken([Run(text)], SIZE, WIDE * mm, most) == whole[:most]
