"""A shop's settings: what they come to, what stands in for what is left out, and all their faults
at once."""

from __future__ import annotations

import time
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from PIL import Image

from oilchart.core.days import OpenDays, Span
from oilchart.core.planning.capacity import ShopLimits
from oilchart.core.records.paper_style import Accent, CardSize, CodeFor, PaperStyle
from oilchart.core.records.shop_details import ShopDetails
from oilchart.errors import FaultyList
from oilchart.sources.files.settings import (
    STARTING_SETTINGS,
    WITHOUT_A_SHOP,
    ElectricalTests,
    Settings,
    far_closures,
    read_settings,
    starting_settings,
)


def read(tmp_path: Path, toml: str) -> Settings:
    path = tmp_path / "shop.toml"
    path.write_text(toml, encoding="utf-8")
    return read_settings(path)


def faults(tmp_path: Path, toml: str) -> list[str]:
    with pytest.raises(FaultyList) as caught:
        read(tmp_path, toml)
    return [fault.removeprefix(f"{tmp_path / 'shop.toml'}: ") for fault in caught.value.faults]


def test_a_whole_file_is_read(tmp_path: Path) -> None:
    settings = read(
        tmp_path,
        """
        name = "Nähmaschinen am Bach"
        phone = "0000 123"
        email = "bench@example"
        address = ["12 Example Street", "Example Town"]
        invented = true
        [bench]
        open = ["Tuesday", "Saturday"]
        closures = ["2026-12-24 to 2027-01-02", "2026-05-01"]
        lead_days = 21
        [pieces]
        quilt = "20-40"
        "Sail Cover" = 12
        [paper]
        size = "4x6"
        colour = "plum"
        code = "calendar"
        footer = "Shut on Mondays."
        fallback_fonts = ["fonts/a.ttf"]
        """,
    )
    assert settings == Settings(
        shop_details=ShopDetails(
            name="Nähmaschinen am Bach",
            phone="0000 123",
            email="bench@example",
            address=("12 Example Street", "Example Town"),
            invented=True,
        ),
        limits=ShopLimits(
            open_days=OpenDays(
                weekdays=frozenset({1, 5}),
                closures=(  # the last day named is shut too
                    Span(first=date(2026, 12, 24), end=date(2027, 1, 3)),
                    Span(first=date(2026, 5, 1), end=date(2026, 5, 2)),
                ),
            ),
        ),
        lead_days=21,
        least_days=90,
        pieces={"quilt": (Fraction(20), Fraction(40)), "sail cover": (Fraction(12), Fraction(12))},
        paper=PaperStyle(
            size=CardSize.FOUR_BY_SIX,
            colour=Accent.PLUM,
            code=CodeFor.CALENDAR,
            footer="Shut on Mondays.",
        ),
        fallback_fonts=(tmp_path / "fonts" / "a.ttf",),
    )


def test_what_is_left_out_is_as_without_a_shop_open_monday_to_friday_and_two_weeks_ahead(
    tmp_path: Path,
) -> None:
    settings = read(tmp_path, 'name = "Bench"')
    assert (settings.limits.open_days, settings.lead_days) == (
        WITHOUT_A_SHOP.limits.open_days,
        WITHOUT_A_SHOP.lead_days,
    )
    assert settings.limits.open_days == OpenDays(weekdays=frozenset({0, 1, 2, 3, 4}))
    assert settings.lead_days == 14
    assert settings.shop_details == ShopDetails(name="Bench", phone="")


def test_the_settings_a_new_shop_starts_with_have_no_fault(tmp_path: Path) -> None:
    settings = read(tmp_path, STARTING_SETTINGS)
    assert settings.shop_details == ShopDetails(name="My sewing-machine shop", phone="")
    assert (settings.limits.open_days, settings.lead_days) == (
        WITHOUT_A_SHOP.limits.open_days,
        WITHOUT_A_SHOP.lead_days,
    )


def test_the_pieces_a_new_shop_starts_with_are_those_without_a_shop(tmp_path: Path) -> None:
    pieces = read(tmp_path, STARTING_SETTINGS).pieces
    assert pieces == WITHOUT_A_SHOP.pieces
    assert pieces["quilt"] == (Fraction(20), Fraction(40))


@pytest.mark.parametrize(
    "hours",
    [
        '"many"',
        '"40-20"',
        "0",
        "true",
        '"1-2-3"',
        "6000",
        "[1, 2]",
        # more digits than Python writes
        "0x" + "F" * 4_000,
        "0o" + "7" * 5_000,
        '"' + "1" * 4_400 + '"',
        '"1-' + "1" * 4_400 + '"',
    ],
)
def test_a_piece_of_work_that_is_no_range_of_hours_is_refused(tmp_path: Path, hours: str) -> None:
    [fault] = faults(tmp_path, f'name = "B"\n[pieces]\nquilt = {hours}')
    assert fault.startswith("[pieces]: quilt: is no range of hours: ")
    assert fault.endswith('; write quilt = "4-8"')


