"""A point has one number on every paper, and findings their signs on the one they are noted on."""

from __future__ import annotations

import io
import re
from datetime import date

import pypdf
import pytest

from oilchart.papers.checklist.html import checklist_page
from oilchart.papers.checklist.pdf import checklist_pdf
from oilchart.papers.wording import capital
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import care_card, checklist
from tests.builders.make import TODAY, loose_schedule


@pytest.mark.parametrize("model", ["heron-3", "garrow-80", "tansy-3", "family-overlock"])
def test_a_number_is_that_of_the_same_point_on_card_checklist_and_page(
    library_read: PointLibrary, model: str
) -> None:
    point_list = library_read.point_list(model)
    numbers = {point.where: point.number for point in point_list.points}
    homes = {point.home or point.where: point.number for point in point_list.points}
    paper = checklist(point_list, on=TODAY)
    assert [step.number for step in paper.steps] == [numbers[step.where] for step in paper.steps]
    on_pictures = [number for picture in paper.pictures for number in picture.numbers]
    assert sorted(on_pictures) == sorted(
        step.number for step in paper.steps if step.view is not None
    )
    schedule = loose_schedule(
        point_list, "5 hours a week", date(2026, 11, 20), TODAY, WITHOUT_A_SHOP
    )
    card = care_card(schedule, shop=WITHOUT_A_SHOP.shop_details, owner="Ida")
    lines = [line for group in card.groups for line in group.lines if line.number is not None]
    assert lines
    assert [line.number for line in lines] == [homes[line.place] for line in lines]
    page = checklist_page(paper, [packaged("templates")])
    task = r'<li class="task[^>]*data-step="(\d+)".*?value="([^"]+)"'
    shown = dict(re.findall(task, page, re.DOTALL))
    ids = {str(step.number): step.id for step in paper.steps}
    assert {number: ids[number] for number in shown} == shown
    assert set(shown) == set(ids)


def test_papers_carry_the_day_and_the_code_of_their_list(library_read: PointLibrary) -> None:
    point_list = library_read.point_list("heron-3")
    told = f"list {point_list.edition.code} of 30 November 2026"
    schedule = loose_schedule(point_list, None, None, TODAY, WITHOUT_A_SHOP)
    card = care_card(schedule, shop=WITHOUT_A_SHOP.shop_details, owner="Ida")
    assert told in card.written
    assert capital(told) in checklist(point_list, on=TODAY).heading


def test_the_checklist_explains_the_signs_that_are_read_back(library_read: PointLibrary) -> None:
    data = checklist_pdf(checklist(library_read.point_list("heron-3"), on=TODAY))
    text = " ".join(
        " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split()
    )
    assert "As found: good, dry (D), gummed (G), seized (S), packed with lint (L)" in text
    assert "As left: good, watch (?), part ordered (+), declined (-)" in text
