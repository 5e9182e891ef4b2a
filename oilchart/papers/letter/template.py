"""A letter's template, filled in: its subject, paragraphs and closing.

Templates are plain text in UTF-8 for jinja2, in a folder "letters" of the templates; a shop
replaces one by a file of the same name in its own folder. They can look at the values they are
given and at nothing else of the program.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from oilchart.errors import FaultyList
from oilchart.papers.cleaning import printable
from oilchart.papers.templates import environment, file_of, template_fault

REMEDY = "mend that line, or take the file away for the shipped text"
LETTERS = "letters"
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
    text = _filled(f"{name}.txt", templates, values)
    lines = [line.strip() for line in text.splitlines()]
    blocks: list[list[str]] = [[]]
    for line in lines:
        if line:
            blocks[-1].append(line)
        elif blocks[-1]:
            blocks.append([])
    blocks = [block for block in blocks if block]
    if len(blocks) < 3:
        place = file_of(f"{name}.txt", _letter_folders(templates))
        raise FaultyList(
            [
                f"{place}: has no letter in it: write a subject, paragraphs and a closing, "
                "with empty lines between them"
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


def _letter_folders(templates: Sequence[Path]) -> list[Path]:
    return [folder / LETTERS for folder in templates]


def _filled(name: str, templates: Sequence[Path], values: Mapping[str, object]) -> str:
    try:
        # it is text: the PDF's ink takes any letter as it is
        files = environment(tuple(templates), _on_one_line, autoescape=False, below=LETTERS)
        return files.get_template(name).render(values)
    # a template is a program of its writer: whatever goes wrong in it is told with its line
    except Exception as error:
        raise FaultyList(
            [template_fault(error, name, _letter_folders(templates), REMEDY)]
        ) from None


def _on_one_line(value: object) -> object:
    """Words from the book can neither begin a paragraph nor turn a line round."""
    return " ".join(printable(value, instead=" ").split()) if isinstance(value, str) else value
