"""What an owner tells of danger in a call, through the command line."""

from __future__ import annotations

import json
from datetime import date

import pytest

from oilchart.shop.folder import Shop
from tests.builders.shop_steps import add_machine, add_owner, record_service, the_machine
from tests.builders.snapshot import rows_in
from tests.conftest import Run


@pytest.fixture
def shop(fresh_shop: Shop) -> Shop:
    """Ida with one machine, Bo with two."""
    for name in ("Ida Brandvold", "Bo Tarrowby"):
        add_owner(fresh_shop, name=name)
    for owner in ("Ida", "Bo", "Bo"):
        add_machine(fresh_shop, owner=owner, model="heron-3")
    return fresh_shop


def test_what_an_owner_tells_of_danger_marks_the_machine_and_a_card_is_a_warning(
    shop: Shop, run: Run
) -> None:
    told = run("called", "Ida", "reached", "--unsafe", "tingles at the wheel", shop=shop.folder)
    assert told.exit_code == 0, told.stderr
    assert told.stdout.splitlines()[0] == "OW-001 Ida Brandvold: reached."
    assert told.stdout.splitlines()[-2:] == [
        "M-001: Do not plug in: tingles at the wheel, since 25 November 2026.",
        'Until: oilchart fixed M-001 "what was put right", then oilchart electrical M-001 --by '
        "NAME --pass",
    ]
    assert [(mark.why, mark.danger) for mark in the_machine(shop, "M-001").dangers] == [
        ("tingles at the wheel", "electrical")
    ]
    mechanical = ("--unsafe", "hinge pin cracked", "--mechanical", "--machine", "M-003")
    told = run("called", "Bo", "reached", *mechanical, shop=shop.folder)
    assert "M-003: Do not use: hinge pin cracked" in told.stdout
    assert the_machine(shop, "M-002").dangers == ()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        # two machines, none named, both named, another owner's
        (("Bo",), "unsafe: it is not clear which machine: M-002, M-003; name it with --machine"),
        (
            ("Bo", "--machine", "M-002", "--machine", "M-003"),
            "unsafe: it is not clear which machine: M-002, M-003; name it with --machine",
        ),
        (("Bo", "--machine", "M-001"), "is Ida Brandvold's; name one of Bo Tarrowby's"),
    ],
)
def test_a_danger_of_a_machine_that_is_not_clear_is_asked_about_and_nothing_is_kept(
    shop: Shop, run: Run, words: tuple[str, ...], said: str
) -> None:
    before = rows_in(shop.book_path)
    owner, *more = words
    answer = run("called", owner, "reached", *more, "--unsafe", "tingles", shop=shop.folder)
    assert answer.exit_code == 1
    assert said in answer.stderr
    assert rows_in(shop.book_path) == before


def rung(shop: Shop, run: Run, today: str) -> list[tuple[str, str, list[str]]]:
    """The calls of the next four weeks: day, owner, and what they wait for."""
    rows = json.loads(run("calls", "--json", shop=shop.folder, today=today).stdout)
    return [(row["on"], row["owner"], [each["machine"] for each in row["unsafe"]]) for row in rows]


def test_who_told_of_danger_is_rung_until_the_machine_has_a_day(shop: Shop, run: Run) -> None:
    # in time for another year; before: rung in four weeks, or never
    record_service(shop, "M-001", date(2026, 11, 24))
    for today, again in (("2026-11-25", "2026-11-30"), ("2026-11-30", "2026-12-03")):
        danger = ("--unsafe", "tingles") if today == "2026-11-25" else ()
        told = run("called", "Ida", "reached", *danger, shop=shop.folder, today=today)
        assert told.exit_code == 0, told.stderr
        assert [call for call in rung(shop, run, today) if call[1] == "Ida Brandvold"] == [
            (again, "Ida Brandvold", ["M-001"])
        ]
    run("called", "Ida", "booked", "2026-12-04", shop=shop.folder, today="2026-12-03")
    assert [call for call in rung(shop, run, "2026-12-03") if call[1] == "Ida Brandvold"] == []


def test_a_stranger_who_tells_of_danger_is_in_the_book_in_two_commands(
    shop: Shop, run: Run
) -> None:
    assert run("owner", "add", "Rufus Ede", "--phone", "020 7946 0144", shop=shop.folder).stdout
    told = run("called", "Ede", "reached", "--unsafe", "it tingles", shop=shop.folder)
    assert told.exit_code == 0, told.stderr
    assert "M-004: Do not plug in: it tingles" in told.stdout
    assert [call for call in rung(shop, run, "2026-11-25") if call[1] == "Rufus Ede"]


def test_what_is_read_out_of_a_machine_that_could_hurt_someone_is_of_that_alone(
    shop: Shop, run: Run
) -> None:
    run("called", "Ida", "reached", "--unsafe", "it tingles", shop=shop.folder)
    told = " ".join(run("tell", "M-001", shop=shop.folder).stdout.split())
    assert "Please leave the plug of your Heron 3 M-001 out of the wall: it tingles." in told
    assert "When can you bring it in?" in told
    assert "To buy" not in told
    assert "To buy" in run("tell", "M-002", shop=shop.folder).stdout
