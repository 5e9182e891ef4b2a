"""A service says only what was told: as a whole or ticked, and the mains test by a check alone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from typing import Any

import click
import pytest

from oilchart.cli import asking
from oilchart.cli.commands import services as cli_services
from oilchart.shop.bench.services import WantsDayBack
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.commands import TESTED
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    record_service,
    record_use,
    standing_of,
    the_machine,
)
from tests.builders.snapshot import rows_in
from tests.conftest import Run

A_YEAR_AGO = date(2025, 11, 25)
LAMP = "lamp-inspect"


@pytest.fixture
def heron(fresh_shop: Shop) -> Shop:
    """A shop with a machine that was served and tested a year ago."""
    add_owner(fresh_shop, name="Ida Brandvold")
    a_machine(fresh_shop, "heron-3")
    return fresh_shop


def a_machine(shop: Shop, model: str) -> str:
    """A machine of Ida's that was served and tested a year ago; its number."""
    number = add_machine(shop, owner="Ida", model=model).number
    record_use(shop, number, "2 hours a week", A_YEAR_AGO)
    record_service(shop, number, A_YEAR_AGO)
    return number


def point(shop: Shop, run: Run, point_id: str) -> dict[str, Any]:
    told = json.loads(run("schedule", "M-001", "--json", shop=shop.folder).stdout)
    [found] = [each for each in told["points"] if each["id"] == point_id]
    return dict(found)


# told as a whole: shown and asked first


def test_without_a_terminal_a_service_told_as_a_whole_is_shown_refused_and_not_written(
    heron: Shop, run: Run
) -> None:
    before = rows_in(heron.book_path)
    refused = run("serviced", "M-001", "--check", "R. Amsel=pass", shop=heron.folder)
    assert refused.exit_code == 2
    assert refused.stdout == ""
    assert "As done: 44 points as a whole" in refused.stderr
    assert "Left out: nothing; 4 points could wait" in refused.stderr
    assert "give --yes" in refused.stderr
    assert rows_in(heron.book_path) == before


@pytest.mark.parametrize("answer", [True, False])
def test_at_a_terminal_it_is_asked_once_and_no_writes_nothing(
    heron: Shop, run: Run, monkeypatch: pytest.MonkeyPatch, answer: bool
) -> None:
    asked: list[str] = []

    def confirm(words: str, **_: Any) -> bool:
        asked.append(words)
        return answer

    monkeypatch.setattr(asking, "at_terminal", lambda: True)
    monkeypatch.setattr(click, "confirm", confirm)
    before = rows_in(heron.book_path)
    done = run(
        "serviced", "M-001", "--except", f"{LAMP}=no bulb here", "--check", "R. Amsel=pass",
        shop=heron.folder,
    )  # fmt: skip
    assert asked == ["M-001: this is told as a whole; write it?"]
    assert done.stderr.splitlines()[:3] == [
        "M-001 Heron 3, Ida Brandvold: service of Wednesday 25 November 2026",
        "As done: 43 points as a whole",
        "Left out: 44 Lamp, holder and shade (no bulb here); 4 points could wait",
    ]
    assert done.exit_code == (0 if answer else 1)
    assert (rows_in(heron.book_path) == before) is not answer


