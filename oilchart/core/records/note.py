"""What the shop noted of a machine or an owner, each with its day; nothing is written over."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What was noted on a day.

    Args:
        for_owner: the owner is to read it on the record of the stay; every other stays in the shop.
    """

    on: date
    words: str
    for_owner: bool = False
