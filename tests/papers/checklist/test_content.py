from __future__ import annotations

from datetime import timedelta

import pytest

from oilchart.core.records.job import Danger, UnsafeMark
from tests.builders.drawn import LIBRARY, checklist
from tests.builders.make import TODAY

DANGERS = tuple(
    UnsafeMark(id=0, danger=danger, on=TODAY - timedelta(days=at), why=why)
    for at, (danger, why) in enumerate(
        [(Danger.ELECTRICAL, "the lead crumbles"), (Danger.MECHANICAL, "the hinge pin is cracked")]
    )
)


@pytest.mark.parametrize("danger", DANGERS, ids=lambda mark: mark.danger)
def test_what_needs_current_is_struck_on_the_list_of_an_unsafe_machine(danger: UnsafeMark) -> None:
    points = LIBRARY.point_list("heron-3")
    safe = checklist(points, on=TODAY)
    unsafe = checklist(points, on=TODAY, dangers=(danger,))
    # the mains test is what would prove the mains side sound; it is no part of a cracked hinge
    test = {"insulation-test"} if danger.danger is Danger.ELECTRICAL else set()
    assert {step.id for step in unsafe.steps if step.struck} == {
        *test,
        "pedal-run-inspect",
        "stitch-balance",
    }
    assert [stage.id for stage in unsafe.stages if stage.is_struck] == ["test"]
    [first, *_] = unsafe.stages
    assert [words for words in first.close if words in first.struck] == [first.close[1]]
    assert first.close[1].startswith("Only if it is safe and turns freely: plug in")
    assert not any(stage.struck for stage in safe.stages)
    assert [step.planned for step in unsafe.steps] == [not step.struck for step in unsafe.steps]
    less = "about 2 h 45 min" if test else "about 2 h 50 min"
    assert (safe.minutes, unsafe.minutes) == ("about 3 h", less)


def test_what_a_machine_driven_by_foot_must_run_for_is_struck_while_it_must_not_be_used() -> None:
    [_, mechanical] = DANGERS
    treadle = checklist(LIBRARY.point_list("tansy-3"), on=TODAY, dangers=(mechanical,))
    assert treadle.dangers == ("Do not use: the hinge pin is cracked, since 24 November 2026",)
    assert [step.id for step in treadle.steps if step.struck] == ["stitch-balance"]
    assert "Test sew on scrap at slow speed, straight." in treadle.stages[-1].struck
