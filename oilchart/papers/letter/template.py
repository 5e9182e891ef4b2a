"""Knows how a letter's template becomes its subject, paragraphs and closing, and tells where a
faulty one is faulty.

Templates are plain text in UTF-8 for jinja2, in a folder "letters" of the templates; a shop
replaces one by a file of the same name in its own folder. They can look at the values they are
given and at nothing else of the program.
"""

from __future__ import annotations

import traceback
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from jinja2 import FileSystemLoader, StrictUndefined, TemplateError, TemplateSyntaxError
from jinja2.sandbox import SandboxedEnvironment

from oilchart.errors import FaultyList
from oilchart.papers.cleaning import printable

REMEDY = "mend that line, or take the file away for the shipped text"
LIST_MARK = "- "


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words that run on; `listed` ones are a point of a list."""

    words: str
    listed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """What a template says, filled in; the closing keeps its lines."""

    subject: str
    paragraphs: tuple[Paragraph, ...]
    closing: tuple[str, ...]


def wording(name: str, templates: Sequence[Path], values: Mapping[str, object]) -> Wording:
    """Fill in a template.

    The first block of lines is the subject, the last one the closing. Between them the lines of a
    block run on; one that begins with "- " begins a point of a list.

    Args:
        name: of the template, "service" for letters/service.txt.
        templates: folders with a folder "letters"; an earlier one wins, file by file.

    Raises:
        FaultyList: the template cannot be used, with file and line.
    """
    folders = [folder / "letters" for folder in templates]
    text = _filled(f"{name}.txt", folders, values)
    lines = [line.strip() for line in text.splitlines()]
    blocks: list[list[str]] = [[]]
    for line in lines:
        if line:
            blocks[-1].append(line)
        elif blocks[-1]:
            blocks.append([])
    blocks = [block for block in blocks if block]
    if len(blocks) < 3:
        place = _place(f"{name}.txt", folders)
        raise FaultyList(
            [
                f"{place}: has no letter in it: write a subject, paragraphs and a closing, with empty lines between them"
            ]
        )
    return Wording(
        subject=" ".join(blocks[0]),
        paragraphs=tuple(paragraph for block in blocks[1:-1] for paragraph in _paragraphs(block)),
        closing=tuple(blocks[-1]),
    )


def _paragraphs(block: Sequence[str]) -> list[Paragraph]:
    """A block's words, cut where points of a list begin."""
    parts: list[Paragraph] = []
    for line in block:
        if line.startswith(LIST_MARK):
            parts.append(Paragraph(line.removeprefix(LIST_MARK).strip(), listed=True))
        elif parts:
            parts[-1] = Paragraph(f"{parts[-1].words} {line}", parts[-1].listed)
        else:
            parts.append(Paragraph(line))
    return parts


@cache
def _shelf(folders: tuple[Path, ...]) -> SandboxedEnvironment:
    return SandboxedEnvironment(
        # some editors begin a file with a mark
        loader=FileSystemLoader(folders, encoding="utf-8-sig"),
        autoescape=False,  # it is text; the PDF's ink takes any letter as it is
        undefined=StrictUndefined,
        finalize=_on_one_line,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _filled(name: str, folders: Sequence[Path], values: Mapping[str, object]) -> str:
    try:
        return _shelf(tuple(folders)).get_template(name).render(values)
    # a template is a program of its writer: whatever goes wrong in it is told with its line
    except Exception as error:
        raise FaultyList([_fault(error, name, folders)]) from None


def _on_one_line(value: object) -> object:
    """Words from the book can neither begin a paragraph nor turn a line round."""
    return " ".join(printable(value, instead=" ").split()) if isinstance(value, str) else value


def _fault(error: Exception, name: str, folders: Sequence[Path]) -> str:
    """Place and fault: the last line of a template that was being read or filled in."""
    if isinstance(error, TemplateSyntaxError):
        return f"{error.filename or error.name}: line {error.lineno}: {error.message}: {REMEDY}"
    if isinstance(error, UnicodeDecodeError):
        return f"{_place(name, folders)}: is not UTF-8 text at byte {error.start}: save it as UTF-8"
    # a template that is not found is both
    if isinstance(error, OSError) and not isinstance(error, TemplateError):
        return f"{error.filename}: cannot be read: {error.strerror}: see that it may be read"
    frames = [
        frame
        for frame in traceback.extract_tb(error.__traceback__)
        if frame.filename.endswith(".txt")
    ]
    place = f"{frames[-1].filename}: line {frames[-1].lineno}" if frames else _place(name, folders)
    kind = "" if isinstance(error, TemplateError) else f"{type(error).__name__}: "
    return f"{place}: {kind}{' '.join(str(error).split())}: {REMEDY}"


def _place(name: str, folders: Sequence[Path]) -> str:
    """The file that is taken for a template."""
    return str(
        next((path for folder in folders if (path := folder / name).is_file()), folders[-1] / name)
    )
