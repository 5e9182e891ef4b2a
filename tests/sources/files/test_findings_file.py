"""The file of findings a bench page saves: what it tells is recorded as it stands, and what it
cannot be is refused in a line."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.bounds import FINDINGS_BYTES
from oilchart.cli.commands.services import overruled_words
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.job import Danger, ElectricalCheck
from oilchart.core.records.service_notes import ServiceNotes, told_besides
from oilchart.errors import FaultyList, UnknownName
from oilchart.shop.folder import Shop
from oilchart.shop.points_named import under_ids
from oilchart.sources.files.findings_file import read_findings
from tests.builders.commands import TESTED, besides_change
from tests.builders.make import TODAY
from tests.builders.shop_steps import all_machines, standing_of, the_machine
from tests.conftest import Run
from tests.counts import counted

HERON = "M-001"
SAVED: dict[str, Any] = {
    "kind": "oilchart findings",
    "version": 2,
    "model": "heron-3",
    "machine": HERON,
    "day": "2026-11-25",
    "done": ["hook-race-clean", "needle-change"],
    "found": {"hook-race-clean": ["packed with lint", "worn"]},
    "left": {"belt-inspect": "watch"},
    "left_out": {"cords-look": "no time left", "wiring-inspect": "no time left"},
    "check": {"by": "R. Amsel", "passed": True},
    "note": "",
}
OF_BEFORE = {
    **{key: value for key, value in SAVED.items() if key not in ("left_out", "check")},
    "version": 1,
}
NOTHING: dict[str, Any] = {"done": [], "found": {}, "left": {}, "check": None}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "findings.json"


def save(file: Path, **changes: Any) -> Path:
    file.write_text(json.dumps({**SAVED, **changes}), encoding="utf-8")
    return file


BACK = ("--back-on", "2026-12-09")  # a few ticks leave out what cannot wait


def faults_of(file: Path) -> tuple[str, ...]:
    with pytest.raises(FaultyList) as refusal:
        read_findings(file, TODAY)
    return refusal.value.faults


def findings_of(shop: Shop, machine: str = HERON) -> dict[str, Finding]:
    return {finding.point: finding for finding in the_machine(shop, machine).services[-1].findings}


# reading


def test_what_was_saved_is_read_as_it_stands(file: Path) -> None:
    saved = read_findings(
        save(
            file,
            note="Belt renewed;\nthe pedal hums.",
            edition="4f2a91",
            by="J. Tarn",
            unsafe={"danger": "mechanical", "why": "hinge pin cracked"},
            check={"by": "R. Amsel", "passed": False, "reading": "0.1 megohm", "before": True},
        ),
        TODAY,
    )
    assert (saved.model, saved.machine, saved.on) == ("heron-3", HERON, date(2026, 11, 25))
    assert saved.edition == "4f2a91"
    assert saved.told == ServiceNotes(
        by="J. Tarn",
        unsafe="hinge pin cracked",
        danger=Danger.MECHANICAL,
        why=(("cords-look", "no time left"), ("wiring-inspect", "no time left")),
        check=ElectricalCheck(
            on=TODAY, by="R. Amsel", passed=False, reading="0.1 megohm", before=True
        ),
        ticked=("hook-race-clean", "needle-change"),
        found=(("hook-race-clean", (Found.PACKED, Found.WORN)),),
        left=(("belt-inspect", Left.WATCH),),
        note="Belt renewed; the pedal hums.",
    )


def test_a_file_of_before_is_read_as_it_was(file: Path) -> None:
    file.write_text(json.dumps(OF_BEFORE), encoding="utf-8")
    saved = read_findings(file, TODAY)
    assert saved.edition == ""
    assert saved.told == ServiceNotes(
        ticked=("hook-race-clean", "needle-change"),
        found=(("hook-race-clean", (Found.PACKED, Found.WORN)),),
        left=(("belt-inspect", Left.WATCH),),
    )


@pytest.mark.parametrize(
    "noted",
    [
        {"found": {"hook-race-clean": ["dry"]}},
        {"left": {"belt-inspect": "watch"}},
        {"unsafe": {"danger": "electrical", "why": "the lead crumbles"}},
        {"check": {"by": "R. Amsel", "passed": True}},
        {"note": "Hums."},
    ],
)
def test_what_is_noted_is_read_without_a_tick(file: Path, noted: dict[str, Any]) -> None:
    assert read_findings(save(file, **{**NOTHING, **noted}), TODAY).told.ticked == ()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        # not a file of findings, or one of another form
        (
            {"kind": "oilchart schedule"},
            'kind: is no file of findings: "oilchart schedule"; name the file that the bench page '
            "saved",
        ),
        ({"kind": None}, "kind: is no file of findings: None"),
        (
            {"version": 3},
            "version: is not one of those that are read, 1 and 2: 3; make the bench page anew",
        ),
        ({"version": True}, "version: is not one of those that are read, 1 and 2: true"),
        ({"version": "1"}, 'version: is not one of those that are read, 1 and 2: "1"'),
        # danger, reasons, names and checks
        ({"unsafe": {"danger": "electrical"}}, "unsafe: why: is missing"),
        ({"check": 3}, "check: must be words with by and passed: 3"),
        ({"check": {"passed": True}}, "check: by: is missing"),
        ({"unsafe": "yes"}, 'unsafe: must be words with why and danger: "yes"'),
        ({"unsafe": {"danger": "electrical", "why": ""}}, 'unsafe: why: must be words: ""'),
        (
            {"unsafe": {"danger": "chemical", "why": "smells"}},
            'unsafe: danger: is not known: "chemical"; write one of: electrical, mechanical',
        ),
        (
            {"unsafe": {"danger": "electrical", "why": "x" * 5001}},
            'unsafe: why: is longer than 5000: "5001 letters"',
        ),
        (
            {"unsafe": {"danger": "electrical", "why": "tingles", "lifted": True}},
            "unsafe: lifted: is not a known key",
        ),
        ({"left_out": ["cords-look"]}, "left_out: must be words by point: ['cords-look']"),
        ({"left_out": {"cords-look": 3}}, "left_out: cords-look: must be words: 3"),
        ({"left_out": {"Cords": "late"}}, 'left_out: is no point: "Cords"'),
        ({"by": "x" * 201}, 'by: is longer than 200: "201 letters"'),
        ({"edition": 4}, "edition: must be words: 4"),
        (
            {"check": {"by": "R. Amsel", "passed": "yes"}},
            'check: passed: must be true or false: "yes"; save the findings again',
        ),
        (
            {"check": {"by": "R. Amsel", "passed": True, "reading": "x" * 201}},
            'check: reading: is longer than 200: "201 letters"',
        ),
        # keys
        ({"model": None}, "model: is missing"),
        ({"model": 3}, "model: must be words: 3"),
        ({"machine": ["M-001"]}, "machine: must be words: ['M-001']"),
        ({"owner": "Ida"}, "owner: is not a known key"),
        # days
        ({"day": None}, "day: is missing"),
        (
            {"day": "2026-11-31"},
            'day: is no day of a service: "2026-11-31"; save the findings again',
        ),
        ({"day": "20261125"}, 'day: is no day of a service: "20261125"'),
        ({"day": "0026-11-25"}, 'day: is no day of a service: "0026-11-25"'),
        (
            {"day": "2026-11-26"},
            'day: is after today, 2026-11-25: "2026-11-26"; save the findings again',
        ),
        # points and words
        (
            NOTHING,
            "done: nothing is ticked and nothing noted: []; tick what was done and save the "
            "findings again",
        ),
        ({"done": "needle-change"}, 'done: must be a list of words: "needle-change"'),
        ({"done": [3]}, "done: must be a list of words: [3]"),
        ({"found": ["dry"]}, "found: must be words by point: ['dry']"),
        (
            {"found": {"hook-race-oil": "dry"}},
            'found: hook-race-oil: must be a list of words: "dry"',
        ),
        (
            {"found": {"hook-race-oil": ["drie"]}},
            'found: hook-race-oil: there is no such word for as found: "drie"; did you mean dry?',
        ),
        (
            {"left": {"belt-inspect": "wach"}},
            'left: belt-inspect: is not known: "wach"; write one of: good, watch',
        ),
        ({"left": {"belt-inspect": ["watch"]}}, "left: belt-inspect: is not known: ['watch']"),
        ({"left": {"": "watch"}}, 'left: is no point: ""; save the findings again'),
        ({"done": ["Hook race"]}, 'done: is no point: "Hook race"'),
        ({"left": 1.5}, "left: must be words by point: 1.5"),
        ({"note": 3}, "note: must be words: 3"),
        ({"note": "x" * 5001}, 'note: is longer than 5000: "5001 letters"; shorten it'),
    ],
)
def test_each_fault_is_told_in_a_line_with_file_and_key(
    file: Path, changes: dict[str, Any], said: str
) -> None:
    [fault] = faults_of(save(file, **changes))
    assert fault.startswith(f"{file}: {said}")
    assert "\n" not in fault


def test_all_faults_are_told_at_once(file: Path) -> None:
    assert (
        len(
            faults_of(
                save(file, day="soon", note=3, left={"belt-inspect": "wach", "lamp-inspect": 4})
            )
        )
        == 4
    )


WHOLE = json.dumps(SAVED, indent=1).encode()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        # nothing, half a file, another kind of file
        (b"", "line 1: ends too soon: save the findings again on the bench page"),
        (WHOLE[:40], "line 3: ends too soon"),
        (WHOLE[: WHOLE.index(b"packed") + 3], "ends too soon"),
        (WHOLE[:-1], "ends too soon"),
        (b"%PDF-1.4\n", "line 1: is no file of findings: "),
        (b"\xff\xfe\x00", "is not UTF-8 text at byte 0"),
        (b"[]", "is no file of findings: []"),
        (b"3", "is no file of findings: 3"),
        (b"null", "is no file of findings: None"),
        # what Python's reader would let through, or fall over
        (b'{"kind": 1, "kind": 2}', 'is no file of findings: "kind" stands in it twice'),
        (b'{"version": NaN}', "is no file of findings: NaN is no number"),
        (
            b'{"version": ' + b"9" * 5000 + b"}",
            "is no file of findings: 999999999... is too long a number",
        ),
        (b"[" * 100_000, "is no file of findings: brackets too deep to be read"),
        (b"[" * 900 + b"]" * 900, "is no file of findings: brackets too deep to be read"),
        (b'{"note": ' * 31 + b"1" + b"}" * 31, "brackets too deep to be read"),
        (
            json.dumps({str(key): 0 for key in range(20_000)}).encode(),
            "is no file of findings: 20000 keys in one object, 1000 are the most",
        ),
        (b" " * (FINDINGS_BYTES + 1), "is no file of findings: more than 256 kB"),
    ],
)
def test_a_file_that_is_none_is_refused_in_a_line(file: Path, data: bytes, said: str) -> None:
    file.write_bytes(data)
    [fault] = faults_of(file)
    assert fault.startswith(f"{file}: ")
    assert said in fault
    assert "\n" not in fault


def test_more_points_than_any_list_has_are_one_fault(file: Path) -> None:
    [fault] = faults_of(save(file, done=["No Point"] * 1_001))
    assert 'done: is longer than any list: "1001 points"; save the findings again' in fault


def test_a_file_that_is_not_there_and_a_folder_are_refused(tmp_path: Path) -> None:
    assert faults_of(tmp_path / "gone.json")[0].endswith(
        "gone.json: there is no such file: check its name; a browser saves into its downloads"
    )
    assert "cannot be read" in faults_of(tmp_path)[0]
    os.mkfifo(tmp_path / "pipe.json")
    assert "cannot be read: is a pipe" in faults_of(tmp_path / "pipe.json")[0]


def test_a_file_cut_off_anywhere_is_refused(file: Path) -> None:
    for end in range(len(WHOLE)):
        file.write_bytes(WHOLE[:end])
        assert "ends too soon" in faults_of(file)[0], WHOLE[:end]


ANYTHING = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text()
    | st.sampled_from(["dry", "watch", "2026-11-25", "hook-race-oil"]),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)


@counted
@given(changes=st.dictionaries(st.sampled_from([*SAVED, "more"]), ANYTHING, max_size=4))
def test_whatever_stands_in_it_is_read_or_refused_in_lines(
    tmp_path_factory: pytest.TempPathFactory, changes: dict[str, Any]
) -> None:
    file = save(tmp_path_factory.getbasetemp() / "any.json", **changes)
    try:
        saved = read_findings(file, TODAY)
    except FaultyList as refusal:
        assert refusal.faults
        assert all(
            fault.startswith(f"{file}: ") and fault.isprintable() for fault in refusal.faults
        )
    else:
        assert saved.on <= TODAY
        told = saved.told
        assert told.ticked or told.found or told.left or told.unsafe or told.check or told.note


BYTES = st.tuples(
    st.integers(0, len(WHOLE)),
    st.integers(0, 3),
    st.sampled_from(b'"{}[]:,\\x00\xff 9\n').map(lambda byte: bytes([byte]))
    | st.binary(max_size=8)
    | st.sampled_from([b"9" * 5_000, b"\\u0000", b"NaN", b"1e999"]),
)


@counted
@given(changes=st.lists(BYTES, min_size=1, max_size=4))
def test_a_file_with_changed_bytes_is_read_or_refused_in_lines(
    tmp_path_factory: pytest.TempPathFactory, changes: list[tuple[int, int, bytes]]
) -> None:
    whole = WHOLE
    for at, less, more in changes:
        whole = whole[:at] + more + whole[at + less :]
    file = tmp_path_factory.getbasetemp() / "changed.json"
    file.write_bytes(whole)
    try:
        saved = read_findings(file, TODAY)
    except FaultyList as refusal:
        assert refusal.faults
        assert all(
            fault.startswith(f"{file}: ") and fault.isprintable() for fault in refusal.faults
        )
    else:
        assert saved.on <= TODAY


# what the command line says besides


@pytest.mark.parametrize(
    ("said", "line"),
    [
        (
            ServiceNotes(excepted=("a",)),
            "--except a: it is ticked on the list; it counts as not done",
        ),
        (ServiceNotes(also=("z",)), "--also z: it is not ticked on the list; it counts as done"),
        (
            ServiceNotes(found=(("a", (Found.RUSTY,)),)),
            "--found a: on the list it is dry, worn; rusty counts",
        ),
        (ServiceNotes(left=(("b", Left.GOOD),)), "--left b: on the list it is watch; good counts"),
        (
            ServiceNotes(note="Other."),
            "--note: the list has another: Noisy.; that on the command line counts",
        ),
    ],
)
def test_what_is_said_besides_counts_and_is_told(said: ServiceNotes, line: str) -> None:
    listed = ServiceNotes(
        ticked=("a", "b"),
        found=(("a", (Found.DRY, Found.WORN)),),
        left=(("b", Left.WATCH),),
        note="Noisy.",
    )
    both, overruled = told_besides(listed, said)
    assert [overruled_words(each) for each in overruled] == [line]
    assert set(both.ticked or ()) == {"a", "b"} - set(said.excepted)
    assert (both.excepted, both.also) == (said.excepted, said.also)
    assert dict(both.found) == {**dict(listed.found), **dict(said.found)}
    assert dict(both.left) == {**dict(listed.left), **dict(said.left)}
    assert both.note == (said.note or listed.note)


@pytest.mark.parametrize(
    "said",
    [
        ServiceNotes(),
        ServiceNotes(excepted=("z",)),
        ServiceNotes(also=("a",)),
        ServiceNotes(found=(("a", (Found.WORN,)), ("a", (Found.DRY,)))),
        ServiceNotes(found=(("b", (Found.DRY,)),)),
        ServiceNotes(left=(("b", Left.WATCH), ("a", Left.GOOD))),
        ServiceNotes(note="Noisy."),
    ],
)
def test_what_says_the_same_or_something_more_is_not_told(said: ServiceNotes) -> None:
    listed = ServiceNotes(
        ticked=("a", "b"),
        found=(("a", (Found.DRY, Found.WORN)),),
        left=(("b", Left.WATCH),),
        note="Noisy.",
    )
    assert told_besides(listed, said)[1] == ()


# into the book


def test_only_what_is_ticked_is_done_the_owner_s_points_too(
    demo_shop: Shop, run: Run, file: Path
) -> None:
    planned = {point.id for point in standing_of(demo_shop, HERON).reckoning.points_at(TODAY)}
    result = run("serviced", HERON, "--from", save(file), *BACK, shop=demo_shop.folder)
    assert result.exit_code == 0, result.stderr
    kept = findings_of(demo_shop)
    ticked = {"hook-race-clean", "needle-change"}
    assert {point for point, finding in kept.items() if finding.done} == ticked
    left_out = {point for point, each in kept.items() if each.planned and not each.done}
    assert left_out == planned - ticked
    assert kept["hook-race-clean"].found == (Found.PACKED, Found.WORN)
    assert kept["belt-inspect"].left is Left.WATCH
    assert "Not done: " in result.stdout


def test_an_owner_s_point_of_which_something_was_noted_and_that_was_not_ticked_was_not_done(
    demo_shop: Shop, run: Run, file: Path
) -> None:
    owners = [
        point.id
        for point in demo_shop.list_for_owner_of(the_machine(demo_shop, HERON)).kept_by(
            Keeper.OWNER
        )
    ]
    save(file, left={owners[0]: "declined"})
    result = run("serviced", HERON, "--from", file, *BACK, shop=demo_shop.folder)
    assert result.exit_code == 0, result.stderr
    kept = findings_of(demo_shop)
    assert (kept[owners[0]].planned, kept[owners[0]].done) == (True, False)
    assert [point for point in owners if point in kept] == [owners[0], "needle-change"]


def test_the_day_of_the_file_is_the_day_of_the_service(
    demo_shop: Shop, run: Run, file: Path
) -> None:
    save(file, day="2026-11-23")
    result = run("serviced", HERON, "--from", file, *BACK, shop=demo_shop.folder)
    assert "served Monday 23 November 2026" in result.stdout
    assert the_machine(demo_shop, HERON).services[-1].on == date(2026, 11, 23)


@pytest.mark.parametrize(
    ("except_as", "left_as"), [("needle-change", "belt-inspect"), ("47", "drive belt")]
)
def test_options_beside_the_file_count_and_are_told_however_a_point_is_named(
    demo_shop: Shop, run: Run, file: Path, except_as: str, left_as: str
) -> None:
    options = (
        "--except",
        except_as,
        "--left",
        f"{left_as}=part-ordered",
        "--note",
        "Belt ordered.",
        "--on",
        "2026-11-25",
        *BACK,
    )
    result = run("serviced", HERON, "--from", save(file), *options, shop=demo_shop.folder)
    assert result.exit_code == 0
    assert besides_change(result.stderr).splitlines() == [
        "M-001: --except needle-change: it is ticked on the list; it counts as not done",
        "M-001: --left belt-inspect: on the list it is watch; part ordered counts",
    ]
    kept = findings_of(demo_shop)
    assert not kept["needle-change"].done
    assert kept["belt-inspect"].left is Left.PART_ORDERED
    assert the_machine(demo_shop, HERON).notes[-1].words == "Belt ordered."


@pytest.mark.parametrize(
    ("words", "changes", "said"),
    [
        # the wrong machine, model or day
        ("M-004", {}, "machine: is M-001, not M-004; name the machine that was on the bench"),
        ("M-004", {"machine": "M-004"}, "model: is heron-3, and M-004 is a "),
        # the list of a model, which anybody's machine may have been
        (HERON, {"machine": None}, "machine: is none: it is the list of a model; tick on the page"),
        (HERON, {"model": "heron-4"}, "model: is heron-4, and M-001 is a heron-3"),
        ("M-001 --on 2026-11-24", {}, "--on 2026-11-24: "),
        (
            "M-001 --on 2026-11-24",
            {},
            " is of 2026-11-25; leave --on out, or save the findings again on the bench page with "
            "the other day",
        ),
        ("nobody", {}, 'machine "nobody": there is none'),
        # points that are not on the list
        (
            HERON,
            {"done": ["hook-race-clean", "hook-rase-oil"]},
            'point "hook-rase-oil": Heron 3 has no such point; did you mean',
        ),
        (HERON, {"found": {"hook": ["dry"]}}, 'point "hook": Heron 3 has no such point'),
        # nothing ticked and nothing noted
        (HERON, NOTHING, "done: nothing is ticked and nothing noted"),
    ],
)
def test_findings_that_do_not_fit_are_refused_and_nothing_is_kept(
    demo_shop: Shop, run: Run, file: Path, words: str, changes: dict[str, Any], said: str
) -> None:
    before = all_machines(demo_shop)
    result = run("serviced", *words.split(), "--from", save(file, **changes), shop=demo_shop.folder)
    assert result.exit_code == 1
    [line] = result.stderr.splitlines()
    assert said in line
    assert all_machines(demo_shop) == before


def due_of(shop: Shop, run: Run) -> str:
    """The next service of the machine and all its calls."""
    listed = [run(name, "--json", shop=shop.folder).stdout for name in ("due", "calls")]
    return "\n".join([run("schedule", HERON, "--json", shop=shop.folder).stdout, *listed])


def test_what_is_noted_without_a_tick_is_kept_and_moves_no_day(
    demo_shop: Shop, run: Run, file: Path
) -> None:
    before = due_of(demo_shop, run)
    noted = {**NOTHING, "found": {"belt-inspect": ["worn"]}, "note": "Owner wants a price first."}
    answer = run("serviced", HERON, "--from", save(file, **noted), shop=demo_shop.folder)
    assert (answer.exit_code, besides_change(answer.stderr)) == (0, "")
    assert answer.stdout.splitlines()[0] == (
        "M-001 Ida Brandvold: nothing done on Wednesday 25 November 2026; what was noted is kept."
    )
    service = the_machine(demo_shop, HERON).services[-1]
    assert not service.whole
    assert not any(each.done or each.planned for each in service.findings)
    assert findings_of(demo_shop)["belt-inspect"].found == (Found.WORN,)
    assert the_machine(demo_shop, HERON).notes[-1].words == "Owner wants a price first."
    assert due_of(demo_shop, run) == before
    again = run("serviced", HERON, "--from", file, shop=demo_shop.folder)
    assert again.exit_code == 1
    assert "in the book already" in again.stderr


def test_danger_reasons_and_names_of_a_file_are_kept_and_not_told_again_once_put_right(
    demo_shop: Shop, run: Run, file: Path
) -> None:
    unsafe = {"danger": "mechanical", "why": "hinge pin cracked"}
    save(file, unsafe=unsafe, by="J. Tarn")
    answer = run("serviced", HERON, "--from", file, *BACK, shop=demo_shop.folder)
    assert answer.exit_code == 0, answer.stderr
    assert "Do not use: hinge pin cracked" in answer.stdout
    record = the_machine(demo_shop, HERON)
    assert [(mark.why, mark.danger) for mark in record.dangers] == [
        ("hinge pin cracked", Danger.MECHANICAL)
    ]
    service = record.services[-1]
    assert (service.by, record.is_tested(service)) == ("J. Tarn", True)
    assert findings_of(demo_shop)["wiring-inspect"].why == "no time left"
    put_right = ("safe", HERON, "--by", "J. Tarn", "new pin")
    assert run(*put_right, shop=demo_shop.folder).exit_code == 0
    assert run("serviced", HERON, "--from", file, *BACK, shop=demo_shop.folder).exit_code == 1
    assert the_machine(demo_shop, HERON).dangers == ()


def test_a_list_that_changed_since_its_page_was_made_is_told_in_a_line(
    demo_shop: Shop, run: Run, file: Path
) -> None:
    now = demo_shop.list_of(the_machine(demo_shop, HERON)).edition.code
    save(file, edition="000000")
    answer = run("serviced", HERON, "--from", file, *BACK, shop=demo_shop.folder)
    assert answer.exit_code == 0
    assert besides_change(answer.stderr).splitlines() == [
        f"M-001: its list was changed since this page was made, 000000 then and {now} now; make "
        "the page anew for the next service"
    ]
    assert findings_of(demo_shop)["needle-change"].done


def test_what_a_file_tells_of_a_point_that_is_no_more_counts_for_its_heirs(demo_shop: Shop) -> None:
    record = the_machine(demo_shop, HERON)
    point_list = demo_shop.list_of(record)
    parted = replace(
        point_list,
        points=tuple(
            replace(point, was=("old-oil",))
            if point.id in ("hook-race-oil", "needle-bar-oil")
            else point
            for point in point_list.points
        ),
    )
    told = ServiceNotes(
        ticked=("old-oil", "needle-change"),
        found=(("old-oil", (Found.DRY,)), ("hook-race-oil", (Found.GUMMED,))),
        left=(("old-oil", Left.WATCH),),
        why=(("old-oil", "late"),),
    )
    now = under_ids(parted, record, told)
    assert set(now.ticked or ()) == {"hook-race-oil", "needle-bar-oil", "needle-change"}
    assert dict(now.found) == {"hook-race-oil": (Found.GUMMED,), "needle-bar-oil": (Found.DRY,)}
    assert dict(now.left) == dict.fromkeys(("hook-race-oil", "needle-bar-oil"), Left.WATCH)
    assert dict(now.why) == dict.fromkeys(("hook-race-oil", "needle-bar-oil"), "late")
    for part in ({"ticked": ("hook",)}, {"why": (("hook", "late"),)}):
        with pytest.raises(UnknownName, match='point "hook": Heron 3 has no such point'):
            under_ids(parted, record, replace(ServiceNotes(ticked=()), **part))


def test_the_same_findings_are_not_kept_twice(demo_shop: Shop, run: Run, file: Path) -> None:
    first = run("serviced", HERON, "--from", save(file), *BACK, shop=demo_shop.folder)
    assert first.exit_code == 0, first.stderr
    before = all_machines(demo_shop)
    again = run("serviced", HERON, "--from", file, shop=demo_shop.folder)
    assert again.exit_code == 1
    assert (
        again.stderr
        == "oilchart: M-001: this service of 2026-11-25 is in the book already; nothing was "
        "changed\n"
    )
    assert all_machines(demo_shop) == before


def test_a_shorter_interval_that_the_file_s_findings_propose_is_accepted_with_the_same_file(
    demo_shop: Shop, run: Run, file: Path
) -> None:
    before = run("serviced", HERON, "--on", "2026-11-04", *TESTED, shop=demo_shop.folder)
    assert before.exit_code == 0, before.stderr
    save(file, done=["crank-links-oil"], found={"crank-links-oil": ["dry"]}, left={})
    proposed = run("serviced", HERON, "--from", file, *BACK, shop=demo_shop.folder)
    assert proposed.exit_code == 0, proposed.stderr
    services = the_machine(demo_shop, HERON).services
    accepted = run("serviced", HERON, "--from", file, "--accept", shop=demo_shop.folder)
    assert accepted.exit_code == 0, accepted.stderr
    assert the_machine(demo_shop, HERON).services == services
    assert "Back to the book's: machine edit M-001 --book-intervals" in accepted.stdout
