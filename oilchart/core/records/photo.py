"""Photos of a machine in the shop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo, kept beside the book under a name that its own bytes give it.

    Args:
        job: id of the stay; None where the machine was with its owner.
        as_received: it shows the machine as it came.
    """

    id: int
    on: date
    file: str
    job: int | None = None
    as_received: bool = False
