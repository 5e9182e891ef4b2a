"""Reads phrases by a table of named rules, each as it is written down.

Each rule is tried at most once at each token and what came of it is kept, and no rule leads back to
itself, so the work grows no faster than the phrase. Of several options the first that fits is
taken. A phrase that does not fit is read again to find how far any rule came and what was expected
there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, NoReturn

from oilchart.sources.words.notation import Form, Pattern, pattern_of
from oilchart.sources.words.phrase import Phrase
from oilchart.sources.words.vocabulary import KINDS, NO_DAY

NamedValues = list[tuple[str, Any]]  # names and values of what was found, in their order

ROOT = "phrase"
FAILED = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of the grammar.

    Args:
        name: by which other rules name it.
        pattern: its right side, as it is printed.
        read: gives the value of what was found.
        expected: said where this was expected and something else stood; what its parts expect if
            left out.
        examples: whole phrases, for statements.
    """

    name: str
    pattern: str
    read: Callable[[Match], Any]
    expected: tuple[str, ...] = ()
    examples: tuple[str, ...] = ()


def rule(
    pattern: str, *, expected: Iterable[str] = (), examples: Iterable[str] = ()
) -> Callable[[Callable[[Match], Any]], Rule]:
    """Make a function the rule of its name, which reads what fits the pattern."""

    def named(read: Callable[[Match], Any]) -> Rule:
        return Rule(
            name=read.__name__,
            pattern=pattern,
            read=read,
            expected=tuple(expected),
            examples=tuple(examples),
        )

    return named


@dataclass(frozen=True, slots=True)
class Match:
    """What a rule found: the values of its parts by the names they have in its pattern.

    Args:
        at: the token it begins with.
        found: words and tokens of a kind as small letters, other rules as what they read.
    """

    phrase: Phrase
    at: int
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

    def refuse(self, wrong: str) -> NoReturn:
        """Say that what the rule found can be read but cannot be.

        Raises:
            UnreadableWords: always.
        """
        self.phrase.refuse(self.at, wrong)


class PhraseReading:
    """One phrase being read.

    Args:
        tracing: note what was expected, for a phrase that does not fit.
    """

    def __init__(self, phrase: Phrase, *, tracing: bool = False) -> None:
        self.phrase = phrase
        self.tokens = phrase.tokens
        self.tracing = tracing
        self.tried: dict[tuple[str, int], tuple[int, Any]] = {}  # by rule and token: end, value
        self.furthest = 0
        self.expected: list[str] = []
        self.kinds_expected: set[str] = set()

    def miss(self, at: int, expected: str) -> int:
        """Note that something else stands at a token."""
        if self.tracing and at >= self.furthest:
            if at > self.furthest:
                self.furthest = at
                self.expected.clear()
                self.kinds_expected.clear()
            self.expected.append(expected)
        return FAILED

    def miss_kind(self, at: int, kind: str) -> int:
        """Note that a token is of another kind."""
        self.miss(at, KINDS[kind].expected)
        if self.tracing and at == self.furthest:
            self.kinds_expected.add(kind)
        return FAILED

    def noted(self, at: int) -> int:
        """How much is noted of a token so far."""
        return len(self.expected) if at == self.furthest else 0

    def say_instead(self, at: int, since: int, expected: tuple[str, ...]) -> None:
        """Say something else for all that was noted of a token since."""
        if self.tracing and at == self.furthest:
            self.expected[since:] = expected


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
    """A table of rules, ready to read phrases."""

    def __init__(self, rules: Iterable[Rule]) -> None:
        self._rules = {rule.name: rule for rule in rules}
        self._parts: dict[str, _Part] = {}
        self._root = self._of_rule(ROOT).match

    def read(self, phrase: Phrase) -> Any:
        """The value of a phrase.

        Raises:
            UnreadableWords: it does not fit; says how far it does and what was expected there.
        """
        found: NamedValues = []
        if self.fits(PhraseReading(phrase), found):
            return found[0][1]
        reading = PhraseReading(phrase, tracing=True)
        self.fits(reading, [])
        _stop(reading)

    def fits(self, reading: PhraseReading, found: NamedValues) -> bool:
        """Whether a phrase is read to its end; its value is added to what was found."""
        end, last = self._root(reading, 0, found), len(reading.tokens) - 1
        if end not in (FAILED, last):
            reading.miss(end, '";" or the end')
        return end == last

    def _part(self, pattern: Pattern) -> _Part:
        match pattern.form:
            case Form.WORD:
                return _Part(match=_word(pattern.text), first=frozenset((pattern.text,)))
            case Form.KIND:
                return _Part(match=_of_kind(pattern.text), first=frozenset((pattern.text,)))
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

    def _of_rule(self, name: str) -> _Part:
        if name not in self._parts:
            rule = self._rules.get(name)
            if rule is None:  # a table without it never finds it
                return _Part(match=lambda reading, at, _: reading.miss(at, name), first=frozenset())
            body = self._part(pattern_of(rule.pattern))
            self._parts[name] = _Part(
                match=_named(rule, body.match), first=body.first, empty=body.empty
            )
        return self._parts[name]


def _word(text: str) -> Matcher:
    def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
        if reading.tokens[at].text != text:
            return reading.miss(at, f'"{text}"')
        found.append((text, text))
        return at + 1

    return match


def _of_kind(kind: str) -> Matcher:
    def match(reading: PhraseReading, at: int, found: NamedValues) -> int:
        token = reading.tokens[at]
        if kind not in token.types:
            return reading.miss_kind(at, kind)
        found.append((kind, token.text))
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
        types = reading.tokens[at].types
        for option in options:
            if reading.tracing or option.empty or not option.first.isdisjoint(types):
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
            noted = reading.noted(at)
            end = inner(reading, at, found)
            if end == FAILED:
                reading.say_instead(at, noted, ())  # it is not missed: what comes after it is
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
            noted = reading.noted(at)
            end = body(reading, at, inside)
            value = None if end == FAILED else rule.read(Match(reading.phrase, at, inside))
            if end == FAILED and rule.expected:
                reading.say_instead(at, noted, rule.expected)
            tried = reading.tried[rule.name, at] = (end, value)
        if tried[0] != FAILED:
            found.append((rule.name, tried[1]))
        return tried[0]

    return match


def _stop(reading: PhraseReading) -> NoReturn:
    """Say what was expected at the token up to which a phrase could be read."""
    token = reading.tokens[reading.furthest]
    if token.text == "-" and "NUMBER" in reading.kinds_expected:
        wrong = "is a number below 0; say how many hours it was, 0 or more"
        reading.phrase.refuse(reading.furthest, wrong)
    expected = list(dict.fromkeys(reading.expected))
    if NO_DAY in token.types and "DATE" in reading.kinds_expected:
        if token.wrong:
            reading.phrase.refuse(reading.furthest, token.wrong)
        expected = ["a day that exists, like 2026-03-01"]
    told = _either(expected)
    if not token.shown:
        reading.phrase.refuse(reading.furthest, f"it ends too soon; expected {told}")
    reading.phrase.refuse(
        reading.furthest, f'"{token.shown}" cannot be read there; expected {told}'
    )


def _either(parts: list[str]) -> str:
    """A, B or C; with a comma before "or" where a part has words that join things itself."""
    if len(parts) == 1:
        return parts[0]
    apart = any(joint in part for part in parts for joint in (",", " and ", " or "))
    return f"{', '.join(parts[:-1])}{',' if apart else ''} or {parts[-1]}"
