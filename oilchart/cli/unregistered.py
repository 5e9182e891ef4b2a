"""The machine a paper is about: one of the book, or any machine of a model."""

from __future__ import annotations

from dataclasses import replace

import click

from oilchart.cli.context import AppContext
from oilchart.cli.hearing import heard_out
from oilchart.cli.options import check_one_form
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.standing import ScheduledMachine, Standing
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.shop import standings
from oilchart.shop.unregistered import reckoning_of_unregistered, with_call
from oilchart.sources.files.settings import WITHOUT_A_SHOP, Settings


def machine_of(
    app: AppContext, machine: str | None, unregistered: UnregisteredMachine
) -> tuple[ScheduledMachine, Settings]:
    """Find the machine and reckon its schedule; with the settings it was reckoned by.

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
    if machine is None:
        settings = settings_at(app)
        return machine_of_model(app, unregistered, settings), settings
    with app.shop.book() as book:
        standing = standings.of_machine(book, app.shop, machine)
        app.shop.refuse_unseen(standing.record)
        return standing, app.shop.settings_in(book)


def machines_of(
    app: AppContext, owner: str | None, unregistered: UnregisteredMachine
) -> tuple[list[Standing], Settings]:
    """All machines of an owner with their schedules, by number; with the shop's settings.

    Raises:
        click.UsageError: no owner is named, or what is told of a model alone.
        OilchartError: of the shop, or they have no machine.
    """
    if owner is None or unregistered.model is not None or not unregistered.tells_nothing:
        raise click.UsageError(
            "--all: is of all machines of an owner in the book: name the owner, and leave out "
            "--model, --use, --serviced, --condition and --can"
        )
    with app.shop.book() as book:
        theirs = standings.of_all(book, app.shop, owner)
        for each in theirs:
            app.shop.refuse_unseen(each.record)
        return theirs, app.shop.settings_in(book)


def machine_of_model(
    app: AppContext, unregistered: UnregisteredMachine, settings: Settings
) -> ScheduledMachine:
    """A machine in no book with its schedule, and the call planned for it alone.

    Raises:
        OilchartError: of the lists or the words.
    """
    point_list = settings.as_tested(app.library.point_list(unregistered.model or ""))
    own_words = app.shop.word_list if app.is_in_shop else None

    def reckon(words: str, _: bool) -> Reckoning:
        told = replace(unregistered, words=words or None)
        return reckoning_of_unregistered(
            point_list, told, settings, app.today, app.library.conditions(), own_words
        )

    reckoning = heard_out(unregistered.words or "", reckon, as_said=False)
    schedule = with_call(reckoning.schedule(app.today), settings)
    return ScheduledMachine(schedule=schedule, reckoning=reckoning)


def settings_at(app: AppContext) -> Settings:
    """The shop's settings where one stands in a shop, else those without a shop."""
    return app.shop.settings() if app.is_in_shop else WITHOUT_A_SHOP
