"""One machine as the schedule sees it: how often a point's work was done."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from oilchart.core.records.machine import Service
from tests.builders.make import a_machine, a_point


def test_the_steps_of_an_interval_begin_anew_with_the_service_that_freed_the_machine() -> None:
    point = a_point("hook", every="1 week, then 4 weeks")
    done = frozenset({"hook"})
    before = Service(on=date(2026, 1, 5), done=done)
    freed = Service(on=date(2026, 2, 2), done=done, freed=True)
    after = Service(on=date(2026, 3, 2), done=done)
    machine = a_machine(point)
    times = [
        replace(machine, services=services).times_done(point)
        for services in ((before,), (before, freed), (before, freed, after))
    ]
    # the day it was freed is the first of the new steps
    assert times == [1, 1, 2]
