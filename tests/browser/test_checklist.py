"""The bench page in a real browser, from a file: what is ticked stays and is saved, nothing foreign
runs, it fits screens and paper."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pypdf
import pytest

from oilchart import bounds
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.paper_style import Accent, PaperStyle
from oilchart.papers.checklist.html import checklist_page
from oilchart.shop.folder import Shop
from oilchart.sources.files.findings_file import read_findings
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.browser import against_rules, contrasts, opened, sized
from tests.builders.commands import besides_change
from tests.builders.drawn import checklist
from tests.builders.make import TODAY
from tests.builders.shop_steps import the_machine
from tests.conftest import Run
from tests.counts import is_full

MARKUP = 'Ida </script><img src=x onerror="window.ran = true"><script>window.ran = true</script>'
OIL = "top-left-oil"
TEST, WIRING = "insulation-test", "wiring-inspect"
KEPT_UNDER = "5f0f3d52-8a53-5e34-9c2c-6d6d1f0b7a11:M-014:J-003"
STEPS = [
    step.id
    for step in checklist(PointLibrary([packaged("points")]).point_list("heron-3"), on=TODAY).steps
]
AFTER_OIL = STEPS[STEPS.index(OIL) + 1]
SMALLEST = 48  # px, for oily fingers


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    whole = checklist(
        PointLibrary([packaged("points")]).point_list("heron-3"), on=TODAY, owner=MARKUP
    )
    file = tmp_path_factory.mktemp("bench") / "checklist.html"
    file.write_text(
        checklist_page(
            replace(whole, machine="M-014", kept_under=KEPT_UNDER), [packaged("templates")]
        ),
        encoding="utf-8",
    )
    return file


@pytest.fixture
def bench(browser: Any, page_file: Path) -> Iterator[Any]:
    """The page on a screen over the bench; a test in which it reports an error fails."""
    with opened(browser, page_file) as page:
        yield page


def page_of(model: str, folder: Path) -> Path:
    """The page of a model's whole list."""
    folder.mkdir(exist_ok=True)
    file = folder / f"{model}.html"
    file.write_text(
        checklist_page(
            checklist(PointLibrary([packaged("points")]).point_list(model), on=TODAY),
            [packaged("templates")],
        ),
        encoding="utf-8",
    )
    return file


def a_box(page: Any, step: str) -> Any:
    return page.locator(f'.done[value="{step}"]')


def counts(page: Any) -> tuple[int, int]:
    """How many are done, of how many."""
    done, whole = re.findall(r"\d+", page.locator("#count").inner_text())
    return int(done), int(whole)


def lit(page: Any) -> list[str]:
    return [callout.get_attribute("data-step") for callout in page.locator(".callout.lit").all()]


def task_of(page: Any, step: str) -> Any:
    return page.locator(".task", has=a_box(page, step))


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
    assert sizes == {"desk": "17px", "bench": "23px", "wall": "44px"}
    bench.reload()
    assert bench.evaluate("getComputedStyle(document.body).fontSize") == "44px"


def test_a_browser_that_keeps_nothing_says_so(bench: Any) -> None:
    bench.add_init_script(
        "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); "
        "};"
    )
    bench.reload()
    assert bench.locator("#not-kept").is_visible()
    a_box(bench, OIL).check()
    assert counts(bench)[0] == 1


def test_a_full_store_gives_up_the_oldest_list(bench: Any) -> None:
    bench.evaluate(
        """() => {
            for (const day of ["2024-01-01", "2025-01-01"]) {
                localStorage.setItem(`oilchart:1:checklist:heron-3:M-001:${day}`, "x".repeat(400));
            }
            let room = 5 * 1024 * 1024;
            for (; room >= 1; room = Math.floor(room / 2)) {
                try {
                    for (let at = 0; ; at += 1) {
                        localStorage.setItem(`other:${room}:${at}`, "x".repeat(room));
                    }
                } catch { /* full */ }
            }
        }"""
    )
    for step in ("needle-bar-oil", OIL):
        a_box(bench, step).check()
    assert bench.locator("#not-kept").is_hidden()
    assert not bench.evaluate(
        "Object.keys(localStorage).some((key) => key.endsWith(':2024-01-01'))"
    )
    assert bench.evaluate("Object.keys(localStorage).some((key) => key.endsWith(':2025-01-01'))")
    bench.reload()
    assert a_box(bench, OIL).is_checked()


def test_spoilt_ticks_start_fresh(bench: Any) -> None:
    for spoilt in ("{", "null", "[]", '{"done": 3, "found": 4, "left": null}'):
        bench.evaluate("text => localStorage.setItem(document.body.dataset.key, text)", spoilt)
        bench.reload()
        assert counts(bench)[0] == 0


