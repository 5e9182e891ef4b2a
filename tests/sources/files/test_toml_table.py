"""How a TOML file is read: broken files, and the faults of one table told all at once with key,
value met and remedy."""

from __future__ import annotations

import datetime
import re
import tomllib
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.bounds import TOML_BYTES
from oilchart.errors import FaultyList, nearest, one_line
from oilchart.sources.files.toml_table import Table, day_of, read_toml, shown, toml_files
from tests.counts import counted

HUGE = 16**5000
HUGE_LINE = "k = 0x" + "f" * 5000


def test_a_file_larger_than_any_of_a_shop_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_bytes(b"#" * (TOML_BYTES + 1))
    with pytest.raises(FaultyList) as refusal:
        read_toml(tmp_path / "x.toml")
    assert refusal.value.faults == (
        f"{tmp_path / 'x.toml'}: is larger than 5 MB: take out what is not needed",
    )


@pytest.mark.parametrize("value", ["[" * 31 + "]" * 31, "{a = " * 31 + "1" + "}" * 31])
def test_brackets_too_deep_in_each_other_are_refused(tmp_path: Path, value: str) -> None:
    (tmp_path / "x.toml").write_text(f"k = {value}")
    with pytest.raises(FaultyList, match="deeper than 30 in each other: take them out"):
        read_toml(tmp_path / "x.toml")


def test_of_many_unknown_keys_some_are_told_and_the_others_counted() -> None:
    table = Table({f"key{at}": 1 for at in range(10_000)}, "x.toml")
    table.finish()
    assert len(table.faults) == 21
    assert table.faults[-1] == "x.toml: has 9980 more keys that are not known"


class Colour(StrEnum):
    RED = "red"
    BLUE = "blue"


def table(toml: str) -> Table:
    return Table(tomllib.loads(toml), "list.toml")


# --- files
# --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "wrong"),
    [
        # broken syntax, with the line
        (
            b'name = "A"\nmaker "B"\n',
            r"is not valid TOML: .*\(at line 2, column \d+\): mend that line",
        ),
        (b"name = 'A", r"is not valid TOML: .*: mend that line"),
        (b"a = 1\na = 2\n", r"is not valid TOML: .*\(at line 2, column \d+\): mend that line"),
        (b"a = 2026-02-30\n", r"is not valid TOML: .*\(at line 1, column \d+\): mend that line"),
        # another encoding
        (b'name = "N\xe4hmaschine"', "is not UTF-8 text at byte 9: save it as UTF-8"),
        ('name = "A"'.encode("utf-16"), "is not UTF-8 text at byte 0: save it as UTF-8"),
        (b'name = "A\0"', r"is not valid TOML: .*: mend that line"),
        (b"[a]\n[b]\n[a]\n", r"is not valid TOML: .*\(at line 3, column \d+\): mend that line"),
        # more than Python's reader of TOML can hold
        (
            b"a = " + b"9" * 5000,
            "has a number too long or brackets too deep to be read: take them out",
        ),
        (
            b"a = " + b"[" * 50_000,
            "has a number too long or brackets too deep to be read: take them out|is not valid "
            "TOML: .*",
        ),
    ],
    ids=[
        "no equals sign",
        "no closing quote",
        "a key twice",
        "an impossible day",
        "latin-1",
        "UTF-16",
        "the letter NUL",
        "a table twice",
        "a huge number",
        "many brackets",
    ],
)
def test_a_file_that_cannot_be_read_is_one_fault(
    tmp_path: Path, content: bytes, wrong: str
) -> None:
    path = tmp_path / "list.toml"
    path.write_bytes(content)
    with pytest.raises(FaultyList) as caught:
        read_toml(path)
    assert re.fullmatch(f"{re.escape(str(path))}: (?:{wrong})", str(caught.value))


def test_a_file_that_is_not_there_is_one_fault(tmp_path: Path) -> None:
    with pytest.raises(FaultyList, match=r"list.toml: there is no such file: check its name$"):
        read_toml(tmp_path / "list.toml")


