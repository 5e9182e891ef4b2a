"""The machine a paper is about: one of the book, or any machine of a model."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from oilchart.cli.desk import Desk
from oilchart.core.people import Contact, Owner
from oilchart.core.schedule import Schedule

if TYPE_CHECKING:
    from oilchart.sources.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A schedule, and whose it is; without an owner the machine is in no book."""

    schedule: Schedule
    owner: Owner | None
    serial: str
    contact: Contact

    @property
    def file_name(self) -> str:
        """The machine's number or model, as papers are named after."""
        return self.schedule.machine.number or self.schedule.machine.chart.id


def subject_of(desk: Desk, machine: str | None, model: str | None, words: str | None, serviced: date | None) -> Subject:
    """Find the machine and reckon its schedule.

    Raises:
        OilchartError: of the shop, the lists or the words.
    """
    if machine is not None:
        standing = desk.shop.schedule(machine)
        record = standing.record
        return Subject(schedule=standing.schedule, owner=record.owner, serial=record.serial, contact=desk.shop.settings.contact)
    from oilchart.cli.models import shelf_at
    from oilchart.shop import loose_schedule

    settings = settings_at(desk)
    schedule = loose_schedule(shelf_at(desk).chart(model or ""), words, serviced, desk.today, settings)
    return Subject(schedule=schedule, owner=None, serial="", contact=settings.contact)


def settings_at(desk: Desk) -> Settings:
    """The shop's settings where one stands in a shop, else those without a shop."""
    from oilchart.sources.settings import SETTINGS_FILE, WITHOUT_A_SHOP, read_settings

    path = desk.folder / SETTINGS_FILE
    return read_settings(path) if path.is_file() else WITHOUT_A_SHOP
