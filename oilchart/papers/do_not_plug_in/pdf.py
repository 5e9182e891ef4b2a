"""The sheet of an unsafe machine as a PDF of any size of card, its warnings in type that is read
across a room."""

from __future__ import annotations

from oilchart.papers.card.blocks import FRAME_PAD, gap, shop_lines
from oilchart.papers.danger_words import Warned
from oilchart.papers.do_not_plug_in.content import UnsafeSheet
from oilchart.papers.drawing.colours import CAUTION, RUST, Look
from oilchart.papers.pdf.blocks import Block, TextStyle, flow, framed, grouped, list_item, repeated
from oilchart.papers.pdf.card_sizes import Setting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.leaflets import Leaflet, side_of_blocks
from oilchart.papers.pdf.page import Page, words_width
from oilchart.papers.pdf.structure_parts import Part
from oilchart.papers.wording import INVENTED

WARNING = 3.3  # times the type, or what fits on one line
REASON = 1.5
MACHINE = 1.2
CHECK_ROW = 10.0  # millimetres of clear print
BULLET = 4.0  # likewise, before a rule


def unsafe_leaflet(sheet: UnsafeSheet, settings: Setting) -> Leaflet:
    """Lay the sheet out on a size; on a small one it goes on on the back, which says what it
    belongs to."""
    form = settings.form
    head = repeated(
        settings.words(
            [Run(f"{sheet.heading}: {sheet.machine}", bold=True)],
            style=TextStyle(colour=RUST, below=2),
        )
    )
    pages = flow(
        _blocks(sheet, settings),
        lambda at: form.size[1] - 2 * form.edge - (head.height if at else 0),
    )
    return Leaflet(
        title=f"{sheet.heading}: {sheet.machine}",
        subject=sheet.name,
        author=sheet.shop.name,
        sides=tuple(
            side_of_blocks([head, *blocks] if at else blocks, form.edge, at)
            for at, blocks in enumerate(pages)
        ),
    )


def unsafe_words(sheet: UnsafeSheet) -> list[str]:
    """All words of the sheet that come from the shop and the owner."""
    return [
        sheet.machine,
        sheet.owner,
        *(why for warned in sheet.warnings for why in warned.reasons),
        sheet.shop.name,
        sheet.shop.phone,
        *sheet.shop.address,
    ]


def _blocks(sheet: UnsafeSheet, settings: Setting) -> list[Block]:
    form, shop = settings.form, sheet.shop
    pad = 1.4 * FRAME_PAD * form.scale
    inner = form.inner - 2 * pad
    reasons = [
        block for warned in sheet.warnings for block in _warning(warned, sheet, settings, inner)
    ]
    blocks = [
        framed(
            reasons,
            form.inner,
            look=Look(fill=CAUTION, stroke=RUST, width=3),
            pad=pad,
            below=4 * form.scale,
        )
    ]
    blocks.append(
        settings.words(
            [Run(sheet.machine, bold=True)],
            larger=MACHINE,
            style=TextStyle(colour=settings.colour, below=0.5, role="H2"),
        )
    )
    blocks += (
        [settings.words([Run(sheet.owner)], style=TextStyle(below=0.5))] if sheet.owner else []
    )
    blocks.append(gap(settings))
    blocks += grouped(
        Part(role="L", numbering="Disc"), [_bulleted(rule, settings) for rule in sheet.rules]
    )
    blocks.append(settings.words([Run(sheet.until)], style=TextStyle(below=3)))
    if named := shop_lines(shop, settings, inner, larger=MACHINE):
        blocks.append(
            framed(
                named,
                form.inner,
                look=Look(stroke=settings.colour, width=1.6),
                pad=pad,
                below=3 * form.scale,
            )
        )
    blocks.append(_check(sheet, settings))
    return [*blocks, gap(settings), settings.words([Run(INVENTED)])] if shop.invented else blocks


def _warning(warned: Warned, sheet: UnsafeSheet, settings: Setting, inner: float) -> list[Block]:
    """What must not be done, why, and since when; two warnings are set alike."""
    size = settings.form.type_size
    widest = max(words_width(each.heading, size, bold=True) for each in sheet.warnings)
    return [
        settings.words(
            [Run(warned.heading, bold=True)],
            inner,
            larger=min(WARNING, inner / widest * 0.995),
            style=TextStyle(colour=RUST, below=1, role="H1"),
        ),
        *(
            settings.words([Run(why, bold=True)], inner, larger=REASON, style=TextStyle(below=1))
            for why in warned.reasons
        ),
    ]


def _bulleted(rule: str, settings: Setting) -> Block:
    words = settings.words([Run(rule)], style=TextStyle(below=1.2, indent=BULLET))
    return list_item("•", words, settings.form.type_size)


def _check(sheet: UnsafeSheet, settings: Setting) -> Block:
    """Lines that whoever passes the machine fills in."""
    form, pad = settings.form, 1.4 * FRAME_PAD * settings.form.scale
    row = CHECK_ROW * form.scale
    beside = max(words_width(label, form.type_size) for label in sheet.check_lines) + 4

    def draw(page: Page, x: float, top: float) -> None:
        for at, label in enumerate(sheet.check_lines):
            with page.tag("P"):
                page.text(x, top + (at + 0.8) * row - form.line, label, form.type_size)
                page.blank(x + beside, top + (at + 0.8) * row, form.inner - 2 * pad - beside)

    return framed(
        [Block(height=len(sheet.check_lines) * row, draw=draw)],
        form.inner,
        look=Look(stroke=settings.colour, width=1.2),
        pad=pad,
        below=0,
    )
