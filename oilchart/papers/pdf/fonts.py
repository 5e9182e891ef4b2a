"""The embedded faces: text cleaned for them, measured, broken into lines, and what they lack.

A letter is set in the first face that has it: its own, the same type in the other weight, then the
shop's fallback fonts in their order.


reportlab keeps its fonts in a register of its own, one for the whole program; so the faces are
registered once, and which of the shop's fonts may be used meanwhile is a context.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby, islice
from pathlib import Path
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from oilchart.errors import OilchartError
from oilchart.papers.cleaning import printable
from oilchart.papers.pdf.direction import is_right_to_left, plain_form, turned, with_joined_letters

REGULAR = "DejaVuSansCondensed"
BOLD = "DejaVuSansCondensed-Bold"
LEADING = 1.22  # of the type size
# words and paragraphs whose measure is kept; a run of cards uses some hundreds again and again
KEPT = 8_192
# letters of a word that are measured at once before it is cut: few words have more
MEASURED_FIRST = 64
NO_LETTER = "□"  # what stands for a letter that no face has
RESTRICTED, NO_SUBSETTING, BITMAPS_ONLY = 0x0002, 0x0100, 0x0200  # of fsType
_FIVE_DIGITS = re.compile("<([0-9A-F]{5,6})>")
_FONT_REMEDY = "name a TrueType file that may be embedded"
_FOLDER = Path(__file__).resolve().parent / "faces"
_fallbacks: ContextVar[tuple[str, ...]] = ContextVar("fallbacks", default=())


@dataclass(frozen=True, slots=True)
class Run:
    """Words in one face."""

    words: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """A piece of a line: its text with the space after it, its face and its width in points.

    The text is in the order it is stored, which of right-to-left words is not that on paper.
    """

    text: str
    face: str
    width: float


Line = tuple[Word, ...]


class _Face(TTFont):  # type: ignore[misc]  # the library has no types
    """A face whose letters past U+FFFF are read out of a file as what they are.

    The library names them there in five digits, where two units of UTF-16 are wanted. How it names
    the streams is its own: its version is held for that reason.

    Source: ISO 32000-1:2008, 9.10.3 ToUnicode CMaps.
    """

    def addObjects(self, doc: Any) -> None:  # noqa: N802 - the library's name
        """Put the face into a document that is finished."""
        super().addObjects(doc)
        for name, stream in doc.idToObject.items():
            if str(name).startswith("toUnicodeCMap:"):
                stream.content = _FIVE_DIGITS.sub(_in_utf_16, stream.content)


def _in_utf_16(found: re.Match[str]) -> str:
    return f"<{chr(int(found[1], 16)).encode('utf-16-be').hex().upper()}>"


@cache
def faces() -> None:
    """Register both faces with reportlab, once."""
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(_Face(name, str(_FOLDER / f"{name}.ttf")))


@contextmanager
def fallbacks(fonts: Sequence[Path]) -> Iterator[None]:
    """All that is measured and set meanwhile may take letters from these fonts too.

    Raises:
        OilchartError: a file that is no TrueType font, or whose maker does not let it be embedded.
    """
    before = _fallbacks.set(tuple(_registered(font) for font in fonts))
    try:
        yield
    finally:
        _fallbacks.reset(before)


@cache
def _registered(font: Path) -> str:
    """A font's name among the faces: its path."""
    name = str(font)
    try:
        read = _Face(name, name)
        may_be = _may_be_embedded(read)
    except (TTFError, OSError, ValueError, IndexError, KeyError, AssertionError) as error:
        reason = "; ".join(str(error).split("\n")) or type(error).__name__
        raise OilchartError(
            f"{font}: cannot be used as a fallback font: {reason}; {_FONT_REMEDY}"
        ) from None
    if not may_be:
        raise OilchartError(
            f"{font}: cannot be used as a fallback font: its maker does not let it be embedded "
            f"in part; {_FONT_REMEDY}"
        )
    pdfmetrics.registerFont(read)
    return name


def _may_be_embedded(font: TTFont) -> bool:
    """Whether its maker lets the used letters of a font be put into a file.

    Source: OpenType 1.9 (2021), OS/2 table, fsType at its ninth byte.
    """
    if "OS/2" not in font.face.table:
        return True
    font.face.seek_table("OS/2")
    font.face.skip(8)
    rights = font.face.read_ushort()
    return rights & 0x000F != RESTRICTED and not rights & (NO_SUBSETTING | BITMAPS_ONLY)


def clean(text: str) -> str:
    """Text as it is printed: composed, on one line, without control and direction characters."""
    return " ".join(printable("".join(" " if char.isspace() else char for char in text)).split())


def missing(texts: Iterable[str]) -> str:
    """The characters that no face can print, each once, in order."""
    return "".join(
        dict.fromkeys(
            char
            for text in texts
            for char in _joined(clean(text))
            if _face_of(char, REGULAR) is None
        )
    )


def on_paper(text: str, face: str) -> list[tuple[str, str]]:
    """A line, or a piece of one, as it is set: letters with their face, from left to right."""
    return [(text, face)] if _is_plain(text, face) else _by_face(turned(_joined(text)), face)


