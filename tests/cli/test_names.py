"""What machines are called: by their own names on every paper, by their marks, many at once."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED, besides_change
from tests.builders.ink_checks import words_in
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, all_machines, standing_of, the_machine
from tests.conftest import Run

NAME = "Marlett Fifty"
PAPERS = (
    ("card", "M-001", "-o", "paper.pdf"),
    ("checklist", "M-001", "-o", "paper.pdf"),
    ("checklist", "M-001", "-o", "paper.html"),
    ("tag", "M-001", "-o", "paper.pdf"),
    ("record", "M-001", "-o", "paper.pdf"),
    ("letters", "--due", "-o", "paper.pdf"),
    ("board", "-o", "paper.html"),
    ("calls", "--weeks", "104", "-o", "paper.pdf"),
    ("calendar", "-o", "paper.ics"),
    ("calendar", "--services", "-o", "paper.ics"),
    ("calendar", "M-001", "-o", "paper.ics"),
)


@pytest.fixture
def marlett(run: Run, fresh_shop: Shop) -> Path:
    """A shop with a machine of a family that has a name and a mark of its own, served once."""
    folder = fresh_shop.folder
    run("owner", "add", "Ida", "--address", "7 Weavers Row; Oakum", shop=folder)
    run(
        "machine", "add", "Ida", "family-zigzag-motor", "--as", NAME, "--mark", "attic", shop=folder
    )
    run("use", "M-001", "3 hours a week", shop=folder)
    run("serviced", "M-001", *TESTED, "--on", "2026-10-01", shop=folder)
    return folder


@pytest.mark.parametrize("words", PAPERS, ids=" ".join)
def test_every_paper_calls_a_machine_by_its_own_name_and_mark_and_none_by_its_familys(
    words: tuple[str, ...], marlett: Path, run: Run, tmp_path: Path
) -> None:
    family = Shop(marlett, TODAY).library.point_list("family-zigzag-motor").name
    if words[0] in ("tag", "record"):
        run("checkin", "M-001", "squeaks", "-o", "tag.pdf", shop=marlett)
    if words[0] == "calls":
        run("called", "Ida", "later", "2026-12-09", shop=marlett)
    result = run(*words, shop=marlett, today="2029-01-08" if words[0] == "letters" else TODAY)
    assert result.exit_code == 0, result.stderr
    data = (tmp_path / words[-1]).read_bytes()
    if words[-1].endswith(".ics"):
        text = data.decode().replace("\r\n ", "")
    else:
        text = words_in(data) if words[-1].endswith(".pdf") else data.decode()
    assert f"{NAME} (attic)" in text
    assert family not in text


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("due", "--all"), "M-001 Marlett Fifty (attic)"),
        (("machine", "show", "M-001"), "List family-zigzag-motor"),
        (("machine", "list"), "family-zigzag-motor: Marlett Fifty (attic)"),
        (("owner", "show", "Ida"), "M-001 Marlett Fifty (attic)"),
        (("schedule", "M-001"), "Marlett Fifty (attic)"),
    ],
)
def test_lists_call_it_so_too(words: tuple[str, ...], told: str, marlett: Path, run: Run) -> None:
    assert told in " ".join(run(*words, shop=marlett).stdout.split())


def test_a_name_and_a_mark_can_be_changed_and_taken_away(marlett: Path, run: Run) -> None:
    result = run("machine", "edit", "M-001", "--as", "Marlett 50", "--mark", "", shop=marlett)
    assert result.stdout.splitlines() == [
        "M-001: name: was Marlett Fifty; now Marlett 50",
        "M-001: mark: was attic; now nothing",
        "M-001 Marlett 50, Ida",
    ]
    [listed] = json.loads(run("machine", "list", "--json", shop=marlett).stdout)
    assert (listed["name"], listed["mark"]) == ("Marlett 50", None)
    run("machine", "edit", "M-001", "--as", "", shop=marlett)
    assert "M-001 Zigzag" in run("machine", "show", "M-001", shop=marlett).stdout


def test_a_mark_is_not_the_next_owners_and_a_name_tells_nothing_of_the_earlier_one(
    fresh_shop: Shop,
) -> None:
    add_owner(fresh_shop, name="Ida Brandvold")
    add_owner(fresh_shop, name="Owen")
    add_machine(fresh_shop, owner="Ida", model="heron-3", name="Brandvold's Heron", mark="attic")
    with fresh_shop.book(writing=True) as book:
        book.handings_on.add(1, from_owner=1, to_owner=2, on=TODAY)
    record = the_machine(fresh_shop, "M-001")
    assert (record.name, record.mark) == ("an earlier owner's Heron", "")


@pytest.mark.parametrize(
    "name", ["heron-3", "Heron 3", "HERON-3", "heron3", "Arnholt Heron 3", "  heron  3 "]
)
def test_a_model_is_found_by_its_printed_name_with_its_maker_or_without(
    name: str, fresh_shop: Shop
) -> None:
    maker = fresh_shop.library.point_list("heron-3").maker
    assert fresh_shop.library.model_called(name.replace("Arnholt", maker)) == "heron-3"


def test_a_printed_name_that_is_misspelt_is_answered_with_the_near_ones(
    run: Run, fresh_shop: Shop
) -> None:
    add_owner(fresh_shop, name="Ida")
    result = run("machine", "add", "Ida", "Herron 3", shop=fresh_shop.folder)
    assert (result.exit_code, result.stdout) == (1, "")
    assert 'model "Herron 3": there is no such model; did you mean heron-3' in result.stderr


def test_a_machine_added_by_a_printed_name_is_of_that_model(run: Run, fresh_shop: Shop) -> None:
    add_owner(fresh_shop, name="Ida")
    run("machine", "add", "Ida", "Heron 3", shop=fresh_shop.folder)
    run("machine", "add", "Ida", "fenna-210", shop=fresh_shop.folder)
    run("machine", "edit", "M-002", "--model", "heron 3", shop=fresh_shop.folder)
    assert [each.model for each in all_machines(fresh_shop)] == ["heron-3", "heron-3"]
    listed = run("due", "--all", "--model", "Heron 3", "--json", shop=fresh_shop.folder)
    assert [each["machine"] for each in json.loads(listed.stdout)] == ["M-001", "M-002"]


def test_a_school_with_twenty_machines_is_added_asked_visited_and_printed_in_six_commands(
    run: Run, fresh_shop: Shop, tmp_path: Path
) -> None:
    said = [
        run(*words, shop=fresh_shop.folder, today=today)
        for today, words in (
            (TODAY, ("owner", "add", "Tarrow School")),
            (TODAY, ("machine", "add", "OW-001", "Heron 3", "--count", 20, "--mark", "Room 4")),
            (TODAY, ("use", "Tarrow", "--all", "6 hours a week; idle Jul-Aug")),
            (TODAY, ("called", "Tarrow", "booked", "2026-11-30", "--all")),
            ("2026-11-30", ("serviced", "Tarrow", "--all", *TESTED)),
            ("2026-11-30", ("card", "Tarrow", "--all", "-o", "cards.pdf")),
        )
    ]
    assert [result.exit_code for result in said] == [0] * 6
    assert said[1].stdout == "M-001 to M-020 Heron 3, 20 machines, Tarrow School\n"
    assert said[2].stdout == (
        "M-001 to M-020 Tarrow School: heard: 6 hours a week; nothing in July and August, every "
        "year.\n"
    )
    assert said[3].stdout.endswith("Monday 30 November 2026: M-001 to M-020.\n")
    text = words_in((tmp_path / "cards.pdf").read_bytes())
    assert all(f"Heron 3 (Room 4, no. {number})" in text for number in range(1, 21))
    later = Shop(fresh_shop.folder, TODAY + timedelta(days=5))
    days = {standing_of(later, f"M-{each:03}").schedule.services[0].on for each in (1, 7, 20)}
    assert len(days) == 1


def test_papers_of_all_machines_of_an_owner_are_a_file_each(
    run: Run, fresh_shop: Shop, tmp_path: Path
) -> None:
    add_owner(fresh_shop, name="Tarrow School")
    run("machine", "add", "Tarrow", "heron-3", "--count", 2, shop=fresh_shop.folder)
    run("serviced", "Tarrow", "--all", *TESTED, shop=fresh_shop.folder)
    for kind in ("checklist", "record"):
        result = run(kind, "Tarrow", "--all", "-o", "all", shop=fresh_shop.folder)
        assert besides_change(result.stderr) == f"wrote 2 {kind}s to all\n"
        assert [(tmp_path / f"all/M-00{each}-{kind}.pdf").exists() for each in (1, 2)] == [True] * 2
    nobody = run("record", "Ida", "--all", shop=fresh_shop.folder)
    assert 'owner "Ida": there is none' in nobody.stderr


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("machine add Ida heron-3 --count 3 --serial H1", "--serial: is of one machine"),
        ("machine add Ida heron-3 --count 0", "0 is not in the range"),
        ("machine add Ida heron-3 --count 201", "201 is not in the range"),
        ("use Ida --all 3h --correct", "--correct: mends what was said of one machine"),
        ("use Owen --all 3h/week", "OW-002: Owen has no machine; add one"),
        ("serviced Ida --all --found 3=dry --yes", "--found: is of one machine"),
        ("serviced Ida --all --check R=pass,2M --yes", "--check with what was measured: is of one"),
        ("serviced Ida --all", "M-001 to M-003, Ida: each service is told as a whole; if it is"),
        ("called Ida booked 2026-12-01 --all --machine M-001", "--all and --machine: give one"),
        ("called Ida reached --all --unsafe tingles", "--unsafe: is of one machine"),
        ("checklist --all", "--all: is of all machines of an owner in the book"),
    ],
)
def test_what_is_of_one_machine_is_not_told_of_all(
    words: str, told: str, run: Run, fresh_shop: Shop
) -> None:
    add_owner(fresh_shop, name="Ida")
    add_owner(fresh_shop, name="Owen")
    run("machine", "add", "Ida", "heron-3", "--count", 3, shop=fresh_shop.folder)
    result = run(*words.split(" "), shop=fresh_shop.folder)
    assert (result.exit_code, result.stdout) in ((1, ""), (2, ""))
    assert told in result.stderr
    assert not any(each.services or each.reports for each in all_machines(fresh_shop))


def test_a_service_of_all_is_kept_of_all_or_of_none(run: Run, fresh_shop: Shop) -> None:
    add_owner(fresh_shop, name="Ida")
    add_machine(fresh_shop, owner="Ida", model="heron-3")
    add_machine(fresh_shop, owner="Ida", model="family-straight-treadle")
    result = run("serviced", "Ida", "--all", *TESTED, shop=fresh_shop.folder)
    assert result.exit_code == 1, result.stdout
    assert not any(each.services for each in all_machines(fresh_shop))


def test_a_machine_like_another_of_the_same_owner_is_told_and_not_refused(
    run: Run, fresh_shop: Shop
) -> None:
    add_owner(fresh_shop, name="Ida")
    add = ("machine", "add", "Ida", "heron-3")
    assert besides_change(run(*add, shop=fresh_shop.folder).stderr) == ""
    again = run(*add, "--serial", "H3-20417", shop=fresh_shop.folder)
    assert again.exit_code == 0
    assert besides_change(again.stderr) == (
        "M-001 is a Heron 3 of Ida, too; to tell them apart: oilchart machine edit MACHINE --mark "
        "or --serial\n"
    )
    run("machine", "edit", "M-001", "--serial", "H3-20418", shop=fresh_shop.folder)
    assert besides_change(run(*add, "--mark", "attic", shop=fresh_shop.folder).stderr) == ""
