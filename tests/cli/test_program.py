"""Every command of the command line, end to end: what it says, what it prints as JSON and which
files appear."""

from __future__ import annotations

import html
import json
import re
import shlex
import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import Result
from icalendar import Calendar
from PIL import Image

from oilchart.cli import main
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.commands import TESTED
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_owner, all_machines, the_machine
from tests.conftest import Run

KINDS = {".pdf": b"%PDF-", ".ics": b"BEGIN:VCALENDAR\r\n", ".html": b"<!doctype html>"}
POINT_KEYS = {
    "id", "where", "home", "work", "keeper", "every", "every_hours", "every_months", "every_days",
    "occasion", "factor", "factor_time",
    "runs_share", "done", "due", "because", "state", "rhythm",
}  # fmt: skip
WINDOW_KEYS = {"earliest", "careful", "likely", "latest"}


def said(result: Result) -> str:
    """What a command that went well printed."""
    assert result.exit_code == 0, result.stderr
    return result.stdout


def is_whole(path: Path) -> bool:
    """Whether a paper is there and begins as its kind does."""
    return (
        path.read_bytes()[:40].lstrip().lower().startswith(KINDS[path.suffix].lower())
        and path.stat().st_size > 500
    )


def commands(group: click.Group, name: str = "oilchart") -> Iterator[tuple[str, click.Command]]:
    context = click.Context(group)
    for sub in group.list_commands(context):
        command = group.get_command(context, sub)
        assert command is not None
        yield f"{name} {sub}", command
        if isinstance(command, click.Group):
            yield from commands(command, f"{name} {sub}")


# what has to be told in the demo shop before an example
BEFORE = (
    ("oilchart machine back M-014$", ("machine", "gone", "M-014", "sold")),
    (".* --answer ", ("waiting", "M-012", "--owner", "new tyre?")),
    ("oilchart called .* --correct", ("called", "Brandvold", "no-answer")),
    ("oilchart undo ", ("use", "M-014", "3 hours a week")),
    ("oilchart safe ", ("unsafe", "M-014", "hinge pin cracked", "--mechanical")),
    (
        "oilchart models numbers wren-9$",
        ("models", "draft", "Wren 9", "--mechanism", "straight-head"),
    ),
)


