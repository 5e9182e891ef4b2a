"""Puts the facts of use of a phrase together, in whatever order they were said.

How long, how often, of what and when complement each other; the second of a kind begins a group of
its own. No mark and no "and" decides anything, since nobody hears a comma.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from oilchart.core.days import WEEKDAYS
from oilchart.sources.words.facts import (
    SEVERAL_DAYS,
    Around,
    As,
    Bare,
    Clock,
    Duration,
    Less,
    Nothing,
    OfUse,
    Otherwise,
    Past,
    Period,
    Regular,
    Since,
    Spell,
    Stitching,
    Thread,
    Times,
    Vague,
    When,
    Works,
)
from oilchart.sources.words.word_list import Range

Length = Duration | Bare | As | Nothing | Clock | Thread | Stitching
Often = Times | Regular | Period
_SLOTS: dict[type, str] = {
    Around: "around",
    When: "when",
    Since: "since",
    Vague: "vague",
    Spell: "spell",
}


@dataclass(slots=True, kw_only=True)
class Group:
    """Facts that are about the same sewing.

    Args:
        at: the token it begins with.
        part: of the day; nobody said how many of them.
        stray: says something of what is not there.
    """

    at: int
    length: Length | None = None
    works: Works | None = None
    vague: Vague | None = None
    often: Often | None = None
    part: Regular | None = None
    when: When | None = None
    otherwise: bool = False
    since: Since | None = None
    around: Around | None = None
    spell: Spell | None = None
    past: Past | None = None
    stray: OfUse | None = None

    @property
    def tells_use(self) -> bool:
        """Whether it says what of, or how long."""
        return not (self.length is None and self.works is None and self.vague is None)

    def takes(self, fact: OfUse) -> bool:
        """Take a fact in, if there is room for one of its kind.

        Returns:
            Whether there was.
        """
        match fact:
            case Otherwise():
                return self._takes_otherwise()
            case Past():
                return not self.tells_use and self.often is None and self._put("past", fact)
            case Less():
                return self._takes_less(fact)
            case Works():
                return self._takes_works(fact)
            case Times() | Regular() | Period():
                return self._takes_often(fact)
            case Duration() | Bare() | As() | Nothing() | Clock() | Thread() | Stitching():
                return self._takes_length(fact)
        slot = _SLOTS[type(fact)]
        return not (slot == "vague" and self.often) and self._put(slot, fact)

    def _takes_otherwise(self) -> bool:
        is_free = not self.otherwise and not (self.when and self.tells_use)
        self.otherwise = self.otherwise or is_free
        return is_free

    def _put(self, slot: str, fact: OfUse) -> bool:
        if getattr(self, slot) is not None:
            return False
        setattr(self, slot, fact)
        return True

    def _takes_works(self, works: Works) -> bool:
        if self.length is not None and not _is_of_one(self.length):
            return False
        return self._put("works", works)

    def _takes_length(self, length: Length) -> bool:
        if self.works is not None and not _is_of_one(length):
            return False
        return self._put("length", length)

    def _takes_often(self, often: Often) -> bool:
        if isinstance(often, Regular) and often.a_week is None:
            return self._put("part", often)
        before = self.often
        if before is None:
            self.often = often
        elif isinstance(before, Times) and before.per is None and isinstance(often, Period):
            self.often = replace(before, per=often)
        elif isinstance(often, Times) and often.per is None and isinstance(before, Period):
            self.often = replace(often, per=before)
        elif self.length is None and _are_weekdays(before, often):
            self.often = _both(before, often)
        elif {type(before), type(often)} == {Times, Regular} and _a_week(before) == _a_week(often):
            self.often = before if isinstance(before, Regular) else often
        else:
            return False
        return True

    def _takes_less(self, less: Less) -> bool:
        often = self.often
        if isinstance(often, Regular) and often.a_week is not None:
            self.often = replace(often, a_week=_fewer(often.a_week, less))
            return True
        length = self.length
        if isinstance(length, Duration) and isinstance(length.per, Regular) and length.per.a_week:
            per = replace(length.per, a_week=_fewer(length.per.a_week, less), counted=True)
            self.length = replace(length, per=per)
            return True
        return False

    def takes_all(self, other: Group) -> bool:
        """Take in what another has, if nothing of it is here yet."""
        slots = (
            "length",
            "works",
            "vague",
            "often",
            "part",
            "when",
            "since",
            "around",
            "spell",
            "past",
        )
        if any(getattr(self, slot) and getattr(other, slot) for slot in slots):
            return False
        for slot in slots:
            setattr(self, slot, getattr(self, slot) or getattr(other, slot))
        self.otherwise = self.otherwise or other.otherwise
        self.at = min(self.at, other.at)
        return True


def _fewer(a_week: Range, less: Less) -> Range:
    low, high = (max(count - less.days, Fraction(0)) for count in a_week)
    return low, high


def _are_weekdays(before: Often, often: Often) -> bool:
    """Whether both are days of the week: every Tuesday and every other Thursday."""
    return all(
        isinstance(each, Regular) and each.a_week and each.occasion in (*WEEKDAYS, SEVERAL_DAYS)
        for each in (before, often)
    )


def _both(before: Often, often: Often) -> Regular:
    ends = [each.a_week for each in (before, often) if isinstance(each, Regular) and each.a_week]
    low, high = (sum((each[at] for each in ends), Fraction(0)) for at in (0, 1))
    return Regular(occasion=SEVERAL_DAYS, a_week=(low, high))


def _is_of_one(length: Length) -> bool:
    """Whether it is how long one piece of work takes."""
    return isinstance(length, Duration) and (length.each or length.per is None)


def _a_week(often: Often) -> Range | None:
    """How many there are a week; None where it is not told by the week."""
    if isinstance(often, Regular):
        return often.a_week
    if isinstance(often, Times) and isinstance(often.per, Period) and set(often.per.days) == {7}:
        return often.count
    return None


def grouped(facts: Iterable[tuple[int, OfUse]]) -> list[Group]:
    """Facts of use, each with the token it begins with, as groups that belong together."""
    groups: list[Group] = []
    for at, fact in facts:
        if not groups or not groups[-1].takes(fact):
            groups.append(Group(at=at))
            if not groups[-1].takes(fact):
                groups[-1].stray = fact
    return _merged(groups)


def _merged(groups: list[Group]) -> list[Group]:
    """Groups that only say when or how often are joined with one beside them."""
    merged: list[Group] = []
    for group in groups:
        before = merged[-1] if merged else None
        is_needed = before is not None and not (before.tells_use and group.tells_use)
        if before is None or not is_needed or not before.takes_all(group):
            merged.append(group)
    return merged
