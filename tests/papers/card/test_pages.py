"""Care cards on every size: nothing is cut, nothing lies on anything else, no type is too small,
and no leaf is wasted."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.point_list import Keeper, PointList
from oilchart.core.records.paper_style import Accent, CardSize, CodeFor, Logo, PaperStyle
from oilchart.papers.card import content
from oilchart.papers.card.content import CareCard
from oilchart.papers.card.month_boxes import tick_table
from oilchart.papers.card.pages import LEAST_DRAWING, TooSmall, card_leaflet
from oilchart.papers.drawing.colours import ACCENTS
from oilchart.papers.pdf.card_sizes import CARD_FORMATS, setting
from oilchart.papers.wording import INVENTED
from oilchart.sources.files.photos import PhotoFile
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from tests.builders.drawn import card_pdf, care_card, drawings_of
from tests.builders.ink_checks import HOSTILE, Ink, inked, pages_of, sizes_of, words_in
from tests.builders.make import TODAY, loose_schedule
from tests.builders.papers.card import SHELF, card_of
from tests.builders.records import SHOP

SIZES = list(CardSize)
# each on one size, and so all sizes
EVERY_MODEL = [(model, SIZES[at % len(SIZES)]) for at, model in enumerate(SHELF.model_ids())]
EDGE = 6.99  # millimetres: no office printer is sure to reach into the outer 7
TOUCHING = 0.35  # millimetres by which descenders may reach into the line below


def with_24_points() -> CareCard:
    """A card of a machine whose owner does more than any shipped list asks of one."""
    point_list = SHELF.point_list("heron-3")
    more = [point for point in point_list.points if point.keeper is Keeper.BENCH and point.places][
        :10
    ]
    points = [
        replace(point, keeper=Keeper.OWNER, home=point.where, needs=()) if point in more else point
        for point in point_list.points
    ]
    return _card_from(replace(point_list, points=tuple(points)))


def _card_from(point_list: PointList) -> CareCard:
    return care_card(
        loose_schedule(point_list, "5-8 hours a week", TODAY, TODAY, WITHOUT_A_SHOP),
        shop=SHOP,
        owner="Ida Brandvold",
    )


def with_a_photo(folder: Path) -> CareCard:
    path = folder / "front.jpg"
    Image.new("RGB", (1500, 1000), "#556655").save(path)
    photo = PhotoFile(path)
    point_list = SHELF.point_list("heron-3")
    front, *others = drawings_of(point_list).views
    first = replace(front, photo=photo, shapes=(), width=photo.size[0], height=photo.size[1])
    style = PaperStyle(
        colour=Accent.GREEN,
        code=CodeFor.CALENDAR,
        logo=Logo(photo=photo, width=1500, height=1000),
        footer="Shut on Mondays. " * 10,
    )
    schedule = replace(
        loose_schedule(
            point_list,
            "5-8 hours a week",
            TODAY,
            TODAY,
            WITHOUT_A_SHOP,
        ),
        booked=date(2027, 1, 14),
    )
    drawings = ModelDrawings(views=(first, *others))
    return content.care_card(
        schedule, drawings=drawings, shop=SHOP, owner="Nguyễn Thị Bích", style=style
    )


def without_a_picture() -> CareCard:
    point_list = SHELF.point_list("heron-3")
    return _card_from(
        replace(point_list, points=tuple(replace(point, places=()) for point in point_list.points))
    )


def drawn(card: CareCard, size: CardSize) -> tuple[bytes, list[Ink]]:
    with inked() as ink:
        pdf = card_pdf(card, size)
    return pdf, ink


def overlaps(ink: list[Ink]) -> list[tuple[str, str]]:
    """Words that lie on other words of their page."""
    found = []
    by_page: dict[int, list[Ink]] = {}
    for piece in ink:
        if piece.words.strip():
            by_page.setdefault(piece.number, []).append(piece)
    for pieces in by_page.values():
        pieces.sort(key=lambda piece: piece.top)
        for at, one in enumerate(pieces):
            for other in pieces[at + 1 :]:
                if other.top > one.bottom - TOUCHING:
                    break
                if min(one.right, other.right) - max(one.left, other.left) > 0.1:
                    found.append((one.words, other.words))
    return found


def holds(card: CareCard, size: CardSize) -> bytes:
    """Check what must hold for any card."""
    pdf, ink = drawn(card, size)
    form = CARD_FORMATS[size]
    assert ink
    assert [piece for piece in ink if not piece.within(EDGE)] == []
    assert overlaps(ink) == []
    assert min(piece.size for piece in ink if piece.words) >= form.type_size - 0.01
    assert sizes_of(pdf) == {(round(form.size[0]), round(form.size[1]))}
    text = words_in(pdf)
    lines = [line for group in card.groups for line in group.lines]
    wanted = [
        card.title,
        card.machine,
        card.before,
        card.next_service[1:],
        card.home.stop_heading,
        card.shop.name,
        card.shop.phone,
        INVENTED,
    ]
    wanted += [
        card.written,
        card.defers,
        card.needle,
        *card.rules,
        *card.how,
        card.home.never_heading,
        card.footer,
    ]
    wanted += (
        [line.place[1:] for line in lines]
        + [line.task for line in lines]
        + [do_not for _, do_not in card.do_not]
    )
    assert [words for words in wanted if " ".join(words.split()) not in text] == []
    return pdf


@pytest.mark.parametrize(("model", "size"), EVERY_MODEL)
def test_a_card_of_every_model_is_whole(model: str, size: CardSize) -> None:
    holds(card_of(model), size)


@pytest.mark.parametrize("size", SIZES)
def test_a_card_with_24_points_is_whole_on_every_size(size: CardSize) -> None:
    card = with_24_points()
    assert sum(len(group.lines) for group in card.groups) == 24
    holds(card, size)


@pytest.mark.parametrize("size", SIZES)
def test_a_card_with_a_photo_a_logo_a_booked_day_and_a_long_footer_is_whole_on_every_size(
    size: CardSize, tmp_path: Path
) -> None:
    holds(with_a_photo(tmp_path), size)


@pytest.mark.parametrize("size", SIZES)
def test_a_card_without_a_picture_is_whole_on_every_size(size: CardSize) -> None:
    card = without_a_picture()
    assert card.pictures == ()
    holds(card, size)


@pytest.mark.parametrize("size", [CardSize.A5, CardSize.FOUR_BY_SIX, CardSize.A4])
@pytest.mark.parametrize(
    "owner",
    [
        "Wilhelmina Featherstonehaugh & Daughters, of Quernhaven on Sea",  # 62 letters
        "Nguyễn Thị Bích Hường",
        "Ἀγγελικὴ Καλλιγᾶ",
        "Ольга Береговая",
        "<b>Bo</b> & </para> &lt; <img src='/etc/passwd'>",
        "{{ name }} %s \\",
    ],
)
def test_a_card_for_any_name_is_whole_and_takes_no_markup_from_it(
    owner: str, size: CardSize
) -> None:
    holds(card_of(owner=owner), size)


@pytest.mark.parametrize("owner", HOSTILE)
def test_names_that_have_broken_papers_elsewhere_stay_within_the_card(owner: str) -> None:
    try:
        _, ink = drawn(card_of(owner=owner), CardSize.A4)
    except TooSmall as refusal:  # a name that fills the page
        assert "choose" in str(refusal) or "shorten" in str(refusal)
    else:
        assert [piece for piece in ink if not piece.within(EDGE)] == []
        assert overlaps(ink) == []


@pytest.mark.parametrize("owner", ["فاطمة الزهراء بنت محمد", "שרה כהן"])
def test_a_right_to_left_name_has_the_room_it_needs(owner: str) -> None:
    for size in (CardSize.A5, CardSize.A6):
        _, ink = drawn(card_of(owner=owner), size)
        assert [piece for piece in ink if not piece.within(EDGE)] == []
        assert overlaps(ink) == []


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_a_card_of_half_an_office_sheet_has_at_most_two_leaves_but_for_stands_with_19_places(
    model: str,
) -> None:
    sides = len(card_leaflet(card_of(model), setting(CardSize.A5)).sides)
    assert sides <= (6 if sum(len(group.lines) for group in card_of(model).groups) > 17 else 4)


def test_a_drawing_that_could_not_be_read_is_refused_with_the_sizes_that_do() -> None:
    with pytest.raises(TooSmall) as refusal:
        card_pdf(card_of(owner="of Quernhaven on Sea " * 10), CardSize.A6)
    line = str(refusal.value)
    assert "on A6 the drawing would be less than 48 mm high" in line
    sizes = line.partition("choose size ")[2].split(" or ")
    assert "a5" in sizes
    for size in sizes:
        holds(card_of(owner="of Quernhaven on Sea " * 10), CardSize(size))


@pytest.mark.parametrize("size", SIZES)
def test_the_drawing_is_never_lower_than_can_be_read(
    size: CardSize, monkeypatch: pytest.MonkeyPatch
) -> None:
    from oilchart.papers.pdf.page import Page

    heights = []
    monkeypatch.setattr(
        Page,
        "picture",
        lambda page, x, top, shown, width: heights.append(
            shown.frame.height * shown.zoom * width / shown.width
        ),
    )
    for model in ("heron-3", "family-overlock", "tansy-3"):
        heights.clear()
        card_pdf(card_of(model), size)
        margins = 24.0  # what the numbers above and below take at most
        assert heights[0] >= LEAST_DRAWING - margins


def test_a_page_begins_with_the_heading_of_what_goes_on() -> None:
    card = card_of()
    begun = [page.partition(" of 4 ")[2] for page in pages_of(card_pdf(card))[1:]]
    headings = [
        f"{heading} – continued"
        for heading in (*(group.heading for group in card.groups), card.do_not_heading)
    ]
    assert [[heading for heading in headings if page.startswith(heading)] for page in begun] == [
        ["Every week – continued"],
        ["Never – continued"],
        [],
    ]


@pytest.mark.parametrize(("months", "shown"), [(6, False), (7, True)])
def test_a_card_has_no_column_of_boxes_that_is_empty(months: int, shown: bool) -> None:
    table = tick_table(("week", "month", "6 months"), TODAY)
    assert table is not None
    # the first box of every 6 months stands in the seventh row, May 2027
    card = replace(card_of(), ticks=replace(table, rows=table.rows[:months]))
    boxes = pages_of(card_pdf(card))[-1].split("Tick what you have done")[1]
    assert "Every week" in boxes
    assert ("6 months" in boxes) is shown


def test_every_page_after_the_first_says_whose_it_is_and_which() -> None:
    card = replace(card_of(), running=("Ida Brandvold", "M-014", "Heron 3"))
    pages = pages_of(card_pdf(card, CardSize.A6))
    for at, page in enumerate(pages[1:], start=2):
        assert page.startswith(f"Ida Brandvold · M-014 · Heron 3 {at} of {len(pages)}")


def test_a_name_too_long_for_a_page_head_gives_way_to_nothing_but_the_model_and_the_number() -> (
    None
):
    card = replace(card_of(), running=("Wilhelmina Featherstonehaugh", "M-014", "Heron 3"))
    assert pages_of(card_pdf(card, CardSize.FOUR_BY_SIX))[1].startswith(
        "Wilhelmina Featherstonehaugh 2 of"
    )


def test_a_card_for_nobody_has_a_line_to_write_a_name_on() -> None:
    pdf = holds(card_of(owner=None), CardSize.A5)
    assert pages_of(pdf)[0].startswith("Care card For Heron 3")


def test_work_done_once_has_a_box_behind_it() -> None:
    card = card_of()
    once = replace(
        card.groups[0], lines=tuple(replace(line, once=True) for line in card.groups[0].lines)
    )
    cards = card, replace(card, groups=(once, *card.groups[1:]))
    plain, boxed = (sum(not piece.words for piece in drawn(each, CardSize.A5)[1]) for each in cards)
    assert boxed == plain + len(once.lines)


def test_the_file_has_a_title_an_author_and_a_language() -> None:
    reader = pypdf.PdfReader(io.BytesIO(card_pdf(card_of(owner="Łucja Wierzbicka"))))
    assert reader.metadata is not None
    assert (reader.metadata.title, reader.metadata.author) == (
        "Care card for Łucja Wierzbicka, Heron 3 · serial H3-20417",
        SHOP.name,
    )
    assert str(reader.root_object["/Lang"]) == "en-GB"


@pytest.mark.parametrize("accent", Accent)
def test_a_shops_colour_is_read_like_ink(accent: Accent) -> None:
    """Contrast on white of 7 and more. Source: WCAG 2.2, success criterion 1.4.6 and its definition
    of relative luminance."""
    channels = [int(ACCENTS[accent][at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
        for value in channels
    )
    assert 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05) >= 7


def test_the_same_card_gives_the_same_bytes_on_every_size() -> None:
    for size in SIZES:
        assert card_pdf(card_of(), size) == card_pdf(card_of(), size)
