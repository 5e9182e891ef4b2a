"""The board through the command line: who is on it, and that telephone numbers can be left out."""

from __future__ import annotations

from pathlib import Path

from oilchart.shop.folder import Shop
from tests.builders.shop_steps import all_owners
from tests.conftest import Run


def test_the_board_shows_the_shop_as_due_and_calls_do(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    assert run("board", "-o", "board.html", shop=demo_shop.folder).stderr == "wrote board.html\n"
    page = (tmp_path / "board.html").read_text()
    due = run("due", shop=demo_shop.folder).stdout
    for number in ("M-003", "M-018", "M-012"):
        assert number in due and number in page
    assert "020 7946 0118" in page
    assert run("board", "-o", "again.html", shop=demo_shop.folder).exit_code == 0
    assert (tmp_path / "again.html").read_text() == page


def test_where_customers_see_the_screen_no_number_of_an_owner_stands_on_it(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("board", "--no-phones", "-o", "board.html", shop=demo_shop.folder)
    page = (tmp_path / "board.html").read_text()
    assert "Nguyễn Thị Bích" in page
    assert all(owner.phone not in page for owner, _ in all_owners(demo_shop))


def test_a_broken_template_of_the_shops_own_is_told_in_one_line_with_its_place(
    demo_shop: Shop, run: Run
) -> None:
    own = demo_shop.folder / "templates"
    own.mkdir(exist_ok=True)
    (own / "board.html").write_text("<!doctype html>\n{% for line in %}\n")
    refused = run("board", shop=demo_shop.folder)
    assert (refused.exit_code, refused.stderr.count("\n")) == (1, 1)
    assert f"{own / 'board.html'}" in refused.stderr and "line 2" in refused.stderr


def test_days_on_which_the_shop_is_shut_are_marked(demo_shop: Shop, run: Run) -> None:
    page = run("board", "-o", "-", shop=demo_shop.folder).stdout
    # closed from 24 December to 3 January: two and five days from Monday to Friday
    assert page.count('<span class="under">shut</span>') == 7
