"""A machine that is in no book, as it is described for one answer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.point_lists.point_list import Need


@dataclass(frozen=True, slots=True, kw_only=True)
class UnregisteredMachine:
    """What is told of a machine that is in no book.

    Args:
        model: id of its point list; None where there is no such machine.
        words: what its owner says of their sewing.
        serviced: the day of its last service.
        conditions: ids of those it works under.
        can: what its owner can do at home beside the usual.
    """

    model: str | None
    words: str | None = None
    serviced: date | None = None
    conditions: tuple[str, ...] = ()
    can: tuple[Need, ...] = ()

    @property
    def tells_nothing(self) -> bool:
        """Whether nothing but the model is told of it."""
        return self.words is None and self.serviced is None and not self.conditions and not self.can
