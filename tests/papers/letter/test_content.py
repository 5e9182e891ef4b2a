"""Letters as words: what they say, from which template, and what no template can take out of
them."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.planning.standing import Standing
from oilchart.core.planning.ways_to_reach import Reason, reason_of, way_to_reach
from oilchart.core.records.owner import Way
from oilchart.core.records.shop_details import ShopDetails
from oilchart.errors import FaultyList
from oilchart.papers.letter.content import Letter, values_for
from oilchart.papers.letter.text import letters_text
from oilchart.papers.wording import INVENTED
from tests.builders.ink_checks import HOSTILE
from tests.builders.make import TODAY
from tests.builders.papers.letter import (
    CHAFED,
    CRACKED,
    HERON,
    SHIPPED,
    TREADLE,
    a_heron,
    a_letter,
    a_treadle,
    wanted_letter,
)
from tests.builders.records import SHOP, an_owner
from tests.counts import counted


def text_of(written: Letter) -> str:
    """All its words, on one line."""
    return " ".join(letters_text([written]).split())


def a_template(folder: Path, text: str | bytes, name: str = "service.txt") -> tuple[Path, Path]:
    """A shop's own template before the shipped ones."""
    (folder / "letters").mkdir(parents=True, exist_ok=True)
    (folder / "letters" / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder, SHIPPED


def test_a_letter_says_who_writes_to_whom_when_and_about_what() -> None:
    written = a_letter()
    assert written.sender == (
        "Tidelane Sewing Machine Repairs",
        "7 Tide Lane",
        "Quernhaven",
        "Telephone 01632 960100",
        "bench@tidelane.example",
    )
    assert written.address == ("Ida Brandvold", "3 Quay Steps", "Quernhaven", "QH1 2AB")
    assert written.day == "25 November 2026"
    assert written.subject == "Your Heron 3 (M-001): time for its service"
    assert written.paragraphs[0].words == "Dear Ida Brandvold,"
    assert written.closing == ("With kind regards,", "Tidelane Sewing Machine Repairs")


@pytest.mark.parametrize(
    ("changes", "told", "not_told"),
    [
        # a month, as long as no day is agreed
        ({}, "We have December 2026 in mind for it.", "kept"),
        # the time has come: no month, which might be past
        ({"late": True}, "we will find a day that suits you", "December"),
        ({"late": True, "first": True}, "its first service with us", "It is time"),
        # a day agreed
        (
            {"booked": date(2026, 12, 2)},
            "We have kept Wednesday 2 December 2026 for it.",
            "in mind",
        ),
        (
            {"booked": date(2026, 12, 2), "late": True},
            "We have kept Wednesday 2 December 2026 for it.",
            "find a day",
        ),
    ],
)
def test_a_service_is_told_by_month_until_a_day_is_agreed(
    changes: dict[str, Any], told: str, not_told: str
) -> None:
    words = text_of(a_letter(a_heron(**changes)))
    assert told in words
    assert not_told not in words


def test_several_machines_are_listed_each_with_its_time() -> None:
    written = a_letter(HERON, TREADLE, a_heron(3, booked=date(2026, 12, 2)))
    assert written.subject == "Your sewing machines: time for their service"
    assert [paragraph.words for paragraph in written.paragraphs if paragraph.listed] == [
        "Heron 3 (M-001): in December 2026",
        "Ashgrove 27 (M-002): as soon as it suits you",
        "Heron 3 (M-003): on Wednesday 2 December 2026, as booked",
    ]
    # the pedal is only the electric ones'
    assert "the machines, foot pedal (M-001, M-003), cord (M-001, M-003)" in text_of(written)


def test_a_letter_asks_for_the_hours_and_never_tells_an_owner_that_they_do_not_oil() -> None:
    words = text_of(a_letter())
    assert (
        "about how many hours a week do you sew now? Last time you told us “4-6 hours a week”."
        in words
    )
    assert "never oils" not in words
    assert "Last time" not in text_of(a_letter(a_heron(last_use="never oils it")))
    both = text_of(a_letter(HERON, a_treadle(last_use="1 hour a week")))
    assert (
        "“4-6 hours a week” for the Heron 3 (M-001) and “1 hour a week” for the Ashgrove 27 (M-002)"
        in both
    )


@pytest.mark.parametrize("reason", [each for each in Reason if each is not Reason.STAY])
@pytest.mark.parametrize(
    "machines",
    [(HERON,), (TREADLE,), (HERON, TREADLE), (a_heron(late=True, first=True, last_use=""),)],
)
@pytest.mark.parametrize("settling", [False, True])
@pytest.mark.parametrize("phone", ["01632 960107", ""])
def test_every_letter_reads_well_and_never_reproaches(
    reason: Reason, machines: tuple[Standing, ...], settling: bool, phone: str
) -> None:
    written = a_letter(*machines, reason=reason, settling=settling, phone=phone)
    body = " ".join(paragraph.words for paragraph in written.paragraphs)
    for word in (
        "overdue",
        "late ",
        "should have",
        "forgot",
        "neglect",
        "must",
        "failed",
        "unfortunately",
    ):
        assert word not in body.casefold().replace("lately ", "")
    for paragraph in written.paragraphs:
        assert not re.search(
            r" [,.;:?]|  |\(\)|“”|[,.;]{2}|\b(your|is|on|in|it) [.,;?]", paragraph.words
        ), paragraph.words
        assert paragraph.listed or paragraph.words[-1] in ".,?:"
        assert paragraph.words[0].isupper()
    assert "01632 960100" in body
    assert "how many hours a week do you sew now" in body
    assert ("foot pedal" in body.split("Stop")[0]) == (
        "pedal" in machines[0].schedule.machine.point_list.has
        and (reason is Reason.SERVICE or (not settling and reason is not Reason.SETTLING_IN))
    )


def test_who_could_not_be_reached_is_asked_how_they_want_to_be() -> None:
    words = text_of(a_letter(reason=Reason.NO_ANSWER))
    assert "Is 01632 960107 still the right number for you?" in words
    assert "We rang you a few times lately" in words


def test_whose_number_is_wrong_or_missing_is_asked_for_it() -> None:
    assert "ring you on 01632 960107, the number we have noted" in text_of(
        a_letter(reason=Reason.WRONG_NUMBER)
    )
    assert "We have no telephone number noted for you. Would you give us" in text_of(
        a_letter(reason=Reason.WRONG_NUMBER, phone="")
    )


def test_who_has_a_freed_machine_is_told_to_oil_it_with_the_plug_out() -> None:
    words = text_of(a_letter(reason=Reason.SETTLING_IN, settling=True))
    assert "How is your Heron 3 (M-001) running?" in words
    assert words.index("again after 5 hours") < words.index(
        "Pull the plug out of the wall before you oil"
    )
    assert "Slip the belt off the hand wheel" in text_of(
        a_letter(TREADLE, reason=Reason.SETTLING_IN, settling=True)
    )


@pytest.mark.parametrize(
    ("machines", "electric"), [((HERON,), True), ((TREADLE,), False), ((TREADLE, HERON), True)]
)
def test_a_letter_says_when_to_stop_and_what_is_never_done_at_home_whatever_its_template(
    machines: tuple[Standing, ...], electric: bool, tmp_path: Path
) -> None:
    templates = a_template(tmp_path, "Subject\n\nText.\n\nGoodbye")
    for written in (a_letter(*machines), a_letter(*machines, templates=templates)):
        assert (written.home.stop_heading == "Stop, unplug, ring us") is electric
        told = " ".join([*written.home.stop_signs, *written.home.never_at_home])
        assert all(
            words in told
            for words in (
                "stiff",
                "knocks",
                "tension and timing screws",
                "solvents",
                "stuck",
                "air",
            )
        )
        assert all(
            (words in told) is electric
            for words in ("tingles", "burning", "by itself", "very hot", "opening the motor")
        )


def test_an_unsafe_machine_is_named_with_what_not_to_do_whatever_the_template(
    tmp_path: Path,
) -> None:
    machines = (HERON, a_heron(9, unsafe=(CHAFED, CRACKED)))
    written = a_letter(*machines, templates=a_template(tmp_path, "Subject\n\nText.\n\nGoodbye"))
    electrical, mechanical = written.unsafe
    assert electrical[0] == "Do not plug it in: Heron 3 (M-009)"
    assert electrical[1].startswith("Cord chafed, since 25 November 2026. Keep its plug out of")
    assert mechanical[0] == "Do not use it: Heron 3 (M-009)"
    assert mechanical[1].startswith("Hinge pin cracked, since 25 November 2026. Let it rest until")
    treadle = a_letter(a_treadle(unsafe=(CRACKED,)))
    assert treadle.unsafe == (("Do not use it: Ashgrove 27 (M-002)", mechanical[1]),)
    assert a_letter().unsafe == ()


def test_only_a_demonstration_says_that_it_is_invented() -> None:
    assert INVENTED in letters_text([a_letter()])
    assert INVENTED not in letters_text([a_letter(shop=replace(SHOP, invented=False))])


def test_a_shop_without_telephone_is_written_to() -> None:
    assert "Please write to bench@tidelane.example, and we will find a day" in text_of(
        a_letter(shop=replace(SHOP, phone=""))
    )
    assert "Please let us know, and we will find a day" in text_of(
        a_letter(shop=ShopDetails(name="Tidelane", phone=""))
    )


# templates


def test_a_shops_own_template_stands_in_for_the_shipped_one_and_only_for_that(
    tmp_path: Path,
) -> None:
    own = (
        "\ufeff{# ours #}\nFor {{ owner }}\n\n{% for machine in machines %}\n- {{ machine.name "
        "}}\n{% endfor %}\n\nBye\n{{ shop.name }}\n"
    )
    templates = a_template(tmp_path, own)
    written = a_letter(HERON, TREADLE, templates=templates)
    assert written.subject == "For Ida Brandvold"
    assert [(each.words, each.listed) for each in written.paragraphs] == [
        ("Heron 3 (M-001)", True),
        ("Ashgrove 27 (M-002)", True),
    ]
    assert written.closing == ("Bye", "Tidelane Sewing Machine Repairs")
    assert (
        a_letter(templates=templates, reason=Reason.NO_ANSWER).subject
        == "Your Heron 3 (M-001): a letter instead of a call"
    )


def test_lines_of_a_paragraph_run_on_and_a_list_may_follow_it_at_once(tmp_path: Path) -> None:
    templates = a_template(
        tmp_path,
        "A\nsubject\n\nFirst line\r\nsecond line:\n- one\n  thing\n- two\n\n\n   "
        "\nLast.\n\nYours\nTidelane",
    )
    written = a_letter(templates=templates)
    assert written.subject == "A subject"
    assert [(each.words, each.listed) for each in written.paragraphs] == [
        ("First line second line:", False),
        ("one thing", True),
        ("two", True),
        ("Last.", False),
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        # jinja2 cannot read it
        (
            "Subject\n\n{% if many %}\nText\n\nBye",
            "service.txt: line 4: Unexpected end of template",
        ),
        ("Subject\n\nText {{ owner }\n\nBye", "service.txt: line 3: unexpected '}'"),
        # a name that is not there; one that goes wrong while it is filled in
        ("Subject\n\nText\n{{ onwer }}\n\nBye", "service.txt: line 4: 'onwer' is undefined"),
        (
            "Subject\n\n{{ machines[0].colour }}\n\nBye",
            "service.txt: line 3: 'dict object' has no attribute 'colour'",
        ),
        (
            "Subject\n\n{{ machines[7].name }}\n\nBye",
            "service.txt: line 3: tuple object has no element 7",
        ),
        (
            "Subject\n\n\n\n{{ 1 / 0 }}\n\nBye",
            "service.txt: line 5: ZeroDivisionError: division by zero",
        ),
        (
            "Subject\n\n{% for x in range(10000000) %}{% endfor %}\n\nBye",
            "service.txt: line 3: OverflowError: ",
        ),
        ("Subject\n\n{% include 'service.txt' %}\n\nBye", "service.txt: line 3: RecursionError: "),
        (
            "Subject\n\n{% include 'other.txt' %}\n\nBye",
            "service.txt: line 3: 'other.txt' not found",
        ),
        # nothing but the letter's values can be reached
        (
            "Subject\n\n{{ owner.__class__.__mro__ }}\n\nBye",
            "service.txt: line 3: access to attribute '__class__'",
        ),
        # no letter
        ("", "service.txt: has no letter in it: write a subject, paragraphs and a closing"),
        ("Subject\n\nText.", "service.txt: has no letter in it: "),
        (
            b"Subject\n\nText \xff\n\nBye",
            "service.txt: line 3: is not UTF-8 text: mend that line, or take the file away",
        ),
    ],
)
def test_a_broken_template_is_told_in_one_line_with_file_and_line(
    text: str | bytes, fault: str, tmp_path: Path
) -> None:
    templates = a_template(tmp_path / "own", text)
    with pytest.raises(FaultyList) as refused:
        a_letter(templates=templates)
    assert len(refused.value.faults) == 1
    (line,) = refused.value.faults
    assert line.startswith(f"{tmp_path / 'own' / 'letters'}/{fault}")
    assert "\n" not in line
    assert any(remedy in line for remedy in ("take the file away", "save it", "write a subject"))