def test_a_folder_in_the_place_of_a_file_is_one_fault(tmp_path: Path) -> None:
    with pytest.raises(FaultyList, match=f"^{tmp_path}: cannot be read: Is a directory$"):
        read_toml(tmp_path)


def test_an_empty_file_and_a_byte_order_mark_are_no_faults_of_themselves(tmp_path: Path) -> None:
    path = tmp_path / "list.toml"
    path.write_bytes(b"")
    assert read_toml(path) == {}
    path.write_bytes(b'\xef\xbb\xbfname = "A"\r\n')  # as some editors save it
    assert read_toml(path) == {"name": "A"}


def test_hidden_files_folders_and_dangling_links_are_not_lists(tmp_path: Path) -> None:
    (tmp_path / "b.toml").touch()
    (tmp_path / "a.toml").touch()
    # a copy of what a file system of another kind keeps beside a file
    (tmp_path / "._a.toml").touch()
    (tmp_path / ".#b.toml").symlink_to("user@bench.4711")  # an editor's lock
    (tmp_path / "c.toml").mkdir()
    (tmp_path / "a.txt").touch()
    assert toml_files(tmp_path, "*.toml") == [tmp_path / "a.toml", tmp_path / "b.toml"]


# --- values
# --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("oil", '"oil"'),
        ("two\nlines\x1b", '"two lines"'),
        (True, "true"),
        (1.5, "1.5"),
        (float("nan"), "nan"),
        (["a", 1], "['a', 1]"),
        (datetime.date(2026, 2, 1), "2026-02-01"),
        (datetime.datetime(2026, 2, 1, 9, tzinfo=datetime.UTC), "2026-02-01T09:00:00+00:00"),
        # cut at 60 letters
        ("x" * 58, '"' + "x" * 58 + '"'),
        ("x" * 59, '"' + "x" * 56 + "..."),
        # Python writes no number of more than 4,300 digits
        (HUGE, "a huge number"),
        ([HUGE], "a huge number"),
    ],
    ids=lambda value: None if isinstance(value, str) else type(value).__name__,
)
def test_a_value_is_shown_as_the_file_has_it_on_one_short_line(value: object, text: str) -> None:
    assert shown(value) == text


@pytest.mark.parametrize(
    ("value", "day"),
    [
        (datetime.date(2026, 3, 1), datetime.date(2026, 3, 1)),
        (" 2026-03-01 ", datetime.date(2026, 3, 1)),
        (datetime.datetime(2026, 3, 1, 12, tzinfo=datetime.UTC), None),
        ("2026-02-30", None),
        ("soon", None),
        (20260301, None),
    ],
)
def test_a_day_is_a_date_or_its_words(value: object, day: datetime.date | None) -> None:
    assert day_of(value) == day


@pytest.mark.parametrize(
    ("toml", "read", "value"),
    [
        # texts lose blanks at their ends, and the line breaks of long strings
        ('k = " a b "', lambda t: t.text("k"), "a b"),
        ('k = """\none\ntwo"""', lambda t: t.text("k"), "one two"),
        ("", lambda t: t.text("k", default="d"), "d"),
        ("", lambda t: t.optional("k"), None),
        ('k = "red"', lambda t: t.choice("k", Colour), Colour.RED),
        ("", lambda t: t.choice("k", Colour, default=Colour.BLUE), Colour.BLUE),
        ('k = ["a ", "b"]', lambda t: t.words("k"), ("a", "b")),
        ("", lambda t: t.words("k"), ()),
        ("k = true", lambda t: t.flag("k"), True),
        ("", lambda t: t.flag("k"), False),
        # numbers are exact as written
        ("k = 0.1", lambda t: t.number("k"), Fraction(1, 10)),
        ("k = 3", lambda t: t.number("k"), Fraction(3)),
        ("k = 1e-3", lambda t: t.number("k"), Fraction(1, 1000)),
        ("k = 0", lambda t: t.number("k", or_equal=True), Fraction(0)),
        ("", lambda t: t.number("k", default=Fraction(7)), Fraction(7)),
        ("k = 1", lambda t: t.whole("k"), 1),
        ("k = 0", lambda t: t.whole("k", least=0), 0),
        ("", lambda t: t.whole("k"), None),
        ("[k.a]\nb = 1", lambda t: t.named_tables("k"), {"a": {"b": 1}}),
        ("", lambda t: t.named_tables("k"), {}),
    ],
)  # fmt: skip
def test_a_value_that_fits_is_read_without_a_fault(toml: str, read: Any, value: object) -> None:
    given_table = table(toml)
    assert read(given_table) == value
    given_table.finish()
    assert given_table.faults == []


