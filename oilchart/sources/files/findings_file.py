"""The small file of findings that a bench page saves; one of another kind, machine, model or day is
refused."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from oilchart import bounds
from oilchart.core.records.findings import Found, Left
from oilchart.core.records.job import Danger, ElectricalCheck
from oilchart.core.records.service_notes import ServiceNotes
from oilchart.errors import FaultyList, OilchartError, WrongValue, one_line, quoted
from oilchart.sources.files.toml_table import Table, day_of, is_deep, shown

KIND = "oilchart findings"
VERSIONS = (1, 2)  # the first knows no danger, reasons, names and checks
SAVE_AGAIN = "save the findings again on the bench page"

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedFindings:
    """What a bench page saved.

    Args:
        machine: None for the list of a model, which tells of no machine of the book.
        on: the day of the work.
        edition: the code of the list that the page was made by; empty where it does not say.
    """

    place: str
    model: str
    machine: str | None
    on: date
    told: ServiceNotes
    edition: str = ""

    def check_belongs(self, machine: str, model: str, on: date | None) -> None:
        """The findings must be those of this machine, and of this day where one is given.

        Raises:
            OilchartError
        """
        if self.machine is None:
            raise OilchartError(
                f"{self.place}: machine: is none: it is the list of a model; tick on the page of "
                f'the machine, "oilchart checklist {machine} -o {machine}.html", and '
                "save the findings there"
            )
        if self.machine != machine:
            raise OilchartError(
                f"{self.place}: machine: is {self.machine}, not {machine}; name the machine "
                "that was on the bench"
            )
        if self.model != model:
            raise OilchartError(
                f"{self.place}: model: is {self.model}, and {machine} is a {model}; name the "
                "machine that was on the bench"
            )
        if on not in (None, self.on):
            with_it = f"{SAVE_AGAIN} with the other day"
            raise WrongValue("on", on, f"{self.place} is of {self.on}", or_else=with_it)


def read_findings(path: Path, today: date) -> SavedFindings:
    """Read a file of findings.

    Args:
        today: the findings are of no later day.

    Raises:
        FaultyList: every fault of the file.
    """
    values = _read_json(path)
    if not isinstance(values, dict):
        raise FaultyList(
            [
                f"{path}: is no file of findings: {shown(values)}: name the file that the "
                "bench page saved"
            ]
        )
    table = Table(values, str(path))
    _check_kind(table)
    if table.faults:
        raise FaultyList(table.faults)
    model, machine, on = table.text("model"), table.optional("machine"), _day(table, today)
    done = table.words("done")
    if len(done) > bounds.FINDINGS_KEYS:
        table.fault("done", f"{len(done)} points", "is longer than any list", SAVE_AGAIN)
        raise FaultyList(table.faults)
    unsafe, danger = _unsafe(table)
    told = ServiceNotes(
        ticked=tuple(_points(table, "done", done)),
        found=_found(table),
        left=_left(table),
        why=_why(table),
        unsafe=unsafe,
        danger=danger,
        by=_short(table, "by"),
        check=_check(table, on),
        note=_note(table),
    )
    edition = _short(table, "edition")
    table.finish()
    noted = told.found or told.left or told.unsafe or told.check or told.note
    if not (done or noted or table.faults):
        nothing = "nothing is ticked and nothing noted"
        table.fault("done", list(done), nothing, f"tick what was done and {SAVE_AGAIN}")
    if table.faults or on is None:
        raise FaultyList(table.faults)
    return SavedFindings(
        place=one_line(str(path)), model=model, machine=machine, on=on, told=told, edition=edition
    )


def _read_json(path: Path) -> Any:
    try:
        data = _bytes_of(path)
        return _shallow(
            json.loads(
                data.decode("utf-8-sig"),
                object_pairs_hook=_once,
                parse_constant=_refuse_constant,
                parse_int=_short_int,
            )
        )
    except UnicodeDecodeError as error:
        raise FaultyList(
            [f"{path}: is not UTF-8 text at byte {error.start}: {SAVE_AGAIN}"]
        ) from None
    except json.JSONDecodeError as error:
        rest = error.doc[error.pos :].strip()
        within_word = any(word.startswith(rest) for word in ("true", "false", "null"))
        cut_off = within_word or error.msg.startswith("Unterminated")
        wrong = "ends too soon" if cut_off else f"is no file of findings: {error.msg}"
        raise FaultyList([f"{path}: line {error.lineno}: {wrong}: {SAVE_AGAIN}"]) from None
    except RecursionError:
        raise FaultyList(
            [f"{path}: is no file of findings: brackets too deep to be read: {SAVE_AGAIN}"]
        ) from None
    except ValueError as error:
        raise FaultyList([f"{path}: is no file of findings: {error}: {SAVE_AGAIN}"]) from None


def _bytes_of(path: Path) -> bytes:
    """The file, of which no more is read than a file of findings can have."""
    if path.is_fifo():
        raise FaultyList(
            [
                f"{path}: cannot be read: is a pipe, for which one would wait: name the file "
                "that the bench page saved"
            ]
        )
    try:
        with path.open("rb") as file:
            data = file.read(bounds.FINDINGS_BYTES + 1)
    except FileNotFoundError:
        raise FaultyList(
            [f"{path}: there is no such file: check its name; a browser saves into its downloads"]
        ) from None
    except OSError as error:
        raise FaultyList(
            [f"{path}: cannot be read: {error.strerror}: name the file that the bench page saved"]
        ) from None
    if len(data) > bounds.FINDINGS_BYTES:
        more = f"more than {bounds.FINDINGS_BYTES // 1024} kB"
        raise FaultyList(
            [f"{path}: is no file of findings: {more}: name the file that the bench page saved"]
        )
    return data


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object whose keys stand in it once."""
    if len(pairs) > bounds.FINDINGS_KEYS:
        raise ValueError(f"{len(pairs)} keys in one object, {bounds.FINDINGS_KEYS} are the most")
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"{quoted(key)} stands in it twice")
        found[key] = value
    return found


