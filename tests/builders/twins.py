"""Two shops that lived the same but for a slip that was taken back or mended: what is done in them
by words, and all that their lists and stories say."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

from tests.conftest import Run

LISTS = (("due", "--all", "--json"), ("calls", "--weeks", "104", "--json"))


def live(run: Run, folder: Path, *steps: str) -> list[int]:
    """Do what each line says, none of which may be refused; the numbers of the changes made.

    A line begins with its day. A bar stands for a blank within a word.
    """
    changes: list[int] = []
    for line in steps:
        day, *words = (word.replace("|", " ") for word in line.split())
        done = run("--today", day, *words, shop=folder)
        assert done.exit_code == 0, (line, done.output)
        made = re.search(r"^Change (\d+); to take it back", done.stderr, re.MULTILINE)
        changes += [int(made[1])] if made else []
    return changes


def all_that_is_said(run: Run, folder: Path, day: str, *whose: str) -> dict[str, str]:
    """What the lists say on a day, and the schedules and stories of machines and owners: of those
    named, or else of all. Numbers are counted off in their order, whatever they are."""
    said = {}

    def say(*words: str) -> str:
        done = run("--today", day, *words, shop=folder)
        assert done.exit_code == 0, (words, done.output)
        said[" ".join(words)] = done.stdout
        return done.stdout

    for words in LISTS:
        say(*words)
    for each in whose or _everybody(say):
        if each.startswith("OW-"):
            say("owner", "show", each)
            continue
        say("machine", "show", each)
        if f'"{each}"' in said["due --all --json"]:
            say("schedule", each, "--json")
    return _counted_off(said)


def _everybody(say: Callable[..., str]) -> list[str]:
    """The numbers of all machines, those that are gone, too, and all owners."""
    lists = (("machine", "list"), ("machine", "list", "--gone"), ("owner", "list"))
    return [each[what] for what, *more in lists for each in json.loads(say(what, *more, "--json"))]


def _counted_off(said: dict[str, str]) -> dict[str, str]:
    number = re.compile(r"\b(M|OW|J)-(\d{3,})\b")
    found = {each.groups() for words in (*said, *said.values()) for each in number.finditer(words)}
    places = {
        each: f"{kind} {place}"
        for kind in ("M", "OW", "J")
        for place, each in enumerate(sorted(one for one in found if one[0] == kind))
    }

    def place_of(match: re.Match[str]) -> str:
        return places[match[1], match[2]]

    return {number.sub(place_of, words): number.sub(place_of, text) for words, text in said.items()}
