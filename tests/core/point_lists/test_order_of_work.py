"""The order of work: as received first, opened as seldom as possible, tests by what a machine has;
a seized head's own steps."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilchart.core.point_lists.point_list import Order, Stage
from oilchart.papers.checklist.content import Checklist
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import checklist
from tests.builders.make import TODAY
from tests.conftest import Run

SHELF = PointLibrary([packaged("points")])
MODELS = SHELF.model_ids()
ORDER = [
    "as-received",
    "needle-end",
    "face-plate",
    "top",
    "underside",
    "hook",
    "drive",
    "control",
    "closing",
    "test",
]


def list_of(model: str, *, seized: bool = False) -> Checklist:
    return checklist(SHELF.point_list(model), on=TODAY, seized=seized)


def words_of(whole: Checklist) -> str:
    return " ".join(
        " ".join([stage.caution or "", *stage.open, *stage.close]) for stage in whole.stages
    )


def test_an_order_is_for_machines_that_have_one_of_its_things() -> None:
    assert Order(words="x").is_for(())
    assert Order(words="x", having=("belt", "crank")).is_for({"crank"})
    assert not Order(words="x", having=("belt",)).is_for({"plug"})
    stage = Stage(
        id="s",
        name="S",
        open=(Order(words="a"), Order(words="b", having=("belt",))),
        close=(),
        caution=(),
        having=("plug",),
    )
    assert stage.for_machine({"belt"}) is None
    mine = stage.for_machine({"plug"})
    assert mine is not None and [order.words for order in mine.open] == ["a"]


@pytest.mark.parametrize("model", MODELS)
def test_stages_come_in_one_order_and_each_point_once(model: str) -> None:
    whole = list_of(model)
    stages = [stage.id for stage in whole.stages]
    assert stages == [stage for stage in ORDER if stage in stages]
    assert stages[0] == "as-received" and stages[-1] == "test"
    steps = [step.id for step in whole.steps]
    assert len(steps) == len(set(steps)) == len(SHELF.point_list(model).points)


@pytest.mark.parametrize("model", MODELS)
def test_what_a_machine_has_not_got_is_in_no_step(model: str) -> None:
    point_list, words = SHELF.point_list(model), words_of(list_of(model))
    for thing, sign in (
        ("plug", "Unplug at the wall"),
        ("treadle", "treadle a sample"),
        ("crank", "crank a sample"),
        ("zigzag", "widest zigzag"),
        ("reverse", "Reverse."),
        ("buttonhole", "A buttonhole."),
        ("winder", "Wind a bobbin."),
        ("loopers", "looper cover"),
        ("bobbin-case", "take out the bobbin case"),
        ("clutch-motor", "clutch motor runs on"),
    ):
        assert (sign in words) == (thing in point_list.has), thing


@pytest.mark.parametrize("model", MODELS)
def test_as_received_ends_with_what_was_found_and_a_plug_is_judged_before_it_is_used(
    model: str,
) -> None:
    first = list_of(model).stages[0]
    assert (
        first.close[-1]
        == "Write down what you found, and what is missing, before anything is moved."
    )
    told = " ".join((*first.open, *first.close))
    if "plug" in SHELF.point_list(model).has:
        assert (
            told.index("Look over plug")
            < told.index("may be plugged in at all")
            < told.index("sew a sample as received")
        )
    assert "Turn the hand wheel slowly" in told


@pytest.mark.parametrize("model", ["heron-3", "corrin-12", "sedge-44"])
def test_a_seized_head_has_its_own_steps_before_all_work(model: str) -> None:
    whole = list_of(model, seized=True)
    assert [stage.id for stage in whole.stages][:2] == ["as-received", "seized"]
    steps = whole.stages[1].open
    assert steps[0].startswith("Look for a thread jam first")
    assert any(step.startswith("Belt off") for step in steps) == (
        "belt" in SHELF.point_list(model).has
    )
    told = " ".join(steps)
    order = [
        "thread jam",
        "Find out what binds",
        "Upper works",
        "Lower works",
        "mark every cap",
        "penetrating oil is no lubricant",
    ]
    assert [told.index(words) for words in order] == sorted(told.index(words) for words in order)
    assert "Never lever" in (whole.stages[1].caution or "")
    assert len(whole.steps) == len(list_of(model).steps)


def test_a_seized_head_is_asked_for_on_the_command_line(run: Run, tmp_path: Path) -> None:
    for name in ("list.pdf", "list.html"):
        assert run("checklist", "--model", "heron-3", "--seized", "-o", name).exit_code == 0
    assert "Look for a thread jam first" in (tmp_path / "list.html").read_text(encoding="utf-8")


def test_a_list_that_says_nothing_of_what_turns_it_is_taken_to_have_a_plug() -> None:
    bare, _ = SHELF.draft("wren-1", {
        "name": "Wren 1", "maker": "Wren", "about": "Bare.", "mechanisms": ["thread-tension"],
        "needle_system": "130/705 H", "needle_flat": "to the back", "source": "practice",
    })  # fmt: skip
    assert "plug" in bare.has
    assert "Unplug at the wall" in words_of(checklist(bare, on=TODAY))


def test_a_point_without_access_is_done_last() -> None:
    point_list = SHELF.point_list("heron-3")
    assert {point.id for stage in point_list.stages for point in point_list.at_stage(stage.id)} == {
        point.id for point in point_list.points
    }
