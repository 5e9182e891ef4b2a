"""The pieces of a care card in a PDF: its head, its lines to do, its warnings, the next service
with the code, the small print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from oilchart.core.records.paper_style import Logo
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.card.content import CardGroup, CardLine, CareCard
from oilchart.papers.drawing.colours import CAUTION, INK, LINE_GREY, RUST, WHITE, Look
from oilchart.papers.pdf.blocks import CONTINUED, Block, TextStyle, framed, grouped, place
from oilchart.papers.pdf.card_sizes import Setting
from oilchart.papers.pdf.fit_text import short
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.letterhead import logo_block, logo_size
from oilchart.papers.pdf.page import POINT_MM, Page, words_width
from oilchart.papers.pdf.scan_code import code_block
from oilchart.papers.pdf.structure_parts import Part
from oilchart.papers.wording import INVENTED, capital

TITLE = 1.4  # times the type
LOUD = 1.2  # what must be seen first
FRAME_PAD = 2.4  # millimetres in clear print, as are all that follow
CHIP = (7.4, 5.0)  # a number before its line
INDENT = 9.0  # of a line, for its number
BAR = 1.2  # beside what must not be done
BAR_INDENT = 3.6
TICK_SIDE = 6.8  # a box for a pen
LOGO = (44.0, 15.0)  # at most
NAME_LINE = 9.0  # high enough to write on


def head(card: CareCard, settings: Setting) -> list[Block]:
    """Whose card it is, the shop's logo, and what is done before anything else."""
    form, pad = settings.form, FRAME_PAD * settings.form.scale
    beside = form.inner
    if card.logo is not None:
        beside -= logo_size(card.logo, _logo_room(settings))[0] + 3
    title = [
        settings.words(
            [Run(card.title, bold=True)],
            beside,
            larger=TITLE,
            style=TextStyle(colour=settings.colour, role="H1"),
        )
    ]
    title += [_name_line(settings, beside)] if not card.owner else []
    title += [settings.words([Run(card.machine)], beside, style=TextStyle(below=1.6))]
    before = settings.words([Run(card.before, bold=True)], form.inner - 2 * pad)
    blocks = [_with_logo(title, card.logo, settings)]
    return (
        [
            *blocks,
            framed(
                [before],
                form.inner,
                look=Look(fill=CAUTION, stroke=RUST, width=1.2),
                pad=pad,
                below=2 * form.scale,
            ),
        ]
        if card.before
        else blocks
    )


def runner(card: CareCard, count: str, settings: Setting) -> Block:
    """The line above every page after the first: whose card it is, and which page."""
    form = settings.form
    beside = form.inner - words_width(count, form.type_size) - 4
    said = [" · ".join(card.running[:parts]) for parts in range(len(card.running), 0, -1)]
    whose = next(
        (words for words in said if words_width(words, form.type_size, bold=True) <= beside),
        said[-1],
    )

    def draw(page: Page, x: float, top: float) -> None:
        with page.artifact():
            page.text(
                x,
                top,
                short(whose, form.type_size, beside, bold=True),
                form.type_size,
                bold=True,
                colour=settings.colour,
            )
            page.right(x + form.inner, top, count, form.type_size, colour=settings.colour)
            page.rule(x, top + form.line + 0.4 * form.scale, form.inner, colour=settings.colour)

    return Block(height=form.line + 2.2 * form.scale, draw=draw)


def group(what: CardGroup, settings: Setting) -> list[Block]:
    """A rhythm's heading and its lines, which go on under the same heading on another page."""
    note = [Run(f"– {what.note}")] if what.note else []
    heading = settings.words(
        [Run(what.heading, bold=True), *note],
        style=TextStyle(below=0.9, colour=settings.colour, with_next=True, role="H2"),
    )
    again = settings.words(
        [Run(what.heading, bold=True), CONTINUED],
        style=TextStyle(below=0.9, colour=settings.colour),
    )
    lines = [_line(line, settings, again if at else None) for at, line in enumerate(what.lines)]
    return [heading, *grouped(Part(role="L", numbering="Decimal"), lines)]


