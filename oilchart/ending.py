"""How a run ends that is told to stop, by Ctrl-C or a signal: at once, in one line, with no part
of a file left; and whether it has recorded anything, which its last line must tell truly.

This is set up before anything else is loaded, and so rests on the standard library alone.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from enum import Enum
from types import FrameType

SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP")  # the last is not known everywhere


class Recorded(Enum):
    """Whether a run has recorded anything in a book, and what a run that is stopped says of it."""

    NOTHING = "stopped; nothing was left half done"
    PERHAPS = "stopped while it was being recorded; look whether it is, before you give it again"
    SOMETHING = "stopped after it was recorded"


class _Run:
    """What a stop must know of the run."""

    def __init__(self) -> None:
        self.recorded = Recorded.NOTHING
        self.in_hand: list[Callable[[], None]] = []
        self.is_deaf = False  # while it clears away, and when all is done
        self.is_telling = False

    def stop(self, number: int, _frame: FrameType | None) -> None:
        """Clear away what is in hand, say so, and leave without another word.

        Nothing is raised: an exception would come up in whatever runs at that moment, and may be
        swallowed or printed there. Books and files are whole at any moment all the same.
        """
        if self.is_deaf:
            return
        if self.is_telling:  # and nobody takes the line
            os._exit(128 + number)
        self.is_deaf = True
        for drop in reversed(self.in_hand):
            with suppress(Exception):
                drop()
        self.is_deaf, self.is_telling = False, True
        below_the_sign = "\n" if number == signal.SIGINT and os.isatty(2) else ""
        with suppress(OSError):
            os.write(2, f"{below_the_sign}oilchart: {self.recorded.value}\n".encode())
        os._exit(128 + number)


_run = _Run()


def stop_at_signals() -> None:
    """Have signals end this process as said above; one that was ignored when it began, as by nohup,
    is ignored still."""
    for name in SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) != signal.SIG_IGN:
            signal.signal(number, _run.stop)


def be_over() -> None:
    """Take no more notice of signals: what was asked for is done."""
    _run.is_deaf = True


def at_stop(drop: Callable[[], None]) -> None:
    """Have a stop call `drop` first, as long as the run goes on."""
    _run.in_hand.append(drop)


@contextmanager
def in_hand(drop: Callable[[], None]) -> Iterator[None]:
    """While this goes on, a stop calls `drop` first."""
    _run.in_hand.append(drop)
    try:
        yield
    finally:
        _run.in_hand.remove(drop)


@contextmanager
def recording() -> Iterator[None]:
    """While something is being recorded for good; once this ends without an error, it is."""
    before = _run.recorded
    if before is Recorded.NOTHING:
        _run.recorded = Recorded.PERHAPS
    try:
        yield
    except BaseException:
        _run.recorded = before
        raise
    _run.recorded = Recorded.SOMETHING


def forget_recorded() -> None:
    """Nothing is recorded: a run begins, or all that it recorded was removed again."""
    _run.recorded = Recorded.NOTHING


def is_recorded() -> bool:
    """Whether anything was recorded since the run began."""
    return _run.recorded is Recorded.SOMETHING