def _by_face(text: str, face: str) -> list[tuple[str, str]]:
    """Letters with the face that has them, in their order."""
    letters = [(char, _face_of(char, face)) for char in text]
    set_in = [(char, name) if name is not None else (NO_LETTER, face) for char, name in letters]
    return [
        ("".join(char for char, _ in same), name)
        for name, same in groupby(set_in, key=lambda pair: pair[1])
    ]


@lru_cache(maxsize=KEPT)
def _is_plain(text: str, face: str) -> bool:
    """Whether a text is set as it is: its face has all letters, and they run to the right."""
    faces()
    return all(map(_glyphs(face).__contains__, map(ord, text))) and not is_right_to_left(text)


@lru_cache(maxsize=KEPT)
def stretches(line: Line) -> Line:
    """A line with neighbours of one face put together, so that words can change places."""
    groups = [list(same) for _, same in groupby(line, key=lambda word: word.face)]
    return tuple(
        Word("".join(word.text for word in same), same[0].face, sum(word.width for word in same))
        for same in groups
    )


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width of cleaned text in points."""
    face = BOLD if bold else REGULAR
    if _is_plain(text, face):
        return float(pdfmetrics.stringWidth(text, face, size))
    # which way they run makes no line of letters wider
    pieces = _by_face(_joined(text), face)
    return float(sum(pdfmetrics.stringWidth(letters, name, size) for letters, name in pieces))


def broken(runs: Sequence[Run], size: float, room: float, most: int | None = None) -> list[Line]:
    """Break runs into lines; a word that is wider than a whole line is cut.

    Args:
        size: of the type, in points.
        room: the greatest width of a line, in points.
        most: how many lines are wanted; what comes after them is not broken. None for all.
    """
    # how wide joined letters are depends on libraries that may come and go
    if any(is_right_to_left(run.words) for run in runs):
        return list(islice(_lines(runs, size, room), most))
    return list(_kept_lines(tuple(runs), size, room, most, _fallbacks.get()))


@lru_cache(maxsize=KEPT)
def _kept_lines(
    runs: tuple[Run, ...], size: float, room: float, most: int | None, _: tuple[str, ...]
) -> tuple[Line, ...]:
    """The lines of words that stand on many papers, kept by the fallback fonts in force."""
    return tuple(islice(_lines(runs, size, room), most))


def _lines(runs: Sequence[Run], size: float, room: float) -> Iterator[Line]:
    line: list[Word] = []
    used = 0.0
    for run in runs:
        face = BOLD if run.bold else REGULAR
        blank = text_width(" ", size, bold=run.bold)
        for word in clean(run.words).split(" "):
            for piece, is_last in _pieces(word, size, run.bold, room):
                width = text_width(piece, size, bold=run.bold)
                if line and used + width > room:
                    yield tuple(line)
                    line, used = [], 0.0
                line.append(
                    Word(piece + " ", face, width + blank) if is_last else Word(piece, face, width)
                )
                used += line[-1].width
    yield tuple(line)


def _pieces(word: str, size: float, bold: bool, room: float) -> Iterator[tuple[str, bool]]:
    """A word, cut where it is wider than a line, behind a hyphen if it has one there; with each
    piece whether it is the last."""
    at = 0
    while True:
        end = at + max(1, letters_that_fit(word, size, room, bold=bold, start=at))
        if end >= len(word):
            yield word[at:], True
            return
        end = word.rfind("-", at, end) + 1 or end
        yield word[at:end], False
        at = end


def letters_that_fit(
    text: str, size: float, room: float, *, bold: bool = False, start: int = 0, end: str = ""
) -> int:
    """How many letters of a cleaned text fit into a room; never a letter without the marks on it,
    unless these alone are wider.

    No more is measured than twice what fits, so that a long text takes as long a letter as a short
    one.

    Args:
        room: in points.
        start: the first of the letters.
        end: what stands after them.
    """

    def fits(count: int) -> bool:
        return text_width(text[start : start + count] + end, size, bold=bold) <= room

    left = len(text) - start
    fitting, most = 0, min(MEASURED_FIRST, left)
    while fits(most):
        if most == left:
            return left
        fitting, most = most, min(2 * most, left)
    while most - fitting > 1:
        middle = (fitting + most) // 2
        fitting, most = (middle, most) if fits(middle) else (fitting, middle)
    with_marks = fitting
    while with_marks and unicodedata.category(text[start + with_marks])[0] == "M":
        with_marks -= 1
    return with_marks or fitting


def _joined(text: str) -> str:
    """Arabic letters in their joined forms, those that the faces lack in their plain one."""
    return "".join(
        char if _face_of(char, REGULAR) is not None else plain_form(char)
        for char in with_joined_letters(text)
    )


def _face_of(char: str, face: str) -> str | None:
    """The first face that has a letter, beginning with its own."""
    faces()
    return next(
        (name for name in (face, REGULAR, BOLD, *_fallbacks.get()) if ord(char) in _glyphs(name)),
        None,
    )


def _glyphs(face: str) -> dict[int, int]:
    glyphs: dict[int, int] = pdfmetrics.getFont(face).face.charToGlyph
    return glyphs
