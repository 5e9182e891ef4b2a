"""The numbers of a model's points as its file keeps them."""

from __future__ import annotations

import re
from collections.abc import Sequence

IN_A_LINE = 5  # so that one can count
_AS_IT_STANDS = re.compile(r"(?ms)^numbers[ \t]*=[ \t]*\[.*?\][^\n]*\n?")
_FIRST_TABLE = re.compile(r"(?m)^(#[^\n]*\n)*[ \t]*\[")


def numbers_toml(kept: Sequence[str]) -> str:
    """The points in the order of their numbers, as a file has them.

    Args:
        kept: ids, the first has 1; empty where a point was taken out.
    """
    lines = [
        f"    {_quoted(kept[at : at + IN_A_LINE])},  # from {at + 1}\n"
        for at in range(0, len(kept), IN_A_LINE)
    ]
    return f"numbers = [\n{''.join(lines)}]\n"


def with_numbers(text: str, kept: Sequence[str]) -> str:
    """A model's file with the numbers of its points: in the place of those it had, else before its
    first table."""
    numbers = numbers_toml(kept)
    if _AS_IT_STANDS.search(text):
        return _AS_IT_STANDS.sub(lambda _: numbers, text, count=1)
    first = _FIRST_TABLE.search(text)
    if first is None:
        return f"{text.rstrip()}\n{numbers}"
    return f"{text[: first.start()].rstrip()}\n{numbers}\n{text[first.start() :]}"


def _quoted(points: Sequence[str]) -> str:
    return ", ".join(f'"{point}"' for point in points)
