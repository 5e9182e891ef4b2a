"""Knows the do-not-plug-in sheet as a PDF of A5 size, in type that is read across a room."""

from __future__ import annotations

from oilchart.papers.ink.lettering import Run
from oilchart.papers.ink.page import Block, Page, framed, paragraph, place, space
from oilchart.papers.looks import BLUE, CAUTION, RUST
from oilchart.papers.unsafe import UnsafeSheet
from oilchart.papers.wording import INVENTED

A5 = (148.0, 210.0)
EDGE = 9.0
WIDE = A5[0] - 2 * EDGE
TYPE = 13.0


def unsafe_pdf(sheet: UnsafeSheet) -> bytes:
    """Write the sheet."""
    page = Page(
        A5, title=f"{sheet.heading}: {sheet.machine}", author=sheet.shop.name, subject="Do-not-plug-in sheet", language=sheet.language
    )
    place(page, _blocks(sheet), EDGE, EDGE)
    return page.finish()


def unsafe_words(sheet: UnsafeSheet) -> list[str]:
    """All words of the sheet that come from the shop and the owner."""
    return [sheet.machine, sheet.owner, sheet.why, sheet.shop.name, sheet.shop.phone, *sheet.shop.address]


def _blocks(sheet: UnsafeSheet) -> list[Block]:
    inner = WIDE - 8
    reason = [
        paragraph([Run(sheet.heading, bold=True)], 40, inner, colour=RUST, below=1),
        paragraph([Run(sheet.why, bold=True)], 18, inner, below=1),
        paragraph([Run(sheet.since)], TYPE, inner),
    ]
    blocks = [framed(reason, WIDE, fill=CAUTION, stroke=RUST, line=3, pad=4, below=4)]
    blocks.append(paragraph([Run(sheet.machine, bold=True)], 15, WIDE, colour=BLUE, below=0.5))
    if sheet.owner:
        blocks.append(paragraph([Run(sheet.owner)], TYPE, WIDE, below=0.5))
    blocks.append(space(2))
    blocks += [paragraph([Run(f"• {rule}")], TYPE, WIDE, below=1.2) for rule in sheet.rules]
    blocks.append(paragraph([Run(sheet.until)], TYPE, WIDE, below=3))
    shop = [paragraph([Run(", ".join([sheet.shop.name, *sheet.shop.address]))], TYPE, inner)] if sheet.shop.name else []
    if sheet.shop.phone:
        shop.append(paragraph([Run(f"Ring us: {sheet.shop.phone}", bold=True)], 16, inner))
    if shop:
        blocks.append(framed(shop, WIDE, fill=None, stroke=BLUE, line=1.6, below=3))
    blocks.append(_check(sheet))
    if sheet.shop.invented:
        blocks += [space(2), paragraph([Run(INVENTED)], 9, WIDE)]
    return blocks


def _check(sheet: UnsafeSheet) -> Block:
    row = 10.0

    def draw(page: Page, x: float, top: float) -> None:
        for at, label in enumerate(sheet.check_lines):
            page.text(x, top + at * row + 3, label, TYPE)
            page.rule(x + 32, top + at * row + 8, WIDE - 42)

    return framed([Block(height=len(sheet.check_lines) * row, draw=draw)], WIDE, fill=None, stroke=BLUE, pad=4, below=0)
