"""Listening to what an owner says: what is missing is asked for on a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

import click

from oilchart.cli.asking import at_terminal
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.use.report import still_unclear
from oilchart.errors import UnclearWords, UnreadableWords
from oilchart.papers.heard_words import effect_words, heard
from oilchart.shop.reports import Told

_T = TypeVar("_T")

YES = ("y", "yes")
MOST_ASKED = 3  # questions about one phrase; at a check-in and on a call one


def heard_out(
    words: str, keep: Callable[[str, bool], _T], *, as_said: bool, goes_on: bool = False
) -> _T:
    """Keep an owner's words; on a terminal ask for what is missing first.

    Args:
        keep: is given the words, and whether they are kept as said where they are not clear; else
            it raises what is to be asked, with nothing changed.
        as_said: they are kept as said, without asking.
        goes_on: one question at most, then they are kept as said.

    Raises:
        UnreadableWords: they are not clear, and nobody answers.
    """
    if as_said or not words or not at_terminal():
        return keep(words, as_said)
    for _ in range(1 if goes_on else MOST_ASKED):
        try:
            return keep(words, False)
        except UnreadableWords as unclear:
            if not goes_on and not isinstance(unclear, UnclearWords):
                raise
            answer = _answered(unclear)
            if not answer:
                break
            words = _with_answer(words, answer, unclear)
    return keep(words, goes_on)


def _with_answer(words: str, answer: str, unclear: UnreadableWords) -> str:
    """Words with what was answered to a question about them; yes to a word that was meant puts it
    in its place."""
    meant = unclear.instead if isinstance(unclear, UnclearWords) else ""
    if meant and (answer.casefold() in YES or answer.casefold() in meant.casefold().split()):
        return meant
    return f"{words}; {answer}"


def _answered(unclear: UnreadableWords) -> str:
    """What is answered to a question about words; empty for nothing."""
    question = unclear.question if isinstance(unclear, UnclearWords) else str(unclear)
    answer: str = click.prompt(
        question, default="", show_default=False, err=True, prompt_suffix=suffix_of(question)
    )
    return answer.strip()


def suffix_of(question: str) -> str:
    """What stands between a question and its answer."""
    return " " if question.endswith("?") else ": "


def tell_heard(whose: str, told: Told) -> None:
    """Say back what was heard, how it was reckoned, and what it changes."""
    click.echo(f"{whose}: heard: {heard(told.report) or 'nothing that is clear.'}")
    if told.report.conversion:
        click.echo(f"Reckoned: {told.report.conversion}.")
    if told.left_aside:
        click.echo(f"Left aside: {', '.join(f'“{words}”' for words in told.left_aside)}.")
    if effect := effect_words(told.schedule_before, told.schedule):
        click.echo(effect)


def tell_unclear(records: Iterable[MachineRecord]) -> None:
    """Say of machines what is still to be asked of words that are not understood."""
    for record in records:
        unclear = still_unclear(record.reports)
        if unclear is not None:
            words, question = unclear.words, unclear.unclear
            click.echo(f"{record.number}: still to ask of “{words}”: {question}")
