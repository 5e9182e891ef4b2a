"""When the owner stops and rings, and what is never done at home, as two boxes side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from oilchart.papers.drawing.colours import ACCENT, CAUTION, RUST, Look
from oilchart.papers.home_rules import HomeRules
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    framed,
    padded_alike,
    paragraph,
    side_by_side,
)
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.wording import capital

PAD = 3.0


def home_boxes(
    home: HomeRules,
    heading: Callable[[float], Sequence[Block]],
    *,
    type_size: float,
    width: float,
    gutter: float,
) -> Block:
    """Both boxes, equally high.

    Args:
        heading: of the first box, in a width in millimetres.
        width: of both together, in millimetres.
        gutter: between them.
    """
    column = (width - gutter) / 2
    inside = column - 2 * PAD
    stop = [*heading(inside), paragraph([Run(home.stop_when)], type_size, inside)]
    never = [
        paragraph(
            [Run(home.never_heading, bold=True)],
            type_size + 1,
            inside,
            style=TextStyle(colour=ACCENT, below=0.6, role="H2"),
        ),
        paragraph([Run(f"{capital('; '.join(home.never_at_home))}.")], type_size, inside),
    ]
    stop, never = padded_alike([stop, never])
    boxes = [
        framed(stop, column, look=Look(fill=CAUTION, stroke=RUST, width=2.2), pad=PAD, below=0),
        framed(never, column, look=Look(stroke=ACCENT, width=1.2), pad=PAD, below=0),
    ]
    return side_by_side(boxes, column + gutter)