@pytest.mark.parametrize("width", [320, 375, 768, 1000, 1024, 1280, 1920])
@pytest.mark.parametrize("size", ["desk", "wall"])
def test_no_width_scrolls_sideways(bench: Any, width: int, size: str) -> None:
    sized(bench, width, 900)
    bench.locator(f'[data-type="{size}"]').click()
    bench.locator("summary").first.click()
    assert bench.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize("width", [320, 768, 1280, 1920])
def test_what_a_finger_must_hit_is_large_enough(bench: Any, width: int) -> None:
    sized(bench, width, 900)
    bench.locator("summary").first.click()
    small = bench.evaluate(
        """([targets, smallest]) => [...document.querySelectorAll(targets)]
            .map((target) => [target.outerHTML.slice(0, 80), target.getBoundingClientRect()])
            .filter(([, box]) => box.width && (box.width < smallest || box.height < smallest))
            .map(([html]) => html)""",
        ["button, summary, select, textarea, input, a:not(.skip)", SMALLEST],
    )
    assert small == []


OUT_OF_SIGHT = """() => [...document.querySelectorAll(".avoids li")].filter((point) => {
    const box = point.getBoundingClientRect();
    const beside = box.left < 0 || box.right > window.innerWidth;
    return box.top < 0 || box.bottom > window.innerHeight || beside || box.width === 0;
}).length"""
HIDDEN_IN_A_BOX = """() => [...document.querySelectorAll(".never, .never *")].filter((part) => {
    const tall = part.scrollHeight > part.clientHeight + 1;
    const wide = part.scrollWidth > part.clientWidth + 1;
    const inline = getComputedStyle(part).display === "inline";
    return !part.closest(".octagon") && (tall || wide) && !inline;
}).length"""
ON_TOP = """part => {
    const box = part.getBoundingClientRect();
    const there = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    return there !== null && (part.contains(there) || part.parentElement.contains(there));
}"""
SEVERAL = ["heron-3", "garrow-80", "sedge-44", "tansy-3"]


@pytest.mark.parametrize("model", SEVERAL)
def test_do_not_points_are_in_sight_wherever_the_list_stands(
    browser: Any, tmp_path: Path, model: str
) -> None:
    for width, height in ((1920, 1080), (3840, 2160)):
        with opened(browser, page_of(model, tmp_path), width=width, height=height) as page:
            for top in (0, 5_000, 1_000_000):
                page.evaluate("top => window.scrollTo(0, top)", top)
                assert page.evaluate(OUT_OF_SIGHT) == 0
            assert page.locator(".to-never").is_hidden()


@pytest.mark.parametrize("model", SEVERAL)
@pytest.mark.parametrize("size", ["desk", "wall"])
def test_no_do_not_point_has_to_be_scrolled_to_inside_a_box(
    browser: Any, tmp_path: Path, model: str, size: str
) -> None:
    with opened(browser, page_of(model, tmp_path)) as page:
        page.locator(f'[data-type="{size}"]').click()
        for width, height in ((360, 740), (768, 1024), (1280, 720), (1366, 768), (1920, 1080)):
            sized(page, width, height)
            assert page.evaluate(HIDDEN_IN_A_BOX) == 0
            assert (
                page.evaluate(
                    "parseFloat(getComputedStyle(document.querySelector('.avoids')).fontSize)"
                )
                >= 16
            )
            if page.locator(".to-never").is_visible():
                page.locator(".done").last.focus()
                page.locator(".to-never").click()
                assert page.evaluate(ON_TOP, page.locator(".octagon").element_handle())


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (1280, 720), (768, 1024)])
def test_a_step_that_is_gone_to_is_in_sight_with_its_number(
    bench: Any, width: int, height: int
) -> None:
    sized(bench, width, height)
    for step in (OIL, "motor-dust-clean", "needle-change"):
        a_box(bench, step).focus()
        bench.keyboard.press("ArrowUp")
        bench.keyboard.press("ArrowDown")
        assert lit(bench) == [number(bench, step)]
        for part in (bench.locator(".task.now .where"), bench.locator(".callout.lit .disc")):
            assert bench.evaluate(ON_TOP, part.element_handle())


@pytest.mark.parametrize(
    ("width", "height"), [(3840, 2160), (1920, 1080), (1280, 720), (768, 1024)]
)
def test_every_stage_of_the_strip_says_its_name(bench: Any, width: int, height: int) -> None:
    sized(bench, width, height)
    links = bench.locator(".strip a")
    names = bench.locator(".stage h2").all_inner_texts()
    assert [" ".join(text.split()) for text in links.all_inner_texts()] == [
        " ".join(name.split()) for name in names
    ]
    for at in range(links.count()):
        box = links.nth(at).locator(".name").bounding_box()
        assert box["width"] > 20 and box["height"] > 10


