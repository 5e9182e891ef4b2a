"""The sheet beside the telephone: whom to ring, what to say, ask and have brought, boxes for what
came of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.records.booking import Booking
from oilchart.papers.call_sheet.content import (
    DANGER,
    NO_CALLS,
    OUTCOMES,
)
from oilchart.papers.call_sheet.pdf import call_sheet_pdf, call_sheet_words
from oilchart.papers.wording import INVENTED
from tests.builders.ink_checks import (
    HOSTILE,
    embedded_faces,
    inked,
    not_counted,
    pages_of,
    sizes_of,
    words_in,
)
from tests.builders.make import TODAY
from tests.builders.papers.call_sheet import SHELF, a_call_sheet, a_line
from tests.builders.records import SHOP, said

TWO = ((1, "heron-3"), (2, "heron-3"))


def test_every_word_of_a_call_is_on_the_sheet() -> None:
    pdf = call_sheet_pdf(a_call_sheet(a_line()))
    wanted = [
        "Calls of the next 2 weeks",
        SHOP.name,
        "Wednesday 25 November 2026 · 1 call",
        "Ida Brandvold",
        "01632 960107",
        DANGER,
    ]
    wanted += [
        "Heron 3 M-001 – service wanted in December 2026",
        "“5-8 hours a week; idle Jul-Aug”",
        "Ring after four",
        *OUTCOMES,
    ]
    wanted += [
        "“It is time for its service.”",
        "How often do you sit down to it?",
        "Have you been oiling it?",
        "yes",
        "sometimes",
        "never",
    ]
    wanted += [
        "Does it run as ever?",
        "The machine, foot pedal, cord, bobbin case, bobbins, manual.",
        "Note",
        INVENTED,
    ]
    assert [words for words in wanted if words not in words_in(pdf)] == []
    assert sizes_of(pdf) == {(210, 297)}
    assert not_counted(pdf) == []


def test_settling_in_is_asked_about_and_nothing_is_wanted() -> None:
    words = words_in(
        call_sheet_pdf(a_call_sheet(a_line(about=CallAbout.SETTLING_IN, wanted=date(2026, 11, 20))))
    )
    wanted = [
        "“How is it running?”",
        "freed in November 2026, settling in",
        "Have you been oiling it, after 2 and after 5 hours?",
    ]
    wanted += [
        "turn as lightly by hand as on the day you took it home?",
        "Only if it troubles them: the machine",
    ]
    assert [told for told in wanted if told not in words] == []
    assert "time for" not in words


def test_no_word_to_the_owner_reproaches() -> None:
    for about in CallAbout:
        [day] = a_call_sheet(a_line(about=about, machines=TWO)).days
        said = " ".join([day.calls[0].say, day.calls[0].oiling, *day.calls[0].questions]).lower()
        assert [
            word
            for word in ("overdue", "late", "should", "must", "forgot", "why", "neglect")
            if word in said.split()
        ] == []


@pytest.mark.parametrize(
    ("models", "bring"),
    [
        (["heron-3"], "the machine, foot pedal, cord, bobbin case, bobbins, manual"),
        # no plug: neither pedal nor cord
        (["tansy-3"], "the machine, shuttle, bobbins, manual"),
        (["ashgrove-27"], "the machine, bobbin case, bobbins, manual"),
        # a plug, but the pedal is part of its table; loopers instead of a bobbin
        (["garrow-80"], "the machine, cord, bobbin case, bobbins, manual"),
        (["sedge-44"], "the machine, foot pedal, cord, manual"),
        # one with a plug and one without: whose pedal and cord
        (
            ["heron-3", "ashgrove-27"],
            "the machines, foot pedal (M-001), cord (M-001), bobbin case, bobbins, manual",
        ),
    ],
)
def test_only_what_a_machine_has_is_to_be_brought(models: list[str], bring: str) -> None:
    machines = tuple(enumerate(models, start=1))
    sheet = a_call_sheet(a_line(machines=machines))
    assert sheet.days[0].calls[0].bring == bring
    assert bool(sheet.danger) is ("cord" in bring)


def test_calls_stand_by_day_those_of_one_day_in_the_order_given() -> None:
    tomorrow = TODAY + timedelta(days=1)
    sheet = a_call_sheet(a_line(owner="C", day=tomorrow), a_line(owner="B"), a_line(owner="A"))
    assert [(day.heading, [call.owner for call in day.calls]) for day in sheet.days] == [
        ("Wednesday 25 November 2026", ["B", "A"]),
        ("Thursday 26 November 2026", ["C"]),
    ]


def test_what_became_of_a_booked_day_stands_with_its_machine_on_the_sheet() -> None:
    whole = a_line(machines=TWO)
    (first, wanted), second = whole.services
    went_by = Booking(day=TODAY - timedelta(days=1), made_on=TODAY - timedelta(days=8))
    missed = replace(first, bookings=(went_by,))
    sheet = a_call_sheet(replace(whole, services=((missed, wanted), second)))
    words = "booked for 24 Nov 2026, did not come (M-001)"
    assert sheet.days[0].calls[0].so_far == words
    assert words in words_in(call_sheet_pdf(sheet))


def test_what_was_said_of_several_machines_tells_of_which() -> None:
    whole = a_line(machines=TWO)
    (first, wanted), second = whole.services
    other = replace(first, reports=said("20 hours a month"))
    call = replace(whole, services=((other, wanted), second))
    [block] = a_call_sheet(call).days[0].calls
    assert block.last_use == (
        "“20 hours a month” (M-001), “5-8 hours a week; idle Jul-Aug” (M-002)"
    )


def test_no_month_is_wanted_that_is_past_when_the_owner_is_rung() -> None:
    [day] = a_call_sheet(a_line(day=date(2026, 12, 7), wanted=date(2026, 11, 30))).days
    assert day.calls[0].about == "Heron 3 M-001 – service wanted as soon as it suits"
    [day] = a_call_sheet(a_line(day=date(2026, 12, 7), wanted=date(2026, 12, 1))).days
    assert day.calls[0].about == "Heron 3 M-001 – service wanted in December 2026"


def test_several_machines_of_one_owner_are_spoken_of_together() -> None:
    [call] = a_call_sheet(a_line(machines=TWO)).days[0].calls
    assert call.about == "Heron 3 M-001 and Heron 3 M-002 – service wanted in December 2026"
    assert call.last_use == "“5-8 hours a week; idle Jul-Aug”"
    assert (call.say, call.oiling) == (
        "It is time for their service.",
        "Have you been oiling them?",
    )


def test_what_is_not_known_takes_no_room() -> None:
    words = words_in(call_sheet_pdf(a_call_sheet(a_line(phone="", last_use="", wishes=""))))
    assert "no number" in words
    assert "Said last" not in words
    assert "Ring after four" not in words
    # who cannot be rung is written to
    assert "by letter" in words
    assert "Wishes" not in words_in(call_sheet_pdf(a_call_sheet(a_line(wishes=""))))


def test_a_call_is_never_split_and_every_page_says_its_day() -> None:
    calls = [
        a_line(owner=f"Owner {at:02}", wishes="Ring after four " * (at % 5)) for at in range(20)
    ]
    calls += [a_line(owner=f"Later {at}", day=date(2026, 12, 1)) for at in range(4)]
    pdf = call_sheet_pdf(a_call_sheet(*calls))
    pages = pages_of(pdf)
    assert not_counted(pdf) == []
    assert 8 <= len(pages) <= 10
    for page in pages:
        assert (
            len(
                {
                    page.count(words)
                    for words in (
                        "How often do you sit down",
                        "goes elsewhere",
                        "Note",
                        "Say",
                        "Bring",
                    )
                }
            )
            == 1
        )
        assert "November 2026" in page or "1 December 2026" in page
    names = [call.owner.name for call in calls]
    assert [name for name in names if sum(page.count(name) for page in pages) != 1] == []


def test_a_box_to_tick_stands_before_every_outcome_and_answer() -> None:
    with inked() as seen:
        call_sheet_pdf(a_call_sheet(a_line()))
    assert (
        len([ink for ink in seen if not ink.words and ink.right - ink.left < 5])
        == len(OUTCOMES) + 3
    )


def test_the_number_to_ring_is_the_largest_on_its_call() -> None:
    with inked() as seen:
        call_sheet_pdf(a_call_sheet(a_line(phone="01632-960107")))
    high = {ink.words: ink.bottom - ink.top for ink in seen}
    assert high["01632-960107"] == max(size for words, size in high.items() if words)


@pytest.mark.parametrize(
    ("weeks", "title"), [(1, "Calls of the next week"), (4, "Calls of the next 4 weeks")]
)
def test_a_sheet_without_calls_says_so(weeks: int, title: str) -> None:
    words = words_in(call_sheet_pdf(a_call_sheet(weeks=weeks)))
    assert title in words
    assert NO_CALLS in words
    assert "page 1 of 1" in words


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_neither_stop_a_sheet_nor_run_over_its_edge(words: str) -> None:
    numbers = range(1, 6)
    call = a_line(
        owner=words,
        phone=words,
        machines=tuple((number, "heron-3") for number in numbers),
        last_use=words,
        wishes=words,
    )
    hostile = replace(SHELF.point_list("heron-3"), name=words)
    shop = replace(SHOP, name=words[:300])
    with inked() as seen:
        point_lists = dict.fromkeys(numbers, hostile)
        pdf = call_sheet_pdf(a_call_sheet(call, call, shop=shop, point_lists=point_lists))
    assert [ink for ink in seen if not ink.within(11.9)] == []
    assert not_counted(pdf) == []


def test_the_faces_are_embedded_and_the_same_sheet_gives_the_same_bytes() -> None:
    sheet = a_call_sheet(a_line())
    assert embedded_faces(call_sheet_pdf(sheet)) == {
        "DejaVuSansCondensed",
        "DejaVuSansCondensed-Bold",
    }
    assert call_sheet_pdf(sheet) == call_sheet_pdf(sheet)
    assert {"Ida Brandvold", "01632 960107", "Ring after four"} < set(call_sheet_words(sheet))
