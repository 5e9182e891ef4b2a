"""The board as a value, and its page as text: complete, escaped, under its own policy, and the same
bytes each time."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from markupsafe import escape

from oilchart.core.due.due_dates import DUE, WORST_FIRST, State
from oilchart.core.due.risk import Risk
from oilchart.core.planning.capacity import ShopLimits
from oilchart.core.planning.standing import OpenCall, Standing, worst_first
from oilchart.core.planning.tally import COUNTED
from oilchart.errors import FaultyList
from oilchart.papers.board.content import (
    Board,
    board,
    days_words,
    near_day,
    over,
)
from oilchart.papers.board.html import MARKS, board_page, stitches
from oilchart.papers.drawing.colours import CAUTION, COLOURS, WHITE
from oilchart.papers.wording import INVENTED
from oilchart.sources.packaged import packaged
from tests.builders.board_shop import ALWAYS_OPEN, LIMITS, calls, standings, thirty
from tests.builders.html_page import HtmlPage, policy_faults
from tests.builders.make import TODAY, a_chart
from tests.builders.records import (
    SHOP,
    a_record,
    a_service,
    a_standing,
    an_open_call,
    an_owner,
    in_shop_since,
)

OURS = [packaged("templates")]
MARKUP = '</script><img src=x onerror="alert(1)">{{ 7 * 7 }}'
MONDAY = date(2026, 11, 23)


def a_machine(
    machine_id: int = 1,
    state: State = State.IN_TIME,
    *,
    model: str = "Heron 3",
    since: date | None = None,
    **said: Any,
) -> Standing:
    """A machine on the board; `said` is of its owner or its schedule."""
    owner = {name: said.pop(name) for name in ("name", "phone") if name in said}
    jobs = () if since is None else in_shop_since(since)
    record = a_record(machine_id, an_owner(**owner), jobs=jobs)
    return a_standing(record, state, point_list=replace(a_chart(), name=model), **said)


def a_call(on: date, name: str = "Ida Brandvold") -> OpenCall:
    return an_open_call(on, a_record(owner=an_owner(name=name)))


def a_board(
    *standings: Standing, called: tuple[OpenCall, ...] = (), today: date = TODAY, weeks: int = 8
) -> Board:
    limits = ShopLimits(open_days=ALWAYS_OPEN, calls_a_day=2, services_a_week=2)
    return board(standings, called, today=today, shop=SHOP, limits=limits, weeks=weeks)


def escaped(words: str) -> str:
    return str(escape(words))


# the value


def test_machines_stand_worst_first_and_those_gone_not_at_all() -> None:
    whole = thirty()
    assert [WORST_FIRST.index(each.schedule.state) for each in whole.machines] == sorted(
        WORST_FIRST.index(each.schedule.state) for each in whole.machines
    )
    assert State.GONE not in {each.schedule.state for each in whole.machines}
    assert len(whole.machines) == 29
    overdue = [
        each.schedule.due.days_left(TODAY) for each in whole.tally.in_state((State.OVERDUE,))
    ]
    assert overdue == [-63, -41, -18]


def test_machines_without_a_date_come_after_those_with_one_and_then_by_number() -> None:
    due = TODAY + timedelta(days=400)
    whole = a_board(a_machine(3), a_machine(2), a_machine(9, due=due))
    assert [each.record.number for each in whole.machines] == ["M-009", "M-002", "M-003"]


def test_the_board_and_the_list_of_due_machines_have_one_order() -> None:
    harmless, harmful = (
        a_machine(
            number,
            State.OVERDUE,
            due=TODAY - timedelta(days=days),
            risk=Risk(chance=1, weight=harm, point="hook"),
        )
        for number, days, harm in ((92, 195, 2), (94, 188, 3))
    )
    # what running dry does there counts before the days
    whole = a_board(harmless, harmful)
    assert [each.record.number for each in whole.machines] == ["M-094", "M-092"]
    assert list(whole.machines) == sorted([harmless, harmful], key=worst_first)


def test_the_machine_longest_in_the_shop_stands_first_there() -> None:
    here = [
        a_machine(days + 1, State.IN_THE_SHOP, since=TODAY - timedelta(days=days), due=TODAY)
        for days in (2, 9, 0)
    ]
    whole = a_board(*here)
    assert [each.days_here for each in whole.in_the_shop] == [9, 2, 0]


def test_the_counts_name_every_state_and_make_up_the_whole() -> None:
    whole = thirty()
    assert tuple(state for state, _ in whole.counts) == COUNTED
    assert sum(count for _, count in whole.counts) == len(whole.machines)
    assert a_board().counts == tuple((state, 0) for state in COUNTED)


def test_the_order_in_which_things_come_in_does_not_matter() -> None:
    mixed_machines, mixed_calls = standings(), calls()
    random.Random(7).shuffle(mixed_machines)
    random.Random(7).shuffle(mixed_calls)
    again = board(mixed_machines, mixed_calls, today=TODAY, shop=SHOP, limits=LIMITS)
    assert again == thirty()


@pytest.mark.parametrize("at", range(7))
def test_weeks_run_from_the_monday_of_this_week(at: int) -> None:
    whole = a_board(today=MONDAY + timedelta(days=at))
    assert [week.first for week in whole.weeks] == [
        MONDAY + timedelta(weeks=number) for number in range(8)
    ]
    assert all(len(week.days) == 7 for week in whole.weeks)
    assert whole.end == MONDAY + timedelta(weeks=8)


def test_calls_left_over_are_today_s() -> None:
    whole = a_board(called=(a_call(MONDAY), a_call(TODAY - timedelta(days=60)), a_call(TODAY)))
    days = {day.on: day for week in whole.weeks for day in week.days}
    assert (days[TODAY].calls, days[TODAY].left_over) == (3, 2)
    assert days[MONDAY].calls == 0
    assert len(whole.calls_now) == 3


def test_the_next_calls_are_those_of_one_day() -> None:
    whole = a_board(
        called=(
            a_call(TODAY),
            a_call(date(2026, 12, 1), "B"),
            a_call(date(2026, 12, 1), "A"),
            a_call(date(2026, 12, 2)),
        )
    )
    assert [call.owner.name for call in whole.calls_next] == ["A", "B"]
    assert a_board().calls_next == ()


@pytest.mark.parametrize(
    ("service", "week"),
    [
        # Monday to Sunday
        (MONDAY, 0),
        (date(2026, 11, 29), 0),
        (date(2026, 11, 30), 1),
        # what was planned for an earlier week is to be done now
        (date(2026, 11, 20), 0),
        # the last day shown, and what is not shown
        (date(2027, 1, 17), 7),
        (date(2027, 1, 18), None),
        (None, None),
    ],
)
def test_a_service_is_in_one_week(service: date | None, week: int | None) -> None:
    planned = () if service is None else (a_service(service, points=3, minutes=7),)
    whole = a_board(a_machine(services=planned))
    assert [at for at, each in enumerate(whole.weeks) if each.services] == (
        [] if week is None else [week]
    )
    assert sum((each.minutes for each in whole.weeks), start=Fraction(0)) == (
        0 if week is None else 7
    )


def test_every_call_and_service_before_the_end_is_counted_once() -> None:
    whole = thirty()
    days = [day for week in whole.weeks for day in week.days]
    assert sum(day.calls for day in days) == sum(call.on < whole.end for call in whole.calls)
    soon = [
        each
        for each in whole.machines
        if each.schedule.next_service is not None and each.schedule.next_service.on < whole.end
    ]
    assert sorted(each.record.id for week in whole.weeks for each in week.services) == sorted(
        each.record.id for each in soon
    )


@pytest.mark.parametrize(
    ("count", "limit", "more"),
    [(3, None, 0), (3, 4, 0), (4, 4, 0), (5, 4, 1), (1, 0, 1)],
)
def test_over_is_what_exceeds_the_limit(count: int, limit: int | None, more: int) -> None:
    assert over(count, limit) == more


@pytest.mark.parametrize(
    ("due", "state", "words"),
    [
        (TODAY - timedelta(days=63), State.OVERDUE, ("63", "past")),
        (TODAY - timedelta(days=1), State.LIKELY_OVERDUE, ("1", "past")),
        # the due date is the last day in time
        (TODAY, State.DUE_SOON, ("0", "left")),
        (TODAY + timedelta(days=6), State.DUE_SOON, ("6", "left")),
        (TODAY + timedelta(days=14), State.FIRST_SERVICE, ("14", "left")),
        (None, State.IN_TIME, ("", "no date")),
    ],
)
def test_days_are_said_as_past_or_left(
    due: date | None, state: State, words: tuple[str, str]
) -> None:
    assert days_words(a_machine(state=state, due=due)) == words


def test_a_near_day_has_its_weekday_and_another_year_its_number() -> None:
    assert near_day(date(2026, 11, 26), TODAY) == "Thu 26 Nov"
    assert near_day(date(2027, 1, 4), TODAY) == "Mon 4 Jan 2027"


def test_the_summary_counts_in_words() -> None:
    assert thirty().summary == (
        "10 of 29 machines want the bench now, 4 fall due soon, 3 are in the shop. 4 calls today, "
        "9 services this week."
    )
    one = a_board(
        a_machine(state=State.OVERDUE, services=(a_service(TODAY),)), called=(a_call(TODAY),)
    )
    assert (
        one.summary
        == "1 of 1 machine wants the bench now, 0 fall due soon, 0 are in the shop. 1 call today, "
        "1 service this week."
    )


# the bars


@pytest.mark.parametrize(
    ("count", "limit", "most", "kinds"),
    [
        # below, at and above the limit
        (1, 3, 4, ["done", "room", "room"]),
        (3, 3, 4, ["done", "done", "done"]),
        (4, 3, 4, ["done", "done", "done", "more"]),
        (0, 3, 4, ["room", "room", "room"]),
        # no limit: nothing to be full
        (2, None, 4, ["done", "done"]),
        (0, None, 4, []),
        # too many to be told apart: unbroken
        (15, 13, 15, ["done", "more"]),
        (5, 13, 15, ["done", "room"]),
    ],
)
def test_a_seam_has_a_stitch_for_each(
    count: int, limit: int | None, most: int, kinds: list[str]
) -> None:
    seam = stitches(count, limit, most)
    assert re.findall(r'<rect class="(\w+)"', seam) == kinds
    ends = [
        float(x) + float(width)
        for x, width in re.findall(r' x="([\d.]+)" y="\d+" width="([\d.]+)"', seam)
    ]
    assert all(end <= most * 10 for end in ends)


# the page


def test_every_machine_and_call_is_on_the_page() -> None:
    whole = thirty()
    text = board_page(whole, OURS)
    said = [SHOP.name, whole.summary, INVENTED, "Wednesday 25 November 2026"]
    for each in whole.machines:
        model = each.schedule.machine.point_list.name
        said += [each.record.number, each.record.owner.name, model]
    for call in whole.calls:
        numbers = [record.number for record, _ in call.services]
        said += [call.owner.name, call.owner.phone, call.about, *numbers]
    assert [words for words in said if escaped(words) not in text] == []


def test_every_state_has_a_form_of_its_own_and_its_word() -> None:
    assert set(MARKS) == set(COUNTED)
    assert len(set(MARKS.values())) == len(MARKS)
    text = board_page(thirty(), OURS)
    for each in thirty().tally.in_state(DUE):
        state = each.schedule.state.value
        kind = state.replace(" ", "-")
        assert re.search(
            rf'<svg class="mark {kind}"[^>]*>.*?</svg><span>{state.capitalize()}</span>',
            text,
        )


def test_the_numbers_of_the_bars_stand_in_the_table() -> None:
    text = re.sub(r"<svg.*?</svg>", "", board_page(thirty(), OURS))
    table = re.sub(
        r"<[^>]+>", "", text[text.index('<table class="weeks"') :].partition("</table>")[0]
    )
    words = " ".join(table.split())
    assert "Calls a day, at most 4" in words
    assert "Today 4 calls of 4 , 1 left over from earlier" in words
    assert "30 5 calls of 4 +1 above the limit" in words
    assert "9 services of 6 +3 above the limit 9 h 15 min" in words
    assert "0 services of 6" in words


def test_today_is_marked_once_and_only_days_with_calls_have_bars() -> None:
    whole = thirty()
    text = board_page(whole, OURS)
    assert text.count("<b>Today</b>") == 1
    busy = sum(bool(day.calls) for week in whole.weeks for day in week.days)
    assert text.count('class="seam"') == busy + len(whole.weeks)


def test_without_limits_nothing_is_measured_against_one() -> None:
    whole = replace(thirty(), limits=ShopLimits(open_days=ALWAYS_OPEN))
    text = board_page(whole, OURS)
    assert "at most" not in text
    assert 'class="room"' not in text
    assert "(none is set)" in text


def test_an_empty_shop_is_a_page_too() -> None:
    text = board_page(a_board(), OURS)
    for words in (
        "No machine is overdue or due soon.",
        "Nobody today.",
        "No machine is in the shop.",
    ):
        assert words in text


def test_markup_in_names_stays_text_everywhere() -> None:
    shown = [
        a_machine(
            at,
            state,
            name=MARKUP,
            phone=MARKUP,
            model=MARKUP,
            services=(a_service(TODAY),),
            since=TODAY,
            due=TODAY,
        )
        for at, state in enumerate(COUNTED)
    ]
    called = an_open_call(TODAY, a_record(owner=an_owner(name=MARKUP, phone=MARKUP)))
    shop = replace(SHOP, name=MARKUP)
    whole = board(shown, [called], today=TODAY, shop=shop, limits=ShopLimits(open_days=ALWAYS_OPEN))
    text = board_page(whole, OURS)
    assert "<img" not in text
    assert text.count("</script>") == 1
    assert escaped(MARKUP) in text
    ids = [attributes["id"] for _, attributes in HtmlPage(text).elements if "id" in attributes]
    assert ids == [
        attributes["id"]
        for _, attributes in HtmlPage(board_page(thirty(), OURS)).elements
        if "id" in attributes
    ]


def test_direction_and_control_characters_are_left_out() -> None:
    text = board_page(a_board(a_machine(name="Ida\u202e Brand\x00vold")), OURS)
    assert "Ida Brandvold" in text
    assert "\u202e" not in text
    assert "\x00" not in text


@pytest.mark.parametrize(
    ("phone", "link"),
    [
        ("01632 960107", 'href="tel:01632960107"'),
        ("+44 1632 960107", 'href="tel:+441632960107"'),
        # nothing of what was written but digits is dialled; without any there is no link
        ("javascript:alert(1)", 'href="tel:1"'),
        ("at her sister's", '<span class="phone">'),
    ],
)
def test_a_phone_number_is_a_link_that_only_dials(phone: str, link: str) -> None:
    text = board_page(a_board(a_machine(state=State.OVERDUE, phone=phone)), OURS)
    assert link in text
    addresses = [
        str(attributes["href"]) for tag, attributes in HtmlPage(text).elements if tag == "a"
    ]
    assert all(re.fullmatch(r"#\w+|tel:\+?\d+", address) for address in addresses)


def test_the_policy_names_the_one_style_and_the_one_script_and_nothing_is_fetched() -> None:
    page = HtmlPage(board_page(thirty(), OURS))
    assert policy_faults(page) == []
    assert "url(" not in page.blocks["style"]
    assert "@import" not in page.blocks["style"]


def test_headings_and_landmarks_are_in_order() -> None:
    page = HtmlPage(board_page(thirty(), OURS))
    tags = [tag for tag, _ in page.elements]
    assert [tag for tag in tags if re.fullmatch(r"h[1-6]", tag)] == ["h1"] + ["h2"] * 7
    assert [tag for tag in tags if tag in ("header", "main", "footer")] == [
        "header",
        "main",
        "footer",
    ]
    heads = [attributes for tag, attributes in page.elements if tag == "th"]
    assert heads
    assert all(attributes.get("scope") in ("col", "row", "colgroup") for attributes in heads)
    ids = {attributes["id"] for _, attributes in page.elements if "id" in attributes}
    named = [
        str(attributes[name])
        for _, attributes in page.elements
        for name in ("aria-labelledby", "aria-describedby")
        if name in attributes
    ]
    assert set(named) <= ids


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Source: Web Content Accessibility Guidelines 2.2 (2023), definition of contrast ratio."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_text_and_forms_stand_out() -> None:
    style = HtmlPage(board_page(thirty(), OURS)).blocks["style"]
    mine = dict(re.findall(r"--(cloth|hair|edge|shade|thread): (#\w{6});", style))
    grounds = [mine["cloth"], mine["shade"], WHITE, CAUTION]
    texts = [COLOURS["ink"], COLOURS["blue"], "#555550"]
    assert min(contrast(text, ground) for text in texts for ground in grounds) >= 4.5
    assert min(contrast(COLOURS["rust"], ground) for ground in (mine["cloth"], CAUTION)) >= 4.5
    assert contrast(COLOURS["blue"], mine["thread"]) >= 4.5
    forms = [mine["edge"], COLOURS["rust"], COLOURS["ochre"]]
    assert min(contrast(form, ground) for form in forms for ground in (mine["cloth"], WHITE)) >= 3
    grey = re.findall(r"(?<!-)color: (#\w{6})", style)
    assert set(grey) <= {"#555550"}


def test_the_same_board_gives_the_same_page() -> None:
    assert board_page(thirty(), OURS) == board_page(thirty(), OURS)


def test_a_broken_template_of_the_shops_is_told_with_file_and_line(tmp_path: Path) -> None:
    (tmp_path / "board.html").write_text("<p>\n\n{{ board.nothing }}</p>")
    with pytest.raises(FaultyList) as refusal:
        board_page(thirty(), [tmp_path, *OURS])
    [fault] = refusal.value.faults
    assert fault.startswith(f"{tmp_path / 'board.html'}: line 3: ")
