"""The board in a real browser, from a file: it fits the hand, the desk, the wall and a sheet of
paper, with its script and without."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdf
import pytest

from oilchart.core.planning.standing import Standing
from oilchart.core.planning.tally import Tally
from oilchart.papers.board.html import board_page
from oilchart.sources.packaged import packaged
from tests.builders.board_shop import thirty
from tests.builders.browser import sized
from tests.builders.records import an_owner

MARKUP = 'Ida </script><img src=x onerror="window.ran = true"><script>window.ran = true</script>'
LONG = "Wolfeschlegelsteinhausenbergerdorffwelchevoralternwaren"
SMALLEST = 24  # px, the least target of the Web Content Accessibility Guidelines 2.2, 2.5.8


def owned_by(standing: Standing, **owner: Any) -> Standing:
    """A machine of another owner."""
    return replace(standing, record=replace(standing.record, owner=an_owner(**owner)))


def named(standing: Standing) -> Standing:
    """A machine of a model with a long name."""
    machine = standing.schedule.machine
    point_list = replace(machine.point_list, name=LONG)
    machine = replace(machine, point_list=point_list)
    return replace(standing, schedule=replace(standing.schedule, machine=machine))


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    whole = thirty()
    first, second, *others = whole.machines
    phone = f"020 7946 0107, or {LONG}"
    spoilt = (owned_by(first, name=MARKUP), named(owned_by(second, name=LONG, phone=phone)))
    long_call = replace(whole.calls[0], owner=an_owner(name=LONG, phone=phone))
    spoilt_board = replace(
        whole,
        tally=Tally(listed=(*spoilt, *others), lapsed=()),
        calls=(long_call, *whole.calls[1:]),
    )
    file = tmp_path_factory.mktemp("board") / "board.html"
    file.write_text(
        board_page(spoilt_board, [packaged("templates")]),
        encoding="utf-8",
    )
    return file


@pytest.fixture(params=[True, False], ids=["script", "no script"])
def wall(browser: Any, page_file: Path, request: pytest.FixtureRequest) -> Iterator[Any]:
    """The page on a wall screen; a test in which it reports an error fails."""
    yield from opened(browser, page_file, script=request.param)


@pytest.fixture
def board(browser: Any, page_file: Path) -> Iterator[Any]:
    """The page with its script."""
    yield from opened(browser, page_file, script=True)


def opened(browser: Any, page_file: Path, *, script: bool) -> Iterator[Any]:
    context = browser.new_context(
        viewport={"width": 1920, "height": 1080},
        reduced_motion="reduce",
        java_script_enabled=script,
    )
    page = context.new_page()
    errors: list[str] = []
    if script:
        page.on("console", lambda message: errors.append(message.text))
        page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(page_file.as_uri())
    yield page
    context.close()
    assert errors == []


def states_in_sight(page: Any) -> list[str]:
    rows = page.locator("[data-state]").all()
    return [str(row.get_attribute("data-state")) for row in rows if row.is_visible()]


def test_markup_in_an_owner_s_name_does_not_run(board: Any) -> None:
    assert board.evaluate("window.ran === undefined")
    assert MARKUP in board.locator(".attention .name").first.inner_text()
    assert board.locator("img").count() == 0


@pytest.mark.parametrize("width", [320, 375, 768, 1280, 1500, 1920, 3840])
def test_no_width_scrolls_sideways(wall: Any, width: int) -> None:
    sized(wall, width, 900)
    for fold in wall.locator("summary").all():
        fold.click()
    assert wall.locator("body").evaluate(
        "body => document.documentElement.scrollWidth <= window.innerWidth"
    )


@pytest.mark.parametrize("width", [320, 1280, 1920])
def test_nothing_is_cut_off_at_the_side(wall: Any, width: int) -> None:
    sized(wall, width, 900)
    outside = wall.locator("body").evaluate(
        """body => [...body.querySelectorAll("h1, h2, b, td, th, li, label, a, .seam")]
            .filter((each) => {
                const box = each.getBoundingClientRect();
                const beyond = box.right > window.innerWidth + 0.5 || box.left < -0.5;
                return box.width > 1 && !each.matches(".skip") && beyond;
            })
            .map((each) => each.outerHTML.slice(0, 80))"""
    )
    assert outside == []


def test_all_is_said_without_the_script(wall: Any) -> None:
    words = wall.locator("body").inner_text()
    for said in (
        "63 past",
        "likely overdue",
        "Ring today",
        "In the shop",
        "+1",
        "Services, week by week",
    ):
        assert said in words
    assert wall.locator("table").count() == 6


def test_there_is_nothing_to_choose_without_the_script(browser: Any, page_file: Path) -> None:
    for page in opened(browser, page_file, script=False):
        assert not any(choice.is_visible() for choice in page.locator("input").all())


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (3840, 2160)])
def test_a_wall_shows_machines_calls_and_weeks_at_once(
    wall: Any, tmp_path: Path, width: int, height: int
) -> None:
    file = tmp_path / "board.html"
    file.write_text(board_page(thirty(), [packaged("templates")]), encoding="utf-8")
    sized(wall, width, height)
    wall.goto(file.as_uri())
    for place in (
        "#attention",
        "#ring",
        "#shop",
        ".weeks tbody tr:nth-child(4)",
        ".attention tbody tr:nth-child(10)",
    ):
        assert wall.locator(place).evaluate(
            "each => each.getBoundingClientRect().bottom <= window.innerHeight"
        )


def test_type_grows_with_the_wall(board: Any) -> None:
    sizes = []
    for width in (320, 1280, 1920, 3840):
        sized(board, width, 900)
        sizes.append(board.evaluate("getComputedStyle(document.body).fontSize"))
    assert sizes == ["17px", "17px", "21px", "42px"]


def test_choosing_a_state_shows_its_machines_alone_and_all_brings_them_back(board: Any) -> None:
    before = states_in_sight(board)
    board.get_by_role("radio", name="likely overdue").check()
    assert states_in_sight(board) == ["likely overdue"] * 3
    assert "Only shown: likely overdue (3)" in board.locator("#shown").inner_text()
    assert board.locator("#shop").is_hidden()
    assert board.locator("#ahead").is_visible()
    board.get_by_role("radio", name="in time").check()
    assert states_in_sight(board) == ["in time"] * 12
    board.get_by_role("radio", name="all machines").check()
    assert states_in_sight(board) == before
    assert board.locator("#shown").inner_text() == ""


def test_a_state_is_chosen_by_keys_and_the_choice_is_seen(board: Any) -> None:
    board.keyboard.press("Tab")
    assert board.evaluate("document.activeElement.className") == "skip"
    board.keyboard.press("Tab")
    board.keyboard.press("ArrowRight")
    assert set(states_in_sight(board)) == {"overdue"}
    outline = board.locator(".tab:has(:checked)").evaluate(
        "tab => getComputedStyle(tab).outlineStyle"
    )
    assert outline == "solid"


def test_the_script_keeps_nothing(board: Any) -> None:
    board.get_by_role("radio", name="due soon").check()
    assert board.evaluate("localStorage.length + sessionStorage.length") == 0
    board.reload()
    assert len(set(states_in_sight(board))) > 1


@pytest.mark.parametrize("width", [320, 1280, 1920])
def test_what_a_finger_must_hit_is_large_enough(board: Any, width: int) -> None:
    sized(board, width, 900)
    small = board.evaluate(
        """smallest => [...document.querySelectorAll("label, summary, .jumps a")]
            .map((target) => [target.outerHTML.slice(0, 80), target.getBoundingClientRect()])
            .filter(([, box]) => box.width && (box.width < smallest || box.height < smallest))
            .map(([html]) => html)""",
        SMALLEST,
    )
    assert small == []


def test_thirty_machines_print_on_three_sheets_at_most(wall: Any) -> None:
    pages = pypdf.PdfReader(io.BytesIO(wall.pdf(format="A4"))).pages
    assert len(pages) <= 3
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    for said in (
        "Overdue and due soon",
        "Ring today",
        "In the shop",
        "The weeks ahead",
        "All calls",
        "In time",
        f"page 1 of {len(pages)}",
    ):
        assert said in text
    assert "Skip to" not in text


def test_a_chosen_state_is_printed_as_such(board: Any) -> None:
    board.get_by_role("radio", name="due soon").check()
    pages = pypdf.PdfReader(io.BytesIO(board.pdf(format="A4"))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "Only shown: due soon (4)" in text


def test_forms_remain_where_the_system_chooses_the_colours(browser: Any, page_file: Path) -> None:
    context = browser.new_context(forced_colors="active")
    page = context.new_page()
    page.goto(page_file.as_uri())
    fills = page.evaluate(
        "[...document.querySelectorAll('.seam .done, .mark .full')].map((each) => "
        "getComputedStyle(each).fill)"
    )
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    context.close()
    assert fills
    assert ground not in fills
