"""Knows the care card as a PDF: A5, both sides, 12 point type throughout."""

from __future__ import annotations

from collections.abc import Sequence

from oilchart.papers.card import CardGroup, CareCard
from oilchart.papers.ink.lettering import LEADING, Run
from oilchart.papers.ink.page import POINT_MM, Block, Page, flow, framed, paragraph, place, space
from oilchart.papers.looks import BLUE, CAUTION, RUST
from oilchart.papers.picture import Picture
from oilchart.papers.wording import INVENTED

A5 = (148.0, 210.0)
EDGE = 9.0
WIDE = A5[0] - 2 * EDGE
TYPE = 12.0
LINE = LEADING * TYPE * POINT_MM
LEAST_PICTURE = 62.0  # height in millimetres; smaller, the numbers on it cannot be read
NUMBER_ROOM = 8.5  # before a line, for the number's disc


def card_pdf(card: CareCard) -> bytes:
    """Write the card: what is in words is measured first, the picture takes what is left of the first page."""
    page = Page(A5, title=f"{card.title}, {card.machine}", author=card.shop.name, subject="Care card", language=card.language)
    head = _head(card)
    foot = [_next_service(card)]
    body = [block for group in card.groups for block in _group(group)]
    foot_top = A5[1] - EDGE - _height(foot)
    room = foot_top - EDGE - _height(head)
    first, others = card.pictures[:1], card.pictures[1:]
    high = _picture_height(first, room, _height(body))
    picture = [_picture(drawn, high) for drawn in first]
    picture += [paragraph([Run(card.more_drawings)], TYPE, WIDE, below=0.8)] if card.more_drawings else []
    rest = [
        *(block for drawn in others for block in _close_up(drawn)),
        *_rules(card),
        _stop(card),
        _never(card),
        _do_not(card),
        *_small_print(card),
    ]
    pages = flow([*picture, *body, *rest], lambda at: room if at == 0 else A5[1] - 2 * EDGE - LINE)
    for at, blocks in enumerate(pages):
        if at == 0:
            top = place(page, head, EDGE, EDGE)
            place(page, foot, EDGE, foot_top)
        else:
            page.turn()
            page.text(EDGE, EDGE - 2, card.machine, TYPE, colour=BLUE)
            page.right(A5[0] - EDGE, EDGE - 2, f"{at + 1} of {len(pages)}", TYPE, colour=BLUE)
            top = EDGE + LINE
        place(page, blocks, EDGE, top)
    return page.finish()


def card_words(card: CareCard) -> list[str]:
    """All words of the card that come from the shop and the owner."""
    return [card.title, card.machine, *card.how, card.shop.name, card.shop.phone, *card.shop.address]


def _picture_height(first: Sequence[Picture], room: float, words: float) -> float:
    """Height for the first picture: all that the words leave, at least what can be read, at most the width of the card."""
    if not first:
        return 0.0
    most = WIDE * first[0].height / first[0].width
    left = room - words
    return most if left > most else max(left, min(most, LEAST_PICTURE * 1.25)) if left < LEAST_PICTURE else left


def _height(blocks: Sequence[Block]) -> float:
    return sum(block.height for block in blocks)


def _head(card: CareCard) -> list[Block]:
    return [
        paragraph([Run(card.title, bold=True)], 17, WIDE, colour=BLUE),
        paragraph([Run(card.machine)], TYPE, WIDE, below=1.5),
        framed([paragraph([Run(card.before, bold=True)], TYPE, WIDE - 5)], WIDE, fill=CAUTION, stroke=RUST, pad=2.5, below=2),
    ]


def _picture(picture: Picture, high: float) -> Block:
    wide = high * picture.width / picture.height
    return Block(height=high + 1, draw=lambda page, x, top: page.picture(x + (WIDE - wide) / 2, top, picture, wide))