@pytest.mark.parametrize(
    ("toml", "read", "fault"),
    [
        # missing
        ("", lambda t: t.text("k"), 'k: is missing; write k = "..."'),
        ("", lambda t: t.choice("k", Colour), "k: is missing; write one of: red, blue"),
        ("", lambda t: t.number("k"), "k: is missing; write k = a number"),
        # of another type, booleans for numbers too
        ("k = 1", lambda t: t.text("k"), 'k: must be words: 1; write k = "..."'),
        ('k = "  "', lambda t: t.text("k"), 'k: must be words: ""; write k = "..."'),
        ("k = true", lambda t: t.optional("k"), 'k: must be words: true; write k = "..."'),
        ('k = ["red"]', lambda t: t.choice("k", Colour),
         "k: is not known: ['red']; write one of: red, blue; did you mean red?"),
        ('k = "a"', lambda t: t.words("k"),
         'k: must be a list of words: "a"; write k = ["...", "..."]'),
        ('k = ["a", 1]', lambda t: t.words("k"),
         "k: must be a list of words: ['a', 1]; write k = [\"...\", \"...\"]"),
        ('k = "yes"', lambda t: t.flag("k"), 'k: must be true or false: "yes"; write k = true'),
        ("k = 1", lambda t: t.flag("k"), "k: must be true or false: 1; write k = true"),
        ("k = true", lambda t: t.number("k"), "k: must be a number: true; write a number above 0"),
        ('k = "1"', lambda t: t.number("k"), 'k: must be a number: "1"; write a number above 0'),
        ("k = false", lambda t: t.whole("k", least=0),
         "k: must be a whole number: false; write a whole number from 0 to 999999999"),
        ("k = 1.0", lambda t: t.whole("k"),
         "k: must be a whole number: 1.0; write a whole number from 1 to 999999999"),
        ("k = 1", lambda t: t.tables("k", lambda at, _: str(at)),
         "k: must be a list of tables: 1; write [[k]] above each of them"),
        ("k = [1]", lambda t: t.tables("k", lambda at, _: f"k {at}"),
         "k 1: is not a table: 1; write it as a table of key = value lines"),
        ("k = 1", lambda t: t.named_tables("k"),
         "k: must be tables: 1; write [k.NAME] above each of them"),
        ("[k]\na = 1", lambda t: t.named_tables("k"),
         "k: must be tables: {'a': 1}; write [k.NAME] above each of them"),
        # out of bounds, huge and not a number at all
        ("k = 0", lambda t: t.number("k"), "k: must be a number: 0; write a number above 0"),
        ("k = -1", lambda t: t.number("k", or_equal=True),
         "k: must be a number: -1; write a number of 0 or more"),
        ("k = nan", lambda t: t.number("k"), "k: must be a number: nan; write a number above 0"),
        ("k = inf", lambda t: t.number("k"),
         "k: must be a number: inf; write a number above 0, below 1000000000"),
        ("k = 1e300", lambda t: t.number("k"),
         "k: must be a number: 1e+300; write a number above 0, below 1000000000"),
        (HUGE_LINE, lambda t: t.number("k"),
         "k: must be a number: a huge number; write a number above 0, below 1000000000"),
        (HUGE_LINE, lambda t: t.whole("k", most=9),
         "k: must be a whole number: a huge number; write a whole number from 1 to 9"),
        ("k = 11", lambda t: t.whole("k", most=10),
         "k: must be a whole number: 11; write a whole number from 1 to 10"),
        # not one of the known ones, with the nearest
        ('k = "blew"', lambda t: t.choice("k", Colour),
         'k: is not known: "blew"; write one of: red, blue; did you mean blue?'),
        ('k = "oil"', lambda t: t.choice("k", Colour),
         'k: is not known: "oil"; write one of: red, blue'),
        ('k = "tub"', lambda t: t.known_text("k", ["tube", "jar"], "box"),
         'k: there is no such box: "tub"; did you mean tube?'),
        ('k = "x"', lambda t: t.known_text("k", ["tube", "jar"], "box"),
         'k: there is no such box: "x"; there are: jar, tube'),
        # keys nobody asked for
        ("kk = 1", lambda t: t.optional("k"), "kk: is not a known key; did you mean k?"),
        ('"two\\nlines" = 1', lambda t: t.optional("k"),
         "two lines: is not a known key; there are: k"),
    ],
)  # fmt: skip
def test_a_value_that_does_not_fit_is_one_fault_with_key_value_and_remedy(
    toml: str, read: Any, fault: str
) -> None:
    given_table = table(toml)
    read(given_table)
    given_table.finish()
    assert given_table.faults == [f"list.toml: {fault}"]


