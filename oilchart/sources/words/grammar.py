"""The table of rules by which an owner's words are read, and how it is printed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from oilchart.sources.words import habits, quantities, seasons
from oilchart.sources.words.parser import Rule
from oilchart.sources.words.vocabulary import KINDS

# what says something by itself, or together with others in any order
OF_USE = (
    quantities.duration,
    quantities.sittings,
    quantities.times,
    quantities.regular,
    quantities.every,
    quantities.thread,
    quantities.work,
    quantities.odd,
    quantities.altogether,
    quantities.all_day,
    quantities.stitching,
    quantities.spell,
    quantities.less,
    quantities.past,
    habits.compared,
    habits.same,
    habits.changed,
    seasons.season,
    seasons.otherwise,
    seasons.since,
    seasons.nothing,
    quantities.bare,
    quantities.around,
)
BY_ITSELF = (
    seasons.unused,
    seasons.long,
    seasons.idle,
    seasons.only_in,
    seasons.no_rests,
    seasons.rest,
    seasons.away,
    seasons.busy,
    seasons.uneven,
    seasons.no_seasons,
    seasons.some_season,
    seasons.until_when,
    seasons.last_period,
    seasons.since_when,
    seasons.idle_when,
    quantities.likely,
    habits.zigzag,
    habits.straight,
    habits.pace,
    habits.oiling,
    habits.meter,
    habits.agreed,
)
PARTS = (
    quantities.time,
    quantities.hour,
    quantities.number,
    quantities.amount,
    quantities.count,
    quantities.period,
    quantities.every_time,
    quantities.occasion,
    quantities.little,
    seasons.months,
    seasons.stretch,
    seasons.day,
    seasons.coming,
    seasons.for_long,
    seasons.for_ahead,
)
FACTS = (*OF_USE, *BY_ITSELF)
RULES: tuple[Rule, ...] = (*FACTS, *PARTS)
HOW_THEY_JOIN = (
    "How long, how often, of what and when are said in any order; the second of a kind begins "
    'anew. Marks and "and" change nothing.'
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
