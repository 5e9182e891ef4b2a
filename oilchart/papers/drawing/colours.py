"""The few colours of all papers, and how each role of a drawing looks in every ink."""

from __future__ import annotations

from dataclasses import dataclass

# Contrast on white: ink 17.2, blue 8.4, rust 5.5, ochre 4.9, line grey 5.4; ink on caution 15.6.
INK = "#1b1b1b"
BLUE = "#0b4f8a"
RUST = "#b34700"
OCHRE = "#8a6d00"
LINE_GREY = "#6a6a6a"
CAUTION = "#fff4c2"
WHITE = "#ffffff"

COLOURS = {
    "ink": INK,
    "blue": BLUE,
    "rust": RUST,
    "ochre": OCHRE,
    "line-grey": LINE_GREY,
    "caution": CAUTION,
    "white": WHITE,
}

# What a shop may choose for headings and frames: contrast on white at least 7, so that they are
# read like ink.
ACCENTS = {"blue": BLUE, "green": "#1d5c36", "plum": "#6d2a66", "brown": "#6a4320", "black": INK}
# how much of it is in the light ones of a page; ink on them keeps a contrast of 8 and more
TINTS = {"pale": 0.1, "full": 0.28}
ACCENT = "accent"  # stands for the one that the shop chose: a page is told which it is


def tint(colour: str, share: float) -> str:
    """A share of a colour on white."""
    parts = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return f"#{''.join(f'{round(255 - share * (255 - part)):02x}' for part in parts)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a shape is drawn; None: not filled, or no outline.

    Args:
        width: of the outline, in the drawing's units.
        dash: lengths of stroke and gap; empty for an unbroken line.
    """

    fill: str | None = None
    stroke: str | None = None
    width: float = 0.0
    dash: tuple[float, ...] = ()


ROLES = {
    "body": Look(fill="#f4f4f0", stroke=INK, width=3.2),
    "part": Look(fill=WHITE, stroke=INK, width=2.2),
    "shade": Look(fill="#dcdcd6", stroke=INK, width=2.2),
    "dark": Look(fill="#3a3a3a", stroke=INK, width=2.2),
    "detail": Look(stroke=INK, width=1.8),
    "fine": Look(stroke=LINE_GREY, width=1.4),
    "hidden": Look(stroke=LINE_GREY, width=1.6, dash=(8.0, 5.0)),
    "wood": Look(fill="#ece4d6", stroke=INK, width=2.6),
    "tint": Look(fill="#e9e9e4"),
}

# The casing keeps a leader apart from dark art, on which blue alone has a contrast of only 2.
CASING = Look(stroke=WHITE, width=7.0)
LEADER = Look(stroke=BLUE, width=2.6)
DETAIL = Look(stroke=BLUE, width=2.6, dash=(9.0, 6.0))  # round a part that is shown enlarged
SPOT = Look(fill=BLUE, stroke=WHITE, width=2.4)
NUMBER_DISC = Look(fill=WHITE, stroke=INK, width=2.8)

SPOT_RADIUS = 7.0
NUMBER_SIZE = 29.0  # of the type in a disc, in the drawing's units
