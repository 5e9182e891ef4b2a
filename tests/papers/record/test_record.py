"""The service record handed over with a machine: what it tells, in which words, and how it is
printed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from oilchart.core.point_lists.point_list import Proof
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.job import Danger, ElectricalCheck, Repair, UnsafeMark
from oilchart.papers.record.content import UNTIL_CHECKED, ServiceSheet
from oilchart.papers.record.pdf import record_pdf, record_words
from oilchart.papers.record.story import FOUND_TOLD
from oilchart.papers.wording import INVENTED, capital
from oilchart.sources.packaged import packaged
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

SHELF = PointLibrary([packaged("points")])


def remaining(sheet: ServiceSheet) -> dict[str, tuple[str, ...]]:
    return {kind.heading: kind.places for kind in sheet.serviced.remaining}


def told(sheet: ServiceSheet) -> str:
    """The words of its PDF."""
    return words_in(record_pdf(sheet))


def ticked(*points: str) -> list[Finding]:
    return [Finding(point=point, ticked=True) for point in points]


def test_what_was_ticked_is_listed_by_kind_of_work_under_the_technicians_names() -> None:
    sheet = a_record_sheet(ticked(*(point.id for point in CHART.points)))
    assert [(kind.heading, kind.places) for kind in sheet.serviced.places] == [
        ("Oiled", ("Place of bar-oil", "Place of race-oil")),
        ("Cleaned", ("Place of hook-clean",)),
        ("Greased", ("Place of gear-grease",)),
        ("Looked at", ("Place of belt-look",)),
        ("Adjusted", ("Place of tension-set",)),
        ("Replaced", ("Place of needle-change",)),
    ]
    assert sheet.serviced.others == ""


def test_what_was_told_as_a_whole_is_counted_and_no_place_of_it_is_named() -> None:
    words = told(a_record_sheet())
    assert "The whole list for this service, 7 places." in words
    assert (
        "Oiled 2 places, cleaned 1, greased 1, looked at 1, adjusted 1 and replaced 1. On "
        "Wednesday 25 November 2026."
    ) in words
    assert [point.where for point in CHART.points if point.where in words] == []
    assert "Place by place" not in words


def test_of_a_list_told_as_a_whole_only_what_was_ticked_is_named() -> None:
    findings = [Finding(point=point.id, ticked=point.id == "race-oil") for point in CHART.points]
    words = told(a_record_sheet(findings))
    assert [point.id for point in CHART.points if point.where in words] == ["race-oil"]
    assert "The other 6 places of the list were done as a whole and are not named here." in words


def test_work_at_single_places_is_no_service_of_the_list() -> None:
    words = told(
        a_record_sheet([Finding(point="race-oil", planned=False, ticked=True)], whole=False)
    )
    assert "Work at 1 place only. Oiled 1 place." in words
    assert "Nothing besides what you told us." in words
    alone = a_record_sheet(ticked("race-oil"), whole=False, complaint="")
    assert alone.nothing_found == "Nothing out of the ordinary at the places we worked on."


def test_who_did_the_work_and_on_which_days_is_told() -> None:
    findings = [
        Finding(point="race-oil", ticked=True),
        Finding(point="belt-look", ticked=True, on=TODAY + timedelta(days=6)),
    ]
    words = told(a_record_sheet(findings, by="J. Tarn"))
    assert "From 25 November 2026 to 1 December 2026, by J. Tarn." in words
    assert "Looked at: Place of belt-look (1 December 2026)." in words
    assert "Work done by J. Tarn" in words


def test_only_what_was_found_other_than_good_is_told_and_in_the_owners_words() -> None:
    sheet = a_record_sheet(
        [
            Finding(point="hook-clean", found=(Found.PACKED, Found.RUSTY)),
            Finding(point="race-oil", found=(Found.GOOD,)),
            Finding(point="bar-oil", found=(Found.WRONG_OIL,)),
            Finding(point="gear-grease", done=False, planned=False, found=(Found.WRONG_OIL,)),
            Finding(point="needle-change"),
        ]
    )
    assert [(found.heading, found.words) for found in sheet.found] == [
        # the list has no words for the home here; found alike is told together
        ("An oil that does not suit it", "Place of bar-oil; the place of gear-grease"),
        ("Full of lint; some rust", "the place of hook-clean"),
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
    assert bool(sheet.serviced.whole) is ("Not done this time" not in told and finding.done)


def test_what_was_left_out_is_told_with_its_reason_for_the_sake_of_safety_first() -> None:
    point_list = a_chart(*(a_point(f"p{at}", safety=at == 3) for at in range(4)))
    findings = [
        Finding(point="p0", done=False, why="no bulb here"),
        Finding(point="p1", done=False),
        Finding(point="p2", done=False, why="no bulb here"),
        Finding(point="p3", done=False, why="the guard is on order"),
    ]
    words = told(a_record_sheet(findings, point_list))
    wanted = [
        "Not done this time: The place of p3. Why: the guard is on order.",
        "Not done this time: The place of p0; the place of p2. Why: no bulb here.",
        "Not done this time: The place of p1.",
    ]
    assert [words.find(each) for each in wanted] == sorted(words.find(each) for each in wanted)
    assert [each for each in wanted if each not in words] == []
    assert "Nothing of its list this time." in words


def test_many_places_left_out_without_a_word_are_counted_and_named_in_small_on_the_list() -> None:
    point_list = a_chart(*(a_point(f"p{at}") for at in range(9)))
    findings = [Finding(point="p0", ticked=True)]
    findings += [Finding(point=f"p{at}", done=False) for at in range(1, 9)]
    words = told(a_record_sheet(findings, point_list))
    assert "1 of the 9 places on the list for this service." in words
    assert "Not done this time: 8 places of the list, named under “Place by place”." in words
    assert words.index("Place by place Oiled") < words.index("Place of p8")


def test_a_part_on_order_is_told_until_a_repair_says_otherwise() -> None:
    findings = [Finding(point="belt-look", done=False, left=Left.PART_ORDERED, why="no belt here")]
    ordered = a_record_sheet(findings, waiting_for="drive belt")
    assert remaining(ordered)["Parts on order"] == ("the place of belt-look", "drive belt")
    fitted = Repair(
        id=1, on=TODAY, words="belt fitted", part="drive belt", left=(("belt-look", Left.GOOD),)
    )
    assert remaining(a_record_sheet(findings, repairs=(fitted,))) == {}


def test_a_repair_is_told_with_its_part_who_did_it_and_when() -> None:
    repair = Repair(id=1, on=TODAY, words="winder fitted", part="winder tyre", by="J. Tarn")
    sheet = a_record_sheet(served=False, repairs=(repair,), complaint="winds unevenly")
    words = told(sheet)
    assert "Winder fitted: part: winder tyre; J. Tarn, 25 November 2026." in words
    assert "Nothing of its list this time." in words
    assert "What we found" not in words


def test_a_stay_in_which_nothing_was_done_says_so() -> None:
    words = told(a_record_sheet(served=False, complaint="it hums", ready_on=TODAY))
    assert "“it hums”" in words
    assert "No work was done this time. Mains test: not made this time." in words
    assert [told for told in ("What we found", "Work done by", "Tested") if told in words] == []
    waiting = told(a_record_sheet(served=False, complaint="it hums"))
    assert "No work has been done yet." in waiting and "this time. Mains" not in waiting


MARK = UnsafeMark(
    id=1,
    danger=Danger.ELECTRICAL,
    on=TODAY,
    why="the lead crumbles",
    lifted_on=TODAY,
    lifted_by="R. Amsel",
    put_right="new lead fitted",
)
BEFORE = ElectricalCheck(on=TODAY, by="R. Amsel", passed=False, reading="0.2 megohm", before=True)
PASSED = ElectricalCheck(on=TODAY, by="R. Amsel", passed=True, reading="2.1 megohm")


def test_a_danger_that_was_put_right_is_told_with_who_tested_it_and_does_not_stand_first() -> None:
    repair = Repair(id=1, on=TODAY, words="new lead fitted", by="J. Tarn")
    sheet = a_record_sheet([], marks=(MARK,), checks=(BEFORE, PASSED), repairs=(repair,))
    words = told(sheet)
    wanted = [
        "Not safe to plug in: the lead crumbles, found on 25 November 2026.",
        "before it was first plugged in: not passed, R. Amsel, 0.2 megohm.",
        "New lead fitted: J. Tarn, 25 November 2026.",
        "Safe to plug in again: check passed, R. Amsel, 2.1 megohm, 25 November 2026.",
        "Mains test: passed, R. Amsel, 2.1 megohm.",
    ]
    assert [each for each in wanted if each not in words] == []
    assert sheet.dangers == ()
    alone = told(a_record_sheet([], marks=(MARK,), checks=(PASSED,)))
    assert "again: new lead fitted; check passed, R. Amsel" in alone


def test_a_mechanical_danger_is_put_right_by_a_person_and_by_no_check() -> None:
    mark = replace(MARK, danger=Danger.MECHANICAL, why="pin cracked", put_right="new pin")
    words = told(a_record_sheet([], marks=(mark,), checks=(PASSED,)))
    assert "Not safe to use: pin cracked, found on 25 November 2026." in words
    assert "Safe to use again: new pin; R. Amsel, 25 November 2026." in words


TESTED = a_chart(a_point("oil"), a_point("mains", proof=Proof.ELECTRICAL))


@pytest.mark.parametrize(
    ("told_of", "line"),
    [
        ({"checks": (PASSED,)}, "Mains test: passed, R. Amsel, 2.1 megohm"),
        ({"checks": (replace(PASSED, reading=""),)}, "Mains test: passed, R. Amsel"),
        # the latest counts; what was found before the first plug-in proves nothing
        ({"checks": (BEFORE, PASSED)}, "Mains test: passed, R. Amsel, 2.1 megohm"),
        ({"checks": (replace(PASSED, before=True),)}, "Mains test: not made this time"),
        ({"checks": (replace(BEFORE, before=False),)}, "Mains test: not passed, R. Amsel"),
        ({}, "Mains test: not made this time"),
        ({"point_list": TESTED.tested_elsewhere()}, "Mains test not made by us."),
        (
            {"point_list": TESTED.tested_elsewhere(), "checks": (PASSED,)},
            "Mains test: passed, R. Amsel, 2.1 megohm",
        ),
    ],
)
def test_the_mains_test_is_told_by_its_result_or_that_it_was_not_made(
    told_of: dict[str, Any], line: str
) -> None:
    # a book of before may say that the test was done though no check is known
    sheet: dict[str, Any] = {"point_list": TESTED} | told_of
    findings = [Finding(point=point.id) for point in sheet["point_list"].points]
    words = told(a_record_sheet(findings, **sheet))
    assert line in words
    assert "1 place." in words and "Place of mains" not in words
    treadle = replace(sheet["point_list"], has=frozenset({"treadle"}))
    unplugged = sheet | {"point_list": treadle, "checks": ()}
    assert "Mains" not in told(a_record_sheet(findings, **unplugged))


def test_why_the_mains_test_was_not_made_is_told() -> None:
    findings = [Finding(point="mains", done=False, why="the meter is away")]
    sheet = a_record_sheet(findings, TESTED)
    assert "Mains test: not made this time: the meter is away." in told(sheet)
    assert remaining(sheet) == {}


@pytest.mark.parametrize(
    "found",
    [
        {"complaint": "E6 on display, needle jams"},
        {"findings": [Finding(point="race-oil", left=Left.WATCH)]},
        {"findings": [Finding(point="race-oil", done=False, why="no lamp here")]},
        {"findings": [Finding(point="race-oil", done=False, found=(Found.DRY,))]},
        {"repairs": (Repair(id=1, on=TODAY, words="belt fitted"),)},
        {"checks": (BEFORE,)},
        {"marks": (MARK,)},
        {"unsafe": "the case is live"},
        {"freed": True},
    ],
)
def test_nothing_out_of_the_ordinary_is_said_only_where_nothing_was_found(
    found: dict[str, Any],
) -> None:
    assert "Nothing out of the ordinary." in told(a_record_sheet(complaint=""))
    words = told(a_record_sheet(**({"complaint": ""} | found)))
    assert "Nothing out of the ordinary" not in words
    assert "What we found" in words


POWERED = a_chart(
    a_point("oil"), *(a_point(f"run{at}", where=f"Motor at speed {at}", power=True) for at in "12")
)


@pytest.mark.parametrize("danger", list(Danger))
def test_the_record_of_an_unsafe_machine_claims_no_work_with_current_that_was_not_named(
    danger: Danger,
) -> None:
    findings = [Finding(point="oil"), Finding(point="run1"), Finding(point="run2", ticked=True)]
    sheet = a_record_sheet(findings, POWERED, unsafe="the case is live", danger=danger)
    assert sheet.serviced.whole == "2 of the 3 places on the list for this service"
    assert remaining(sheet) == {"Not done this time": ("the place of run1",)}
    assert "Motor at speed 1" not in told(sheet)
    assert "Motor at speed 2" in told(sheet)


def test_a_point_that_left_the_list_since_is_told_by_the_words_of_its_id() -> None:
    sheet = a_record_sheet([Finding(point="old-cam-oil", found=(Found.DRY,), ticked=True)])
    assert [(kind.heading, kind.places) for kind in sheet.serviced.places] == [
        ("Also done", ("Old cam oil",))
    ]
    assert sheet.found[0].words == "Old cam oil"


def test_points_at_one_place_are_named_once() -> None:
    point_list = a_chart(a_point("a", where="Hook race"), a_point("b", where="Hook race"))
    sheet = a_record_sheet(ticked("a", "b"), point_list)
    assert sheet.serviced.places[0].places == ("Hook race",)


def test_places_have_the_numbers_and_the_edition_of_their_list() -> None:
    sheet = a_record_sheet(ticked("connecting-rod-oil"), SHELF.point_list("heron-3"))
    code = SHELF.point_list("heron-3").edition.code
    words = told(sheet)
    assert "18 Connecting rod, upper bearing on the arm shaft" in words
    assert f"Numbers are those of list {code} of" in words


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


@pytest.mark.parametrize(
    ("danger", "plug", "heading", "rules"),
    [
        (Danger.ELECTRICAL, True, "Do not plug in", ("Keep its plug out of the wall",)),
        (Danger.MECHANICAL, True, "Do not use", ("Leave it unplugged", "do not turn its wheel")),
        (Danger.MECHANICAL, False, "Do not use", ("Do not sew with it",)),
    ],
)
def test_an_unsafe_machine_says_so_above_all_else_and_has_no_first_weeks_of_sewing(
    danger: Danger, plug: bool, heading: str, rules: tuple[str, ...]
) -> None:
    point_list = CHART if plug else replace(CHART, has=frozenset({"treadle"}))
    words = told(
        a_record_sheet(point_list=point_list, freed=True, unsafe="It is cracked", danger=danger)
    )
    assert (
        words.index(heading)
        < words.index("It is cracked, since 25 November 2026")
        < words.index("What you told us")
    )
    assert [rule for rule in rules if rule not in words] == []
    assert ("plug" in words) is plug
    assert "It was stuck and has been freed." in words
    assert "2 hours" not in words
    until = "Once it has been checked" if danger is Danger.ELECTRICAL else "Once it has been put"
    assert until in words
    assert "Told about the danger" in words
    assert "Tested by sewing" not in words


def test_of_two_dangers_both_stand_first_the_mains_side_before_the_other() -> None:
    pin = replace(MARK, danger=Danger.MECHANICAL, why="pin cracked", lifted_on=None)
    words = told(a_record_sheet(unsafe="the case is live", marks=(pin,)))
    assert words.index("the case is live") < words.index("pin cracked") < words.index("What you")


def test_a_reason_of_any_length_is_printed_whole() -> None:
    words = words_in(record_pdf(a_record_sheet(unsafe="the cord crumbles " * 400)))
    assert words.count("crumbles") == 2 * 400  # above all else, and as what was found


@pytest.mark.parametrize("plug", [True, False])
def test_the_owner_is_told_when_to_stop_and_what_to_leave_to_the_shop(plug: bool) -> None:
    point_list = CHART if plug else replace(CHART, has=frozenset({"treadle"}))
    words = words_in(record_pdf(a_record_sheet(point_list=point_list)))
    assert (
        "Stop, unplug, ring us: 01632 960100" if plug else "Stop, ring us: 01632 960100"
    ) in words
    assert ["tingles" in words, "foot pedal" in words] == [plug] * 2
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


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_every_word_of_a_record_is_on_it(model: str) -> None:
    point_list = SHELF.point_list(model)
    lefts = [*Left, None]
    findings = [
        Finding(
            point=point.id,
            done=at % 7 > 0,
            found=(list(Found)[at % 14],),
            left=lefts[at % 5],
            ticked=True,
            why="" if at % 7 else f"reason {at}",
        )
        for at, point in enumerate(point_list.points)
    ]
    sheet = a_record_sheet(findings, point_list, note="New belt next time", freed=True)
    pdf = record_pdf(sheet)
    text = words_in(pdf)
    serviced = sheet.serviced
    wanted = [
        *(sheet.title, sheet.machine, sheet.days, "“It squeaks when I go fast”"),
        *(*sheet.notes, "New belt next time", *sheet.settling),
        *(serviced.whole, serviced.kinds, serviced.when, serviced.others),
        *(words for found in sheet.found for words in (found.heading, *found.words.split("; "))),
        *(words for kind in serviced.places for words in (kind.heading, *kind.places)),
        *(words for kind in serviced.remaining for words in (kind.heading, kind.note)),
        *(capital(place) for kind in serviced.remaining for place in kind.places[:1]),
        *(place for kind in serviced.remaining for place in kind.places[1:]),
        *("May 2027", SHOP.name, SHOP.phone, SHOP.email, *SHOP.address),
        *(*sheet.signed, INVENTED, *sheet.home.stop_signs),
    ]
    assert [words for words in wanted if words not in text] == []
    assert not_counted(pdf) == []
    assert sizes_of(pdf) == {(210, 297)}


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_a_record_takes_one_page_and_its_list_the_back(model: str) -> None:
    point_list = SHELF.point_list(model)
    findings = [
        Finding(point=point.id, found=(Found.DRY,) * (at % 9 == 0))
        for at, point in enumerate(point_list.points)
    ]
    [whole] = pages_of(record_pdf(a_record_sheet(findings, point_list)))
    names = [f"{point.number} {point.where}" for point in point_list.points]
    assert [name for name in names if name in " ".join(whole.split())] == []
    every = [replace(finding, ticked=True) for finding in findings]
    front, back = pages_of(record_pdf(a_record_sheet(every, point_list)))
    assert "Next service" in front and "Place by place" not in front
    assert "Place by place" in back and "Next service" not in back


def test_nothing_to_tell_is_told_too() -> None:
    words = words_in(record_pdf(a_record_sheet([], owner="", serial="", complaint=" ")))
    assert "Service record Wren 1 · M-001 In the shop since Wednesday 25 November 2026" in words
    wanted = (
        "It came for its service.",
        "Nothing out of the ordinary.",
        "Nothing of its list this time. On Wednesday 25 November 2026.",
    )
    assert [told for told in wanted if told not in words] == []
    assert "From the bench" not in words


def test_type_for_the_owner_is_11_point_or_more_and_the_faces_are_embedded() -> None:
    whole = a_record_sheet(freed=True, note="x")
    pdf = record_pdf(whole)
    assert embedded_faces(pdf) == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
    listed = a_record_sheet(ticked(*(point.id for point in CHART.points)))
    for sheet, least in ((whole, 10.99), (listed, 8.99)):
        with inked() as seen:
            record_pdf(sheet)
        assert min(ink.bottom - ink.top for ink in seen if ink.words) >= least / 72 * 25.4


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
        Finding(
            point=f"p{at}", done=at > 0, found=(Found.DRY,), left=list(Left)[at + 1], ticked=True
        )
        for at in range(3)
    ]
    findings[0] = replace(findings[0], why=words)
    names: dict[str, Any] = {
        "owner": words,
        "serial": words[:300],
        "complaint": words,
        "note": words,
        "by": words[:200],
        "waiting_for": words,
        "repairs": (Repair(id=1, on=TODAY, words=words, part=words[:200], by=words[:200]),),
        "checks": (replace(PASSED, by=words[:200], reading=words[:200]),),
        "marks": (replace(MARK, why=words, put_right=words, lifted_by=words[:200]),),
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