def test_a_reader_of_its_own_says_what_is_wrong_with_its_text() -> None:
    given_table = table('k = "soon"')
    assert given_table.read_with("k", int, "write a whole number") is None
    assert given_table.faults == [
        "list.toml: k: invalid literal for int() with base 10: 'soon': \"soon\"; write a whole "
        "number",
    ]


def test_what_is_wrong_with_a_changed_key_is_told_where_the_change_stands() -> None:
    given_table = table("a = 1\nb = 2")
    given_table.change({"b": True, "c": 3}, "own.toml: change")
    given_table.text("a")
    given_table.number("b")
    given_table.fault("b.part", 2, "is wrong", "write 3")
    given_table.finish()
    assert [fault.partition(": must")[0].partition(": is")[0] for fault in given_table.faults] == [
        "list.toml: a",
        "own.toml: change: b",
        "own.toml: change: b.part",
        "own.toml: change: c",
    ]


KEYS = st.sampled_from(
    [
        "text",
        "choice",
        "words",
        "flag",
        "number",
        "whole",
        "tables",
        "named",
        "with",
        "strange\nkey",
    ]
)
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=80)
    | st.dates()
    | st.datetimes()
    | st.builds(lambda: HUGE),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=5,
)


@counted
@given(VALUES | st.dictionaries(KEYS, VALUES))
def test_whatever_a_table_holds_its_faults_are_single_lines(values: Any) -> None:
    given_table = Table(values, "a place\nof two lines")
    given_table.text("text")
    given_table.choice("choice", Colour)
    given_table.words("words")
    given_table.flag("flag")
    given_table.number("number")
    given_table.whole("whole")
    for inner in given_table.tables("tables", lambda at, item: f"{at} {item.get('id')}"):
        inner.text("text")
        inner.finish()
    given_table.named_tables("named")
    given_table.read_with("with", int, "write a whole number")
    given_table.finish()
    assert len(given_table.faults) >= 1 or len(values) >= 4  # four of the keys must be there
    for fault in given_table.faults:
        assert fault.startswith("a place of two lines: ")
        assert len(fault.splitlines()) == 1


# --- names
# --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "known", "said"),
    [
        ("heron3", ["heron-3", "velmora-7"], "; did you mean heron-3?"),
        ("HERON-3", ["heron-3", "velmora-7"], "; did you mean heron-3?"),
        ("oil", ["boil", "oils", "grease"], "; did you mean oils or boil?"),
        # nothing near: the first few there are
        ("zzz", ["b", "a"], "; there are: a, b"),
        ("zzz", list("abcdefghij"), "; there are: a, b, c, d, e, f, g, h, ..."),
        ("zzz", [], ""),
    ],
)
def test_the_nearest_names_are_offered(name: str, known: list[str], said: str) -> None:
    assert nearest(name, known) == said


@counted
@given(st.text())
def test_a_text_on_one_line_has_only_letters_that_are_seen_and_single_blanks(text: str) -> None:
    line = one_line(text)
    assert line.isprintable()
    assert line == line.strip()
    assert "  " not in line
    assert one_line(line) == line
