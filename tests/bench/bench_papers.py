"""Measures the printing of care cards against bare reportlab putting the same ink on the same
pages, and the breaking of long texts into lines; prints ratios from one run.

By hand: python -m tests.bench.bench_papers. `pytest` runs it once, short, to see that it works,
that both files have the same ink, and that a long run keeps nothing of the cards it has drawn but
their pages.

Bare reportlab is given a list of everything that is drawn: which letters in which face at which
place, each line, box and drawing. Numbers have their places and codes their modules. So it shows
what is spent on words, layout and the choice of the best way to share out the room. It packs pages
into bytes, not into letters (`useA85 = 0`), as the papers do: else it would be slower for no good
reason.
"""

from __future__ import annotations

import io
import re
import subprocess
import sys
import tracemalloc
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median
from string import ascii_letters
from textwrap import wrap
from typing import Any

import pypdf
import pytest
from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.paper_style import CardSize
from oilchart.papers.card.pages import card_leaflet
from oilchart.papers.pdf.card_sizes import setting
from oilchart.papers.pdf.fit_text import capped, largest_fitting, short
from oilchart.papers.pdf.fonts import Run, broken
from oilchart.papers.pdf.leaflets import Leaflet, leaflets_pdf
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.bench.measure import TIMES, Figure, hold, seconds, tell
from tests.builders.drawn import care_card
from tests.builders.make import TODAY, loose_schedule
from tests.builders.present import the
from tests.builders.records import SHOP

MODELS = ("heron-3", "velmora-7", "tarnwick-20", "corrin-12", "family-overlock")
USES = ("5-8 hours a week", "2 hours a week", "12-16 hours a week")
KILOBYTES_A_CARD = 60

# on what (None is the canvas), what, and with what
Call = tuple[object, str, tuple[Any, ...], dict[str, Any]]


@pytest.fixture(autouse=True)
def packed_as_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rl_config, "useA85", 0)


def schedules() -> list[Schedule]:
    """Machines of a small shop: some models, some ways to sew."""
    library = PointLibrary([packaged("points")])
    return [
        loose_schedule(library.point_list(model), use, TODAY, TODAY, WITHOUT_A_SHOP)
        for model in MODELS
        for use in USES
    ]


def cards(known: list[Schedule], many: int, size: CardSize = CardSize.A5) -> Iterator[Leaflet]:
    """So many cards, each for another owner."""
    for at in range(many):
        card = care_card(
            known[at % len(known)], shop=SHOP, owner=f"Łucja Wierzbicka {at}", serial=f"H-{at:05}"
        )
        yield card_leaflet(card, setting(size))


def printed(known: list[Schedule], many: int) -> bytes:
    """The cards in one file."""
    return leaflets_pdf(cards(known, many), setting(CardSize.A5).form, batch_title="cards")


DRAWN = (
    *(
        "setTitle",
        "setAuthor",
        "setSubject",
        "setCreator",
        "showPage",
        "getpdfdata",
        "saveState",
        "restoreState",
        "translate",
        "scale",
        "rotate",
    ),
    *(
        "setFont",
        "setFillColor",
        "setStrokeColor",
        "setLineWidth",
        "setDash",
        "setLineJoin",
        "setLineCap",
        "drawString",
        "line",
        "circle",
    ),
    *("roundRect", "rect", "drawPath", "clipPath", "beginForm", "endForm", "doForm", "beginPath"),
)
TRACED = ("moveTo", "lineTo", "curveTo", "rect", "close")


def recorded(
    work: Callable[[], bytes],
) -> tuple[tuple[tuple[Any, ...], dict[str, Any]], list[Call], bytes]:
    """How the canvas is made, everything that is called on it and on its paths, and the file."""
    made: list[tuple[tuple[Any, ...], dict[str, Any]]] = []
    calls: list[Call] = []
    inside = [0]

    def watched(owner: type, name: str) -> Callable[..., Any]:
        plain = getattr(owner, name)

        def call(this: Any, *args: Any, **named: Any) -> Any:
            if inside[0]:
                return plain(this, *args, **named)
            inside[0] += 1
            try:
                result = plain(this, *args, **named)
            finally:
                inside[0] -= 1
            calls.append((id(this) if owner is PDFPathObject else None, name, args, named))
            if name == "beginPath":
                kept.append(result)  # so that no other path gets its id
                calls[-1] = (id(result), name, args, named)
            return result

        return call

    kept: list[Any] = []
    with pytest.MonkeyPatch.context() as patch:
        begin = Canvas.__init__

        def begun(this: Any, file: Any, *args: Any, **named: Any) -> None:
            made.append((args, named))
            inside[0] += 1
            begin(this, file, *args, **named)
            inside[0] -= 1

        patch.setattr(Canvas, "__init__", begun)
        for name in DRAWN:
            patch.setattr(Canvas, name, watched(Canvas, name))
        for name in TRACED:
            patch.setattr(PDFPathObject, name, watched(PDFPathObject, name))
        data = work()
    [how] = made
    return how, calls, data


def bare(how: tuple[tuple[Any, ...], dict[str, Any]], calls: list[Call]) -> bytes:
    """The same file by bare reportlab."""
    data = b""
    canvas = Canvas(io.BytesIO(), *how[0], **how[1])
    paths: dict[object, Any] = {}
    for on, name, args, named in calls:
        if name == "beginPath":
            paths[on] = canvas.beginPath()
        elif on is not None:
            getattr(paths[on], name)(*args, **named)
        elif name in ("drawPath", "clipPath"):
            getattr(canvas, name)(paths[id(args[0])], *args[1:], **named)
        elif name == "getpdfdata":
            data = canvas.getpdfdata()
        else:
            getattr(canvas, name)(*args, **named)
    return data


