"""Bad input: one line that names the place, what is wrong, the value met and what to do; nothing is
changed, and no traceback."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import Result

from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from tests.builders.commands import TESTED
from tests.builders.make import TODAY
from tests.builders.snapshot import everything_in
from tests.conftest import Run

OURS, USAGE = 1, 2
WRITE_IT_LIKE = (
    'write it like "5-8 hours a week", "2 evenings a week, mostly zigzag", '
    '"120 hours since 2026-03-01; idle Jul-Aug"'
)


@pytest.fixture
def refused(run: Run, tmp_path: Path) -> Callable[..., list[str]]:
    """Run what must be refused: the lines of the refusal, once nothing was changed or printed;
    `models` prints the other models."""

    def lines_of(*words: object, code: int = OURS, **options: object) -> list[str]:
        before = everything_in(tmp_path)
        result: Result = run(*words, **options)
        assert result.exit_code == code, result.stderr
        assert ("heron-3" in result.stdout) if words == ("models",) else result.stdout == ""
        assert result.stderr.startswith("oilchart: ")
        assert result.stderr.endswith("\n")
        assert everything_in(tmp_path) == before
        return result.stderr.removeprefix("oilchart: ").splitlines()

    return lines_of


@pytest.mark.parametrize(
    ("words", "said"),
    [
        # commands and options that are not there, with the nearest
        ("shedule M-001", 'command "shedule": there is no such command; did you mean schedule'),
        ("fish", 'command "fish": there is no such command; there are: '),
        ("owner ad Ida", "Did you mean 'add'?"),
        ("models shw heron-3", "Did you mean 'show'?"),
        ("due --wthin 30d", "Did you mean '--within'?"),
        ("owner add Ida --fone 1", "No such option '--fone'"),
        # too little, too much
        ("owner add", "Missing argument 'NAME'"),
        ("use M-001", "Missing argument 'WORDS'"),
        ("serviced", "Missing argument 'MACHINE'"),
        ("init", "Missing argument 'FOLDER'"),
        ("due M-001", "unexpected extra argument (M-001)"),
        ("owner add Ida --phone", "Option '--phone' requires an argument"),
        # a machine of the book or a model: one of them
        ("schedule", "name a machine of the book, or give --model; one of them"),
        (
            "schedule M-001 --model heron-3",
            "name a machine of the book, or give --model; one of them",
        ),
        (
            "schedule M-001 --use none",
            "--use: only with --model; for a machine of the book record it instead",
        ),
        ("schedule M-001 --use none --serviced 2026-11-01", "--use, --serviced: only with --model"),
        ("schedule --serviced 2026-11-01", "name a machine of the book, or give --model"),
        ("card", "name a machine of the book, or give --model"),
        ("card M-001 --model heron-3 -o x.pdf", "name a machine of the book, or give --model"),
        ("card M-001 --serviced 2026-11-01 -o x.pdf", "--serviced: only with --model"),
        ("checklist", "name a machine of the book, or give --model"),
        ("checklist M-001 --model heron-3 -o x.pdf", "name a machine of the book, or give --model"),
        # dates and stretches of days
        (
            "--today soon due",
            '"soon" is not a day; write it like 2026-11-25, 25 Nov or last Friday',
        ),
        ("--today 2026-02-30 due", '"2026-02-30": there is no such day'),
        ("--today 20261125 due", '"20261125" is not a day'),
        ("--today 9999-12-31 due", '"9999-12-31": give a year from 1850 to 2199'),
        ("--today 0001-01-01 due", '"0001-01-01": give a year from 1850 to 2199'),
        (
            "serviced M-001 --on 12/05/2026",
            '"12/05/2026" may be Tuesday 12 May 2026 or Saturday 5 December 2026; write '
            "2026-05-12 or 2026-12-05, or set day_order in shop.toml",
        ),
        ("serviced M-001 --on 31.11.2026", '"31.11.2026": there is no such day'),
        ("use M-001 none --on 2026-11-31", '"2026-11-31": there is no such day'),
        ("schedule --model heron-3 --serviced 2026-W48", '"2026-W48" is not a day'),
        ("due --within soon", '"soon" is not a stretch of days; write it like 30d or 4w'),
        ("due --within -5", '"-5" is not a stretch of days'),
        ("due --within 99999d", '"99999d" is not a stretch of days'),
        # as found, as left
        ("serviced M-001 --found belt-inspect", '"belt-inspect": write it like hook-race-oil=dry'),
        ("serviced M-001 --found =dry", '"=dry": write it like hook-race-oil=dry'),
        ("serviced M-001 --found belt-inspect=wron", '"wron" is not known; did you mean worn'),
        ("serviced M-001 --found belt-inspect=worn,", '"" is not known; there are: '),
        (
            "serviced M-001 --left belt-inspect=dry",
            '"dry" is not known; there are: declined, good, part ordered, watch; words: good, '
            "watch, ",
        ),
        # names
        ("owner add ''", "is empty"),
        ("owner add ' \n\t '", "is empty"),
        ("owner add 'Ida \udcff'", "is not UTF-8 text"),
        ("owner add Ida --phone '\udcff'", "is not UTF-8 text"),
        ("machine add Ida heron-3 --note '\udcff'", "is not UTF-8 text"),
    ],
)
def test_wrong_usage_is_told_in_one_line_with_exit_2(
    words: str, said: str, fresh_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    [line] = refused(*shlex.split(words), shop=fresh_shop.folder, code=USAGE)
    assert said in line
    assert line.endswith("--help)")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        # what is not there, with the nearest
        (
            "schedule M-099",
            'machine "M-099": there is none of that number, name or phone; did you mean M-0',
        ),
        ("schedule Brandvolt", 'machine "Brandvolt": there is none of that number, name or phone'),
        (
            "schedule Tidelane",
            'machine "Tidelane": fits 2: M-015 (Tidelane School, tarnwick-20, T20-7710), M-016 (',
        ),
        ("card nobody -o x.pdf", 'machine "nobody": there is none'),
        ("checklist nobody -o x.pdf", 'machine "nobody": there is none'),
        ("use nobody none", 'machine "nobody": there is none'),
        ("serviced nobody", 'machine "nobody": there is none'),
        (
            "machine add nobody heron-3",
            'owner "nobody": there is none of that number, name or phone',
        ),
        ("machine add 'Ida Branvold' heron-3", "did you mean OW-001 (Ida Brandvold)"),
        (
            "machine add Ida herron-3",
            'model "herron-3": there is no such model; did you mean heron-3?',
        ),
        ("models show herron-3", 'model "herron-3": there is no such model; did you mean heron-3?'),
        ("schedule --model HERON", 'model "HERON": there is no such model; did you mean heron-3?'),
        (
            "schedule --model 'two\nlines'",
            'model "two lines": there is no such model; there are: ashgrove-27, ',
        ),
        ("schedule --model ../models/heron-3", 'model "../models/heron-3": there is no such model'),
        ("card --model herron-3 -o x.pdf", "did you mean heron-3?"),
        ("checklist --model herron-3 -o x.html", "did you mean heron-3?"),
        (
            "serviced M-001 --except belt-inspekt",
            'M-001: point "belt-inspekt": Heron 3 has no such point; did you mean belt-inspect',
        ),
        ("serviced M-001 --also bolt", 'M-001: point "bolt": Heron 3 has no such point'),
        ("serviced M-001 --found belt-inspekt=dry", "did you mean belt-inspect"),
        ("serviced M-001 --left belt-inspekt=watch", "did you mean belt-inspect"),
        (
            "serviced M-001 --except lamp-inspect --also lamp-inspect",
            'point "lamp-inspect": is given with --except and with --also',
        ),
        ("models check nowhere.toml", "nowhere.toml: there is no such file or folder"),
        # days that have not been
        (
            "serviced M-001 --on 2026-11-26",
            "--on 2026-11-26: the day of the work is after today, 2026-11-25; give a day that has "
            "been",
        ),
        (
            "use M-001 none --on 2027-11-25",
            "--on 2027-11-25: the day it was said is after today, 2026-11-25; give a day that has "
            "been",
        ),
        (
            "schedule --model heron-3 --serviced 2026-11-26",
            "--serviced 2026-11-26: is after today, 2026-11-25; give a day that has been",
        ),
        (
            "card --model heron-3 --serviced 2026-11-26 -o x.pdf",
            "--serviced 2026-11-26: is after today",
        ),
        # a shop where there is one already
        ("init demo", "demo: there is a shop already; nothing was changed; choose another folder"),
        ("demo demo", "demo: there is a shop already; nothing was changed; choose another folder"),
    ],
)
def test_what_is_not_there_or_cannot_be_is_told_in_one_line_with_exit_1(
    words: str, said: str, demo_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    [line] = refused(*shlex.split(words), shop=demo_shop.folder)
    assert said in line


@pytest.mark.parametrize(
    ("words", "marked", "code"),
    [
        # what is to be asked, marked
        ("5 hourz a week", "5 >>>hourz a week", USAGE),
        ("5 hours", ">>>5 hours", USAGE),
        ("every Tuesday", ">>>every Tuesday", USAGE),
        ("5 hours a week; idle Foo", "5 hours a week; idle >>>Foo", USAGE),
        ("120 hours since 2026-02-30", "120 hours since >>>2026-02-30", USAGE),
        ("-5 hours a week", ">>>-5 hours a week", USAGE),
        # what can be read but cannot be
        ("8-5 hours a week", ">>>8-5 hours a week", OURS),
        ("25 hours a day", ">>>25 hours a day", OURS),
        ("169 hours a week", ">>>169 hours a week", OURS),
        ("1000000000000000000000 hours a year", ">>>1000000000000000000000 hours a year", OURS),
        ("120 hours since 2027-01-01", ">>>120 hours since 2027-01-01", OURS),
        ("120 hours since 2026-11-24", ">>>120 hours since 2026-11-24", OURS),
        ("5 hours a week; 6 hours a week", "5 hours a week; >>>6 hours a week", OURS),
    ],
)
def test_words_of_use_that_are_not_clear_or_cannot_be_are_refused_with_their_place_marked(
    words: str, marked: str, code: int, demo_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    lines = refused("use", "M-001", "--", words, shop=demo_shop.folder, code=code)
    assert lines[0].startswith(f'use: "{words}": ')
    assert lines[1:] == [
        f"    {words}",
        f"    {' ' * marked.index('>>>')}^",
        f"    {WRITE_IT_LIKE}",
    ]
    assert refused("schedule", "--model", "heron-3", "--use", words, code=code) == lines


def test_no_words_and_too_many_words_of_use_are_refused(
    demo_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    assert refused("use", "M-001", " ", shop=demo_shop.folder) == [
        'use: nothing was said; write it like "5-8 hours a week", or "none"'
    ]
    assert refused("use", "M-001", "5 " * 300, shop=demo_shop.folder) == [
        "use: too long: 599 letters; say it in at most 500"
    ]


IN_A_SHOP = [
    ["due"],
    ["owner", "list"],
    ["owner", "add", "Ida"],
    ["machine", "list"],
    ["machine", "add", "Ida", "heron-3"],
    ["use", "M-001", "none"],
    ["serviced", "M-001"],
    ["schedule", "M-001"],
    ["card", "M-001", "-o", "x.pdf"],
    ["checklist", "M-001", "-o", "x.pdf"],
    ["calendar", "-o", "x.ics"],
]


@pytest.mark.parametrize("words", IN_A_SHOP, ids=" ".join)
def test_a_folder_that_is_no_shop_is_refused_and_stays_empty(
    words: list[str], refused: Callable[..., list[str]]
) -> None:
    [line] = refused(*words)
    assert (
        line == "shop.db: there is no shop book; name a shop folder with --shop, or make one with "
        '"oilchart init FOLDER"'
    )


@pytest.mark.parametrize("words", ["due", "owner add Ida", "calendar -o x.ics"])
def test_a_folder_in_the_place_of_the_shop_book_is_told_as_one(
    words: str, refused: Callable[..., list[str]], tmp_path: Path
) -> None:
    (tmp_path / "shop.db").mkdir()
    [line] = refused(*words.split())
    assert line == (
        "shop.db: is a folder, where the shop book should be; move it away, and bring back a copy "
        "of the book"
    )


@pytest.mark.parametrize("name", ["nowhere", "a file", "two\nlines", "n" * 300, "a file/below"])
def test_a_shop_that_is_nowhere_is_refused(
    name: str, refused: Callable[..., list[str]], tmp_path: Path
) -> None:
    (tmp_path / "a file").write_text("no folder", encoding="utf-8")
    [line] = refused("owner", "add", "Ida", shop=tmp_path / name)
    assert " ".join(name.split()) in line


@pytest.mark.parametrize(
    "words", ["init 'a file/shop'", "demo 'a file/shop'", "init 'a file'", "demo 'a file'"]
)
def test_a_shop_that_cannot_be_made_is_refused(
    words: str, refused: Callable[..., list[str]], tmp_path: Path
) -> None:
    (tmp_path / "a file").write_text("no folder", encoding="utf-8")
    [line] = refused(*shlex.split(words))
    assert line.startswith(f"{shlex.split(words)[1]}: cannot be ")
    assert line.endswith("choose a folder you may write to")


@pytest.mark.parametrize("command", ["card M-001", "checklist --model heron-3", "calendar"])
@pytest.mark.parametrize(
    ("out", "why"),
    [
        ("a file/x.html", "Not a directory"),
        ("a folder", "Is a directory"),
        ("", "Is a directory"),
        ("n" * 300, "File name too long"),
    ],
    ids=["below a file", "a folder", "empty", "too long"],
)
def test_a_paper_that_cannot_be_written_is_refused(
    command: str,
    out: str,
    why: str,
    demo_shop: Shop,
    refused: Callable[..., list[str]],
    tmp_path: Path,
) -> None:
    (tmp_path / "a file").write_text("no folder", encoding="utf-8")
    (tmp_path / "a folder").mkdir()
    [line] = refused(*command.split(), "-o", out, shop=demo_shop.folder)
    assert (
        line == f"{out or '.'}: cannot be written: {why}; nothing was changed; name a file you may "
        f"write to"
    )


def test_a_folder_that_may_not_be_looked_into_is_refused(
    demo_shop: Shop, refused: Callable[..., list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    def forbidden(path: Path) -> bool:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "is_file", forbidden)
    [line] = refused("owner", "list", shop=demo_shop.folder)
    assert line == f"{demo_shop.folder}/shop.db: cannot be used: Permission denied"


# files of a shop


def faulty_list(shop: Shop, text: str) -> Path:
    """Give a shop a list of its own model."""
    file = shop.folder / "points" / "models" / "ibex-9.toml"
    file.parent.mkdir()
    file.write_text(text, encoding="utf-8")
    return file


COMMANDS_WITH_LISTS = [
    ["models"],
    ["models", "check"],
    ["models", "show", "ibex-9"],
    ["schedule", "--model", "ibex-9"],
]


@pytest.mark.parametrize("words", COMMANDS_WITH_LISTS, ids=" ".join)
def test_broken_toml_of_a_list_is_told_with_its_file_and_line(
    words: list[str], fresh_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    file = faulty_list(fresh_shop, 'name = "Ibex 9"\nmaker = \n')
    [line] = refused(*words, shop=fresh_shop.folder)
    assert line.startswith(f"{file}: is not valid TOML: ")
    assert "line 2" in line


@pytest.mark.parametrize("words", COMMANDS_WITH_LISTS, ids=" ".join)
def test_the_faults_of_a_list_are_told_all_at_once_a_line_each(
    words: list[str], fresh_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    shipped = (packaged("points") / "models" / "heron-3.toml").read_text(encoding="utf-8")
    changes = {
        'id = "zigzag-gears-grease"': 'id = "zigzag-gears-grease"\ndone = 1',
        'with = "gear-grease"': 'with = "gear-greese"',
        '"drop-feed",': '"drop-fead",',
        "years =": "yeers =",
    }
    for old, new in changes.items():
        assert old in shipped
        shipped = shipped.replace(old, new)
    file = faulty_list(fresh_shop, shipped)
    lines = refused(*words, shop=fresh_shop.folder)
    assert len(lines) == 4
    assert all(line.startswith(f"{file}: ") for line in lines)
    for said in (
        'mechanisms: .*"drop-fead".* did you mean drop-feed',
        'point "zigzag-gears-grease": done: is not a known key',
        'point "zigzag-gears-grease": with: .*"gear-greese".* did you mean gear-grease',
        "yeers: is not a known key; did you mean years",
    ):
        assert sum(bool(re.search(said, line)) for line in lines) == 1, said


def test_a_faulty_list_does_not_stand_in_the_way_of_other_models(
    fresh_shop: Shop, run: Run
) -> None:
    faulty_list(fresh_shop, "name = ")
    assert run("schedule", "--model", "heron-3", shop=fresh_shop.folder).exit_code == 0


@pytest.mark.parametrize(
    "words",
    [["due"], ["schedule", "M-001"], ["serviced", "M-001"], ["card", "M-001"], ["calendar"]],
    ids=" ".join,
)
def test_the_faults_of_the_settings_are_told_all_at_once_a_line_each(
    words: list[str], demo_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    settings = demo_shop.folder / "shop.toml"
    settings.write_text(
        'name = ""\nfone = "1"\n[bench]\nopen = ["Mo"]\nclosures = ["Christmas"]\nlead_days = -1\n',
        encoding="utf-8",
    )
    lines = refused(*words, shop=demo_shop.folder)
    assert len(lines) == 5
    for said in (
        "name: ",
        "fone: is not a known key",
        "[bench]: open: ",
        "[bench]: closures: ",
        "[bench]: lead_days: ",
    ):
        assert sum(line.startswith(f"{settings}: {said}") for line in lines) == 1, said


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"name = ", "is not valid TOML"),
        (b"name = '\xff'", "is not UTF-8"),
        (b"", "name: is missing"),
        (None, "there is no such file"),
    ],
    ids=["broken", "not UTF-8", "empty", "missing"],
)
def test_settings_that_cannot_be_read_are_told_in_one_line(
    content: bytes | None, said: str, demo_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    settings = demo_shop.folder / "shop.toml"
    settings.unlink()
    if content is not None:
        settings.write_bytes(content)
    [line] = refused("due", shop=demo_shop.folder)
    assert line.startswith(f"{settings}: {said}")


@pytest.mark.parametrize(
    "words",
    [
        ("schedule", "M-{}"),
        ("schedule", "--model", "{}"),
        ("schedule", "M-001", "--explain", "{}"),
        ("owner", "edit", "Brandvold", "--can", "{}"),
        ("machine", "edit", "M-001", "--condition", "{}"),
        ("machine", "edit", "M-001", "--drive", "{}"),
        ("serviced", "M-001", "--except", "{}"),
        ("serviced", "M-001", "--found", "{}"),
        ("serviced", "M-001", "--left", "belt-inspect={}"),
        ("models", "draft", "Wren 9", "--mechanism", "{}"),
        ("card", "M-001", "-o", "/dev/null/{}"),
        ("{}",),
    ],
)
def test_what_was_typed_is_repeated_without_what_would_steer_a_terminal(
    words: tuple[str, ...], demo_shop: Shop, run: Run
) -> None:
    typed = [word.format("\x1b[31mred\x1b]0;pwn\x07\x9b2J\x05\u202e") for word in words]
    refused = run(*typed, shop=demo_shop.folder)
    assert refused.exit_code in (OURS, USAGE)
    assert refused.stderr.count("\n") == 1
    assert refused.stderr[:-1].isprintable()
    assert "red" in refused.stderr


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("machine edit M-001 --condition {}", "M-001: condition"),
        ("machine edit M-001 --without {}", "M-001: condition"),
        ("machine edit M-001 --drive {}", "M-001: drive"),
        ("machine edit M-001 --add-mechanism {}", "M-001: mechanism"),
        ("machine edit M-001 --drop-mechanism {}", "M-001: mechanism"),
        ("machine edit M-001 --book-interval {}", "M-001: point"),
        ("machine show {}", "machine"),
        ("owner show {}", "owner"),
        ("card --model heron-3 --condition {}", "condition"),
        ("schedule --model {}", "model"),
        ("schedule M-001 --explain {}", "point"),
        ("due --within {}", "--within"),
        ("serviced M-001 --found {}", "--found"),
        ("serviced M-001 --found {}=dry", "point"),
        ("serviced M-001 --found cords-look={}", "--found"),
        ("serviced M-001 --left cords-look={}", "--left"),
        ("serviced M-001 --except {}", "point"),
        ("owner edit OW-001 --can {}", "--can"),
        ("called OW-001 {}", "OUTCOME:"),
        ("models show {}", "model"),
        ("models draft Wren --mechanism {}", "mechanism"),
        ("{}", "command"),
    ],
)
@pytest.mark.parametrize("name", ["x" * 10_000, "seized and gummed " * 500])
def test_of_a_long_name_that_is_not_known_the_beginning_is_repeated(
    name: str, words: str, what: str, demo_shop: Shop, run: Run
) -> None:
    given = [word.replace("{}", name) for word in words.split()]
    told = run(*given, shop=demo_shop.folder)
    assert told.exit_code in (OURS, USAGE)
    assert f'{what}{":" if what.startswith("--") else ""} "{name[:50]}' in told.stderr.replace(
        "'", ""
    )
    assert "..." in told.stderr
    assert len(told.stderr) < 500


def test_a_faulty_template_of_the_shops_own_is_told_in_one_line(
    demo_shop: Shop, refused: Callable[..., list[str]]
) -> None:
    template = demo_shop.folder / "templates" / "checklist.html"
    for text in (
        "<p>\n{{ checklist.modle }}",
        "<p>\n{{ checklist.model",
        "<p>\n{% extends 'nowhere.html' %}",
    ):
        template.write_text(text, encoding="utf-8")
        [line] = refused("checklist", "M-001", "-o", "bench.html", shop=demo_shop.folder)
        assert line.startswith(f"{template}: line 2: ")


def test_what_is_said_of_yesterday_may_be_recorded_but_nothing_of_the_day_after_today(
    demo_shop: Shop, run: Run
) -> None:
    for day, code in (
        (TODAY - timedelta(days=1), 0),
        (TODAY, 0),
        (TODAY + timedelta(days=1), OURS),
    ):
        assert run("use", "M-001", "none", "--on", day, shop=demo_shop.folder).exit_code == code
        served = run("serviced", "M-001", *TESTED, "--on", day, shop=demo_shop.folder)
        assert served.exit_code == code
