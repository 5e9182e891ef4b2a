"""Measures what reading an owner's words costs, by the word; prints ratios from one run, which
hold on any machine.

By hand: python -m tests.bench.bench_words. `pytest` runs it once, short, to see that it still
works.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import Any

import pytest

from oilchart.errors import UnreadableWords
from oilchart.sources.words.phrase import phrase_of
from oilchart.sources.words.reader import heard_of
from tests.bench.measure import TIMES, Figure, hold, seconds, tell
from tests.builders.said import SAID_ON, TERMS, all_said

LENGTHS = (10, 100, 1_000)  # words
WORDS = " ".join(entry["words"] for entry in all_said()).split()


def read(length: int) -> None:
    """Read so many words of what owners say, as one phrase, whatever comes of it."""
    with suppress(UnreadableWords):
        heard_of(phrase_of(" ".join(WORDS[:length]), SAID_ON, TERMS))


def a_word(length: int, times: int) -> float:
    """Microseconds a word of a phrase of so many words."""
    return seconds(lambda: read(length), times) / length * 1_000_000


def figures(times: int = TIMES) -> Iterator[Figure]:
    """What a word costs in short and long phrases, and how much more in the longest."""
    read(1)  # the grammar and the vocabulary are made ready once
    costs = [a_word(length, times) for length in LENGTHS]
    for length, cost in zip(LENGTHS, costs, strict=True):
        yield Figure(words=f"a word of {length:,} costs {{:.0f}} microseconds", value=cost)
    yield Figure(
        words="a word of 1,000 costs {:.2f} times as much as one of 100",
        value=costs[-1] / costs[1],
        most=1.5,
    )


def test_the_benchmark_runs() -> None:
    assert len(WORDS) >= max(LENGTHS)
    assert len(list(figures(times=1))) == len(LENGTHS) + 1


@pytest.mark.full
def test_reading_costs_no_more_the_longer_a_phrase_is(record_property: Any) -> None:
    hold(figures(), record_property)


if __name__ == "__main__":
    tell(figures())
