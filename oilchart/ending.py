"""How a run ends that is told to stop, by Ctrl-C or a signal: at once, in one line, with no part
of a file left; and whether it has recorded anything, which its last line must tell truly.

This is set up before anything else is loaded, and so rests on the standard library alone.
"""

from __future__ import annotations

import _thread  # for its threads, which nothing waits for; the larger module takes long to load
import os
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from enum import Enum
from types import FrameType

UNHEARD_SECONDS = 0.2  # after which the run is stopped in the middle of what it waits for
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
        self.is_over = False
        self.is_stopping = False
        self.is_telling = False
        self.first = _thread.allocate_lock()  # is had by who stops the run

    def stop(self, number: int, _frame: FrameType | None) -> None:
        """Clear away what is in hand, say so, and leave without another word.

        Nothing is raised: an exception would come up in whatever runs at that moment, and may be
        swallowed or printed there. Books and files are whole at any moment all the same.
        """
        if self.is_over:
            return
        if not self.first.acquire(blocking=False):
            if self.is_telling:  # and nobody takes the line
                os._exit(128 + number)
            return
        self.is_stopping = True
        for drop in reversed(self.in_hand):
            with suppress(Exception):
                drop()
        self.is_telling = True
        below_the_sign = "\n" if number == signal.SIGINT and os.isatty(2) else ""
        with suppress(OSError):
            os.write(2, f"{below_the_sign}oilchart: {self.recorded.value}\n".encode())
        os._exit(128 + number)

    def watch(self, told: int) -> None:
        """Stop the run in a thread of its own where the main one hears no signal, since it waits in
        a library: for an answer, for a pipe to be opened, for a book that another program holds.

        Args:
            told: from which the number of a signal can be read.
        """
        [number] = os.read(told, 1)
        time.sleep(UNHEARD_SECONDS)
        self.stop(number, None)


_run = _Run()


def stop_at_signals() -> None:
    """Have signals end this process as said above; one that was ignored when it began, as by nohup,
    is ignored still."""
    told, tells = os.pipe()
    if hasattr(os, "set_blocking"):
        os.set_blocking(tells, False)
    signal.set_wakeup_fd(tells, warn_on_full_buffer=False)
    _thread.start_new_thread(_run.watch, (told,))
    for number in _heard():
        signal.signal(number, _run.stop)


def be_over() -> None:
    """Take no more notice of signals: what was asked for is done. Python gives up its handlers
    before it ends, and a signal would then kill it."""
    _run.is_over = True
    for number in _heard():
        signal.signal(number, signal.SIG_IGN)


def _heard() -> list[signal.Signals]:
    """The signals that are not ignored."""
    known = [getattr(signal, name) for name in SIGNALS if hasattr(signal, name)]
    return [number for number in known if signal.getsignal(number) != signal.SIG_IGN]


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
    while _run.is_stopping:  # in the other thread: what it says must stay true
        time.sleep(1)
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
