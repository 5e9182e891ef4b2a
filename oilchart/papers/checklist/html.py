"""A bench checklist as a page for the screen over the bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from string import ascii_uppercase

from markupsafe import Markup

from oilchart import bounds
from oilchart.core.records.job import Danger
from oilchart.papers.checklist.content import Checklist, ChecklistStage, change_words, stock_words
from oilchart.papers.danger_words import DANGER_HEADINGS, NOT_WHILE_UNSAFE
from oilchart.papers.drawing.colours import ACCENTS
from oilchart.papers.drawing.svg import photo_address, picture_svg
from oilchart.papers.html.page import page
from oilchart.papers.wording import INVENTED, capital, day_words, minutes_words

# first part of the key under which a browser keeps a list's ticks; the number is their form's
KEPT = "oilchart:2:checklist"
DAYS_KEPT = 60  # after the last tick; a machine may wait that long for a part
QUARTERS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Chore:
    """What is opened before the points of a stage, or closed after them; it is ticked like a
    point.

    Args:
        power: it needs current.
        struck: it is not done while the machine is unsafe.
    """

    id: str
    words: str
    power: bool
    struck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """A stage as the page shows it: with a letter, so that its name fits the narrow strip of
    progress.

    Args:
        boxes: how many ticks finish it; what is not done this time is not counted.
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
        templates: folders with checklist.html, checklist.css and checklist.js; an earlier one wins,
            file by file.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    bays = _bays(checklist)
    return page(
        "checklist",
        templates,
        accent=ACCENTS[checklist.style.colour],
        functions={
            "minutes_short": _minutes_short,
            "change_words": change_words,
            "stock_words": stock_words,
        },
        # drawings, photos and logo go to the page as text, not as the files they are read from
        checklist=replace(
            checklist, pictures=(), photos=(), style=replace(checklist.style, logo=None)
        ),
        logo=None if checklist.style.logo is None else photo_address(checklist.style.logo.photo),
        bays=bays,
        boxes=sum(bay.boxes for bay in bays),
        pictures=tuple(
            (picture.name, Markup(picture_svg(picture))) for picture in checklist.pictures
        ),
        photos=tuple((shown.words, photo_address(shown.photo)) for shown in checklist.photos),
        key=f"{KEPT}:{checklist.kept_under}" if checklist.kept_under else "",
        days_kept=DAYS_KEPT,
        note_letters=bounds.WORDS_LETTERS,
        name_letters=bounds.NAME_LETTERS,
        day=day_words(checklist.on),
        invented=INVENTED,
        dangers=_dangers(checklist),
        not_while_unsafe=capital(NOT_WHILE_UNSAFE),
    )


def _dangers(checklist: Checklist) -> tuple[tuple[str, str], ...]:
    """What the machine can be found to be, as kinds of danger with their headings."""
    kinds = tuple(Danger) if checklist.has_plug else (Danger.MECHANICAL,)
    return tuple((kind.value, DANGER_HEADINGS[kind]) for kind in kinds)


def _bays(checklist: Checklist) -> tuple[Bay, ...]:
    """The stages that have something to tick, lettered."""
    stages = [stage for stage in checklist.stages if stage.open or stage.steps or stage.close]
    return tuple(
        _bay(letter, stage) for letter, stage in zip(_letters(len(stages)), stages, strict=True)
    )


def _letters(number: int) -> list[str]:
    """A to Z, then AA to AZ and so on."""
    return [
        (ascii_uppercase[at // 26 - 1] if at >= 26 else "") + ascii_uppercase[at % 26]
        for at in range(number)
    ]


def _bay(letter: str, stage: ChecklistStage) -> Bay:
    planned = [step for step in stage.steps if step.planned]
    chores = [words for words in (*stage.open, *stage.close) if words not in stage.struck]
    minutes = sum((step.minutes for step in planned), start=Fraction(0))
    return Bay(
        letter=letter,
        stage=stage,
        first=_chores(stage, "open", stage.open),
        last=_chores(stage, "close", stage.close),
        boxes=len(planned) + len(chores),
        minutes=minutes_words(minutes) if minutes else "",
    )


def _chores(stage: ChecklistStage, part: str, words: tuple[str, ...]) -> tuple[Chore, ...]:
    return tuple(
        Chore(
            id=f"{stage.id}:{part}:{number}",
            words=line,
            power=line in stage.power,
            struck=line in stage.struck,
        )
        for number, line in enumerate(words, start=1)
    )


def _minutes_short(minutes: Fraction) -> str:
    """½ min, 3 min, 1½ min; what is no whole quarter is rounded to a tenth."""
    whole, rest = divmod(minutes, 1)
    if rest == 0:
        return f"{whole} min"
    return (
        f"{whole or ''}{QUARTERS[rest]} min"
        if rest in QUARTERS
        else f"{float(round(minutes, 1)):g} min"
    )