def test_what_a_template_may_use_is_told_at_the_head_of_the_first() -> None:
    head = (SHIPPED / "letters" / "service.txt").read_text(encoding="utf-8").partition("#}")[0]
    told = re.findall(r"^  (\w+)\s{2,}", head, re.MULTILINE)
    values = values_for(wanted_letter(), SHOP)
    assert sorted(told) == sorted(values)
    shop, machines = values["shop"], values["machines"]
    assert isinstance(shop, dict)
    assert isinstance(machines, tuple)
    assert {f"shop.{key}" for key in shop} == set(re.findall(r"shop\.\w+", head))
    each_has = head.partition("each has ")[2].partition("\n  many")[0]
    assert [key for key in machines[0] if not re.search(rf"\b{key}\b", each_has)] == []


def test_there_is_a_template_for_each_reason_and_no_other() -> None:
    assert {path.name for path in (SHIPPED / "letters").iterdir()} == {
        f"{reason}.txt" for reason in Reason
    }


# what comes from the book


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_neither_begin_a_paragraph_nor_are_taken_for_a_template(words: str) -> None:
    shop = replace(SHOP, name=words, phone=words, email=words)
    machine = a_heron(model=words, last_use=words)
    plain = a_letter()
    written = a_letter(machine, owner=words, phone=words, shop=shop)
    assert len(written.paragraphs) == len(plain.paragraphs)
    if "{{ name }}" in words:
        assert "{{ name }}" in written.paragraphs[0].words


