"""Letters as plain text: one after the other, a form feed between them, lines of at most 72
letters."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from oilchart.papers.cleaning import printable
from oilchart.papers.letter.content import Letter
from oilchart.papers.wording import INVENTED

WIDE = 72
FORM_FEED = "\f"
RULE = "-" * WIDE


def letters_text(letters: Iterable[Letter]) -> str:
    """Write letters as text; the form feed stands on a line of its own."""
    return f"{FORM_FEED}\n".join(_letter(letter) for letter in letters)


def _letter(letter: Letter) -> str:
    home = letter.home
    blocks = [
        _lines(letter.sender),
        _lines(letter.address),
        _lines([letter.day]),
        *(_lines(warning) for warning in letter.unsafe),
        _lines([letter.subject]),
        *_paragraphs(letter),
        *(_lines([line]) for line in letter.closing[:1]),
        *([_lines(letter.closing[1:])] if letter.closing[1:] else []),
        RULE,
        _lines([home.stop_and_ring(letter.shop.phone), home.stop_when]),
        _lines([home.never_heading, f"{'; '.join(home.never_at_home)}."]),
        *([_lines([letter.style.footer])] if letter.style.footer.strip() else []),
        *([_lines([INVENTED])] if letter.shop.invented else []),
    ]
    return "\n\n".join(blocks) + "\n"


def _paragraphs(letter: Letter) -> list[str]:
    """The paragraphs; points of a list follow each other without an empty line."""
    blocks: list[str] = []
    listed = False
    for paragraph in letter.paragraphs:
        words = _wrapped(paragraph.words, mark="- " if paragraph.listed else "")
        if paragraph.listed and listed:
            blocks[-1] += f"\n{words}"
        else:
            blocks.append(words)
        listed = paragraph.listed
    return blocks


def _lines(lines: Sequence[str]) -> str:
    return "\n".join(_wrapped(line) for line in lines)


def _wrapped(words: str, mark: str = "") -> str:
    text = " ".join(printable(words, instead=" ").split())
    wrapped = textwrap.wrap(
        text, WIDE, initial_indent=mark, subsequent_indent=" " * len(mark), break_on_hyphens=False
    )
    return "\n".join(wrapped) or mark.strip()
