"""The service record handed over with a machine: what it tells, in which words, and how it is
printed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.job import Job
from oilchart.core.records.service_record import ServiceRecord
from oilchart.papers.record.content import FOUND_TOLD, UNTIL_CHECKED, ServiceSheet
from oilchart.papers.record.pdf import record_pdf, record_words
from oilchart.papers.wording import INVENTED
from oilchart.sources.files.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.ink_checks import (
    HOSTILE,
    embedded_faces,
    inked,
    not_counted,
    pages_of,
    sizes_of,
    words_in,
)
from tests.builders.make import TODAY, a_chart, a_point
from tests.builders.papers.record import CHART, a_record_sheet
from tests.builders.records import SHOP
from tests.builders.records import a_record as a_machine_record

SHELF = PointLibrary([packaged("points")])


def remaining(sheet: ServiceSheet) -> dict[str, tuple[str, ...]]:
    return {kind.heading: kind.places for kind in sheet.remaining}


def test_what_was_done_is_grouped_by_kind_of_work_under_the_technicians_names() -> None:
    assert [(kind.heading, kind.places) for kind in a_record_sheet().done] == [
        ("Cleaned", ("Place of hook-clean",)),
        ("Oiled", ("Place of race-oil", "Place of bar-oil")),
        ("Greased", ("Place of gear-grease",)),
        ("Looked at", ("Place of belt-look",)),
        ("Replaced", ("Place of needle-change",)),
        ("Adjusted", ("Place of tension-set",)),
    ]


def test_only_what_was_found_other_than_good_is_told_and_in_plain_words() -> None:
    sheet = a_record_sheet(
        [
            Finding(point="hook-clean", found=(Found.PACKED, Found.RUSTY)),
            Finding(point="race-oil", found=(Found.GOOD,)),
            Finding(point="bar-oil", found=(Found.WRONG_OIL,)),
            Finding(point="needle-change"),
        ]
    )
    assert [(found.place, found.how) for found in sheet.found] == [
        ("Place of hook-clean (the place of hook-clean)", "full of lint; some rust"),
        # the list has no words for the home here
        ("Place of bar-oil", "an oil that does not suit it"),
    ]


@pytest.mark.parametrize("found", [found for found in Found if found is not Found.GOOD])
def test_no_word_for_what_was_found_says_whose_doing_it_was(found: Found) -> None:
    told = f" {FOUND_TOLD[found]} "
    assert [
        word
        for word in (" you ", " your ", "neglect", "should", "wrong", "never", "too ", "fail")
        if word in told
    ] == []


@pytest.mark.parametrize(
    ("finding", "told"),
    [
        # it waits for a part or was declined: told once, whether something was done there or not
        (Finding(point="belt-look", left=Left.PART_ORDERED), {"Parts on order"}),
        (Finding(point="belt-look", done=False, left=Left.PART_ORDERED), {"Parts on order"}),
        (
            Finding(point="belt-look", done=False, left=Left.DECLINED),
            {"Left as it is, as you wished"},
        ),
        # left out of this service; to be watched besides
        (Finding(point="belt-look", done=False), {"Not done this time"}),
        (
            Finding(point="belt-look", done=False, left=Left.WATCH),
            {"To watch", "Not done this time"},
        ),
        (Finding(point="belt-look", left=Left.WATCH), {"To watch"}),
        # done, nothing remains
        (Finding(point="belt-look", left=Left.GOOD), set()),
        # "looked at" and "not checked" cannot both be true
        (Finding(point="belt-look", found=(Found.NOT_CHECKED,)), {"Not done this time"}),
        (Finding(point="race-oil", found=(Found.NOT_CHECKED,)), set()),
    ],
)
def test_what_remains_is_told_under_its_heading(finding: Finding, told: set[str]) -> None:
    sheet = a_record_sheet([finding])
    assert remaining(sheet).keys() == told
    assert bool(sheet.done) is ("Not done this time" not in told and finding.done)


def test_a_point_that_left_the_list_since_is_told_by_the_words_of_its_id() -> None:
    sheet = a_record_sheet([Finding(point="old-cam-oil", found=(Found.DRY,))])
    assert [(kind.heading, kind.places) for kind in sheet.done] == [("Also done", ("Old cam oil",))]
    assert sheet.found[0].place == "Old cam oil"


def test_points_at_one_place_are_named_once() -> None:
    point_list = a_chart(a_point("a", where="Hook race"), a_point("b", where="Hook race"))
    assert a_record_sheet(point_list=point_list).done[0].places == ("Hook race",)


def test_a_freed_machine_is_oiled_again_at_home_with_the_plug_out_first() -> None:
    sheet = a_record_sheet(freed=True)
    words = words_in(record_pdf(sheet))
    assert "It was stuck and has been freed." in words
    assert (
        words.index("Pull the plug out of the wall")
        < words.index("after the first 2 hours")
        < words.index("again after 5 hours")
    )
    assert "2 hours" not in words_in(record_pdf(a_record_sheet()))


def test_an_unsafe_machine_says_so_above_all_else_and_has_no_first_weeks_of_sewing() -> None:
    words = words_in(
        record_pdf(a_record_sheet(freed=True, unsafe="The cord's insulation crumbles"))
    )
    assert (
        words.index("Do not plug it in")
        < words.index("The cord's insulation crumbles")
        < words.index("As you brought it")
    )
    assert "It was stuck and has been freed." in words
    assert "2 hours" not in words
    assert "Once it has been checked" in words
    assert "Told about the danger" in words
    assert "Plugged in and tested" not in words


def test_a_reason_of_any_length_is_printed_whole() -> None:
    words = words_in(record_pdf(a_record_sheet(unsafe="the cord crumbles " * 400)))
    assert words.count("crumbles") == 400


@pytest.mark.parametrize("plug", [True, False])
def test_the_owner_is_told_when_to_stop_and_what_to_leave_to_the_shop(plug: bool) -> None:
    point_list = CHART if plug else replace(CHART, has=frozenset({"treadle"}))
    words = words_in(record_pdf(a_record_sheet(point_list=point_list)))
    assert (
        "Stop, unplug, ring us: 01632 960100" if plug else "Stop, ring us: 01632 960100"
    ) in words
    electric = ["tingles" in words, "foot pedal" in words, "Plugged in and tested" in words]
    assert electric == [plug] * 3
    assert all(never in words for never in ("solvents", "timing screws", "compressed air"))


@pytest.mark.parametrize(
    ("told", "when", "note"),
    [
        ({}, "May 2027", "We will ring you to find a day."),
        ({"next_service": None}, "when something troubles you", "Ring us and we find a day."),
        ({"unsafe": "bare wire"}, "May 2027", UNTIL_CHECKED),
        # a day that was agreed is said as on the card
        (
            {"booked": date(2027, 5, 6), "next_service": date(2027, 5, 6)},
            "Thursday 6 May 2027",
            "This day is booked for you; ring us if you cannot come.",
        ),
    ],
)
def test_the_next_service_is_a_month_or_the_day_booked_and_says_who_rings(
    told: dict[str, Any], when: str, note: str
) -> None:
    sheet = a_record_sheet(**told)
    assert (sheet.next_service, sheet.next_service_note) == (when, note)


def test_what_is_said_of_a_service_on_the_day_of_collection_is_its_stay_s() -> None:
    came, out = date(2026, 11, 20), TODAY
    earlier = Job(id=1, in_on=date(2025, 3, 3), complaint="knocks", out_on=date(2025, 3, 9))
    stay = Job(id=2, in_on=came, complaint="makes loops", out_on=out)
    record = a_machine_record(jobs=(earlier, stay))
    services = [
        ServiceRecord(id=at, on=on, findings=(), note="")
        for at, on in enumerate((came, out, out + timedelta(days=1), date(2024, 1, 1)))
    ]
    assert [record.complaint_at(service) for service in services] == [
        "makes loops",
        "makes loops",
        # after it was collected, and before it ever came
        "",
        "",
    ]


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_every_word_of_a_record_is_on_it(model: str) -> None:
    point_list = SHELF.point_list(model)
    lefts = [*Left, None]
    findings = [
        Finding(point=point.id, done=at % 7 > 0, found=(list(Found)[at % 14],), left=lefts[at % 5])
        for at, point in enumerate(point_list.points)
    ]
    sheet = a_record_sheet(findings, point_list, note="New belt next time", freed=True)
    pdf = record_pdf(sheet)
    text = words_in(pdf)
    wanted = [
        sheet.title,
        sheet.machine,
        sheet.day,
        "“It squeaks when I go fast”",
        sheet.note,
        "New belt next time",
        *sheet.settling,
    ]
    wanted += [words for found in sheet.found for words in (found.place, found.how)]
    wanted += [words for kind in sheet.done for words in (kind.heading, *kind.places)]
    wanted += [
        words for kind in sheet.remaining for words in (kind.heading, kind.note, *kind.places)
    ]
    wanted += [
        "May 2027",
        SHOP.name,
        SHOP.phone,
        SHOP.email,
        *SHOP.address,
        *sheet.signed,
        INVENTED,
        *sheet.home.stop_signs,
    ]
    assert [words for words in wanted if words not in text] == []
    assert not_counted(pdf) == []
    assert sizes_of(pdf) == {(210, 297)}


def test_a_usual_record_takes_two_pages_and_a_short_one_one() -> None:
    assert len(pages_of(record_pdf(a_record_sheet(point_list=SHELF.point_list("heron-3"))))) == 2
    assert len(pages_of(record_pdf(a_record_sheet()))) == 1


def test_nothing_to_tell_is_told_too() -> None:
    words = words_in(record_pdf(a_record_sheet([], owner="", serial="", complaint=" ")))
    assert "Service record Wren 1 · M-001 Service of Wednesday 25 November 2026" in words
    wanted = (
        "It came for its service.",
        "Nothing out of the ordinary.",
        "No work was done this time.",
    )
    assert [told for told in wanted if told not in words] == []
    assert "From the bench" not in words


def test_type_is_11_point_or_more_and_the_faces_are_embedded() -> None:
    pdf = record_pdf(a_record_sheet(freed=True))
    assert embedded_faces(pdf) == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
    with inked() as seen:
        record_pdf(a_record_sheet(freed=True, note="x", unsafe=""))
    assert min(ink.bottom - ink.top for ink in seen if ink.words) >= 10.99 / 72 * 25.4


def test_the_same_record_gives_the_same_bytes() -> None:
    assert record_pdf(a_record_sheet()) == record_pdf(a_record_sheet())


def test_a_real_shop_says_nothing_of_invention() -> None:
    assert INVENTED not in words_in(record_pdf(a_record_sheet(shop=replace(SHOP, invented=False))))


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_neither_stop_a_record_nor_run_over_its_edge(words: str) -> None:
    point_list = a_chart(
        *(a_point(f"p{at}", where=words[:300], home=words[:300]) for at in range(3))
    )
    shop = replace(
        SHOP, name=words[:300], phone=words[:300], address=(words[:300],), email=words[:300]
    )
    findings = [
        Finding(point=f"p{at}", found=(Found.DRY,), left=list(Left)[at + 1]) for at in range(3)
    ]
    names: dict[str, Any] = {
        "owner": words,
        "serial": words[:300],
        "complaint": words,
        "note": words,
    }
    with inked() as seen:
        pdf = record_pdf(a_record_sheet(findings, point_list, shop=shop, unsafe=words, **names))
    assert [ink for ink in seen if not ink.within(14.9)] == []
    assert not_counted(pdf) == []


@pytest.mark.parametrize(
    "name",
    ["Łucja Wierzbicka", "Nguyễn Thị Bích", "Ольга <b>Береговая</b> & sons", "{{ name }} %s"],
)
def test_names_are_printed_as_they_are(name: str) -> None:
    sheet = a_record_sheet(owner=name)
    assert f"Service record for {name}" in words_in(record_pdf(sheet))
    assert sheet.title in record_words(sheet)
