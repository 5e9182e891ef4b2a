"""The bench page in a real browser, from a file: what is ticked stays, nothing foreign runs, it fits a narrow screen and a printer."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdf
import pytest
from make import TODAY

from oilchart.papers.checklist import checklist
from oilchart.papers.ink.checklist_html import checklist_page
from oilchart.sources.folders import packaged
from oilchart.sources.shelf import Shelf

MARKUP = 'Ida </script><img src=x onerror="window.ran = true"><script>window.ran = true</script>'
OIL = "top-left-oil"
STEPS = [step.id for step in checklist(Shelf([packaged("points")]).chart("heron-3"), on=TODAY).steps]
AFTER_OIL = STEPS[STEPS.index(OIL) + 1]
SMALLEST = 48  # px, for oily fingers


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    whole = checklist(Shelf([packaged("points")]).chart("heron-3"), on=TODAY, owner=MARKUP)
    file = tmp_path_factory.mktemp("bench") / "checklist.html"
    file.write_text(checklist_page(replace(whole, machine="M-014"), [packaged("templates")]), encoding="utf-8")
    return file


@pytest.fixture
def bench(browser: Any, page_file: Path) -> Iterator[Any]:
    """The page on a screen over the bench; a test in which it reports an error fails."""
    context = browser.new_context(viewport={"width": 1920, "height": 1080}, reduced_motion="reduce")
    page = context.new_page()
    errors: list[str] = []
    page.on("console", lambda message: errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(page_file.as_uri())
    yield page
    context.close()
    assert errors == []


def a_box(page: Any, step: str) -> Any:
    return page.locator(f'.done[value="{step}"]')


def counts(page: Any) -> tuple[int, int]:
    """How many are done, of how many."""
    done, whole = re.findall(r"\d+", page.locator("#count").inner_text())
    return int(done), int(whole)


def lit(page: Any) -> list[str]:
    return [callout.get_attribute("data-step") for callout in page.locator(".callout.lit").all()]


def number(page: Any, step: str) -> str:
    return str(page.locator(".task", has=a_box(page, step)).get_attribute("data-step"))


def test_markup_in_an_owner_s_name_does_not_run(bench: Any) -> None:
    assert bench.evaluate("window.ran === undefined")
    assert MARKUP in bench.locator(".lead-line").inner_text()
    assert bench.locator("img").count() == 0


def test_the_script_says_what_the_page_said_without_it(bench: Any, page_file: Path) -> None:
    written = page_file.read_text(encoding="utf-8")
    assert f'<b id="count">{bench.locator("#count").inner_text()}</b>' in written
    assert f'<span id="left">{bench.locator("#left").inner_text()}</span>' in written


def test_ticks_and_findings_survive_a_reload_and_what_remains_falls(bench: Any) -> None:
    before, whole = counts(bench)
    a_box(bench, OIL).check()
    a_box(bench, "needle-end:open:1").check()
    task = bench.locator(".task", has=a_box(bench, OIL))
    task.locator("summary").click()
    for word in ("dry", "gummed", "watch"):
        task.get_by_label(word, exact=True).check()
    assert counts(bench) == (before + 2, whole)
    bench.reload()
    assert counts(bench) == (before + 2, whole)
    assert a_box(bench, OIL).is_checked()
    assert task.locator(".found-words").inner_text() == "dry, gummed"
    assert task.locator(".left-words").inner_text() == "watch"


def test_minutes_fall_until_nothing_is_left(bench: Any) -> None:
    boxes = bench.locator(".done")
    assert bench.locator("#left").inner_text().endswith(" left")
    bench.evaluate("document.querySelectorAll('.done').forEach((box) => box.click())")
    assert counts(bench) == (boxes.count(), boxes.count())
    assert bench.locator("#left").inner_text() == "Nothing left."


def test_the_focused_step_is_lit_on_the_drawing_and_a_number_leads_to_its_step(bench: Any) -> None:
    a_box(bench, OIL).focus()
    assert lit(bench) == [number(bench, OIL)]
    other = number(bench, "needle-change")
    bench.locator(f'.callout[data-step="{other}"] .number').click()
    assert a_box(bench, "needle-change").evaluate("box => box === document.activeElement")
    assert lit(bench) == [other]


def test_a_tick_lights_the_next_step(bench: Any) -> None:
    bench.locator(".task", has=a_box(bench, OIL)).locator(".where").click()
    assert a_box(bench, OIL).is_checked()
    assert lit(bench) == [number(bench, AFTER_OIL)]


def test_keys_move_tick_and_go_on(bench: Any) -> None:
    a_box(bench, OIL).focus()
    bench.keyboard.press("Enter")
    assert a_box(bench, OIL).is_checked()
    assert a_box(bench, AFTER_OIL).evaluate("box => box === document.activeElement")
    bench.keyboard.press("ArrowUp")
    bench.keyboard.press("Space")
    assert not a_box(bench, OIL).is_checked()


def test_next_leads_to_the_step_that_waits_and_then_past_it(bench: Any) -> None:
    first, second = (bench.locator(".done").nth(at) for at in (0, 1))
    bench.locator("#next").click()
    assert first.evaluate("box => box === document.activeElement")
    bench.locator("#next").click()
    assert second.evaluate("box => box === document.activeElement")


def test_clearing_asks_first(bench: Any) -> None:
    a_box(bench, OIL).check()
    bench.locator("#clear").click()
    bench.locator("#keep").click()
    assert counts(bench)[0] == 1
    bench.locator("#clear").click()
    bench.locator("#clear-now").click()
    assert counts(bench)[0] == 0
    bench.reload()
    assert counts(bench)[0] == 0


def test_the_type_is_switched_and_stays(bench: Any) -> None:
    sizes = {}
    for size in ("desk", "bench", "wall"):
        bench.locator(f'[data-type="{size}"]').click()
        sizes[size] = bench.evaluate("getComputedStyle(document.body).fontSize")
    assert sizes == {"desk": "17px", "bench": "22px", "wall": "34px"}
    bench.reload()
    assert bench.evaluate("getComputedStyle(document.body).fontSize") == "34px"


def test_a_browser_that_keeps_nothing_says_so(bench: Any) -> None:
    bench.add_init_script("Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };")
    bench.reload()
    assert bench.locator("#not-kept").is_visible()
    a_box(bench, OIL).check()
    assert counts(bench)[0] == 1


def test_a_full_store_gives_up_the_oldest_list(bench: Any) -> None:
    bench.evaluate(
        """() => {
            for (const day of ["2024-01-01", "2025-01-01"]) localStorage.setItem(`oilchart:1:checklist:heron-3:M-001:${day}`, "x");
            let room = 5 * 1024 * 1024;
            for (; room >= 1; room = Math.floor(room / 2)) {
                try { for (let at = 0; ; at += 1) localStorage.setItem(`other:${room}:${at}`, "x".repeat(room)); } catch { /* full */ }
            }
        }"""
    )
    for step in ("needle-bar-oil", OIL):
        a_box(bench, step).check()
    assert bench.locator("#not-kept").is_hidden()
    assert not bench.evaluate("Object.keys(localStorage).some((key) => key.endsWith(':2024-01-01'))")
    assert bench.evaluate("Object.keys(localStorage).some((key) => key.endsWith(':2025-01-01'))")
    bench.reload()
    assert a_box(bench, OIL).is_checked()


def test_spoilt_ticks_start_fresh(bench: Any) -> None:
    for spoilt in ("{", "null", "[]", '{"done": 3, "found": 4, "left": null}'):
        bench.evaluate("text => localStorage.setItem(document.body.dataset.key, text)", spoilt)
        bench.reload()
        assert counts(bench)[0] == 0


@pytest.mark.parametrize("width", [320, 375, 768, 1280, 1920])
@pytest.mark.parametrize("size", ["desk", "wall"])
def test_no_width_scrolls_sideways(bench: Any, width: int, size: str) -> None:
    bench.set_viewport_size({"width": width, "height": 900})
    bench.locator(f'[data-type="{size}"]').click()
    bench.locator("summary").first.click()
    assert bench.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize("width", [320, 1280, 1920])
def test_what_a_finger_must_hit_is_large_enough(bench: Any, width: int) -> None:
    bench.set_viewport_size({"width": width, "height": 900})
    bench.locator("summary").first.click()
    small = bench.evaluate(
        """smallest => [...document.querySelectorAll("button, summary, .strip a, input")]
            .map((target) => [target.outerHTML.slice(0, 80), target.getBoundingClientRect()])
            .filter(([, box]) => box.width && (box.width < smallest || box.height < smallest)).map(([html]) => html)""",
        SMALLEST,
    )
    assert small == []


def test_do_not_points_are_in_sight_wherever_the_list_stands(bench: Any) -> None:
    for top in (0, 5_000, 1_000_000):
        bench.evaluate("top => window.scrollTo(0, top)", top)
        outside = bench.evaluate(
            """() => [...document.querySelectorAll(".avoids li")].filter((point) => {
                const box = point.getBoundingClientRect();
                return box.top < 0 || box.bottom > window.innerHeight || box.width === 0;
            }).length"""
        )
        assert outside == 0


def test_it_prints_ticks_findings_and_lines_to_sign_but_no_controls(bench: Any) -> None:
    a_box(bench, OIL).check()
    task = bench.locator(".task", has=a_box(bench, OIL))
    task.locator("summary").click()
    task.get_by_label("gummed", exact=True).check()
    pages = pypdf.PdfReader(io.BytesIO(bench.pdf(format="A4"))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "gummed" in text
    assert "Technician" in text
    assert "Electrical check" in text
    assert f"page {len(pages)} of {len(pages)}" in text
    assert "Next step" not in text
    assert "over-oiled" not in text