def _close_up(picture: Picture) -> list[Block]:
    """A further drawing under its name."""
    high = min(WIDE * picture.height / picture.width, LEAST_PICTURE * 1.25)
    return [paragraph([Run(picture.view.name, bold=True)], TYPE, WIDE, below=0.8, colour=BLUE, with_next=True), _picture(picture, high)]


def _group(group: CardGroup) -> list[Block]:
    note = [Run(f"– {group.note}")] if group.note else []
    heading = paragraph([Run(group.heading, bold=True), *note], TYPE, WIDE, below=0.8, colour=BLUE, with_next=True)
    again = paragraph([Run(group.heading, bold=True), Run("– continued")], TYPE, WIDE, below=0.8, colour=BLUE)
    lines: list[Block] = []
    for line in group.lines:
        runs = [Run(f"{_capital(line.place)}:", bold=True), Run(line.task)]
        if line.caution is not None:
            runs.append(Run(f"– {line.caution}"))
        words = paragraph(runs, TYPE, WIDE, indent=NUMBER_ROOM, below=0.9)
        lines.append(_numbered(words, line.number, again if lines else None))
    return [heading, *lines, space(1.6)]


def _numbered(words: Block, number: int | None, again: Block | None) -> Block:
    """A line with its number's disc before it, or a dash where the drawing does not show the place."""

    def draw(page: Page, x: float, top: float) -> None:
        if number is None:
            page.text(x + 2.2, top, "–", TYPE)
        else:
            page.number(x + 3.3, top + 0.6 * TYPE * POINT_MM, number, TYPE)
        words.draw(page, x, top)

    return Block(height=words.height, draw=draw, again=again)


def _next_service(card: CareCard) -> Block:
    shop = card.shop
    inner = [
        paragraph([Run("Next service")], TYPE, WIDE - 6, colour=BLUE),
        paragraph([Run(card.next_service, bold=True), Run(f"– {card.next_service_note}")], 15, WIDE - 6, below=0.6),
    ]
    if shop.name:
        inner.append(paragraph([Run(", ".join([shop.name, *shop.address]))], TYPE, WIDE - 6))
    if shop.phone:
        inner.append(paragraph([Run(f"Ring us: {shop.phone}", bold=True)], TYPE, WIDE - 6))
    return framed(inner, WIDE, fill=None, stroke=BLUE, line=1.6, below=0)


def _rules(card: CareCard) -> list[Block]:
    return [paragraph([Run(rule)], TYPE, WIDE, below=1) for rule in card.rules] + [space(1.5)]


def _do_not(card: CareCard) -> Block:
    inner = [paragraph([Run("Never", bold=True)], TYPE, WIDE - 6, colour=RUST, below=0.6)]
    inner += [paragraph([Run(f"{_capital(place)}:", bold=True), Run(do_not)], TYPE, WIDE - 6, below=0.5) for place, do_not in card.do_not]
    return framed(inner, WIDE, fill=None, stroke=RUST, line=2.2)


def _stop(card: CareCard) -> Block:
    ring = f"{card.stop_heading}: {card.shop.phone}" if card.shop.phone else card.stop_heading
    inner = [
        paragraph([Run(ring, bold=True)], 14, WIDE - 6, below=0.6),
        paragraph([Run(f"if {', if '.join(card.stop_signs)}.")], TYPE, WIDE - 6),
    ]
    return framed(inner, WIDE, fill=CAUTION, stroke=RUST, line=2.2)


def _never(card: CareCard) -> Block:
    inner = [
        paragraph([Run(card.never_heading, bold=True)], TYPE, WIDE - 6, colour=BLUE, below=0.6),
        paragraph([Run(f"{_capital('; '.join(card.never_at_home))}.")], TYPE, WIDE - 6),
    ]
    return framed(inner, WIDE, fill=None, stroke=BLUE)


def _small_print(card: CareCard) -> list[Block]:
    words = [card.needle, *card.how, card.defers, *([INVENTED] if card.shop.invented else [])]
    return [paragraph([Run(line)], TYPE, WIDE, below=0.8) for line in words]


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
