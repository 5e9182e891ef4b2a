"""The bench page as text: complete, escaped, under its own policy, and the same bytes each time."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from html import escape
from pathlib import Path

import markupsafe
import pytest

from oilchart.errors import FaultyList
from oilchart.papers.checklist.content import Checklist, change_words, stock_words
from oilchart.papers.checklist.html import checklist_page
from oilchart.papers.drawing.svg import picture_svg
from oilchart.papers.wording import INVENTED
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import checklist
from tests.builders.html_page import HtmlPage, policy_faults
from tests.builders.make import TODAY
from tests.conftest import Run

SHELF = PointLibrary([packaged("points")])
OURS = [packaged("templates")]
MARKUP = "</script><img src=x onerror=alert(1)>{{ 7 * 7 }}"


def boxes(text: str) -> list[str | None]:
    """The values of the boxes that are ticked when a step is done."""
    return [each["value"] for each in HtmlPage(text).of_class("input", "done")]


def a_list(model: str = "heron-3", owner: str | None = "Ida Brandvold") -> Checklist:
    return checklist(SHELF.point_list(model), on=TODAY, owner=owner, serial="H3-20417")


def put_off(whole: Checklist, step_id: str) -> Checklist:
    """The list with one step that may wait."""
    stages = [
        replace(
            stage,
            steps=tuple(
                replace(step, later="not this time") if step.id == step_id else step
                for step in stage.steps
            ),
        )
        for stage in whole.stages
    ]
    return replace(whole, stages=tuple(stages))


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_every_step_is_a_box_once(model: str) -> None:
    whole = a_list(model)
    counts = Counter(boxes(checklist_page(whole, OURS)))
    assert {step.id for step in whole.steps} <= counts.keys()
    assert set(counts.values()) == {1}
    assert len(counts) == sum(
        len(stage.open) + len(stage.steps) + len(stage.close) for stage in whole.stages
    )


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_every_word_of_a_list_is_on_the_page(model: str) -> None:
    whole = replace(a_list(model), invented=True)
    text = checklist_page(whole, OURS)
    said = [whole.title, *whole.heading, whole.needle, whole.minutes, whole.defers, INVENTED]
    for stage in whole.stages:
        said += [stage.name, stage.caution or "", *stage.open, *stage.close]
    for step in whole.steps:
        said += [step.work, step.where, step.what, step.how_often]
        said += [
            words
            for words in (step.amount, step.lubricant, step.material, step.why, step.caution)
            if words is not None
        ]
    for part in whole.wear_parts:
        said += [part.name, part.part]
        said += [change_words(part), stock_words(part)]
    said += [
        words
        for line in whole.lubricants
        for words in (line.short, line.full, line.belongs, line.never)
    ]
    said += [blank.label for blank in whole.sign_off]
    said += [
        words
        for document in whole.documents
        for words in (document.title, f'href="{document.address}"')
    ]
    assert [
        words for words in said if str(markupsafe.escape(words)) not in text and words not in text
    ] == []


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_do_not_points_stand_in_a_place_of_their_own(model: str) -> None:
    whole = a_list(model)
    text = checklist_page(whole, OURS)
    never = text[text.index('<section class="never"') :].partition("</section>")[0]
    assert whole.avoids
    for avoid in whole.avoids:
        assert str(markupsafe.escape(avoid.where)) in never
        assert str(markupsafe.escape(avoid.do_not)) in never


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_every_step_on_the_drawing_has_its_number_there(model: str) -> None:
    whole = a_list(model)
    drawings = [picture_svg(picture) for picture in whole.pictures]
    numbers = [
        int(number)
        for svg in drawings
        for number in re.findall(r'class="callout" data-step="(\d+)"', svg)
    ]
    assert sorted(numbers) == [step.number for step in whole.steps if step.view is not None]
    page = checklist_page(whole, OURS)
    assert [svg in page for svg in drawings] == [True] * len(drawings)


def test_a_drawing_has_a_name_and_no_ids_or_style_attributes() -> None:
    picture = a_list().pictures[0]
    view = replace(picture.view, name='A <b> & "c"')
    svg = picture_svg(replace(picture, view=view))
    assert '<title>A &lt;b&gt; &amp; "c"</title>' in svg
    assert f"<desc>{escape(view.alt, quote=False)}</desc>" in svg
    assert 'role="img"' in svg
    assert " id=" not in svg
    assert " style=" not in svg


def test_markup_in_names_stays_text() -> None:
    page = checklist_page(a_list(owner=MARKUP), OURS)
    assert "<img" not in page
    assert "&lt;img src=x onerror=alert(1)&gt;{{ 7 * 7 }}" in page
    assert page.count("</script>") == 1


def test_direction_and_control_characters_are_left_out() -> None:
    page = checklist_page(a_list(owner="Ida\u202e Brand\x00vold"), OURS)
    assert "Ida Brandvold" in page
    assert "\u202e" not in page
    assert "\x00" not in page


def test_the_policy_names_the_one_style_and_the_one_script() -> None:
    assert policy_faults(HtmlPage(checklist_page(a_list(), OURS))) == []


def test_steps_put_off_are_shown_with_their_reason_and_not_counted() -> None:
    whole = a_list()
    count = len(boxes(checklist_page(whole, OURS)))
    page = checklist_page(put_off(whole, "motor-dust-clean"), OURS)
    assert f"0 of {count - 1} done" in page
    assert "</b> not this time. Not counted." in page
    assert "motor-dust-clean" in boxes(page)


def test_ticks_are_kept_under_the_shop_s_random_name_the_machine_and_its_stay_and_no_name() -> None:
    kept_under = "5f0f3d52-8a53-5e34-9c2c-6d6d1f0b7a11:M-014:J-003"
    whole = replace(a_list(owner="Ida Brandvold"), machine="M-014", kept_under=kept_under)
    for each, key in ((whole, f"oilchart:2:checklist:{kept_under}"), (a_list(), "")):
        page = HtmlPage(checklist_page(each, OURS))
        keys = [attributes["data-key"] for tag, attributes in page.elements if tag == "body"]
        assert keys == [key]


def test_machines_of_one_number_in_two_shops_are_kept_apart_and_one_shop_s_name_lasts(
    fresh_shop: Shop, demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    for words in (("owner", "add", "Ida Brandvold"), ("machine", "add", "OW-001", "heron-3")):
        assert run(*words, shop=fresh_shop.folder).exit_code == 0
    keys = []
    for shop in (fresh_shop, demo_shop, fresh_shop):
        assert run("checklist", "M-001", "-o", "bench.html", shop=shop.folder).exit_code == 0
        page = HtmlPage((tmp_path / "bench.html").read_text(encoding="utf-8"))
        keys += [attributes["data-key"] for tag, attributes in page.elements if tag == "body"]
    assert keys[0] == keys[2] != keys[1]
    assert {str(key).split(":", 4)[-1] for key in keys} == {f"M-001:{TODAY}"}


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        # whole minutes and quarters as they are
        (Fraction(3), "3 min"),
        (Fraction(1, 2), "½ min"),
        (Fraction(3, 2), "1½ min"),
        (Fraction(1, 4), "¼ min"),
        # anything else to a tenth
        (Fraction(1, 3), "0.3 min"),
        (Fraction(5, 3), "1.7 min"),
    ],
)
def test_minutes_of_a_step_are_short(minutes: Fraction, words: str) -> None:
    whole = a_list()
    stage = next(stage for stage in whole.stages if stage.steps)
    step = replace(stage.steps[0], minutes=minutes)
    page = checklist_page(replace(whole, stages=(replace(stage, steps=(step,)),)), OURS)
    assert f'<span class="minutes">{words}</span>' in page


def test_a_list_without_drawing_and_without_parts_is_a_page_too() -> None:
    whole = replace(a_list(), pictures=(), avoids=(), wear_parts=(), lubricants=())
    page = checklist_page(whole, OURS)
    assert "<svg" not in page
    assert "<table" not in page


def test_the_same_list_gives_the_same_page() -> None:
    assert checklist_page(a_list(), OURS) == checklist_page(a_list(), OURS)


def test_a_shop_s_own_folder_comes_first_file_by_file(tmp_path: Path) -> None:
    (tmp_path / "checklist.css").write_text("h1 { color: teal; }\n", encoding="utf-8")
    page = checklist_page(a_list(), [tmp_path, *OURS])
    assert "h1 { color: teal; }" in page
    assert "0 of" in page


@pytest.mark.parametrize(
    ("template", "line", "wrong"),
    [
        # broken syntax, a name or a filter that is not there, a file that is not there
        (b"<p>\n{% if checklist %}\n", 2, "endif"),
        (b"<p>\n\n{{ checklist.nothing }}</p>", 3, "nothing"),
        (b"{% for x in y %}{% endfor %}", 1, "y"),
        (b"\n{{ day | nofilter }}", 2, "nofilter"),
        (b"<p>\n{% include 'nowhere.html' %}", 2, "nowhere.html"),
        # values that do not fit, and no end
        (b"\n{{ checklist.steps + 1 }}", 2, "tuple"),
        (b"{{ 1 / 0 }}", 1, "division by zero"),
        (b"\n{{ day() }}", 2, "not callable"),
        (b"\n{% include 'checklist.html' %}", 2, "recursion"),
        # a text that is none
        (b"<p>\n\n\xff</p>", 3, "is not UTF-8 text"),
    ],
)
def test_a_broken_template_of_the_shops_is_told_with_file_and_line(
    tmp_path: Path, template: bytes, line: int, wrong: str
) -> None:
    (tmp_path / "checklist.html").write_bytes(template)
    with pytest.raises(FaultyList) as refusal:
        checklist_page(a_list(), [tmp_path, *OURS])
    [fault] = refusal.value.faults
    assert fault.startswith(f"{tmp_path / 'checklist.html'}: line {line}: ")
    assert wrong in fault
    assert fault.endswith(": mend that line or take the template away")


def test_a_style_of_the_shops_that_is_no_text_is_told_with_file_and_line(tmp_path: Path) -> None:
    (tmp_path / "checklist.css").write_bytes(b"h1 { color: teal; }\n\xfe")
    with pytest.raises(FaultyList) as refusal:
        checklist_page(a_list(), [tmp_path, *OURS])
    [fault] = refusal.value.faults
    assert (
        fault
        == f"{tmp_path / 'checklist.css'}: line 2: is not UTF-8 text: mend that line or take the "
        f"template away"
    )


def test_a_fault_that_is_no_template_s_is_not_blamed_on_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("oilchart.papers.html.page.picture_css", lambda: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        checklist_page(a_list(), OURS)
