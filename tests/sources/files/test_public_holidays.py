"""Public holidays: days on which the shop is shut, by the code of a country or a part of one."""

from __future__ import annotations

import json
import sys
from datetime import date
from pathlib import Path

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.planning.capacity import Wanted, place_by_day
from oilchart.errors import FaultyList
from oilchart.shop.folder import Shop
from oilchart.sources.files.public_holidays import public_holidays
from oilchart.sources.files.settings import STARTING_SETTINGS, read_settings
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, record_service
from tests.conftest import Run

# Easter Sunday 2027 is 28 March: dateutil.easter, checked below
EASTER_MONDAY_2027 = date(2027, 3, 29)


def settings_with(line: str, folder: Path) -> Path:
    file = folder / "shop.toml"
    file.write_text(STARTING_SETTINGS.replace('# holidays = "DE-BY"', line))
    return file


def test_easter_monday_is_a_holiday_where_it_is_one() -> None:
    from dateutil.easter import easter

    assert (EASTER_MONDAY_2027 - easter(2027)).days == 1
    assert EASTER_MONDAY_2027 in public_holidays("GB-ENG")
    # where Easter Monday is a working day
    assert EASTER_MONDAY_2027 not in public_holidays("GB-SCT")


def test_on_a_holiday_the_shop_is_shut_and_a_call_comes_before_it() -> None:
    open_days = OpenDays(holidays=frozenset({EASTER_MONDAY_2027, date(2027, 3, 26)}))
    assert not open_days.is_open(EASTER_MONDAY_2027)
    assert open_days.latest_open(EASTER_MONDAY_2027) == date(2027, 3, 25)
    assert open_days.first_open(date(2027, 3, 26)) == date(2027, 3, 30)
    wanted = [Wanted(key=key, deadline=date(2027, 3, 25)) for key in "ab"]
    placed = place_by_day(wanted, today=TODAY, open_days=open_days, limit=1)
    assert [place.on for place in placed] == [date(2027, 3, 24), date(2027, 3, 25)]
    late = place_by_day(
        [Wanted(key=key, deadline=TODAY) for key in "abc"],
        today=date(2027, 3, 25),
        open_days=open_days,
        limit=1,
    )
    assert [place.on for place in late] == [date(2027, 3, 25), date(2027, 3, 30), date(2027, 3, 31)]


def test_the_settings_name_the_place_and_no_call_falls_on_its_holidays(
    fresh_shop: Shop, run: Run
) -> None:
    settings_with('holidays = "GB-ENG"', fresh_shop.folder)
    add_owner(fresh_shop, name="Ida", phone="", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    # a year later, less two weeks, is Easter Monday
    record_service(fresh_shop, "M-001", date(2026, 4, 12))
    [call] = json.loads(run("calls", "--weeks", "40", "--json", shop=fresh_shop.folder).stdout)
    assert call["on"] == "2027-03-25"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('holidays = "England"', "is no code of a country"),
        ('holidays = "XX"', "for which no holidays are known"),
        ('holidays = "DE-ZZ"', "for which no holidays are known"),
    ],
)
def test_a_place_that_is_not_known_is_told_with_its_key(
    line: str, said: str, tmp_path: Path
) -> None:
    with pytest.raises(FaultyList) as refused:
        read_settings(settings_with(line, tmp_path))
    [fault] = refused.value.faults
    assert said in fault and "holidays" in fault and "[bench]" in fault


def test_without_the_extra_the_settings_say_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "holidays", None)
    with pytest.raises(FaultyList, match=r"pip install 'oilchart\[holidays\]'"):
        read_settings(settings_with('holidays = "DE"', tmp_path))
