"""How names, models and serial numbers are compared that people write in many ways."""

from __future__ import annotations

import re
import unicodedata

# letters that no mark can be taken off, as those write them who have not got them
WITHOUT_THEM = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ħ": "h", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th"}
)


def plain(text: str) -> str:
    """The letters and figures of a text alone, without accents, case, spaces and dashes: of "H3-20
    417" h320417, of "Óscar" oscar."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in apart.translate(WITHOUT_THEM) if sign.isalnum())


def plain_words(text: str) -> list[str]:
    """The words of a text, each as `plain` has it; a hyphen and an apostrophe part none."""
    return [word for word in map(plain, text.split()) if word]


def has_part(name: str, wanted: str) -> bool:
    """Whether a name holds what is wanted: some of its letters as they follow each other, and over
    the end of a word only from the beginning of one or where both have a blank, so that Juan Nadal
    is no Anna."""
    words = plain_words(name)
    parted, joined = " ".join(words), "".join(words)
    sought = plain_words(wanted)
    if not sought:
        return False
    if " ".join(sought) in parted:
        return True
    begins = [len("".join(words[:at])) for at in range(len(words))]
    hyphened = " ".join(word for part in name.split() for word in _parts_of(part))
    return " ".join(sought) in hyphened or any(
        joined.startswith("".join(sought), begin) for begin in begins
    )


def _parts_of(word: str) -> list[str]:
    """A word parted at its hyphens, each part as `plain` has it."""
    return [part for part in map(plain, re.split(r"[-\u2010-\u2015]", word)) if part]
