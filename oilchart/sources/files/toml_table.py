"""A table of a TOML file, and all its faults at once, each with place, value met and remedy."""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Callable, Collection
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar

from oilchart import bounds
from oilchart.errors import FaultyList, nearest, one_line, shortened

TOP = "top of the file, above its first [table]"
_E = TypeVar("_E", bound=StrEnum)
_T = TypeVar("_T")


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file.

    Raises:
        FaultyList: one fault, with the line and column of broken TOML.
    """
    try:
        with path.open("rb") as file:
            data = file.read(bounds.TOML_BYTES + 1)
        if len(data) > bounds.TOML_BYTES:
            most = f"{bounds.TOML_BYTES // 1_000_000} MB"
            raise FaultyList([f"{path}: is larger than {most}: take out what is not needed"])
        # some editors begin a file with a mark, and some end its lines in two signs
        text = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
        values = tomllib.loads(text)
    except FileNotFoundError:
        raise FaultyList([f"{path}: there is no such file: check its name"]) from None
    except OSError as error:
        raise FaultyList([f"{path}: cannot be read: {error.strerror}"]) from None
    except UnicodeDecodeError as error:
        raise FaultyList(
            [f"{path}: is not UTF-8 text at byte {error.start}: save it as UTF-8"]
        ) from None
    except tomllib.TOMLDecodeError as error:
        raise FaultyList([f"{path}: is not valid TOML: {error}: mend that line"]) from None
    # what Python's reader of TOML lets through: thousands of digits, or of brackets
    except (ValueError, RecursionError):
        raise FaultyList(
            [f"{path}: has a number too long or brackets too deep to be read: take them out"]
        ) from None
    if is_deep(values):
        deep = f"keys or brackets deeper than {bounds.NESTING} in each other"
        raise FaultyList([f"{path}: has {deep}: take them out"])
    return values


def is_deep(values: object) -> bool:
    """Whether tables and lists lie so deep in each other that nothing of a shop can be meant."""
    level: list[object] = [values]
    for _ in range(bounds.NESTING):
        level = [
            inner
            for each in level
            if isinstance(each, dict | list)
            for inner in (each.values() if isinstance(each, dict) else each)
        ]
    return bool(level)


def toml_files(folder: Path, pattern: str) -> list[Path]:
    """The files that fit a pattern, sorted; hidden ones are left out, since editors and copying
    programs leave some behind."""
    return sorted(
        file for file in folder.glob(pattern) if file.is_file() and not file.name.startswith(".")
    )


def lies_within(path: Path, folder: Path) -> bool:
    """Whether a file that is named in another lies in a folder or below, wherever links lead."""
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):  # links in a circle; a NUL in the name
        return False


def shown(value: object) -> str:
    """A value as a fault shows it: as TOML has it, on one line, not too long."""
    try:
        match value:
            case str():
                text = f'"{one_line(value)}"'
            case bool():
                text = str(value).lower()
            case datetime.date() | datetime.time():
                text = value.isoformat()
            case _:
                text = repr(value)
    except ValueError:  # Python writes no number of more than 4,300 digits
        text = "a huge number"
    return shortened(text)


class Table:
    """One table of a file, which collects what is wrong in it; a stand-in is given back so that
    reading goes on.

    Args:
        place: file and table, for example `points/models/heron-3.toml: point "hook-race"`.
        within: the table with whose faults its own are collected; none where it stands alone.

    Attributes:
        faults: what must be mended before the file can be used, in the order in which it is read.
        doubts: what need not be mended, and is told on a check.
    """

    def __init__(self, values: object, place: str, within: Table | None = None) -> None:
        self.place = one_line(place)
        self.faults: list[str] = [] if within is None else within.faults
        self.doubts: list[str] = [] if within is None else within.doubts
        self._asked: set[str] = set()
        # the file and the tables that stand once in it, like [bench], as far as they were read
        self._sections: dict[str, Table] = {"": self} if within is None else within._sections
        if within is not None and (name := self.place.rpartition(": ")[2]).startswith("["):
            self._sections[name] = self
        self._changed_at: dict[str, str] = {}
        self._values: dict[str, Any] = values if isinstance(values, dict) else {}
        if not isinstance(values, dict):
            self.fault("", values, "is not a table", "write it as a table of key = value lines")

    @property
    def is_changed(self) -> bool:
        """Whether other values stand in the place of some."""
        return bool(self._changed_at)

    def __contains__(self, key: str) -> bool:
        return key in self._values

    def fault(self, key: str, value: object, wrong: str, remedy: str) -> None:
        """Add a fault of one key."""
        self.faults.append(f"{self._at(key)}: {wrong}: {shown(value)}; {remedy}")

    def doubt(self, key: str, value: object, odd: str, remedy: str) -> None:
        """Add a doubt of one key."""
        self.doubts.append(f"{self._at(key)}: {shown(value)}: {odd}; {remedy}")

    def missing(self, key: str, remedy: str) -> None:
        """Add the fault of a key that must be there and is not."""
        self.faults.append(f"{self._at(key)}: is missing; {remedy}")

    def text(
        self, key: str, *, default: str | None = None, most: int = bounds.WORDS_LETTERS
    ) -> str:
        """A text that must be there, unless a default is given.

        Args:
            most: letters that are taken.
        """
        value = self._take(key)
        if value is None and default is not None:
            return default
        if value is None:
            self.missing(key, f'write {key} = "..."')
            return ""
        if not isinstance(value, str) or not value.strip():
            self.fault(key, value, "must be words", f'write {key} = "..."')
            return ""
        return self._within(key, value, most)

    def optional(self, key: str) -> str | None:
        """A text that may be left out."""
        return self.text(key) if self._take(key) is not None else None

    def _within(self, key: str, words: str, most: int) -> str:
        """Words on one line; those that are too long are told, and what they begin with stands for
        them."""
        if len(words) > most:
            self.fault(key, f"{len(words)} letters", f"is longer than {most}", "shorten it")
        return one_line(words[:most])

    def choice(self, key: str, kind: type[_E], *, default: _E | None = None) -> _E | None:
        """One of a fixed set of words; None where it is left out or wrong."""
        value = self._take(key)
        if value is None:
            if default is None:
                self.missing(key, f"write one of: {', '.join(kind)}")
            return default
        if isinstance(value, str) and value in set(kind):
            return kind(value)
        self.fault(
            key, value, "is not known", f"write one of: {', '.join(kind)}{_hint(value, kind)}"
        )
        return default

    def known(self, key: str, value: str, known: Collection[str], what: str) -> bool:
        """Say whether a value is one of the known names, adding a fault if it is not."""
        if value in known:
            return True
        self.fault(
            key,
            value,
            f"there is no such {what}",
            nearest(value, known).removeprefix("; ") or "there is none at all",
        )
        return False

    def known_text(self, key: str, known: Collection[str], what: str) -> str:
        """A text that must be there and be one of the known names."""
        value = self.text(key)
        if value:
            self.known(key, value, known, what)
        return value

    def words(self, key: str, *, most: int = bounds.WORDS_LETTERS) -> tuple[str, ...]:
        """A list of texts, empty where it is left out.

        Args:
            most: letters of each that are taken.
        """
        value = self._take(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(
            isinstance(item, str) and item.strip() for item in value
        ):
            self.fault(key, value, "must be a list of words", f'write {key} = ["...", "..."]')
            return ()
        return tuple(self._within(key, item, most) for item in value)

    def choices(self, key: str, kind: type[_E], what: str) -> tuple[_E, ...]:
        """A list of words of a fixed set, each once, empty where it is left out."""
        words = dict.fromkeys(self.words(key))
        return tuple(kind(word) for word in words if self.known(key, word, [*kind], what))

    def flag(self, key: str) -> bool:
        """True or false, false where it is left out."""
        value = self._take(key)
        if value is None or isinstance(value, bool):
            return bool(value)
        self.fault(key, value, "must be true or false", f"write {key} = true")
        return False

    def number(
        self,
        key: str,
        *,
        above: float = 0,
        below: int = bounds.NUMBER_BELOW,
        or_equal: bool = False,
        default: Fraction | None = None,
    ) -> Fraction | None:
        """A number between two bounds, or equal to the lower one; the default, or None with a
        fault, where it is left out."""
        value = self._take(key)
        if value is None:
            if default is None:
                self.missing(key, f"write {key} = a number")
            return default
        fits = isinstance(value, int | float) and not isinstance(value, bool) and value < below
        if not fits or not (value > above or (or_equal and value == above)):
            least = f"of {above:g} or more" if or_equal else f"above {above:g}"
            too_much = fits is False and isinstance(value, int | float) and value >= below
            upper = f", below {below}" if too_much else ""
            self.fault(key, value, "must be a number", f"write a number {least}{upper}")
            return default
        return Fraction(str(value))

    def whole(self, key: str, *, least: int = 1, most: int = bounds.NUMBER_BELOW - 1) -> int | None:
        """A whole number, None where it is left out."""
        value = self._take(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            self.fault(
                key, value, "must be a whole number", f"write a whole number from {least} to {most}"
            )
            return None
        return value

    def day(self, key: str) -> datetime.date | None:
        """A day, None where it is left out."""
        value = self._take(key)
        found = day_of(value)
        if value is not None and found is None:
            self.fault(key, value, "is not a day", f"write {key} = 2026-11-25")
        return found

    def names(self) -> list[str]:
        """All keys that stand in it."""
        return list(self._values)

    def change(self, values: dict[str, Any], place: str) -> None:
        """Put other values in the place of some keys; what is wrong with them is told at the place
        they come from."""
        self._values = {**self._values, **values}
        self._changed_at = dict.fromkeys(values, one_line(place))

    def raw(self, key: str) -> Any:
        """Whatever stands there, for a reader of its own."""
        return self._take(key)

    def table(self, key: str, name: str) -> Table:
        """The table under a key, with a place of its own."""
        return Table(self._take(key), f"{self.place}: {name}", self)

    def tables(self, key: str, place: Callable[[int, dict[str, Any]], str]) -> list[Table]:
        """The tables of a list of tables, each with a place of its own; what is no table is a fault
        and left out."""
        value = self._take(key)
        if value is None:
            return []
        if not isinstance(value, list):
            self.fault(
                key, value, "must be a list of tables", f"write [[{key}]] above each of them"
            )
            return []
        named = [
            (item, place(at, item if isinstance(item, dict) else {}))
            for at, item in enumerate(value, start=1)
        ]
        tables = [Table(item, f"{self.place}: {name}", self) for item, name in named]
        return [table for table, item in zip(tables, value, strict=True) if isinstance(item, dict)]

    def named_tables(self, key: str) -> dict[str, dict[str, Any]]:
        """The tables of a table of tables, by name."""
        value = self._take(key)
        if value is None:
            return {}
        if not isinstance(value, dict) or not all(
            isinstance(item, dict) for item in value.values()
        ):
            self.fault(key, value, "must be tables", f"write [{key}.NAME] above each of them")
            return {}
        return value

    def read_with(self, key: str, reader: Callable[[str], _T], remedy: str) -> _T | None:
        """A text that a reader of its own understands; the reader's ValueError is a fault."""
        words = self.text(key)
        if not words:
            return None
        try:
            return reader(words)
        except ValueError as error:
            self.fault(key, words, str(error), remedy)
            return None

    def finish(self) -> None:
        """Add a fault for every key that nothing asked for."""
        unknown = [key for key in self._values if key not in self._asked]
        for key in unknown[: bounds.UNKNOWN_KEYS]:
            remedy = self._where_known(key) or nearest(key, self._asked)
            self.faults.append(f"{self._at(key)}: is not a known key{remedy}")
        more = len(unknown) - bounds.UNKNOWN_KEYS
        if more > 0:
            self.faults.append(f"{self.place}: has {more} more keys that are not known")

    def _where_known(self, key: str) -> str:
        """Say where in the file a key stands that stands at the wrong place; empty for others."""
        sections = self._sections if self in self._sections.values() else {}
        known = [name for name, table in sections.items() if key in table._asked]
        if not known:
            return ""
        return f" here; write it below {known[0]}" if known[0] else f" here; write it at the {TOP}"

    def _at(self, key: str) -> str:
        """Place and key, as a fault begins."""
        place = self._changed_at.get(key.partition(".")[0], self.place)
        return f"{place}: {one_line(key)}" if key else place

    def _take(self, key: str) -> Any:
        self._asked.add(key)
        return self._values.get(key)


def _hint(value: object, kind: type[StrEnum]) -> str:
    near = nearest(shown(value), kind)
    return near if "did you mean" in near else ""


def day_of(value: object) -> datetime.date | None:
    """A day as TOML or a text gives it; None where it is none."""
    if isinstance(value, datetime.datetime):
        return None
    if isinstance(value, datetime.date):
        return value
    if isinstance(value, str):
        try:
            return datetime.date.fromisoformat(value.strip())
        except ValueError:
            return None
    return None
