"""The checklist on paper: both sizes, nothing cut, amounts, legend, parts, lines for findings and
for those who sign."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest

from oilchart.papers.checklist.content import change_words, stock_words
from oilchart.papers.checklist.pdf import checklist_pdf
from oilchart.papers.checklist.rows import CHECKLIST_SHEETS
from oilchart.shop.folder import Shop
from tests.builders.ink_checks import (
    HOSTILE,
    embedded_faces,
    inked,
    not_counted,
    pages_of,
    sizes_of,
    words_in,
)
from tests.builders.papers.checklist import SHELF, a_list
from tests.conftest import Run

SIZES = {"a4": (210, 297), "letter": (216, 279)}


@pytest.mark.parametrize(
    ("model", "sheet"),
    [
        *((model, "a4") for model in SHELF.model_ids()),
        *((model, "letter") for model in ("heron-3", "garrow-92", "tansy-3")),
    ],
)
def test_all_of_a_list_is_on_its_sheets_and_do_not_points_on_the_first(
    model: str, sheet: str
) -> None:
    whole = a_list(model)
    with inked() as ink:
        pdf = checklist_pdf(whole, sheet)
    pages = pages_of(pdf)
    assert sizes_of(pdf) == {SIZES[sheet]}
    assert [
        at for at, words in enumerate(pages, start=1) if f"page {at} of {len(pages)}" not in words
    ] == []
    assert [each.words for each in ink if not each.within(10)] == []
    text = " ".join(pages)
    wanted = [
        "Place and work",
        "Amount",
        "As found",
        "As left",
        "Min",
        *whole.heading,
        *(blank.label for blank in whole.sign_off),
    ]
    wanted += [
        words
        for step in whole.steps
        for words in (step.where, step.what, step.caution, step.amount, step.lubricant)
        if words
    ]
    wanted += [
        words
        for line in whole.lubricants
        for words in (line.short, line.full, line.belongs, line.never)
    ]
    wanted += [
        words
        for part in whole.wear_parts
        for words in (part.name, part.part, change_words(part), stock_words(part))
    ]
    wanted += [document.title for document in whole.documents]
    assert [words for words in wanted if words not in text] == []
    never = [words for avoid in whole.avoids for words in (avoid.where, avoid.do_not)]
    assert [words for words in ["Never", *never] if words not in pages[0]] == []


def test_an_amount_stands_in_its_own_column_with_what_it_is_of() -> None:
    whole = a_list()
    with inked() as ink:
        checklist_pdf(whole)
    left, right = (
        next(each.left for each in ink if each.words == heading)
        for heading in ("Amount", "As found")
    )
    column = " ".join(each.words for each in ink if left - 0.1 <= each.left and each.right <= right)
    doses = [
        f"{step.amount} {step.lubricant}" for step in whole.steps if step.amount and step.lubricant
    ]
    assert len(doses) > 10
    assert [dose for dose in doses if dose not in column] == []


@pytest.mark.parametrize("words", HOSTILE)
def test_any_words_of_the_shop_keep_within_the_page(words: str) -> None:
    for sheet in CHECKLIST_SHEETS:
        with inked() as ink:
            pdf = checklist_pdf(
                a_list(heading=(words, "Heron 3"), notes=(f"Note: {words}",) * 3), sheet
            )
        assert [each.words for each in ink if not each.within(7)] == []
        assert not_counted(pdf) == []


def test_a_drawing_that_has_no_room_on_the_first_page_gets_another() -> None:
    whole = a_list(notes=("A note. " * 400,))
    text = words_in(checklist_pdf(whole))
    assert [picture.view.name for picture in whole.pictures if picture.view.name not in text] == []


def test_a_list_without_drawings_do_not_points_and_parts_is_a_paper_too() -> None:
    pages = pages_of(
        checklist_pdf(a_list(pictures=(), avoids=(), wear_parts=(), lubricants=(), documents=()))
    )
    text = " ".join(pages)
    assert "Sign-off" in text
    assert "Never" not in pages[0]
    assert [
        words for words in ("Lubricants", "Parts to look at", "Documents") if words in text
    ] == []


def test_it_is_signed_for_electricity_only_where_there_is_some() -> None:
    assert "Electrical check: passed / not passed, do not plug in" in words_in(
        checklist_pdf(a_list("heron-3"))
    )
    assert "Electrical check: passed" not in words_in(checklist_pdf(a_list("tansy-3")))


def test_faces_are_embedded_and_the_same_list_gives_the_same_bytes() -> None:
    for sheet in CHECKLIST_SHEETS:
        pdf = checklist_pdf(a_list(), sheet)
        assert embedded_faces(pdf) == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
        assert pdf == checklist_pdf(a_list(), sheet)


@pytest.mark.parametrize(
    ("option", "size"), [((), "a4"), (("--sheet", "a4"), "a4"), (("--sheet", "Letter"), "letter")]
)
def test_the_command_prints_on_the_sheet_that_is_named(
    demo_shop: Shop, run: Run, tmp_path: Path, option: tuple[str, ...], size: str
) -> None:
    result = run("checklist", "M-001", *option, "-o", "list.pdf", shop=demo_shop.folder)
    assert result.exit_code == 0, result.stderr
    data = (tmp_path / "list.pdf").read_bytes()
    assert sizes_of(data) == {SIZES[size]}
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) > 5


def test_a_sheet_of_another_size_is_wrong_usage(demo_shop: Shop, run: Run) -> None:
    result = run("checklist", "M-001", "--sheet", "a3", "-o", "list.pdf", shop=demo_shop.folder)
    assert result.exit_code == 2
    assert "'a3' is not one of 'a4', 'letter'" in result.stderr
