"""The owner's words, read into a report of use; what is missing becomes a question.

Words are tokens with types first, then facts by the rules of `grammar.py`, then facts that belong
together (`grouping.py`), what those come to (`saying.py`), and the report (`joining.py`). Nothing
is guessed between two readings. "A to B" includes B, "until D" excludes D.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from typing import get_args

from oilchart import bounds
from oilchart.core.use.report import Report
from oilchart.errors import UnclearWords, UnreadableWords, one_line
from oilchart.sources.words.facts import ByItself, Fact, Nothing, OfUse, Unclear
from oilchart.sources.words.grammar import FACTS, RULES
from oilchart.sources.words.grouping import grouped
from oilchart.sources.words.joining import Question, joined
from oilchart.sources.words.parser import FAILED, Grammar, PhraseReading
from oilchart.sources.words.phrase import (
    EXAMPLES,
    NO_TERMS,
    PASSED_OVER,
    Phrase,
    Terms,
    phrase_of,
)
from oilchart.sources.words.saying import said as said_by

# before words that are not known, these make an aside of them: "for my grandchildren"
ASIDE = (
    "for", "with", "in", "at", "on", "from", "by", "because", "cos", "when", "if", "while", "as",
    "of", "to", "do", "make", "makes", "making", "does", "sew", "sews",
)  # fmt: skip
MOST_READ = 100 * bounds.PHRASE_LETTERS  # letters, blanks too, that are looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What was made of an owner's words.

    Args:
        report: what is clear of them.
        questions: what is to be asked before they are clear; none where they are.
        left_aside: words that say nothing of how much, as they were said.
    """

    phrase: Phrase
    report: Report
    questions: tuple[Question, ...]
    left_aside: tuple[str, ...] = ()

    @property
    def clear(self) -> Report:
        """What is understood of them.

        Raises:
            UnclearWords: something is to be asked first.
        """
        if not self.questions:
            return self.report
        first = self.questions[0]
        refusal = self.phrase.refusal(first.at, first.text)
        raise UnclearWords(str(refusal), refusal.below, first.text, first.instead)

    @property
    def as_said(self) -> Report:
        """What is clear of them, with what is still to be asked."""
        if not self.questions:
            return self.report
        return replace(self.report, unclear=self.questions[0].text)


def read_report(words: str, said: date, terms: Terms = NO_TERMS) -> Report:
    """Read what an owner said on a day.

    Raises:
        UnclearWords: names the place, what is to be asked there, and three examples.
        UnreadableWords: they cannot be, whatever is asked.
    """
    return hear(words, said, terms).clear


def report_as_said(words: str, said: date, terms: Terms = NO_TERMS) -> Report:
    """What is clear of an owner's words, and the words as they were said, whatever they are.

    Raises:
        UnreadableWords: nothing was said, or far too much.
    """
    plain = _on_one_line(words)
    try:
        return hear(words, said, terms).as_said
    except UnreadableWords as refused:
        why = str(refused).partition(f'"{plain}": ')[2] or str(refused)
        return Report(said=said, words=plain, unclear=why)


def hear(words: str, said: date, terms: Terms = NO_TERMS) -> Heard:
    """Read what an owner said on a day, as far as it is clear.

    Raises:
        UnreadableWords: nothing was said, far too much, or what contradicts itself or cannot be.
    """
    return heard_of(phrase_of(_on_one_line(words), said, terms))


def _on_one_line(words: str) -> str:
    """Words without breaks and needless blanks.

    Raises:
        UnreadableWords: there are none, or far too many.
    """
    if len(words) > MOST_READ:
        raise UnreadableWords(
            f"use: too long: {len(words)} letters; say it in at most {bounds.PHRASE_LETTERS}"
        )
    plain = one_line(words)
    if not plain.strip("; "):
        raise UnreadableWords(f'use: nothing was said; write it like "{EXAMPLES[0]}", or "none"')
    if len(plain) > bounds.PHRASE_LETTERS:
        raise UnreadableWords(
            f"use: too long: {len(plain)} letters; say it in at most {bounds.PHRASE_LETTERS}"
        )
    return plain


def heard_of(phrase: Phrase) -> Heard:
    """What is made of a phrase."""
    return heard_through(_grammar(), phrase)


