"""A drawing with its numbered places as inline SVG.

The elements carry classes only, for a page whose policy allows no style attributes; `picture_css`
has the looks that belong to the classes. There are no ids, so that several drawings can stand in
one page.
"""

from __future__ import annotations

import base64
from xml.sax.saxutils import escape

from oilchart.core.point_lists.drawings import Photo, Shape, View
from oilchart.papers.drawing.colours import (
    CASING,
    DETAIL,
    LEADER,
    NUMBER_DISC,
    NUMBER_SIZE,
    ROLES,
    SPOT,
    SPOT_RADIUS,
    Look,
)
from oilchart.papers.drawing.picture import DISC, POST_GAP, Callout, Detail, Picture

CAP_HALF = 0.36  # of the type size: from the middle of a figure down to its base line
TOUCH = POST_GAP / 2  # radius round a number that answers a finger: as large as neighbours allow
TICK_PATH = "M -8 0 L -2 7 L 9 -8"


def picture_svg(picture: Picture) -> str:
    """Draw a picture as one `svg` element that scales to the room it is given.

    Each callout is a group of class "callout" with its number as `data-step`; beside what is seen
    it holds a halo round the place and a tick on the disc, which the page shows when it wants them.
    """
    lines = [
        f'<svg class="picture" role="img" viewBox="0 0 {_n(picture.width)} {_n(picture.height)}">',
        f"<title>{escape(picture.name)}</title>",
        f"<desc>{escape(picture.alt)}</desc>",
        *_art(picture),
        *(_detail(detail, picture) for detail in picture.details),
        *(_leader(callout) for callout in picture.callouts),
        *(_callout(callout) for callout in picture.callouts),
        "</svg>",
    ]
    return "\n".join(lines)


def _art(picture: Picture) -> list[str]:
    """What a picture shows of its drawing; of a part of it, cut at its frame."""
    view, frame, margin = picture.view, picture.frame, _n(picture.margin)
    shapes = [*_photo(view), *(_shape(shape) for shape in view.shapes)]
    if not picture.letter:
        return [f'<g transform="translate({margin} {margin})">', *shapes, "</g>"]
    box = (
        f'x="{margin}" y="{margin}" width="{_n(frame.width * picture.zoom)}" '
        f'height="{_n(frame.height * picture.zoom)}"'
    )
    seen = f"{_n(frame.x)} {_n(frame.y)} {_n(frame.width)} {_n(frame.height)}"
    return [f'<svg {box} viewBox="{seen}">', *shapes, "</svg>", f'<rect class="enlarged" {box}/>']


def _detail(detail: Detail, picture: Picture) -> str:
    """A frame with its letter round a part that is shown enlarged elsewhere."""
    left, top, width, height = detail.box(picture)
    x, y = detail.corner(picture)
    return (
        f'<g><rect class="enlarged" x="{_n(left)}" y="{_n(top)}" width="{_n(width)}" '
        f'height="{_n(height)}"/>'
        f'<circle class="disc" cx="{_n(x)}" cy="{_n(y)}" r="{_n(picture.disc)}"/>'
        f'<text class="number" x="{_n(x)}" '
        f'y="{_n(y + CAP_HALF * NUMBER_SIZE)}">{detail.letter}</text></g>'
    )


def drawing_svg(view: View) -> str:
    """Draw a drawing alone, without margin and numbers, as one `svg` element."""
    lines = [
        f'<svg class="picture" role="img" viewBox="0 0 {_n(view.width)} {_n(view.height)}">',
        f"<title>{escape(view.name)}</title>",
        f"<desc>{escape(view.alt)}</desc>",
        *_photo(view),
        *(_shape(shape) for shape in view.shapes),
        "</svg>",
    ]
    return "\n".join(lines)


