"""The grammar that is written down is the grammar that runs: no rule can be left out, what is
printed is the table, and the work grows no faster than the phrase."""

from __future__ import annotations

import re
import sys
from datetime import date
from types import FrameType

import pytest

from oilchart.errors import UnreadableWords
from oilchart.sources.words import parser as module
from oilchart.sources.words.grammar import FACTS, RULES, written_examples, written_grammar
from oilchart.sources.words.notation import pattern_of
from oilchart.sources.words.parser import Grammar, PhraseReading, Rule
from oilchart.sources.words.phrase import phrase_of
from oilchart.sources.words.reader import hear, heard_of, heard_through
from oilchart.sources.words.vocabulary import KINDS
from tests.builders.said import SAID_ON, TERMS, all_said

WHOLE = Grammar(RULES, [rule.name for rule in FACTS])
NAMES = [rule.name for rule in RULES]
# read by rules, and by nobody said in said.toml
MORE = (
    "idle 2026-01-10 to 2026-03-01", "new meter 0 hours", "no rests", "no seasons; busy Jul x2",
    "busy Oct-Dec x2", "away until 2027-05-01", "12,000 stitches a day", "an hour now and then",
    "every day except Sundays, an hour", "20 hours a week for 40 weeks a year",
    "used to be 10 hours a week, now 2", "50 hours last year", "20 hours since I retired",
    "10 hours a week until Easter", "away for three months", "5 to 8 hours a week, likely 6.32",
    "100 hours a week, yes", "idle", "2 evenings of 3 hours a week", "I don't use it much",
    "3 hours a week for two years", "in the season",
)  # fmt: skip


def made_of(words: str, grammar: Grammar) -> object:
    """What is understood by a grammar, with what is asked; or the refusal."""
    try:
        heard = heard_through(grammar, phrase_of(words, SAID_ON, TERMS))
    except UnreadableWords as error:
        return str(error)
    return heard.report, heard.report.conversion, heard.questions, heard.left_aside


@pytest.mark.parametrize("left_out", RULES, ids=NAMES)
def test_no_rule_can_be_left_out(left_out: Rule) -> None:
    without = Grammar(
        [rule for rule in RULES if rule is not left_out],
        [rule.name for rule in FACTS if rule is not left_out],
    )
    phrases = [*left_out.examples, *MORE, *(entry["words"] for entry in all_said())]
    assert any(made_of(words, without) != made_of(words, WHOLE) for words in phrases)


def test_a_pattern_whose_bracket_is_not_closed_is_refused() -> None:
    for written in ('[ "about"', '( "a" | { "b" )', '{ "a" ]'):
        with pytest.raises(ValueError, match="not closed"):
            pattern_of(written)


def test_each_rule_has_a_name_of_its_own_and_what_is_no_fact_is_named_by_another() -> None:
    assert len(set(NAMES)) == len(NAMES)
    named = {sign for rule in RULES for sign in re.findall(r"[a-z_]+", _unquoted(rule.pattern))}
    assert set(NAMES) - {rule.name for rule in FACTS} <= named <= set(NAMES)
    kinds = {sign for rule in RULES for sign in re.findall(r"[A-Z]+", _unquoted(rule.pattern))}
    assert kinds == set(KINDS)


def _unquoted(pattern: str) -> str:
    return re.sub(r'"[^"]*"', "", pattern)


def test_what_is_printed_is_the_table() -> None:
    lines = re.sub(r"\n +", " ", written_grammar()).splitlines()
    pairs = [re.split(r" +[=:] ", line, maxsplit=1) for line in lines]
    assert pairs == [
        *([rule.name, " ".join(rule.pattern.split())] for rule in RULES),
        *([kind.name, kind.means] for kind in KINDS.values()),
    ]
    assert all(len(line) <= 76 for line in written_grammar().splitlines())


def test_every_example_is_printed_and_understood_by_its_rule() -> None:
    lines = re.sub(r"\n +", " ", written_examples()).splitlines()
    printed = {line.split()[0]: line.split(maxsplit=1)[1].split(" | ") for line in lines}
    assert printed == {rule.name: list(rule.examples) for rule in RULES if rule.examples}
    for name, examples in printed.items():
        for example in examples:
            phrase = phrase_of(example, SAID_ON, TERMS)
            reading = PhraseReading(phrase)
            for at in range(len(phrase.tokens)):
                WHOLE.fact_at(reading, at)
            assert any(end > 0 for (rule, _), (end, _) in reading.tried.items() if rule == name)
            asked = hear(example, SAID_ON, TERMS).questions
            assert not asked, example


def steps(words: str) -> int:
    """How many functions of the parser are called to read a phrase."""
    count = 0

    def on_call(frame: FrameType, event: str, _: object) -> None:
        nonlocal count
        count += event == "call" and frame.f_code.co_filename == module.__file__

    phrase = phrase_of(words, SAID_ON, TERMS)
    before = sys.getprofile()
    sys.setprofile(on_call)
    try:
        heard_of(phrase)
    except UnreadableWords:
        pass
    finally:
        sys.setprofile(before)
    return count


@pytest.mark.parametrize(
    ("part", "end"),
    [
        ("idle 2026-01-10 to 2026-03-01; ", "slow"),
        ("2 quilts a month; ", "a dress a year"),
        ("nothing in Jul-Aug and ", "half zigzag"),
        ("on Tuesdays and Thursdays and ", "every evening"),
        ("evenings ", ""),
        ("a ", ""),
        ("2 - ", ""),
        ("half an ", "hour a week"),
        ("never I well it just ", "oil"),
        ("for my ", "grandchildren"),
    ],
)
def test_the_steps_grow_no_faster_than_the_phrase(part: str, end: str) -> None:
    few, more, most = (steps(part * times + end) for times in (20, 40, 80))
    assert most - more <= 2 * (more - few) * 1.05


def test_no_rule_is_tried_twice_at_a_token() -> None:
    phrase = phrase_of(
        "about 2-3 evenings a week of 1-2 hours each; a third zigzag", date(2026, 11, 25)
    )
    reading = PhraseReading(phrase)
    for at in range(len(phrase.tokens)):
        WHOLE.fact_at(reading, at)
    assert len(reading.tried) <= len(RULES) * len(reading.tokens)
