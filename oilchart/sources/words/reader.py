"""The owner's words, a little grammar of plain English, read into a report of use.

The rules stand in `grammar.py`. "none" is a rate of 0 hours. A rest of months comes back every
year, a dated one does not; "A to B" includes B, "until D" excludes D. Works are added up; otherwise
two statements of one kind in a phrase contradict each other.
"""

from __future__ import annotations

from datetime import date
from functools import cache

from oilchart import bounds
from oilchart.core.use.report import Report
from oilchart.errors import UnreadableWords, one_line
from oilchart.sources.words.grammar import RULES
from oilchart.sources.words.parser import Grammar
from oilchart.sources.words.phrase import EXAMPLES, NO_TERMS, Terms, phrase_of


def read_report(words: str, said: date, terms: Terms = NO_TERMS) -> Report:
    """Read what an owner said on a day.

    Raises:
        UnreadableWords: names the place, what was expected there, and three examples.
    """
    plain = one_line(words)
    if not plain.strip("; "):
        raise UnreadableWords(f'use: nothing was said; write it like "{EXAMPLES[0]}", or "none"')
    if len(plain) > bounds.PHRASE_LETTERS:
        raise UnreadableWords(
            f"use: too long: {len(plain)} letters; say it in at most {bounds.PHRASE_LETTERS}"
        )
    report: Report = _grammar().read(phrase_of(plain, said, terms))
    return report


@cache
def _grammar() -> Grammar:
    """Made ready with the first phrase: most commands read none."""
    return Grammar(RULES)
