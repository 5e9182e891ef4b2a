"""What owners really say is understood, or asked about; nothing else is taken for hours."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from oilchart.core.days import MONTHS
from oilchart.core.units import HOUR, WEEK_DAYS, Ticks
from oilchart.core.use.report import FLAT_YEAR, MONTH_DAYS, Report
from oilchart.errors import UnreadableWords
from oilchart.papers.heard_words import AS_GOOD_AS, heard
from oilchart.sources.words.grammar import RULES
from oilchart.sources.words.notation import pattern_of, words_in
from oilchart.sources.words.phrase import phrase_of
from oilchart.sources.words.reader import Heard, hear, heard_of, read_report, report_as_said
from oilchart.sources.words.word_list import words_that_come_along
from tests.builders.phrases import drawn_phrase, known_words
from tests.builders.said import SAID_ON, TERMS, all_said, table

SHORT_MONTHS = [name[:3] for name in MONTHS]
ROUNDED = 0.0101  # hours a week are told to the hundredth


def ends(told: Any) -> tuple[float, float]:
    """The low and high end of an entry: one number is both."""
    low, high = told if isinstance(told, list) else (told, told)
    return low, high


def a_week(amount: Ticks) -> float:
    return float(Fraction(amount * WEEK_DAYS, HOUR))


def near(found: tuple[float, float], told: Any) -> bool:
    """Whether both ends are told right: to the hundredth of an hour, or half a hundredth of it."""
    return all(
        abs(one - other) <= max(ROUNDED, one / AS_GOOD_AS)
        for one, other in zip(found, ends(told), strict=True)
    )


def in_month(report: Report, month: str) -> tuple[float, float]:
    """Hours a week in a month, low and high."""
    assert report.rate is not None
    weights = report.weights or FLAT_YEAR
    whole = sum(weight * days for weight, days in zip(weights, MONTH_DAYS, strict=True))
    share = weights[SHORT_MONTHS.index(month)] * sum(MONTH_DAYS) / whole
    return a_week(report.rate.low) * share, a_week(report.rate.high) * share


def check_hours(entry: dict[str, Any], report: Report) -> None:
    """Hold the hours of a report against an entry."""
    found = None if report.rate is None else (a_week(report.rate.low), a_week(report.rate.high))
    if "week" in entry:
        assert found is not None
        assert near(found, entry["week"]), found
    elif "band" in entry:
        assert found is not None
        assert entry["band"][0] <= found[0] < found[1] <= entry["band"][1], found
    elif "month" in entry:
        for month, hours in entry["month"].items():
            assert near(in_month(report, month), hours), (month, in_month(report, month))
    else:
        assert report.rate is None
    total = report.total
    assert (total is None) == ("total" not in entry)
    if total is not None:
        assert total.since == date.fromisoformat(entry["since"])
        assert near((total.low / HOUR, total.high / HOUR), entry["total"])


def check_rests_and_habits(entry: dict[str, Any], report: Report) -> None:
    """Hold what else a report says against an entry."""
    rests = {SHORT_MONTHS[month - 1] for month in report.idle_months or ()}
    assert rests == set(entry.get("rest", "").split())
    spans = [[str(span.first), str(span.end)] for span in report.idle_spans]
    assert spans == ([entry["away"]] if "away" in entry else [])
    share = None if report.zigzag_share is None else round(float(report.zigzag_share), 4)
    reading = None if report.reading is None else report.reading.amount
    days = None if report.sewing_days is None else float(report.sewing_days)
    found = (share, report.oiling, report.pace, reading, days)
    assert found == tuple(entry.get(key) for key in ("zigzag", "oils", "pace", "meter", "days"))


@pytest.mark.parametrize("entry", all_said(), ids=lambda entry: entry["words"])
def test_what_owners_say_is_taken_for_what_a_technician_takes_it_for(entry: dict[str, Any]) -> None:
    try:
        answer = hear(entry["words"], SAID_ON, TERMS)
    except UnreadableWords as refusal:  # what is asked of "5 hours a wek" may be asked so, too
        raise AssertionError(str(refusal)) from refusal
    asked = [question.text for question in answer.questions]
    if "asks" in entry:
        assert entry["asks"].casefold() in asked[0].casefold()
    else:
        assert asked == []
    check_hours(entry, answer.report)
    check_rests_and_habits(entry, answer.report)


def test_at_least_97_in_100_that_tell_enough_are_taken_and_the_others_are_asked_about() -> None:
    assert len(table()["own"]) >= 150
    enough = [entry for entry in all_said() if "asks" not in entry]
    taken = [entry for entry in enough if not hear(entry["words"], SAID_ON, TERMS).questions]
    assert len(taken) >= 0.97 * len(enough)
    assert len(enough) >= 0.85 * len(all_said())


@pytest.mark.parametrize("words", table()["nonsense"])
def test_nonsense_is_not_taken_and_answered_in_one_line(words: str) -> None:
    assert len(table()["nonsense"]) >= 60
    with pytest.raises(UnreadableWords) as refusal:
        read_report(words, SAID_ON, TERMS)
    assert len(str(refusal.value).splitlines()) == 1


def understood(words: str) -> object:
    """What is made of words, whatever they were; what is refused, as the reason alone."""
    try:
        answer = hear(words, SAID_ON, TERMS)
    except UnreadableWords:
        return "refused"
    return replace(answer.report, words=""), bool(answer.questions)


@pytest.mark.parametrize("entry", all_said(), ids=lambda entry: entry["words"])
def test_capitals_blanks_and_commas_change_nothing(entry: dict[str, Any]) -> None:
    words = entry["words"]
    plain = understood(words)
    assert understood(words.upper()) == plain
    assert understood(f"  {words.replace(' ', '   ')}  ") == plain
    assert understood(words.replace(", ", " ")) == plain
    assert understood(f"{words},") == plain


def test_the_order_of_statements_changes_nothing(tries: int) -> None:
    use = [
        entry["words"]
        for entry in all_said()
        if {"week", "band"} & set(entry) and not {"asks", "rest", "total"} & set(entry)
    ]
    alone = [
        entry["words"]
        for entry in all_said()
        if not {"week", "band", "month", "asks", "total", "days", "rest"} & set(entry)
    ]
    tried = 0
    for seed in range(tries):
        chance = random.Random(seed)
        parts = [chance.choice(use), *chance.sample(alone, 2)]
        told = understood("; ".join(parts))
        tried += told != "refused"
        chance.shuffle(parts)
        assert understood("; ".join(parts)) == told, parts
    assert tried > tries / 4


def sentence(report: Report) -> str:
    """The first sentence of what was heard, which can be read again."""
    return heard(report).split(". ")[0]


def same_but_for_rounding(one: Report, other: Report) -> bool:
    """Whether two reports say the same, hours a week to the hundredth."""
    hours = [
        None if each.rate is None else (a_week(each.rate.low), a_week(each.rate.high))
        for each in (one, other)
    ]
    totals = [
        None if each.total is None else (each.total.low / HOUR, each.total.high / HOUR)
        for each in (one, other)
    ]
    for first, second in (hours, totals):
        if (first is None) != (second is None):
            return False
        if first is not None and second is not None and not near(first, list(second)):
            return False
    rest = [replace(each, rate=None, total=None, words="", weights=None) for each in (one, other)]
    return rest[0] == rest[1]


@pytest.mark.parametrize(
    "entry",
    [entry for entry in all_said() if "asks" not in entry],
    ids=lambda entry: entry["words"],
)
def test_what_is_said_back_is_read_as_the_same(entry: dict[str, Any]) -> None:
    report = read_report(entry["words"], SAID_ON, TERMS)
    again = read_report(sentence(report), SAID_ON, replace(TERMS, before=None))
    assert same_but_for_rounding(report, again), (sentence(report), again)


def test_any_words_of_the_grammar_are_understood_or_answered_in_one_line(tries: int) -> None:
    known = known_words(TERMS)
    literals = sorted({word for rule in RULES for word in words_in(pattern_of(rule.pattern))})
    said = [entry["words"] for entry in all_said()]
    chance = random.Random(1)
    outcomes = {"taken": 0, "asked": 0, "refused": 0}
    for _ in range(tries):
        words = drawn_phrase(chance, known, literals, said)
        try:
            answer = hear(words, SAID_ON, TERMS)
        except UnreadableWords as refusal:
            assert str(refusal).isprintable(), words
            outcomes["refused"] += 1
            continue
        outcomes["asked" if answer.questions else "taken"] += 1
        assert all(question.text.isprintable() for question in answer.questions), words
        rate = answer.report.rate
        assert rate is None or 0 <= rate.low <= rate.high <= 24 * HOUR, words
        if answer.questions:
            continue
        assert answer.report != Report(said=SAID_ON, words=""), words
        assert heard(answer.report)
    assert min(outcomes.values()) > tries / 100, outcomes


def test_no_vague_word_gives_a_low_use_of_nothing() -> None:
    words = TERMS.words
    for phrase in (*words.altogether, *words.often, *(f"{each} evening" for each in words.odd)):
        length = ", an hour" if phrase in words.often else ""
        rate = read_report(f"{phrase}{length}", SAID_ON, TERMS).rate
        assert rate is not None
        assert 0 < rate.low < rate.high, phrase
    for each in words.about:
        rate = read_report(f"{each} 4 hours a week", SAID_ON, TERMS).rate
        assert rate is not None
        assert 0 < rate.low < rate.high, each


def test_what_is_not_clear_is_kept_as_it_was_said_with_what_to_ask() -> None:
    report = report_as_said("every Tuesday; mostly zigzag", SAID_ON, TERMS)
    assert (report.words, report.unclear) == (
        "every Tuesday; mostly zigzag",
        "how long each time?",
    )
    assert report.sewing_days == 1
    assert report.zigzag_share == Fraction(7, 10)
    # of a clause with a word that is not understood nothing is kept: it may say the opposite
    report = report_as_said("I gave up 5 hours a week, oils it", SAID_ON, TERMS)
    assert (report.rate, report.oiling) == (None, "oils it")
    assert "not understood" in report.unclear
    nonsense = report_as_said("8-5 hours a week", SAID_ON, TERMS)
    assert nonsense.unclear == "runs backwards; say the smaller number first"
    with pytest.raises(UnreadableWords, match="nothing was said"):
        report_as_said(" ; ", SAID_ON, TERMS)


def test_a_question_is_answered_by_saying_the_answer_with_it() -> None:
    asked: list[Heard] = []
    words = "every day for the quilting season"
    for answer in ("2 hours", "October to December", "otherwise 1 hour a week"):
        asked.append(hear(words, SAID_ON, TERMS))
        words = f"{words}; {answer}"
    assert [each.questions[0].text for each in asked[:2]] == [
        "how long each time?",
        "the quilting season: which months are that?",
    ]


def test_words_of_a_shop_stand_in_the_place_of_those_that_come_along() -> None:
    own = replace_sittings(words_that_come_along(), evening="2-2")
    rate = read_report("an evening a week", SAID_ON, replace(TERMS, own_words=own)).rate
    assert rate is not None
    assert (a_week(rate.low), a_week(rate.high)) == (2, 2)


def replace_sittings(words: Any, **hours: str) -> Any:
    """A word list with other hours of a sitting."""
    told = {name: tuple(Fraction(part) for part in each.split("-")) for name, each in hours.items()}
    return replace(words, sittings={**words.sittings, **told})


def test_a_megabyte_is_refused_at_once() -> None:
    with pytest.raises(UnreadableWords, match="too long: 1048576 letters"):
        hear("h" * 1_048_576, SAID_ON, TERMS)


def test_a_long_phrase_is_read_by_what_reads_a_short_one() -> None:
    few, many = (
        heard_of(phrase_of("; ".join(["idle Jul"] * times), SAID_ON, TERMS)).report
        for times in (1, 400)
    )
    assert few.idle_months == many.idle_months == frozenset({7})
