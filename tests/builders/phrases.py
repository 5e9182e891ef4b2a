"""Draws phrases from the words that owners are understood by, in any order."""

from __future__ import annotations

from random import Random

from oilchart.sources.words.phrase import Terms

MARKS = (",", ";", ".", "-", "/", "%", "x")
FIGURES = ("0", "1", "2", "5", "12", "45", "1.5", "1,5", "1½", "3/4", "2026", "1,500", "9 to 5")
DAYS = ("2026-03-01", "25 Dec", "Easter", "last Friday", "2026-02-30", "9999-12-31", "0001-01-01")
LONGEST = 14  # words


def drawn_phrase(chance: Random, known: list[str], literals: list[str], said: list[str]) -> str:
    """One phrase of words that are known, of those that stand in rules, of figures and days; or of
    pieces of what was said."""
    if chance.random() < 0.5:
        return " ".join(_piece(chance, chance.choice(said)) for _ in range(chance.randint(1, 4)))
    kinds = (known, known, literals, literals, FIGURES, FIGURES, DAYS, MARKS)
    return " ".join(chance.choice(chance.choice(kinds)) for _ in range(chance.randint(1, LONGEST)))


def _piece(chance: Random, words: str) -> str:
    """A few words of a phrase that follow one another."""
    all_words = words.split()
    first = chance.randrange(len(all_words))
    return " ".join(all_words[first : first + chance.randint(1, 5)])


def known_words(terms: Terms) -> list[str]:
    """All words and groups of words of a vocabulary, in their order."""
    return sorted(" ".join(key) for key in terms.vocabulary())
