"""What the benchmarks measure with: processor time, and figures that are held to a bound."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from statistics import median
from time import process_time

TIMES = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """What was measured, and what is wanted of it.

    Args:
        words: with braces where the value stands, as for str.format.
        least: the value wanted is at least this; likewise most.
    """

    words: str
    value: float
    least: float | None = None
    most: float | None = None

    def holds(self) -> bool:
        """Whether the value is within its bounds."""
        return (self.least is None or self.value >= self.least) and (
            self.most is None or self.value <= self.most
        )

    def __str__(self) -> str:
        wanted = [
            f"{word} {bound:g}"
            for word, bound in (("at least", self.least), ("at most", self.most))
            if bound is not None
        ]
        return self.words.format(self.value) + (f" (wanted: {', '.join(wanted)})" if wanted else "")


def seconds(work: Callable[[], object], times: int = 1) -> float:
    """Median seconds for which one call keeps the processor busy, whatever else the computer
    does."""
    taken = []
    for _ in range(times):
        begun = process_time()
        work()
        taken.append(process_time() - begun)
    return median(taken)


def hold(figures: Iterable[Figure], record_property: Callable[[str, object], None]) -> None:
    """Note figures for the end of the run, and hold each to its bounds."""
    measured = list(figures)
    for figure in measured:
        record_property("figure", str(figure))
    assert [str(figure) for figure in measured if not figure.holds()] == []


def tell(figures: Iterable[Figure]) -> None:
    """Print figures as they are measured."""
    for figure in figures:
        print(figure, flush=True)  # noqa: T201 - what a benchmark run by hand is for
