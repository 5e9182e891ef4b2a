"""What vague words are taken for: `points/words.toml`, and what a shop's own says otherwise."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from oilchart.core.units import PERIOD_DAYS
from oilchart.core.use.report import SewingPace
from oilchart.errors import FaultyList, quoted
from oilchart.sources.packaged import packaged

Range = tuple[Fraction, Fraction]  # low, high

FILE = "words.toml"
_TABLES = (
    "amounts", "about", "or_so", "sittings", "often", "altogether", "odd", "zigzag", "pace",
    "pass_over",
)  # fmt: skip
_NUMBER = r"\d+(?:\.\d+|/[1-9]\d*)?"
_RANGE = re.compile(rf"({_NUMBER})(?:-({_NUMBER}))?")
_OF_A_TIME = re.compile(rf"(\S+) a ({'|'.join(PERIOD_DAYS)})")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WordList:
    """Vague words, in small letters, and what each is taken for.

    Args:
        amounts: so many of whatever is counted.
        about: factors of the low and the high end of a number after it.
        or_so: the same of a number before it.
        sittings: hours at the machine of one sitting of a kind.
        often: so many of a kind of sitting in a week, by words that end with the kind.
        altogether: hours in so many days.
        odd: so many in a year.
        zigzag: share of the sewing.
        pass_over: words that say nothing.
        joints: words that only join others.
    """

    amounts: Mapping[str, Range]
    about: Mapping[str, Range]
    or_so: Mapping[str, Range]
    sittings: Mapping[str, Range]
    often: Mapping[str, Range]
    altogether: Mapping[str, tuple[Range, Fraction]]
    odd: Mapping[str, Range]
    zigzag: Mapping[str, Fraction]
    pace: Mapping[str, SewingPace]
    pass_over: frozenset[str]
    joints: frozenset[str]


def read_word_list(folders: Sequence[Path]) -> WordList:
    """The word lists of points folders; a line of a later one stands in the place of an earlier.

    Raises:
        FaultyList: every line that cannot be read.
    """
    files = [path for folder in folders if (path := folder / FILE).is_file()]
    return _read(tuple((str(path), path.read_bytes()) for path in files))


@cache
def words_that_come_along() -> WordList:
    """The list of the program."""
    return read_word_list([packaged("points")])


@cache
def _read(files: tuple[tuple[str, bytes], ...]) -> WordList:
    faults: list[str] = []
    found: dict[str, dict[str, object]] = {table: {} for table in _TABLES}
    for path, data in files:
        for table, lines in _tables(path, data, faults):
            found[table].update({words.casefold(): (path, value) for words, value in lines})
    read = {
        table: dict(_values(table, lines, faults))
        for table, lines in found.items()
        if table != "pass_over"
    }
    if faults:
        raise FaultyList(faults)
    return WordList(
        **read,  # type: ignore[arg-type]
        pass_over=_single_words(found["pass_over"].get("words"))
        | frozenset(_listed(found["pass_over"].get("groups"))),
        joints=_single_words(found["pass_over"].get("joints")),
    )


def _listed(line: object) -> Iterable[str]:
    """The entries of a list of words."""
    listed = line[1] if isinstance(line, tuple) else ()
    return [str(words).casefold() for words in listed] if isinstance(listed, list) else ()


def _single_words(line: object) -> frozenset[str]:
    return frozenset(str(line[1]).casefold().split()) if isinstance(line, tuple) else frozenset()


def _tables(
    path: str, data: bytes, faults: list[str]
) -> Iterable[tuple[str, Iterable[tuple[str, object]]]]:
    """The tables of a file that are known, each with its lines."""
    try:
        tables = tomllib.loads(data.decode())
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        faults.append(f"{path}: is no TOML file: {error}; mend it there")
        return
    for name, lines in tables.items():
        if name not in _TABLES or not isinstance(lines, dict):
            faults.append(f"{path}: [{name}]: is not known there; there are {', '.join(_TABLES)}")
        else:
            yield name, lines.items()


def _values(
    table: str, lines: Mapping[str, object], faults: list[str]
) -> Iterable[tuple[str, object]]:
    for words, line in lines.items():
        path, value = line if isinstance(line, tuple) else ("", line)
        read = _value(table, str(value))
        if read is None:
            faults.append(
                f"{path}: [{table}]: {quoted(words)}: {quoted(str(value))} cannot be read; "
                f"write it as the list that comes along does"
            )
        else:
            yield words, read


def _value(table: str, text: str) -> object:
    """What a line of a table says; None where it cannot be read."""
    if table == "pace":
        return next((pace for pace in SewingPace if pace == text), None)
    if table == "altogether":
        timed = _OF_A_TIME.fullmatch(text)
        amount = _range(timed[1]) if timed else None
        return (amount, PERIOD_DAYS[timed[2]]) if timed and amount else None
    amount = _range(text)
    if table == "zigzag":
        return amount[0] if amount and amount[0] == amount[1] <= 1 else None
    return amount


def _range(text: str) -> Range | None:
    """5-8, or one number for both ends."""
    found = _RANGE.fullmatch(text)
    if found is None:
        return None
    low, high = Fraction(found[1]), Fraction(found[2] or found[1])
    return (low, high) if low <= high else None
