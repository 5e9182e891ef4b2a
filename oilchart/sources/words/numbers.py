"""Numbers as people write and say them: 1,500, 1½, "two and a half", "a hundred and twenty"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

DIGITS = re.compile(
    r"\d{1,3}(?:,\d{3})+(?![\d,])"  # a comma groups thousands where three figures follow each time
    r"|\d{1,3}(?: \d{3})+(?![\d,.])"  # and so does a blank
    r"|\d+\s*[¼½¾⅓⅔]|[¼½¾⅓⅔]"
    r"|\d+\s+\d/\d+(?![\d/])|\d+/\d+(?![\d/])"  # 1 1/2, 3/4
    r"|\d+(?:[.,]\d+)?"
)
_SIGNS = {
    "¼": Fraction(1, 4),
    "½": Fraction(1, 2),
    "¾": Fraction(3, 4),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
}
_UNITS = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_ONES = {word: number for number, word in enumerate(_UNITS, start=1)}
_TENFOLD = {word: 10 * number for number, word in enumerate(_TENS, start=2)}
_PARTS = {
    "half": 2,
    "halves": 2,
    "third": 3,
    "thirds": 3,
    "quarter": 4,
    "quarters": 4,
}
NUMBER_WORDS = frozenset(("zero", *_ONES, *_TENFOLD, "hundred", *_PARTS))


def of_digits(written: str) -> Fraction:
    """The value of a number in figures."""
    text = written.strip()
    if re.fullmatch(r"\d{1,3}(?:[, ]\d{3})+", text):
        return Fraction(re.sub(r"[, ]", "", text))
    if text[-1] in _SIGNS:
        return Fraction(text[:-1].strip() or 0) + _SIGNS[text[-1]]
    whole, _, part = text.rpartition(" ")
    if "/" in part:
        up, down = part.split("/")
        if int(down):
            return Fraction(whole.strip() or 0) + Fraction(int(up), int(down))
        return Fraction(0)
    return Fraction(text.replace(",", "."))


def in_words(words: Sequence[str]) -> tuple[int, Fraction] | None:
    """The number that words begin with: how many of them, and its value; None where none does.

    "a" is one only before a hundred and before a part: "a quarter", "two and a half".
    """
    used, whole = _whole(words)
    after = words[used:]
    if used and after[:1] == ["and"]:
        parts = _part(after[1:])
        return (used + 1 + parts[0], whole + parts[1]) if parts else (used, whole)
    if used and after and after[0] in _PARTS and after[0].endswith("s"):  # three quarters
        return used + 1, whole / _PARTS[after[0]]
    if used:
        return (used + 1, whole / _PARTS[after[0]]) if _is_one_part(whole, after) else (used, whole)
    return _part(words)


def _is_one_part(whole: Fraction, after: Sequence[str]) -> bool:
    """Whether a one is that of "one third"."""
    return whole == 1 and bool(after) and after[0] in _PARTS


def _whole(words: Sequence[str]) -> tuple[int, Fraction]:
    """How many words are a whole number, and it: twenty-five, a hundred and twenty."""
    used, value = _below_hundred(words)
    rest = words[used:]
    if used and rest[:1] == ["hundred"] and value < 10:
        hundreds, used = value, used + 1
    elif not used and list(words[:2]) == ["a", "hundred"]:
        hundreds, used = Fraction(1), 2
    elif not used and list(words[:1]) == ["hundred"]:
        hundreds, used = Fraction(1), 1
    else:
        return used, value
    skip = 1 if list(words[used : used + 1]) == ["and"] else 0
    more, below = _below_hundred(words[used + skip :])
    return (used + skip + more, 100 * hundreds + below) if more else (used, 100 * hundreds)


def _below_hundred(words: Sequence[str]) -> tuple[int, Fraction]:
    first = words[0] if words else ""
    if first == "zero":
        return 1, Fraction(0)
    if first in _ONES:
        return 1, Fraction(_ONES[first])
    if first not in _TENFOLD:
        return 0, Fraction(0)
    dash = 1 if len(words) > 2 and words[1] == "-" else 0
    unit = _ONES.get(words[1 + dash]) if len(words) > 1 + dash else None
    if unit is None or unit > 9:
        return 1, Fraction(_TENFOLD[first])
    return 2 + dash, Fraction(_TENFOLD[first] + unit)


def _part(words: Sequence[str]) -> tuple[int, Fraction] | None:
    """A half, a quarter, three quarters."""
    used = 1 if list(words[:1]) == ["a"] else 0
    count = Fraction(1)
    if not used and words and words[0] in _ONES and words[1:2] and words[1] in _PARTS:
        used, count = 1, Fraction(_ONES[words[0]])
    if len(words) > used and words[used] in _PARTS:
        return used + 1, count / _PARTS[words[used]]
    return None
