"""The grammar that is written down is the grammar that runs: what is drawn from a rule is read, no
rule can be left out, and what is printed is the table."""

from __future__ import annotations

import re
import sys
from datetime import date
from fractions import Fraction
from types import FrameType

import pytest

from oilchart.core.use.bobbin import Bobbin
from oilchart.errors import UnreadableWords
from oilchart.sources.words import parser as module
from oilchart.sources.words.grammar import RULES, written_examples, written_grammar
from oilchart.sources.words.notation import pattern_of
from oilchart.sources.words.parser import Grammar, PhraseReading
from oilchart.sources.words.phrase import Phrase, Terms, phrase_of
from oilchart.sources.words.reader import read_report
from oilchart.sources.words.vocabulary import KINDS
from tests.builders.phrases import Draw
from tests.counts import LEAST, count_of

SAID = date(2026, 11, 25)
TERMS = Terms(
    bobbin=Bobbin(metres=Fraction(60)),
    pieces={
        "quilt": (Fraction(20), Fraction(40)),
        "dress": (Fraction(4), Fraction(8)),
        "sail": (Fraction(2), Fraction(3)),
        "sail cover": (Fraction(12), Fraction(16)),
    },
)
WHOLE = Grammar(RULES)
NOT_OF_THE_GRAMMAR = ("cannot be read there", "it ends too soon")
NAMES = [rule.name for rule in RULES]


def phrase(words: str) -> Phrase:
    return phrase_of(words, SAID, TERMS)


def read_by(grammar: Grammar, words: str) -> tuple[object, str]:
    """What was understood and how hours came about, or the refusal."""
    try:
        report = grammar.read(phrase(words))
    except UnreadableWords as error:
        return None, str(error)
    return report, report.conversion


def drawn(name: str, count: int) -> list[str]:
    """Phrases through a rule that make sense; none of those drawn is refused for its form."""
    draw = Draw(RULES, name)
    found: list[str] = []
    for _ in range(100 * count):
        words = draw.phrase()
        report, refusal = read_by(WHOLE, words)
        if report is not None:
            found.append(words)
        else:
            assert not any(form in refusal for form in NOT_OF_THE_GRAMMAR), refusal
        if len(found) == count:
            return found
    raise AssertionError(f"{name}: only {len(found)} phrases make sense")


@pytest.mark.parametrize("name", NAMES)
def test_what_is_drawn_from_a_rule_is_read_and_is_not_without_the_rule(name: str) -> None:
    without = Grammar(rule for rule in RULES if rule.name != name)
    count = count_of("test_what_is_drawn_from_a_rule_is_read_and_is_not_without_the_rule")
    for words in drawn(name, count):
        assert read_by(WHOLE, words)[0] == read_report(words, SAID, TERMS)
        assert read_by(without, words) != read_by(WHOLE, words), words


@pytest.mark.parametrize("name", NAMES)
def test_options_that_are_passed_over_would_not_have_fitted(name: str) -> None:
    # while it is noted what was expected, every option is tried
    for words in drawn(name, LEAST):
        values: list[list[tuple[str, object]]] = [[], []]
        for tracing, found in zip((False, True), values, strict=True):
            assert WHOLE.fits(PhraseReading(phrase(words), tracing=tracing), found)
        assert values[0] == values[1]


def test_a_pattern_whose_bracket_is_not_closed_is_refused() -> None:
    for written in ('[ "about"', '( "a" | { "b" )', '{ "a" ]'):
        with pytest.raises(ValueError, match="not closed"):
            pattern_of(written)


def test_each_rule_has_a_name_of_its_own_and_is_named_by_another() -> None:
    assert len(set(NAMES)) == len(NAMES)
    named = {sign for rule in RULES for sign in re.findall(r"[a-z_]+", _unquoted(rule.pattern))}
    assert named == set(NAMES) - {"phrase"}
    kinds = {sign for rule in RULES for sign in re.findall(r"[A-Z]+", _unquoted(rule.pattern))}
    assert kinds == set(KINDS)


def _unquoted(pattern: str) -> str:
    return re.sub(r'"[^"]*"', "", pattern)


def test_what_is_printed_is_the_table() -> None:
    lines = re.sub(r"\n +", " ", written_grammar()).splitlines()
    pairs = [re.split(r" +[=:] ", line, maxsplit=1) for line in lines]
    assert pairs == [
        *([rule.name, rule.pattern] for rule in RULES),
        *([kind.name, kind.means] for kind in KINDS.values()),
    ]
    assert all(len(line) <= 76 for line in written_grammar().splitlines())


def test_every_example_is_printed_and_read_by_its_rule() -> None:
    lines = re.sub(r"\n +", " ", written_examples()).splitlines()
    printed = {line.split()[0]: line.split(maxsplit=1)[1].split(" | ") for line in lines}
    assert printed == {rule.name: list(rule.examples) for rule in RULES if rule.examples}
    for name, examples in printed.items():
        for example in examples:
            reading = PhraseReading(phrase(example))
            assert WHOLE.fits(reading, []), example
            assert reading.tried[name, "about" in example][0] == len(reading.tokens) - 1


def steps(words: str) -> int:
    """How many functions of the grammar are called to read a phrase or refuse it."""
    count = 0

    def on_call(frame: FrameType, event: str, _: object) -> None:
        nonlocal count
        count += event == "call" and frame.f_code.co_filename == module.__file__

    before = sys.getprofile()
    sys.setprofile(on_call)
    try:
        read_by(WHOLE, words)
    finally:
        sys.setprofile(before)
    return count


@pytest.mark.parametrize(
    ("part", "end"),
    [
        # read
        ("idle 2026-01-10 to 2026-03-01; ", "slow"),
        ("2 quilts a month; ", "a dress a year"),
        ("busy Oct-Dec x1; ", "about half zigzag"),
        # refused at the end, so that it is read a second time
        ("2 evenings a week of 1-2 hours; ", "2 evenings a week of"),
        # refused in one long statement
        ("evenings ", ""),
        ("a ", ""),
        ("2 - ", ""),
        ("half an ", "hour a week"),
    ],
)
def test_the_steps_grow_no_faster_than_the_phrase(part: str, end: str) -> None:
    few, more, most = (steps(part * times + end) for times in (10, 20, 40))
    assert most - more == 2 * (more - few)


def test_a_long_name_takes_a_step_a_word() -> None:
    few, more, most = (steps("2 quilt " + "sail " * times) for times in (10, 20, 40))
    assert most - more == 2 * (more - few) > 0


def test_no_rule_is_tried_twice_at_a_token() -> None:
    reading = PhraseReading(
        phrase("about 2-3 evenings a week of 1-2 hours each; a third zigzag; idle")
    )
    assert not WHOLE.fits(reading, [])
    assert len(reading.tried) <= len(RULES) * len(reading.tokens)
