"""Knows how the sides of cards become one file, a page a side."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from oilchart.papers.ink.forms import Form
from oilchart.papers.ink.page import Page

Side = Callable[[Page], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaflet:
    """A card, or what takes its place, laid out on one size.

    Args:
        title: of a file of it alone.
        sides: in the order in which they are read.
        faults: what is wrong with the numbers on its drawings, for the technician; empty as it should be.
    """

    title: str
    subject: str
    author: str
    language: str
    sides: tuple[Side, ...]
    faults: tuple[str, ...] = ()


def leaflets_pdf(leaflets: Iterable[Leaflet], form: Form, *, title: str | None = None) -> bytes:
    """Write leaflets one after another; printed on both sides, each begins on a leaf of its own.

    Args:
        leaflets: at least one; each is drawn before the next is asked for.
        title: of the file; that of the first leaflet without.
    """
    page: Page | None = None
    is_odd = False
    for leaflet in leaflets:
        for at, side in enumerate(leaflet.sides):
            if page is None:
                page = begun(leaflet, form.size, title)
            else:
                page.turn(2 if at == 0 and is_odd else 1)
            side(page)
        is_odd = len(leaflet.sides) % 2 == 1
    assert page is not None
    return page.finish()


def begun(first: Leaflet, size: tuple[float, float], title: str | None) -> Page:
    """A file in the name of its first leaflet."""
    return Page(size, title=title or first.title, author=first.author, subject=first.subject, language=first.language)
