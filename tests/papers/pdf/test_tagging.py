"""Every paper is tagged for those who have it read out: other programs find its headings, lists,
tables and drawings, its words in order.

A paper is one entry of `every_paper.PAPERS`. Each check is shown to fail on a paper that was broken
for it.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import partial
from typing import Any

import pikepdf
import pypdf
import pytest

from oilchart.core.records.paper_style import CardSize, OfficeSheet, PaperStyle
from oilchart.papers.card.pages import card_leaflet
from oilchart.papers.checklist.pdf import checklist_pdf
from oilchart.papers.imposition import sheets_pdf
from oilchart.papers.pdf.card_sizes import CARD_FORMATS, setting
from oilchart.papers.pdf.fonts import clean
from oilchart.papers.pdf.leaflets import leaflets_pdf
from oilchart.papers.record.pdf import record_pdf
from tests.builders import tagged
from tests.builders.drawn import card_pdf
from tests.builders.ink_checks import HOSTILE
from tests.builders.papers.card import card_of
from tests.builders.papers.checklist import a_list
from tests.builders.papers.every_paper import HEBREW, PAPERS, Paper, a_sheet_of, folded, written
from tests.builders.papers.record import a_record_sheet

NAME = pikepdf.Name
CHECKS: dict[str, Callable[[bytes, Paper], list[str]]] = {
    "syntax": lambda pdf, paper: tagged.qpdf_faults(pdf),
    "rules": lambda pdf, paper: tagged.rule_faults(pdf),
    "marks": lambda pdf, paper: tagged.mark_faults(pdf),
    "tree": lambda pdf, paper: tagged.tree_faults(pdf),
    "tables": lambda pdf, paper: tagged.table_faults(pdf),
    "drawings": lambda pdf, paper: tagged.drawing_faults(pdf, paper.points),
    "about": lambda pdf, paper: tagged.about_faults(pdf, paper.title, paper.language),
    "bookmarks": lambda pdf, paper: tagged.bookmark_faults(pdf),
    "order": lambda pdf, paper: tagged.order_faults(pdf, paper.landmarks),
    "fonts": lambda pdf, paper: tagged.font_faults(pdf),
}


@pytest.mark.parametrize("check", CHECKS)
@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_is_without_faults_for_those_who_have_it_read_out(name: str, check: str) -> None:
    assert CHECKS[check](written(name), PAPERS[name]) == []


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_has_the_parts_that_it_should_have(name: str) -> None:
    assert PAPERS[name].parts - {node.role for node in tagged.tree_of(written(name)).all()} == set()


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_leave_a_record_without_faults(words: str) -> None:
    sheet = a_record_sheet(owner=words, complaint=words, note=words)
    title = clean(f"{sheet.title}, {sheet.machine}")
    paper = Paper(
        write=lambda: record_pdf(sheet),
        title=title,
        landmarks=("What we serviced", "Next service"),
        parts=frozenset(),
    )
    pdf = paper.write()
    assert [fault for check in CHECKS.values() for fault in check(pdf, paper)] == []


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_leave_a_checklist_without_faults(words: str) -> None:
    whole = a_list(heading=(words,), notes=(words,), pictures=(), style=PaperStyle(footer=words))
    paper = Paper(
        write=lambda: checklist_pdf(whole),
        title=whole.title,
        landmarks=("As received", "Sign-off"),
        parts=frozenset(),
    )
    pdf = paper.write()
    assert [fault for check in CHECKS.values() for fault in check(pdf, paper)] == []


# --- parts


def test_what_goes_on_over_a_turn_of_the_page_is_one_part() -> None:
    tree = tagged.tree_of(written("all parts"))
    assert [len(tree.of(role)) for role in ("L", "Table", "TR", "LI")] == [1, 1, 3, 4]
    assert {node.page for node in tree.of("TR")} == {0, 1}
    assert "continued" not in tree.words
    assert "page 1" not in tree.words


def test_a_cell_without_words_is_there() -> None:
    assert [cell.words.strip() for cell in tagged.tree_of(written("all parts")).of("TH", "TD")] == [
        "Place",
        "Oil",
        "hook",
        "1 drop",
        "needle bar",
        "",
    ]


def test_sides_of_a_folded_sheet_are_read_in_their_order() -> None:
    pdf = folded()
    tree = tagged.tree_of(pdf)
    assert " ".join(tree.words.split()) == (
        "Care card • side 1 • side 2 • side 3 • side 4 foot of side 1 foot of side 2 foot of side "
        "3 foot of side 4"
    )
    assert (
        tagged.mark_faults(pdf)
        == tagged.tree_faults(pdf)
        == tagged.bookmark_faults(pdf)
        == tagged.qpdf_faults(pdf)
        == []
    )


def test_a_name_from_right_to_left_is_read_in_the_order_it_is_stored() -> None:
    tree = tagged.tree_of(written("luggage tag"))
    assert [node.words for node in tree.of("Span")] == [f"{HEBREW} "]


def test_the_list_is_one_table_over_its_pages_with_all_its_steps() -> None:
    whole = a_list()
    tree = tagged.tree_of(written("checklist"))
    [table] = [each for each in tree.of("Table") if "Place and work" in each.words]
    assert [cell.words.strip() for cell in table.kids[0].kids] == [
        "Place and work",
        "Amount",
        "As found",
        "As left",
        "Min",
    ]
    heads = [row.kids[0].words for row in table.kids if row.kids[0].role == "TH"][1:]
    assert len(heads) == len(whole.steps)
    assert [
        step.where for step, head in zip(whole.steps, heads, strict=True) if step.where not in head
    ] == []
    assert len({row.page for row in table.kids}) > 3


def test_each_letter_is_a_section_under_the_name_of_its_owner() -> None:
    tree = tagged.tree_of(written("letters"))
    assert [kid.title for kid in tree.kids] == ["Ida Brandvold", "Ida Brandvold", HEBREW]
    assert [kid.role for kid in tree.kids] == ["Sect"] * 3
    assert {len(kid.of("L")) for kid in tree.kids[1:2]} == {3}


@pytest.mark.parametrize(
    ("size", "sheet"),
    [
        (CardSize.A5, OfficeSheet.A4),
        (CardSize.A6, OfficeSheet.A4),
        (CardSize.FOUR_BY_SIX, OfficeSheet.LETTER),
    ],
)
def test_a_card_on_sheets_is_read_in_the_order_of_its_sides(
    size: CardSize, sheet: OfficeSheet
) -> None:
    pdf = a_sheet_of(size, sheet)
    alone = card_pdf(card_of(), size)
    assert " ".join(tagged.tree_of(pdf).words.split()) == " ".join(
        tagged.tree_of(alone).words.split()
    )
    paper = PAPERS["care card"]
    assert [
        fault for name, check in CHECKS.items() if name != "order" for fault in check(pdf, paper)
    ] == []
    assert paper.parts - {node.role for node in tagged.tree_of(pdf).all()} == set()


def test_a_pile_of_cards_is_for_the_printer_and_has_a_bookmark_for_each() -> None:
    names = ["Ida Brandvold", "Łucja Wierzbicka", HEBREW]
    for write in (leaflets_pdf, partial(sheets_pdf, sheet=OfficeSheet.A4)):
        leaflets = (card_leaflet(card_of(owner=name), setting(CardSize.A5)) for name in names)
        pdf = write(leaflets, CARD_FORMATS[CardSize.A5], batch_title="3 care cards")
        reader = pypdf.PdfReader(io.BytesIO(pdf))
        assert "/StructTreeRoot" not in reader.root_object
        bookmarks = [item for item in reader.outline if not isinstance(item, list)]
        assert len(bookmarks) == len(reader.outline)  # none below another
        assert [item.title for item in bookmarks] == [
            f"Care card for {name}, Heron 3 · serial H3-20417" for name in names
        ]
        pages = [reader.get_destination_page_number(item) for item in bookmarks]
        assert pages == [at * len(reader.pages) // 3 for at in range(3)]
        assert tagged.qpdf_faults(pdf) == []


# --- broken papers


def changed(pdf: bytes, change: Callable[[Any], None]) -> bytes:
    """A PDF with its objects changed."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        change(document)
        document.save(out)
    return out.getvalue()


