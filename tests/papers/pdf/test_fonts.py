"""The papers' type: every letter from a face that has it, right-to-left words in their order, and
what cannot be printed is told."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen

from oilchart.errors import FaultyList, OilchartError
from oilchart.papers.pdf import direction
from oilchart.papers.pdf import fonts as lettering
from oilchart.papers.pdf.fonts import (
    BOLD,
    NO_LETTER,
    REGULAR,
    Run,
    broken,
    fallbacks,
    missing,
    on_paper,
    stretches,
    text_width,
)
from oilchart.shop.folder import Shop
from oilchart.sources.files.settings import read_settings
from tests.builders.drawn import card_pdf
from tests.builders.ink_checks import embedded_faces, words_in
from tests.builders.outside import need
from tests.builders.papers.card import card_of
from tests.conftest import Run as Command

HANGUL = "한지민"
SIGNS = "😀😁 Ida"  # of two units of UTF-16 each
HEBREW = "שרה כהן"
HEBREW_ON_PAPER = "ןהכ הרש"


def a_font(
    path: Path,
    letters: str,
    *,
    name: str | None = None,
    may_be_embedded: bool = True,
    outlines: str = "glyf",
) -> Path:
    """Make a font that has a square for each letter; its own name is made of its path, since the
    library takes two of one name as one."""
    name = name or f"{path.parent.name}-{path.stem}".replace("_", "-")
    glyphs = [".notdef", *(f"u{ord(letter):04X}" for letter in letters)]
    font = FontBuilder(1000, isTTF=outlines == "glyf")
    font.setupGlyphOrder(glyphs)
    font.setupCharacterMap({ord(letter): f"u{ord(letter):04X}" for letter in letters})
    pen = TTGlyphPen(None) if outlines == "glyf" else T2CharStringPen(900, None)
    pen.moveTo((50, 0))
    for corner in ((50, 800), (850, 800), (850, 0)):
        pen.lineTo(corner)
    pen.closePath()
    if outlines == "glyf":
        font.setupGlyf(dict.fromkeys(glyphs, pen.glyph()))
    else:
        font.setupCFF(name, {}, dict.fromkeys(glyphs, pen.getCharString()), {})
    font.setupHorizontalMetrics(dict.fromkeys(glyphs, (900, 50)))
    font.setupHorizontalHeader(ascent=800, descent=-200)
    font.setupNameTable({"familyName": name, "styleName": "Regular", "psName": name})
    font.setupOS2(sTypoAscender=800, fsType=0 if may_be_embedded else 2)
    font.setupPost()
    font.save(path)
    return path


@pytest.fixture
def without_libraries(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """As it is where the [rtl] extra was not installed."""
    monkeypatch.setattr(direction, "_LIBRARIES", ("bidi", "no_such_module"))
    yield


# --- read out of a file


def test_letters_past_ffff_are_read_out_of_a_paper_as_what_they_are() -> None:
    assert f"Care card for {SIGNS}" in words_in(card_pdf(card_of(owner=SIGNS)))


def test_poppler_reads_letters_past_ffff_as_what_they_are(tmp_path: Path) -> None:
    file = tmp_path / "card.pdf"
    file.write_bytes(card_pdf(card_of(owner=SIGNS)))
    told = subprocess.run([need("pdftotext"), file, "-"], check=True, capture_output=True)
    assert f"Care card for {SIGNS}" in " ".join(told.stdout.decode().split())


# --- fallback fonts


def test_a_letter_is_taken_from_the_first_face_that_has_it(tmp_path: Path) -> None:
    first, second = (
        a_font(tmp_path / "first.ttf", "한A", name="First"),
        a_font(tmp_path / "second.ttf", "한지", name="Second"),
    )
    with fallbacks([first, second]):
        assert on_paper("A한지b", REGULAR) == [
            ("A", REGULAR),
            ("한", str(first)),
            ("지", str(second)),
            ("b", REGULAR),
        ]
        # the papers' own type in the other weight comes before a fallback: only the regular has
        # sans-serif capitals of mathematics
        assert on_paper("B𝖠", BOLD) == [("B", BOLD), ("𝖠", REGULAR)]


def test_without_a_font_a_box_stands_for_a_letter_and_it_is_told(tmp_path: Path) -> None:
    assert missing([HANGUL, "Łucja"]) == HANGUL
    assert on_paper("한a", REGULAR) == [(f"{NO_LETTER}a", REGULAR)]
    with fallbacks([a_font(tmp_path / "some.ttf", "한지")]):
        assert missing([HANGUL]) == "민"
    assert missing([HANGUL]) == HANGUL


def test_words_are_measured_in_the_faces_they_are_set_in(tmp_path: Path) -> None:
    with fallbacks([a_font(tmp_path / "squares.ttf", HANGUL)]):
        # a square is 900 thousandths of the type size wide
        assert text_width(HANGUL, 10) == pytest.approx(27)
        assert text_width(f"A{HANGUL}", 10) == pytest.approx(text_width("A", 10) + 27)
        assert [len(line) for line in broken([Run(f"{HANGUL} {HANGUL} {HANGUL}")], 10, 60)] == [
            2,
            1,
        ]


def test_a_card_with_a_fallback_font_has_it_embedded(tmp_path: Path) -> None:
    with fallbacks([a_font(tmp_path / "squares.ttf", HANGUL)]):
        pdf = card_pdf(card_of(owner=HANGUL))
        again = card_pdf(card_of(owner=HANGUL))
    assert embedded_faces(pdf) == {
        "DejaVuSansCondensed",
        "DejaVuSansCondensed-Bold",
        f"{tmp_path.name}-squares".replace("_", "-"),
    }
    assert f"Care card for {HANGUL}" in words_in(pdf)
    assert pdf == again


@pytest.mark.parametrize(
    ("kind", "why"),
    [
        ("none", "Can't open file"),
        ("words", "Not a recognized TrueType font"),
        ("not to be embedded", "its maker does not let it be embedded in part"),
        ("postscript outlines", "postscript outlines are not supported"),
    ],
)
def test_a_font_that_cannot_be_embedded_is_refused_in_one_line(
    tmp_path: Path, kind: str, why: str
) -> None:
    path = tmp_path / f"{kind}.ttf"
    if kind == "words":
        path.write_text("this is no font " * 20)
    elif kind != "none":
        a_font(
            path,
            HANGUL,
            may_be_embedded=kind != "not to be embedded",
            outlines="CFF" if kind == "postscript outlines" else "glyf",
        )
    with pytest.raises(OilchartError) as refusal, fallbacks([path]):
        pass
    line = str(refusal.value)
    assert line.startswith(f"{path}: cannot be used as a fallback font: ")
    assert why in line
    assert line.endswith("; name a TrueType file that may be embedded")
    assert "\n" not in line


def test_the_settings_name_fallback_fonts_in_the_shop_folder(fresh_shop: Shop) -> None:
    settings = fresh_shop.folder / "shop.toml"
    assert read_settings(settings).fallback_fonts == ()
    settings.write_text(
        settings.read_text().replace(
            "fallback_fonts = []", 'fallback_fonts = ["fonts/a.ttf", "/b.ttf"]'
        )
    )
    assert read_settings(settings).fallback_fonts == (
        fresh_shop.folder / "fonts" / "a.ttf",
        Path("/b.ttf"),
    )
    settings.write_text(settings.read_text().replace("fallback_fonts", "fallback_font"))
    with pytest.raises(
        FaultyList,
        match=r"\[paper\]: fallback_font: is not a known key; did you mean fallback_fonts",
    ):
        read_settings(settings)


def test_whose_paper_lacks_which_letters_is_told_until_a_font_has_them(
    run: Command, fresh_shop: Shop, tmp_path: Path
) -> None:
    shop = fresh_shop.folder
    run("owner", "add", HANGUL, shop=shop)
    run("machine", "add", HANGUL, "heron-3", shop=shop)
    told = run("card", "M-001", shop=shop).stderr
    assert told.startswith(
        f'card M-001: "Care card for {HANGUL}": the type has no 한 (U+D55C), 지 (U+C9C0), 민 '
        f"(U+BBFC): printed as empty boxes; "
        "name a font that has them: [paper] fallback_fonts in shop.toml\n"
    )
    assert told.count("the type has no") == 1
    a_font(shop / "squares.ttf", HANGUL)
    settings = shop / "shop.toml"
    settings.write_text(
        settings.read_text().replace("fallback_fonts = []", 'fallback_fonts = ["squares.ttf"]')
    )
    assert (
        run("card", "M-001", "-o", tmp_path / "card.pdf", shop=shop).stderr
        == f"wrote {tmp_path / 'card.pdf'}\n"
    )
    assert "shop-squares" in embedded_faces((tmp_path / "card.pdf").read_bytes())


# --- right to left


@pytest.mark.parametrize(
    ("stored", "on_the_paper"),
    [
        ("Heron 3", "Heron 3"),
        (HEBREW, HEBREW_ON_PAPER),
        (f"Care card for {HEBREW}", f"Care card for {HEBREW_ON_PAPER}"),
        # what follows in the sentence stays behind the name, numbers too
        (f"{HEBREW}, 7 Tide Lane", f"{HEBREW_ON_PAPER}, 7 Tide Lane"),
        (f"{HEBREW}, Heron 3, 12", f"{HEBREW_ON_PAPER}, Heron 3, 12"),
        # a number within right-to-left words runs with them
        ("רחוב הרצל 7, תל אביב", "ביבא לת ,7 לצרה בוחר"),
        # brackets open towards what they hold
        ("צלאח (לא) דן", "ןד (אל) חאלצ"),
        (f"Heron 3 ({HEBREW})", f"Heron 3 ({HEBREW_ON_PAPER})"),
    ],
)
def test_right_to_left_words_stand_in_their_order_in_an_english_line(
    stored: str, on_the_paper: str
) -> None:
    assert direction.turned(stored) == on_the_paper


@pytest.mark.parametrize(
    ("stored", "forms"),
    [
        # beginning, middle, end and alone: Unicode 16.0, point list FE70-FEFF
        ("بيت", "\ufe91\ufef4\ufe96"),
        ("دار", "\ufea9\ufe8d\ufead"),
        ("سلام", "\ufeb3\ufefc\ufee1"),
    ],
)
def test_arabic_letters_are_joined_and_all_forms_are_in_the_type(stored: str, forms: str) -> None:
    assert on_paper(stored, REGULAR) == [(forms[::-1], REGULAR)]
    assert on_paper(stored, BOLD) == [(forms[::-1], BOLD)]
    assert missing([stored]) == ""


def test_an_arabic_letter_whose_joined_forms_no_face_has_is_set_in_its_plain_form(
    tmp_path: Path,
) -> None:
    wasla = "\u0671"  # alef wasla; its forms alone and at the end are U+FB50 and U+FB51
    font = a_font(tmp_path / "plain.ttf", wasla)
    assert missing([wasla]) == wasla
    with fallbacks([font]):
        assert on_paper(wasla, REGULAR) == [(wasla, str(font))]


def test_a_line_is_broken_before_it_is_turned() -> None:
    words = "אחת שתיים שלוש ארבע"
    lines = broken([Run(words)], 12, text_width("אחת שתיים ", 12))
    assert [[word.text.strip() for word in line] for line in lines] == [
        ["אחת", "שתיים"],
        ["שלוש", "ארבע"],
    ]
    assert [
        [on_paper(piece.text, piece.face)[0][0].strip() for piece in stretches(line)]
        for line in lines
    ] == [
        ["םייתש תחא"],
        ["עברא שולש"],
    ]


def test_words_of_one_weight_are_turned_together_and_take_the_room_of_all() -> None:
    [line] = broken([Run("Owner:", bold=True), Run(f"{HEBREW}, Heron 3")], 12, 400)
    assert [(piece.text, piece.face) for piece in stretches(line)] == [
        ("Owner: ", BOLD),
        (f"{HEBREW}, Heron 3 ", REGULAR),
    ]
    assert sum(piece.width for piece in stretches(line)) == pytest.approx(
        sum(word.width for word in line)
    )
    [plain] = broken([Run("Owner:", bold=True), Run("Ida, Heron 3")], 12, 400)
    assert [(piece.text, piece.face) for piece in stretches(plain)] == [
        ("Owner: ", BOLD),
        ("Ida, Heron 3 ", REGULAR),
    ]


def test_without_the_libraries_words_stand_as_they_are_stored(without_libraries: None) -> None:
    assert direction.turned(HEBREW) == HEBREW
    assert on_paper("بيت", REGULAR) == [("بيت", REGULAR)]
    assert missing(["بيت", HEBREW]) == ""


@pytest.mark.parametrize("name", [HEBREW, "فاطمة الزهراء"])
def test_without_the_libraries_it_is_told_what_to_install(
    run: Command, fresh_shop: Shop, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    shop = fresh_shop.folder
    run("owner", "add", name, shop=shop)
    run("machine", "add", name, "heron-3", shop=shop)
    assert "right-to-left" not in run("card", "M-001", shop=shop).stderr
    monkeypatch.setattr(direction, "_LIBRARIES", ("bidi", "no_such_module"))
    assert run("card", "M-001", shop=shop).stderr.splitlines()[0] == (
        "card M-001: right-to-left words are printed in the order they are stored; "
        "for their right order: pip install 'oilchart[rtl]'"
    )


def test_the_licence_of_the_type_lies_beside_it() -> None:
    folder = Path(lettering.__file__).parent / "faces"
    assert {path.name for path in folder.iterdir()} == {
        "DejaVuSansCondensed.ttf",
        "DejaVuSansCondensed-Bold.ttf",
        "LICENSE.txt",
    }
    assert "Bitstream Vera" in (folder / "LICENSE.txt").read_text()
