"""The order in which right-to-left words stand on paper, and how Arabic letters join.

That takes the libraries of the [rtl] extra.
"""

from __future__ import annotations

import importlib.util
import re
import unicodedata
from functools import cache
from typing import Any

# Hebrew, Arabic and their neighbours, with their presentation forms
_TURNS = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
_RIGHT_TO_LEFT = re.compile(f"[{_TURNS}]")
_LETTERS_THAT_JOIN = re.compile("[\u0600-\u08ff]")
_TO_THE_LEFT = "\u200e"
# A comma after the last right-to-left word ends its stretch, so that "7 Tide Lane" after it stays
# "7 Tide Lane".
_STRETCH_END = re.compile(f"(?<=[{_TURNS}])([,;:.]+)(?=\\s[^{_TURNS}A-Za-z]*(?:[A-Za-z]|$))")
# Brackets round right-to-left words change places with the words and are left turned the wrong way.
_BRACKETED = re.compile(r"[)\]}]([^()\[\]{}A-Za-z]*)[(\[{]")
_OTHER_BRACKET = str.maketrans("()[]{}", ")(][}{")
_LIBRARIES = ("bidi", "arabic_reshaper")


def is_right_to_left(text: str) -> bool:
    """Whether a text has right-to-left letters."""
    return _RIGHT_TO_LEFT.search(text) is not None


def can_be_turned() -> bool:
    """Whether the libraries are there.

    Without them right-to-left words stand in the order they are stored, letters unjoined.
    """
    return all(_is_there(name) for name in _LIBRARIES)


@cache
def _is_there(library: str) -> bool:
    """Looked for once: that takes longer than to turn a line."""
    return importlib.util.find_spec(library) is not None


def with_joined_letters(text: str) -> str:
    """A text with its Arabic letters in their joined forms, in the order it is stored."""
    if _LETTERS_THAT_JOIN.search(text) is None or not can_be_turned():
        return text
    return str(_reshaper().reshape(text))


def turned(text: str) -> str:
    """A line of English in the order it stands on paper, from left to right.

    Args:
        text: joined already; a line is broken before it is turned.
    """
    if not is_right_to_left(text) or not can_be_turned():
        return text
    from bidi import get_display

    ended = _STRETCH_END.sub(rf"\1{_TO_THE_LEFT}", text)
    on_paper = str(get_display(ended, base_dir="L")).replace(_TO_THE_LEFT, "")
    return _BRACKETED.sub(
        lambda found: (
            found[0].translate(_OTHER_BRACKET) if is_right_to_left(found[1]) else found[0]
        ),
        on_paper,
    )


def plain_form(letter: str) -> str:
    """A letter in its own form, of one in the form it takes beside others."""
    return unicodedata.normalize("NFKC", letter)


@cache
def _reshaper() -> Any:
    from arabic_reshaper import ArabicReshaper, ligatures

    others = [
        name
        for name, _ in ligatures.LIGATURES
        if not name.startswith("ARABIC LIGATURE LAM WITH ALEF")
    ]
    # the ligatures of lam and alef are the only ones that every Arabic hand writes, and that the
    # papers' type has
    return ArabicReshaper(
        {
            "delete_harakat": False,
            "support_ligatures": True,
            **dict.fromkeys(others, False),
        }
    )
