"""How a machine stands on a day, and the calls to owners that are still to be made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import Told
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A machine of the book with its schedule.

    Args:
        told: what came of the calls to its owner.
        lapsed_on: since when its owner counts as lapsed; None while they do not.
    """

    record: MachineRecord
    schedule: Schedule
    reckoning: Reckoning
    told: tuple[Told, ...] = ()
    lapsed_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCall:
    """A call still to be made: its lasting number, whom, when and for which machines.

    Args:
        way: how the owner is reached, a letter where nobody could be.
        told: what came of it so far.
    """

    id: int
    owner: Owner
    about: CallAbout
    on: date
    made_on: date
    changed_on: date
    changes: int
    services: tuple[tuple[MachineRecord, date], ...]
    promised_on: date | None
    way: Way
    told: tuple[Told, ...]