def test_keys_too_deep_in_each_other_are_one_fault(tmp_path: Path) -> None:
    [fault] = faults(tmp_path, f'name = "B"\n[pieces]\n{".".join("a" * 1_500)} = 1')
    assert fault == "has keys or brackets deeper than 30 in each other: take them out"


@pytest.mark.parametrize(
    ("toml", "fault"),
    [
        # too long
        (f'name = "{"B" * 201}"', 'name: is longer than 200: "201 letters"; shorten it'),
        (f'name = "B"\nphone = "{"1" * 201}"',
         'phone: is longer than 200: "201 letters"; shorten it'),
        (f'name = "B"\naddress = ["{"B" * 201}"]',
         'address: is longer than 200: "201 letters"; shorten it'),
        # the shop
        ("", 'name: is missing; write name = "..."'),
        ('name = ""', 'name: must be words: ""; write name = "..."'),
        ('name = "B"\nphone = 123', 'phone: must be words: 123; write phone = "..."'),
        ('name = "B"\naddress = "12 Street"',
         'address: must be a list of words: "12 Street"; write address = ["...", "..."]'),
        ('name = "B"\nfone = "1"', "fone: is not a known key; did you mean phone?"),
        # at the wrong place
        ('name = "B"\nholidays = "GB-ENG"',
         "holidays: is not a known key here; write it below [bench]"),
        ('calls_a_day = 6\nname = "B"',
         "calls_a_day: is not a known key here; write it below [bench]"),
        ('name = "B"\nfooter = "x"', "footer: is not a known key here; write it below [paper]"),
        ('name = "B"\n[bench]\nsize = "A5"',
         "[bench]: size: is not a known key here; write it below [paper]"),
        ('name = "B"\n[paper]\nlead_days = 7',
         "[paper]: lead_days: is not a known key here; write it below [bench]"),
        ('name = "B"\n[paper]\nphone = "1"',
         "[paper]: phone: is not a known key here; write it at the top of the file, above its "
         "first [table]"),
        ('name = "B"\nbench = 5',
         "[bench]: is not a table: 5; write it as a table of key = value lines"),
        # the bench
        ("open = []", '[bench]: open: the bench is never open: []; write open = ["Monday", "..."]'),
        ('open = "Monday"',
         '[bench]: open: must be a list of words: "Monday"; write open = ["...", "..."]'),
        (
            'open = ["Munday"]',
            '[bench]: open: there is no such day of the week: "Munday"; did you mean Sunday or '
            'Monday or Tuesday?',
        ),
        ("lead_days = -1",
         "[bench]: lead_days: must be a whole number: -1; write a whole number from 0 to 366"),
        ("lead_days = 367",
         "[bench]: lead_days: must be a whole number: 367; write a whole number from 0 to 366"),
        ("lead_days = true",
         "[bench]: lead_days: must be a whole number: true; write a whole number from 0 to 366"),
        ("lead = 14", "[bench]: lead: is not a known key; did you mean lead_days or least_days?"),
        # closures
        ("closures = [2026]",
         '[bench]: closures: must be a list of words: [2026]; write closures = ["...", "..."]'),
    ],
)  # fmt: skip
def test_a_fault_of_the_settings_names_key_value_and_remedy(
    tmp_path: Path, toml: str, fault: str
) -> None:
    whole = (
        toml
        if not fault.startswith("[bench]: ") or "name = " in toml
        else f'name = "B"\n[bench]\n{toml}'
    )
    assert faults(tmp_path, whole) == [fault]


@pytest.mark.parametrize(
    "words",
    [
        "Christmas",
        "2026-12-24 - 2027-01-02",
        "2026-12-24 to",
        "2026-01-01 to 2026-01-02 to 2026-01-03",
        # days that cannot be
        "2026-02-30",
        "2027-01-02 to 2026-12-24",
        "2027-01-01 to 9999-12-31",
    ],
)
def test_a_closure_that_is_no_stretch_of_days_is_refused(tmp_path: Path, words: str) -> None:
    told = faults(tmp_path, f'name = "B"\n[bench]\nclosures = ["2026-05-01", "{words}"]')
    assert told == [
        f'[bench]: closures: is not a stretch of at most 1000 days: "{words}"; write it like '
        f'"2026-12-24 to 2027-01-02"'
    ]


@pytest.mark.parametrize(
    "words", ["0202-12-24", "1849-12-31 to 1850-01-02", "2199-12-31 to 2200-01-01"]
)
def test_a_closure_in_a_year_that_no_shop_has_is_refused(tmp_path: Path, words: str) -> None:
    assert faults(tmp_path, f'name = "B"\n[bench]\nclosures = ["2026-05-01", "{words}"]') == [
        f'[bench]: closures: is in no year that a shop has: "{words}"; '
        "give a year from 1850 to 2199"
    ]


