"""One machine may differ from its model; its list follows."""

from __future__ import annotations

import json

import pytest

from oilchart.core.point_lists.mechanisms import MechanismChange, going_together, mechanisms_after
from oilchart.core.point_lists.point_list import Mechanism
from oilchart.errors import UnknownName
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, all_machines, record_service
from tests.conftest import Run

HEAD = Mechanism(id="head", name="Head", kind="head", about="")
MOTOR = Mechanism(id="motor", name="Motor", kind="drive", about="", has=("motor",))
STAND = Mechanism(id="stand", name="Stand", kind="drive", about="", has=("treadle",))
PEDAL = Mechanism(id="pedal", name="Pedal", kind="control", about="", goes_with="motor")
CORD = Mechanism(id="cord", name="Cord", kind="control", about="", has=("plug",))
KNOWN = {each.id: each for each in (HEAD, MOTOR, STAND, PEDAL, CORD)}
NOW = ("head", "motor", "pedal", "cord")


def test_what_goes_with_a_motor_is_left_out_without_one() -> None:
    assert going_together([HEAD, MOTOR, PEDAL]) == [HEAD, MOTOR, PEDAL]
    assert going_together([HEAD, STAND, PEDAL]) == [HEAD, STAND]


@pytest.mark.parametrize(
    ("mechanism_change", "after"),
    [
        (MechanismChange(drive="stand"), ("head", "stand")),
        (MechanismChange(drive="stand", add=("cord",)), ("head", "stand", "cord")),
        (MechanismChange(add=("stand",)), ("head", "motor", "pedal", "cord", "stand")),
        (MechanismChange(drop=("motor",)), ("head", "cord")),
        (MechanismChange(drive="motor"), ("head", "pedal", "cord", "motor")),
        (MechanismChange(), NOW),
    ],
)
def test_a_machine_is_refitted(mechanism_change: MechanismChange, after: tuple[str, ...]) -> None:
    assert mechanisms_after(NOW, mechanism_change, KNOWN, "M-001") == after


@pytest.mark.parametrize(
    ("mechanism_change", "said"),
    [
        (
            MechanismChange(drive="pedal"),
            'M-001: drive "pedal": there is no such drive; there are: motor, stand',
        ),
        (MechanismChange(add=("wheel",)), 'M-001: mechanism "wheel": there is no such mechanism'),
        (MechanismChange(drop=("stand",)), 'M-001: mechanism "stand": it has no such mechanism'),
    ],
)
def test_what_is_not_there_is_refused(mechanism_change: MechanismChange, said: str) -> None:
    with pytest.raises(UnknownName) as refused:
        mechanisms_after(NOW, mechanism_change, KNOWN, "M-001")
    assert str(refused.value).startswith(said)


def test_a_head_moved_to_a_treadle_stand_has_that_stands_list(fresh_shop: Shop, run: Run) -> None:
    folder = fresh_shop.folder
    add_owner(fresh_shop, name="Ida", phone="", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    record_service(fresh_shop, "M-001", TODAY)
    told = run("machine", "edit", "M-001", "--drive", "treadle-stand", shop=folder)
    assert told.exit_code == 0
    assert told.stdout.splitlines()[1].endswith("Bobbin winder, Treadle stand")
    ids = {
        point["id"]
        for point in json.loads(run("schedule", "M-001", "--json", shop=folder).stdout)["points"]
    }
    assert "pitman-crank-oil" in ids
    assert not ids & {
        "motor-brushes-inspect",
        "belt-inspect",
        "pedal-inside-inspect",
        "wiring-inspect",
    }
    record = all_machines(Shop(folder, TODAY))[0]
    point_list = Shop(folder, TODAY).list_for_owner_of(record)
    assert point_list.has & {"treadle", "plug", "motor"} == {"treadle"}
    assert point_list.stitches_a_minute == 500  # the stand's, not the head's 800
    assert {part.id for part in point_list.wear_parts} == {"winder-tyre"}
    assert run("card", "M-001", "-o", "card.pdf", shop=folder).exit_code == 0
    assert run("checklist", "M-001", "-o", "list.html", shop=folder).exit_code == 0
    [row] = json.loads(run("machine", "list", "--json", shop=folder).stdout)
    assert "treadle-stand" in row["mechanisms"]
    run("machine", "edit", "M-001", "--as-model", shop=folder)
    [row] = json.loads(run("machine", "list", "--json", shop=folder).stdout)
    assert row["mechanisms"] == []


def test_a_straight_head_on_a_stand_is_drawn_without_its_motor(fresh_shop: Shop) -> None:
    point_list = fresh_shop.library.point_list(
        "tarnwick-20",
        ("straight-head", "drop-feed", "thread-tension", "bobbin-winder", "treadle-stand"),
    )
    drawings = fresh_shop.library.drawings(point_list)
    assert drawings.views[0].id == "flatbed-front-treadle"
    assert [point.id for point in point_list.points if drawings.place(point) is None] == []


def test_mechanisms_that_share_a_point_are_refused_and_nothing_is_changed(
    fresh_shop: Shop, run: Run
) -> None:
    add_owner(fresh_shop, name="Ida", phone="", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    refused = run(
        "machine", "edit", "M-001", "--add-mechanism", "belt-motor-wicks", shop=fresh_shop.folder
    )
    assert refused.exit_code == 1
    assert "two points have this id" in refused.stderr
    assert all_machines(fresh_shop)[0].mechanisms == ()
    both = run(
        "machine", "edit", "M-001", "--as-model", "--drive", "treadle-stand", shop=fresh_shop.folder
    )
    assert both.exit_code == 2