@pytest.mark.parametrize(("width", "touch"), [(1920, False), (768, True), (360, True)])
def test_every_key_is_stated_on_the_page(
    browser: Any, page_file: Path, width: int, touch: bool
) -> None:
    with opened(browser, page_file, width=width, has_touch=touch, is_mobile=touch) as page:
        [words] = [words for words in page.locator(".keys:visible").all_inner_texts() if words]
        for key in ("Tab", "Shift Tab", "↓ ↑", "Space", "Enter", "Esc"):
            assert key in words


@pytest.mark.parametrize("width", [320, 768, 1280, 1920])
@pytest.mark.parametrize("size", ["desk", "bench", "wall"])
def test_no_rule_of_accessibility_is_broken(bench: Any, width: int, size: str) -> None:
    sized(bench, width, 900)
    bench.locator(f'[data-type="{size}"]').click()
    contrast = is_full() or (width, size) in {(320, "wall"), (768, "bench"), (1280, "desk")}
    assert against_rules(bench, contrast=contrast) == []


def test_no_rule_of_accessibility_is_broken_in_the_midst_of_work(bench: Any) -> None:
    a_box(bench, OIL).check()
    task = bench.locator(".task", has=a_box(bench, "needle-change"))
    task.locator("summary").click()
    task.get_by_label("dry", exact=True).check()
    assert against_rules(bench) == []
    bench.locator("#clear").click()
    assert against_rules(bench) == []


@pytest.mark.parametrize("model", PointLibrary([packaged("points")]).model_ids())
def test_the_page_of_no_model_breaks_a_rule_of_accessibility(
    browser: Any, tmp_path: Path, model: str
) -> None:
    with opened(browser, page_of(model, tmp_path), width=1280, height=900) as page:
        contrast = is_full() or model in {"heron-3", "ashgrove-27", "family-overlock"}
        assert against_rules(page, contrast=contrast) == []
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize(
    ("colour", "width", "height"),
    [*((colour, 1280, 800) for colour in Accent), (Accent.BLUE, 360, 740)],
)
def test_all_words_stand_out_from_what_is_behind_them(
    browser: Any, tmp_path: Path, colour: Accent, width: int, height: int
) -> None:
    whole = checklist(
        PointLibrary([packaged("points")]).point_list("heron-3"),
        on=TODAY,
        style=PaperStyle(colour=colour, footer="Shut on Mondays."),
    )
    [first, *others] = whole.stages
    later = replace(
        first,
        steps=tuple(replace(step, later="not this time: due May 2027") for step in first.steps),
    )
    file = tmp_path / "checklist.html"
    file.write_text(
        checklist_page(replace(whole, stages=(later, *others)), [packaged("templates")]),
        encoding="utf-8",
    )
    with opened(browser, file, width=width, height=height) as page:
        a_box(page, OIL).check()
        task = page.locator(".task", has=a_box(page, "needle-change"))
        task.locator("summary").click()
        task.get_by_label("dry", exact=True).check()
        measured = contrasts(page)
        page.locator("#clear").click()
        measured |= {
            f"dialog: {words}": value for words, value in contrasts(page, whole=False).items()
        }
    assert len(measured) > 150
    assert {words: round(value, 2) for words, value in measured.items() if value < 4.5} == {}


def test_it_works_from_a_file_without_a_network(browser: Any, page_file: Path) -> None:
    with opened(browser, page_file, offline=True) as page:
        a_box(page, OIL).check()
        page.reload()
        assert a_box(page, OIL).is_checked()
        assert (
            page.evaluate("performance.getEntriesByType('resource').map((entry) => entry.name)")
            == []
        )


def test_without_script_it_can_be_read_and_ticked(browser: Any, page_file: Path) -> None:
    for width in (1920, 360):
        with opened(browser, page_file, width=width, java_script_enabled=False) as page:
            assert page.locator("noscript .notice").is_visible()
            a_box(page, OIL).check()
            page.locator("summary").first.click()
            page.get_by_label("gummed", exact=True).first.check()
            assert a_box(page, OIL).is_checked()
            parts = page.locator(".avoids li, .task, .stage h2, .sheet svg, .sign-off")
            assert parts.count() > 60
            assert parts.filter(visible=False).count() == 0
            buttons = page.locator("button")
            assert buttons.count() > 4
            assert buttons.filter(visible=True).count() == 0


