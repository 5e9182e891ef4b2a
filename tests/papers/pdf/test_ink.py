"""Cards and checklists as PDF: complete, readable, embedded, and the same bytes each time."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from oilchart.papers.checklist.pdf import checklist_pdf
from oilchart.papers.pdf.fonts import Run, broken, clean, missing, text_width
from oilchart.papers.wording import INVENTED
from tests import conftest
from tests.builders.drawn import card_pdf, checklist
from tests.builders.ink_checks import fonts_of, pages_of, words_in
from tests.builders.make import TODAY
from tests.builders.papers.card import SHELF, card_of
from tests.builders.records import SHOP


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_every_word_of_a_card_is_on_it(model: str) -> None:
    card = card_of(model)
    text = words_in(card_pdf(card))
    lines = [line for group in card.groups for line in group.lines]
    wanted = [
        card.title,
        card.before,
        card.next_service,
        card.home.stop_heading,
        SHOP.name,
        SHOP.phone,
        INVENTED,
        *card.rules,
        *card.how,
    ]
    wanted += (
        [line.place[1:] for line in lines]
        + [line.task for line in lines]
        + [do_not for _, do_not in card.do_not]
    )
    assert [words for words in wanted if words not in text] == []


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_every_step_of_a_checklist_is_on_it_with_pages_counted_and_sign_off(model: str) -> None:
    whole = checklist(SHELF.point_list(model), on=TODAY)
    pdf = checklist_pdf(whole)
    text = words_in(pdf)
    wanted = (
        [step.where for step in whole.steps]
        + [step.what for step in whole.steps]
        + [avoid.where for avoid in whole.avoids]
    )
    wanted += [line for stage in whole.stages for line in (*stage.open, *stage.close)] + [
        "As found",
        "As left",
        "Work done by",
    ]
    assert [words for words in wanted if words not in text] == []
    pages = len(pypdf.PdfReader(io.BytesIO(pdf)).pages)
    assert [
        number for number in range(1, pages + 1) if f"page {number} of {pages}" not in text
    ] == []


def test_a_card_is_a5_and_a_checklist_a4() -> None:
    sizes = [
        tuple(
            round(float(side) / 72 * 25.4)
            for side in pypdf.PdfReader(io.BytesIO(pdf)).pages[0].mediabox[2:]
        )
        for pdf in (
            card_pdf(card_of()),
            checklist_pdf(checklist(SHELF.point_list("heron-3"), on=TODAY)),
        )
    ]
    assert sizes == [(148, 210), (210, 297)]


def test_all_faces_are_embedded() -> None:
    for pdf in (
        card_pdf(card_of()),
        checklist_pdf(checklist(SHELF.point_list("heron-3"), on=TODAY)),
    ):
        fonts = fonts_of(pdf)
        assert fonts
        assert {("/FontFile2" in font["/FontDescriptor"]) for font in fonts} == {True}
        assert {font["/BaseFont"].rpartition("+")[2] for font in fonts} == {
            "DejaVuSansCondensed",
            "DejaVuSansCondensed-Bold",
        }


def test_the_same_card_gives_the_same_bytes() -> None:
    assert card_pdf(card_of()) == card_pdf(card_of())


def test_a_title_and_a_language_are_set() -> None:
    reader = pypdf.PdfReader(io.BytesIO(card_pdf(card_of(owner="Łucja Wierzbicka"))))
    assert reader.metadata is not None
    assert reader.metadata.title == "Care card for Łucja Wierzbicka, Heron 3 · serial H3-20417"
    assert str(reader.root_object["/Lang"]) == "en-GB"


@pytest.mark.parametrize(
    "name",
    [
        "Łucja Wierzbicka",
        "Nguyễn Thị Bích",
        "Άννα Καλλιγά",
        "Ольга Береговая",
        "Șerban Ungureșan & sons <b>x</b>",
        '"quoted" {{ name }} %s',
        "a name of more than sixty letters that goes on and on for quite a while yet",
    ],
)
def test_names_are_printed_as_they_are(name: str) -> None:
    assert name in words_in(card_pdf(card_of(owner=name)))


def test_a_name_of_300_letters_without_a_blank_is_cut_between_lines_not_off() -> None:
    name = "Ł" * 300
    assert pages_of(card_pdf(card_of(owner=name)))[0].count("Ł") == 300


def test_control_and_direction_characters_are_left_out_and_parts_composed() -> None:
    assert clean("Zden\u030cka\x00\u202e \t\n R\u030ceha\u0301kova\u0301") == "Zdeňka Řeháková"


def test_missing_characters_are_named_once_each() -> None:
    assert missing(["Łucja", "한국 한", "ไทย"]) == "한국ไทย"


def test_lines_are_never_wider_than_their_room() -> None:
    lines = broken(
        [
            Run("Every 2 weeks", bold=True),
            Run("about every ten hours of sewing " * 4),
            Run("x" * 90),
        ],
        12,
        150,
    )
    assert len(lines) > 4
    for line in lines:
        used = sum(word.width for word in line[:-1]) + text_width(
            line[-1].text.rstrip(), 12, bold="Bold" in line[-1].face
        )
        assert used <= 150


def test_a_card_with_24_points_and_without_a_picture_goes_on_over_pages() -> None:
    card = card_of()
    many = replace(card.groups[0], lines=card.groups[0].lines * 24)
    pdf = card_pdf(replace(card, groups=(many,), pictures=()))
    assert words_in(pdf).count("The bobbin case and the space behind it:") == 24
    assert words_in(pdf).count("With each new bobbin – continued") == 1
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 4


@pytest.mark.parametrize(
    ("words", "told"),
    [
        # the model's whole list; with use and a service, the list of the next service, where
        # dismantling may wait
        ([], "49 points, about 3 h"),
        (["--use", "3 bobbins a week", "--serviced", "2026-06-10"], "45 points, about 1 h 35 min"),
    ],
)
def test_a_checklist_of_a_machine_in_no_book(
    run: conftest.Run, tmp_path: Path, words: list[str], told: str
) -> None:
    result = run("checklist", "--model", "heron-3", *words, "-o", tmp_path / "list.pdf")
    assert result.exit_code == 0
    text = words_in((tmp_path / "list.pdf").read_bytes())
    assert told in text
    assert ("Last service Wednesday 10 June 2026" in text) is bool(words)
