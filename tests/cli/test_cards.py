"""The command card: sizes, sheets, one file for many machines or a file each, and a bar for long
runs."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pypdf
import pytest

from oilchart.cli.commands.papers import cards
from oilchart.shop.folder import Shop
from tests.builders.ink_checks import pages_of, sizes_of, words_in
from tests.builders.present import the
from tests.builders.shop_steps import all_standings
from tests.conftest import Run


def set_paper(shop: Shop, *lines: str) -> None:
    """Write [paper] into the demo shop's settings, which have none."""
    path = shop.folder / "shop.toml"
    path.write_text("\n".join([path.read_text(), "[paper]", *lines]))


def due_machines(shop: Shop) -> list[str]:
    return sorted(
        each.record.number
        for each in all_standings(shop)
        if each.schedule.state not in ("in time", "in the shop")
    )


@pytest.mark.parametrize(
    ("words", "size"),
    [
        ([], (148, 210)),
        (["--size", "half-letter"], (140, 216)),
        (["--size", "a6"], (105, 148)),
        (["--size", "4x6"], (102, 152)),
        (["--size", "a4"], (210, 297)),
        (["--size", "letter"], (216, 279)),
        (["--sheet", "a4"], (210, 297)),
        (["--size", "4x6", "--sheet", "letter"], (216, 279)),
    ],
)
def test_a_card_comes_on_the_size_that_is_asked_for(
    run: Run, demo_shop: Shop, words: list[str], size: tuple[int, int]
) -> None:
    result = run("card", "M-002", *words, "-o", "card.pdf", shop=demo_shop.folder)
    assert result.exit_code == 0
    assert sizes_of(Path("card.pdf").read_bytes()) == {size}


def test_the_shop_chooses_what_is_printed_where_nothing_is_asked_for(
    run: Run, demo_shop: Shop
) -> None:
    set_paper(
        demo_shop,
        'size = "half-letter"',
        'colour = "green"',
        'code = "none"',
        'footer = "Shut on Mondays."',
    )
    assert run("card", "M-002", "-o", "card.pdf", shop=demo_shop.folder).exit_code == 0
    data = Path("card.pdf").read_bytes()
    assert sizes_of(data) == {(140, 216)}
    assert "Shut on Mondays." in words_in(data)
    assert "Scan to" not in words_in(data)
    assert (
        run("card", "M-002", "--size", "a5", "-o", "card.pdf", shop=demo_shop.folder).exit_code == 0
    )
    assert sizes_of(Path("card.pdf").read_bytes()) == {(148, 210)}


def test_a_card_that_does_not_fit_is_refused_with_the_size_that_does(
    run: Run, demo_shop: Shop
) -> None:
    run("owner", "add", "Oakum on Sea " * 14, shop=demo_shop.folder)
    run("machine", "add", "Oakum", "heron-3", shop=demo_shop.folder)
    result = run("card", "M-019", "--size", "a6", "-o", "card.pdf", shop=demo_shop.folder)
    assert result.exit_code == 1
    assert (
        "on A6 the drawing would be less than 48 mm high and could not be read; choose --size a5"
        in result.stderr
    )
    assert not Path("card.pdf").exists()


def test_all_that_are_due_come_in_one_file_by_number(run: Run, demo_shop: Shop) -> None:
    assert run("card", "--all-due", "-o", "cards.pdf", shop=demo_shop.folder).exit_code == 0
    pages = pages_of(Path("cards.pdf").read_bytes())
    firsts = [page for page in pages if page.startswith("Care card")]
    due = due_machines(demo_shop)
    assert len(due) > 8
    assert [next(number for number in due if number in page) for page in firsts] == due
    assert (
        the(pypdf.PdfReader("cards.pdf").metadata, "title").title
        == f"{len(due)} care cards, Tidelane Sewing Machine Repairs"
    )


def test_all_that_are_due_come_in_a_file_each_where_no_file_is_named(
    run: Run, demo_shop: Shop
) -> None:
    result = run("card", "--all-due", shop=demo_shop.folder)
    written = sorted(path.name for path in (demo_shop.folder / "out").iterdir())
    assert written == [f"{number}-card.pdf" for number in due_machines(demo_shop)]
    assert result.stderr == f"wrote {len(written)} cards to {demo_shop.folder / 'out'}\n"
    run("card", "--all-due", "-o", "elsewhere", shop=demo_shop.folder)
    for path in Path("elsewhere").iterdir():
        assert path.read_bytes() == (demo_shop.folder / "out" / path.name).read_bytes()


def test_all_of_a_model_come_together(run: Run, demo_shop: Shop) -> None:
    ours = sorted(each.record.number for each in all_standings(demo_shop, model="velmora-7"))
    due = [number for number in due_machines(demo_shop) if number in ours]
    assert 0 < len(due) < len(ours)
    run("card", "--all", "--model", "velmora-7", "-o", "all", shop=demo_shop.folder)
    assert sorted(path.name for path in Path("all").iterdir()) == [
        f"{number}-card.pdf" for number in ours
    ]
    run("card", "--all-due", "--model", "velmora-7", "-o", "due", shop=demo_shop.folder)
    assert sorted(path.name for path in Path("due").iterdir()) == [
        f"{number}-card.pdf" for number in due
    ]