def printed(page: Any, size: str = "A4") -> list[str]:
    """The words of each page on paper."""
    return [
        " ".join(sheet.extract_text().split())
        for sheet in pypdf.PdfReader(io.BytesIO(page.pdf(format=size))).pages
    ]


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("width", [360, 1280, 1920])
def test_it_prints_ticks_findings_and_lines_to_sign_but_no_controls(
    bench: Any, size: str, width: int
) -> None:
    sized(bench, width, 900)
    a_box(bench, OIL).check()
    task = bench.locator(".task", has=a_box(bench, OIL))
    task.locator("summary").click()
    task.get_by_label("gummed", exact=True).check()
    bench.locator("#note").fill("Belt renewed.")
    pages = printed(bench, size)
    text = " ".join(pages)
    for words in (
        "gummed",
        "Work done by (name, signature)",
        "Electrical check",
        "Belt renewed.",
        f"page {len(pages)} of {len(pages)}",
    ):
        assert words in text
    for words in (
        "Next step",
        "over-oiled",
        "Save findings",
        "Keys:",
        "Clear all",
        "leave names out",
    ):
        assert words not in text
    assert "Never" in pages[0] and "Wiring, cords and plugs" in pages[0]


def test_paper_shows_no_mark_of_where_one_was(bench: Any) -> None:
    blank = printed_look(bench)
    bench.locator(".task", has=a_box(bench, OIL)).locator("summary").focus()
    bench.keyboard.press("Shift+Tab")
    assert lit(bench) == [number(bench, OIL)]
    assert printed_look(bench) == blank


def printed_look(page: Any) -> bytes:
    """What the page looks like with the rules for paper."""
    page.emulate_media(media="print", reduced_motion="reduce")
    picture = page.screenshot(full_page=True)
    page.emulate_media(media="screen", reduced_motion="reduce")
    return bytes(picture)


def test_on_paper_boxes_have_black_edges_and_ticks(bench: Any) -> None:
    a_box(bench, OIL).check()
    bench.emulate_media(media="print", reduced_motion="reduce")
    edges = bench.evaluate(
        """() => {
            const boxes = [...document.querySelectorAll(".done")];
            const colours = boxes.map((box) => getComputedStyle(box, "::before").borderTopColor);
            return [...new Set(colours)];
        }"""
    )
    assert edges == ["rgb(27, 27, 27)"]
    ticks = bench.evaluate(
        """() => [...document.querySelectorAll(".done")]
            .filter((box) => getComputedStyle(box, "::after").visibility === "visible").length"""
    )
    assert ticks == 1


# findings that are saved


def test_what_is_ticked_and_noted_on_the_page_is_recorded_without_typing(
    demo_shop: Shop, run: Run, browser: Any, tmp_path: Path
) -> None:
    assert run("checklist", "M-001", "-o", "bench.html", shop=demo_shop.folder).exit_code == 0
    with opened(browser, tmp_path / "bench.html") as page:
        left_out = ["lamp-inspect", "belt-inspect", "hook-race-clean"]
        steps = [box.get_attribute("value") for box in page.locator(".step .done").all()]
        for step in steps:
            if step not in left_out:
                a_box(page, step).check()
        noted = {
            "hook-race-oil": (["dry", "gummed"], ""),
            "belt-inspect": (["worn"], "part ordered"),
            "lamp-inspect": ([], "declined"),
        }
        for step, (found, left) in noted.items():
            task = page.locator(".task", has=a_box(page, step))
            task.locator("summary").click()
            for word in found:
                task.locator(f'.found[value="{word}"]').check()
            task.locator(f'.left[value="{left}"]').check()
        page.locator("#note").fill("Belt ordered; ring her\nwhen it is in.")
        page.locator("#by").fill("J. Tarn")
        page.locator(".check-by").fill("R. Amsel")
        task_of(page, TEST).get_by_label("passed", exact=True).check()
        page.locator(".check-reading").fill("2.1 megohm")
        page.reload()
        with page.expect_download() as download:
            page.locator(".save").first.click()
        assert download.value.suggested_filename == "M-001-2026-11-25-findings.json"
        download.value.save_as(tmp_path / "findings.json")
        assert (
            page.locator(".saved")
            .first.inner_text()
            .startswith(f"Saved {len(steps) - 4} of {len(steps)} points as M-001-2026-11-25")
        )
    owners = {
        point.id
        for point in demo_shop.list_for_owner_of(the_machine(demo_shop, "M-001")).kept_by(
            Keeper.OWNER
        )
    }
    recorded = run("serviced", "M-001", "--from", "findings.json", shop=demo_shop.folder)
    assert (recorded.exit_code, besides_change(recorded.stderr)) == (0, "")
    record = the_machine(demo_shop, "M-001")
    service = record.services[-1]
    assert (service.on, service.by, service.whole) == (TODAY, "J. Tarn", True)
    assert record.notes[-1].words == "Belt ordered; ring her when it is in."
    assert record.is_tested(service)
    assert (record.checks[-1].by, record.checks[-1].reading) == ("R. Amsel", "2.1 megohm")
    not_done = {each.point for each in service.findings if each.planned and not each.done}
    assert not_done - {TEST} == set(left_out)
    assert {finding.point for finding in service.findings if finding.done} == (
        set(steps) | owners
    ) - {*left_out, TEST}
    assert {
        f.point: (list(f.found), f.left or "") for f in service.findings if f.found or f.left
    } == noted