def test_every_command_explains_itself_with_an_example_that_runs(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    examples = []
    for name, command in commands(main):
        text = said(run(*name.split()[1:], "-h"))
        assert text.startswith(f"Usage: {name}")
        if not isinstance(command, click.Group):
            found = re.findall(r"^ +(?:Examples?: )? *(oilchart .*)$", text, re.MULTILINE)
            assert found, f"{name} --help has no example"
            examples += found
    assert len(examples) >= 15
    examples.remove("oilchart demo")  # which has tests of its own
    write_what_examples_read(demo_shop)
    for at, example in enumerate(examples):
        shop = shutil.copytree(demo_shop.folder, tmp_path / f"demo {at}")
        for begins, first in BEFORE:
            if re.match(begins, example):
                before = run(*first, shop=shop)
                assert before.exit_code == 0, before.stderr
        result = run(*shlex.split(example)[1:], shop=shop)
        assert result.exit_code == 0, f"{example}: {result.stderr}"


def write_what_examples_read(shop: Shop) -> None:
    """The findings of a machine's bench page, and photos, where one stands."""
    served = the_machine(shop, "M-014")
    findings = {
        "kind": "oilchart findings",
        "version": 1,
        "model": served.model,
        "machine": "M-014",
        "day": TODAY.isoformat(),
        "done": [point.id for point in shop.list_for_owner_of(served).points],
    }
    Path("M-014-2026-11-25-findings.json").write_text(json.dumps(findings), encoding="utf-8")
    for photo in ("IMG_2041.jpg", "IMG_2042.jpg"):
        Image.new("RGB", (40, 30), "grey").save(photo)


def test_the_version_is_told(run: Run) -> None:
    assert re.fullmatch(r"oilchart, version \d+\.\d+\S*\n", said(run("--version")))


def test_a_shop_is_made_and_filled_from_the_command_line_alone(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "my shop"
    assert (
        said(run("init", shop))
        == f"made {shop}: fill in {shop}/shop.toml, then: oilchart --shop '{shop}' owner add NAME\n"
    )
    added = run(
        "owner",
        "add",
        "Ida Brandvold",
        "--phone",
        "020 7946 0107",
        "--email",
        "ida@brandvold.example",
        shop=shop,
    )
    assert said(added) == "OW-001 Ida Brandvold\n"
    assert said(
        run(
            "machine",
            "add",
            "ida",
            "heron-3",
            "--serial",
            "H3-20417",
            "--note",
            "From a loft",
            shop=shop,
        )
    ) == ("M-001 Heron 3, Ida Brandvold\n")
    assert said(
        run("use", "M-001", "5-8 hours a week; idle Jul-Aug", "--on", "2026-11-20", shop=shop)
    ) == (
        "M-001 Ida Brandvold: heard: 5 to 8 hours a week, likely 6.32; nothing in July and August, "
        "every year.\n"
    )
    told = [
        "--on",
        "2026-11-20",
        "--except",
        "belt-inspect",
        "--also",
        "motor-dust-clean",
        "--note",
        "Belt on order",
    ]
    told += [
        "--found",
        "belt-inspect=worn,cracked",
        "--found",
        "hook-race-clean=packed-with-lint",
        "--left",
        "belt-inspect=part ordered",
    ]
    served = said(run("serviced", "M-001", *TESTED, *told, shop=shop))
    assert re.match(
        r"M-001 Ida Brandvold: served Friday 20 November 2026, \d+ points done\.\nNot done: 35 "
        r"Drive belt and its grooves\.\nNext service \w+ \d+ \w+ 202\d: ",
        served,
    )
    assert json.loads(said(run("owner", "list", "--json", shop=shop))) == [
        {
            "owner": "OW-001",
            "name": "Ida Brandvold",
            "phone": "020 7946 0107",
            "phones": [{"number": "020 7946 0107", "dial": None, "whose": None, "wrong": False}],
            "email": "ida@brandvold.example",
            "machines": 1,
            "can": [],
        }
    ]
    assert json.loads(said(run("machine", "list", "--json", shop=shop))) == [
        {
            "machine": "M-001",
            "model": "heron-3",
            "name": None,
            "mark": None,
            "owner": "Ida Brandvold",
            "serial": "H3-20417",
            "use": "5-8 hours a week; idle Jul-Aug",
            "served": "2026-11-20",
            "handed_on": None,
            "gone": None,
            "unsafe": None,
            "danger": None,
            "unsafe_since": None,
            "dangers": [],
            "mechanisms": [],
            "shortened": [],
        }
    ]
    [machine] = all_machines(Shop(shop, TODAY))
    assert [note.words for note in machine.notes] == ["Belt on order", "From a loft"]
    noted = {finding.point: finding for finding in machine.services[0].findings}
    assert (
        noted["belt-inspect"].done,
        noted["belt-inspect"].found,
        noted["belt-inspect"].left,
    ) == (
        False,
        ("worn", "cracked"),
        "part ordered",
    )
    assert noted["hook-race-clean"].found == ("packed with lint",)
    assert noted["motor-dust-clean"].done


def test_the_shop_is_the_one_named_else_the_one_of_the_environment_else_where_one_stands(
    demo_shop: Shop, fresh_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_owner(fresh_shop, name="Ida", phone="", email="")
    monkeypatch.chdir(fresh_shop.folder)
    assert "OW-001  Ida " in said(run("owner", "list"))
    monkeypatch.setenv("OILCHART_SHOP", str(demo_shop.folder))
    assert "OW-014 " in said(run("owner", "list"))
    assert "OW-001  Ida " in said(run("owner", "list", shop=fresh_shop.folder))


def test_lists_are_plain_columns_with_a_row_a_line_in_a_pipe(demo_shop: Shop, run: Run) -> None:
    owners = said(run("owner", "list", shop=demo_shop.folder)).splitlines()
    assert owners[0].split() == ["Owner", "Name", "Phone", "E-mail", "Machines", "Can"]
    assert len(owners) == 1 + 14
    machines = said(run("machine", "list", shop=demo_shop.folder)).splitlines()
    assert len(machines) == 1 + 18
    assert re.split(r"  +", machines[1]) == [
        "M-001",
        "heron-3",
        "Ida Brandvold",
        "H3-20417",
        "4-6 hours a week",
        "2025-11-18",
    ]
    models = said(run("models")).splitlines()
    assert [line.split()[0] for line in models] == [
        "Model",
        *PointLibrary([packaged("points")]).model_ids(),
    ]


def test_due_lists_what_wants_attention_and_with_all_every_machine(
    demo_shop: Shop, run: Run
) -> None:
    def numbers(*options: str) -> list[str]:
        return re.findall(r"\bM-\d{3}\b", said(run("due", *options, shop=demo_shop.folder)))

    some, more, everything = numbers(), numbers("--within", "200 days"), numbers("--all")
    assert some[0] == "M-003"
    # the one in the shop is told too; M-013, whose owner is lapsed, is on a list of its own
    assert len(some) == 12
    assert set(some) < set(more) < set(everything)
    assert numbers("--within", "2w") == some  # the shop's lead
    assert len(everything) == 18
    assert run("due", shop=demo_shop.folder).stderr.startswith(
        "17 machines: 3 overdue, 1 first service, "
    )


def test_due_in_an_empty_shop_says_that_there_is_no_machine(fresh_shop: Shop, run: Run) -> None:
    result = run("due", shop=fresh_shop.folder)
    assert (said(result), result.stderr) == ("", "0 machines.\n")
    assert json.loads(said(run("due", "--json", shop=fresh_shop.folder))) == []


def test_models_are_shown_and_checked(run: Run) -> None:
    shown = said(run("models", "show", "velmora-7"))
    assert shown.startswith("Velmora 7 · ")
    assert "hook-race-oil" in shown
    assert said(run("models", "check")) == "no faults, no doubts\n"


def test_a_shops_own_list_joins_the_shipped_ones(fresh_shop: Shop, run: Run) -> None:
    models = fresh_shop.folder / "points" / "models"
    models.mkdir()
    shipped = (packaged("points") / "models" / "heron-3.toml").read_text(encoding="utf-8")
    (models / "ibex-9.toml").write_text(shipped.replace('"Heron 3"', '"Ibex 9"'), encoding="utf-8")
    assert re.search(r"^ibex-9 +Ibex 9 ", said(run("models", shop=fresh_shop.folder)), re.MULTILINE)
    assert (
        said(run("models", "check", models / "ibex-9.toml", shop=fresh_shop.folder))
        == "no faults, no doubts\n"
    )
    assert said(run("schedule", "--model", "ibex-9", shop=fresh_shop.folder)).startswith(
        "Ibex 9 · "
    )
    assert "ibex-9" not in said(run("models"))


@pytest.mark.parametrize(
    ("words", "name"),
    [
        # of a machine of the book: by its number, in the shop
        ("card M-001", "demo/out/M-001-card.pdf"),
        ("card brandvold", "demo/out/M-001-card.pdf"),
        ("checklist M-018", "demo/out/M-018-checklist.pdf"),
        ("calendar", "demo/out/calls.ics"),
        # of any machine of a model: by the model, where one stands
        ("card --model heron-3", "heron-3-card.pdf"),
        ("card --model heron-3 --use '5-8 hours a week' --serviced 2026-11-20", "heron-3-card.pdf"),
        ("checklist --model tarnwick-20", "tarnwick-20-checklist.pdf"),
        # where one says
        ("card M-001 -o card.pdf", "card.pdf"),
        ("card M-018 -o new/folder/card.pdf", "new/folder/card.pdf"),
        ("card --model velmora-7 --out 'for Ida.pdf'", "for Ida.pdf"),
        ("checklist M-001 -o bench.html", "bench.html"),
        ("checklist --model velmora-7 -o bench.html", "bench.html"),
        ("checklist --model velmora-7 -o bench.pdf", "bench.pdf"),
        ("calendar -o calls.ics", "calls.ics"),
    ],
)
def test_a_paper_appears_whole_where_it_belongs_and_is_named(
    words: str, name: str, demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    before = set(tmp_path.rglob("*"))
    result = run(*shlex.split(words), shop=demo_shop.folder)
    assert said(result) == ""
    [made] = {path for path in set(tmp_path.rglob("*")) - before if path.is_file()}
    assert made == tmp_path / name
    assert is_whole(made)
    assert re.match(rf"wrote \S*{re.escape(name)}\n", result.stderr)


@pytest.mark.parametrize(
    ("words", "suffix"), [("card M-001", ".pdf"), ("checklist M-001", ".pdf"), ("calendar", ".ics")]
)
def test_a_paper_to_stdout_is_the_same_as_the_file(
    words: str, suffix: str, demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    file = tmp_path / f"paper{suffix}"
    said(run(*words.split(), "-o", file, shop=demo_shop.folder))
    result = run(*words.split(), "-o", "-", shop=demo_shop.folder)
    assert result.exit_code == 0
    assert result.stdout_bytes == file.read_bytes()
    assert is_whole(file)


# JSON


def schedule(run: Run, *words: str, shop: Path | None = None) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(said(run("schedule", *words, "--json", shop=shop)))
    return found


def test_the_json_of_a_schedule_has_the_keys_that_others_rely_on(demo_shop: Shop, run: Run) -> None:
    found = schedule(run, "M-002", shop=demo_shop.folder)
    assert {
        "machine",
        "model",
        "as_of",
        "served",
        "state",
        "use",
        "points",
        "services",
        "call",
    } <= set(found)
    assert (found["machine"], found["model"], found["as_of"], found["served"]) == (
        "M-002",
        "velmora-7",
        "2026-11-25",
        "2026-03-18",
    )
    assert found["use"]["words"] == "5-8 hours a week"
    assert found["use"]["hours_per_week"] == {"low": 5, "likely": 6.32, "high": 8}
    assert found["use"]["assumed"] is False
    for point in found["points"]:
        assert set(point) >= POINT_KEYS, point["id"]
        assert point["due"] is None or set(point["due"]) == WINDOW_KEYS
    assert {frozenset(service) for service in found["services"]} == {
        frozenset({"on", "points", "minutes", "late", "now_is_the_time", "booked"})
    }
    assert found["call"] == {"on": found["call"]["on"], "for": found["services"][0]["on"]}
    ids = [point["id"] for point in found["points"]]
    assert set(found["services"][0]["points"]) <= set(ids)
    assert len(ids) == len(set(ids))


def test_only_bench_points_have_a_state_and_only_owners_points_a_rhythm(
    demo_shop: Shop, run: Run
) -> None:
    points = schedule(run, "M-002", shop=demo_shop.folder)["points"]
    assert {point["keeper"] for point in points if point["state"]} == {"bench"}
    assert {point["keeper"] for point in points if point["rhythm"]} == {"owner"}
    assert all(
        point["state"] for point in points if point["keeper"] == "bench" and not point["occasion"]
    )


def test_an_occasion_has_neither_limit_nor_due_date(demo_shop: Shop, run: Run) -> None:
    occasions = [
        point
        for point in schedule(run, "M-002", shop=demo_shop.folder)["points"]
        if point["occasion"]
    ]
    assert {point["occasion"] for point in occasions} >= {"each bobbin", "each service"}
    for point in occasions:
        empty = ("every_hours", "every_months", "every_days", "due", "because", "state")
        assert {key: point[key] for key in empty} == dict.fromkeys(empty)


def test_a_machine_that_is_in_no_book_has_no_number_and_without_words_no_use(run: Run) -> None:
    found = schedule(run, "--model", "heron-3", "--serviced", "2026-11-20")
    assert (found["machine"], found["use"], found["served"], found["state"]) == (
        None,
        None,
        "2026-11-20",
        "in time",
    )
    assert {point["because"] for point in found["points"] if point["due"]} == {"time"}
    said_so = schedule(
        run, "--model", "heron-3", "--serviced", "2026-11-20", "--use", "5-8 hours a week"
    )
    assert said_so["machine"] is None
    assert said_so["use"]["assumed"] is True  # said after the service
    assert "use" in {point["because"] for point in said_so["points"] if point["due"]}


@pytest.mark.parametrize(
    "words",
    [["M-018"], ["--model", "heron-3", "--use", "3-5 hours a week"], ["--model", "heron-3"]],
)
def test_a_machine_never_serviced_has_nothing_done_or_due(
    words: list[str], demo_shop: Shop, run: Run
) -> None:
    found = schedule(run, *words, shop=demo_shop.folder)
    assert (found["served"], found["state"]) == (None, "first service")
    assert {
        (point["done"], point["due"], point["because"], point["state"]) for point in found["points"]
    } == {(None, None, None, None)}
    service = found["services"][0]
    # wanted the lead after it came: M-018 of the demo came on 19 November, the others today
    came = date(2026, 11, 19) if words == ["M-018"] else TODAY
    wanted_by = (came + timedelta(days=14)).isoformat()
    assert found["wanted_by"] == wanted_by
    assert (service["on"], service["late"]) == (wanted_by, False)
    assert service["points"] == [
        point["id"] for point in found["points"] if point["keeper"] == "bench"
    ]


def test_the_json_of_due_has_the_keys_that_others_rely_on_with_nulls_for_the_never_serviced(
    demo_shop: Shop, run: Run
) -> None:
    rows = json.loads(said(run("due", "--all", "--json", shop=demo_shop.folder)))
    assert len(rows) == 18
    for row in rows:
        assert set(row) >= {
            "machine",
            "owner",
            "model",
            "state",
            "due",
            "days_left",
            "because",
            "phone",
            "chance",
            "point",
        }
        assert set(row["due"]) == WINDOW_KEYS
    [unserved] = [row for row in rows if row["state"] == "first service"]
    assert unserved["machine"] == "M-018"
    assert unserved["due"] == dict.fromkeys(WINDOW_KEYS)
    assert (unserved["days_left"], unserved["because"]) == (None, None)
    assert (unserved["chance"], unserved["point"]) == (None, None)
    assert rows[0] == {
        "machine": "M-003",
        "owner": "Nguyễn Thị Bích",
        "model": "heron-3",
        "state": "overdue",
        "due": rows[0]["due"],
        "days_left": -147,
        "because": "use",
        "phone": "020 7946 0118",
        "chance": 1,
        "point": "needle-bar-frame-oil",
        "booked": None,
        "last_contact": {"on": "2026-11-24", "outcome": "no answer", "day": None, "note": ""},
        "lapsed": None,
        "stay": None,
        "unsafe": None,
        "danger": None,
        "unsafe_since": None,
        "dangers": [],
        "left_alone": None,
        "moved_from": None,
        "missed": None,
        "declined_until": None,
        "wanted_by": "2026-07-01",
    }
    assert rows[0]["due"]["likely"] == "2026-07-01"


def test_the_json_of_models_has_the_keys_that_others_rely_on(run: Run) -> None:
    rows = json.loads(said(run("models", "--json")))
    assert [row["id"] for row in rows] == sorted(row["id"] for row in rows)
    assert {"heron-3", "tarnwick-20", "velmora-7"} <= {
        row["id"] for row in rows if not row["family"]
    }
    for row in rows[::6]:
        assert set(row) >= {"id", "name", "maker", "points"}
        assert row["points"] == len(schedule(run, "--model", row["id"])["points"])


# names


class _Text(HTMLParser):
    """What can be read on a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.feed(page)

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@pytest.mark.parametrize(
    "name",
    [
        "<b>Ida</b> & <script>alert(1)</script> Sons",
        """Ida "the Belt" O'Brandvold; DROP TABLE owner; -- {{ 7 * 7 }} {% raw %} %(name)s \\n""",
        "Ida\nBrandvold\r\n\tof BEGIN:VEVENT",
        "Ida 🧵👩‍🔧 Brandvold",
        "שרה כהן, סדנה",
        "-o [bold red]نادية العلي[/bold red]",
        "I" * 200,
    ],
)
def test_any_name_goes_through_all_lists_and_papers_without_harm(
    name: str, fresh_shop: Shop, run: Run, tmp_path: Path
) -> None:
    plain = " ".join(name.split())
    folder = fresh_shop.folder
    phone = ["--phone", "020 7946 0190"]
    assert said(run("owner", "add", *phone, "--", name, shop=folder)) == f"OW-001 {plain}\n"
    assert (
        said(
            run("machine", "add", "OW-1", "heron-3", "--note", name, "--serial", name, shop=folder)
        )
        == f"M-001 Heron 3, {plain}\n"
    )
    said(run("serviced", "M-001", *TESTED, "--on", "2025-11-20", "--note", name, shop=folder))
    # lists
    assert json.loads(said(run("owner", "list", "--json", shop=folder)))[0]["name"] == plain
    assert json.loads(said(run("due", "--json", shop=folder)))[0]["owner"] == plain
    for command in ("owner list", "machine list", "due"):
        lines = said(run(*command.split(), shop=folder)).splitlines()
        assert len(lines) == 2
        assert (
            "".join(
                letter if letter.isprintable() or letter == "\u200d" else " " for letter in plain
            )
            in lines[1]
        )
    assert plain in said(run("schedule", "M-001", shop=folder)).splitlines()[0]
    # papers
    said(run("card", "M-001", "-o", "card.pdf", shop=folder))
    said(run("checklist", "M-001", "-o", "bench.pdf", shop=folder))
    said(run("checklist", "M-001", "-o", "bench.html", shop=folder))
    said(run("calendar", "-o", "calls.ics", shop=folder))
    assert is_whole(tmp_path / "card.pdf")
    assert is_whole(tmp_path / "bench.pdf")
    page = (tmp_path / "bench.html").read_text(encoding="utf-8")
    assert plain in " ".join(_Text(page).words)
    assert (plain in page) == (html.escape(plain) == plain)
    [event] = Calendar.from_ical((tmp_path / "calls.ics").read_bytes()).walk("VEVENT")
    assert str(event["SUMMARY"]).startswith(f"Call {plain}: ")
