"""What was written down wrongly is mended, says what it was and is, and leaves lists as they would
be had it never been wrong."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED, besides_change
from tests.builders.snapshot import rows_in
from tests.conftest import Run

LISTS = (("due", "--all", "--json"), ("calls", "--weeks", "60"), ("owner", "list"))


def lists(run: Run, folder: Path, *stories: str) -> list[str]:
    """What the lists of a shop show, and the stories of machines and owners, by number."""
    words = [
        *LISTS,
        *(("owner" if each.startswith("OW") else "machine", "show", each) for each in stories),
    ]
    return [run(*each, shop=folder).stdout for each in words]


def do(run: Run, folder: Path, *steps: str) -> None:
    """Run commands, none of which may be refused."""
    for words in steps:
        done = run(*_words(words), shop=folder)
        assert done.exit_code == 0, (words, done.stderr)


def _words(line: str) -> list[str]:
    """The words of a command line; a bar stands for a blank within one."""
    return [word.replace("|", " ") for word in line.split()]


CHECKED = " ".join(word.replace(" ", "|") for word in TESTED)
SLIPS = [
    # the wrong owner
    (
        "M-019 OW-001 OW-004",
        ["machine add OW-004 fenna-210 --serial F-1", "use M-019 3|hours|a|week"],
        ["machine edit M-019 --owner OW-001"],
        ["machine add OW-001 fenna-210 --serial F-1", "use M-019 3|hours|a|week"],
    ),
    # the wrong model, of what was said in bobbins, too
    (
        "M-019",
        ["machine add OW-004 corrin-12", "use M-019 3|bobbins|a|week"],
        ["machine edit M-019 --model heron-3"],
        ["machine add OW-004 heron-3", "use M-019 3|bobbins|a|week"],
    ),
    # a meter and words
    (
        "M-014",
        ["use M-014 meter|1840000|stitches", "use M-014 5-8|hours|a|day"],
        [
            "use M-014 meter|184000|stitches --correct",
            "use M-014 5-8|hours|a|week --correct",
        ],
        ["use M-014 meter|184000|stitches", "use M-014 5-8|hours|a|week"],
    ),
    # a service of another day, with its electrical check, and what was done and found at it
    (
        "M-018",
        [f"serviced M-018 --on 2026-11-23 --found 32=dry {CHECKED} --by Tarn"],
        ["service edit M-018 --day 2026-11-24 --nothing-noted 32 --found 33=dry --by Amsel"],
        [f"serviced M-018 --on 2026-11-24 --found 33=dry {CHECKED} --by Amsel"],
    ),
    (
        "M-018",
        [f"serviced M-018 --except 44=forgotten {CHECKED}"],
        ["service edit M-018 --done 44 --not-done 36=stuck"],
        [f"serviced M-018 --except 36=stuck {CHECKED}"],
    ),
    # a stay
    (
        "M-014",
        ["checkin M-014 squeaks --left pedal --on 2026-11-20"],
        ["stay edit M-014 --complaint runs|heavily --left pedal,case --came-in 2026-11-23"],
        ["checkin M-014 runs|heavily --left pedal,case --on 2026-11-23"],
    ),
    (
        "M-014",
        ["checkin M-014 squeaks --on 2026-11-20", "collected M-014 --on 2026-11-21"],
        ["stay edit M-014 --collected 2026-11-24"],
        ["checkin M-014 squeaks --on 2026-11-20", "collected M-014 --on 2026-11-24"],
    ),
    # an owner who was there already
    (
        "OW-001 M-019",
        [
            "owner add Ida|Brandvolt",
            "machine add OW-015 corrin-12",
            "called OW-015 later 2026-12-14",
            "owner edit OW-015 --best-time after|six",
        ],
        ["owner merge OW-015 --into OW-001 --yes"],
        [
            "owner edit OW-001 --best-time after|six",
            "machine add OW-001 corrin-12",
            "called OW-001 later 2026-12-14",
            "owner edit OW-001 --note was|written|down|twice,|as|OW-015:|name|Ida|Brandvolt",
        ],
    ),
]


@pytest.mark.parametrize(("stories", "slip", "mended", "meant"), SLIPS)
def test_a_slip_that_is_mended_leaves_every_list_as_if_it_had_never_been(
    stories: str,
    slip: list[str],
    mended: list[str],
    meant: list[str],
    demo_shop: Shop,
    run: Run,
    tmp_path: Path,
) -> None:
    twin = shutil.copytree(demo_shop.folder, tmp_path / "twin")
    do(run, twin, *meant)
    right = lists(run, twin, *stories.split())
    do(run, demo_shop.folder, *slip)
    assert lists(run, demo_shop.folder, *stories.split()) != right
    do(run, demo_shop.folder, *mended)
    assert lists(run, demo_shop.folder, *stories.split()) == right


def test_each_correction_says_in_a_line_what_it_was_and_what_it_is(
    demo_shop: Shop, run: Run
) -> None:
    told = {
        "machine edit M-003 --owner OW-004": "M-003: owner: was OW-003 Nguyễn Thị Bích; "
        "now OW-004 Owen Tarrowby",
        "machine edit M-004 --model heron-3": "M-004: model: was tarnwick-20; now heron-3",
        "machine edit M-004 --serial H3-1": "M-004: serial number: was T20-4471; now H3-1",
        "use M-001 --correct 9|hours|a|week --on 2025-11-20": "M-001: said on 20 November 2025: "
        "words: was “4-6 hours a week”; now “9 hours a week”",
        "service edit M-014 --left 32=watch": "M-014: service of 21 July 2026: 32 Hook race, six "
        "o'clock: was done; now done, left: watch",
        "stay edit M-012 --ready-by 2026-12-11": "M-012: stay J-002: to be ready by: was 4 "
        "December 2026; now 11 December 2026",
        "stay edit M-012 --left case": "M-012: stay J-002: left with it: was pedal, case, one "
        "bobbin; now case",
    }
    for words, line in told.items():
        said = run(*_words(words), shop=demo_shop.folder)
        assert line in said.stdout.splitlines(), said.output


def test_what_cannot_be_is_refused_in_a_line_and_changes_nothing(demo_shop: Shop, run: Run) -> None:
    for words in ("use M-014 meter|500|hours --on 2026-09-01", "use M-014 meter|520|hours"):
        assert run(*_words(words), shop=demo_shop.folder).exit_code == 0
    before = rows_in(demo_shop.folder / "shop.db")
    refused = {
        # the checks that are made when it is told first
        "use M-014 --correct meter|400|hours": "has fallen",
        "use M-014 --correct meter|5|hours --on 2026-10-01": "nothing was said on 2026-10-01",
        "service edit M-014 --day 2026-11-26": "--day 2026-11-26: is after today",
        "service edit M-014 --service 2026-07-20 --done 44": "there is no service of 2026-07-20",
        "service edit M-014 --not-done 45": "counts by a named check alone",
        "service edit M-014 --not-done 43": "left out without a reason: 43",
        "service edit M-014 --not-done 43=later": "by --back-on",
        "service edit M-014 --done 44 --not-done 44": "was either done or not",
        "service edit M-014": "say what of it was otherwise",
        "stay edit M-012 --collected 2026-11-24": "note it: oilchart collected",
        "stay edit M-012 --ready-by 2026-11-19": "--ready-by 2026-11-19: is before 2026-11-20",
        "stay edit M-001 --came-in 2025-11-19": "--ready 2025-11-18: is before 2025-11-19",
        "stay edit M-001 --collected 2026-11-26": "--collected 2026-11-26: is after today",
        "stay edit M-001 --job J-2 --collected 2025-11-24": "it has no stay J-2",
        "stay edit M-014 --left pedal": "was never checked in",
        "machine edit M-001 --owner OW-001": "is Ida Brandvold's already",
        "machine edit M-001 --model heron-3": "is written down so already",
        "machine edit M-001 --model heron-4": "there is no such model",
        "owner merge OW-001 --into OW-001 --yes": "name two owners",
        "owner merge OW-001 --into OW-002": "give --yes",
    }
    for words, why in refused.items():
        said = run(*_words(words), shop=demo_shop.folder)
        assert said.exit_code in (1, 2), words
        assert why in said.stderr, (words, said.stderr)
        assert rows_in(demo_shop.folder / "shop.db") == before, words


def test_points_that_the_right_model_has_not_got_are_told_and_stay_in_the_book(
    demo_shop: Shop, run: Run
) -> None:
    said = run("machine", "edit", "M-004", "--model", "corrin-12", shop=demo_shop.folder).stdout
    [line] = [each for each in said.splitlines() if each.startswith("Noted at its services")]
    assert "on the list of Corrin 12: " in line
    assert "motor-brushes-inspect" in line
    assert "kept in the book, and counted for nothing" in line
    explained = run("schedule", "M-004", shop=demo_shop.folder).stdout
    assert "motor" not in explained.casefold()
    run("machine", "edit", "M-004", "--drive", "treadle-stand", shop=demo_shop.folder)
    again = run("machine", "edit", "M-004", "--model", "tarnwick-20", shop=demo_shop.folder)
    assert "Noted at" not in again.stdout
    assert "; now those of Tarnwick 20\n" in again.stdout
    assert "treadle" not in run("schedule", "M-004", shop=demo_shop.folder).stdout.casefold()


def test_what_must_not_be_plugged_in_must_not_be_used_once_its_model_has_no_plug(
    demo_shop: Shop, run: Run
) -> None:
    run("unsafe", "M-004", "the lead crumbles", shop=demo_shop.folder)
    said = run("machine", "edit", "M-004", "--model", "corrin-12", shop=demo_shop.folder).stdout
    assert (
        "M-004: danger: was Do not plug in: the lead crumbles, since 25 November 2026; "
        "now Do not use: the lead crumbles, since 25 November 2026\n"
    ) in said
    safe = ("safe", "M-004", "--by", "J. Tarn", "it has no lead")
    assert run(*safe, shop=demo_shop.folder).exit_code == 0


def test_two_owners_are_shown_with_what_differs_before_they_are_put_together(
    demo_shop: Shop, run: Run
) -> None:
    added = run(
        "owner", "add", "Margaret Oakshot", "--phone", "020/79460107", shop=demo_shop.folder
    )
    assert besides_change(added.stderr) == (
        "OW-001 Ida Brandvold, 020 7946 0107: if that is the same person: "
        "oilchart owner merge OW-015 --into OW-001\n"
    )
    before = rows_in(demo_shop.folder / "shop.db")
    asked = run("owner", "merge", "OW-015", "--into", "OW-001", shop=demo_shop.folder)
    assert asked.exit_code == 2
    assert asked.stderr.splitlines()[:3] == [
        "OW-015 Margaret Oakshot, 020 7946 0107, no e-mail: no machine",
        "OW-001 Ida Brandvold, 020 7946 0107, no e-mail: M-001",
        "name: stays Ida Brandvold; of OW-015: Margaret Oakshot",
    ]
    assert rows_in(demo_shop.folder / "shop.db") == before
    done = run("owner", "merge", "OW-015", "--into", "OW-001", "--yes", shop=demo_shop.folder)
    assert done.stdout == "OW-015: was Margaret Oakshot; now OW-001 Ida Brandvold\n"
    assert "Margaret" not in run("owner", "list", shop=demo_shop.folder).stdout


def test_an_owner_of_another_name_and_number_is_no_twin(demo_shop: Shop, run: Run) -> None:
    added = run("owner", "add", "Jonas Amsel", "--phone", "020 7946 0199", shop=demo_shop.folder)
    assert besides_change(added.stderr) == ""
