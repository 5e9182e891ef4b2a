"""The shop's and the owners' calendars through the command line: what stands in them, from day to
day, and for other programs."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date, datetime, timedelta
from pathlib import Path

import icalendar
import pytest
import vobject
from dateutil.relativedelta import relativedelta
from dateutil.rrule import rrulestr

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED, besides_change
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, all_owners, record_service
from tests.conftest import Run


def entries(file: Path) -> dict[str, icalendar.Event]:
    """The entries of a calendar file by uid."""
    found = icalendar.Calendar.from_ical(file.read_bytes()).events
    assert len({str(event["UID"]) for event in found}) == len(found)
    return {str(event["UID"]): event for event in found}


def blocks(data: bytes) -> dict[str, bytes]:
    """The bytes of each entry by uid."""
    parts = [part.split(b"END:VEVENT")[0] for part in data.split(b"BEGIN:VEVENT\r\n")[1:]]
    return {part.split(b"\r\n")[0].decode(): part for part in parts}


def titles(file: Path) -> list[str]:
    return [str(event["SUMMARY"]) for event in entries(file).values()]


def test_a_call_made_on_its_day_stays_as_it_was_and_one_needless_is_cancelled(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calendar", "-o", "a.ics", shop=demo_shop.folder)
    run("called", "Ida", "booked", "2026-12-10", shop=demo_shop.folder)  # was to be rung today
    run("machine", "gone", "M-008", "sold", shop=demo_shop.folder)  # was to be rung tomorrow
    run("calendar", "-o", "b.ics", shop=demo_shop.folder)
    before, after = (blocks((tmp_path / name).read_bytes()) for name in ("a.ics", "b.ics"))
    [ida] = [uid for uid, block in before.items() if b"Brandvold" in block]
    assert after[ida] == before[ida]
    [gone] = [
        event for event in entries(tmp_path / "b.ics").values() if event["STATUS"] == "CANCELLED"
    ]
    assert str(gone["SUMMARY"]).startswith("Cancelled: Call Άννα Καλλιγά")
    assert gone["SEQUENCE"] == 1
    run("calendar", "-o", "c.ics", shop=demo_shop.folder, today=TODAY + timedelta(days=45))
    assert not [
        title for title in titles(tmp_path / "c.ics") if title.startswith("Cancelled: Call Άννα")
    ]


def test_days_of_a_shop_that_changes_never_lower_a_number_nor_use_an_id_twice(
    demo_shop: Shop, run: Run, tries: int
) -> None:
    changes = {
        2: ("use", "M-006", "9 hours a week"), 4: ("called", "Nguy", "reached"),
        6: ("owner", "edit", "OW-006", "--name", "Marisol Y."),
        9: ("checkin", "M-015", "noisy"), 12: ("serviced", "M-015", *TESTED),
        13: ("collected", "M-015"),
        15: ("called", "OW-001", "no-answer"),
        18: ("machine", "gone", "M-005", "scrapped"),
        21: ("called", "OW-007", "later", "2027-01-11"), 25: ("machine", "back", "M-005"),
    }  # fmt: skip
    numbers: dict[str, tuple[int, datetime, str]] = {}
    last: dict[str, bytes] = {}
    order: list[str] = []
    for day in range(tries):
        today = TODAY + timedelta(days=day)
        if day in changes:
            assert run(*changes[day], shop=demo_shop.folder, today=today).exit_code == 0
        data = [
            run("calendar", "-o", "-", shop=demo_shop.folder, today=today).stdout_bytes
            for _ in range(2 if day in changes else 1)
        ]
        assert data[0] == data[-1]
        now = blocks(data[0])
        for event in icalendar.Calendar.from_ical(data[0]).events:
            uid, number, stamp = (
                str(event["UID"]),
                event.sequence,
                event.decoded("LAST-MODIFIED"),
            )
            owner = str(event["DESCRIPTION"]).partition("tel:")[2] or str(event["SUMMARY"])
            if uid in numbers:
                assert (number, stamp) >= numbers[uid][:2]
                assert owner == numbers[uid][2]  # an id is never given to another call
                assert (now[f"UID:{uid}"] == last[f"UID:{uid}"]) == (
                    (number, stamp) == numbers[uid][:2]
                )
            numbers[uid] = (number, stamp, owner)
        kept = [uid for uid in order if now.get(uid) == last.get(uid)]
        assert kept == [uid for uid in now if uid in kept]  # what did not change keeps its order
        last, order = {**last, **now}, list(now)
    assert len(numbers) > 15


def test_the_calendar_of_services_has_booked_days_and_windows(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    told = run("calendar", "--services", "-o", "services.ics", shop=demo_shop.folder)
    assert told.stderr == "wrote services.ics\n17 services\n"
    found = {str(event["SUMMARY"]): event for event in entries(tmp_path / "services.ics").values()}
    booked = found["Service booked: M-011 Heron 3, Șerban Ungureșan"]
    assert booked.decoded("DTSTART") == date(2026, 12, 1)
    assert "Falls due" not in str(booked["DESCRIPTION"])
    due = found["Service due: M-001 Heron 3, Ida Brandvold"]
    assert re.match(r"\d+ points, about \d", str(due["DESCRIPTION"]))
    assert "Falls due from " in str(due["DESCRIPTION"])
    # from day to day nothing changes where nothing has
    run(
        "calendar",
        "--services",
        "-o",
        "later.ics",
        shop=demo_shop.folder,
        today=TODAY + timedelta(days=1),
    )
    same = [
        uid
        for uid, block in blocks((tmp_path / "services.ics").read_bytes()).items()
        if block in (tmp_path / "later.ics").read_bytes()
    ]
    assert len(same) > 8


def test_a_service_moved_beyond_what_is_written_anew_is_moved_and_not_cancelled(
    fresh_shop: Shop, run: Run, tmp_path: Path
) -> None:
    add_owner(fresh_shop, name="Ida", phone="020 7946 0107", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    record_service(fresh_shop, "M-001", date(2026, 1, 12))
    for day in (date(2026, 12, 10), date(2028, 6, 1)):
        run("called", "Ida", "booked", day.isoformat(), shop=fresh_shop.folder)
        run("calendar", "--services", "-o", "services.ics", shop=fresh_shop.folder)
        [event] = entries(tmp_path / "services.ics").values()
        assert (event.start, event["STATUS"]) == (day, "CONFIRMED")


def test_an_owners_calendar_recurs_from_the_service_to_the_next_and_names_a_month(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calendar", "M-016", "-o", "care.ics", shop=demo_shop.folder)
    next_service = date.fromisoformat(
        json.loads(run("schedule", "M-016", "--json", shop=demo_shop.folder).stdout)["services"][0][
            "on"
        ]
    )
    served = date(2026, 9, 1)
    rules = 0
    for event in entries(tmp_path / "care.ics").values():
        if "RRULE" not in event:
            assert (event.decoded("DTSTART"), event.decoded("DTEND")) == (
                next_service.replace(day=1),
                next_service.replace(day=1) + relativedelta(months=1),
            )
            assert "We will ring you" in str(event["DESCRIPTION"])
            continue
        rules += 1
        months = {"month": 1, "2 months": 2, "3 months": 3, "6 months": 6, "year": 12}[
            str(event["SUMMARY"]).partition(": every ")[2]
        ]
        start = datetime.combine(event.decoded("DTSTART"), datetime.min.time())
        days = [each.date() for each in rrulestr(event.rrules[0].to_ical().decode(), dtstart=start)]
        assert days == [
            served + relativedelta(months=months * at) for at in range(1, len(days) + 1)
        ]
        assert days[-1] < next_service <= days[-1] + relativedelta(months=months)
        assert "Pull the plug" in str(event["DESCRIPTION"]) and "Stop, unplug, ring us" in str(
            event["DESCRIPTION"]
        )
    assert rules >= 1


def test_what_libraries_read_from_an_owners_calendar_is_the_same(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    for number in ("M-001", "M-006", "M-009", "M-016", "M-017"):
        run("calendar", number, "-o", "care.ics", shop=demo_shop.folder)
        text = (tmp_path / "care.ics").read_bytes()
        by_vobject = {
            each.uid.value: each
            for each in next(vobject.readComponents(text.decode(), validate=True)).vevent_list
        }
        for uid, event in entries(tmp_path / "care.ics").items():
            other = by_vobject[uid]
            assert (other.summary.value, other.description.value) == (
                str(event["SUMMARY"]),
                str(event["DESCRIPTION"]),
            )
            assert (other.dtstart.value, other.dtend.value) == (
                event.decoded("DTSTART"),
                event.decoded("DTEND"),
            )
            if "RRULE" in event:
                start = datetime.combine(event.decoded("DTSTART"), datetime.min.time())
                days = [
                    each.date()
                    for each in rrulestr(event.rrules[0].to_ical().decode(), dtstart=start)
                ]
                assert [
                    day.date() if isinstance(day, datetime) else day for day in other.getrruleset()
                ] == days


def test_an_unsafe_machine_gets_no_reminders_and_one_never_served_has_none(
    demo_shop: Shop, run: Run
) -> None:
    refused = run("calendar", "M-018", shop=demo_shop.folder)
    assert (refused.exit_code, refused.stderr.count("\n")) == (1, 1)
    run("serviced", "M-001", "--yes", "--unsafe", "bare wire", shop=demo_shop.folder)
    assert (
        "M-001: Do not plug in: bare wire, since 25 November 2026"
        in run("calendar", "M-001", shop=demo_shop.folder).stderr
    )


def test_a_folder_of_calendars_is_written_only_where_something_changed(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    first = run("calendar", "--all", "-o", "cal", shop=demo_shop.folder)
    assert first.stderr.count("wrote ") == len(list((tmp_path / "cal").iterdir())) == 2 + 17
    stamps = {path.name: path.stat().st_mtime_ns for path in (tmp_path / "cal").iterdir()}
    assert run("calendar", "--all", "-o", "cal", shop=demo_shop.folder).stderr == ""
    run("called", "Ida", "later", "2026-12-14", shop=demo_shop.folder)
    # until then it takes no place on the bench: its service moves, and her calendar says so
    assert (
        run("calendar", "--all", "-o", "cal", shop=demo_shop.folder).stderr
        == "wrote cal/calls.ics\nwrote cal/services.ics\nwrote cal/care-M-001.ics\n"
    )
    changed = [
        path.name
        for path in (tmp_path / "cal").iterdir()
        if path.stat().st_mtime_ns != stamps[path.name]
    ]
    assert sorted(changed) == ["calls.ics", "care-M-001.ics", "services.ics"]
    assert run("calendar", "--all", shop=demo_shop.folder).exit_code == 2


def test_the_private_calendar_names_nobody(demo_shop: Shop, run: Run) -> None:
    for words in (("--private",), ("--private", "--services")):
        text = (
            run("calendar", *words, "-o", "-", shop=demo_shop.folder)
            .stdout_bytes.replace(b"\r\n ", b"")
            .decode()
        )
        for owner, _ in all_owners(demo_shop):
            assert owner.name not in text and owner.phone not in text
        assert "5-8 hours a week" not in text
        assert "OW-001" in text


def test_an_alarm_stands_only_where_it_was_asked_for_and_before_the_day(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calendar", "-o", "plain.ics", shop=demo_shop.folder)
    assert b"VALARM" not in (tmp_path / "plain.ics").read_bytes()
    run("calendar", "--alarm", "15h", "-o", "alarm.ics", shop=demo_shop.folder)
    data = (tmp_path / "alarm.ics").read_bytes()
    assert data.count(b"TRIGGER:-PT15H\r\n") == data.count(b"BEGIN:VEVENT")


def test_split_by_month_every_call_stands_in_one_file(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calendar", "-o", "whole.ics", shop=demo_shop.folder)
    run("calendar", "--split", "-o", "calls.ics", shop=demo_shop.folder)
    parts = sorted(tmp_path.glob("calls-*.ics"))
    assert parts[0].name == "calls-2026-11.ics" and len(parts) > 3
    found = [uid for part in parts for uid in entries(part)]
    assert sorted(found) == sorted(entries(tmp_path / "whole.ics"))
    for part in parts:
        assert {f"{event.decoded('DTSTART'):%Y-%m}" for event in entries(part).values()} == {
            part.stem[-7:]
        }


def moved(file: Path, who: str, to: date, *, sequence: int | None = None) -> None:
    """Move an entry as a calendar program does."""
    calendar = icalendar.Calendar.from_ical(file.read_bytes())
    [event] = [event for event in calendar.events if who in str(event["SUMMARY"])]
    event.DTSTART, event.DTEND = to, to + timedelta(days=1)
    if sequence is not None:
        event["SEQUENCE"] = sequence
    file.write_bytes(calendar.to_ical())


def test_a_call_moved_in_the_calendar_program_is_promised_for_that_day(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calendar", "-o", "calls.ics", shop=demo_shop.folder)
    moved(tmp_path / "calls.ics", "Brandvold", date(2026, 12, 9))
    looked = run("calendar", "--read", "calls.ics", "--check", shop=demo_shop.folder)
    assert (
        looked.stdout
        == "call promised for Wednesday 9 December 2026: Call Ida Brandvold: Heron 3 M-001\n"
    )
    before = "11 entries of the shop's own as before"
    assert looked.stderr == f"Nothing was changed (--check). {before}.\n"
    with_another = (
        (tmp_path / "calls.ics")
        .read_bytes()
        .replace(
            b"END:VCALENDAR",
            b"BEGIN:VEVENT\r\nUID:1\r\nDTSTART;VALUE=DATE:20261201\r\nEND:VEVENT\r\nEND:VCALENDAR",
        )
    )
    (tmp_path / "more.ics").write_bytes(with_another)
    looked = run("calendar", "--read", "more.ics", "--check", shop=demo_shop.folder)
    assert looked.stderr == (
        f"Nothing was changed (--check). {before}; 1 other entry left alone.\n"
    )
    calls = {
        row["owner"]: row
        for row in json.loads(run("calls", "--json", shop=demo_shop.folder).stdout)
    }
    assert calls["Ida Brandvold"]["on"] == "2026-11-25"
    assert run("calendar", "--read", "calls.ics", shop=demo_shop.folder).stdout == looked.stdout
    calls = {
        row["owner"]: row
        for row in json.loads(run("calls", "--json", shop=demo_shop.folder).stdout)
    }
    assert (calls["Ida Brandvold"]["on"], calls["Ida Brandvold"]["promised"]) == (
        "2026-12-09",
        "2026-12-09",
    )
    # the file read again moves nothing more once it has been written anew
    run("calendar", "-o", "calls.ics", shop=demo_shop.folder)
    assert run("calendar", "--read", "calls.ics", shop=demo_shop.folder).stdout == ""


def test_a_service_moved_is_booked_and_what_cannot_be_is_told_and_left(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calendar", "--services", "-o", "services.ics", shop=demo_shop.folder)
    moved(tmp_path / "services.ics", "M-001", date(2026, 12, 10))
    moved(tmp_path / "services.ics", "M-003", date(2026, 12, 13))  # a Sunday
    moved(tmp_path / "services.ics", "M-005", date(2026, 11, 2))
    told = run("calendar", "--read", "services.ics", shop=demo_shop.folder)
    assert told.stdout.splitlines() == [
        "service booked for Thursday 10 December 2026: Service due: M-001 Heron 3, Ida Brandvold",
        "“Service due: M-005 Heron 3, Zdeňka Řeháková” on 2026-11-02: is before today, 2026-11-25: "
        "left as it was",
        "“Service due: M-003 Heron 3, Nguyễn Thị Bích” on 2026-12-13: the shop is shut then; the "
        "next open day is 2026-12-14: "
        "left as it was",
    ]
    assert "booked for 10 Dec 2026" in run("due", shop=demo_shop.folder).stdout


def test_an_entry_older_than_the_latest_file_moves_nothing(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calendar", "-o", "old.ics", shop=demo_shop.folder)
    run("called", "Ida", "later", "2026-12-14", shop=demo_shop.folder)
    run("calendar", "-o", "new.ics", shop=demo_shop.folder)
    assert run("calendar", "--read", "old.ics", shop=demo_shop.folder).stdout == ""
    # moved by hand, on top of what was read
    moved(tmp_path / "old.ics", "Brandvold", date(2026, 12, 9), sequence=1)
    assert "9 December" in run("calendar", "--read", "old.ics", shop=demo_shop.folder).stdout


def test_whole_days_of_a_category_shut_the_shop_until_they_are_taken_out_of_the_calendar(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("called", "Ida", "later", "2027-02-08", shop=demo_shop.folder)
    calendar = icalendar.Calendar()
    for uid, first, last, category in (
        ("away", date(2027, 2, 8), date(2027, 2, 12), "Shop closed"),
        ("party", date(2027, 2, 9), date(2027, 2, 9), "Private"),
    ):
        event = icalendar.Event()
        for key, value in (
            ("UID", uid),
            ("DTSTART", first),
            ("DTEND", last + timedelta(days=1)),
            ("SUMMARY", uid),
            ("CATEGORIES", [category]),
        ):
            event.add(key, value)
        calendar.add_component(event)
    (tmp_path / "own.ics").write_bytes(calendar.to_ical())
    told = run("calendar", "--read", "own.ics", "--closures", "shop closed", shop=demo_shop.folder)
    assert told.stdout == "shut Monday 8 February 2027 to Friday 12 February 2027: away\n"
    assert besides_change(told.stderr) == "1 other entry left alone.\n"
    refused = run("called", "Ida", "booked", "2027-02-10", shop=demo_shop.folder)
    assert "the bench is shut on that day; the next open one is 2027-02-15" in refused.stderr
    calendar.subcomponents = calendar.subcomponents[1:]
    (tmp_path / "own.ics").write_bytes(calendar.to_ical())
    run("calendar", "--read", "own.ics", "--closures", "shop closed", shop=demo_shop.folder)
    assert run("called", "Ida", "booked", "2027-02-10", shop=demo_shop.folder).exit_code == 0


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n",
        b"\xff\xfe\x00",
        b"hello",
        b"BEGIN:VCARD\r\nEND:VCARD\r\n",
    ],
)
def test_a_file_that_is_no_calendar_is_told_in_one_line(
    content: bytes, demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    (tmp_path / "own.ics").write_bytes(content)
    refused = run("calendar", "--read", "own.ics", shop=demo_shop.folder)
    assert (refused.exit_code, refused.stderr.count("\n")) == (1, 1), refused.stderr
    assert run("calendar", "--read", "none.ics", shop=demo_shop.folder).exit_code == 1


def test_entries_of_other_programs_with_odd_values_are_counted_not_tripped_over(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    odd = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\n"
        "BEGIN:VEVENT\r\nUID:1\r\nDTSTART:nonsense\r\nSUMMARY:a\r\nEND:VEVENT\r\n"
        "BEGIN:VEVENT\r\nUID:2\r\nDTSTART:20261201T090000Z\r\nDURATION:PT1H\r\nSUMMARY:b\r\n"
        "END:VEVENT\r\n"
        "BEGIN:VEVENT\r\nUID:3\r\nSUMMARY:no start\r\nEND:VEVENT\r\n"
        "BEGIN:VEVENT\r\nUID:4\r\nDTSTART;VALUE=DATE:20261201\r\nRRULE:FREQ=WEEKLY\r\n"
        "CATEGORIES:Shut,Home\r\nCATEGORIES:More\r\nEND:VEVENT\r\n"
        "END:VCALENDAR\r\n"
    )
    (tmp_path / "own.ics").write_text(odd, newline="")
    told = run("calendar", "--read", "own.ics", "--closures", "Shut", shop=demo_shop.folder)
    assert (told.exit_code, told.stdout) == (0, "")
    assert besides_change(told.stderr) == "2 other entries left alone, 2 that cannot be read.\n"


def test_more_entries_than_programs_take_are_told_with_the_way_out(
    demo_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    from oilchart.cli.commands.papers import calendars

    monkeypatch.setattr(calendars, "MOST_ENTRIES", 5)
    assert "--split" in run("calendar", shop=demo_shop.folder).stderr


def test_a_book_that_is_copied_keeps_its_ids(demo_shop: Shop, run: Run, tmp_path: Path) -> None:
    other = shutil.copytree(demo_shop.folder, tmp_path / "copy")
    first, second = (
        run("calendar", "-o", "-", shop=folder).stdout_bytes for folder in (demo_shop.folder, other)
    )
    assert first == second