def _line(line: CardLine, settings: Setting, again: Block | None) -> Block:
    """A line with its number before it, or a dash where no drawing shows the place; work done once
    has a box behind it."""
    form, scale = settings.form, settings.form.scale
    runs = [Run(f"{capital(line.place)}:", bold=True), Run(line.task)]
    if line.caution is not None:
        runs.append(Run(f"– {line.caution}"))
    beside = (TICK_SIDE + 3) * scale if line.once else 0.0
    words = settings.words(runs, form.inner - beside, style=TextStyle(indent=INDENT, below=0.8))

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("LI"):
            with page.tag("Lbl"):
                if line.number is None:
                    page.text(x + 2.6 * scale, top, "–", form.type_size)
                else:
                    _chip(page, x, top + (form.line - CHIP[1] * scale) / 2, line.number, settings)
            with page.tag("LBody"):
                words.draw(page, x, top)
                if line.once:
                    page.tick(
                        x + form.inner - TICK_SIDE * scale, top, TICK_SIDE * scale, colour=INK
                    )

    height = max(words.height, TICK_SIDE * scale + 1.5) if line.once else words.height
    return Block(height=height, draw=draw, again=again)


def _chip(page: Page, x: float, top: float, number: int, settings: Setting) -> None:
    """A number as it stands on the picture, in a frame as high as its line."""
    size, (width, height) = settings.form.type_size, (side * settings.form.scale for side in CHIP)
    page.box(
        x,
        top,
        width,
        height,
        look=Look(fill=WHITE, stroke=settings.colour, width=1.1 * settings.form.scale),
        radius=height / 2,
    )
    across = words_width(str(number), size, bold=True)
    page.text(
        x + (width - across) / 2,
        top + height / 2 - 0.585 * size * POINT_MM,
        str(number),
        size,
        bold=True,
    )


def rules(card: CareCard, settings: Setting) -> list[Block]:
    """What holds for all oiling, and the needle."""
    return [
        settings.words([Run(rule)], style=TextStyle(below=1.0))
        for rule in (*card.rules, card.needle)
    ]


def do_not(card: CareCard, settings: Setting) -> list[Block]:
    """What must never be done, a bar beside it."""
    runs = [[Run(f"{capital(places)}:", bold=True), Run(never)] for places, never in card.do_not]
    items = [
        _item(settings.words(each, style=TextStyle(indent=BAR_INDENT, below=0.8))) for each in runs
    ]
    return _barred(card.do_not_heading, grouped("L", items), RUST, settings) if runs else []


def leave_to_us(card: CareCard, settings: Setting) -> list[Block]:
    """What is the shop's."""
    words = settings.words(
        [Run(f"{capital('; '.join(card.home.never_at_home))}.")],
        style=TextStyle(indent=BAR_INDENT, below=0.8),
    )
    return _barred(card.home.never_heading, [words], settings.colour, settings)


def _item(words: Block) -> Block:
    """An item of a list with nothing before it."""

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("LI"), page.tag("LBody"):
            words.draw(page, x, top)

    return replace(words, draw=draw)


def _barred(heading: str, blocks: Sequence[Block], colour: str, settings: Setting) -> list[Block]:
    """A heading and what is under it with a bar beside them, which may go on on another page."""
    named = settings.words(
        [Run(heading, bold=True)],
        style=TextStyle(indent=BAR_INDENT, below=0.6, colour=colour, with_next=True, role="H2"),
    )
    again = settings.words(
        [Run(heading, bold=True), CONTINUED],
        style=TextStyle(indent=BAR_INDENT, colour=colour),
    )
    begun = _beside_bar(again, colour, settings)
    return [
        _beside_bar(block, colour, settings, begun if at > 1 else None)
        for at, block in enumerate([named, *blocks])
    ]


def _beside_bar(block: Block, colour: str, settings: Setting, again: Block | None = None) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        page.box(x, top, BAR * settings.form.scale, block.height, look=Look(fill=colour))
        block.draw(page, x, top)

    return replace(block, draw=draw, again=again)


def stop(card: CareCard, settings: Setting) -> Block:
    """When to stop and ring; the number is not broken between lines."""
    form, pad = settings.form, FRAME_PAD * settings.form.scale
    width = form.inner - 2 * pad
    parts = [part for part in (card.home.stop_heading, card.shop.phone) if part]
    on_one_line = words_width(": ".join(parts), form.type_size * LOUD, bold=True) <= width
    said = [": ".join(parts)] if on_one_line else parts
    inner = [
        settings.words(
            [Run(words, bold=True)], width, larger=LOUD, style=TextStyle(role="P" if at else "H2")
        )
        for at, words in enumerate(said)
    ]
    inner.append(settings.words([Run(card.home.stop_when)], width))
    return framed(
        inner, form.inner, look=Look(fill=CAUTION, stroke=RUST, width=2.2), pad=pad, below=0
    )


