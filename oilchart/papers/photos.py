"""Photos of a machine as papers show them."""

from __future__ import annotations

from dataclasses import dataclass

from oilchart.core.point_lists.drawings import Photo


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPhoto:
    """A photo with what is said of it.

    Args:
        width, height: in units of its own.
        words: what it is: As received, 25 November 2026.
    """

    photo: Photo
    width: float
    height: float
    words: str