def picture_css() -> str:
    """The rules for the classes of `picture_svg`."""
    looks = {
        **{f".picture .{role}": look for role, look in ROLES.items()},
        ".picture .casing": CASING,
        ".picture .leader": LEADER,
        ".picture .enlarged": DETAIL,
        ".picture .spot": SPOT,
        ".picture .disc": NUMBER_DISC,
        ".picture .touch": Look(),
    }
    rules = [f"{selector} {{ {_rule(look)} }}" for selector, look in looks.items()]
    return "\n".join(
        [
            *rules,
            ".picture .touch { pointer-events: all; }",
            f".picture .number {{ font-size: {_n(NUMBER_SIZE)}px; "
            "font-weight: 700; text-anchor: middle; }",
            ".picture .halo, .picture .tick { visibility: hidden; }",
            "",
        ]
    )


def _rule(look: Look) -> str:
    parts = [f"fill: {look.fill or 'none'}", f"stroke: {look.stroke or 'none'}"]
    if look.stroke:
        parts += [
            f"stroke-width: {_n(look.width)}",
            "stroke-linejoin: round",
            "stroke-linecap: round",
        ]
    if look.dash:
        parts.append(f"stroke-dasharray: {' '.join(_n(length) for length in look.dash)}")
    return "; ".join(parts)


def _photo(view: View) -> list[str]:
    """The photo a drawing is made of, inside the page."""
    if view.photo is None:
        return []
    return [
        f'<image href="{photo_address(view.photo)}" width="{_n(view.width)}" '
        f'height="{_n(view.height)}"/>'
    ]


def photo_address(photo: Photo) -> str:
    """A photo as an address that holds all of it, so that a page needs no file beside it."""
    return f"data:image/jpeg;base64,{base64.b64encode(photo.jpeg()).decode()}"


def _shape(shape: Shape) -> str:
    role = escape(shape.role, {'"': "&quot;"})
    if shape.kind == "circle":
        x, y, radius = shape.numbers
        return f'<circle class="{role}" cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>'
    if shape.kind == "box":
        x, y, width, height, radius = shape.numbers
        return (
            f'<rect class="{role}" x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" '
            f'height="{_n(height)}" rx="{_n(radius)}"/>'
        )
    steps = " ".join(
        " ".join((letter, *(_n(number) for number in numbers))) for letter, numbers in shape.path
    )
    return f'<path class="{role}" d="{steps}"/>'


def _leader(callout: Callout) -> str:
    """The casings and leaders of all callouts lie under all discs and places, so that none is
    crossed out by another's."""
    (x, y), (disc_x, disc_y) = callout.place, callout.disc
    line = f'x1="{_n(x)}" y1="{_n(y)}" x2="{_n(disc_x)}" y2="{_n(disc_y)}"'
    return (
        f'<g class="lead" data-step="{callout.number}"><line class="casing" {line}/><line '
        f'class="leader" {line}/></g>'
    )


def _callout(callout: Callout) -> str:
    (x, y), (disc_x, disc_y) = callout.place, callout.disc
    place = f'cx="{_n(x)}" cy="{_n(y)}"'
    disc = f'cx="{_n(disc_x)}" cy="{_n(disc_y)}"'
    return (
        f'<g class="callout" data-step="{callout.number}">'
        f'<circle class="halo" {place} r="{_n(SPOT_RADIUS * 3)}"/><circle class="spot" '
        f'{place} r="{_n(SPOT_RADIUS)}"/>'
        f'<circle class="touch" {disc} r="{_n(TOUCH)}"/><circle class="disc" {disc} '
        f'r="{_n(DISC)}"/>'
        f'<text class="number" x="{_n(disc_x)}" '
        f'y="{_n(disc_y + CAP_HALF * NUMBER_SIZE)}">{callout.number}</text>'
        f'<path class="tick" d="{TICK_PATH}" transform="translate({_n(disc_x + DISC * 0.8)} '
        f'{_n(disc_y - DISC * 0.8)})"/>'
        "</g>"
    )


def _n(number: float) -> str:
    """A number to a hundredth, without needless zeros."""
    return f"{number:.2f}".rstrip("0").rstrip(".")