@counted
@given(st.text())
def test_no_name_breaks_a_letter_of_text(name: str) -> None:
    text = letters_text([a_letter(owner=name), a_letter()])
    assert text.count("\f") == 1
    assert all(len(line) <= 72 for line in text.splitlines())


def test_letters_as_text_have_a_form_feed_between_them_and_lines_of_72() -> None:
    text = letters_text([a_letter(), a_letter(HERON, TREADLE), a_letter(reason=Reason.NO_ANSWER)])
    first, *more = text.split("\f\n")
    assert len(more) == 2
    assert max(len(line) for line in text.split("\n")) <= 72
    assert first.startswith("Tidelane Sewing Machine Repairs\n7 Tide Lane\n")
    assert (
        "\n\nIda Brandvold\n3 Quay Steps\nQuernhaven\nQH1 2AB\n\n25 November 2026\n\nYour Heron 3 "
        "(M-001): time for its service\n\n" in first
    )
    assert "\n\nWith kind regards,\n\nTidelane Sewing Machine Repairs\n\n-----" in first
    assert (
        "- Heron 3 (M-001): in December 2026\n- Ashgrove 27 (M-002): as soon as it suits you\n"
        in more[0]
    )
    assert "\nStop, unplug, ring us: 01632 960100\nif it tingles" in first
    assert all(part.endswith("\n") for part in (first, *more))