def next_service_box(card: CareCard, settings: Setting) -> Block:
    """When the machine is wanted, who rings whom, and the shop; the code beside it."""
    form, pad, shop = settings.form, FRAME_PAD * settings.form.scale, card.shop
    code = code_block(card.scan, settings) if card.scan is not None else None
    width = form.inner - 2 * pad - (code[1] + 2 * form.scale if code else 0)
    inner = [
        settings.words(
            [Run("Next service", bold=True)],
            width,
            style=TextStyle(colour=settings.colour, role="H2"),
        ),
        settings.words([Run(capital(card.next_service), bold=True)], width, larger=LOUD),
        *([settings.words([Run(card.service_hours)], width)] if card.service_hours else []),
        settings.words([Run(card.next_service_note)], width, style=TextStyle(below=1.4)),
        *shop_lines(shop, settings, width),
    ]
    height = max(sum(block.height for block in inner), code[0].height if code else 0)

    def draw(page: Page, x: float, top: float) -> None:
        place(page, inner, x, top)
        if code:
            code[0].draw(
                page, x + form.inner - 2 * pad - code[1], top + (height - code[0].height) / 2
            )

    return framed(
        [Block(height=height, draw=draw)],
        form.inner,
        look=Look(stroke=settings.colour, width=1.6),
        pad=pad,
        below=0,
    )


def shop_lines(
    shop: ShopDetails, settings: Setting, width: float, *, larger: float = 1.0
) -> list[Block]:
    """The shop's name and address, and how to ring it, as far as they are known.

    Args:
        width: in millimetres.
        larger: a factor on the size of the last line.
    """
    where = [Run(", ".join([shop.name, *shop.address]))]
    ring = [Run(f"Ring us: {shop.phone}", bold=True)]
    return [
        *([settings.words(where, width)] if shop.name else []),
        *([settings.words(ring, width, larger=larger)] if shop.phone else []),
    ]


def small_print(card: CareCard, settings: Setting) -> list[Block]:
    """How the times came about, what stands above this card, and the shop's own line; as large as
    everything else."""
    words = " ".join(
        [*card.how, card.written, card.defers, *([INVENTED] if card.shop.invented else [])]
    )
    return [
        *([settings.words([Run(card.footer)], style=TextStyle(below=0.8))] if card.footer else []),
        settings.words([Run(words)]),
    ]


def _name_line(settings: Setting, width: float) -> Block:
    """A line on which the owner's name is written by hand."""
    form = settings.form
    height = NAME_LINE * form.scale
    label = "For"

    def draw(page: Page, x: float, top: float) -> None:
        start = words_width(label, form.type_size) + 2
        with page.tag("P"):
            page.text(x, top + height - form.line, label, form.type_size)
            page.blank(x + start, top + height - 0.8, width - start, colour=LINE_GREY, line=0.8)

    return Block(height=height + form.scale, draw=draw)


def _logo_room(settings: Setting) -> tuple[float, float]:
    """The width and height a logo has at most, in millimetres."""
    return LOGO[0] * settings.form.scale, LOGO[1] * settings.form.scale


def _with_logo(title: Sequence[Block], logo: Logo | None, settings: Setting) -> Block:
    """The card's title, with the shop's logo to the right of it."""
    height, form = sum(block.height for block in title), settings.form
    drawn, width = None, 0.0
    if logo is not None:
        room = _logo_room(settings)
        drawn, width = logo_block(logo, room), logo_size(logo, room)[0]
        height = max(height, drawn.height + 2 * form.scale)

    def draw(page: Page, x: float, top: float) -> None:
        place(page, title, x, top)
        if drawn is not None:
            drawn.draw(page, x + form.inner - width, top)

    return Block(height=height, draw=draw)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap(Block):
    """The room between two pieces: it may grow, and never begins or ends a page."""


def gap(settings: Setting) -> Gap:
    """The usual room between two pieces."""
    return Gap(height=2.0 * settings.form.scale, draw=lambda page, x, top: None)
