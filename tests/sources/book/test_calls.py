"""Planned calls as rows of the book: each keeps its number while it is open, and never becomes a
call about something else."""

from __future__ import annotations

from datetime import date

from oilchart.core.planning.call_plan import CallAbout, PlannedCall, WantedService
from oilchart.shop.folder import Shop
from oilchart.sources.book.calls import sync_calls
from oilchart.sources.book.file.opening import transaction
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner
from tests.builders.snapshot import call_stamps


def planned(about: CallAbout, on: date) -> PlannedCall:
    return PlannedCall(
        owner=1,
        about=about,
        on=on,
        services=(WantedService(owner=1, machine=1, on=on),),
    )


def test_a_call_about_settling_in_never_becomes_one_before_a_service(fresh_shop: Shop) -> None:
    add_owner(fresh_shop, name="Ida Brandvold", phone="", email="")
    add_machine(fresh_shop, owner="OW-001", model="heron-3", serial="", note="")
    with transaction(fresh_shop.folder / "shop.db", writing=True) as book:
        sync_calls(book.calls, [planned(CallAbout.SETTLING_IN, date(2026, 12, 16))], TODAY)
        [settling] = book.calls.open()
        sync_calls(book.calls, [planned(CallAbout.SERVICE, date(2027, 5, 11))], TODAY)
        [service] = book.calls.open()
        assert (settling.about, service.about) == (CallAbout.SETTLING_IN, CallAbout.SERVICE)
        assert settling.id != service.id
        # moved, it keeps its number, and the change is counted
        sync_calls(book.calls, [planned(CallAbout.SERVICE, date(2027, 5, 25))], TODAY)
        [moved] = book.calls.open()
        assert (moved.id, moved.on) == (service.id, date(2027, 5, 25))
        # planned as before, nothing is changed
        sync_calls(book.calls, [planned(CallAbout.SERVICE, date(2027, 5, 25))], TODAY)
        assert book.calls.open() == [moved]
    assert call_stamps(fresh_shop.book_path, moved.id) == (TODAY, TODAY, 1)
