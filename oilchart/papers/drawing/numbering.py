"""Numbers on drawings told in words, and which of a card's numbers are not on its first drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from oilchart.papers.drawing.picture import Picture
from oilchart.papers.wording import joined


def numbers_words(numbers: Iterable[int]) -> str:
    """1, 3 and 9 to 11."""
    stretches: list[list[int]] = []
    for number in sorted(numbers):
        if stretches and stretches[-1][-1] == number - 1:
            stretches[-1].append(number)
        else:
            stretches.append([number])
    words = []
    for stretch in stretches:
        words += (
            [str(number) for number in stretch]
            if len(stretch) < 3
            else [f"{stretch[0]} to {stretch[-1]}"]
        )
    return joined(words)


def elsewhere(pictures: Sequence[Picture]) -> str:
    """Where the numbers are that the first picture does not show; empty where it shows all."""
    told = [
        f"{numbers_words(picture.numbers)}: {picture.name}"
        for picture in pictures[1:]
        if picture.numbers
    ]
    return f"Further on: {'; '.join(told)}." if told else ""
