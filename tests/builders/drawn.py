"""Makes papers for tests with the drawings of the shipped lists, as the command line does."""

from __future__ import annotations

from dataclasses import fields
from functools import lru_cache
from typing import Any

from oilchart.core.planning.schedule import Schedule
from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.paper_style import Accent, CardSize
from oilchart.papers.card import content as cards
from oilchart.papers.card.pages import card_leaflet
from oilchart.papers.checklist import content as checklists
from oilchart.papers.do_not_plug_in.content import UnsafeSheet
from oilchart.papers.do_not_plug_in.pdf import unsafe_leaflet
from oilchart.papers.pdf.card_sizes import CARD_FORMATS, setting
from oilchart.papers.pdf.leaflets import leaflets_pdf
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary

LIBRARY = PointLibrary([packaged("points")])


@lru_cache(maxsize=64)
def drawings_of(point_list: PointList) -> ModelDrawings:
    """The shipped drawings of a list, which need not be a shipped one."""
    drawings, faults = LIBRARY.drawing_files.of_model(point_list, point_list.id)
    assert faults == ()
    return drawings


def care_card(schedule: Schedule, **options: Any) -> cards.CareCard:
    """The care card of a machine with its model's drawings."""
    drawings = drawings_of(schedule.machine.point_list)
    return cards.care_card(schedule, drawings=drawings, **options)


def checklist(point_list: PointList, **options: Any) -> checklists.Checklist:
    """The checklist of a model, or of a machine, with its drawings; what is known of the machine
    stands among the options."""
    known = {each.name for each in fields(checklists.BenchMachine)} & options.keys()
    machine = checklists.BenchMachine(**{name: options.pop(name) for name in known})
    return checklists.checklist(
        point_list, drawings=drawings_of(point_list), machine=machine, **options
    )


def card_pdf(
    card: cards.CareCard, size: CardSize = CardSize.A5, accent: Accent = Accent.BLUE
) -> bytes:
    """A card alone in its file."""
    return leaflets_pdf([card_leaflet(card, setting(size, accent))], CARD_FORMATS[size])


def unsafe_pdf(
    sheet: UnsafeSheet, size: CardSize = CardSize.A5, accent: Accent = Accent.BLUE
) -> bytes:
    """A do-not-plug-in sheet alone in its file."""
    return leaflets_pdf([unsafe_leaflet(sheet, setting(size, accent))], CARD_FORMATS[size])