def test_the_day_of_the_work_is_saved_with_the_findings(bench: Any, tmp_path: Path) -> None:
    a_box(bench, OIL).check()
    bench.locator("#day").fill("2026-11-24")
    bench.reload()
    bench.locator(".save").last.click()
    with bench.expect_download() as download:
        bench.locator(".save").last.click()
    assert download.value.suggested_filename == "M-014-2026-11-24-findings.json"
    download.value.save_as(tmp_path / "findings.json")
    saved = read_findings(tmp_path / "findings.json", TODAY)
    assert (saved.machine, saved.model, saved.on.isoformat(), saved.told.ticked) == (
        "M-014",
        "heron-3",
        "2026-11-24",
        (OIL,),
    )


def test_nothing_is_saved_while_nothing_is_ticked(bench: Any) -> None:
    bench.locator(".save").first.click()
    assert bench.locator(".saved").first.inner_text() == (
        "Nothing is ticked or noted yet: nothing was saved."
    )
    a_box(bench, OIL).check()
    assert bench.locator(".saved").first.is_hidden()


def test_clearing_takes_notes_and_day_back_too(bench: Any) -> None:
    bench.locator("#note").fill("Hums.")
    bench.locator("#day").fill("2026-11-24")
    bench.locator("#clear").click()
    bench.locator("#clear-now").click()
    bench.reload()
    assert bench.locator("#note").input_value() == ""
    assert bench.locator("#day").input_value() == TODAY.isoformat()


def save_of(page: Any, tmp_path: Path) -> dict[str, Any]:
    """What is saved at once."""
    with page.expect_download() as download:
        page.locator(".save").first.click()
    download.value.save_as(tmp_path / "findings.json")
    saved: dict[str, Any] = json.loads((tmp_path / "findings.json").read_text(encoding="utf-8"))
    read_findings(tmp_path / "findings.json", TODAY)
    return saved


def test_a_safety_point_that_is_not_ticked_wants_a_reason_and_focus_goes_there(
    bench: Any, tmp_path: Path
) -> None:
    a_box(bench, OIL).check()
    bench.get_by_label("Do not use", exact=True).check()
    reason = task_of(bench, WIRING).locator(".why-left")
    assert reason.is_hidden()
    bench.locator(".save").first.click()
    assert bench.locator("#why-unsafe").evaluate("field => field === document.activeElement")
    assert reason.is_visible()
    assert "Not saved yet" in bench.locator(".saved").first.inner_text()
    assert against_rules(bench) == []
    bench.keyboard.type("hinge pin cracked")
    bench.keyboard.press("Enter")
    assert reason.evaluate("field => field === document.activeElement")
    bench.keyboard.type("asked for tomorrow")
    bench.keyboard.press("Enter")
    assert bench.locator(".save").first.evaluate("button => button === document.activeElement")
    bench.reload()
    assert reason.is_visible()
    assert save_of(bench, tmp_path)["left_out"] == {WIRING: "asked for tomorrow"}
    a_box(bench, WIRING).check()
    assert reason.is_hidden()
    assert save_of(bench, tmp_path)["left_out"] == {}


def test_it_is_saved_without_a_reason_at_the_second_time_and_nothing_is_lost(
    bench: Any, tmp_path: Path
) -> None:
    a_box(bench, OIL).check()
    bench.locator("#note").fill("Hums.")
    bench.locator(".save").first.click()
    saved = save_of(bench, tmp_path)
    assert (saved["done"], saved["left_out"], saved["note"]) == ([OIL], {}, "Hums.")


def test_the_electrical_test_counts_by_a_named_check_alone(bench: Any, tmp_path: Path) -> None:
    task = task_of(bench, TEST)
    assert "It counts by a named check alone." in task.inner_text()
    for step in ("cords-look", WIRING):
        a_box(bench, step).check()
    a_box(bench, TEST).check()
    bench.locator(".save").first.click()
    assert task.locator(".check-by").evaluate("field => field === document.activeElement")
    saved = save_of(bench, tmp_path)
    assert (TEST in saved["done"], saved["check"]) == (False, None)
    task.locator(".check-by").fill("R. Amsel")
    task.get_by_label("not passed", exact=True).check()
    bench.reload()
    assert a_box(bench, TEST).is_checked()
    assert save_of(bench, tmp_path)["check"] == {"by": "R. Amsel", "passed": False, "reading": ""}


