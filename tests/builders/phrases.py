"""Draws phrases from the rules by which an owner's words are read, by their written patterns."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from oilchart.sources.words.grammar import ROOT, Rule
from oilchart.sources.words.notation import (
    Choice,
    OfKind,
    OfRule,
    Optional,
    Pattern,
    Repeated,
    Sequence,
    Word,
    pattern_of,
)
from oilchart.sources.words.phrase import KINDS

MOST_REPEATED = 2
# of the kinds that are known by their form
SAMPLES = {
    "NUMBER": ("1", "2", "2.5", "3", "5", "8", "45"),
    "DATE": ("2024-02-29", "2026-03-01", "2026-11-01", "2027-01-10"),
    "YEAR": ("2024", "2025"),
    "NAME": ("quilt", "dresses", "sail"),
    "WORD": ("cover", "covers"),
}


class Draw:
    """Phrases that go through one rule.

    Args:
        rules: of the whole grammar.
        through: the name of the rule.
        seed: the same gives the same phrases.
    """

    def __init__(self, rules: Iterable[Rule], through: str, seed: int = 1) -> None:
        self._patterns = {rule.name: pattern_of(rule.pattern) for rule in rules}
        self._through = through
        self._random = Random(seed)

    def phrase(self) -> str:
        """One phrase."""
        return " ".join(self._words(OfRule(ROOT), through=True))

    def _leads(self, pattern: Pattern) -> bool:
        """Whether a pattern can go through the rule."""
        match pattern:
            case OfRule(rule=rule):
                return rule == self._through or self._leads(self._patterns[rule])
            case Sequence(parts=parts):
                return any(self._leads(part) for part in parts)
            case Choice(options=options):
                return any(self._leads(option) for option in options)
            case Optional(part=part) | Repeated(part=part):
                return self._leads(part)
        return False

    def _words(self, pattern: Pattern, *, through: bool) -> list[str]:
        """What fits a pattern, and goes through the rule if it is to."""
        match pattern:
            case Word(text=text):
                return [text]
            case OfKind(kind=kind):
                return [self._random.choice(SAMPLES.get(kind) or KINDS[kind].words)]
            case OfRule(rule=rule):
                inside = self._patterns[rule]
                return self._words(inside, through=through and rule != self._through)
            case Sequence(parts=parts):
                leading = [at for at, part in enumerate(parts) if through and self._leads(part)]
                chosen = self._random.choice(leading) if leading else None
                return [
                    word
                    for at, part in enumerate(parts)
                    for word in self._words(part, through=at == chosen)
                ]
            case Choice(options=options):
                fitting = [option for option in options if not through or self._leads(option)]
                return self._words(self._random.choice(fitting), through=through)
            case Optional(part=part):
                times = 1 if through else self._random.randint(0, 1)
            case Repeated(part=part):
                times = max(through, self._random.randint(0, MOST_REPEATED))
        return [word for _ in range(times) for word in self._words(part, through=through)]
