"""Letters as a PDF: A4 or US Letter, the address where the window of an envelope shows it,
marks where to fold.

Where windows lie, from memory of the standards, not read anew. Each is measured from the left and
the top edge of a letter that is folded
at its marks, and a letter slides in its envelope: what always shows is what the window shows
however it lies.

* A4, folded at 105 and 210 mm (DIN 5008, form B), in DL (110 x 220 mm) and C6/5 (114 x 229 mm, both
ISO 269) with the window of DIN 680,
  45 x 90 mm, 20 mm from the left and 15 mm from the bottom. Of addresses of up to five lines also
  DL with a window of 35 x 90 mm, 20 mm from the left and 18 mm from the bottom, as it is sold in
  Britain.
* US Letter, folded at 4 and 8 inches, in a No. 10 envelope (4 1/8 x 9 1/2 inches) with a window of
1 1/8 x 4 1/2 inches, 7/8 inch from the
  left and 1/2 inch from the bottom.

Windows differ by maker: one letter should be tried before many are posted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from reportlab.lib.units import mm

from oilchart.papers.drawing.colours import ACCENT, CAUTION, LINE_GREY, RUST, Look
from oilchart.papers.letter.content import Letter
from oilchart.papers.letter.template import Paragraph
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    flow,
    framed,
    grouped,
    paragraph,
    place,
    space,
)
from oilchart.papers.pdf.fit_text import capped, cut, flowing, largest_fitting
from oilchart.papers.pdf.fonts import LEADING, Line, Run, broken, clean, text_width
from oilchart.papers.pdf.home_boxes import home_boxes
from oilchart.papers.pdf.letterhead import BESIDE, accent, footed, head_width, logo_block
from oilchart.papers.pdf.page import A4, POINT_MM, US_LETTER, Page, line_height
from oilchart.papers.pdf.pages import PageFrame, draw_pages
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.pdf.structure_parts import Part

LEFT, RIGHT = 25.0, 20.0  # margins
EDGE = 10.0
FOLD_MARK = (7.5, 5.0)  # of a fold mark: from the edge, and how long
TYPE = 12.0  # the smallest, except for an address of more lines than the window holds
# Of the text: its size, the space between paragraphs in lines, the room to sign; the first in which
# the letter is one page.
MANNERS = (
    (14.0, 0.5, 11.0),
    (13.0, 0.55, 12.0),
    (13.0, 0.4, 9.0),
    (TYPE, 0.55, 12.0),
    (TYPE, 0.3, 9.0),
)
LINE = line_height(TYPE)
ADDRESS_SIZES = (12.0, 10.0)
ABOVE = 0.19  # of the type size: what lies between the top of a line and its highest letters
SUBJECT_LINES = 5
CLOSING_LINES = 3  # of one of its lines
WARNING_LINES = 12
CLOSING_BLOCKS = 6  # that stay on one page
NAME_LINES = 2  # of a name whose address has to be cut
GUTTER = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterSheet:
    """A size of paper, in millimetres.

    Args:
        address: left, top, right and bottom of the room in which every window shows an address.
        address_top: where a short address begins.
        seen: left, top, right and bottom of all that any window may show: nothing but the address
            stands there.
        folds: from the top edge.
    """

    size: tuple[float, float]
    address: tuple[float, float, float, float]
    address_top: float
    seen: tuple[float, float, float, float]
    folds: tuple[float, ...]

    @property
    def inner_width(self) -> float:
        """Width of the text."""
        return self.size[0] - LEFT - RIGHT

    @property
    def frame(self) -> PageFrame:
        """What stands where on its pages; one that is the only one has no number."""
        foot_top = self.size[1] - EDGE - LINE
        return PageFrame(
            left=LEFT,
            width=self.inner_width,
            first_top=self.seen[3] + 2,
            later_top=EDGE + LINE + 4,
            bottom=foot_top - 2,
            head_top=EDGE,
            head_size=TYPE,
            foot_top=foot_top,
            foot_size=TYPE,
            numbers_one=False,
        )


LETTER_SHEETS = {
    "a4": LetterSheet(
        size=A4,
        address=(LEFT, 54.0, 91.0, 90.0),
        address_top=57.0,
        seen=(1.0, 45.0, 110.0, 99.0),
        folds=(105.0, 210.0),
    ),
    "letter": LetterSheet(
        size=US_LETTER,
        address=(LEFT, 63.5, 111.1, 88.9),
        address_top=63.5,
        seen=(-3.2, 60.3, 136.5, 92.1),
        folds=(101.6, 203.2),
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AddressLines:
    """An address as it stands in the window; `whole` unless words had to be left out."""

    lines: tuple[Line, ...]
    size: float
    whole: bool


def letters_pdf(letters: Sequence[Letter], sheet: LetterSheet) -> bytes:
    """Write letters, each on a page of its own; one that takes more says page x of y on each.

    Args:
        letters: at least one.
    """
    first = letters[0]
    page = Page(
        sheet.size,
        DocumentInfo(
            title="Letters",
            author=first.shop.name,
            subject="Letters to owners",
        ),
        one_sided=True,
        accent=accent(first.style),
    )
    for at, letter in enumerate(letters):
        if at:
            page.turn()
        with page.tag(Part(role="Sect", title=clean(letter.address[0]))):
            _letter(page, letter, sheet)
    return page.finish()


def letter_words(letter: Letter) -> list[str]:
    """All words of the letter that come from the shop, its template and the owner."""
    text = (each.words for each in letter.paragraphs)
    return [
        *letter.sender,
        *letter.address,
        letter.subject,
        *text,
        *letter.closing,
        *(words for warning in letter.unsafe for words in warning),
        letter.style.footer,
    ]


def address_lines(letter: Letter, sheet: LetterSheet) -> AddressLines:
    """Set an address so that it fits the window: line by line, else with short lines joined, else
    cut."""
    left, top, right, bottom = sheet.address
    room = (right - left) * mm
    name, *rest = [words for words in letter.address if words.strip()] or [""]
    for join in (False, True):
        for size in ADDRESS_SIZES:
            most = _lines_in(bottom - top, size)
            named = broken([Run(name)], size, room)
            lines = [
                *named,
                *_set(_joined(rest, most - len(named), size, room) if join else rest, size, room),
            ]
            if len(lines) <= most:
                return AddressLines(lines=tuple(lines), size=size, whole=True)
    named = cut(named, NAME_LINES, size, room)
    lines = [
        *named,
        *cut(broken([Run(", ".join(rest))], size, room, most), most - len(named), size, room),
    ]
    return AddressLines(lines=tuple(lines), size=size, whole=False)


def _set(words: Sequence[str], size: float, room: float) -> list[Line]:
    return [line for each in words for line in broken([Run(each)], size, room)]


def _joined(words: Sequence[str], most: int, size: float, room: float) -> list[str]:
    """The lines of an address, the upper ones joined by two as long as there are too many: town and
    code are left as they are."""
    joined = list(words[:1])
    takes = [len(_set([each], size, room)) for each in words]
    many, last = sum(takes), takes[0] if takes else 0
    for each, own in zip(words[1:], takes[1:], strict=True):
        pair = f"{joined[-1]}, {each}"
        if many > most and text_width(clean(pair), size) <= room:
            together = len(_set([pair], size, room))
            many, last = many - last - own + together, together
            joined[-1] = pair
        else:
            joined.append(each)
            last = own
    return joined


def _lines_in(height: float, size: float) -> int:
    """How many lines of type are no higher than the room, from the top of the first to the bottom
    of the last."""
    return int((height / POINT_MM / size - 1) / LEADING + 1e-9) + 1


def _letter(page: Page, letter: Letter, sheet: LetterSheet) -> None:
    frame = sheet.frame
    for manner in MANNERS:
        pages = footed(flow(_blocks(letter, sheet, *manner), frame.room), letter.style, frame)
        if len(pages) == 1:
            break

    def head(at: int) -> None:
        if not at:
            _head(page, letter, sheet)

    draw_pages(
        page,
        pages,
        frame,
        head=f"{letter.address[0]} · {letter.day}",
        invented=letter.shop.invented,
        above=head,
    )


def _head(page: Page, letter: Letter, sheet: LetterSheet) -> None:
    """The sender above the window, the address in it, the day beside it, and where to fold."""
    name, *under = letter.sender or ("",)
    width = head_width(letter.style, sheet.inner_width)
    top = place(
        page,
        [
            largest_fitting(
                name,
                ((17.0, 1), (13.0, 2)),
                width,
                bold=True,
                style=TextStyle(colour=ACCENT, below=0.5),
            )
        ],
        LEFT,
        EDGE,
    )
    if under:
        place(
            page,
            [capped([Run(" · ".join(under))], TYPE, width, int((sheet.seen[1] - top) / LINE))],
            LEFT,
            top,
        )
    if letter.style.logo is not None:
        logo_block(letter.style.logo).draw(page, LEFT + width + BESIDE, EDGE)
    address = address_lines(letter, sheet)
    point = address.size * POINT_MM
    height = ((len(address.lines) - 1) * LEADING + 1) * point
    page.lines(
        LEFT,
        min(sheet.address_top, sheet.address[3] - height) - ABOVE * point,
        address.lines,
        address.size,
    )
    page.right(sheet.size[0] - RIGHT, sheet.seen[3] - LINE - 2, letter.day, TYPE)
    for fold in sheet.folds:
        page.rule(FOLD_MARK[0], fold, FOLD_MARK[1], colour=LINE_GREY, line=0.5)


def _blocks(
    letter: Letter, sheet: LetterSheet, size: float, space_between: float, sign_room: float
) -> list[Block]:
    width = sheet.inner_width
    gap = space_between * line_height(size)
    return [
        *_unsafe(letter.unsafe, width),
        replace(
            capped(
                [Run(letter.subject, bold=True)],
                size + 1,
                width,
                SUBJECT_LINES,
                style=TextStyle(colour=ACCENT, below=gap, role="H1"),
            ),
            with_next=True,
        ),
        *_paragraphs(letter.paragraphs, size, width, gap),
        *_closing(letter.closing, size, width, sign_room),
        _at_home(letter, width),
    ]


def _paragraphs(
    paragraphs: Sequence[Paragraph], size: float, width: float, gap: float
) -> list[Block]:
    """Lines that may go on over pages; the points of a list stand close together."""
    blocks: list[Block] = []
    for listed, same in groupby(paragraphs, key=lambda each: each.listed):
        words = [each.words for each in same]
        if listed:
            items = [
                _item(each, size, width, gap if at == len(words) else gap / 3)
                for at, each in enumerate(words, start=1)
            ]
            blocks += grouped(
                Part(role="L", numbering="Disc"), [line for item in items for line in item]
            )
        else:
            blocks += [
                line
                for each in words
                for line in flowing([Run(each)], size, width, style=TextStyle(below=gap))
            ]
    return blocks


def _item(words: str, size: float, width: float, below: float) -> list[Block]:
    """A point of a list: its lines behind a dash."""
    indent = 0.45 * size
    body = Part(role="LBody")
    lines = flowing([Run(words)], size, width - indent, style=TextStyle(below=below))
    return grouped(
        "LI",
        [_indented(line, "" if at else "–", size, indent, body) for at, line in enumerate(lines)],
    )


def _indented(line: Block, mark: str, size: float, indent: float, body: Part) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("Lbl"):
            page.text(x, top, mark, size)
        with page.tag(body):
            place(page, [line], x + indent, top)

    return Block(height=line.height, draw=draw)


def _closing(lines: Sequence[str], size: float, width: float, sign_room: float) -> list[Block]:
    """The closing in one piece, with room to sign after its first line; a very long one goes on
    over pages."""
    first, *rest = (capped([Run(line)], size, width, CLOSING_LINES) for line in lines)
    blocks = [first, *([space(sign_room)] if rest else []), *rest, space(4)]
    return [
        replace(block, with_next=at < CLOSING_BLOCKS) for at, block in enumerate(blocks[:-1])
    ] + blocks[-1:]


def _unsafe(warnings: Sequence[tuple[str, str]], width: float) -> list[Block]:
    look = Look(fill=CAUTION, stroke=RUST, width=2.4)
    return [
        framed(
            [
                capped(
                    [Run(heading, bold=True)],
                    14,
                    width - 6,
                    4,
                    style=TextStyle(colour=RUST, below=0.6, role="H1"),
                ),
                capped([Run(what_to_do)], TYPE, width - 6, WARNING_LINES),
            ],
            width,
            look=look,
        )
        for heading, what_to_do in warnings
    ]


def _at_home(letter: Letter, width: float) -> Block:
    """When to stop, and what is never done at home."""

    def heading(inside: float) -> list[Block]:
        phone = [Run(letter.shop.phone, bold=True)] if letter.shop.phone else []
        stop = [Run(letter.home.stop_heading, bold=True)]
        return [
            paragraph(stop, TYPE + 1, inside, style=TextStyle(role="H2")),
            *([capped(phone, TYPE + 1, inside, 2, style=TextStyle(below=0.6))] if phone else []),
        ]

    return home_boxes(letter.home, heading, type_size=TYPE, width=width, gutter=GUTTER)