def test_who_did_the_work_is_kept_for_the_next_list_on_this_device(
    browser: Any, bench: Any, tmp_path: Path
) -> None:
    bench.locator("#by").fill("J. Tarn")
    bench.locator("#note").fill("Hums.")
    assert save_of(bench, tmp_path)["by"] == "J. Tarn"
    bench.goto(page_of("sedge-44", tmp_path).as_uri())
    assert bench.locator("#by").input_value() == "J. Tarn"
    assert bench.locator("#note").input_value() == ""


# a machine that is not safe


def struck_steps(page: Any) -> set[str]:
    return {box.get_attribute("value") for box in page.locator(".step.struck .done").all()}


def test_a_machine_found_unsafe_says_so_first_and_strikes_what_needs_current(
    bench: Any, tmp_path: Path
) -> None:
    done, whole = counts(bench)
    assert bench.locator("#danger").is_hidden()
    bench.get_by_label("Do not plug in", exact=True).check()
    why = bench.locator("#why-unsafe")
    assert why.evaluate("field => field === document.activeElement")
    assert struck_steps(bench) == {TEST, "pedal-run-inspect", "stitch-balance"}
    assert "struck" in bench.locator("#stage-test").get_attribute("class").split()
    struck = bench.locator(".task.struck").count()
    assert counts(bench) == (done, whole - struck)
    bench.locator(".save").first.click()
    assert why.evaluate("field => field === document.activeElement")
    why.fill("the lead crumbles")
    assert bench.locator("#danger").inner_text() == "Do not plug in: the lead crumbles"
    size = "parseFloat(getComputedStyle(document.querySelector('.danger-line')).fontSize)"
    assert bench.evaluate(size) > 1.2 * bench.evaluate(
        "parseFloat(getComputedStyle(document.querySelector('h1')).fontSize)"
    )
    assert bench.evaluate("document.querySelector('main').firstElementChild.id") == "danger"
    bench.reload()
    assert bench.locator("#danger").inner_text() == "Do not plug in: the lead crumbles"
    saved = save_of(bench, tmp_path)
    assert saved["unsafe"] == {"danger": "electrical", "why": "the lead crumbles"}
    assert saved["done"] == []
    assert "what was noted, and no work" in bench.locator(".saved").first.inner_text()
    bench.get_by_label("Do not use", exact=True).check()
    assert struck_steps(bench) == {"pedal-run-inspect", "stitch-balance"}
    bench.get_by_label("Nothing found", exact=True).check()
    assert counts(bench) == (done, whole)
    assert struck_steps(bench) == set()
    assert bench.locator("#danger").is_hidden()


def unsafe_page(folder: Path) -> Path:
    """The page of a machine that the book knows to be unsafe."""
    mark = UnsafeMark(
        id=1, danger=Danger.ELECTRICAL, on=date(2026, 11, 20), why="the lead crumbles"
    )
    whole = checklist(
        PointLibrary([packaged("points")]).point_list("heron-3"), on=TODAY, dangers=(mark,)
    )
    file = folder / "unsafe.html"
    file.write_text(
        checklist_page(
            replace(whole, machine="M-014", kept_under=KEPT_UNDER), [packaged("templates")]
        ),
        encoding="utf-8",
    )
    return file


@pytest.mark.parametrize("script", [True, False])
def test_a_machine_that_is_unsafe_opens_so(browser: Any, tmp_path: Path, script: bool) -> None:
    file = unsafe_page(tmp_path)
    with opened(browser, file, width=768, height=1024, java_script_enabled=script) as page:
        assert page.locator("main > :first-child").inner_text() == (
            "Do not plug in: the lead crumbles, since 20 November 2026"
        )
        assert struck_steps(page) == {TEST, "pedal-run-inspect", "stitch-balance"}
        words = page.locator(".struck .off-words")
        assert words.filter(visible=True).count() == page.locator(".task.struck").count() > 3
        assert page.locator(".safety").is_visible() is script
        written = re.search(r'id="count">([^<]*)<', file.read_text(encoding="utf-8"))
        assert written is not None
        assert page.locator("#count").inner_text() == written[1]
        first = re.sub(r"^page 1 of \d+ ", "", printed(page)[0])
        assert first.startswith("Do not plug in: the lead crumbles, since 20 November 2026")


