"""The page on which places are clicked, in a real browser: what it gives is a list without
fault."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from oilchart.sources.points.checks import list_faults
from oilchart.sources.points.library import PointLibrary
from tests.builders.browser import sized
from tests.conftest import Run


@pytest.fixture
def placed(fresh_shop: Shop, run: Run, browser: Any, tmp_path: Path) -> Any:
    """The page for a model of the shop's own; a test in which it reports an error fails."""
    models = fresh_shop.folder / "points" / "models"
    models.mkdir()
    shipped = (packaged("points") / "models" / "heron-3.toml").read_text(encoding="utf-8")
    (models / "ibex-9.toml").write_text(
        shipped.replace('"Heron 3"', '"Ibex 9 <b>"') + "\n[change.hook-lint]\nminutes = 2\n"
    )
    result = run(
        "models",
        "place",
        "ibex-9",
        "flatbed-zigzag-front",
        "-o",
        "place.html",
        shop=fresh_shop.folder,
    )
    assert result.exit_code == 0, result.stderr
    page = browser.new_page(viewport={"width": 1400, "height": 900})
    errors: list[str] = []
    page.on("console", lambda message: errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto((tmp_path / "place.html").as_uri())
    yield page
    page.close()
    assert errors == []


def click(page: Any, x: float, y: float) -> None:
    """Click a place given in the drawing's units."""
    frame = page.locator(".plate .picture").bounding_box()
    page.mouse.click(frame["x"] + frame["width"] * x / 1000, frame["y"] + frame["height"] * y / 640)


def choose(page: Any, point: str) -> None:
    page.locator(f'input[value="{point}"]').check()


def test_a_click_gives_the_lines_to_paste_and_the_list_stays_without_fault(
    placed: Any, fresh_shop: Shop
) -> None:
    choose(placed, "hook-race-oil")
    click(placed, 300, 400)
    lines = placed.locator("#paste").input_value()
    assert re.match(r'\[change\.hook-race-oil\]\nat = \[+"flatbed-zigzag-front", \d+, \d+\]', lines)
    file = fresh_shop.folder / "points" / "models" / "ibex-9.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n" + lines, encoding="utf-8")
    library = PointLibrary([packaged("points"), fresh_shop.folder / "points"])
    point_list = library.point_list("ibex-9")
    point = point_list.point("hook-race-oil")
    assert point is not None
    place = library.drawings(point_list).place(point)
    assert place is not None
    assert abs(place.x - 300) <= 1 and abs(place.y - 400) <= 1
    assert list_faults(library, [file]) == []


def test_arrow_keys_move_a_place_and_delete_takes_it_off(placed: Any) -> None:
    choose(placed, "needle-change")
    click(placed, 500, 300)
    placed.locator("#plate").focus()
    for key in ("ArrowRight", "ArrowRight", "Shift+ArrowDown"):
        placed.keyboard.press(key)
    at = placed.locator(".point", has=placed.locator('input[value="needle-change"]')).locator(".at")
    x, y = map(float, at.inner_text().split(", "))
    assert abs(x - 502) <= 1 and abs(y - 310) <= 1
    placed.keyboard.press("Delete")
    assert at.inner_text() == ""
    assert "it lies nowhere now" in placed.locator("#paste").input_value()


def test_a_point_that_the_list_changes_already_is_told_where_to_go(placed: Any) -> None:
    choose(placed, "hook-lint")
    click(placed, 200, 500)
    assert (
        placed.locator("#paste")
        .input_value()
        .startswith("# below the [change.hook-lint] that is there already")
    )


def test_nothing_happens_without_a_chosen_point_and_names_are_text(placed: Any) -> None:
    click(placed, 300, 400)
    assert placed.locator("#paste").input_value() == ""
    assert "Ibex 9 <b>" in placed.locator("h1").inner_text()
    assert placed.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_the_picture_is_square_with_its_spots_on_a_narrow_screen(placed: Any) -> None:
    sized(placed, 360, 700)
    drawing, spots = (
        placed.locator(f".plate .{name}").bounding_box() for name in ("picture", "spots")
    )
    assert (
        abs(drawing["width"] - spots["width"]) < 1 and abs(drawing["height"] - spots["height"]) < 1
    )
    assert placed.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_a_model_or_drawing_that_is_not_there_is_refused(run: Run) -> None:
    for words, said in (
        (("heron-3", "flatbed-frnt"), "did you mean flatbed-front"),
        (("heron-4", "underside"), "did you mean heron-3?"),
    ):
        refused = run("models", "place", *words)
        assert refused.exit_code == 1
        assert said in refused.stderr
