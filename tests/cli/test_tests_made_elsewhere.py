"""A shop whose electrical tests others make: no list, paper or question asks for one, and papers
say so."""

from __future__ import annotations

from pathlib import Path

import click
import pypdf
import pytest

from oilchart.cli.commands import init
from oilchart.papers.wording import TESTED_ELSEWHERE
from oilchart.shop.folder import Shop
from tests.conftest import Run

TEST = "insulation-test"


@pytest.fixture
def elsewhere(demo_shop: Shop) -> Path:
    settings = demo_shop.folder / "shop.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(
        text.replace("[bench]\n", '[bench]\nelectrical_tests = "elsewhere"\n', 1), encoding="utf-8"
    )
    return demo_shop.folder


def words_of(file: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(file).pages).split())


@pytest.mark.parametrize("whose", [("M-001",), ("--model", "heron-3")])
def test_papers_of_a_machine_with_a_plug_say_that_others_test_it_and_ask_for_no_test(
    elsewhere: Path, run: Run, tmp_path: Path, whose: tuple[str, ...]
) -> None:
    for paper in ("checklist", "card"):
        assert run(paper, *whose, "-o", f"{paper}.pdf", shop=elsewhere).exit_code == 0
        assert TESTED_ELSEWHERE in words_of(tmp_path / f"{paper}.pdf")
    checklist = words_of(tmp_path / "checklist.pdf")
    assert "Insulation and earth" not in checklist
    assert "Electrical check" not in checklist
    assert run("checklist", *whose, "-o", "page.html", shop=elsewhere).exit_code == 0
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert TESTED_ELSEWHERE in page
    assert TEST not in page
    schedule = run("schedule", *whose, "--json", shop=elsewhere).stdout
    assert "lamp-inspect" in schedule
    assert TEST not in schedule


def test_no_paper_says_so_where_the_shop_tests_or_there_is_no_plug(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    for whose in (("M-001",), ("--model", "heron-3")):
        assert run("checklist", *whose, "-o", "here.pdf", shop=demo_shop.folder).exit_code == 0
        assert TESTED_ELSEWHERE not in words_of(tmp_path / "here.pdf")
        assert "Electrical check" in words_of(tmp_path / "here.pdf")
    settings = demo_shop.folder / "shop.toml"
    settings.write_text(
        settings.read_text(encoding="utf-8").replace(
            "[bench]\n", '[bench]\nelectrical_tests = "elsewhere"\n', 1
        ),
        encoding="utf-8",
    )
    assert run(
        "checklist",
        "--model",
        "family-straight-treadle",
        "-o",
        "treadle.pdf",
        shop=demo_shop.folder,
    )
    assert TESTED_ELSEWHERE not in words_of(tmp_path / "treadle.pdf")


def test_the_list_of_a_model_keeps_the_test_that_others_make(elsewhere: Path, run: Run) -> None:
    assert TEST in run("models", "show", "heron-3", shop=elsewhere).stdout


def test_a_service_told_as_a_whole_asks_for_no_test(elsewhere: Path, run: Run) -> None:
    answer = run("serviced", "M-001", "--yes", shop=elsewhere)
    assert answer.exit_code == 0, answer.stderr
    assert "Insulation" not in answer.stdout


@pytest.mark.parametrize(("answer", "kept"), [(True, "here"), (False, "elsewhere")])
def test_a_new_shop_is_asked_at_a_terminal(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: bool, kept: str
) -> None:
    asked: list[str] = []

    def confirm(question: str, *, default: bool, err: bool) -> bool:
        asked.append(question)
        assert default and err
        return answer

    monkeypatch.setattr(init, "at_terminal", lambda: True)
    monkeypatch.setattr(click, "confirm", confirm)
    assert run("init", "shop").exit_code == 0
    settings = (tmp_path / "shop" / "shop.toml").read_text(encoding="utf-8")
    assert f'electrical_tests = "{kept}"' in settings
    assert run("init", "shop").exit_code == 1
    assert asked == ["Do you make the electrical tests yourself?"]


def test_a_new_shop_without_a_terminal_makes_its_tests_itself(run: Run, tmp_path: Path) -> None:
    assert run("init", "shop").exit_code == 0
    settings = (tmp_path / "shop" / "shop.toml").read_text(encoding="utf-8")
    assert 'electrical_tests = "here"' in settings