@pytest.mark.parametrize("width", [360, 768, 1920])
@pytest.mark.parametrize("size", ["desk", "wall"])
def test_an_unsafe_page_fits_every_width_and_breaks_no_rule(
    browser: Any, tmp_path: Path, width: int, size: str
) -> None:
    with opened(browser, unsafe_page(tmp_path), width=width, height=900) as page:
        page.locator(f'[data-type="{size}"]').click()
        page.get_by_label("Do not use", exact=True).check()
        page.locator("#why-unsafe").fill("hinge pin cracked, and the head drops off its hinges")
        a_box(page, OIL).check()
        page.locator(".save").first.click()
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        small = page.evaluate(
            """smallest => [...document.querySelectorAll(".safety input, .asked input, .to-danger")]
                .map((target) => target.getBoundingClientRect())
                .filter((box) => box.width && (box.width < smallest || box.height < smallest))
                .length""",
            SMALLEST,
        )
        assert small == 0
        assert against_rules(page, contrast=size == "desk") == []


def test_a_machine_without_a_plug_is_never_found_not_to_be_plugged_in(
    browser: Any, tmp_path: Path
) -> None:
    with opened(browser, page_of("family-straight-treadle", tmp_path)) as page:
        assert page.get_by_label("Do not plug in", exact=True).count() == 0
        page.get_by_label("Do not use", exact=True).check()
        assert any("Test sew" in words for words in page.locator(".struck").all_inner_texts())


# what the browser keeps, and for how long


def kept_lists(page: Any) -> dict[str, Any]:
    """The lists that the browser keeps beyond a tab, by their names."""
    kept: dict[str, Any] = page.evaluate(
        "Object.fromEntries(Object.entries(localStorage)"
        ".filter(([key]) => key.includes(':checklist:')))"
    )
    return kept


def test_a_model_s_list_opens_without_what_was_noted_on_another_of_the_same_bytes(
    browser: Any, tmp_path: Path
) -> None:
    pages = [page_of("heron-3", folder) for folder in (tmp_path / "a", tmp_path / "b")]
    assert pages[0].read_bytes() == pages[1].read_bytes()
    with opened(browser, pages[0]) as page:
        a_box(page, OIL).check()
        page.locator("#note").fill("Hums.")
        page.reload()
        assert a_box(page, OIL).is_checked()
        assert kept_lists(page) == {}
        page.goto(pages[1].as_uri())
        assert counts(page)[0] == 0
        assert page.locator("#note").input_value() == ""
        other = page.context.new_page()
        other.goto(pages[0].as_uri())
        assert counts(other)[0] == 0
        assert "until this tab is closed" in other.locator(".note .hint").inner_text()


def test_ticks_are_not_those_of_the_same_machine_in_another_stay(
    browser: Any, tmp_path: Path, demo_shop: Shop, run: Run
) -> None:
    def bench_page(name: str) -> Path:
        assert run("checklist", "M-002", "-o", name, shop=demo_shop.folder).exit_code == 0
        return tmp_path / name

    pages = [bench_page("alone.html")]
    assert run("checkin", "M-002", "hums", shop=demo_shop.folder).exit_code == 0
    pages.append(bench_page("stay.html"))
    with opened(browser, pages[0]) as page:
        names = []
        for file in pages:
            page.goto(file.as_uri())
            assert counts(page)[0] == 0
            a_box(page, OIL).check()
            names.append(page.evaluate("document.body.dataset.key"))
        assert kept_lists(page).keys() == set(names)
        assert names[0].endswith(":M-002:2026-11-25")
        assert re.fullmatch(r"oilchart:2:checklist:[0-9a-f-]{36}:M-002:J-\d{3}", names[1])


def test_a_page_that_opens_with_ticks_says_of_which_day_and_offers_to_clear_them(
    bench: Any,
) -> None:
    for step in (OIL, "needle-change"):
        a_box(bench, step).check()
    assert bench.locator("#kept").is_hidden()
    bench.clock.set_fixed_time("2026-11-25T10:00:00")
    a_box(bench, "needle-bar-oil").check()
    bench.clock.set_fixed_time("2026-11-27T10:00:00")
    bench.reload()
    assert bench.locator("#kept-words").inner_text() == "3 ticks kept of 25 November."
    assert against_rules(bench) == []
    bench.reload()
    assert bench.locator("#kept-words").inner_text() == "3 ticks kept of 25 November."
    bench.locator("#forget").click()
    bench.locator("#clear-now").click()
    assert counts(bench)[0] == 0
    assert bench.locator("#kept").is_hidden()
    assert kept_lists(bench) == {}
    bench.reload()
    assert bench.locator("#kept").is_hidden()


