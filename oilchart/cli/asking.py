"""What is asked before it is done; without anybody to answer it is refused."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TypeVar

import click

from oilchart.errors import FarAhead, OilchartError

_T = TypeVar("_T")


def at_terminal() -> bool:
    """Whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def once_sure(do: Callable[[bool], _T], *, yes: bool) -> _T:
    """Do something; where a day in it lies far ahead, ask first whether it is meant.

    Args:
        do: is given whether such days are taken; raises FarAhead, with nothing changed, where they
            are not.
        yes: they are, without asking.

    Raises:
        click.UsageError: nobody is there to be asked; OilchartError: the answer is no.
    """
    try:
        return do(yes)
    except FarAhead as far:
        make_sure(far.what, "keep it?")
    return do(True)


def make_sure(what: str, question: str) -> None:
    """Ask about something on stderr.

    Raises:
        click.UsageError: nobody is there to be asked; OilchartError: the answer is no.
    """
    if not at_terminal():
        raise click.UsageError(f"{what}; if it is meant, give --yes")
    if not click.confirm(f"{what}; {question}", err=True):
        raise OilchartError("nothing was changed")
