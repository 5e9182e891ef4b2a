"""The machine a paper is about: one of the book, or any machine of a model."""

from __future__ import annotations

from typing import TYPE_CHECKING

from oilchart.cli.context import AppContext
from oilchart.cli.options import UnregisteredMachine, check_one_form
from oilchart.core.planning.standing import ScheduledMachine

if TYPE_CHECKING:
    from oilchart.sources.files.settings import Settings


def machine_of(
    app: AppContext, machine: str | None, unregistered: UnregisteredMachine
) -> ScheduledMachine:
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
        return app.shop.schedule(machine)
    from oilchart.shop.unregistered import unregistered_reckoning, with_call

    settings, library = settings_at(app), app.library
    reckoning = unregistered_reckoning(
        library.point_list(unregistered.model or ""),
        unregistered.words,
        unregistered.serviced,
        app.today,
        settings,
        conditions=unregistered.conditions,
        can=unregistered.can,
        known=library.conditions(),
    )
    schedule = with_call(reckoning.schedule(app.today), settings)
    return ScheduledMachine(schedule=schedule, reckoning=reckoning)


def settings_at(app: AppContext) -> Settings:
    """The shop's settings where one stands in a shop, else those without a shop."""
    from oilchart.sources.files.settings import SETTINGS_FILE, WITHOUT_A_SHOP, read_settings

    path = app.folder / SETTINGS_FILE
    return read_settings(path) if path.is_file() else WITHOUT_A_SHOP
