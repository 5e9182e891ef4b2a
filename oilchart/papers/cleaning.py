"""A text as it may be shown: without control characters, and without those that would turn a line
round."""

from __future__ import annotations

import unicodedata

JOINERS = "\u200c\u200d"  # format characters that some scripts and signs need


def printable(text: str, *, instead: str = "") -> str:
    """A text composed (NFC), its control and direction characters left out.

    Args:
        instead: what stands in the place of each of them.
    """
    composed = unicodedata.normalize("NFC", text)
    return "".join(
        char if char in JOINERS or unicodedata.category(char)[0] != "C" else instead
        for char in composed
    )
