"""How names, models and serial numbers are compared that people write in many ways."""

from __future__ import annotations

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
    """The words of a text, each as `plain` has it; what is no letter and no figure parts none that
    a hyphen or an apostrophe joins."""
    return [word for word in map(plain, text.split()) if word]
