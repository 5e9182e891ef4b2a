"""An unsafe machine is told of first, with why and since when, on every paper and in every list."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from oilchart.papers.screen import Screen
from oilchart.papers.tables.calls import calls_text
from oilchart.papers.tables.due import due_text
from oilchart.papers.tables.history import machine_story, story_text
from oilchart.papers.tables.machines import machines_text
from oilchart.papers.tables.schedule import schedule_text
from oilchart.shop.folder import Shop
from tests.builders.ink_checks import pages_of
from tests.builders.shop_steps import all_machines, all_standings, open_calls, standing_of
from tests.conftest import Run

WHY = {"electrical": "the lead crumbles", "mechanical": "the hinge pin is cracked"}
HEADING = {"electrical": "Do not plug in", "mechanical": "Do not use"}
MACHINE, OWNER = "M-003", "Nguyễn Thị Bích"  # is rung on this very day
SINCE = "since 24 November 2026"


@pytest.fixture(params=WHY)
def danger(request: pytest.FixtureRequest) -> str:
    """What makes the machine unsafe."""
    kind: str = request.param
    return kind


@pytest.fixture
def shop(demo_shop: Shop, danger: str, run: Run) -> Shop:
    """A shop one of whose machines is unsafe."""
    words = ["unsafe", MACHINE, WHY[danger], "--on", "2026-11-24"]
    told = run(*words, *(["--mechanical"] * (danger == "mechanical")), shop=demo_shop.folder)
    assert told.exit_code == 0
    return demo_shop


def told(danger: str, *, loud: bool = False) -> str:
    """How it is told of on papers."""
    heading = HEADING[danger].upper() + " " if loud else f"{HEADING[danger]}: "
    return f"{heading}{WHY[danger]}, {SINCE}"


def written(run: Run, shop: Shop, *words: str) -> bytes:
    """A paper that a command writes."""
    path = Path("paper.pdf")
    result = run(*words, "-o", path, shop=shop.folder)
    assert result.exit_code == 0, result.stderr
    return path.read_bytes()


def words_of_page(run: Run, shop: Shop, *words: str) -> str:
    """What is read on a page that a command writes, on one line."""
    path = Path("page.html")
    assert run(*words, "-o", path, shop=shop.folder).exit_code == 0
    body = path.read_text(encoding="utf-8").split("<body", 1)[1]
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", f"<body{body}")).split())


def tag(run: Run, shop: Shop, danger: str) -> None:
    run("checkin", MACHINE, "it hums", shop=shop.folder)
    [side] = pages_of(written(run, shop, "tag", MACHINE))
    assert side.startswith(told(danger, loud=True))


def checklist(run: Run, shop: Shop, danger: str) -> None:
    first, *others = pages_of(written(run, shop, "checklist", MACHINE))
    assert first.startswith(told(danger))
    assert others
    assert all(page.startswith(f"{told(danger)} · {MACHINE}") for page in others)
    assert "Not while it is unsafe: Adjust: Stitch balance" in " ".join(others)


def bench_page(run: Run, shop: Shop, danger: str) -> None:
    words = words_of_page(run, shop, "checklist", MACHINE)
    assert words.startswith(f"Skip to the steps {told(danger)} Bench checklist: Heron 3")


def record(run: Run, shop: Shop, danger: str) -> None:
    first, *_ = pages_of(written(run, shop, "record", MACHINE))
    before, below = first.split(f" {HEADING[danger]} {WHY[danger]}, {SINCE} ")
    # above it stand the title, the machine and the day alone
    assert re.fullmatch(r"Service record for .* Service of \w+ \d+ \w+ \d+", before)
    assert "What we found" in below


def sheet(run: Run, shop: Shop, danger: str) -> None:
    [side] = pages_of(written(run, shop, "card", MACHINE, "--size", "a5"))
    assert side.startswith(told(danger, loud=True))
    assert ("electrical check" in side) is (danger == "electrical")


def call_sheet(run: Run, shop: Shop, danger: str) -> None:
    whole = " ".join(pages_of(written(run, shop, "calls")))
    call = whole[whole.index(f"{MACHINE}: {told(danger)} {OWNER}") :]
    say = {"electrical": "Please leave the plug of your", "mechanical": "Please do not use your"}
    assert f"“{say[danger]} Heron 3 {MACHINE}" in call
    assert call.index("When can you bring it in?") < call.index("Note")
    assert "oiling" not in call[: call.index("Note")]


def letter(run: Run, shop: Shop, danger: str) -> None:
    heading = {"electrical": "Do not plug it in: ", "mechanical": "Do not use it: "}[danger]
    text = run("letters", "--due", "--txt", "-o", "-", shop=shop.folder).stdout
    letters = (*pages_of(written(run, shop, "letters", "--due")), *text.split("\f"))
    mine = [" ".join(each.split()) for each in letters if MACHINE in each]
    assert len(mine) == 2
    for words in mine:
        above, below = words.split(f"{heading}Heron 3 ({MACHINE})", 1)
        # above it stand the shop, the address and the day alone
        assert "Dear" not in above
        assert below.lstrip().startswith(f"{WHY[danger].capitalize()}, {SINCE}. ")


def board(run: Run, shop: Shop, danger: str) -> None:
    words = words_of_page(run, shop, "board")
    assert f"{told(danger)} Overdue 147 past {MACHINE}" in words
    assert f"{MACHINE}: {told(danger)} {OWNER}" in words


def calendars(run: Run, shop: Shop, danger: str) -> None:
    for options in ([], ["--services"]):
        entries = run("calendar", *options, "-o", "-", shop=shop.folder).stdout
        unfolded = entries.replace("\r\n ", "").replace("\n ", "").replace("\\,", ",")
        [entry] = [each for each in unfolded.split("BEGIN:VEVENT") if MACHINE in each]
        assert f"SUMMARY:{HEADING[danger].upper()}: " in entry
        assert any(
            line.startswith("DESCRIPTION:") and told(danger) in line[:90]
            for line in entry.splitlines()
        )
    refused = run("calendar", MACHINE, shop=shop.folder)
    assert refused.exit_code == 1
    assert refused.stderr.startswith(f"oilchart: {MACHINE}: {told(danger)}: it gets no reminders")


def explanation(run: Run, shop: Shop, danger: str) -> None:
    lines = run("schedule", MACHINE, "--explain", "stitch-balance", shop=shop.folder).stdout
    assert lines.startswith(f"{told(danger)}.\n")
    assert "It needs current: not while it is unsafe." in lines


def lists_for_programs(run: Run, shop: Shop, danger: str) -> None:
    values = {"unsafe": WHY[danger], "danger": danger, "unsafe_since": "2026-11-24"}
    listed = [
        *json.loads(run("due", "--json", shop=shop.folder).stdout),
        *json.loads(run("machine", "list", "--json", shop=shop.folder).stdout),
        *csv.DictReader(io.StringIO(run("due", "--csv", shop=shop.folder).stdout)),
        schedule := json.loads(run("schedule", MACHINE, "--json", shop=shop.folder).stdout),
        *(
            each
            for call in json.loads(run("calls", "--json", shop=shop.folder).stdout)
            for each in call["unsafe"]
        ),
    ]
    mine = [{key: each[key] for key in values} for each in listed if each["machine"] == MACHINE]
    assert mine == [values] * 5
    assert all(not each["unsafe"] for each in listed if each["machine"] != MACHINE)
    struck = {each["id"] for each in schedule["points"] if each["not_while_unsafe"]}
    assert {"stitch-balance", "pedal-run-inspect"} <= struck
    assert ("insulation-test" in struck) is (danger == "electrical")


@pytest.mark.parametrize(
    "paper",
    [
        tag,
        checklist,
        bench_page,
        record,
        sheet,
        call_sheet,
        letter,
        board,
        calendars,
        explanation,
        lists_for_programs,
    ],
    ids=lambda paper: paper.__name__,
)
def test_every_paper_of_an_unsafe_machine_begins_with_it(
    paper: Callable[[Run, Shop, str], None], run: Run, shop: Shop, danger: str
) -> None:
    paper(run, shop, danger)


def first_cells(text: str) -> str:
    """What stands in the first column of a table on a screen, rows one behind the other; where it
    is too narrow for a table, what stands first in each block."""
    if re.search(r"^(Machine|Day) ", text, re.MULTILINE):
        blocks = re.findall(r"^State +(\S.*?)^(?=\S)", text, re.MULTILINE | re.DOTALL)
        return " ".join(" ".join(blocks).split())
    head, *rows = text.partition("Not shown")[0].splitlines()
    end = head.index(head.split()[1], 1)
    return " ".join(" ".join(row[:end] for row in rows).split())


@pytest.mark.parametrize("columns", [40, 60, 80, 100, 120, 140, 170, 200, None])
def test_every_list_with_an_unsafe_machine_begins_with_it_however_narrow_the_screen(
    shop: Shop, danger: str, columns: int | None
) -> None:
    screen = Screen(columns=columns, colour=False)
    cell = f"✗ {HEADING[danger].lower()}: {WHY[danger]}, since 24 Nov 2026"
    calls = [call for call in open_calls(shop) if MACHINE in (r.number for r, _ in call.services)]
    assert f"{cell}; overdue" in first_cells(due_text(all_standings(shop), screen))
    assert cell in first_cells(machines_text(all_machines(shop), screen))
    assert first_cells(calls_text(calls, screen)).endswith(f"{cell} ({MACHINE})")
    standing = standing_of(shop, MACHINE)
    for text in (
        schedule_text(standing.schedule, screen, owner=None, services=()),
        story_text(machine_story(standing), screen),
    ):
        assert " ".join(text.split()).startswith(f"✗ {told(danger)}. ")


def test_a_passed_check_does_not_make_moving_parts_safe(demo_shop: Shop, run: Run) -> None:
    for words in (
        ("unsafe", MACHINE, WHY["mechanical"], "--mechanical"),
        ("unsafe", MACHINE, WHY["electrical"]),
    ):
        assert run(*words, shop=demo_shop.folder).exit_code == 0
    first, *_ = pages_of(written(run, demo_shop, "card", MACHINE))
    both = [f"{HEADING[kind].upper()} {why}, since 25" for kind, why in WHY.items()]
    assert first.startswith(both[0])
    assert first.index(both[0]) < first.index(both[1]) < first.index(MACHINE)
    run("fixed", MACHINE, "new lead fitted", shop=demo_shop.folder)
    passed = run("electrical", MACHINE, "--by", "R. Amsel", "--pass", shop=demo_shop.folder)
    assert passed.exit_code == 0
    still = f"{HEADING['mechanical']}: {WHY['mechanical']}, since 25 November 2026"
    assert still in passed.stdout
    [side, *_] = pages_of(written(run, demo_shop, "card", MACHINE))
    assert side.startswith("DO NOT USE the hinge")
    assert "plug in" not in side
    put_right = ("safe", MACHINE, "--by", "J. Tarn", "new hinge pin")
    assert run(*put_right, shop=demo_shop.folder).exit_code == 0
    [side, *_] = pages_of(written(run, demo_shop, "card", MACHINE))
    assert "DO NOT" not in side