def test_closures_whose_year_may_be_a_slip_are_those_2_years_ahead_and_150_back(
    tmp_path: Path,
) -> None:
    near = '"1876-11-25", "2028-11-01 to 2028-11-25"'
    far = '"2026-11-26 to 2028-11-26", "2062-12-08", "1876-11-24 to 1876-11-30"'
    settings = read(tmp_path, f'name = "B"\n[bench]\nclosures = [{near}, {far}]')
    assert [span.first for span in far_closures(settings, date(2026, 11, 25))] == [
        date(1876, 11, 24), date(2026, 11, 26), date(2062, 12, 8)
    ]  # fmt: skip


def test_50_000_closures_are_read_and_passed_in_no_time(tmp_path: Path) -> None:
    first = date(1900, 1, 1)
    shut = ", ".join(f'"{first + timedelta(days)}"' for days in range(50_000))
    begun = time.process_time()
    open_days = read(tmp_path, f'name = "B"\n[bench]\nclosures = [{shut}]').limits.open_days
    assert open_days.latest_open(date(2026, 11, 25)) == date(1899, 12, 29)
    assert time.process_time() - begun < 5


def test_all_faults_of_the_settings_are_told_at_once(tmp_path: Path) -> None:
    told = faults(
        tmp_path,
        'phone = 1\ncolour = "red"\n[bench]\nopen = ["Someday"]\nclosures = ["x"]\nlead_days = '
        '"two weeks"',
    )
    keys = [fault.removeprefix("[bench]: ").partition(":")[0] for fault in told]
    assert keys == ["name", "phone", "open", "closures", "lead_days", "colour"]


def test_settings_that_are_not_there_are_one_fault(tmp_path: Path) -> None:
    with pytest.raises(FaultyList, match=r"shop.toml: there is no such file: check its name$"):
        read_settings(tmp_path / "shop.toml")


# --- papers


def test_a_shop_that_says_nothing_of_its_papers_has_the_usual_ones(tmp_path: Path) -> None:
    assert read(tmp_path, 'name = "B"').paper == PaperStyle() == WITHOUT_A_SHOP.paper
    assert read(tmp_path, STARTING_SETTINGS).paper == PaperStyle()


def test_a_logo_is_a_picture_in_the_shops_folder(tmp_path: Path) -> None:
    Image.new("RGB", (300, 100), "#112233").save(tmp_path / "logo.png")
    logo = read(tmp_path, 'name = "B"\n[paper]\nlogo = "logo.png"').paper.logo
    assert logo is not None
    assert logo.width / logo.height == pytest.approx(3, rel=0.01)
    assert logo.photo.jpeg().startswith(b"\xff\xd8")


@pytest.mark.parametrize(
    ("toml", "fault"),
    [
        ('size = "a7"', '[paper]: size: is not known: "a7"; write one of: a5, half-letter'),
        ("size = 5", "[paper]: size: "),
        ('colour = "red"', '[paper]: colour: is not known: "red"; write one of: blue'),
        (
            'code = "website"',
            '[paper]: code: is not known: "website"; write one of: phone, calendar, none',
        ),
        ("footer = 5", "[paper]: footer: must be words: 5"),
        (f'footer = "{"f" * 201}"', "[paper]: footer: is longer than 200 letters"),
        ('foter = "x"', "[paper]: foter: is not a known key; did you mean footer?"),
        ('logo = "none.png"', "[paper]: logo: cannot be used: "),
        ('logo = "../logo.png"', "[paper]: logo: lies outside the shop's folder"),
        ('logo = "words.png"', "[paper]: logo: cannot be used: is no JPEG or PNG"),
        ('logo = "drawn.svg"', "[paper]: logo: cannot be used: is no JPEG or PNG"),
        (
            'logo = "strip.png"',
            "[paper]: logo: cannot be used: is 1 by 30000 pixels: cut it; one side ",
        ),
    ],
)
def test_what_is_wrong_with_the_papers_settings_is_told_in_one_line(
    tmp_path: Path, toml: str, fault: str
) -> None:
    (tmp_path / "words.png").write_text("no picture")
    (tmp_path / "drawn.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    )
    Image.new("1", (1, 30_000)).save(tmp_path / "strip.png")
    [told] = faults(tmp_path, f'name = "B"\n[paper]\n{toml}')
    assert told.startswith(fault)
    assert "\n" not in told


@pytest.mark.parametrize("tests", list(ElectricalTests))
def test_a_new_shop_says_where_its_electrical_tests_are_made(
    tmp_path: Path, tests: ElectricalTests
) -> None:
    text = starting_settings(tests)
    assert f'electrical_tests = "{tests}"' in text
    assert read(tmp_path, text).tests_mains is (tests is ElectricalTests.HERE)
    assert [len(line) for line in text.splitlines()] == [
        len(line) for line in STARTING_SETTINGS.splitlines()
    ]
