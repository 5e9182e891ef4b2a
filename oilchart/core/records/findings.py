"""What is noted of a service: which points were done, how each was found and left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from oilchart.core.lists.point_list import PointList
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What was noted at one point of a service; `done` is false for a point left out."""

    point: str
    done: bool = True
    found: tuple[Found, ...] = ()
    left: Left | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceNotes:
    """What is told of a service.

    Args:
        excepted, also: points that were not done though planned, and done though not planned.
        ticked: the points ticked on a bench checklist; None where none is told of: then all that
            was planned was done.
        freed: the machine had been seized and was freed; it settles in now.
        unsafe: why it must not be plugged in; empty where nothing is known against it.
        accept: the shorter intervals that the findings propose hold from now on.
    """

    excepted: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    found: tuple[tuple[str, tuple[Found, ...]], ...] = ()
    left: tuple[tuple[str, Left], ...] = ()
    note: str = ""
    ticked: tuple[str, ...] | None = None
    freed: bool = False
    unsafe: str = ""
    accept: bool = False

    @property
    def points(self) -> tuple[str, ...]:
        """All points that are named."""
        noted = (*(point for point, _ in self.found), *(point for point, _ in self.left))
        return (*self.excepted, *self.also, *noted, *(self.ticked or ()))


def told_besides(listed: ServiceNotes, said: ServiceNotes) -> tuple[ServiceNotes, tuple[str, ...]]:
    """Put what is said on the command line beside what a checklist tells: where they differ, what
    is said counts.

    Returns:
        Both in one, and a line for each thing in which they differ.
    """
    ticked = dict.fromkeys(listed.ticked or ())
    lines = [
        f"--except {point}: it is ticked on the list; it counts as not done"
        for point in said.excepted
        if point in ticked
    ]
    lines += [
        f"--also {point}: it is not ticked on the list; it counts as done"
        for point in said.also
        if point not in ticked
    ]
    found, left = dict(listed.found), dict(listed.left)
    said_found: dict[str, tuple[Found, ...]] = {}
    for point, words in said.found:
        said_found[point] = (*said_found.get(point, ()), *words)
    for point, words in said_found.items():
        if set(found.get(point, words)) != set(words):
            lines.append(
                f"--found {point}: on the list it is {', '.join(found[point])}; {', '.join(words)} counts"
            )
    for point, word in said.left:
        if left.get(point, word) != word:
            lines.append(f"--left {point}: on the list it is {left[point]}; {word} counts")
    if said.note and listed.note not in ("", said.note):
        lines.append(
            f"--note: the list has another: {listed.note}; that on the command line counts"
        )
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
    return both, tuple(lines)


def same_noted(findings: Sequence[Finding], others: Sequence[Finding]) -> bool:
    """Whether the same was done and noted; what was only left out, as planned on one day and not on
    another, does not count."""
    return {each for each in findings if each.done or each.found or each.left} == {
        each for each in others if each.done or each.found or each.left
    }


def check_notes(notes: ServiceNotes) -> None:
    """What is told of a service must not contradict itself.

    Raises:
        OilchartError
    """
    for point_id in notes.excepted:
        if point_id in notes.also:
            raise OilchartError(
                f'point "{point_id}": is given with --except and with --also; keep one of them'
            )
    left = [point_id for point_id, _ in notes.left]
    for point_id in left:
        if left.count(point_id) > 1:
            raise OilchartError(f'point "{point_id}": is given with --left twice; keep one of them')


def findings_of(
    point_list: PointList,
    planned: set[str],
    excepted: set[str],
    found: dict[str, tuple[Found, ...]],
    left: dict[str, Left],
) -> tuple[Finding, ...]:
    """What is kept of a service, in list order: every point planned, and every other one about
    which something was noted."""
    return tuple(
        Finding(
            point=point.id,
            done=point.id in planned and point.id not in excepted,
            found=found.get(point.id, ()),
            left=left.get(point.id),
        )
        for point in point_list.points
        if point.id in planned or point.id in excepted or point.id in found or point.id in left
    )