# as it is held or stands: how much of the height the bar may take with the notice in it
@pytest.mark.parametrize(
    ("width", "height", "share"), [(360, 640, 0.35), (768, 1024, 0.25), (1920, 1080, 0.25)]
)
def test_that_ticks_were_kept_is_in_sight_where_the_page_is_opened_again(
    width: int, height: int, share: float, bench: Any
) -> None:
    sized(bench, width, height)
    a_box(bench, OIL).check()
    bench.evaluate("window.scrollTo(0, document.documentElement.scrollHeight / 2)")
    bench.reload()
    bench.wait_for_function("window.scrollY > 500")
    top, bottom, seen = bench.evaluate(
        """() => {
            const kept = document.querySelector("#kept");
            const { top, bottom, left, right } = kept.getBoundingClientRect();
            const at = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
            return [top, bottom, Boolean(at.closest("#kept"))];
        }"""
    )
    assert 0 <= top < bottom <= height * share
    assert seen
    bench.locator("#forget").focus()
    assert against_rules(bench) == []
    # and nothing that is gone to lies below it
    bench.locator("#next").click()
    assert bench.evaluate(
        """() => document.activeElement.getBoundingClientRect().top
            >= document.querySelector(".bar").getBoundingClientRect().bottom"""
    )


def test_an_open_page_on_which_nothing_is_noted_keeps_nothing(bench: Any) -> None:
    assert kept_lists(bench) == {}
    a_box(bench, OIL).check()
    assert len(kept_lists(bench)) == 1
    a_box(bench, OIL).uncheck()
    assert kept_lists(bench) == {}


def test_a_note_holds_as_many_letters_as_the_book_takes_of_findings(
    bench: Any, tmp_path: Path
) -> None:
    bench.locator("#note").focus()
    bench.keyboard.insert_text("x" * (bounds.WORDS_LETTERS + 1))
    with bench.expect_download() as download:
        bench.locator(".save").first.click()
    download.value.save_as(tmp_path / "findings.json")
    assert read_findings(tmp_path / "findings.json", TODAY).told.note == "x" * bounds.WORDS_LETTERS


def test_when_findings_are_saved_what_is_kept_can_be_cleared(bench: Any) -> None:
    a_box(bench, OIL).check()
    bench.locator("#note").fill("Hums.")
    bench.locator(".save").first.click()
    with bench.expect_download():
        bench.locator(".save").first.click()
    assert bench.locator("#forget").inner_text() == "Done: clear the list"
    bench.locator("#forget").click()
    bench.locator("#clear-now").click()
    assert kept_lists(bench) == {}


def test_lists_of_more_than_60_days_ago_are_swept_of_any_form(bench: Any) -> None:
    bench.evaluate(
        """() => {
            for (const [machine, kept] of [["M-001", "2026-09-25"], ["M-002", "2026-09-26"]]) {
                const list = `oilchart:2:checklist:x:${machine}:J-001`;
                localStorage.setItem(list, `{"kept": "${kept}"}`);
                localStorage.setItem(`oilchart:1:checklist:heron-3:${machine}:${kept}`, "{}");
            }
            for (const spoilt of ["", "{", "null", "{}", '{"kept": "today"}', '{"kept": 3}']) {
                localStorage.setItem(`oilchart:2:checklist:x:${spoilt}:J-001`, spoilt);
            }
            localStorage.setItem("another:checklist:x", "kept");
        }"""
    )
    bench.clock.set_fixed_time("2026-11-25T10:00:00")
    bench.reload()
    assert kept_lists(bench).keys() == {
        "oilchart:2:checklist:x:M-002:J-001",
        "oilchart:1:checklist:heron-3:M-002:2026-09-26",
        "another:checklist:x",
    }


def test_findings_of_a_model_s_list_are_refused_for_a_machine(
    demo_shop: Shop, run: Run, browser: Any, tmp_path: Path
) -> None:
    with opened(browser, page_of("heron-3", tmp_path)) as page:
        a_box(page, OIL).check()
        page.locator(".save").first.click()
        with page.expect_download() as download:
            page.locator(".save").first.click()
        download.value.save_as(tmp_path / "findings.json")
    before = the_machine(demo_shop, "M-001")
    answer = run("serviced", "M-001", "--from", "findings.json", shop=demo_shop.folder)
    assert answer.exit_code == 1
    assert answer.stderr.splitlines() == [
        "oilchart: findings.json: machine: is none: it is the list of a model; tick on the page of "
        'the machine, "oilchart checklist M-001 -o M-001.html", and save the findings there'
    ]
    assert the_machine(demo_shop, "M-001") == before