def test_cards_on_sheets_come_in_one_file(run: Run, demo_shop: Shop) -> None:
    result = run("card", "--all-due", "--sheet", "a4", shop=demo_shop.folder)
    assert result.stderr == f"wrote {demo_shop.folder / 'out' / 'cards.pdf'}\n"
    data = (demo_shop.folder / "out" / "cards.pdf").read_bytes()
    assert sizes_of(data) == {(210, 297)}
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 2 * len(due_machines(demo_shop))


def test_an_unsafe_machine_has_its_sheet_among_the_cards(run: Run, demo_shop: Shop) -> None:
    run("serviced", "M-003", "--yes", "--unsafe", "the cord is cracked", shop=demo_shop.folder)
    result = run("card", "--all", "-o", "cards.pdf", shop=demo_shop.folder)
    assert (
        "M-003: do not plug in (the cord is cracked, since 25 November 2026): "
        "a do-not-plug-in sheet instead of a card" in result.stderr
    )
    pages = pages_of(Path("cards.pdf").read_bytes())
    assert sum(page.startswith("DO NOT PLUG IN") for page in pages) == 1
    assert sum(page.startswith("Care card") for page in pages) == 17


def test_where_nothing_is_due_nothing_is_written(run: Run, fresh_shop: Shop) -> None:
    result = run("card", "--all-due", "-o", "cards.pdf", shop=fresh_shop.folder)
    assert (result.exit_code, result.stderr) == (0, "no such machine: no card was written\n")
    assert not Path("cards.pdf").exists()


@pytest.mark.parametrize("out", ["cards.pdf", "cards"])
def test_a_card_that_has_no_room_is_left_out_of_a_batch_and_told(
    out: str, run: Run, demo_shop: Shop, tmp_path: Path
) -> None:
    run("owner", "add", "Oakum on Sea " * 14, shop=demo_shop.folder)
    run("machine", "add", "Oakum", "heron-3", "--serial", "X" * 200, shop=demo_shop.folder)
    result = run(
        "card", "--all", "--model", "heron-3", "--size", "a6", "-o", out, shop=demo_shop.folder
    )
    assert result.exit_code == 1
    [told] = [line for line in result.stderr.splitlines() if line.startswith("oilchart: ")]
    assert "M-019" in told and "choose --size" in told and len(told) < 250
    assert result.stderr.splitlines()[-1] == "left out: M-019"
    written = [tmp_path / out] if out.endswith(".pdf") else sorted((tmp_path / out).iterdir())
    assert all(path.read_bytes().startswith(b"%PDF") for path in written)
    assert out.endswith(".pdf") or "M-001-card.pdf" in [path.name for path in written]


def test_a_batch_in_which_nothing_has_room_writes_nothing(
    run: Run, fresh_shop: Shop, tmp_path: Path
) -> None:
    run("owner", "add", "Oakum on Sea " * 14, shop=fresh_shop.folder)
    run("machine", "add", "Oakum", "heron-3", shop=fresh_shop.folder)
    result = run(
        "card", "--all", "--sheet", "a4", "--size", "a6", "-o", "cards.pdf", shop=fresh_shop.folder
    )
    assert (result.exit_code, result.stderr.splitlines()[-1]) == (1, "left out: M-001")
    assert not (tmp_path / "cards.pdf").exists()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("--all-due M-001", 'owner "M-001": there is none of that number'),
        ("--all --use none", "--all: is about machines of the book; leave out --use"),
        ("--all --all-due", "--all: prints the cards that --all-due prints"),
        ("M-001 --size a7", "'a7' is not one of"),
        ("M-001 --sheet a3", "'a3' is not one of"),
        ("--all-due --model herron-3", "did you mean heron-3?"),
        (
            "M-001 --size a4 --sheet letter",
            "--sheet letter: a card of size a4 cannot be cut from it; leave --sheet out, or give a "
            "smaller --size",
        ),
    ],
)
def test_what_does_not_go_together_is_refused(
    run: Run, demo_shop: Shop, words: str, told: str
) -> None:
    result = run("card", *words.split(), "-o", "x.pdf", shop=demo_shop.folder)
    assert result.exit_code in (1, 2)
    assert told in result.stderr
    assert not Path("x.pdf").exists()


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("stream", "count", "is_told"),
    [(Terminal, 12, True), (Terminal, 11, False), (io.StringIO, 50, False)],
)
def test_a_long_run_has_a_bar_on_the_screen_and_nowhere_else(
    monkeypatch: pytest.MonkeyPatch, stream: type[io.StringIO], count: int, is_told: bool
) -> None:
    errors = stream()
    monkeypatch.setattr(sys, "stderr", errors)
    monkeypatch.setenv("TERM", "xterm")
    assert list(cards._watched(range(count))) == list(range(count))
    assert ("cards" in errors.getvalue()) is is_told
