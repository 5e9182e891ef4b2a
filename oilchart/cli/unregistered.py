"""The machine a paper is about: one of the book, or any machine of a model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from oilchart.cli.context import AppContext
from oilchart.cli.options import UnregisteredMachine, check_one_form
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.findings import Left
from oilchart.core.records.job import Unsafe
from oilchart.core.records.owner import Owner
from oilchart.core.records.paper_style import PaperStyle
from oilchart.core.records.shop_details import ShopDetails

if TYPE_CHECKING:
    from oilchart.core.planning.standing import Standing
    from oilchart.sources.files.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A schedule, and whose it is; without an owner the machine is in no book."""

    schedule: Schedule
    reckoning: Reckoning
    owner: Owner | None
    serial: str
    shop_details: ShopDetails
    style: PaperStyle = field(default_factory=PaperStyle)
    unsafe: Unsafe | None = None
    note: str = ""
    last_left: Mapping[str, Left] = field(default_factory=dict)

    @property
    def file_name(self) -> str:
        """The machine's number or model, as papers are named after."""
        return self.schedule.machine.number or self.schedule.machine.point_list.id


def subject_of(app: AppContext, machine: str | None, unregistered: UnregisteredMachine) -> Subject:
    """Find the machine and reckon its schedule.

    Raises:
        click.UsageError: both a machine and a model, or neither.
        OilchartError: of the shop, the lists or the words.
    """
    check_one_form(
        machine,
        unregistered.model,
        use=unregistered.words,
        serviced=unregistered.serviced,
        condition=unregistered.conditions,
        can=unregistered.can,
    )
    if machine is not None:
        return subject_from(app.shop.schedule(machine), app.shop.settings)
    from oilchart.cli.models import library_at
    from oilchart.shop.unregistered import unregistered_reckoning, with_call

    settings, library = settings_at(app), library_at(app)
    point_list = library.point_list(unregistered.model or "")
    reckoning = unregistered_reckoning(
        point_list,
        unregistered.words,
        unregistered.serviced,
        app.today,
        settings,
        conditions=unregistered.conditions,
        can=unregistered.can,
        known=library.conditions(),
    )
    schedule = with_call(reckoning.schedule(app.today), settings)
    return Subject(
        schedule=schedule,
        reckoning=reckoning,
        owner=None,
        serial="",
        shop_details=settings.shop_details,
        style=settings.paper,
    )


def subject_from(standing: Standing, settings: Settings) -> Subject:
    """A machine of the book."""
    record = standing.record
    return Subject(
        schedule=standing.schedule,
        reckoning=standing.reckoning,
        owner=record.owner,
        serial=record.serial,
        shop_details=settings.shop_details,
        style=settings.paper,
        unsafe=record.unsafe,
        note=record.note,
        last_left=record.last_left,
    )


def settings_at(app: AppContext) -> Settings:
    """The shop's settings where one stands in a shop, else those without a shop."""
    from oilchart.sources.files.settings import SETTINGS_FILE, WITHOUT_A_SHOP, read_settings

    path = app.folder / SETTINGS_FILE
    return read_settings(path) if path.is_file() else WITHOUT_A_SHOP
