"""Reads phrases by a table of named rules, each as it is written down.

Each rule is tried at most once at each token and what came of it is kept, and no rule leads back to
itself, so the work grows no faster than the phrase. Of several options the first that fits is
taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, NoReturn

from oilchart.sources.words.notation import Form, Pattern, pattern_of, words_in
from oilchart.sources.words.phrase import Phrase

NamedValues = list[tuple[str, Any]]  # names and values of what was found, in their order

FAILED = -1
UNKNOWN = "NOUN"  # the kind of words that are not known


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of the grammar.

    Args:
        name: by which other rules name it.
        pattern: its right side, as it is printed.
        read: gives the value of what was found.
        examples: whole phrases, for statements.
    """

    name: str
    pattern: str
    read: Callable[[Match], Any]
    examples: tuple[str, ...] = ()


def rule(pattern: str, *, examples: Iterable[str] = ()) -> Callable[[Callable[[Match], Any]], Rule]:
    """Make a function the rule of its name, which reads what fits the pattern."""

    def named(read: Callable[[Match], Any]) -> Rule:
        return Rule(
            name=read.__name__,
            pattern=pattern,
            read=read,
            examples=tuple(examples),
        )

    return named


@dataclass(frozen=True, slots=True)
class Match:
    """What a rule found: the values of its parts by the names they have in its pattern.

    Args:
        at: the token it begins with.
        end: the one after it.
        found: words and tokens of a kind as small letters, other rules as what they read.
    """

    phrase: Phrase
    at: int
    end: int
    found: NamedValues

    def get(self, name: str) -> Any:
        """The first part of a name; None where there is none."""
        return next((value for each, value in self.found if each == name), None)

    def all(self, name: str) -> list[Any]:
        """Every part of a name, in the order they stand in."""
        return [value for each, value in self.found if each == name]

    def has(self, name: str) -> bool:
        """Whether there is a part of a name."""
        return any(each == name for each, _ in self.found)

    def has_any(self, *names: str) -> bool:
        """Whether there is a part of any of some names."""
        return any(map(self.has, names))

    def written(self) -> str:
        """The words that were found."""
        return " ".join(token.text for token in self.phrase.tokens[self.at : self.end])

    def refuse(self, wrong: str) -> NoReturn:
        """Say that what the rule found can be read but cannot be.

        Raises:
            UnreadableWords: always.
        """
        self.phrase.refuse(self.at, wrong)


class PhraseReading:
    """One phrase being read."""

    def __init__(self, phrase: Phrase) -> None:
        self.phrase = phrase
        self.tokens = phrase.tokens
        self.tried: dict[tuple[str, int], tuple[int, Any]] = {}  # by rule and token: end, value


Matcher = Callable[[PhraseReading, int, NamedValues], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """A pattern made ready.

    Args:
        match: gives the token after the part that begins at a token, or FAILED, and adds what was
            found.
        first: types of tokens it can begin with.
        empty: it may find nothing and still fit.
    """

    match: Matcher
    first: frozenset[str]
    empty: bool = False


class Grammar:
    """A table of rules, ready to read phrases.

    Attributes:
        literals: words that stand in a rule as they are; none of them is one that is not known.

    Args:
        facts: the names of those that say something by themselves; where several fit, the one that
            reads farthest is taken, of equal ones the first.
    """

    def __init__(self, rules: Iterable[Rule], facts: Iterable[str]) -> None:
        self._rules = {rule.name: rule for rule in rules}
        self.literals = frozenset(
            word for rule in self._rules.values() for word in words_in(pattern_of(rule.pattern))
        )
        self._parts: dict[str, _Part] = {}
        self._facts = [self._of_rule(name) for name in facts if name in self._rules]

    def fact_at(self, reading: PhraseReading, at: int) -> tuple[int, Any]:
        """The fact that begins at a token: the token after it, and what it says; FAILED where none
        does."""
        best: tuple[int, Any] = (FAILED, None)
        token = reading.tokens[at]
        for part in self._facts:
            if part.empty or token.text in part.first or not part.first.isdisjoint(token.values):
                found: NamedValues = []
                end = part.match(reading, at, found)
                if end > max(best[0], at):
                    best = (end, found[0][1])
        return best

    def _part(self, pattern: Pattern) -> _Part:
        match pattern.form:
            case Form.WORD:
                return _Part(match=_word(pattern.text), first=frozenset((pattern.text,)))
            case Form.KIND:
                return _Part(match=self._of_kind(pattern.text), first=frozenset((pattern.text,)))
            case Form.RULE:
                return self._of_rule(pattern.text)
        parts = [self._part(part) for part in pattern.parts]
        match pattern.form:
            case Form.SEQUENCE:
                return _sequence(parts)
            case Form.CHOICE:
                return _choice(parts)
        again = pattern.form is Form.REPEATED
        return _Part(match=_optional(parts[0].match, again), first=parts[0].first, empty=True)

    def _of_kind(self, kind: str) -> Matcher:
        literals = self.literals if kind == UNKNOWN else frozenset()

        def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
            token = reading.tokens[at]
            if kind not in token.values or token.text in literals:
                return FAILED
            found.append((kind, token.values[kind]))
            return at + 1

        return match

    def _of_rule(self, name: str) -> _Part:
        if name not in self._parts:
            rule = self._rules.get(name)
            if rule is None:  # a table without it never finds it
                return _Part(match=lambda reading, at, found: FAILED, first=frozenset())
            body = self._part(pattern_of(rule.pattern))
            self._parts[name] = _Part(
                match=_named(rule, body.match), first=body.first, empty=body.empty
            )
        return self._parts[name]


def _word(text: str) -> Matcher:
    def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
        if reading.tokens[at].text != text:
            return FAILED
        found.append((text, text))
        return at + 1

    return match


def _sequence(parts: list[_Part]) -> _Part:
    matchers = [part.match for part in parts]

    def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
        before = len(found)
        for matcher in matchers:
            at = matcher(reading, at, found)
            if at == FAILED:
                del found[before:]
                return FAILED
        return at

    first: frozenset[str] = frozenset()
    for part in parts:
        first |= part.first
        if not part.empty:
            break
    return _Part(match=match, first=first, empty=all(part.empty for part in parts))


def _choice(options: list[_Part]) -> _Part:
    def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
        token = reading.tokens[at]
        for option in options:
            first = option.first
            if option.empty or token.text in first or not first.isdisjoint(token.values):
                end = option.match(reading, at, found)
                if end != FAILED:
                    return end
        return FAILED

    return _Part(
        match=match,
        first=frozenset().union(*(option.first for option in options)),
        empty=any(option.empty for option in options),
    )


def _optional(inner: Matcher, again: bool) -> Matcher:
    def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
        while True:
            end = inner(reading, at, found)
            if end == FAILED:
                return at
            if not again:
                return end
            at = end

    return match


def _named(rule: Rule, body: Matcher) -> Matcher:
    def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
        tried = reading.tried.get((rule.name, at))
        if tried is None:
            inside: NamedValues = []
            end = body(reading, at, inside)
            value = None if end == FAILED else rule.read(Match(reading.phrase, at, end, inside))
            tried = reading.tried[rule.name, at] = (end, value)
        if tried[0] != FAILED:
            found.append((rule.name, tried[1]))
        return tried[0]

    return match
