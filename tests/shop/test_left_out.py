"""What a service leaves out, told on the command line: carried over, or wanted back on a day."""

from __future__ import annotations

import io
import json
from datetime import date
from typing import Any

import click
import pypdf
import pytest

from oilchart.cli.commands import services as cli_services
from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.shop_steps import the_machine
from tests.conftest import Run

FIRST = "2025-11-25"


@pytest.fixture
def heron(fresh_shop: Shop, run: Run) -> Shop:
    """A shop with a machine that was served a year ago, its lamp too."""
    for words in (
        ["owner", "add", "Ida Brandvold"],
        ["machine", "add", "Ida", "heron-3"],
        ["use", "M-001", "2 hours a week", "--on", FIRST],
        ["serviced", "M-001", *TESTED, "--on", FIRST],
    ):
        done = run(*words, shop=fresh_shop.folder)
        assert done.exit_code == 0, done.output
    return fresh_shop


def schedule(run: Run, shop: Shop, today: str = "2026-11-25") -> dict[str, Any]:
    told = run("schedule", "M-001", "--json", shop=shop.folder, today=today)
    parsed: dict[str, Any] = json.loads(told.stdout)
    return parsed


def points(told: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {each["id"]: each for each in told["points"]}


def test_a_lamp_left_out_twice_in_a_row_moves_no_service_and_is_told_as_carried_over(
    heron: Shop, run: Run
) -> None:
    assert (
        run("serviced", "M-001", *TESTED, "--except", "lamp-inspect", shop=heron.folder).exit_code
        == 0
    )
    once = schedule(run, heron)
    [following, *_] = [each["on"] for each in once["services"]]
    assert following > "2027-01-01"
    assert (once["state"], points(once)["lamp-inspect"]["carried_over"]) == (
        "in time",
        "2026-11-25",
    )
    again = run(
        "serviced", "M-001", *TESTED, "--except", "lamp-inspect", shop=heron.folder, today=following
    )
    assert again.exit_code == 0
    twice = schedule(run, heron, today=following)
    assert points(twice)["lamp-inspect"]["carried_over"] == following
    assert twice["services"][0]["on"] > following
    assert "lamp-inspect" in twice["services"][0]["points"]


def test_what_cannot_wait_wants_a_day_and_nothing_is_written_without_one(
    heron: Shop, run: Run
) -> None:
    refused = run("serviced", "M-001", "--yes", "--except", "insulation-test", shop=heron.folder)
    assert refused.exit_code == 2
    assert "cannot wait for its next service: Insulation and earth, whole machine" in refused.output
    assert "--back-on" in refused.output
    assert len(the_machine(heron, "M-001").services) == 1
    kept = run(
        "serviced", "M-001", "--yes", "--except", "insulation-test", "--back-on", "2026-12-16",
        shop=heron.folder,
    )  # fmt: skip
    assert kept.exit_code == 0, kept.output
    assert schedule(run, heron)["services"][0]["on"] == "2026-12-16"


def test_at_a_terminal_the_day_is_asked_for_and_taken(
    heron: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def answered(question: str, **options: Any) -> date:
        assert (question, options["err"]) == ("Back on", True)
        day: date = options["type"].convert("2026-12-16", None, None)
        return day

    monkeypatch.setattr(cli_services, "at_terminal", lambda: True)
    monkeypatch.setattr(click, "prompt", answered)
    kept = run("serviced", "M-001", "--yes", "--except", "insulation-test", shop=heron.folder)
    assert kept.exit_code == 0, kept.output
    assert kept.stderr.count("cannot wait for its next service") == 1
    assert schedule(run, heron)["services"][0]["on"] == "2026-12-16"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--back-on", "2026-12-16"], "nothing was left out that cannot wait"),
        (["--except", "insulation-test", "--back-on", "2026-11-25"], "is not after the service"),
        (
            ["--except", "insulation-test", "--back-on", "2027-11-26"],
            "is more than 12 months",
        ),
        (["--only", "belt-inspect", "--also", "lamp-inspect"], "with --also and with --only"),
        (["--only", "belt-inspect", "--freed"], "--only is no whole service"),
    ],
)
def test_what_contradicts_itself_is_refused(
    heron: Shop, run: Run, words: list[str], told: str
) -> None:
    refused = run("serviced", "M-001", *TESTED, *words, shop=heron.folder)
    assert refused.exit_code in (1, 2)
    assert told in refused.output
    assert len(the_machine(heron, "M-001").services) == 1


