"""Every list fits the screen it is shown on, whole words and all; in a pipe a row is a line."""

from __future__ import annotations

import re
from collections.abc import Iterator

import click
import pytest
from rich.cells import cell_len

from oilchart.cli import context, main
from oilchart.papers.screen import NARROWEST, PIPE, Screen
from oilchart.shop.folder import Shop
from tests.builders.commands import commands_of
from tests.conftest import Run

NOT_SHOWN = re.compile(r"Not shown, the window\s+is\s+too\s+narrow: ([^.]+)\.")
# what is shown beside the lists that need no words: one machine, one owner, one model
SHOWN = (
    "due --all",
    "calls --weeks 20",
    "machine list --gone",
    "machine show M-001",
    "machine show M-012",
    "owner show OW-001",
    "models show heron-3",
    "models show --diff heron-3 velmora-7",
    "schedule M-003 --months 12",
    "schedule M-004",
)


def lists() -> Iterator[str]:
    """Every command that prints a list and needs no words, and what is shown of one thing."""
    for name, command in commands_of(main):
        needs = any(
            isinstance(param, click.Argument) and param.required for param in command.params
        )
        options = {option for param in command.params for option in param.opts}
        if "--json" in options and not needs and name not in {"schedule", "models show"}:
            yield name
    yield from SHOWN


LISTS = list(lists())


@pytest.fixture
def long_shop(demo_shop: Shop, run: Run) -> Shop:
    """The demo with a long name, two dangers, a machine that is gone, wishes and outcomes."""
    for words in (
        ("owner", "add", "Theodosia Marchbanks-Featherstonehaugh of the Upper Mill Weaving Shed"),
        ("machine", "add", "OW-015", "family-computerised", "--serial", "1234567890-ABCDEF-XYZ"),
        ("use", "M-019", "5-8 hours a week; idle Jul-Aug; busy Oct-Dec x2; mostly zigzag"),
        ("unsafe", "M-004", "hinge pin of the head cracked right through", "--mechanical"),
        ("unsafe", "M-004", "the insulation of the motor lead crumbles"),
        ("owner", "edit", "OW-001", "--best-time", "Tuesdays after six, never on market days"),
        ("called", "OW-001", "left-message", "--note", "asked her neighbour to tell her"),
        ("machine", "gone", "M-008", "moved-on"),
    ):
        done = run(*words, shop=demo_shop.folder)
        assert done.exit_code == 0, (words, done.stderr)
    return demo_shop


def shown(run: Run, shop: Shop, patch: pytest.MonkeyPatch, words: str, width: int | None) -> str:
    """What a list prints on a screen so wide, or in a pipe."""
    screen = PIPE if width is None else Screen(columns=width, colour=False)
    patch.setattr(context, "screen_of", lambda *, is_terminal: screen)
    done = run(*words.split(), shop=shop.folder)
    assert done.exit_code == 0, done.stderr
    return done.stdout


def words_of(text: str) -> set[str]:
    """Its words, but those so long that a column may have to fold them."""
    return {word for word in text.split() if len(word) <= NARROWEST and "─" not in word}


@pytest.mark.parametrize("words", LISTS)
def test_no_list_is_wider_than_its_screen_and_none_loses_a_word(
    long_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch, words: str
) -> None:
    pipe = shown(run, long_shop, monkeypatch, words, None)
    for width in (40, 80, 100, 140):
        text = shown(run, long_shop, monkeypatch, words, width)
        wide = [line for line in text.splitlines() if cell_len(line) > width]
        assert not wide, (width, wide)
        if width >= 80 and not NOT_SHOWN.search(text):
            assert words_of(pipe) <= words_of(text), width


def test_due_leaves_out_chance_and_because_before_all_else_and_never_contact(
    long_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    hidden = {}
    for width in (80, 100, 110, 120, 140, 200):
        text = shown(run, long_shop, monkeypatch, "due", width)
        found = NOT_SHOWN.search(text)
        hidden[width] = found[1].split(", ") if found else []
        heads = text.splitlines()[0]
        assert "Contact" in heads
        assert not any(re.search(rf"\b{head}\b", heads) for head in hidden[width])
        assert words_of("left message") <= words_of(text)
    assert hidden[80] == ["Days", "Chance", "Because"]
    assert hidden[200] == []
    for fewer, more in zip(list(hidden)[1:], hidden, strict=False):
        assert set(hidden[fewer]) <= set(hidden[more])
    for named in hidden.values():
        assert named == ["Days", "Chance", "Because"][3 - len(named) :]
    assert NOT_SHOWN.search(shown(run, long_shop, monkeypatch, "due", None)) is None


def test_on_a_telephone_each_row_is_a_block_with_all_that_is_known(
    long_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = shown(run, long_shop, monkeypatch, "due", 40)
    assert "\n\nState      ▲ overdue\nMachine    M-003 Heron 3\n" in text
    assert "Chance     sure\nBecause    use\nContact    24 Nov 2026: no answer\n" in text