def test_what_a_terminal_is_asked_for_first_is_the_mains_test_and_its_answer_is_a_check(
    heron: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers: Iterator[str] = iter(["R. Amsel", "2.1 megohm"])
    monkeypatch.setattr(cli_services, "at_terminal", lambda: True)
    monkeypatch.setattr(click, "prompt", lambda *_, **__: next(answers))
    monkeypatch.setattr(click, "confirm", lambda *_, **__: True)
    done = run("serviced", "M-001", "--yes", shop=heron.folder)
    assert done.exit_code == 0, done.output
    check = the_machine(heron, "M-001").checks[-1]
    assert (check.by, check.passed, check.reading, check.on) == (
        "R. Amsel", True, "2.1 megohm", TODAY,
    )  # fmt: skip


def test_only_what_is_ticked_by_number_is_done_and_counts_as_told_singly(
    heron: Shop, run: Run
) -> None:
    everything = "1-42,44-99"
    done = run(
        "serviced", "M-001", "--ticked", everything, "--check", "R. Amsel=pass",
        "--except", "43=lead is moulded", "--back-on", "2026-12-16", shop=heron.folder,
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    findings = {each.point: each for each in the_machine(heron, "M-001").services[-1].findings}
    assert {each.ticked for each in findings.values() if each.done} == {True}
    assert (findings["wiring-inspect"].done, findings["wiring-inspect"].why) == (
        False, "lead is moulded",
    )  # fmt: skip


def test_numbers_of_another_edition_are_refused(heron: Shop, run: Run) -> None:
    refused = run("serviced", "M-001", "--ticked", "1-99", "--edition", "000000", shop=heron.folder)
    assert refused.exit_code == 1
    assert "M-001's list is" in refused.stderr
    assert len(the_machine(heron, "M-001").services) == 1


# the mains test


@pytest.mark.parametrize("told", [["--yes"], ["--ticked", "1-99"]])
def test_a_service_never_makes_the_mains_test_done(heron: Shop, run: Run, told: list[str]) -> None:
    kept = run("serviced", "M-001", *told, "--back-on", "2026-12-16", shop=heron.folder)
    assert kept.exit_code == 0, kept.output
    assert "Not done: 45 Insulation and earth, whole machine (no named check)." in kept.stdout
    assert point(heron, run, "insulation-test")["done"] == str(A_YEAR_AGO)


@pytest.mark.parametrize(
    ("check", "done"),
    [
        (["--pass"], str(TODAY)),
        (["--pass", "--before"], str(A_YEAR_AGO)),
        (["--fail"], str(A_YEAR_AGO)),
    ],
    ids=["passed", "before the first plug-in", "not passed"],
)
def test_only_a_check_after_closing_that_is_passed_makes_it_done(
    heron: Shop, run: Run, check: list[str], done: str
) -> None:
    checked = run("electrical", "M-001", "--by", "R. Amsel", *check, shop=heron.folder)
    assert checked.exit_code == 0, checked.output
    assert point(heron, run, "insulation-test")["done"] == done


def test_a_check_told_with_the_service_and_one_told_by_itself_are_the_same_row(
    heron: Shop, run: Run
) -> None:
    told = ("serviced", "M-001", "--yes", "--check", "R. Amsel=pass, 2.1 megohm")
    assert run(*told, shop=heron.folder).exit_code == 0
    again = (
        "electrical", "M-001", "--by", "R. Amsel", "--pass", "--reading", "2.1 megohm",
    )  # fmt: skip
    assert run(*again, shop=heron.folder).exit_code == 0
    assert [each.reading for each in the_machine(heron, "M-001").checks] == ["", "2.1 megohm"]


@pytest.mark.parametrize(
    "before",
    [["electrical", "M-001", "--by", "R. Amsel", "--pass"], ["serviced", "M-001", "--only", "35"]],
)
def test_work_before_the_first_service_counts_from_its_own_day(
    before: list[str], fresh_shop: Shop, run: Run
) -> None:
    add_owner(fresh_shop, name="Ida Brandvold")
    add_machine(fresh_shop, owner="Ida", model="heron-3")
    record_use(fresh_shop, "M-001", "2 hours a week", date(2026, 11, 24))
    assert run(*before, "--on", "2026-06-16", shop=fresh_shop.folder).exit_code == 0
    assert standing_of(fresh_shop, "M-001").schedule.state == "first service"
    tested = before[0] != "electrical"
    told = ["--except", "35"] if tested else ["--back-on", "2027-02-01"]
    served = run(
        "serviced", "M-001", *(TESTED if tested else ["--yes"]), *told, "--on", "2026-11-24",
        shop=fresh_shop.folder,
    )  # fmt: skip
    assert served.exit_code == 0, served.output
    standing = standing_of(fresh_shop, "M-001")
    done = {plan.point.id: plan.done for plan in standing.schedule.points}
    theirs = "insulation-test" if before[0] == "electrical" else "belt-inspect"
    assert done[theirs] == date(2026, 6, 16)
    assert standing.schedule.risk is not None


# what can hurt someone is left out for a reason


def test_a_point_at_which_someone_can_be_hurt_is_left_out_for_a_reason_only(
    heron: Shop, run: Run
) -> None:
    refused = run("serviced", "M-001", *TESTED, "--except", "43", shop=heron.folder)
    assert refused.exit_code == 2
    assert "left out without a reason: 43 Plug, terminal block" in refused.stderr
    assert '--except 43="..."' in refused.stderr
    assert len(the_machine(heron, "M-001").services) == 1
    given = ("--except", "43=moulded plug", "--back-on", "2026-12-16")
    kept = run("serviced", "M-001", *TESTED, *given, shop=heron.folder)
    assert kept.exit_code == 0, kept.output
    assert "(moulded plug)" in kept.stdout


# more of the same stay


def test_what_is_told_later_in_a_stay_is_added_to_its_service_each_point_with_its_day(
    heron: Shop, run: Run
) -> None:
    for words in (
        ["checkin", "M-001", "makes loops", "--on", "2026-11-20"],
        ["serviced", "M-001", *TESTED, "--except", LAMP, "--on", "2026-11-21", "--by", "J. Tarn"],
        ["serviced", "M-001", "--only", LAMP, "--on", "2026-11-24", "--by", "B. Okoro"],
    ):
        done = run(*words, shop=heron.folder)
        assert done.exit_code == 0, done.output
    _, service = the_machine(heron, "M-001").services
    assert (service.on, service.by) == (date(2026, 11, 21), "J. Tarn, B. Okoro")
    days = {each.point: each.on for each in service.findings if each.done}
    assert days[LAMP] == date(2026, 11, 24)
    assert {day for name, day in days.items() if name != LAMP} == {None}
    assert point(heron, run, LAMP)["carried_over"] is None
    refused = run("serviced", "M-001", *TESTED, "--except", LAMP, shop=heron.folder)
    assert refused.exit_code == 1
    assert "is done in the service of 2026-11-21 already" in refused.stderr


def test_what_was_left_out_is_not_done_by_telling_of_another_point(heron: Shop, run: Run) -> None:
    left_out = ("--except", f"{LAMP}=bulb out", "--except", "belt-inspect")
    first = run("serviced", "M-001", *TESTED, *left_out, shop=heron.folder)
    assert first.exit_code == 0, first.output
    again = run("serviced", "M-001", "--also", "motor-dust-clean", shop=heron.folder)
    assert again.exit_code == 0, again.output
    assert "44 Lamp, holder and shade (bulb out)" in again.stdout
    findings = {each.point: each for each in the_machine(heron, "M-001").services[-1].findings}
    assert findings["motor-dust-clean"].ticked
    assert not findings[LAMP].done and not findings["belt-inspect"].done
    shown = run("serviced", "M-001", shop=heron.folder)
    assert shown.exit_code == 2
    assert "As done: 35 Drive belt and its grooves; 44 Lamp, holder and shade" in shown.stderr


@pytest.mark.parametrize(
    ("point", "told"),
    [
        ("45", "every machine with a plug has it"),
        ("45=not ours", "every machine with a plug has it"),
        ("43", "someone can be hurt there; say why"),
    ],
)
def test_what_guards_from_harm_is_not_taken_off_a_list_lightly(
    heron: Shop, run: Run, point: str, told: str
) -> None:
    refused = run("machine", "edit", "M-001", "--has-no", point, shop=heron.folder)
    assert refused.exit_code == 1
    assert told in refused.stderr
    assert the_machine(heron, "M-001").without == ()


@pytest.mark.parametrize(
    ("ticked", "told"),
    [("all", "write numbers like 1-12,14"), ("9-3", "runs backwards; write 3-9")],
)
def test_ticks_are_numbers_and_nothing_that_only_sounds_like_a_place(
    heron: Shop, run: Run, ticked: str, told: str
) -> None:
    refused = run("serviced", "M-001", "--ticked", ticked, shop=heron.folder)
    assert refused.exit_code == 1
    assert told in refused.stderr


def test_a_check_told_with_the_service_lifts_a_danger_and_says_what_to_take_off(
    heron: Shop, run: Run
) -> None:
    assert run("unsafe", "M-001", "bare wire", shop=heron.folder).exit_code == 0
    refused = run("serviced", "M-001", *TESTED, shop=heron.folder)
    assert refused.exit_code == 1 and "say what was put right first" in refused.stderr
    assert run("fixed", "M-001", "new lead", shop=heron.folder).exit_code == 0
    served = run("serviced", "M-001", *TESTED, shop=heron.folder)
    assert served.exit_code == 0, served.stderr
    assert "Take off the tag and the sticker" in served.stdout
    assert the_machine(heron, "M-001").dangers == ()


def test_who_put_something_right_and_who_checked_it_are_told_apart(heron: Shop, run: Run) -> None:
    for words in (
        ["electrical", "M-001", "--by", "R. Amsel", "--fail", "--before"],
        ["fixed", "M-001", "new mains lead", "--by", "J. Tarn"],
        ["electrical", "M-001", "--by", "R. Amsel", "--pass"],
    ):
        assert run(*words, shop=heron.folder).exit_code == 0
    story = run("machine", "show", "M-001", shop=heron.folder).stdout
    assert "new mains lead; check passed by R. Amsel" in story
    assert "new mains lead, by J. Tarn" in story


def test_a_part_arrives_and_is_fitted_in_a_stay_with_one_service_and_the_lamp_still_waits(
    heron: Shop, run: Run
) -> None:
    for words in (
        ["checkin", "M-001", "squeaks", "--on", "2026-11-10"],
        [
            "serviced", "M-001", *TESTED, "--on", "2026-11-11", "--except", LAMP,
            "--found", "connecting-rod-oil=dry", "--left", "motor-brushes-inspect=part-ordered",
        ],
        ["waiting", "M-001", "motor brushes"],
        [
            "fixed", "M-001", "new brushes run in", "--part", "motor brushes",
            "--point", "motor-brushes-inspect=good", "--on", "2026-11-24",
        ],
        ["ready", "M-001"],
        ["collected", "M-001"],
    ):  # fmt: skip
        done = run(*words, shop=heron.folder)
        assert done.exit_code == 0, done.output
    record = the_machine(heron, "M-001")
    assert [each.on for each in record.services] == [A_YEAR_AGO, date(2026, 11, 11)]
    found = {each.point: each.found for each in record.services[-1].findings if each.found}
    assert found == {"connecting-rod-oil": ("dry",)}
    assert record.last_left["motor-brushes-inspect"] == "good"
    assert point(heron, run, LAMP)["carried_over"] == "2026-11-11"


def test_a_part_that_is_fitted_at_no_named_point_says_what_is_still_on_order(
    heron: Shop, run: Run
) -> None:
    left = ("--left", "motor-brushes-inspect=part-ordered")
    assert run("serviced", "M-001", *TESTED, *left, shop=heron.folder).exit_code == 0
    fitted = run("fixed", "M-001", "new brushes", "--part", "brushes", shop=heron.folder)
    assert (
        "Still on order: motor-brushes-inspect; if it was that: --point motor-brushes-inspect=good"
        in fitted.stdout
    )


# every shipped model


@pytest.mark.parametrize("model", PointLibrary([packaged("points")]).model_ids())
def test_a_lamp_left_out_twice_and_no_mains_test_never_mean_late(
    model: str, fresh_shop: Shop
) -> None:
    add_owner(fresh_shop, name="Ida Brandvold")
    point_list = fresh_shop.library.point_list(model)
    lamp = [LAMP] if point_list.point(LAMP) else []
    left, full = a_machine(fresh_shop, model), a_machine(fresh_shop, model)
    if point_list.has_plug:
        with pytest.raises(WantsDayBack, match="cannot wait for its next service"):
            record_service(fresh_shop, left, TODAY, excepted=lamp, tested=False)
    shop = fresh_shop
    for _ in range(2):
        record_service(shop, left, shop.today, excepted=lamp)
        record_service(shop, full, shop.today)
        [ours], [theirs] = (standing_of(shop, number).schedule.services for number in (left, full))
        assert (ours.on, ours.late) == (theirs.on, False)
        assert ours.on > shop.today
        shop = Shop(shop.folder, ours.on)


# no such point on this machine


def test_a_point_that_a_machine_has_not_got_is_on_none_of_its_lists_until_it_has_it(
    heron: Shop, run: Run
) -> None:
    edited = run("machine", "edit", "M-001", "--has-no", "44=no lamp fitted", shop=heron.folder)
    assert edited.exit_code == 0, edited.output
    assert f"Without: {LAMP} (no lamp fitted)." in edited.stdout
    listed = json.loads(run("schedule", "M-001", "--json", shop=heron.folder).stdout)["points"]
    assert LAMP not in [each["id"] for each in listed]
    assert "no lamp fitted" in run("machine", "show", "M-001", shop=heron.folder).stdout
    assert run("machine", "edit", "M-001", "--has", "44", shop=heron.folder).exit_code == 0
    assert point(heron, run, LAMP)["done"] == str(A_YEAR_AGO)


# an empty stay


def test_a_stay_in_which_nothing_was_recorded_is_ready_only_when_that_is_said(
    heron: Shop, run: Run
) -> None:
    assert run("checkin", "M-001", "makes loops", shop=heron.folder).exit_code == 0
    refused = run("ready", "M-001", shop=heron.folder)
    assert refused.exit_code == 2
    assert "nothing was recorded in its stay since 2026-11-25" in refused.stderr
    assert the_machine(heron, "M-001").jobs[-1].ready_on is None
    assert run("ready", "M-001", "--nothing-done", shop=heron.folder).exit_code == 0
    assert the_machine(heron, "M-001").jobs[-1].nothing_done
    assert run("collected", "M-001", shop=heron.folder).exit_code == 0


# notes


def test_notes_are_added_and_never_written_over(heron: Shop, run: Run) -> None:
    for words in (["--note", "black, 1955"], ["--note", "labour paid"], ["--for-owner", "Oil it"]):
        assert run("machine", "edit", "M-001", *words, shop=heron.folder).exit_code == 0
    assert run("owner", "edit", "Ida", "--note", "ring twice", shop=heron.folder).exit_code == 0
    record = the_machine(heron, "M-001")
    assert [(each.words, each.for_owner) for each in record.notes] == [
        ("black, 1955", False),
        ("labour paid", False),
        ("Oil it", True),
    ]
    assert "ring twice" in run("owner", "show", "Ida", shop=heron.folder).stdout
