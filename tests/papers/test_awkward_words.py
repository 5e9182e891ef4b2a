"""Awkward names, notes and complaints on every paper: none stops it but for a reason told in a
line, none becomes a part of a page, and lists for other programs have them as they were typed,
but for signs that turn a line round."""

from __future__ import annotations

import csv
import io
import json
import unicodedata
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pypdf
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.planning.tally import Tally
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.shop_details import ShopDetails
from oilchart.errors import OilchartError
from oilchart.papers.bench_tag.pdf import tag_pdf
from oilchart.papers.board.content import Board
from oilchart.papers.board.html import board_page
from oilchart.papers.call_sheet.pdf import call_sheet_pdf
from oilchart.papers.checklist.html import checklist_page
from oilchart.papers.checklist.pdf import checklist_pdf
from oilchart.papers.do_not_plug_in.content import unsafe_sheet
from oilchart.papers.letter.pdf import LETTER_SHEETS, letters_pdf
from oilchart.papers.letter.text import letters_text
from oilchart.papers.record.pdf import record_pdf
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from tests.builders.board_shop import thirty
from tests.builders.drawn import card_pdf, unsafe_pdf
from tests.builders.html_page import HtmlPage
from tests.builders.ink_checks import HOSTILE
from tests.builders.make import TODAY
from tests.builders.papers.call_sheet import a_call_sheet, a_line
from tests.builders.papers.card import SHELF, card_of
from tests.builders.papers.checklist import a_list
from tests.builders.papers.letter import a_heron, a_letter
from tests.builders.papers.record import a_record_sheet
from tests.builders.papers.tag import a_tag
from tests.builders.records import a_record, an_owner
from tests.conftest import Run
from tests.counts import counted

