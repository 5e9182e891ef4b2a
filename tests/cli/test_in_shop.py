"""What stands in the shop, and whom to ring about it: stays lived through day by day, with every
list on every day."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import pypdf
import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    all_machines,
    check_in,
    record_service,
)
from tests.conftest import Run

Line = Callable[..., str]


@pytest.fixture
def hazel(fresh_shop: Shop) -> Shop:
    """A shop with one machine that was served in August, whose owner has a number."""
    add_owner(fresh_shop, name="Hazel Fenn", phone="01632 960113", email="")
    add_machine(fresh_shop, owner="Hazel", model="heron-3", serial="H3-1", note="")
    record_service(fresh_shop, "M-001", date(2026, 8, 3))
    return fresh_shop


@pytest.fixture
def on(hazel: Shop, run: Run) -> Line:
    """Run a command of that shop on a day of December 2026, which is to do what it is told."""

    def line(day: int | date, *words: object) -> str:
        today = day if isinstance(day, date) else date(2026, 12, day)
        result = run(*words, shop=hazel.folder, today=today)
        assert result.exit_code == 0, result.stderr
        return result.stdout

    return line


def lists(on: Line, day: int | date) -> dict[str, Any]:
    """What the lists of a day say of the one machine: its states, as in-shop, `due` and the board
    tell them; who is to be rung now, about what; and the parts wanted."""
    [stay] = json.loads(on(day, "in-shop", "--json"))
    [due] = json.loads(on(day, "due", "--json"))
    assert due["stay"]["states"] == stay["states"]
    board = on(day, "board", "-o", "-")
    shown = "".join(on(day, "in-shop").split())
    for state in stay["states"]:
        words = state if state != "not safe" else "do not plug in"
        assert words.replace(" ", "") in shown
        assert words.replace("'", "&#39;").casefold() in board.casefold()
    today = str(day if isinstance(day, date) else date(2026, 12, day))
    calls = json.loads(on(day, "calls", "--weeks", "8", "--json"))
    parts = json.loads(on(day, "parts", "--json"))
    return {
        "states": stay["states"],
        "ring": [call["about"] for call in calls if call["on"] == today],
        "next": [call["on"] for call in calls if call["on"] > today],
        "parts": [(part["part"], part["state"]) for part in parts],
        "done": stay["points_done"],
    }


def rung_until_it_is_collected(on: Line) -> None:
    """A machine is ready, its owner is rung three times and collects it; a pedal stays."""
    on(10, "ready", "M-001")
    for day, then in (
        (date(2026, 12, 10), date(2026, 12, 14)),  # the 13th is a Sunday
        (date(2026, 12, 14), date(2026, 12, 24)),
        (date(2026, 12, 24), date(2027, 1, 25)),  # the 24th is one
    ):
        assert lists(on, day)["ring"] == ["ready"]
        said = on(day, "called", "Hazel", "reached")
        assert f"To be rung again on {then:%A} {then.day} {then:%B %Y}." in said
        now = lists(on, day)
        assert (now["states"], now["ring"], now["next"]) == (["ready"], [], [str(then)])
    # collected: the pedal stays, and is on the list until it is handed back
    out = on(28, "collected", "M-001", "--kept", "pedal")
    assert "To be handed back: case." in out and "Still here: pedal" in out
    assert "pedal       M-001  Hazel Fenn" in on(28, "in-shop")
    assert json.loads(on(28, "in-shop", "--json")) == []
    assert [call["about"] for call in json.loads(on(28, "calls", "--json"))] == []
    assert "handed back: pedal" in on(29, "collected", "M-001")
    assert on(29, "in-shop") == ""


def test_a_stay_of_ten_days_on_every_list_of_every_day(on: Line) -> None:
    came = on(
        1, "checkin", "M-001", "makes loops, and it smells", "--with", "pedal,case", "--ready-by",
        "2026-12-08", "--use", "5 hours a week",
    )  # fmt: skip
    assert "Left with it: pedal, case." in came
    assert "To be ready by Tuesday 8 December 2026." in came
    nobody = {"ring": [], "next": [], "parts": [], "done": 0}
    assert lists(on, 1) == {"states": ["to look at"], **nobody}
    # looked at, and left to soak
    on(2, "bench", "M-001")
    assert lists(on, 2) == {"states": ["on the bench"], **nobody}
    on(2, "bench", "M-001", "--soaking")
    assert lists(on, 2) == {"states": ["soaking"], **nobody}
    # the owner is asked: rung today, then tomorrow since nobody answered, then after a think
    asked = on(2, "waiting", "M-001", "--owner", "a new motor lead, 38 pounds?")
    assert "ring Hazel Fenn, 01632 960113" in asked
    waits = "waits for the owner's answer"
    assert lists(on, 2)["states"] == [waits, "soaking"]
    assert lists(on, 2)["ring"] == ["question"]
    on(2, "called", "Hazel", "no-answer")
    assert (lists(on, 2)["ring"], lists(on, 2)["next"]) == ([], ["2026-12-03"])
    assert lists(on, 3)["ring"] == ["question"]
    said = on(3, "called", "Hazel", "reached", "--note", "asks her daughter")
    assert "To be rung again on Monday 7 December 2026." in said
    assert lists(on, 3)["next"] == ["2026-12-07"]
    # the answer is kept with its day and who gave it, and nobody is rung any more
    told = on(4, "waiting", "M-001", "--answer", "yes, go on", "--by", "her daughter")
    assert "“a new motor lead, 38 pounds?” – her daughter: “yes, go on”" in told
    assert lists(on, 4) == {"states": ["soaking"], **nobody}
    on(4, "bench", "M-001")
    # a part: to order, ordered, here, fitted
    on(4, "waiting", "M-001", "--part", "motor lead")
    part_of = {"states": ["waits for a part"], "ring": [], "next": [], "done": 0}
    assert lists(on, 4) == {**part_of, "parts": [("motor lead", "to order")]}
    on(5, "waiting", "M-001", "--part", "motor lead", "--ordered", "Ambleworth Parts")
    assert lists(on, 5) == {**part_of, "parts": [("motor lead", "ordered")]}
    assert "ordered from Ambleworth Parts on 5 Dec 2026" in on(5, "parts")
    assert "2026-12-08, late" in on(9, "in-shop")
    arrived = on(9, "part-arrived", "M-001")
    assert "here: motor lead" in arrived and "Ring" not in arrived
    here = lists(on, 9)
    assert (here["states"], here["parts"]) == (["on the bench"], [("motor lead", "here")])
    assert "It waits no more for: motor lead." in on(
        9, "fixed", "M-001", "new lead", "--part", "motor lead"
    )
    assert lists(on, 9) == {"states": ["on the bench"], **nobody}
    # tested, and ready: rung that day, after 3 and after 14 days, then monthly
    on(10, "serviced", "M-001", *TESTED)
    served = lists(on, 10)
    assert (served["states"], served["done"] > 20) == (["on the bench"], True)
    rung_until_it_is_collected(on)
    story = " ".join(on(29, "machine", "show", "M-001").split())
    for told in (
        "1 Dec 2026 came in “makes loops, and it smells” left with it: pedal, case to be ready by "
        "8 Dec 2026",
        "2 Dec 2026 question “a new motor lead, 38 pounds?”",
        "4 Dec 2026 answer “yes, go on”, her daughter",
        "4 Dec 2026 part wanted: motor lead",
        "5 Dec 2026 part ordered from Ambleworth Parts: motor lead",
        "9 Dec 2026 part here: motor lead",
        "9 Dec 2026 part fitted: motor lead",
    ):
        assert told in story


def test_a_stay_of_an_unsafe_machine_on_every_list_of_every_day(on: Line) -> None:
    on(1, "checkin", "M-001", "tingles", "--unsafe", "lead crumbles")
    assert lists(on, 1)["states"] == ["not safe", "to look at"]
    on(1, "waiting", "M-001", "--part", "motor lead", "--ordered", "Ambleworth Parts")
    assert lists(on, 1)["states"] == ["not safe", "waits for a part"]
    on(2, "waiting", "M-001", "--owner", "lead and plug, 45 pounds?")
    both = lists(on, 2)
    assert both["states"] == ["not safe", "waits for the owner's answer", "waits for a part"]
    assert both["ring"] == ["question"]
    on(3, "waiting", "M-001", "--answer", "no, too dear")
    assert lists(on, 3)["states"] == ["not safe", "waits for a part"]
    on(3, "waiting", "M-001", "--part", "motor lead", "--not-wanted")
    assert lists(on, 3)["parts"] == []
    # goes home as it is: rung, and told what must not be done
    on(4, "ready", "M-001", "--nothing-done")
    ready = lists(on, 4)
    assert (ready["states"], ready["ring"]) == (["not safe", "ready"], ["ready"])
    [call] = json.loads(on(4, "calls", "--json"))
    assert [each["unsafe"] for each in call["unsafe"]] == ["lead crumbles"]
    assert "Hand the sheet that says so over" in on(4, "collected", "M-001")
    assert json.loads(on(4, "in-shop", "--json")) == []
    assert "do not plug in: lead crumbles" in on(4, "due")
    # it comes back, gets its lead, and is safe
    back = on(11, "checkin", "M-001", "changed her mind")
    assert "Was here until 4 December 2026: “tingles”." in back
    assert lists(on, 11)["states"] == ["not safe", "to look at"]
    on(11, "fixed", "M-001", "new lead")
    assert lists(on, 11)["states"] == ["not safe", "on the bench"]
    on(11, "electrical", "M-001", "--by", "R. Amsel", "--pass")
    assert lists(on, 11)["states"] == ["on the bench"]


def test_who_went_home_without_a_part_is_rung_when_it_comes_until_the_machine_is_in(
    hazel: Shop, on: Line
) -> None:
    check_in(hazel, "M-001", "noisy", TODAY)
    on(1, "waiting", "M-001", "drive belt")
    assert "Still wanted for it: drive belt, to order." in on(1, "collected", "M-001")
    assert "with its owner" in on(1, "parts")
    on(2, "waiting", "M-001", "--part", "Drive Belt", "--ordered", "Ambleworth Parts")
    said = on(4, "part-arrived", "M-001", "belt")
    assert "Ring Hazel Fenn, 01632 960113, as promised." in said
    [call] = json.loads(on(4, "calls", "--json"))
    assert (call["about"], call["on"], call["service"]) == ("part is here", "2026-12-04", None)
    on(4, "called", "Hazel", "reached")
    assert json.loads(on(4, "calls", "--json")) == []
    assert "Here for it: drive belt." in on(8, "checkin", "M-001", "as agreed")
    on(8, "fixed", "M-001", "belt changed", "--part", "drive belt")
    assert json.loads(on(8, "parts", "--json")) == []


def test_a_point_left_as_part_ordered_is_on_the_list_of_parts_and_its_promise_is_kept(
    hazel: Shop, on: Line
) -> None:
    on(1, "serviced", "M-001", *TESTED, "--left",
       "belt-inspect=part ordered")  # fmt: skip
    [part] = json.loads(on(1, "parts", "--json"))
    assert (part["point"], part["state"], part["ordered"]) == (
        "belt-inspect", "ordered", "2026-12-01",
    )  # fmt: skip
    assert "as promised" in on(3, "part-arrived", "M-001")
    assert [c["about"] for c in json.loads(on(3, "calls", "--json"))] == ["part is here"]
    on(7, "fixed", "M-001", "belt changed", "--point", "belt-inspect=good")
    assert json.loads(on(7, "parts", "--json")) == []
    assert [c["about"] for c in json.loads(on(7, "calls", "--json"))] == []


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("waiting", "M-001"), 2, "say what it waits for: PART, or --owner, or --answer"),
        (("waiting", "M-001", "belt", "--owner", "ok?"), 2, "one of them"),
        (("waiting", "M-001", "belt", "--part", "belt"), 2, "PART and --part: give one of them"),
        (("waiting", "M-001", "--owner", "ok?", "--ordered", "X"), 2, "say of which part"),
        (("waiting", "M-001", "belt", "--ordered", "X", "--not-wanted"), 2, "give one of them"),
        (("waiting", "M-001", "belt", "--by", "Ida"), 2, "give --answer, too"),
        (("waiting", "M-001", "--answer", "yes"), 1, "Hazel Fenn was asked nothing"),
        (("waiting", "M-001", "--part", "belt", "--not-wanted"), 1, "no part that it waits for"),
        (("part-arrived", "M-001"), 1, "waits for no part"),
        (("waiting", "M-001", "belt", "--on", "2027-02-01"), 1, "is after today"),
        (("collected", "M-001", "--kept", "lamp"), 1, "lamp is none of what was left with it"),
        (("checkin", "M-001", "x", "--ready-by", "2026-11-01"), 1, "is in the shop already"),
    ],
)
def test_what_cannot_be_waited_for_is_refused_and_nothing_changed(
    words: tuple[str, ...], code: int, said: str, hazel: Shop, run: Run
) -> None:
    check_in(hazel, "M-001", "noisy", TODAY)
    before = all_machines(hazel)
    refused = run(*words, shop=hazel.folder)
    assert (refused.exit_code, said in refused.stderr) == (code, True), refused.stderr
    assert all_machines(hazel) == before


def test_two_parts_are_told_apart_and_a_second_question_waits_for_the_first_answer(
    hazel: Shop, run: Run
) -> None:
    check_in(hazel, "M-001", "noisy", TODAY)
    shop = hazel.folder
    for part in ("drive belt", "motor brushes"):
        run("waiting", "M-001", part, shop=shop)
    several = run("part-arrived", "M-001", shop=shop)
    assert "waits for drive belt, motor brushes; say which of them came" in several.stderr
    assert "here: motor brushes" in run("part-arrived", "M-001", "brush", shop=shop).stdout
    run("waiting", "M-001", "--owner", "brushes, 12 pounds?", shop=shop)
    again = run("waiting", "M-001", "--owner", "and a lamp?", shop=shop)
    assert again.exit_code == 1 and "note the answer first" in again.stderr
    assert "waits no more" in run("waiting", "M-001", "", shop=shop).stdout
    [stay] = json.loads(run("in-shop", "--json", shop=shop).stdout)
    assert stay["states"] == ["on the bench"]
    assert [(each["part"], each["end"]) for each in stay["parts"]] == [
        ("drive belt", "not wanted"), ("motor brushes", None),
    ]  # fmt: skip


def test_the_complaint_and_what_was_left_with_it_head_the_checklist_on_paper_and_screen(
    hazel: Shop, run: Run, tmp_path: Path
) -> None:
    record_service(hazel, "M-001", date(2026, 9, 1))
    words = ("checkin", "M-001", "skips stitches", "--with", "pedal,case", "--ready-by", TODAY)
    assert "Was here until 1 September 2026." in run(*words, shop=hazel.folder).stdout
    run("waiting", "M-001", "drive belt", shop=hazel.folder)
    for name in ("list.pdf", "list.html"):
        run("checklist", "M-001", "-o", name, shop=hazel.folder)
    paper = pypdf.PdfReader(tmp_path / "list.pdf").pages[0].extract_text()
    page = (tmp_path / "list.html").read_text(encoding="utf-8").split('id="steps"')[0]
    for told in (paper, page.replace("<b>", "").replace("</b>", "")):
        told = " ".join(told.split())
        for line in (
            "In their words: “skips stitches”",
            "Left with it: pedal, case",
            "Here since: 25 November 2026, J-001, ready by 25 November 2026",
            "State: waits for a part: drive belt, to order",
            "Lately: Was here until 1 September 2026",
        ):
            assert line in told
    model = run("checklist", "--model", "heron-3", "-o", "-").stdout_bytes
    assert "In their words" not in pypdf.PdfReader(BytesIO(model)).pages[0].extract_text()


def test_two_ready_machines_of_an_owner_share_a_call_and_a_letter_says_so_where_none_answers(
    hazel: Shop, on: Line, run: Run, tmp_path: Path
) -> None:
    add_machine(hazel, owner="Hazel", model="velmora-7", serial="", note="")
    for number in ("M-001", "M-002"):
        check_in(hazel, number, "noisy", TODAY)
        on(1, "ready", number, "--nothing-done")
    [call] = json.loads(on(1, "calls", "--json"))
    assert (call["about"], call["machines"]) == ("ready", ["M-001", "M-002"])
    for day in (1, 2, 3):
        told = on(day, "called", "Hazel", "no-answer")
    assert "A letter is proposed" in told
    on(4, "owner", "edit", "Hazel", "--address", "12 Example Street; Example Town")
    on(4, "letters", "-o", "letters.pdf")
    letter = " ".join(pypdf.PdfReader(tmp_path / "letters.pdf").pages[0].extract_text().split())
    assert "Heron 3 (M-001): It is ready to be collected." in letter
    assert "time for" not in letter and "hours a week" not in letter
    on(4, "calls", "-o", "sheet.pdf")
    sheet = " ".join(pypdf.PdfReader(tmp_path / "sheet.pdf").pages[0].extract_text().split())
    assert "When do you collect them?" in sheet and "oiling" not in sheet
    on(4, "calendar", "-o", "calls.ics")
    calendar = (tmp_path / "calls.ics").read_text().replace("\n ", "")
    assert "ready" in calendar and "how much they sew" not in calendar


def test_no_list_of_the_shop_breaks_in_a_narrow_terminal(hazel: Shop, on: Line) -> None:
    from oilchart.papers.screen import Screen
    from oilchart.papers.tables.in_shop import in_shop_text, parts_text
    from oilchart.shop.bench import in_shop

    check_in(hazel, "M-001", "makes loops underneath, and it smells of burnt rubber", TODAY)
    on(1, "waiting", "M-001", "--part", "bobbin-winder tyre", "--ordered", "Ambleworth Parts")
    on(1, "waiting", "M-001", "--owner", "a new motor lead, 38 pounds?")
    december = Shop(hazel.folder, date(2026, 12, 1))
    with december.book() as book:
        stays, parts = in_shop.in_shop(book, december).stays, in_shop.parts(book, december)
    for columns in (80, 100, 140):
        screen = Screen(columns=columns, colour=False)
        for told in (in_shop_text(stays, screen), parts_text(parts, screen)):
            assert max(map(len, told.splitlines())) <= columns


@pytest.mark.parametrize("work", [("fixed", "M-001", "freed"), ("serviced", "M-001", *TESTED)])
def test_a_machine_soaks_until_work_at_it_is_recorded(
    work: tuple[str, ...], hazel: Shop, on: Line
) -> None:
    check_in(hazel, "M-001", "stiff", TODAY)
    on(1, "bench", "M-001", "--soaking")
    assert lists(on, 1)["states"] == ["soaking"]
    on(2, *work)
    assert lists(on, 2)["states"] == ["on the bench"]
