"""Knows the embedded faces: cleans text for them, measures it, breaks it into lines and tells what they cannot print."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from oilchart.papers.cleaning import shown

REGULAR = "DejaVuSansCondensed"
BOLD = "DejaVuSansCondensed-Bold"
LEADING = 1.22  # of the type size
_FOLDER = Path(__file__).resolve().parent / "fonts"


@dataclass(frozen=True, slots=True)
class Run:
    """Words in one face."""

    words: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """A piece of a line: its text with the space after it, its face and its width in points."""

    text: str
    face: str
    width: float


Line = tuple[Word, ...]


@cache
def faces() -> None:
    """Register both faces, once."""
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(_FOLDER / f"{name}.ttf")))


def clean(text: str) -> str:
    """Text as it is printed: composed, on one line, without control and direction characters."""
    return " ".join(shown("".join(" " if char.isspace() else char for char in text)).split())


def missing(texts: Iterable[str]) -> str:
    """The characters that the faces cannot print, each once, in order."""
    faces()
    glyphs = pdfmetrics.getFont(REGULAR).face.charToGlyph
    return "".join(dict.fromkeys(char for text in texts for char in clean(text) if ord(char) not in glyphs))


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Width of cleaned text in points."""
    faces()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size))


def broken(runs: Sequence[Run], size: float, room: float) -> list[Line]:
    """Break runs into lines no wider than the room, in points; a word that is wider than a whole line is cut."""
    lines: list[list[Word]] = [[]]
    used = 0.0
    for run in runs:
        for word in clean(run.words).split(" "):
            for piece in _pieces(word, size, run.bold, room):
                wide = width(piece, size, bold=run.bold)
                if lines[-1] and used + wide > room:
                    lines.append([])
                    used = 0.0
                spaced = piece + " "
                lines[-1].append(Word(spaced, BOLD if run.bold else REGULAR, width(spaced, size, bold=run.bold)))
                used += lines[-1][-1].width
    return [tuple(line) for line in lines]


def _pieces(word: str, size: float, bold: bool, room: float) -> list[str]:
    """A word, cut only where it is wider than a line."""
    pieces = []
    while width(word, size, bold=bold) > room and len(word) > 1:
        fits = next((length for length in range(len(word) - 1, 0, -1) if width(word[:length], size, bold=bold) <= room), 1)
        pieces.append(word[:fits])
        word = word[fits:]
    return [*pieces, word]
