"""The machine a paper is about: one of the book, or any machine of a model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from oilchart.cli.context import Desk, Loose, check_one_form
from oilchart.core.records.findings import Left
from oilchart.core.records.job import Unsafe
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.people import Contact, Owner
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule

if TYPE_CHECKING:
    from oilchart.sources.files.settings import Settings
    from oilchart.shop.week_plan import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A schedule, and whose it is; without an owner the machine is in no book."""

    schedule: Schedule
    reckoning: Reckoning
    owner: Owner | None
    serial: str
    contact: Contact
    style: PaperStyle = field(default_factory=PaperStyle)
    unsafe: Unsafe | None = None
    note: str = ""
    last_left: Mapping[str, Left] = field(default_factory=dict)

    @property
    def file_name(self) -> str:
        """The machine's number or model, as papers are named after."""
        return self.schedule.machine.number or self.schedule.machine.chart.id


def subject_of(desk: Desk, machine: str | None, loose: Loose) -> Subject:
    """Find the machine and reckon its schedule.

    Raises:
        click.UsageError: both a machine and a model, or neither.
        OilchartError: of the shop, the lists or the words.
    """
    check_one_form(machine, loose.model, use=loose.words, serviced=loose.serviced, condition=loose.conditions, can=loose.can)
    if machine is not None:
        return subject_from(desk.shop.schedule(machine), desk.shop.settings)
    from oilchart.cli.models import shelf_at
    from oilchart.shop.unregistered import loose_reckoning, with_call

    settings, shelf = settings_at(desk), shelf_at(desk)
    chart = shelf.chart(loose.model or "")
    reckoning = loose_reckoning(
        chart,
        loose.words,
        loose.serviced,
        desk.today,
        settings,
        conditions=loose.conditions,
        can=loose.can,
        known=shelf.conditions(),
    )
    schedule = with_call(reckoning.schedule(desk.today), settings)
    return Subject(schedule=schedule, reckoning=reckoning, owner=None, serial="", contact=settings.contact, style=settings.paper)


def subject_from(standing: Standing, settings: Settings) -> Subject:
    """A machine of the book."""
    record = standing.record
    return Subject(
        schedule=standing.schedule,
        reckoning=standing.reckoning,
        owner=record.owner,
        serial=record.serial,
        contact=settings.contact,
        style=settings.paper,
        unsafe=record.unsafe,
        note=record.note,
        last_left=record.last_left,
    )


def settings_at(desk: Desk) -> Settings:
    """The shop's settings where one stands in a shop, else those without a shop."""
    from oilchart.sources.files.settings import SETTINGS_FILE, WITHOUT_A_SHOP, read_settings

    path = desk.folder / SETTINGS_FILE
    return read_settings(path) if path.is_file() else WITHOUT_A_SHOP
