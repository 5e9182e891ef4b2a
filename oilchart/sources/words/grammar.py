"""The table of rules by which an owner's words are read, and how it is printed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from oilchart.sources.words import quantities, statements
from oilchart.sources.words.joining import phrase
from oilchart.sources.words.parser import Rule
from oilchart.sources.words.vocabulary import KINDS

RULES: tuple[Rule, ...] = (
    phrase,
    statements.statement,
    # use
    statements.rate,
    statements.regular,
    statements.sittings,
    statements.none,
    statements.thread,
    statements.work,
    statements.total,
    statements.unused,
    statements.meter,
    # when
    statements.idle,
    statements.rest,
    statements.away,
    statements.no_rests,
    statements.season,
    statements.no_seasons,
    # habits
    statements.zigzag,
    statements.pace,
    statements.oiling,
    # what they are made of
    quantities.hours,
    quantities.number,
    quantities.amount,
    quantities.often,
    quantities.every,
    quantities.piece,
    quantities.share,
    quantities.fraction,
    quantities.times,
    quantities.since,
    quantities.last,
    quantities.day,
    quantities.coming,
    quantities.through,
    quantities.months,
)
_NAME_WIDTH = 10
_LINE_WIDTH = 76  # with the indent of a help text, a terminal of 80
_BREAK = re.compile(r" (?=[|(\[{])|(?<=,) ")  # before an option or a bracket, after a comma


def written_grammar(rules: Iterable[Rule] = RULES) -> str:
    """The rules as they are printed, a line each or more, and below them the kinds of tokens."""
    lines = [
        line for rule in rules for line in _lines(f"{rule.name:{_NAME_WIDTH}} =", rule.pattern)
    ]
    for kind in KINDS.values():
        lines += _lines(f"{kind.name:{_NAME_WIDTH}} :", kind.means)
    return "\n".join(lines)


def written_examples(rules: Iterable[Rule] = RULES) -> str:
    """Phrases that the rules read, by the rule's name."""
    return "\n".join(
        line
        for rule in rules
        if rule.examples
        for line in _lines(f"{rule.name:{_NAME_WIDTH}}  ", " | ".join(rule.examples))
    )


def _lines(start: str, text: str) -> Iterator[str]:
    """A text after its start, broken as often as it is too wide."""
    line = start
    for part in _BREAK.split(text):
        if len(f"{line} {part}") > _LINE_WIDTH:
            yield line
            line = " " * len(start)
        line = f"{line} {part}"
    yield line
