"""Every paper that the program writes, and what a reader must find in it."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from PIL import Image

from oilchart.core.records.findings import Finding, Found
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.paper_style import CardSize, Logo, OfficeSheet, PaperStyle
from oilchart.papers.bench_tag.pdf import tag_pdf
from oilchart.papers.call_sheet.pdf import call_sheet_pdf
from oilchart.papers.card.pages import card_leaflet
from oilchart.papers.checklist.pdf import checklist_pdf
from oilchart.papers.do_not_plug_in.content import unsafe_sheet
from oilchart.papers.drawing.colours import INK, Look
from oilchart.papers.imposition import sheets_pdf
from oilchart.papers.letter.pdf import LETTER_SHEETS, letters_pdf
from oilchart.papers.letter.template import Paragraph
from oilchart.papers.pdf.blocks import Block, TextStyle, flow, grouped, paragraph, place
from oilchart.papers.pdf.card_sizes import CARD_FORMATS, setting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import Page
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.pdf.structure_parts import Part
from oilchart.papers.record.pdf import record_pdf
from oilchart.papers.wording import drawing_words
from tests.builders import records
from tests.builders.drawn import card_pdf, checklist, unsafe_pdf
from tests.builders.make import TODAY
from tests.builders.papers.call_sheet import a_call_sheet, a_line
from tests.builders.papers.card import SHELF, card_of
from tests.builders.papers.checklist import a_list
from tests.builders.papers.letter import HERON, TREADLE, a_heron, a_letter
from tests.builders.papers.record import a_record_sheet
from tests.builders.papers.tag import a_tag
from tests.builders.records import SHOP as TIDELANE

LIVE = UnsafeMark(id=1, danger=Danger.ELECTRICAL, on=TODAY, why="the case is live")
HEBREW = "שרה כהן"


class Square:
    """A picture."""

    def jpeg(self) -> bytes:
        """As a JPEG file."""
        out = io.BytesIO()
        Image.new("RGB", (40, 40), "#336699").save(out, "JPEG")
        return out.getvalue()


LOGO = Logo(photo=Square(), width=40, height=40)
WIDE = 128.0  # of the paper of all parts, in millimetres


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper and what a reader must find in it.

    Args:
        landmarks: words in the order they are to be read.
        parts: roles that it must have.
        points: what its drawings must tell of.
    """

    write: Callable[[], bytes]
    title: str
    landmarks: tuple[str, ...]
    parts: frozenset[str]
    points: tuple[str, ...] = ()
    language: str = "en-GB"


def all_parts() -> bytes:
    """A paper of two pages with a part of each kind, a list and a table that go on over the turn of
    the page."""
    page = Page((148.0, 105.0), DocumentInfo(title="All parts", author="", subject="Test"))
    items = [_item(f"item {at}") for at in range(4)]
    cells = [("Place", "Oil"), ("hook", "1 drop"), ("needle bar", "")]
    rows = [_row(cells, "TH" if at == 0 else "TD") for at, cells in enumerate(cells)]
    again = paragraph([Run("Points – continued")], 12, WIDE)
    blocks = [
        paragraph([Run("All parts", bold=True)], 20, WIDE, style=TextStyle(role="H1")),
        paragraph([Run("List", bold=True)], 14, WIDE, style=TextStyle(role="H2", with_next=True)),
        *grouped(Part(role="L", numbering="Disc"), items),
        paragraph([Run("Points", bold=True)], 14, WIDE, style=TextStyle(role="H2", with_next=True)),
        *grouped(
            "Table", [replace(row, again=again if at else None) for at, row in enumerate(rows)]
        ),
        _drawing(),
    ]
    for at, each in enumerate(flow(blocks, lambda _: 62.0)):
        if at:
            page.turn()
        place(page, each, 10, 10)
        with page.artifact():
            page.right(138, 92, f"page {at + 1}", 12)
    return page.finish()


def _item(words: str) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("LI"):
            with page.tag("Lbl"):
                page.text(x, top, "•", 12)
            with page.tag("LBody"):
                page.text(x + 5, top, words, 12)

    return Block(height=6, draw=draw)


def _row(cells: tuple[str, str], role: Any) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("TR"):
            for at, words in enumerate(cells):
                with page.tag(Part(role=role, scope="Column" if role == "TH" else "")):
                    page.text(x + at * 40, top, words, 12)
        page.rule(x, top + 6, WIDE)

    return Block(height=7, draw=draw)


