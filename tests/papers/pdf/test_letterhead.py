"""A shop's own look on checklist, record and letters: its colour, its logo at the head, its line at
the foot of the last page."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PIL import Image
from pypdf.generic import DictionaryObject

from oilchart.core.records.paper_style import Accent, Logo, PaperStyle
from oilchart.papers.checklist.html import checklist_page
from oilchart.papers.checklist.pdf import checklist_pdf, checklist_words
from oilchart.papers.drawing.colours import ACCENTS, BLUE, INK, TINTS, WHITE, tint
from oilchart.papers.letter.pdf import LETTER_SHEETS, letter_words, letters_pdf
from oilchart.papers.letter.text import letters_text
from oilchart.papers.pdf.blocks import Block, space
from oilchart.papers.pdf.letterhead import LOGO, footed
from oilchart.papers.pdf.pages import PageFrame
from oilchart.papers.record.pdf import record_pdf, record_words
from oilchart.shop.folder import Shop
from oilchart.sources.files.photos import PhotoFile
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import checklist
from tests.builders.ink_checks import HOSTILE, contrast, inked, pages_of
from tests.builders.make import TODAY
from tests.builders.papers.letter import a_letter
from tests.builders.papers.record import a_record_sheet
from tests.conftest import Run

HERON = checklist(PointLibrary([packaged("points")]).point_list("heron-3"), on=TODAY)
FOOTER = "Tidelane, at the quay since 1987: shut on Mondays."
MARKUP = 'Tidelane </script><img src=x onerror="alert(1)"> {{ 7 * 7 }}'
Ink = Callable[[PaperStyle], bytes]
INKS: dict[str, Ink] = {
    "checklist": lambda style: checklist_pdf(replace(HERON, style=style)),
    "checklist on Letter": lambda style: checklist_pdf(replace(HERON, style=style), "letter"),
    "record": lambda style: record_pdf(a_record_sheet(style=style)),
    "letters": lambda style: letters_pdf(
        [replace(a_letter(), style=style)] * 2, LETTER_SHEETS["a4"]
    ),
    "letters on Letter": lambda style: letters_pdf(
        [replace(a_letter(), style=style)] * 2, LETTER_SHEETS["letter"]
    ),
}


@pytest.fixture
def logo(tmp_path: Path) -> Logo:
    Image.new("RGB", (900, 300), "#336699").save(tmp_path / "logo.png")
    return Logo(photo=PhotoFile(tmp_path / "logo.png"), width=900, height=300)


def colours_of(pdf: bytes) -> set[str]:
    """All colours in which something is filled or drawn on its pages."""
    found = set()
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        contents = page.get_contents()
        assert contents is not None
        for operands, operator in pypdf.generic.ContentStream(contents, None).operations:
            if operator in (b"rg", b"RG"):
                found.add("#" + "".join(f"{round(255 * float(part)):02x}" for part in operands))
    return found


@pytest.mark.parametrize("colour", Accent)
def test_every_colour_of_the_table_is_read_like_ink_and_ink_is_read_on_its_tints(
    colour: Accent,
) -> None:
    assert contrast(ACCENTS[colour], WHITE) >= 7
    assert all(contrast(INK, tint(ACCENTS[colour], share)) >= 7 for share in TINTS.values())


@pytest.mark.parametrize("paper", INKS)
def test_headings_and_frames_take_the_shop_s_colour(paper: str) -> None:
    for colour in (Accent.PLUM, Accent.GREEN):
        seen = colours_of(INKS[paper](PaperStyle(colour=colour)))
        assert ACCENTS[colour] in seen
        assert (BLUE in seen) == paper.startswith("checklist")  # on its drawings, as in every ink


@pytest.mark.parametrize("paper", INKS)
def test_the_logo_stands_on_the_first_page_and_nothing_in_it(paper: str, logo: Logo) -> None:
    with inked() as ink:
        pdf = INKS[paper](PaperStyle(logo=logo))
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    shown = [bool(page.images) for page in reader.pages]
    assert shown == (
        [True] * 2 if paper.startswith("letters") else [True, *[False] * (len(shown) - 1)]
    )
    edge = {"checklist": 12.0, "record": 15.0, "letters": 20.0}[paper.split()[0]]
    top = 10.0 if paper.startswith("letters") else edge
    right = ink[0].page[0] - edge
    height = LOGO[0] / 3
    inside = [
        each
        for each in ink
        if each.number == 1 and each.right > right - LOGO[0] and each.top < top + height
    ]
    [box] = inside  # nothing but the logo itself
    assert box.words == ""
    assert box.right == pytest.approx(right)
    assert box.top == pytest.approx(top)


@pytest.mark.parametrize("paper", INKS)
def test_the_shop_s_line_stands_at_the_foot_of_the_last_page(paper: str) -> None:
    with inked() as ink:
        pages = pages_of(INKS[paper](PaperStyle(footer=FOOTER)))
    wanted = [1, 2] if paper.startswith("letters") else [len(pages)]
    assert [at for at, words in enumerate(pages, start=1) if FOOTER in words] == wanted
    [first, *_] = [each for each in ink if each.words.startswith("Tidelane,") and each.top > 200]
    assert first.page[1] - first.bottom < 25


@pytest.mark.parametrize("footer", [*HOSTILE[:5], "W" * 200, "many words " * 18, MARKUP])
@pytest.mark.parametrize("paper", ["checklist", "record", "letters on Letter"])
def test_any_line_at_the_foot_and_any_head_beside_a_logo_keep_within_the_page(
    paper: str, footer: str, logo: Logo
) -> None:
    style = PaperStyle(footer=footer, logo=logo)
    with inked() as ink:
        if paper == "checklist":
            checklist_pdf(replace(HERON, style=style, title=footer, heading=(footer,)))
        elif paper == "record":
            record_pdf(a_record_sheet(style=style, owner=footer, serial=footer))
        else:
            letters_pdf(
                [replace(a_letter(), style=style, sender=(footer, footer))], LETTER_SHEETS["letter"]
            )
    assert [each.words for each in ink if not each.within(7)] == []


def test_a_line_without_room_gets_a_page_of_its_own() -> None:
    def blocks(pages: list[list[Block]]) -> list[int]:
        return [len(page) for page in pages]

    style = PaperStyle(footer=FOOTER)
    full, short = [space(100.0)], [space(40.0)]
    frame = PageFrame(
        left=10,
        width=180,
        first_top=10,
        later_top=10,
        bottom=110,
        head_top=0,
        head_size=10,
        foot_top=110,
        foot_size=10,
    )
    assert blocks(footed([full, full], style, frame)) == [1, 1, 2]
    filled = footed([full, short], style, frame)
    assert blocks(filled) == [1, 3]
    assert sum(block.height for block in filled[-1]) == pytest.approx(100)
    assert footed([full], PaperStyle(footer=" "), frame) == [full]


def test_a_file_of_many_letters_holds_the_logo_once(logo: Logo) -> None:
    letter = replace(a_letter(), style=PaperStyle(logo=logo))
    reader = pypdf.PdfReader(io.BytesIO(letters_pdf([letter] * 20, LETTER_SHEETS["a4"])))
    kinds = [
        part.get("/Subtype")
        for at in range(1, len(reader.xref[0]) + 1)
        if isinstance(part := reader.get_object(at), DictionaryObject)
    ]
    assert kinds.count("/Image") == 1


@pytest.mark.parametrize("paper", INKS)
def test_the_same_look_gives_the_same_bytes(paper: str, logo: Logo) -> None:
    style = PaperStyle(colour=Accent.BROWN, logo=logo, footer=FOOTER)
    assert INKS[paper](style) == INKS[paper](style)


def test_its_letters_are_looked_for_in_the_type() -> None:
    style = PaperStyle(footer=FOOTER)
    for words in (
        checklist_words(replace(HERON, style=style)),
        record_words(a_record_sheet(style=style)),
    ):
        assert FOOTER in words
    assert FOOTER in letter_words(replace(a_letter(), style=style))


def test_a_letter_as_text_ends_with_the_shop_s_line() -> None:
    assert (
        FOOTER
        in letters_text([replace(a_letter(), style=PaperStyle(footer=FOOTER))]).splitlines()[-4:]
    )


# the page


def test_the_page_has_colour_logo_and_line_and_what_is_markup_in_them_is_none(logo: Logo) -> None:
    style = PaperStyle(colour=Accent.GREEN, logo=logo, footer=MARKUP)
    text = checklist_page(replace(HERON, style=style), [packaged("templates")])
    assert f"--accent: {ACCENTS['green']};" in text
    assert text.count("<img ") == 1
    assert '<img class="logo" src="data:image/jpeg;base64,' in text
    assert (
        "Tidelane &lt;/script&gt;&lt;img src=x onerror=&#34;alert(1)&#34;&gt; {{ 7 * 7 }}" in text
    )
    assert "<img " not in checklist_page(HERON, [packaged("templates")])


# the commands


@pytest.fixture
def styled_shop(demo_shop: Shop) -> Shop:
    """The demo shop with a colour, a logo and a line of its own."""
    Image.new("RGB", (300, 100), "#336699").save(demo_shop.folder / "logo.png")
    settings = demo_shop.folder / "shop.toml"
    paper = f'[paper]\ncolour = "plum"\nlogo = "logo.png"\nfooter = "{FOOTER}"\n\n[bench]'
    settings.write_text(
        settings.read_text(encoding="utf-8").replace("[bench]", paper, 1), encoding="utf-8"
    )
    return demo_shop


@pytest.mark.parametrize(
    "words", [("checklist", "M-001"), ("record", "M-001"), ("letters", "--due")]
)
def test_papers_on_paper_follow_the_shop_s_settings(
    styled_shop: Shop, run: Run, tmp_path: Path, words: tuple[str, ...]
) -> None:
    assert run(*words, "-o", "paper.pdf", shop=styled_shop.folder).exit_code == 0
    data = (tmp_path / "paper.pdf").read_bytes()
    assert ACCENTS["plum"] in colours_of(data)
    assert pypdf.PdfReader(io.BytesIO(data)).pages[0].images
    assert FOOTER in pages_of(data)[-1]


def test_the_page_follows_the_shop_s_settings(styled_shop: Shop, run: Run, tmp_path: Path) -> None:
    for name, words in (("a.html", ("M-001",)), ("b.html", ("--model", "heron-3"))):
        assert run("checklist", *words, "-o", name, shop=styled_shop.folder).exit_code == 0
        text = (tmp_path / name).read_text(encoding="utf-8")
        assert all(
            words in text for words in (f"--accent: {ACCENTS['plum']};", 'class="logo"', FOOTER)
        )


@pytest.mark.parametrize(
    "command",
    [
        ("checklist", "M-001"),
        ("record", "M-001"),
        ("letters", "--due"),
        ("checklist", "M-001", "-o", "a.html"),
    ],
)
def test_a_logo_that_is_damaged_is_told_in_a_line(
    styled_shop: Shop, run: Run, command: tuple[str, ...]
) -> None:
    logo = styled_shop.folder / "logo.png"
    Image.effect_noise((400, 300), 90).save(logo)
    logo.write_bytes(logo.read_bytes()[:20_000])
    result = run(*command, shop=styled_shop.folder)
    assert (result.exit_code, result.stdout) == (1, "")
    [line] = result.stderr.splitlines()
    assert f"{logo}: the photo is damaged: " in line


def test_a_broken_template_of_the_shop_s_is_told_in_a_line_with_file_and_line(
    styled_shop: Shop, run: Run
) -> None:
    template = styled_shop.folder / "templates" / "checklist.html"
    for text, line in (
        ("<p>\n{% for step in %}", 2),
        ("<p>\n\n{{ checklist.stpes }}", 3),
        ("{{ ''.__class__.__mro__ }}", 1),
    ):
        template.write_text(text, encoding="utf-8")
        result = run("checklist", "M-001", "-o", "a.html", shop=styled_shop.folder)
        assert result.exit_code == 1
        [told] = result.stderr.splitlines()
        assert told.startswith(f"oilchart: {template}: line {line}: ")


def test_a_template_of_the_shop_s_stands_in_for_the_shipped_one(
    styled_shop: Shop, run: Run, tmp_path: Path
) -> None:
    folder = styled_shop.folder / "templates"
    (folder / "checklist.html").write_text(
        "<title>{{ checklist.title }}</title><b>{{ checklist.steps | length }}</b>{{ "
        "checklist.heading[0] }}"
    )
    run("machine", "edit", "M-001", "--note", MARKUP, shop=styled_shop.folder)
    assert run("checklist", "M-001", "-o", "a.html", shop=styled_shop.folder).exit_code == 0
    text = (tmp_path / "a.html").read_text(encoding="utf-8")
    assert text.startswith("<title>Bench checklist: Heron 3</title><b>")