def heard_through(grammar: Grammar, phrase: Phrase) -> Heard:
    """What is made of a phrase by a table of rules."""
    heard = _listen(grammar, phrase)
    by_itself = [(at, fact) for at, fact in heard.facts if isinstance(fact, get_args(ByItself))]
    of_use = [(at, fact) for at, fact in heard.facts if isinstance(fact, get_args(OfUse))]
    kinds = tuple({type(fact) for _, fact in heard.facts})
    by_itself = [
        (at, fact)
        for at, fact in by_itself
        if not (isinstance(fact, Unclear) and fact.answered_by in kinds)
    ]
    report, missing = joined(phrase, by_itself, said_by(phrase, grouped(of_use)))
    no_days = [at for at, token in enumerate(phrase.tokens) if token.wrong]
    first = [_not_understood(phrase, no_days[0], False)] if no_days else heard.questions[:1]
    questions = first + missing
    is_none = any(isinstance(fact, Nothing) for _, fact in of_use)
    if heard.aside and is_none:
        questions.append(Question(at=0, text="since when, and from now on?"))
        report = replace(report, rate=None)
    if not questions and report == Report(said=phrase.said, words=phrase.words):
        questions.append(Question(at=0, text="how often do they sit down to it, and how long?"))
    return Heard(
        phrase=phrase,
        report=report,
        questions=tuple(
            sorted(questions, key=lambda question: (not question.is_first, question.at))
        ),
        left_aside=tuple(heard.aside),
    )


@dataclass(slots=True)
class _Listening:
    """The facts of a phrase as they are met, each with the token it begins with.

    Args:
        questions: for words that are not understood.
        aside: words that are left aside.
        begun: where words began that may lead into an aside.
        clause: how many facts there were before the clause that is being read.
        is_unclear: some of its words are not understood.
    """

    phrase: Phrase
    facts: list[tuple[int, Fact]] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    aside: list[str] = field(default_factory=list)
    begun: int | None = None
    clause: int = 0
    is_unclear: bool = False

    def end_clause(self) -> None:
        """Drop what was understood of a clause of which some words were not: they may turn it into
        its opposite."""
        if self.is_unclear:
            del self.facts[self.clause :]
        self.clause, self.is_unclear, self.begun = len(self.facts), False, None


def _listen(grammar: Grammar, phrase: Phrase) -> _Listening:
    """The facts of a phrase, and what else was met."""
    reading = PhraseReading(phrase)
    heard = _Listening(phrase)
    at, last = 0, len(phrase.tokens) - 1
    while at < last:
        end, fact = grammar.fact_at(reading, at)
        if end == FAILED:
            at = _pass(heard, grammar, at)
            continue
        heard.facts += [(at, each) for each in (fact if isinstance(fact, tuple) else (fact,))]
        at, heard.begun = end, None
    heard.end_clause()
    return heard


def _pass(heard: _Listening, grammar: Grammar, at: int) -> int:
    """Pass over what says nothing, leave aside what is told beside it, and ask about what is not
    understood.

    Returns:
        The token after it.
    """
    token = heard.phrase.tokens[at]
    is_unknown = token.is_unknown and token.text not in grammar.literals
    if token.is_mark or token.text == "but":
        heard.end_clause()
    elif token.text in ASIDE or (token.text in ("a", "an") and heard.begun is not None):
        heard.begun = at if heard.begun is None else heard.begun
    elif is_unknown and heard.begun is not None:
        end = _end_of_aside(heard.phrase, grammar, at)
        words = heard.phrase.tokens[heard.begun : end]
        heard.aside.append(" ".join(each.shown for each in words))
        heard.begun = None
        return end
    elif token.text not in ("a", "an") and not any(kind in token.values for kind in PASSED_OVER):
        heard.questions.append(_not_understood(heard.phrase, at, is_unknown))
        heard.is_unclear = True
    return at + 1


def _end_of_aside(phrase: Phrase, grammar: Grammar, at: int) -> int:
    """The token after the unknown words from one on, and what joins them."""
    end = at
    while phrase.tokens[at].text not in grammar.literals and any(
        kind in phrase.tokens[at].values for kind in ("NOUN", *PASSED_OVER)
    ):
        end = at + 1 if phrase.tokens[at].is_unknown else end
        at += 1
    return end


def _not_understood(phrase: Phrase, at: int, is_unknown: bool) -> Question:
    """The question about a word that is none of those that are known, or stands where it says
    nothing."""
    token = phrase.tokens[at]
    if token.wrong:
        return Question(at=at, text=token.wrong)
    if token.text == "-":
        return Question(at=at, text="is a number below 0; say how many hours it was, 0 or more")
    near = phrase.near(token.text) if is_unknown else ""
    text = f'"{token.shown}" is not understood'
    if near:
        instead = phrase.with_word(at, near)
        return Question(at=at, text=f"{text}: {near}?", is_first=True, instead=instead)
    return Question(at=at, text=text, is_first=True)


@cache
def _grammar() -> Grammar:
    """Made ready with the first phrase: most commands read none."""
    return Grammar(RULES, [rule.name for rule in FACTS])