def _shallow(values: Any) -> Any:
    """What stands in brackets no deeper than findings need."""
    if is_deep(values):
        raise RecursionError
    return values


def _refuse_constant(name: str) -> Any:
    raise ValueError(f"{name} is no number")


def _short_int(digits: str) -> int:
    most = bounds.NUMBER_DIGITS
    if len(digits) > most:
        raise ValueError(f"{digits[:most]}... is too long a number")
    return int(digits)


def _check_kind(table: Table) -> None:
    """Only the kind and the version are held against what is known, before anything else is
    read."""
    kind, version = table.raw("kind"), table.raw("version")
    if kind != KIND:
        table.fault(
            "kind", kind, "is no file of findings", "name the file that the bench page saved"
        )
    elif type(version) is not int or version not in VERSIONS:
        table.fault(
            "version",
            version,
            f"is not one of those that are read, {' and '.join(map(str, VERSIONS))}",
            f"make the bench page anew and {SAVE_AGAIN}",
        )


def _day(table: Table, today: date) -> date | None:
    words = table.text("day")
    if not words:
        return None
    on = day_of(words) if re.fullmatch(r"\d{4}-\d{2}-\d{2}", words) else None
    if on is None or on < bounds.earliest_day(today):
        table.fault("day", words, "is no day of a service", SAVE_AGAIN)
        return None
    if on > today:
        table.fault(
            "day", words, f"is after today, {today}", f"{SAVE_AGAIN} with the day of the work"
        )
        return None
    return on


def _found(table: Table) -> tuple[tuple[str, tuple[Found, ...]], ...]:
    inner = _by_point(table, "found")
    return tuple(
        (point, words)
        for point in inner.names()
        if (words := inner.choices(point, Found, "word for as found"))
    )


def _left(table: Table) -> tuple[tuple[str, Left], ...]:
    inner = _by_point(table, "left")
    return tuple(
        (point, word) for point in inner.names() if (word := inner.choice(point, Left)) is not None
    )


def _why(table: Table) -> tuple[tuple[str, str], ...]:
    """Why points were left out, by id."""
    inner = _by_point(table, "left_out")
    return tuple((point, inner.text(point)) for point in inner.names())


def _unsafe(table: Table) -> tuple[str, Danger | None]:
    """Why the machine must not be plugged in or used, and of which kind that is."""
    inner = _part(table, "unsafe", "why and danger")
    if inner is None:
        return "", None
    why, danger = inner.text("why"), inner.choice("danger", Danger)
    inner.finish()
    return why, danger


def _check(table: Table, on: date | None) -> ElectricalCheck | None:
    """The electrical check made with the service."""
    inner = _part(table, "check", "by and passed")
    if inner is None:
        return None
    if not isinstance(inner.raw("passed"), bool):
        inner.fault("passed", inner.raw("passed"), "must be true or false", SAVE_AGAIN)
    check = ElectricalCheck(
        on=on or date.min,
        by=inner.text("by", most=bounds.NAME_LETTERS),
        passed=inner.raw("passed") is True,
        reading=_short(inner, "reading"),
        before=inner.flag("before"),
    )
    inner.finish()
    return check


def _part(table: Table, key: str, keys: str) -> Table | None:
    """The values under a key, None where there are none."""
    values = table.raw(key)
    if values is not None and not isinstance(values, dict):
        table.fault(key, values, f"must be words with {keys}", SAVE_AGAIN)
    if not isinstance(values, dict):
        return None
    return Table(values, f"{table.place}: {key}", table)


def _short(table: Table, key: str) -> str:
    """A name or a line, which may be empty."""
    value = table.raw(key)
    return "" if value in (None, "") else table.text(key, most=bounds.NAME_LETTERS)


def _by_point(table: Table, key: str) -> Table:
    """What stands under points' ids."""
    values = table.raw(key)
    if values is not None and not isinstance(values, dict):
        table.fault(key, values, "must be words by point", SAVE_AGAIN)
    points = values if isinstance(values, dict) else {}
    return Table(
        {point: points[point] for point in _points(table, key, list(points))},
        f"{table.place}: {key}",
        table,
    )


def _points(table: Table, key: str, ids: Sequence[str]) -> list[str]:
    """Those that can be ids of points; whether the machine's list has them is for the book to
    say."""
    for point in ids:
        if not _ID.fullmatch(point):
            table.fault(key, point, "is no point", SAVE_AGAIN)
    return [point for point in dict.fromkeys(ids) if _ID.fullmatch(point)]


def _note(table: Table) -> str:
    note = table.raw("note")
    if note is None:
        return ""
    if not isinstance(note, str):
        table.fault("note", note, "must be words", SAVE_AGAIN)
        return ""
    if len(note) > bounds.WORDS_LETTERS:
        table.fault(
            "note",
            f"{len(note)} letters",
            f"is longer than {bounds.WORDS_LETTERS}",
            f"shorten it and {SAVE_AGAIN}",
        )
    return one_line(note)
