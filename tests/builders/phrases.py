"""Draws phrases from the rules by which an owner's words are read, by their written patterns."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from oilchart.sources.words.notation import Form, Pattern, pattern_of
from oilchart.sources.words.parser import ROOT, Rule
from oilchart.sources.words.vocabulary import KINDS

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
        return " ".join(self._words(Pattern(Form.RULE, ROOT), through=True))

    def _leads(self, pattern: Pattern) -> bool:
        """Whether a pattern can go through the rule."""
        if pattern.form is Form.RULE:
            name = pattern.text
            return name == self._through or self._leads(self._patterns[name])
        return any(self._leads(part) for part in pattern.parts)

    def _words(self, pattern: Pattern, *, through: bool) -> list[str]:
        """What fits a pattern, and goes through the rule if it is to."""
        leading = [part for part in pattern.parts if through and self._leads(part)]
        match pattern.form:
            case Form.WORD:
                return [pattern.text]
            case Form.KIND:
                kind = pattern.text
                return [self._random.choice(SAMPLES.get(kind) or KINDS[kind].words)]
            case Form.RULE:
                inside = self._patterns[pattern.text]
                return self._words(inside, through=through and pattern.text != self._through)
            case Form.SEQUENCE:
                chosen = self._random.choice(leading) if leading else None
                parts = [(part, part is chosen) for part in pattern.parts]
            case Form.CHOICE:
                parts = [(self._random.choice(leading or pattern.parts), through)]
            case Form.OPTIONAL:
                parts = [(pattern.parts[0], through)] * max(through, self._random.randint(0, 1))
            case Form.REPEATED:
                times = max(through, self._random.randint(0, MOST_REPEATED))
                parts = [(pattern.parts[0], through)] * times
        return [word for part, leads in parts for word in self._words(part, through=leads)]
