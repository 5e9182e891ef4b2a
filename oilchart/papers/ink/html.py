"""Knows how a bench checklist becomes one self-contained HTML page for the screen over the bench.

The page holds its one style and its one script, named by their hashes in its Content-Security-Policy; nothing else on it may run or be
fetched. No data stands inside the script: what it needs are the page's data attributes.
"""

from __future__ import annotations

import base64
import hashlib
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from string import ascii_uppercase

from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateError, TemplateSyntaxError
from markupsafe import Markup

from oilchart.errors import FaultyList
from oilchart.papers.checklist import Checklist, ChecklistStage, step_line
from oilchart.papers.cleaning import shown
from oilchart.papers.ink.svg import picture_css, picture_svg
from oilchart.papers.looks import COLOURS
from oilchart.papers.wording import INVENTED, counted, day_words, minutes_words

KEPT = "oilchart:1:checklist"  # first part of the key under which a browser keeps a list's ticks; the number is their form's
QUARTERS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Chore:
    """What is opened before the points of a stage, or closed after them; it is ticked like a point."""

    id: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """A stage as the page shows it: with a letter, so that its name fits the narrow strip of progress.

    Args:
        boxes: how many ticks finish it; steps that are put off are not counted.
        minutes: of its steps, in words; empty where they take none.
    """

    letter: str
    stage: ChecklistStage
    first: tuple[Chore, ...]
    last: tuple[Chore, ...]
    boxes: int
    minutes: str


def checklist_page(checklist: Checklist, templates: Sequence[Path]) -> str:
    """Write a checklist as a page.

    Args:
        templates: folders with checklist.html, checklist.css and checklist.js; an earlier one wins, file by file.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    try:
        return _rendered(checklist, templates)
    except (TemplateError, UnicodeDecodeError) as error:
        raise FaultyList([_template_fault(error)]) from None


def _rendered(checklist: Checklist, templates: Sequence[Path]) -> str:
    shelf = Environment(
        loader=FileSystemLoader(templates),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_without_tricks,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    style = "\n".join([_palette(), picture_css(), _as_written(shelf, "checklist.css")])
    script = _as_written(shelf, "checklist.js")
    bays = _bays(checklist)
    return shelf.get_template("checklist.html").render(
        checklist=checklist,
        bays=bays,
        boxes=sum(bay.boxes for bay in bays),
        picture=None if checklist.picture is None else Markup(picture_svg(checklist.picture)),
        key=":".join([KEPT, checklist.model, checklist.machine or "", checklist.on.isoformat()]),
        day=day_words(checklist.on),
        invented=INVENTED,
        policy=f"default-src 'none'; style-src '{_sha256(style)}'; script-src '{_sha256(script)}'; img-src data:; "
        "base-uri 'none'; form-action 'none'",
        style=Markup(style),
        script=Markup(script),
        counted=counted,
        minutes_short=_minutes_short,
        step_line=step_line,
    )


def _template_fault(error: TemplateError | UnicodeDecodeError) -> str:
    """Where a template is faulty: the last line of a template that was being read or filled in."""
    if isinstance(error, TemplateSyntaxError):
        return f"{error.filename or error.name}: line {error.lineno}: {error.message}: mend that line or take the template away"
    frames = [frame for frame in traceback.extract_tb(error.__traceback__) if frame.filename.endswith(".html")]
    place = f"{frames[-1].filename}: line {frames[-1].lineno}" if frames else "template"
    return f"{place}: {' '.join(str(error).split())}: mend that line or take the template away"


def _as_written(shelf: Environment, name: str) -> str:
    """A file beside the page's template, taken as it is: style and script are no templates."""
    assert shelf.loader is not None
    return shelf.loader.get_source(shelf, name)[0]


def _without_tricks(value: object) -> object:
    """Text composed, and without the control and direction characters that could turn a line of the page round."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return shown(value)


def _palette() -> str:
    """The papers' colours under their names, for the style to use."""
    return f":root {{ {' '.join(f'--{name}: {value};' for name, value in COLOURS.items())} }}"


def _sha256(block: str) -> str:
    """How a policy names a block of style or script."""
    return f"sha256-{base64.b64encode(hashlib.sha256(block.encode()).digest()).decode()}"


def _bays(checklist: Checklist) -> list[Bay]:
    """The stages that have something to tick, lettered."""
    stages = [stage for stage in checklist.stages if stage.open or stage.steps or stage.close]
    return [_bay(letter, stage) for letter, stage in zip(_letters(len(stages)), stages, strict=True)]


def _letters(number: int) -> list[str]:
    """A to Z, then AA to AZ and so on."""
    return [(ascii_uppercase[at // 26 - 1] if at >= 26 else "") + ascii_uppercase[at % 26] for at in range(number)]


def _bay(letter: str, stage: ChecklistStage) -> Bay:
    planned = [step for step in stage.steps if step.later is None]
    minutes = sum((step.minutes for step in planned), start=Fraction(0))
    return Bay(
        letter=letter,
        stage=stage,
        first=_chores(f"{stage.id}:open", stage.open),
        last=_chores(f"{stage.id}:close", stage.close),
        boxes=len(stage.open) + len(planned) + len(stage.close),
        minutes=minutes_words(minutes) if minutes else "",
    )


def _chores(prefix: str, words: tuple[str, ...]) -> tuple[Chore, ...]:
    return tuple(Chore(id=f"{prefix}:{number}", words=line) for number, line in enumerate(words, start=1))


def _minutes_short(minutes: Fraction) -> str:
    """½ min, 3 min, 1½ min; what is no whole quarter is rounded to a tenth."""
    whole, rest = divmod(minutes, 1)
    if rest == 0:
        return f"{whole} min"
    return f"{whole or ''}{QUARTERS[rest]} min" if rest in QUARTERS else f"{float(round(minutes, 1)):g} min"
