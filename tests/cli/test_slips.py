"""The slips of a technician's first two months, each lived through on the command line and taken
back or mended: every list and story is then as in a shop that lived without it."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.shop_steps import add_machine, add_owner, record_service, record_use
from tests.builders.snapshot import rows_in
from tests.builders.twins import all_that_is_said, live
from tests.conftest import Run

DAY, NEXT = "2026-11-25", "2026-11-26"
CHECKED = " ".join(word.replace(" ", "|") for word in TESTED)
# what else is done before the slip is seen
MEANWHILE = (
    f"{DAY} calls",
    f"{DAY} use M-004 2|hours|a|week",
    f"{DAY} calendar -o calls.ics",
)


@pytest.fixture
def shop(fresh_shop: Shop) -> Shop:
    """Ida's machine is overdue, and of Hazel's two the first runs an hour a week."""
    for name, phone in (("Ida", "01632 960107"), ("Hazel", "01632 960121"), ("Gwen", "")):
        add_owner(fresh_shop, name=name, phone=phone)
    for owner, model, served in (
        ("Ida", "heron-3", date(2024, 11, 25)),
        ("Hazel", "heron-3", date(2025, 6, 2)),
        ("Hazel", "pellbrook-8", date(2024, 9, 2)),
        ("Gwen", "heron-3", date(2026, 6, 1)),
    ):
        machine = add_machine(fresh_shop, owner=owner, model=model)
        record_service(fresh_shop, machine.number, served)
    record_use(fresh_shop, "M-002", "1 hour a week", date(2025, 6, 2))
    return fresh_shop


SLIPS = {
    "a service of another machine, which is overdue": (
        "M-001 M-002 OW-001 OW-002",
        [f"{DAY} serviced M-001 --found hook-race-oil=dry {CHECKED}"],
        [
            f"{NEXT} undo {{0}} --yes",
            f"{NEXT} serviced M-002 --on {DAY} --found hook-race-oil=dry {CHECKED}",
        ],
        [f"{DAY} serviced M-002 --found hook-race-oil=dry {CHECKED}"],
    ),
    "a service of another year": (
        "M-002 OW-002",
        [f"{DAY} serviced M-002 --on 2025-11-24 {CHECKED}"],
        [f"{NEXT} service edit M-002 --service 2025-11-24 --day 2026-11-24"],
        [f"{DAY} serviced M-002 --on 2026-11-24 {CHECKED}"],
    ),
    "a service of another year, told anew": (
        "M-002 OW-002",
        [f"{DAY} serviced M-002 --on 2025-11-24 {CHECKED}"],
        [f"{NEXT} undo {{0}} --yes", f"{NEXT} serviced M-002 --on 2026-11-24 {CHECKED}"],
        [f"{DAY} serviced M-002 --on 2026-11-24 {CHECKED}"],
    ),
    "a machine of another owner": (
        "M-005 OW-002 OW-003",
        [f"{DAY} machine add Gwen fenna-210 --serial F-1"],
        [f"{NEXT} machine edit M-005 --owner Hazel"],
        [f"{DAY} machine add Hazel fenna-210 --serial F-1"],
    ),
    "a machine of another owner, added anew": (
        "M-006 OW-002 OW-003",
        [f"{DAY} machine add Gwen fenna-210 --serial F-1", f"{DAY} use M-005 3|hours|a|week"],
        [
            f"{DAY} undo {{1}} --yes",
            f"{DAY} undo {{0}} --yes",
            f"{DAY} machine add Hazel fenna-210 --serial F-1",
            f"{DAY} use M-006 3|hours|a|week",
        ],
        [f"{DAY} machine add Hazel fenna-210 --serial F-1", f"{DAY} use M-005 3|hours|a|week"],
    ),
    "an owner who was there already": (
        "M-006 OW-003",
        [f"{DAY} owner add Gven", f"{DAY} machine add Gven fenna-210"],
        [
            f"{DAY} undo {{1}} --yes",
            f"{DAY} undo {{0}} --yes",
            f"{DAY} machine add Gwen fenna-210",
        ],
        [f"{DAY} machine add Gwen fenna-210"],
    ),
    "another model": (
        "M-005 OW-003",
        [f"{DAY} machine add Gwen corrin-12", f"{DAY} use M-005 3|bobbins|a|week"],
        [f"{NEXT} machine edit M-005 --model heron-3"],
        [f"{DAY} machine add Gwen heron-3", f"{DAY} use M-005 3|bobbins|a|week"],
    ),
    "the check-in of another machine": (
        "M-001 M-002 OW-001 OW-002",
        [f"{DAY} checkin M-001 needle|jams --left pedal"],
        [f"{NEXT} undo {{0}} --yes", f"{NEXT} checkin M-002 needle|jams --left pedal --on {DAY}"],
        [f"{DAY} checkin M-002 needle|jams --left pedal"],
    ),
    "the death of another owner": (
        "M-001 M-002 M-003 OW-001 OW-002",
        [f"{DAY} called Hazel died"],
        [f"{NEXT} undo {{0}} --yes", f"{NEXT} called Ida died --on {DAY}"],
        [f"{DAY} called Ida died"],
    ),
    "use told of another day": (
        "M-002 OW-002",
        [f"{DAY} use M-002 8|hours|a|day --on 2026-03-01"],
        [f"{NEXT} undo {{0}} --yes", f"{NEXT} use M-002 8|hours|a|day --on 2026-11-01"],
        [f"{DAY} use M-002 8|hours|a|day --on 2026-11-01"],
    ),
    "use misheard on another day": (
        "M-004 OW-003",
        [f"{DAY} use M-004 8|hours|a|day --on 2026-11-01"],
        [f"{NEXT} use M-004 8|hours|a|week --correct --on 2026-11-01"],
        [f"{DAY} use M-004 8|hours|a|week --on 2026-11-01"],
    ),
    "a meter misread": (
        "M-002 OW-002",
        [f"{DAY} use M-002 meter|18|hours --on 2025-06-03", f"{DAY} use M-002 meter|2840|hours"],
        [f"{NEXT} use M-002 meter|284|hours --correct --on {DAY}"],
        [f"{DAY} use M-002 meter|18|hours --on 2025-06-03", f"{DAY} use M-002 meter|284|hours"],
    ),
    "a machine marked unsafe that is not": (
        "M-001 M-002 OW-001 OW-002",
        [f"{DAY} unsafe M-001 the|lead|crumbles"],
        [
            f"{NEXT} undo {{0}} --why it|was|Hazel's --yes",
            f"{NEXT} unsafe M-002 the|lead|crumbles --on {DAY}",
        ],
        [f"{DAY} unsafe M-002 the|lead|crumbles"],
    ),
}


@pytest.mark.parametrize(("whose", "slip", "mended", "meant"), SLIPS.values(), ids=SLIPS)
def test_after_a_slip_was_taken_back_all_is_said_as_if_it_had_never_been(
    whose: str,
    slip: list[str],
    mended: list[str],
    meant: list[str],
    shop: Shop,
    run: Run,
    tmp_path: Path,
) -> None:
    day = mended[-1].split()[0]
    twin = shutil.copytree(shop.folder, tmp_path / "twin")
    live(run, twin, *meant, *MEANWHILE)
    # a machine that was added anew has the next number
    right = all_that_is_said(run, twin, day, *whose.replace("M-006", "M-005").split())
    changes = live(run, shop.folder, *slip, *MEANWHILE)
    lists = all_that_is_said(run, shop.folder, day, whose.split()[-1])
    assert any(right[words] != said for words, said in lists.items())
    live(run, shop.folder, *(line.format(*changes) for line in mended))
    assert all_that_is_said(run, shop.folder, day, *whose.split()) == right


def test_a_mark_of_danger_is_taken_back_with_a_reason_alone(shop: Shop, run: Run) -> None:
    [change] = live(run, shop.folder, f"{DAY} unsafe M-001 the|lead|crumbles")
    before = rows_in(shop.folder / "shop.db")
    refused = run("undo", str(change), "--yes", shop=shop.folder)
    assert refused.exit_code == 2
    assert "--why" in refused.stderr
    assert rows_in(shop.folder / "shop.db") == before


def test_an_outcome_is_taken_back_also_once_its_call_was_planned_anew(
    shop: Shop, run: Run, tmp_path: Path
) -> None:
    ida, later = ("OW-001", "M-001"), "2026-12-02"
    twin = shutil.copytree(shop.folder, tmp_path / "twin")
    [change] = live(run, shop.folder, f"{DAY} called Ida no-answer")
    live(run, shop.folder, f"{later} calls", f"{later} undo {change} --yes")
    right = all_that_is_said(run, twin, later, *ida)
    assert all_that_is_said(run, shop.folder, later, *ida) == right