# why somebody is written to

WRONG, NEVER_THERE = (
    CallOutcome(on=TODAY, outcome=Outcome.WRONG_NUMBER),
    [CallOutcome(on=TODAY, outcome=Outcome.NO_ANSWER)] * 3,
)


@pytest.mark.parametrize(
    ("owner", "about", "told", "reason"),
    [
        ({}, CallAbout.SERVICE, [], Reason.SERVICE),
        ({}, CallAbout.SETTLING_IN, [], Reason.SETTLING_IN),
        ({}, CallAbout.SERVICE, NEVER_THERE[:2], Reason.SERVICE),
        ({}, CallAbout.SETTLING_IN, NEVER_THERE, Reason.NO_ANSWER),
        # no number, or a wrong one, matters to who wants to be rung
        ({"phone_wrong": True}, CallAbout.SERVICE, [*NEVER_THERE, WRONG], Reason.WRONG_NUMBER),
        ({"phone": " "}, CallAbout.SERVICE, [], Reason.WRONG_NUMBER),
        ({"phone": "", "reached_by": Way.TEXT}, CallAbout.SERVICE, [], Reason.WRONG_NUMBER),
        ({"phone": "", "reached_by": Way.LETTER}, CallAbout.SERVICE, [], Reason.SERVICE),
        # of a machine in the shop there is news, whatever was tried before
        ({"phone": " "}, CallAbout.READY, NEVER_THERE, Reason.STAY),
        ({}, CallAbout.PART_HERE, [], Reason.STAY),
    ],
)
def test_each_situation_has_its_letter(
    owner: dict[str, Any], about: CallAbout, told: list[CallOutcome], reason: Reason
) -> None:
    assert reason_of(an_owner(**owner), about, told) is reason


@pytest.mark.parametrize(
    ("owner", "outcomes", "way"),
    [
        ({}, [], Way.PHONE),
        ({"reached_by": Way.TEXT}, [], Way.TEXT),
        # who has no number on which they answer, and wishes to be rung
        ({"phone": ""}, [], Way.LETTER),
        ({"phone": " ", "reached_by": Way.TEXT}, [], Way.LETTER),
        ({"phone_wrong": True}, [], Way.LETTER),
        # another wish needs no number
        ({"phone": "", "reached_by": Way.EMAIL}, [], Way.EMAIL),
        ({"phone_wrong": True, "reached_by": Way.EMAIL}, [], Way.EMAIL),
        ({}, NEVER_THERE[:2], Way.PHONE),
        ({}, NEVER_THERE, Way.LETTER),
        ({"reached_by": Way.EMAIL}, NEVER_THERE, Way.LETTER),
    ],
)
def test_who_cannot_be_rung_is_written_to(
    owner: dict[str, Any], outcomes: list[CallOutcome], way: Way
) -> None:
    assert way_to_reach(an_owner(**owner), outcomes) is way