def test_work_at_one_point_leaves_the_rest_as_it_was_and_ends_what_was_carried_over(
    heron: Shop, run: Run
) -> None:
    run(
        "serviced",
        "M-001",
        *TESTED,
        "--except",
        "lamp-inspect",
        "--on",
        "2026-11-20",
        shop=heron.folder,
    )
    before = points(schedule(run, heron))
    assert before["lamp-inspect"]["carried_over"] == "2026-11-20"
    done = run("serviced", "M-001", "--only", "lamp-inspect", shop=heron.folder)
    assert done.exit_code == 0, done.output
    after = points(schedule(run, heron))
    assert (after["lamp-inspect"]["done"], after["lamp-inspect"]["carried_over"]) == (
        "2026-11-25",
        None,
    )
    same = [each for each in before if each != "lamp-inspect"]
    assert [after[each] for each in same] == [before[each] for each in same]


@pytest.mark.parametrize("name", ["44", "lamp-inspect", "holder and shade"])
def test_a_point_is_named_by_number_id_or_a_part_of_its_place(
    heron: Shop, run: Run, name: str
) -> None:
    assert run("serviced", "M-001", *TESTED, "--except", name, shop=heron.folder).exit_code == 0
    assert points(schedule(run, heron))["lamp-inspect"]["carried_over"] == "2026-11-25"


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("motor", "fits "),
        ("99", "has no such point"),
        ("9" * 5_000, '9999...": Heron 3 has no such point'),
        ("lamp-inspct", "did you mean lamp-inspect"),
    ],
)
def test_a_name_that_fits_none_or_several_points_is_refused_with_what_comes_near(
    heron: Shop, run: Run, name: str, told: str
) -> None:
    refused = run("serviced", "M-001", *TESTED, "--except", name, shop=heron.folder)
    assert refused.exit_code == 1
    assert told in refused.output
    assert len(refused.output.splitlines()) == 1


def test_findings_are_told_by_the_signs_of_the_paper_and_words_stay_words(
    heron: Shop, run: Run
) -> None:
    done = run(
        "serviced", "M-001", *TESTED,
        "--found", "32=DG", "--found", "35=WORN", "--found", "44=good",
        "--left", "35=+", shop=heron.folder,
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    noted = {each.point: each for each in the_machine(heron, "M-001").services[-1].findings}
    assert [str(word) for word in noted["hook-race-oil"].found] == ["dry", "gummed"]
    assert [str(word) for word in noted["belt-inspect"].found] == ["worn"]
    assert str(noted["belt-inspect"].left) == "part ordered"
    assert [str(word) for word in noted["lamp-inspect"].found] == ["good"]


def test_a_machine_that_is_wanted_back_has_a_call_of_its_own_that_says_for_what(
    heron: Shop, run: Run
) -> None:
    for words in (
        ["machine", "add", "Ida", "heron-3"],
        ["use", "M-002", "2 hours a week", "--on", FIRST],
        ["serviced", "M-002", *TESTED, "--on", "2026-01-05"],
        ["serviced", "M-001", "--yes", "--back-on", "2026-12-16"],
    ):
        done = run(*words, shop=heron.folder)
        assert done.exit_code == 0, done.output
    calls = json.loads(run("calls", "--weeks", "8", "--json", shop=heron.folder).stdout)
    assert [(each["about"], each["machines"], each["on"]) for each in calls][:1] == [
        ("come back", ["M-001"], "2026-12-02")
    ]
    assert [each["machines"] for each in calls if each["about"] == "service"] == [["M-002"]]
    sheet = run("calls", "--weeks", "8", "-o", "-", shop=heron.folder).stdout_bytes
    text = " ".join(pypdf.PdfReader(io.BytesIO(sheet)).pages[0].extract_text().split())
    assert "wanted back by Wednesday 16 December 2026 for: M-001: Insulation and earth" in text
    assert "about what its service left out and cannot wait" in " ".join(
        run("machine", "show", "M-001", shop=heron.folder).stdout.split()
    )
    tested = ("electrical", "M-001", "--by", "R. Amsel", "--pass", "--on", "2026-11-25")
    assert run(*tested, shop=heron.folder).exit_code == 0
    calls = json.loads(run("calls", "--weeks", "8", "--json", shop=heron.folder).stdout)
    assert "come back" not in [each["about"] for each in calls]