TURNING = (  # Source: Unicode Standard Annex 9, 2 "Directional Formatting Characters"
    "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
OURS = [packaged("templates")]
TRICKS = (
    "</script><script>x</script>",
    '"><img src=x onerror=x>',
    "{{ 7 * 7 }}{% raw %}",
    "<!--",
    "&#60;b&#62;",
    "=1+1",
    "\u202e\u2066\u200b\ufeff",
    "\x1b[31m\x07\x00",
    "a\u0300" * 40,
    "\U0001f9f5\ufe0f\u200d",
    "\ud800",
    "\u0640سلام",
    "q" * 300,
)
WORDS = st.lists(
    st.one_of(st.sampled_from((*HOSTILE, *TRICKS)), st.text(max_size=30)), min_size=1, max_size=4
).map(" ".join)

Paper = Callable[[str], bytes | str]
PAPERS: dict[str, Paper] = {
    "card": lambda words: card_pdf(card_of(owner=words)),
    "do-not-plug-in sheet": lambda words: unsafe_pdf(
        unsafe_sheet(
            a_record(14, serial=words),
            [UnsafeMark(id=1, danger=danger, on=TODAY, why=words) for danger in Danger],
            SHELF.point_list("heron-3"),
            shop=ShopDetails(name=words, phone=words, invented=True),
        )
    ),
    "checklist": lambda words: checklist_pdf(
        a_list(heading=(words,), notes=(words,), dangers=(words, words))
    ),
    "record": lambda words: record_pdf(a_record_sheet([], note=words)),
    "tag": lambda words: tag_pdf(
        a_tag(
            owner=words,
            complaint=words,
            left_with=(words,),
            unsafe_marks=[
                UnsafeMark(id=1, danger=danger, on=TODAY, why=words) for danger in Danger
            ],
        )
    ),
    "letters": lambda words: letters_pdf(
        [a_letter(a_heron(model=words, last_use=words), owner=words, address=(words, words))],
        LETTER_SHEETS["a4"],
    ),
    "letters as text": lambda words: letters_text([a_letter(owner=words, address=(words,))]),
    "call sheet": lambda words: call_sheet_pdf(a_call_sheet(a_line(owner=words))),
}
PAGES: dict[str, Callable[[str], str]] = {
    "checklist": lambda words: checklist_page(a_list(heading=(words,), notes=(words,)), OURS),
    "board": lambda words: board_page(_board(words), OURS),
}


def _board(words: str) -> Board:
    """The board of a shop, one of whose owners has these words for a name and a number."""
    whole = thirty()
    first, *others = whole.machines
    owner = an_owner(name=words, phone=words if words.strip() else "none")
    spoilt = replace(first, record=replace(first.record, owner=owner))
    call, *calls = whole.calls
    return replace(
        whole,
        tally=Tally(listed=(spoilt, *others), lapsed=()),
        calls=(replace(call, owner=owner), *calls),
    )


def elements_of(page: str) -> Counter[tuple[str, ...]]:
    """How many elements of each name with the same attributes a page has."""
    return Counter((tag, *attributes) for tag, attributes in HtmlPage(page).elements)


@cache
def usual(page: str) -> Counter[tuple[str, ...]]:
    """The elements of a page about Ida Brandvold, who has no number."""
    return elements_of(PAGES[page]("Ida Brandvold"))


@counted
@given(WORDS, st.sampled_from(sorted(PAPERS)))
def test_no_words_stop_a_paper_but_for_a_reason_told_in_a_line(words: str, name: str) -> None:
    try:
        paper = PAPERS[name](words)
    except OilchartError as error:
        assert name in ("card", "do-not-plug-in sheet")
        assert str(error).isprintable()
        return
    if isinstance(paper, bytes):
        assert len(pypdf.PdfReader(io.BytesIO(paper)).pages) >= 1
    else:
        assert "\x1b" not in paper and "\u202e" not in paper


@counted
@given(WORDS, st.sampled_from(sorted(PAGES)))
def test_no_words_become_a_part_of_a_page(words: str, name: str) -> None:
    page = PAGES[name](words)
    elements = elements_of(page)
    dialled = elements["a", "class", "href"] - usual(name)["a", "class", "href"]
    elements["a", "class", "href"] -= dialled
    elements["span", "class"] += dialled
    assert elements == usual(name)
    assert not {"\x1b", "\x00", "\u202e", "\u2066"} & set(page)


def test_no_sign_that_turns_a_line_round_gets_into_the_book(fresh_shop: Shop, run: Run) -> None:
    def said(*words: str) -> str:
        told = run(*words, shop=fresh_shop.folder)
        assert told.exit_code == 0, told.stderr
        assert not set(TURNING) & set(told.stdout + told.stderr)
        return told.stdout

    for number, sign in enumerate(TURNING, start=1):
        name = f" {sign}{sign} רות אבן{sign} (Ru{sign}th) "
        assert said("owner", "add", name) == f"OW-{number:03} רות אבן (Ruth)\n"
        refused = run("owner", "edit", "OW-001", "--phone", f" {sign} ", shop=fresh_shop.folder)
        assert (refused.exit_code, refused.stdout) == (2, "")
        assert "has no letter that can be seen" in refused.stderr
    said("machine", "add", "OW-001", "heron-3", "--serial", f"H3{TURNING}1")
    said("use", "M-001", f"5-8{TURNING} hours a week{TURNING}")
    said("checkin", "M-001", f"{TURNING}loops", "--left", f"pedal{TURNING},case")
    for line in ("owner show OW-001", "due --all --json", "machine show M-001"):
        said(*line.split())
    assert "רות אבן (Ruth)" in said("due", "--all", "--csv")


def test_lists_have_awkward_names_as_they_were_typed_and_steer_no_terminal(
    fresh_shop: Shop, run: Run
) -> None:
    names = []
    for words in (*HOSTILE, *TRICKS):
        added = run("owner", "add", words[:200], shop=fresh_shop.folder)
        if added.exit_code == 0:
            seen = [sign for sign in words[:200] if sign not in TURNING]
            blanks = (" " if unicodedata.category(sign) == "Cc" else sign for sign in seen)
            names.append(" ".join("".join(blanks).split()))
            number = added.stdout.split()[0]
            assert added.stdout == f"{number} {names[-1]}\n"
            added = run("machine", "add", number, "heron-3", shop=fresh_shop.folder)
            assert added.exit_code == 0
    assert len(names) >= 14

    def said(*words: str) -> str:
        told = run(*words, shop=fresh_shop.folder)
        assert told.exit_code == 0, told.stderr
        return told.stdout

    assert [each["name"] for each in json.loads(said("owner", "list", "--json"))] == names
    for option in ("--json", "--csv"):
        text = said("due", "--all", option)
        rows = json.loads(text) if option == "--json" else list(csv.DictReader(io.StringIO(text)))
        by_machine = sorted((row["machine"], row["owner"].removeprefix("'")) for row in rows)
        assert [name for _, name in by_machine] == names
    for line in ("due --all", "calls", "owner list", "machine list", "owner show OW-001"):
        assert {sign for sign in said(*line.split()) if unicodedata.category(sign) == "Cc"} == {
            "\n"
        }
    for line in ("calendar --services", "board", "calls -o calls.pdf", "letters --due"):
        said(*line.split())
