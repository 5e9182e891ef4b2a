"""A real calendar program and a real calendar server take the feed: nothing is doubled, and the
server gives back what it got."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import icalendar
import pytest

from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.outside import need
from tests.conftest import Run

PROPERTIES = (
    "UID",
    "DTSTART",
    "DTEND",
    "SUMMARY",
    "DESCRIPTION",
    "SEQUENCE",
    "STATUS",
    "TRANSP",
    "RRULE",
    "CATEGORIES",
)


def events(data: bytes) -> dict[str, dict[str, bytes]]:
    """Every entry by uid, property by property, as it is written."""
    found = {}
    for event in icalendar.Calendar.from_ical(data).events:
        values: dict[str, Any] = {name: event[name] for name in PROPERTIES if name in event}
        found[str(event["UID"])] = {
            name: value.to_ical() if hasattr(value, "to_ical") else value
            for name, value in values.items()
        }
    return found


@pytest.fixture
def khal(tmp_path: Path) -> Iterator[tuple[list[str], Path]]:
    """The command line of a calendar program with an empty calendar, and the calendar's folder."""
    need("khal")
    folder = tmp_path / "own calendar"
    folder.mkdir()
    config = tmp_path / "khal.conf"
    config.write_text(
        f"[calendars]\n[[own]]\npath = {folder}\ntype = calendar\n[sqlite]\npath = "
        f"{tmp_path / 'khal.db'}\n"
        "[locale]\nlocal_timezone = UTC\ndefault_timezone = UTC\ndateformat = "
        "%Y-%m-%d\nlongdateformat = %Y-%m-%d\n"
        "timeformat = %H:%M\ndatetimeformat = %Y-%m-%d %H:%M\nlongdatetimeformat = %Y-%m-%d "
        "%H:%M\n[default]\ndefault_calendar = own\n"
    )
    yield [sys.executable, "-W", "ignore", "-m", "khal", "-c", str(config)], folder


def test_a_calendar_program_that_imports_the_feed_twice_has_every_call_once(
    khal: tuple[list[str], Path], demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    command, folder = khal
    counts = []
    for today, change in ((TODAY, None), (TODAY, ("called", "Ida", "later", "2026-12-14"))):
        if change:
            run(*change, shop=demo_shop.folder, today=today)
        run("calendar", "-o", "calls.ics", shop=demo_shop.folder, today=today)
        for _ in range(2):
            done = subprocess.run(
                [*command, "import", "--batch", str(tmp_path / "calls.ics")],
                capture_output=True,
                text=True,
                check=False,
            )
            assert done.returncode == 0, done.stderr
            counts.append(len(list(folder.glob("*.ics"))))
    assert counts == [len(events((tmp_path / "calls.ics").read_bytes()))] * 4
    listed = subprocess.run(
        [*command, "list", "--format", "{title}", "2026-12-14", "1d"], capture_output=True,
        text=True, check=True
    ).stdout  # fmt: skip
    assert listed.count("Ida Brandvold") == 1


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@pytest.fixture
def server(tmp_path: Path) -> Iterator[str]:
    """A calendar server of one's own on this machine; its address for one calendar."""
    need("radicale")
    port = free_port()
    options = [
        "--server-hosts",
        f"127.0.0.1:{port}",
        "--auth-type",
        "none",
        "--storage-filesystem-folder",
        str(tmp_path / "server"),
    ]
    # what it says goes nowhere: nobody reads it, and a full pipe would stop it
    running = subprocess.Popen(
        [sys.executable, "-W", "ignore", "-m", "radicale", "--config", "", *options],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "HOME": str(tmp_path)},
    )
    address = f"http://127.0.0.1:{port}/ida/calls/"
    try:
        for _ in range(200):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/.web/", timeout=5).close()
                break
            except (urllib.error.URLError, ConnectionError):
                time.sleep(0.05)
        urllib.request.urlopen(
            urllib.request.Request(f"http://127.0.0.1:{port}/ida/", method="MKCOL"), timeout=5
        ).close()
        yield address
    finally:
        running.terminate()
        running.wait(10)


def test_a_calendar_server_takes_the_feed_and_gives_the_same_back(
    server: str, demo_shop: Shop, run: Run
) -> None:
    for words in ((), ("--services",), ("M-016",)):
        data = run("calendar", *words, "-o", "-", shop=demo_shop.folder).stdout_bytes
        headers = {"Content-Type": "text/calendar; charset=utf-8"}
        request = urllib.request.Request(server, data=data, method="PUT", headers=headers)
        with urllib.request.urlopen(request, timeout=30) as answer:
            assert answer.status == 201
        with urllib.request.urlopen(server, timeout=30) as answer:
            assert events(answer.read()) == events(data)
