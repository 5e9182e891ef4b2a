"""Telephone numbers as people give them: several in one field, and whose each is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

LEAST_DIGITS = 5  # fewer, between two numbers, are a part of one: 030/123456
_EXTENSION = r",?\s*(?:x|ext\.?|extn\.?|extension)\s*\d+"
_NUMBER = re.compile(rf"\+?\(?\d[\d\s().\-–/]*\d(?:{_EXTENSION})?", re.IGNORECASE)
_BETWEEN = re.compile(r"(\s*(?:[;|\n]|,|/|\bor\b|\band\b)\s*)", re.IGNORECASE)
_AROUND = " \t()[]:,;.-–=/"


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """One number.

    Args:
        number: as it is shown.
        dial: as it is dialled from anywhere, +442079460107; empty where that is not known.
        whose: "daughter", "work"; empty for the owner's own.
        wrong: nobody of the owner's name answers there.
    """

    number: str
    dial: str = ""
    whose: str = ""
    wrong: bool = False

    @property
    def words(self) -> str:
        """The number, and whose it is."""
        return f"{self.number} ({self.whose})" if self.whose else self.number

    @property
    def digits(self) -> str:
        """What is dialled: digits, and a plus in front where there is one; empty for none."""
        if self.dial:
            return self.dial
        digits = "".join(sign for sign in self.number if sign.isascii() and sign.isdigit())
        return f"+{digits}" if digits and self.number.strip().startswith("+") else digits

    def is_same(self, other: Phone) -> bool:
        """Whether both ring at the same place; where one is not known from everywhere, as far as
        their digits tell."""
        if self.dial and other.dial:
            return self.dial == other.dial
        return bool(self.digits) and self.digits == other.digits


def phones_in(text: str) -> tuple[Phone, ...]:
    """The numbers in a text, each with whose it is; a text without any is taken as one number, as
    it was given."""
    return tuple(_phone(part) for part in _parts(text) if part.strip())


def with_phones(phones: Iterable[Phone], more: Iterable[Phone]) -> tuple[Phone, ...]:
    """Numbers and more of them, each once; of one that is told again what is told now counts."""
    kept = list(phones)
    for phone in more:
        same = [at for at, each in enumerate(kept) if each.is_same(phone)]
        if same:
            whose = phone.whose or kept[same[0]].whose
            kept[same[0]] = replace(phone, whose=whose)
        else:
            kept.append(phone)
    return tuple(kept)


def _phone(part: str) -> Phone:
    found = max(_NUMBER.finditer(part), key=lambda each: len(_digits(each[0])), default=None)
    if found is None or len(_digits(found[0])) < LEAST_DIGITS:
        return Phone(number=part.strip())
    around = (part[: found.start()].strip(_AROUND), part[found.end() :].strip(_AROUND))
    return Phone(number=found[0].strip(), whose=" ".join(words for words in around if words))


def _parts(text: str) -> Iterator[str]:
    """A text in parts of one number each; what holds none goes with the number after it where the
    text begins so, and else with the one before it."""
    pieces = _BETWEEN.split(text)
    names_first = not _has_number(pieces[0])
    part, separator = "", ""
    for at, piece in enumerate(pieces):
        if at % 2:
            separator = piece
        elif not part:
            part = piece
        elif _has_number(part) and (_has_number(piece) or (names_first and _tells(piece))):
            yield part
            part = piece
        else:
            part = f"{part}{separator}{piece}"
    yield part


def _tells(piece: str) -> bool:
    """Whether a piece says something that is no extension of a number."""
    is_extension = re.fullmatch(_EXTENSION, piece.strip(), re.IGNORECASE)
    return is_extension is None and any(sign.isalpha() for sign in piece)


def _has_number(piece: str) -> bool:
    return len(_digits(piece)) >= LEAST_DIGITS


def _digits(text: str) -> str:
    return "".join(sign for sign in text if sign.isdigit())
