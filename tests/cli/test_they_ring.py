"""What comes in by telephone: questions, machines nobody has seen, owners who are new."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.shop_steps import add_machine, add_owner, all_machines, the_machine
from tests.conftest import Run

TREADLE = ("machine", "add", "Ida", "--as", "grandmother's treadle")


@pytest.fixture
def unseen(run: Run, fresh_shop: Shop) -> Shop:
    """A shop with a machine that nobody has seen."""
    add_owner(fresh_shop, name="Ida", phone="01632 960107")
    assert run(*TREADLE, shop=fresh_shop.folder).exit_code == 0
    return fresh_shop


def test_a_telephone_morning_of_six_calls_takes_two_commands_each_at_most(
    demo_shop: Shop, run: Run
) -> None:
    ida, owen, heron = "Brandvold", "Tarrowby", ("--machine", "M-018")
    morning = (
        # a question
        (("tell", "M-001"),),
        # a booking of a machine that is not known
        (
            ("machine", "add", owen, "--as", "his aunt's treadle"),
            ("called", owen, "booked", "2026-12-03", "--machine", "treadle"),
        ),
        # a new owner
        (
            ("owner", "add", "Jean Marrick", "--phone", "020 7946 0155", "--note", "by the mill"),
            ("called", "Marrick", "booked", "2026-12-04"),
        ),
        # the wrong number
        (("called", ida, "wrong-number"),),
        # a day that is moved
        (("called", "Ungure", "booked", "2026-12-08"),),
        # "it tingles"
        (("called", owen, "rang-back", *heron, "--unsafe", "it tingles at the wheel"),),
    )
    for call in morning:
        assert len(call) <= 2
        for words in call:
            result = run(*words, shop=demo_shop.folder)
            assert result.exit_code == 0, f"{words}: {result.stderr}"
    due = json.loads(run("due", "--all", "--json", shop=demo_shop.folder).stdout)
    rows = {row["machine"]: row for row in due}
    assert rows["M-011"]["booked"] == "2026-12-08"
    assert rows["M-018"]["unsafe"] == "it tingles at the wheel"
    for machine, day in (("M-019", "2026-12-03"), ("M-020", "2026-12-04")):
        assert (rows[machine]["state"], rows[machine]["booked"]) == ("not seen yet", day)
        assert (rows[machine]["model"], rows[machine]["due"]["likely"]) == (None, None)
    assert rows["M-020"]["owner"] == "Jean Marrick"
    assert "by the mill" in run("owner", "show", "Marrick", shop=demo_shop.folder).stdout


def test_a_machine_not_seen_yet_is_asked_for_by_nobody_and_stands_before_those_in_the_shop(
    unseen: Shop, run: Run
) -> None:
    add_machine(unseen, owner="Ida", model="heron-3")
    run("checkin", "M-002", "squeaks", "-o", "tag.pdf", shop=unseen.folder)
    listed = json.loads(run("due", "--all", "--json", shop=unseen.folder).stdout)
    assert [row["state"] for row in listed] == ["not seen yet", "in the shop"]
    assert json.loads(run("calls", "--weeks", "104", "--json", shop=unseen.folder).stdout) == []
    assert "M-001" not in run("due", shop=unseen.folder).stdout


@pytest.mark.parametrize(
    "words",
    [
        "card M-001", "checklist M-001", "checklist Ida --all", "schedule M-001",
        "serviced M-001 --yes", "serviced Ida --all --yes", "machine edit M-001 --drive handcrank",
    ],
)  # fmt: skip
def test_what_rests_on_a_list_says_that_its_model_is_to_be_decided(
    words: str, unseen: Shop, run: Run
) -> None:
    result = run(*words.split(), shop=unseen.folder)
    assert (result.exit_code, result.stdout) == (1, "")
    assert (
        "M-001: was not seen yet; say of which model it is first: oilchart machine edit M-001"
        in result.stderr
    )


@pytest.mark.parametrize(
    "words",
    [
        "machine show M-001", "machine list", "owner show Ida", "tell M-001", "board -o b.html",
        "calls -o c.pdf", "letters --due -o l.pdf", "calendar --services -o s.ics", "due --all",
        "use M-001 5h/week", "checkin M-001 stuck -o tag.pdf", "card --all -o cards.pdf",
        "machine edit M-001 --note black", "called Ida booked 2026-12-03",
    ],
)  # fmt: skip
def test_all_else_takes_a_machine_not_seen_yet(words: str, unseen: Shop, run: Run) -> None:
    result = run(*words.split(), shop=unseen.folder)
    assert result.exit_code == 0, result.stderr


def test_on_the_bench_its_model_is_decided_and_it_is_one_like_all(unseen: Shop, run: Run) -> None:
    run("called", "Ida", "booked", "2026-11-30", shop=unseen.folder)
    run("checkin", "M-001", "stuck", "-o", "tag.pdf", shop=unseen.folder, today="2026-11-30")
    decided = run("machine", "edit", "M-001", "--model", "family-straight-treadle",
                  shop=unseen.folder, today="2026-11-30")  # fmt: skip
    assert decided.stdout.splitlines() == [
        "M-001: model: was nothing; now family-straight-treadle",
        "M-001 grandmother's treadle, Ida",
    ]
    served = run("serviced", "M-001", "--yes", shop=unseen.folder, today="2026-11-30")
    assert served.exit_code == 0, served.stderr
    record = the_machine(unseen, "M-001")
    assert (record.model, record.booked, len(record.services)) == (
        "family-straight-treadle", None, 1,
    )  # fmt: skip


def test_a_machine_is_added_by_a_model_or_by_what_it_is_called(fresh_shop: Shop, run: Run) -> None:
    add_owner(fresh_shop, name="Ida")
    result = run("machine", "add", "Ida", shop=fresh_shop.folder)
    assert result.exit_code == 2
    assert "name a model, or by --as what its owner calls it" in result.stderr
    assert all_machines(fresh_shop) == []


def test_an_owner_with_machines_is_not_booked_for_another_one_unasked(
    fresh_shop: Shop, run: Run
) -> None:
    add_owner(fresh_shop, name="Ida")
    for model in ("heron-3", "velmora-7"):
        add_machine(fresh_shop, owner="Ida", model=model)
        run("serviced", "Ida", "--all", *TESTED, shop=fresh_shop.folder)
    run("called", "Ida", "booked", "2026-12-03", shop=fresh_shop.folder)
    assert len(all_machines(fresh_shop)) == 2


def test_what_is_told_on_the_telephone_names_oil_needles_rhythm_and_what_never_to_do(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    told = " ".join(run("tell", "M-014", shop=demo_shop.folder).stdout.split())
    for words in (
        "Gülten Akyıldız, 020 7946 0170",
        "To buy clear sewing-machine oil, ISO VG 22",
        "flat side to the back",
        "every week the steel rod that holds the needle",
        "Never",
        "No kitchen, spray or car oil",
        "opening the motor, the foot pedal or a plug",
        "if it tingles when you touch it",
        "Done last Tuesday 21 July 2026",
        "Comes next Next service ",
    ):
        assert words in told
    run("unsafe", "M-014", "cord is frayed", shop=demo_shop.folder)
    first = run("tell", "M-014", shop=demo_shop.folder).stdout.splitlines()[0]
    assert "cord is frayed" in first
