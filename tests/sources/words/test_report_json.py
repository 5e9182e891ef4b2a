"""A report of use as it is kept: what was understood comes back as it was, beside the owner's
words."""

from __future__ import annotations

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import Span
from oilchart.core.units import Unit
from oilchart.core.use.report import Oiling, Rate, Reading, Report, SewingPace, Total
from oilchart.sources.words.reader import read_report
from oilchart.sources.words.report_json import recall, understood_json
from tests.counts import counted

SAID = date(2026, 11, 25)

ticks = st.integers(0, 10**18)
spans = st.builds(lambda a, b: Span(first=min(a, b), end=max(a, b)), st.dates(), st.dates())
reports = st.builds(
    Report,
    said=st.dates(),
    words=st.text(),
    rate=st.none() | st.builds(Rate, low=ticks, high=ticks),
    total=st.none() | st.builds(Total, low=ticks, high=ticks, since=st.dates()),
    reading=st.none()
    | st.builds(
        Reading,
        amount=st.fractions(min_value=0),
        unit=st.sampled_from(Unit),
        new_meter=st.booleans(),
    ),
    idle_months=st.none() | st.frozensets(st.integers(1, 12)),
    weights=st.none() | st.lists(st.integers(0, 100), min_size=12, max_size=12).map(tuple),
    idle_spans=st.lists(spans, max_size=3).map(tuple),
    zigzag_share=st.none() | st.fractions(0, 1),
    pace=st.none() | st.sampled_from(SewingPace),
    oiling=st.none() | st.sampled_from(Oiling),
    conversion=st.text(),
)


@counted
@given(reports)
def test_what_is_kept_is_recalled_as_it_was(report: Report) -> None:
    assert recall(report.said, report.words, understood_json(report)) == report


@counted
@given(reports)
def test_what_is_kept_is_one_line_of_plain_json_and_always_the_same(report: Report) -> None:
    kept = understood_json(report)
    assert len(kept.splitlines()) == 1
    assert kept.isascii()
    assert understood_json(recall(report.said, report.words, kept)) == kept
    assert recall(report.said, report.words, kept).conversion == report.conversion


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        # only what was said; "no rests" is said, too
        ("6 hours a week", {"rate": [31_536_000, 31_536_000]}),
        ("none", {"rate": [0, 0]}),
        (
            "1 hour since 2026-03-01; idle Aug; idle Jul",
            {"total": [36_792_000, 36_792_000, "2026-03-01"], "idle_months": [7, 8]},
        ),
    ],
)
def test_only_what_was_said_is_kept(words: str, kept: dict[str, object]) -> None:
    assert json.loads(understood_json(read_report(words, SAID))) == kept


def test_saying_there_are_no_rests_differs_from_saying_nothing_of_rests() -> None:
    said_none = Report(said=SAID, words="no rests", idle_months=frozenset())
    said_nothing = Report(said=SAID, words="no rests")
    assert understood_json(said_none) != understood_json(said_nothing)
    assert recall(SAID, "no rests", understood_json(said_none)).idle_months == frozenset()
    assert recall(SAID, "no rests", understood_json(said_nothing)).idle_months is None


@pytest.mark.parametrize(
    "understood",
    [
        # what only damage can have written
        "",
        "[]",
        "5",
        '{"rate": [5.5, 7]}',
        '{"rate": ["a", 5]}',
        '{"rate": [5]}',
        '{"rate": 5}',
        '{"total": [1, 2]}',
        '{"total": [1, 2, "yesterday"]}',
        '{"reading": ["x", "hours", false]}',
        '{"reading": ["1", "miles", false]}',
        '{"idle_spans": [["2026-01-01"]]}',
        '{"pace": "hasty"}',
    ],
)
def test_a_damaged_report_is_not_recalled(understood: str) -> None:
    with pytest.raises((ValueError, KeyError, IndexError, TypeError, AttributeError)):
        recall(SAID, "words", understood)
