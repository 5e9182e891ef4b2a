"""Command lines in processes of their own that are struck while they run: killed, or with a system
call that fails.

Each is forked off a process that has loaded the program already, so that a try takes no longer than
the command.
"""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import tempfile
import time
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from oilchart.cli import main
from tests.builders.outside import need

PROCESSES = multiprocessing.get_context("forkserver")
PROCESSES.set_forkserver_preload(
    [
        "pytest",
        "sqlalchemy.dialects.sqlite",
        "tests.builders.struck",
        *(
            f"oilchart.cli.commands.{name}"
            for name in ("checkin", "jobs", "machines", "owners", "services", "called")
        ),
        "oilchart.cli.commands.papers.calls",
        "oilchart.cli.commands.papers.calendars",
    ]
)


@dataclass(frozen=True)
class Ended:
    """How a command line ended.

    Args:
        code: of its exit; of the signal, below 0, where it was killed.
        seconds: from its begin to its end.
    """

    code: int
    stderr: str
    seconds: float


def undisturbed(*words: str) -> Ended:
    """Run a command line to its end."""
    return _run(words)


def killed(*words: str, after_seconds: float) -> Ended:
    """Run a command line and kill it, unless it has ended by then."""
    return _run(words, kill_after=after_seconds)


def with_call(*words: str, call: str, number: int, fate: str) -> Ended:
    """Run a command line in which one system call does not do what it should.

    Args:
        call: its name, like "pwrite64".
        number: which of these calls, from 1.
        fate: "signal=KILL", or "error=ENOSPC" and the like, in the words of strace.
    """
    return _run(words, strike=f"{call}:{fate}:when={number}")


def _run(words: tuple[str, ...], kill_after: float | None = None, strike: str = "") -> Ended:
    with tempfile.TemporaryDirectory() as folder:
        stderr = Path(folder, "stderr")
        begin, go = PROCESSES.Pipe(duplex=False)
        process = PROCESSES.Process(target=_command_line, args=(words, stderr, begin))
        process.start()
        assert process.pid is not None
        tracer = _traced(process.pid, strike) if strike else None
        begun = time.monotonic()
        go.send_bytes(b"go")
        process.join(60 if kill_after is None else kill_after)
        process.kill()
        process.join()
        seconds = time.monotonic() - begun
        if tracer is not None:
            tracer.wait(10)
        begin.close()
        go.close()
        assert process.exitcode is not None
        said = stderr.read_text(encoding="utf-8") if stderr.exists() else ""
        return Ended(code=process.exitcode, stderr=said, seconds=seconds)


def _command_line(words: tuple[str, ...], stderr: Path, begin: Connection) -> None:
    begin.recv_bytes()
    os.dup2(os.open(stderr, os.O_CREAT | os.O_WRONLY, 0o600), 2)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    main(list(words))


def _traced(pid: int, strike: str) -> subprocess.Popen[bytes]:
    """Have strace sit on a process before it begins."""
    tracer = subprocess.Popen(
        [need("strace"), "-qq", "-p", str(pid), "-o", os.devnull, "-e", f"inject={strike}"],
        stderr=subprocess.DEVNULL,
    )
    give_up = time.monotonic() + 10
    while "TracerPid:\t0\n" in Path(f"/proc/{pid}/status").read_text(encoding="utf-8"):
        assert tracer.poll() is None and time.monotonic() < give_up, "strace cannot trace here"
        time.sleep(0.002)
    return tracer
