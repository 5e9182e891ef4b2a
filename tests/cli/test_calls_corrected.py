"""What was told last of a call is mended, through the command line: all that it had done is taken
back, and every list is as if it had been told rightly at once."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.shop_steps import add_machine, add_owner, record_service
from tests.builders.snapshot import rows_in
from tests.builders.twins import all_that_is_said, live
from tests.conftest import Run

NOV, DEC = "2026-11-25", "2026-12-02"


@pytest.fixture
def shop(fresh_shop: Shop) -> Shop:
    """Ida with one machine served two years ago, Bo with two."""
    for name, phone in (("Ida Brandvold", "01632 960107"), ("Bo Tarrowby", "01632 960121")):
        add_owner(fresh_shop, name=name, phone=phone, email="")
    for owner in ("Ida", "Bo", "Bo"):
        machine = add_machine(fresh_shop, owner=owner, model="heron-3", serial="", note="")
        record_service(fresh_shop, machine.number, date(2024, 11, 25))
    return fresh_shop


SLIPS = [
    # the machines are looked after again, and their owner is rung; also a week later
    ([f"{NOV} called Bo died"], f"{NOV} called Bo reached --correct", [f"{NOV} called Bo reached"]),
    (
        [f"{NOV} called Bo goes-elsewhere --note so|they|said"],
        f"{DEC} called Bo no-answer --note nobody --correct",
        [f"{NOV} called Bo no-answer --note nobody"],
    ),
    # a day is booked, with the same note
    (
        [f"{NOV} called Ida reached --note after|six"],
        f"{NOV} called Ida booked 2027-01-28 --correct",
        [f"{NOV} called Ida booked 2027-01-28 --note after|six"],
    ),
    # the day booked is another, also where it moved one that was booked before
    (
        [f"{NOV} called Ida booked 2026-12-08", f"{DEC} called Ida booked 2027-01-28"],
        f"{DEC} called Ida booked 2027-01-27 --correct",
        [f"{NOV} called Ida booked 2026-12-08", f"{DEC} called Ida booked 2027-01-27"],
    ),
    # of the machine that it was told of, or of the other
    (
        [f"{NOV} called Bo booked 2027-01-28 --machine M-003"],
        f"{NOV} called Bo booked 2027-01-27 --correct",
        [f"{NOV} called Bo booked 2027-01-27 --machine M-003"],
    ),
    (
        [f"{NOV} called Bo sold --machine M-002"],
        f"{NOV} called Bo sold --machine M-003 --correct",
        [f"{NOV} called Bo sold --machine M-003"],
    ),
    # a promised day, and how often nobody was reached
    (
        [f"{NOV} called Ida no-answer", f"{NOV} called Ida later 2026-12-14"],
        f"{NOV} called Ida no-answer --correct",
        [f"{NOV} called Ida no-answer", f"{NOV} called Ida no-answer"],
    ),
    (
        [f"{NOV} called Ida wrong-number"],
        f"{DEC} called Ida later 2026-12-14 --correct",
        [f"{NOV} called Ida later 2026-12-14"],
    ),
    # a booked day that was not called off
    (
        [f"{NOV} called Ida booked 2026-12-08", f"{DEC} called Ida cancelled"],
        f"{DEC} called Ida rang-back --note asks|for|oil --correct",
        [f"{NOV} called Ida booked 2026-12-08", f"{DEC} called Ida rang-back --note asks|for|oil"],
    ),
    # the day of the call
    (
        [f"{DEC} called Ida reached"],
        f"{DEC} called Ida reached --on {NOV} --correct",
        [f"{DEC} called Ida reached --on {NOV}"],
    ),
]


@pytest.mark.parametrize(("slip", "mended", "meant"), SLIPS)
def test_an_outcome_that_is_mended_leaves_every_list_as_if_it_had_been_told_so_at_once(
    slip: list[str], mended: str, meant: list[str], shop: Shop, run: Run, tmp_path: Path
) -> None:
    day, _, owner, *_ = mended.split()
    whose = ["OW-001", "M-001"] if owner == "Ida" else ["OW-002", "M-002", "M-003"]
    twin = shutil.copytree(shop.folder, tmp_path / "twin")
    live(run, twin, *meant)
    right = all_that_is_said(run, twin, day, *whose)
    changes = live(run, shop.folder, *slip)
    story = run("owner", "show", owner, shop=shop.folder, today=day).stdout
    assert story not in right.values()
    # it is a change of its own
    assert live(run, shop.folder, mended) == [changes[-1] + 1]
    assert all_that_is_said(run, shop.folder, day, *whose) == right


def test_what_was_mended_is_mended_once_more_and_taken_back(shop: Shop, run: Run) -> None:
    def said() -> dict[str, str]:
        return all_that_is_said(run, shop.folder, NOV, "OW-002", "M-002")

    live(run, shop.folder, f"{NOV} called Bo booked 2026-12-08 --note both")
    first = said()
    [second] = live(run, shop.folder, f"{NOV} called Bo died --correct")
    gone = said()
    [third] = live(run, shop.folder, f"{NOV} called Bo later 2026-12-14 --correct")
    live(run, shop.folder, f"{NOV} called Bo booked 2026-12-08 --correct")
    assert said() == first
    live(run, shop.folder, f"{NOV} undo {third + 1} --yes", f"{NOV} undo {third} --yes")
    assert said() == gone
    live(run, shop.folder, f"{NOV} undo {second} --yes")
    assert said() == first


def test_it_says_in_a_line_what_it_was_and_what_it_is_and_then_what_follows(
    shop: Shop, run: Run
) -> None:
    live(run, shop.folder, f"{NOV} called Bo died --note says|the|neighbour")
    told = run("called", "Bo", "booked", "2026-12-08", "--correct", shop=shop.folder)
    assert told.stdout.splitlines() == [
        "OW-002 Bo Tarrowby: call: was 25 Nov 2026: died, “says the neighbour”; "
        "now 25 Nov 2026: booked, 8 Dec 2026, “says the neighbour”",
        "Looked after again: M-002 and M-003.",
        "OW-002 Bo Tarrowby: booked for Tuesday 8 December 2026: M-002 and M-003.",
    ]
    told = run("called", "Bo", "no-answer", "--correct", "--note", "", shop=shop.folder, today=DEC)
    assert told.stdout.splitlines() == [
        "OW-002 Bo Tarrowby: call: was 25 Nov 2026: booked, 8 Dec 2026, “says the neighbour”; "
        "now 25 Nov 2026: no answer",
        "OW-002 Bo Tarrowby: no answer (1 time).",
        # the day after the call is over
        "To be rung again on Wednesday 2 December 2026.",
    ]


def test_what_later_changes_stand_on_is_refused_with_their_names_until_they_are_taken_back(
    shop: Shop, run: Run
) -> None:
    serviced = ("serviced", "M-001", *TESTED)
    live(run, shop.folder, f"{NOV} called Ida reached --note after|six")
    [service] = live(run, shop.folder, f"{DEC} {' '.join(w.replace(' ', '|') for w in serviced)}")
    before = rows_in(shop.folder / "shop.db")
    refused = run("called", "Ida", "no-answer", "--correct", shop=shop.folder, today=DEC)
    assert (refused.exit_code, refused.stderr) == (
        1,
        "oilchart: OW-001: “reached” of 2026-11-25: later changes stand on it: "
        f"{service} (serviced M-001 --check 'R. Amsel=pass' --yes); nothing was changed; "
        f"take them back first, the last one first: oilchart undo {service}\n",
    )
    assert rows_in(shop.folder / "shop.db") == before
    # a note is but a note, though it be mended twice
    for note in ("before|six", "after|seven"):
        live(run, shop.folder, f"{DEC} called Ida reached --note {note} --correct")
    story = run("owner", "show", "Ida", shop=shop.folder).stdout
    assert story.count("after seven") == story.count("reached") == 1
    assert "before six" not in story
    refused = run("called", "Ida", "no-answer", "--correct", shop=shop.folder, today=DEC)
    assert f"stand on it: {service} (serviced" in refused.stderr
    live(run, shop.folder, f"{DEC} undo {service + 2} --yes", f"{DEC} undo {service + 1} --yes")
    live(run, shop.folder, f"{DEC} undo {service} --yes")
    live(run, shop.folder, f"{DEC} called Ida no-answer --correct")
    assert "no answer" in run("owner", "show", "Ida", shop=shop.folder).stdout


def test_a_danger_told_with_it_stays_and_is_told_again(shop: Shop, run: Run) -> None:
    live(run, shop.folder, f"{NOV} called Ida reached --unsafe it|tingles")
    told = run("called", "Ida", "booked", "2026-12-08", "--correct", shop=shop.folder).stdout
    assert "M-001: Do not plug in: it tingles, since 25 November 2026.\n" in told
    [row] = [
        each
        for each in json.loads(run("due", "--all", "--json", shop=shop.folder).stdout)
        if each["machine"] == "M-001"
    ]
    assert row["unsafe"] == "it tingles"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("Bo", "reached"), "OW-002: nothing was told of calls to Bo Tarrowby"),
        (("Ida", "booked", "2026-12-08"), "“booked” of 2026-11-25: is written down so already"),
        (
            ("Ida", "booked", "2026-11-24"),
            "booked 2026-11-24: is not after the day of the call, 2026-11-25; give a later day",
        ),
        (("Ida", "reached", "--on", "2026-12-03"), "the day of the call is after today"),
        (("Ida", "did-not-come"), "did-not-come: no day is booked for M-001"),
        (("Ida", "reached", "--machine", "M-002"), "--machine M-002: is Bo Tarrowby's"),
        (("Ida", "reached", "--unsafe", "sparks"), "--unsafe: is told without --correct"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_and_nothing_is_changed(
    words: tuple[str, ...], said: str, shop: Shop, run: Run
) -> None:
    live(run, shop.folder, f"{NOV} called Ida booked 2026-12-08")
    before = rows_in(shop.folder / "shop.db")
    refused = run("called", *words, "--correct", shop=shop.folder, today=DEC)
    assert (refused.exit_code in (1, 2), refused.stderr.count("\n")) == (True, 1)
    assert said in refused.stderr
    assert rows_in(shop.folder / "shop.db") == before


def test_what_was_told_with_much_else_is_not_taken_back(demo_shop: Shop, run: Run) -> None:
    refused = run("called", "OW-013", "reached", "--correct", shop=demo_shop.folder)
    assert refused.stderr == (
        "oilchart: OW-013: “left message” of 2026-11-20: what it had done is not kept; "
        "nothing was changed; tell what is so now\n"
    )