def parts_of(document: Any, role: str) -> list[Any]:
    """The objects of the parts of a role."""
    return [
        found
        for found in document.objects
        if isinstance(found, pikepdf.Dictionary) and found.get("/S") == f"/{role}"
    ]


def set_of(role: str, key: str, value: Any) -> Callable[[Any], None]:
    """Set what the first part of a role has; None takes it away."""

    def change(document: Any) -> None:
        part = parts_of(document, role)[0]
        if value is None:
            del part[key]
        else:
            part[key] = value

    return change


def in_root(key: str) -> Callable[[Any], None]:
    """Take something from the whole."""

    def change(document: Any) -> None:
        del document.Root[key]

    return change


def of_page(key: str) -> Callable[[Any], None]:
    """Take something from the first page."""

    def change(document: Any) -> None:
        del document.pages[0].obj[key]

    return change


def no_headers(document: Any) -> None:
    for part in parts_of(document, "TH"):
        part.S = NAME.TD


def a_cell_less(document: Any) -> None:
    del parts_of(document, "TR")[-1].K[0]


def in_german(document: Any) -> None:
    document.Root.Lang = pikepdf.String("de")


def drawn_bare(document: Any) -> None:
    document.pages[0].contents_add(b"0 0 10 10 re f")


def swapped(document: Any) -> None:
    whole = document.Root.StructTreeRoot.K[0]
    whole.K = pikepdf.Array(reversed(list(whole.K)))


