"""What is noted of a service: which points were done, how each was found and left."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from oilchart.core.point_lists.point_list import Keeper, PointList
from oilchart.errors import OilchartError


class Found(StrEnum):
    """How a point was found; several may hold."""

    GOOD = "good"
    DRY = "dry"
    GUMMED = "gummed"
    SEIZED = "seized"
    PACKED = "packed with lint"
    OVER_OILED = "over-oiled"
    WRONG_OIL = "wrong oil"
    RUSTY = "rusty"
    WORN = "worn"
    CRACKED = "cracked"
    LOOSE = "loose"
    OUT_OF_TIME = "out of time"
    MISSING = "missing"
    NOT_CHECKED = "not checked"


class Left(StrEnum):
    """How a point was left."""

    GOOD = "good"
    WATCH = "watch"
    PART_ORDERED = "part ordered"
    DECLINED = "declined"


# what is written on paper in the place of a word
FOUND_SIGNS = {
    "D": Found.DRY,
    "G": Found.GUMMED,
    "S": Found.SEIZED,
    "L": Found.PACKED,
    "O": Found.OVER_OILED,
    "X": Found.WRONG_OIL,
    "R": Found.RUSTY,
    "W": Found.WORN,
    "C": Found.CRACKED,
    "F": Found.LOOSE,
    "T": Found.OUT_OF_TIME,
    "M": Found.MISSING,
    "N": Found.NOT_CHECKED,
}
LEFT_SIGNS = {"?": Left.WATCH, "+": Left.PART_ORDERED, "-": Left.DECLINED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What was noted at one point of a service.

    Args:
        point: its id in the list.
        done: false for a point left out, and for one that could wait.
        planned: false for a point that could wait, and for work at named points only.
    """

    point: str
    done: bool = True
    planned: bool = True
    found: tuple[Found, ...] = ()
    left: Left | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceNotes:
    """What is told of a service.

    Args:
        excepted, also: points that were not done though planned, and done though not planned.
        only: the points at which alone there was work; empty where the service was a whole one.
        ticked: the points ticked on a bench checklist; None where none is told of: then all that
            was planned was done.
        freed: the machine had been seized and was freed; it settles in now.
        unsafe: why it must not be plugged in; empty where nothing is known against it.
        accept: the shorter intervals that the findings propose hold from now on.
        back_on: the day on which it is wanted back for what was left out and cannot wait.
    """

    excepted: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    found: tuple[tuple[str, tuple[Found, ...]], ...] = ()
    left: tuple[tuple[str, Left], ...] = ()
    note: str = ""
    ticked: tuple[str, ...] | None = None
    freed: bool = False
    unsafe: str = ""
    accept: bool = False
    back_on: date | None = None

    @property
    def points(self) -> tuple[str, ...]:
        """All points that are named."""
        noted = (*(point for point, _ in self.found), *(point for point, _ in self.left))
        return (*self.excepted, *self.also, *self.only, *noted, *(self.ticked or ()))

    def named_by(self, point_id: Callable[[str], str]) -> ServiceNotes:
        """The same with each point by its id.

        Args:
            point_id: of a point as it was named.
        """
        return replace(
            self,
            excepted=tuple(map(point_id, self.excepted)),
            also=tuple(map(point_id, self.also)),
            only=tuple(map(point_id, self.only)),
            found=tuple((point_id(point), words) for point, words in self.found),
            left=tuple((point_id(point), word) for point, word in self.left),
            ticked=None if self.ticked is None else tuple(map(point_id, self.ticked)),
        )


class NotesPart(StrEnum):
    """A part of what is told of a service, named as in `ServiceNotes`."""

    EXCEPTED = "excepted"
    ALSO = "also"
    ONLY = "only"
    FOUND = "found"
    LEFT = "left"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Overruled:
    """One thing in which what is said of a service differs from a checklist; what is said counts.

    Args:
        point: empty for the note.
        listed, said: the words of both; empty where the part itself tells them.
    """

    part: NotesPart
    point: str = ""
    listed: str = ""
    said: str = ""


