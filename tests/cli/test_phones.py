"""Owners with several telephone numbers, each with whose it is and a link of its own."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import besides_change
from tests.builders.ink_checks import words_in
from tests.builders.shop_steps import add_machine, add_owner, all_owners
from tests.conftest import Run

TWO = "020 7946 0107 / daughter 0117 496 0108"


@pytest.fixture
def in_britain(fresh_shop: Shop) -> Shop:
    """A shop that says in which country it is."""
    settings = fresh_shop.folder / "shop.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(text.replace("# region =", "region ="), encoding="utf-8")
    return Shop(fresh_shop.folder, fresh_shop.today)


def numbers_of(shop: Shop) -> list[tuple[str, str, bool]]:
    """The numbers of the first owner, each with whose it is and whether it is wrong."""
    return [(each.number, each.whose, each.wrong) for each in all_owners(shop)[0][0].phones]


def test_two_numbers_in_one_field_are_two_each_written_as_it_is_there(
    in_britain: Shop, run: Run
) -> None:
    result = run(
        "owner", "add", "Ida", "--phone", "02079460107/01174960108", shop=in_britain.folder
    )
    assert (result.stdout, besides_change(result.stderr)) == ("OW-001 Ida\n", "")
    assert numbers_of(in_britain) == [("020 7946 0107", "", False), ("0117 496 0108", "", False)]
    [listed] = json.loads(run("owner", "list", "--json", shop=in_britain.folder).stdout)
    assert listed["phone"] == "020 7946 0107"
    assert [each["dial"] for each in listed["phones"]] == ["+442079460107", "+441174960108"]


def test_a_number_that_cannot_be_right_is_told_and_kept_as_it_was_said(
    in_britain: Shop, run: Run
) -> None:
    result = run("owner", "add", "Ida", "--phone", "01632 96320", shop=in_britain.folder)
    assert (result.exit_code, result.stdout) == (0, "OW-001 Ida\n")
    assert besides_change(result.stderr) == (
        'OW-001: phone "01632 96320": no such number is given out, or a figure is missing; kept '
        "as it was said; to mend it: oilchart owner edit OW-001 --phone NUMBER\n"
    )
    assert numbers_of(in_britain) == [("01632 96320", "", False)]


def test_without_a_country_numbers_are_kept_as_they_are_said_and_nobody_is_bothered(
    fresh_shop: Shop, run: Run
) -> None:
    result = run("owner", "add", "Ida", "--phone", "12345 678", shop=fresh_shop.folder)
    assert besides_change(result.stderr) == ""
    assert numbers_of(fresh_shop) == [("12345 678", "", False)]


def test_a_country_that_is_none_is_told(in_britain: Shop, run: Run) -> None:
    settings = in_britain.folder / "shop.toml"
    text = settings.read_text(encoding="utf-8")
    for code, told in (("XX", "region XX: is no country that is known"), ("gb", "is no country")):
        settings.write_text(text.replace('"GB"', f'"{code}"'), encoding="utf-8")
        result = run("owner", "add", "Ida", "--phone", "020 7946 0107", shop=in_britain.folder)
        assert (result.exit_code, result.stdout) == (1, "")
        assert told in result.stderr


def test_numbers_are_added_dropped_and_put_in_the_place_of_others(
    in_britain: Shop, run: Run
) -> None:
    add_owner(in_britain, name="Ida", phone="020 7946 0107")
    edit = ("owner", "edit", "Ida")
    result = run(*edit, "--add-phone", "daughter 0117 496 0108", shop=in_britain.folder)
    assert result.stdout.startswith(
        "OW-001 Ida, 020 7946 0107; 0117 496 0108 (daughter), no e-mail"
    )
    run(*edit, "--drop-phone", "+442079460107", shop=in_britain.folder)
    assert numbers_of(in_britain) == [("0117 496 0108", "daughter", False)]
    refused = run(*edit, "--drop-phone", "020 7946 0199", shop=in_britain.folder)
    assert "has no number 020 7946 0199; there are: 0117 496 0108 (daughter)" in refused.stderr
    run(*edit, "--phone", "020 7946 0199", shop=in_britain.folder)
    assert numbers_of(in_britain) == [("020 7946 0199", "", False)]
    run(*edit, "--phone", "", shop=in_britain.folder)
    assert numbers_of(in_britain) == []


def test_a_wrong_number_leads_to_the_next_one_and_a_letter_only_after_the_last(
    in_britain: Shop, run: Run
) -> None:
    add_owner(in_britain, name="Ida", phone=TWO)
    add_machine(in_britain, owner="Ida", model="heron-3")
    first = run("called", "Ida", "wrong-number", shop=in_britain.folder)
    assert "There is another number: 0117 496 0108 (daughter)." in first.stdout
    assert "letter" not in first.stdout
    assert "0117 496 0108 (daughter)" in run("calls", shop=in_britain.folder).stdout
    last = run("called", "Ida", "wrong-number", shop=in_britain.folder)
    assert "A letter is proposed" in last.stdout
    assert [wrong for _, _, wrong in numbers_of(in_britain)] == [True, True]
    run("owner", "edit", "Ida", "--add-phone", "020 7946 0107", shop=in_britain.folder)
    assert "Reach by phone: 020 7946 0107; 0117 496 0108 (daughter), wrong" in " ".join(
        run("owner", "show", "Ida", shop=in_britain.folder).stdout.split()
    )


def test_each_number_has_a_link_of_its_own_and_stands_on_the_sheet_with_whose_it_is(
    in_britain: Shop, run: Run, tmp_path: Path
) -> None:
    add_owner(in_britain, name="Ida", phone=TWO)
    add_machine(in_britain, owner="Ida", model="heron-3")
    run("board", "-o", "board.html", shop=in_britain.folder)
    page = (tmp_path / "board.html").read_text(encoding="utf-8")
    assert {*re.findall(r'href="(tel:[^"]*)"', page)} == {"tel:+442079460107", "tel:+441174960108"}
    assert "(daughter)" in page
    run("calendar", "-o", "calls.ics", shop=in_britain.folder)
    entry = (tmp_path / "calls.ics").read_text(encoding="utf-8").replace("\n ", "")
    assert "tel:+442079460107" in entry
    assert "Phone: 0117 496 0108 (daughter)\\ntel:+441174960108" in entry
    run("calls", "-o", "calls.pdf", shop=in_britain.folder)
    sheet = words_in((tmp_path / "calls.pdf").read_bytes())
    assert "020 7946 0107" in sheet
    assert "or 0117 496 0108 (daughter)" in sheet


@pytest.mark.parametrize(
    ("name", "phone", "is_told"),
    [
        ("jean trédwell", "", True),
        ("Tredwell, Jean", "", True),
        ("Jean Tredwel", "", True),
        ("Somebody else", "+44 20 79460107", True),
        ("Joan Tiddler", "020 7946 0108", False),
    ],
)
def test_who_may_be_an_owner_of_the_book_is_told_at_entry_and_not_refused(
    name: str, phone: str, is_told: bool, in_britain: Shop, run: Run
) -> None:
    run("owner", "add", "Jean Tredwell", "--phone", "020 7946 0107", shop=in_britain.folder)
    result = run("owner", "add", name, "--phone", phone, shop=in_britain.folder)
    assert result.exit_code == 0
    told = "OW-001 Jean Tredwell, 020 7946 0107: if that is the same person: oilchart owner merge"
    assert (told in result.stderr) is is_told
    edited = run("owner", "edit", "OW-002", "--best-time", "noon", shop=in_britain.folder)
    assert besides_change(edited.stderr) == ""