def compare(many: int, times: int) -> tuple[float, float]:
    """Cards a second, and how many times as long they take as bare reportlab does; the median of
    pairs measured one after the other."""
    known = schedules()
    how, calls, data = recorded(lambda: printed(known, many))
    assert ink_of(bare(how, calls)) == ink_of(data)
    speeds, ratios = [], []
    for _ in range(times):
        ours, theirs = seconds(lambda: printed(known, many)), seconds(lambda: bare(how, calls))
        speeds.append(many / ours)
        ratios.append(ours / theirs)
    return median(speeds), median(ratios)


def ink_of(data: bytes) -> list[bytes]:
    """What is on each page, without the marks that say to which part of the document it belongs."""
    marks = re.compile(rb"^(/\w+ <<.*>> BDC|EMC)\n", re.MULTILINE)
    return [
        marks.sub(b"", the(page.get_contents(), "ink").get_data())
        for page in pypdf.PdfReader(io.BytesIO(data)).pages
    ]


def height(known: list[Schedule], many: int) -> int:
    """Bytes in use at the most while so many cards are printed; drawings and words that all share
    are there before."""
    printed(known, len(known))
    tracemalloc.start()
    printed(known, many)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most


def resident_height(many: int) -> int:
    """The same as the system sees it, of a process of its own; Linux only."""
    told = subprocess.run(
        [sys.executable, "-m", "tests.bench.bench_papers", str(many)],
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    return int(told) * 1024


def growth(few: int, many: int, height_of: Callable[[int], int]) -> float:
    """Kilobytes that each further card takes."""
    return (height_of(many) - height_of(few)) / (many - few) / 1024


def test_bare_reportlab_puts_the_same_ink_on_the_same_pages() -> None:
    known = schedules()[:3]
    how, calls, data = recorded(lambda: printed(known, 3))
    assert len(calls) > 1_000
    assert ink_of(bare(how, calls)) == ink_of(data)


def test_memory_grows_by_the_pages_of_a_card_and_no_more() -> None:
    known = schedules()[::5]
    assert growth(3, 15, lambda many: height(known, many)) < KILOBYTES_A_CARD


def figures() -> Iterator[Figure]:
    """What the time and the memory of many cards are."""
    for many in (15, 60, 240):
        speed, ratio = compare(many, TIMES)
        yield Figure(
            words=f"{many} cards in one file: {speed:.0f} a second, {{:.2f}} times as long as bare "
            "reportlab",
            value=ratio,
            most=1.5,
        )
    for few, many in ((100, 500), (500, 2_000)):
        yield Figure(
            words=f"from {few} to {many} cards: {{:.0f}} KB of memory more a card",
            value=growth(few, many, resident_height),
            most=KILOBYTES_A_CARD,
        )


def a_long_text(kind: str, letters: int, at: int) -> str:
    """A text that was not broken before: one word, or words of six letters."""
    word = f"{at:06}" + "".join(ascii_letters[(at + each) % 52] for each in range(letters))
    return word[:letters] if kind == "word" else " ".join(wrap(word[:letters], 6))


def broken_whole(text: str) -> None:
    """All lines of a text."""
    broken([Run(text)], 10, 400)


def fitted_into_a_few_lines(text: str) -> None:
    """As much of a text as there is room for."""
    capped([Run(text)], 10, 140, 5)
    largest_fitting(text, [(17.0, 1), (13.0, 2), (10.0, 2)], 140)
    short(text, 10, 140)


def microseconds_a_letter(way: Callable[[str], None], kind: str, letters: int) -> float:
    """What a letter of a text takes; the fastest of some rounds of as many letters."""
    rounds = []
    for turn in range(TIMES):
        many = max(1, 10_000 // letters)
        texts = [a_long_text(kind, letters, turn * 1_000 + at) for at in range(many)]

        def work(texts: list[str] = texts) -> None:
            for text in texts:
                way(text)

        rounds.append(seconds(work) / many / letters * 1e6)
    return min(rounds)


def letter_figures() -> Iterator[Figure]:
    """What a letter of a long text takes against one of a short text."""
    for way in (broken_whole, fitted_into_a_few_lines):
        for kind in ("word", "words"):
            takes = {
                letters: microseconds_a_letter(way, kind, letters)
                for letters in (100, 1_000, 10_000)
            }
            told = ", ".join(f"{each:.2f} of {letters:,}" for letters, each in takes.items())
            yield Figure(
                words=f"{kind} {way.__name__.replace('_', ' ')}, microseconds a letter: {told}; "
                "of the longest {:.2f} times what it takes of the shortest",
                value=takes[10_000] / takes[100],
                most=1.5,
            )


@pytest.mark.full
def test_a_letter_of_a_long_text_is_no_dearer_than_one_of_a_short_text(
    record_property: Any,
) -> None:
    hold(letter_figures(), record_property)


@pytest.mark.full
def test_cards_take_little_longer_than_bare_reportlab_and_no_memory_but_their_pages(
    record_property: Any,
) -> None:
    hold(figures(), record_property)


if __name__ == "__main__":
    rl_config.useA85 = 0
    if len(sys.argv) > 1:
        printed(schedules(), int(sys.argv[1]))
        status = Path("/proc/self/status").read_text()
        sys.stdout.write(status.partition("VmHWM:")[2].split()[0])
        sys.exit()
    tell(letter_figures())
    tell(figures())