def _drawing() -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.figure(
            drawing_words("Heron 3 from behind", [(1, "hook"), (2, "needle bar")]), x, top, 40, 10
        ):
            page.box(x, top, 40, 10, look=Look(stroke=INK, width=0.8))
            page.number(x + 5, top + 5, 1, 12)
            page.number(x + 35, top + 5, 2, 12)

    return Block(height=12, draw=draw)


def folded() -> bytes:
    """Two cards on a sheet to be folded: the last side is drawn beside the first."""
    page = Page((210.0, 148.0), DocumentInfo(title="Folded", author="", subject="Test"))
    card, thread = Part(role="Sect"), Part(role="L")
    for at, side in enumerate((1, 4, 2, 3)):
        if at == 2:
            page.turn()
        with (
            page.tag(card),
            page.read_in_turn(side),
            page.card(105.0 * (at % 2), 0, (105.0, 148.0)),
        ):
            if side == 1:
                place(
                    page,
                    [paragraph([Run("Care card", bold=True)], 20, 85, style=TextStyle(role="H1"))],
                    10,
                    10,
                )
            place(page, grouped(thread, [_item(f"side {side}")]), 10, 30)
            page.text(10, 60, f"foot of side {side}", 12)
    return page.finish()


def some_letters() -> bytes:
    """Three letters: a usual one, a long one with a list and a machine that must not be used, one
    to be read from right to left."""
    usual = a_letter(HERON)
    words = usual.paragraphs
    listed = (Paragraph("needle plate off", True), Paragraph("a long point " * 30, True))
    long = replace(
        a_letter(a_heron(unsafe=(LIVE,)), TREADLE),
        paragraphs=(words[0], *listed, *words[1:]) * 3,
    )
    return letters_pdf(
        [usual, long, replace(usual, address=(HEBREW, *usual.address[1:]))], LETTER_SHEETS["a4"]
    )


def a_full_record() -> bytes:
    """Something found, put right, ticked, left for later and noted."""
    heron = SHELF.point_list("heron-3")
    findings = [Finding(point=point.id, ticked=True) for point in heron.points]
    findings[0] = replace(findings[0], found=(Found.DRY, Found.WORN))
    findings[1] = replace(findings[1], done=False, why="no lamp here")
    lifted = replace(LIVE, lifted_on=TODAY, lifted_by="R. Amsel", put_right="new lead fitted")
    return record_pdf(
        a_record_sheet(
            findings,
            heron,
            freed=True,
            marks=(lifted,),
            note="The belt will want a look next time. " * 40,
        )
    )


