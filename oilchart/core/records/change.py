"""What one command changed in the shop's book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

# what only looks ahead: it keeps the plan of calls, and nothing that anybody told
LOOKS = frozenset(("calls", "board", "calendar"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one command changed.

    Args:
        on: as of which day.
        words: what was said to do.
        device: on which it was; may be empty.
        undoes: the number of the change it took back; None for any other.
        undone_by: the number of the change by which it was taken back; None while it stands.
        machines, owners: whose rows it wrote, by their ids.
    """

    id: int
    on: date
    words: str
    device: str = ""
    undoes: int | None = None
    undone_by: int | None = None
    machines: frozenset[int] = frozenset()
    owners: frozenset[int] = frozenset()

    @property
    def is_a_look(self) -> bool:
        """Whether its command told the book nothing."""
        return self.words.partition(" ")[0] in LOOKS

    def stands(self, by_id: Mapping[int, Change]) -> bool:
        """Whether what it wrote was not taken back, or was and that was taken back, too.

        Args:
            by_id: all changes.
        """
        return self.undone_by is None or not by_id[self.undone_by].stands(by_id)
