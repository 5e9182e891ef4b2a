"""A terminal as a stream: nothing of a book or a file that is shown there can steer it."""

from __future__ import annotations

import codecs
import io
import re
import sys
from typing import TextIO

# the colours of our own tables (papers/screen.py), and whatever else a terminal would obey: control
# characters but for line ends and tabs, and those that turn a line round
TURNING = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_COLOURS = r"\x1b\[(?:[012]|3[1236])(?:;3[1236])?m"
_STEERING = rf"[\x00-\x08\x0b-\x1f\x7f-\x9f{TURNING}]"
_FOUND = re.compile(f"({_COLOURS})|{_STEERING}")


def harmless(text: str) -> str:
    """A text with a blank in the place of each letter that would steer a terminal."""
    return _FOUND.sub(lambda found: found[1] or " ", text)


def harmless_words(text: str) -> str:
    """The same without colours: what was typed or read is repeated in none."""
    return re.sub(_STEERING, " ", text)


class Terminal(io.TextIOWrapper):
    """A stream to a terminal, to which only letters, line ends and the colours of tables go."""

    def write(self, text: str) -> int:
        """Write what of a text is harmless."""
        return super().write(harmless(text))


def guarded(stream: TextIO) -> TextIO:
    """A stream that cannot steer its terminal; one that goes elsewhere stays as it is."""
    if isinstance(stream, Terminal) or not (
        isinstance(stream, io.TextIOWrapper) and stream.isatty()
    ):
        return stream
    # click takes the place of a stream that says it has no letters but ASCII's, and writes UTF-8
    plain = codecs.lookup(stream.encoding).name == "ascii"
    return Terminal(
        stream.buffer,
        encoding="utf-8" if plain else stream.encoding,
        errors=stream.errors,
        line_buffering=True,
    )


def bare_stderr() -> TextIO:
    """Stderr for what is meant to steer the terminal, like a bar that grows."""
    bare = sys.__stderr__
    return bare if isinstance(sys.stderr, Terminal) and bare is not None else sys.stderr