class ContradictoryNotes(OilchartError):
    """What is told of a service contradicts itself at a point: in two parts, or twice in one."""

    def __init__(self, point: str, parts: tuple[NotesPart, NotesPart]) -> None:
        self.point, self.parts = point, parts
        both = "twice" if parts[0] is parts[1] else f"and as {parts[1]}"
        super().__init__(f'point "{point}": is told as {parts[0]} {both}; keep one of them')


def told_besides(
    listed: ServiceNotes, said: ServiceNotes
) -> tuple[ServiceNotes, tuple[Overruled, ...]]:
    """Put what is said of a service beside what a checklist tells: where they differ, what is said
    counts.

    Returns:
        Both in one, and each thing in which they differ.
    """
    ticked = dict.fromkeys(listed.ticked or ())
    found, left = dict(listed.found), dict(listed.left)
    said_found: dict[str, tuple[Found, ...]] = {}
    for point, words in said.found:
        said_found[point] = (*said_found.get(point, ()), *words)
    overruled = [
        *(
            Overruled(part=NotesPart.EXCEPTED, point=point)
            for point in said.excepted
            if point in ticked
        ),
        *(
            Overruled(part=NotesPart.ALSO, point=point)
            for point in said.also
            if point not in ticked
        ),
        *(
            Overruled(
                part=NotesPart.FOUND,
                point=point,
                listed=", ".join(found[point]),
                said=", ".join(words),
            )
            for point, words in said_found.items()
            if set(found.get(point, words)) != set(words)
        ),
        *(
            Overruled(part=NotesPart.LEFT, point=point, listed=left[point], said=word)
            for point, word in said.left
            if left.get(point, word) != word
        ),
    ]
    if said.note and listed.note not in ("", said.note):
        overruled.append(Overruled(part=NotesPart.NOTE, listed=listed.note, said=said.note))
    both = replace(
        said,
        found=tuple((found | said_found).items()),
        left=(
            *((point, word) for point, word in listed.left if point not in dict(said.left)),
            *said.left,
        ),
        note=said.note or listed.note,
        ticked=tuple(point for point in ticked if point not in said.excepted),
    )
    return both, tuple(overruled)


def same_noted(findings: Sequence[Finding], others: Sequence[Finding]) -> bool:
    """Whether the same was done and noted.

    What was only left out, as planned on one day and not on another, does not count.
    """
    return _noted(findings) == _noted(others)


def _noted(findings: Sequence[Finding]) -> set[Finding]:
    return {
        replace(each, planned=True) for each in findings if each.done or each.found or each.left
    }


def as_once_kept(findings: Sequence[Finding]) -> set[Finding]:
    """Findings as a service kept them before it had a row for each bench point: none of what could
    wait, and all as planned."""
    left_out = (each for each in findings if each.planned and not each.done)
    return _noted(findings) | set(left_out)


def check_notes(notes: ServiceNotes) -> None:
    """What is told of a service must not contradict itself.

    Raises:
        ContradictoryNotes
    """
    for point_id in notes.excepted:
        if point_id in notes.also:
            raise ContradictoryNotes(point_id, (NotesPart.EXCEPTED, NotesPart.ALSO))
    if notes.only and (notes.excepted or notes.also):
        other = NotesPart.EXCEPTED if notes.excepted else NotesPart.ALSO
        raise ContradictoryNotes((notes.excepted or notes.also)[0], (other, NotesPart.ONLY))
    left = [point_id for point_id, _ in notes.left]
    for point_id in left:
        if left.count(point_id) > 1:
            raise ContradictoryNotes(point_id, (NotesPart.LEFT, NotesPart.LEFT))


def findings_of(
    point_list: PointList,
    planned: Collection[str],
    done: Collection[str],
    found: Mapping[str, tuple[Found, ...]],
    left: Mapping[str, Left],
) -> tuple[Finding, ...]:
    """What is kept of a service, in list order: every bench point, and each of the owner's that was
    done or noted.

    Args:
        planned, done: ids of the points that were to be done, and of those that were.
        found, left: how points were found and left, by id.
    """
    return tuple(
        Finding(
            point=point.id,
            done=point.id in done,
            planned=point.id in planned,
            found=found.get(point.id, ()),
            left=left.get(point.id),
        )
        for point in point_list.points
        if point.keeper is Keeper.BENCH
        or point.id in planned
        or point.id in done
        or point.id in found
        or point.id in left
    )