CARE = (
    *(
        "Care card for Ida Brandvold",
        "Heron 3",
        "Pull the plug",
        "With each new bobbin",
        "The bobbin case",
        "Each day you sew",
        "Every week",
    ),
    *(
        "After oiling",
        "New needle",
        "Never",
        "Every oil hole",
        "Not at home",
        "Stop, unplug, ring us",
        "Next service",
        "June 2027",
    ),
    *(
        "Ring us",
        "Scan to ring us",
        "Tick what you have done",
        "Every 2 weeks",
        "Dec 2026",
        "Feb 2027",
    ),
)
CARE_PARTS = frozenset(
    {"H1", "H2", "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "P", "Figure"}
)


def a_sheet_of(size: CardSize, sheet: OfficeSheet) -> bytes:
    """A card alone on office sheets."""
    return sheets_pdf([card_leaflet(card_of(), setting(size))], CARD_FORMATS[size], sheet)


PAPERS = {
    "care card": Paper(
        write=lambda: card_pdf(card_of()),
        title="Care card for Ida Brandvold, Heron 3 · serial H3-20417",
        landmarks=CARE,
        parts=CARE_PARTS,
        points=(
            "Drawing: Flatbed zigzag machine",
            "28 the bobbin case",
            "box to tick 30",
            "QR code: Scan to ring us",
        ),
    ),
    "care card with close-ups": Paper(
        write=lambda: card_pdf(card_of("corrin-12", owner=None), CardSize.A6),
        title="Care card, Corrin 12 · serial H3-20417",
        landmarks=(
            "Care card",
            "For",
            "Fold the crank",
            "Vibrating shuttle",
            "Never",
            "Stop, ring us",
            "Next service",
            "Tick what",
        ),
        parts=CARE_PARTS,
        points=("Drawing: Vibrating shuttle, slide plates off", "line to write on"),
    ),
    "do-not-plug-in sheet": Paper(
        write=lambda: unsafe_pdf(
            unsafe_sheet(
                records.a_record(14, serial="H3"),
                (LIVE,),
                SHELF.point_list("heron-3"),
                shop=TIDELANE,
            ),
            CardSize.A6,
        ),
        title="DO NOT PLUG IN: Heron 3 · M-014 · serial H3",
        landmarks=(
            "DO NOT PLUG IN",
            "the case is live",
            "Heron 3",
            "Leave the plug out",
            "Ring us",
            "Checked by",
            "Signature",
        ),
        parts=frozenset({"H1", "H2", "L", "LI", "Lbl", "LBody", "P", "Figure"}),
        points=("line to write on",),
    ),
    "all parts": Paper(
        write=all_parts,
        title="All parts",
        landmarks=(
            "All parts",
            "List",
            "item 0",
            "item 3",
            "Points",
            "Place",
            "Oil",
            "hook",
            "1 drop",
            "needle bar",
        ),
        parts=frozenset(
            {"H1", "H2", "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "Figure"}
        ),
        points=("1 hook", "2 needle bar"),
    ),
    "call sheet": Paper(
        write=lambda: call_sheet_pdf(
            a_call_sheet(
                *(a_line(owner=f"Owner {at}", machines=((at, "heron-3"),)) for at in range(1, 8))
            )
        ),
        title="Calls of the next 2 weeks",
        landmarks=(
            "Calls of the next 2 weeks",
            "Wednesday",
            "Owner 1",
            "01632 960107",
            "Said last",
            "Ask",
            "Note",
            "Owner 2",
            "Owner 7",
        ),
        parts=frozenset({"H1", "H2", "H3", "P", "Figure"}),
        points=("box to tick", "line to write on"),
    ),
    "record": Paper(
        write=a_full_record,
        title="Service record for Ida Brandvold, Heron 3 · M-001 · serial H3-20417",
        landmarks=(
            "Service record",
            "What you told us",
            "What we found",
            "Dry",
            "What we put right",
            "What we serviced",
            "Mains test",
            "Next service",
            "Work done by",
            "Place by place",
            "Oiled",
            "18 Connecting rod",
        ),
        parts=frozenset({"H1", "H2", "H3", "L", "LI", "Lbl", "LBody", "P", "Figure"}),
        points=("line to write on",),
    ),
    "checklist": Paper(
        write=lambda: checklist_pdf(
            replace(a_list(), style=PaperStyle(logo=LOGO, footer="Shut on Mondays."))
        ),
        title="Bench checklist: Heron 3",
        landmarks=(
            "Bench checklist: Heron 3",
            "Never",
            "Needle end of a zigzag machine",
            "Lubricants",
            "Parts to look at",
            "Place and work",
            "As received",
            "Needle end",
            "Feed-dog teeth, from above",
            "Run in and test sew",
            "Notes",
            "Work done by",
            "Shut on Mondays.",
        ),
        parts=frozenset({"H1", "H2", "P", "Table", "TR", "TH", "TD", "Figure"}),
        points=(
            "The shop's logo.",
            "2 Feed-dog teeth, from above",
            "box to tick",
            "line to write on",
        ),
    ),
    "checklist of an unsafe machine": Paper(
        write=lambda: checklist_pdf(
            checklist(SHELF.point_list("heron-3"), on=TODAY, dangers=(LIVE,))
        ),
        title="Bench checklist: Heron 3",
        landmarks=(
            "Do not plug in: the case is live",
            "Bench checklist: Heron 3",
            "Never",
            "Not while it is unsafe",
            "Notes",
        ),
        parts=frozenset({"H1", "H2", "P", "Table", "TR", "TH", "TD", "Figure"}),
        points=("2 Feed-dog teeth, from above", "box to tick", "line to write on"),
    ),
    "luggage tag": Paper(
        write=lambda: tag_pdf(
            a_tag(owner=HEBREW, left_with=tuple(f"thing {at}" for at in range(30)))
        ),
        title="Bench tag M-014",
        landmarks=(
            "M-014",
            "Heron 3",
            "In their words",
            "It squeaks",
            "Left with it",
            "thing 0",
            "thing 29",
            "unplugged",
        ),
        parts=frozenset({"H1", "H2", "L", "LI", "LBody", "P", "Figure", "Span"}),
        points=("QR code of the number M-014", "box to tick"),
    ),
    "letters": Paper(
        write=some_letters,
        title="Letters",
        landmarks=(
            "Tidelane",
            "Ida Brandvold",
            "Your Heron 3",
            "Dear Ida",
            "With kind regards",
            "Stop, unplug",
            "needle plate off",
        ),
        parts=frozenset({"Sect", "H1", "H2", "L", "LI", "Lbl", "LBody", "P", "Span"}),
    ),
}


@cache
def written(name: str) -> bytes:
    """A paper of the table."""
    return PAPERS[name].write()
