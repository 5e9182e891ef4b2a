"""Knows the words for how a point was found and how it was left."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


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