def without_way_back(document: Any) -> None:
    numbers = document.Root.StructTreeRoot.ParentTree.Nums
    numbers[1] = pikepdf.Array([numbers[1][0] for _ in numbers[1]])


def one_name_for_a_bookmark(document: Any) -> None:
    with document.open_outline() as outline:
        outline.root[0].title = "Another"


def a_font_outside(document: Any) -> None:
    font = next(iter(document.pages[0].Resources.Font.values()))
    del font.FontDescriptor["/FontFile2"]


def a_bare_font(document: Any) -> None:
    document.pages[0].Resources.Font["/Bare"] = pikepdf.Dictionary(
        Type=NAME.Font, Subtype=NAME.Type1, BaseFont=NAME.Courier
    )


def in_xmp(key: str, value: Any) -> Callable[[Any], None]:
    def change(document: Any) -> None:
        with document.open_metadata() as said:
            said[key] = value

    return change


def no_title(document: Any) -> None:
    del document.docinfo["/Title"]


BROKEN: list[tuple[str, str, Callable[[Any], None]]] = [
    ("no language", "rules", in_root("/Lang")),
    ("not said to be tagged", "rules", in_root("/MarkInfo")),
    ("no words for a drawing", "rules", set_of("Figure", "/Alt", None)),
    ("a table without headers", "rules", no_headers),
    ("ink outside of all parts", "marks", drawn_bare),
    ("marks that lead elsewhere", "marks", without_way_back),
    ("a part without its ink", "marks", set_of("H2", "/K", 99)),
    ("a page without its key", "marks", of_page("/StructParents")),
    ("a page stepped through otherwise", "marks", of_page("/Tabs")),
    ("a level left out", "tree", set_of("H2", "/S", NAME.H3)),
    ("no first heading", "tree", set_of("H1", "/S", NAME.H2)),
    ("a heading without words", "tree", set_of("H2", "/K", pikepdf.Array())),
    ("an item outside of a list", "tree", set_of("L", "/S", NAME.P)),
    ("an unknown part", "tree", set_of("Figure", "/S", NAME.Fancy)),
    ("words in a row", "tree", set_of("TD", "/S", NAME.TR)),
    ("headers of nothing", "tables", set_of("TH", "/A", None)),
    ("no header", "tables", no_headers),
    ("a cell too few", "tables", a_cell_less),
    ("a silent drawing", "drawings", set_of("Figure", "/Alt", pikepdf.String(" "))),
    (
        "a drawing that leaves a number out",
        "drawings",
        set_of("Figure", "/Alt", pikepdf.String("Drawing. 1 hook, two needle bar")),
    ),
    (
        "a drawing that leaves a point out",
        "drawings",
        set_of("Figure", "/Alt", pikepdf.String("Drawing. 1 hook, 2")),
    ),
    ("a drawing that lies nowhere", "drawings", set_of("Figure", "/A", None)),
    ("no title", "about", no_title),
    ("another title in XMP", "about", in_xmp("dc:title", "Another")),
    ("another language in XMP", "about", in_xmp("dc:language", ["de"])),
    ("another language", "about", in_german),
    ("the file's name in the window", "about", in_root("/ViewerPreferences")),
    ("a claim", "about", in_xmp("pdfuaid:part", "1")),
    ("no bookmarks", "bookmarks", in_root("/Outlines")),
    ("a bookmark of another name", "bookmarks", one_name_for_a_bookmark),
    ("parts in another order", "order", swapped),
    ("a font outside of the file", "fonts", a_font_outside),
    ("a font that no file has", "fonts", a_bare_font),
]


@pytest.mark.parametrize(
    ("check", "change"), [pytest.param(check, change, id=name) for name, check, change in BROKEN]
)
def test_a_paper_that_is_broken_has_faults(check: str, change: Callable[[Any], None]) -> None:
    assert CHECKS[check](changed(written("all parts"), change), PAPERS["all parts"]) != []


def test_a_paper_that_is_only_written_anew_has_none() -> None:
    pdf = changed(written("all parts"), lambda document: None)
    assert [fault for check in CHECKS.values() for fault in check(pdf, PAPERS["all parts"])] == []


def test_a_file_with_its_end_cut_off_is_a_fault_of_syntax() -> None:
    assert tagged.qpdf_faults(written("all parts")[:-200]) != []
