"""What is told of a service: by itself, on a checklist, or both, and whether it contradicts
itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from oilchart.core.records.findings import Found, Left
from oilchart.core.records.job import Danger, ElectricalCheck
from oilchart.errors import OilchartError


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceNotes:
    """What is told of a service.

    Args:
        excepted, also: points that were not done though planned, and done though not planned.
        only: the points at which alone there was work; empty where the service was a whole one.
        ticked: the points ticked on a bench checklist; None where none is told of: then all that
            was planned was done. With an empty one nothing was done, and what is noted is kept.
        freed: the machine had been seized and was freed; it settles in now.
        unsafe: why it must not be plugged in or used; empty where nothing is known against it.
        danger: of which kind that is; None where the machine itself tells.
        accept: the shorter intervals that the findings propose hold from now on.
        back_on: the day on which it is wanted back for what was left out and cannot wait.
        why: why points were not done, by id.
        for_owner: what the owner is to read on the record.
        by: who did the work; empty where the shop's settings say.
        check: an electrical check made with it.
        edition: the code of the list on which points were numbered; empty where it is not told.
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
    danger: Danger | None = None
    accept: bool = False
    back_on: date | None = None
    why: tuple[tuple[str, str], ...] = ()
    for_owner: str = ""
    by: str = ""
    check: ElectricalCheck | None = None
    edition: str = ""

    @property
    def as_a_whole(self) -> bool:
        """Whether all that was planned is told to be done, without naming each point."""
        return self.ticked is None and not self.only

    @property
    def at_named_points(self) -> bool:
        """Whether work is told of at named points alone, or at none: no whole service."""
        return bool(self.only) or (self.ticked == () and not self.also)

    @property
    def named(self) -> frozenset[str]:
        """The points that are told of by themselves."""
        return frozenset(
            (
                *self.also,
                *self.only,
                *(self.ticked or ()),
                *(point for point, _ in self.found),
                *(point for point, _ in self.left),
            )
        )

    @property
    def points(self) -> tuple[str, ...]:
        """All points that are named."""
        noted = (*(point for point, _ in self.found), *(point for point, _ in self.left))
        reasons = (point for point, _ in self.why)
        named = (*self.excepted, *self.also, *self.only, *noted, *reasons)
        return (*named, *(self.ticked or ()))

    def named_by(
        self, point_id: Callable[[str], str], point_ids: Callable[[str], tuple[str, ...]]
    ) -> ServiceNotes:
        """The same with each point by its id.

        Args:
            point_id: of a point as it was named.
            point_ids: of points as they were ticked, of which several may be named in one.
        """
        return replace(
            self,
            excepted=tuple(map(point_id, self.excepted)),
            also=tuple(map(point_id, self.also)),
            only=tuple(map(point_id, self.only)),
            found=tuple((point_id(point), words) for point, words in self.found),
            left=tuple((point_id(point), word) for point, word in self.left),
            ticked=(
                None
                if self.ticked is None
                else tuple(point for name in self.ticked for point in point_ids(name))
            ),
            why=tuple((point_id(point), words) for point, words in self.why),
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
        unsafe=said.unsafe or listed.unsafe,
        danger=said.danger if said.unsafe else listed.danger,
        why=tuple((dict(listed.why) | dict(said.why)).items()),
        by=said.by or listed.by,
        check=said.check or listed.check,
        edition=said.edition or listed.edition,
        ticked=tuple(point for point in ticked if point not in said.excepted),
    )
    return both, tuple(overruled)


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
