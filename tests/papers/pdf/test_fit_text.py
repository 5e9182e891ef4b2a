"""Words that are cut end where no letter more would fit, and are measured few times for it."""

from __future__ import annotations

import pytest
from reportlab.lib.units import mm

from oilchart.papers.pdf import fit_text
from oilchart.papers.pdf.fit_text import MORE, short
from oilchart.papers.pdf.fonts import Run, broken, text_width

WORDS = ("many words " * 30, "W" * 300, "i" * 300, "a b  c " * 50, "Łucja Wierzbicka-" * 20)
WIDE = 40.0  # millimetres


@pytest.mark.parametrize("words", WORDS)
def test_words_on_one_line_are_cut_where_no_letter_more_would_fit(words: str) -> None:
    text = " ".join(words.split())
    by_trying = next(
        text[:length].rstrip()
        for length in range(len(text), 0, -1)
        if text_width(text[:length].rstrip() + MORE, 12) <= WIDE * mm
    )
    assert short(words, 12, WIDE) == by_trying + MORE


def test_where_not_even_a_letter_fits_the_mark_stands_alone() -> None:
    assert short("Wide", 12, 1.0) == MORE


@pytest.mark.parametrize("word", ["W" * 300, "i" * 300])
def test_a_word_is_cut_where_no_letter_more_would_fit_on_its_line(word: str) -> None:
    lines = ["".join(each.text for each in line).rstrip() for line in broken([Run(word)], 12, 113)]
    assert "".join(lines) == word
    assert len(lines) > 4
    one = text_width(word[0], 12)
    assert all(text_width(line, 12) <= 113 < text_width(line, 12) + one for line in lines[:-1])


def test_a_long_text_is_measured_few_times(monkeypatch: pytest.MonkeyPatch) -> None:
    measured: list[str] = []

    def noted(text: str, size: float, *, bold: bool = False) -> float:
        measured.append(text)
        return text_width(text, size, bold=bold)

    monkeypatch.setattr(fit_text, "text_width", noted)
    short("many words " * 300, 12, WIDE)
    assert len(measured) < 20
