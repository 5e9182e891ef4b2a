"""A machine that was handed on: what an earlier owner told ends, what was done at it stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.due.due_dates import State
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Notice
from oilchart.core.records.findings import Finding
from oilchart.core.records.handing_on import HandingOn, for_present_owner, without_names
from oilchart.core.records.job import Danger, ElectricalCheck, Job, Repair, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord, WithoutPoint
from oilchart.core.records.note import Note
from oilchart.core.records.owner import Owner
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.units import ticks
from oilchart.core.use.report import Oiling, Rate, Reading, Report, SewingPace, Total
from oilchart.shop.folder import Shop
from oilchart.shop.reckonings import machine_of
from tests.builders.records import a_phone
from tests.builders.shop_steps import all_machines
from tests.conftest import make_demo
from tests.counts import counted

IDA = Owner(
    id=1,
    name="Ida Brandvold",
    phones=a_phone("01632 960107"),
    email="ida@example.org",
    address=("7 Weavers Row", "Quernhaven"),
)
PER = Owner(id=9, name="Per Brandvold", phones=a_phone("01632 960199"))
OLE = Owner(id=9, name="Ole Late")
HANDED_ON = date(2026, 10, 1)


@pytest.mark.parametrize(
    ("text", "present", "told"),
    [
        ("ida brandvold oils too much", OLE, "an earlier owner oils too much"),
        ("Ida has no lamp", OLE, "an earlier owner has no lamp"),
        ("Mrs Brandvold, Ida, rang", OLE, "Mrs an earlier owner, rang"),
        ("OW-001 rang from 01632 960107", OLE, "an earlier owner rang from an earlier owner"),
        ("write to IDA@example.org", OLE, "write to an earlier owner"),
        ("stood at 7 Weavers Row", OLE, "stood at an earlier owner"),
        # words that only hold the name, and a name that is the present owner's, too
        ("the fridaskirt, ida-blue", OLE, "the fridaskirt, ida-blue"),
        ("Ida Brandvold's, now Brandvold's", PER, "an earlier owner's, now Brandvold's"),
        ("belt worn, OW-0011", OLE, "belt worn, OW-0011"),
    ],
)
def test_a_text_names_nobody_by_whom_an_earlier_owner_could_be_known(
    text: str, present: Owner, told: str
) -> None:
    assert without_names(text, [IDA], present) == told


def test_what_was_told_before_the_day_ends_and_what_is_told_from_it_on_stays() -> None:
    eve = HANDED_ON - timedelta(days=1)
    record = MachineRecord(
        id=1,
        owner=OLE,
        model="heron-3",
        serial="",
        added_on=date(2025, 1, 1),
        reports=tuple(_report(day) for day in (eve, HANDED_ON)),
        jobs=tuple(
            Job(id=at, in_on=day, out_on=day, complaint="it groans", left_with=("pedal",))
            for at, day in enumerate((eve, HANDED_ON))
        ),
        notes=tuple(
            Note(on=day, words=f"Ida, {words}", for_owner=for_owner)
            for day in (eve, HANDED_ON + timedelta(days=1))
            for words, for_owner in (("oil it", True), ("loud", False))
        ),
    )
    after = for_present_owner(record, HandingOn(on=HANDED_ON, earlier=(IDA,)))
    assert [report.said for report in after.reports] == [HANDED_ON]
    assert [(job.complaint, job.left_with) for job in after.jobs] == [
        ("", ()),
        ("it groans", ("pedal",)),
    ]
    # the shop's own note of before is kept, that for the earlier owner is not
    assert [note.words for note in after.notes] == [
        "an earlier owner, loud",
        "Ida, oil it",
        "Ida, loud",
    ]
    assert after.visited == HANDED_ON


def test_the_work_of_before_is_kept_in_words_that_name_nobody() -> None:
    day = date(2026, 3, 1)
    why = "Ida Brandvold asked for it"
    mark = UnsafeMark(id=1, danger=Danger.MECHANICAL, on=day, why=why)
    finding = Finding(point="belt", done=False, planned=True, why=why)
    work = MachineRecord(
        id=1,
        owner=OLE,
        model="heron-3",
        serial="H3-20417",
        added_on=day,
        unsafe_marks=(replace(mark, lifted_on=day, lifted_by="R. Amsel", put_right=why),),
        repairs=(Repair(id=1, on=day, words=why, part="Ida's own belt"),),
        checks=(ElectricalCheck(on=day, by="R. Amsel", passed=True, reading=why),),
        without=(WithoutPoint(point="lamp", since=day, why=why),),
        services=(ServiceRecord(id=1, on=day, findings=(finding,), freed=False),),
    )
    after = for_present_owner(work, HandingOn(on=HANDED_ON, earlier=(IDA,)))
    assert repr(after) == repr(replace(work, handed_on=HANDED_ON)).replace(
        "Ida Brandvold", "an earlier owner"
    ).replace("Ida's", "an earlier owner's")


def _report(day: date) -> Report:
    rate = Rate(low=ticks(Fraction(1)), high=ticks(Fraction(2)))
    return Report(said=day, words="1-2 hours a day", rate=rate)


hours = st.integers(min_value=0, max_value=12).map(lambda tenths: ticks(Fraction(tenths, 10)))


@st.composite
def told(draw: st.DrawFn) -> tuple[Report, ...]:
    """What an owner said up to the day before a machine was handed on, in the order of the days."""
    reports = []
    days = draw(st.lists(st.integers(min_value=1, max_value=800), max_size=5, unique=True))
    for at, ago in enumerate(sorted(days, reverse=True)):
        said = HANDED_ON - timedelta(days=ago)
        low, more = draw(hours), draw(hours)
        report = Report(
            said=said,
            words="as they said",
            pace=draw(st.sampled_from([None, *SewingPace])),
            oiling=draw(st.sampled_from([None, *Oiling])),
            idle_months=draw(st.sampled_from([None, frozenset({7, 8})])),
        )
        match draw(st.sampled_from(["rate", "total", "reading"])):
            case "rate":
                report = replace(report, rate=Rate(low=low, high=low + more))
            case "total":
                since = said - timedelta(days=draw(st.integers(min_value=1, max_value=90)))
                report = replace(report, total=Total(low=low, high=low + more, since=since))
            case _:
                report = replace(report, reading=Reading(amount=Fraction(at * 40)))
        reports.append(report)
    return tuple(reports)


def _reckoning(shop: Shop, record: MachineRecord) -> Reckoning:
    open_days = shop.settings_file.limits.open_days
    return Reckoning(machine_of(shop, record), open_days=open_days, lead_days=21)


@counted
@given(earlier=told(), tells=st.booleans())
def test_what_an_earlier_owner_said_changes_no_date_of_the_present_one(
    earlier: tuple[Report, ...], tells: bool, handed_on_shop: tuple[Shop, MachineRecord]
) -> None:
    shop, record = handed_on_shop
    own = (_report(HANDED_ON + timedelta(days=20)),) if tells else ()

    def reckoned(said: tuple[Report, ...]) -> tuple[object, ...]:
        kept = for_present_owner(
            replace(record, reports=(*said, *own)), HandingOn(on=HANDED_ON, earlier=(IDA,))
        )
        reckoning = _reckoning(shop, kept)
        schedule = reckoning.schedule(shop.today)
        return schedule, schedule.points, reckoning.services_ahead(schedule)

    assert reckoned(earlier) == reckoned(())


@pytest.fixture(scope="module")
def handed_on_shop(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, MachineRecord]:
    """The invented shop, and a machine of it with services, without what was ever said of it."""
    shop = make_demo(tmp_path_factory.mktemp("handed") / "shop")
    record = next(each for each in all_machines(shop) if each.number == "M-001")
    return shop, replace(record, owner=OLE, reports=())


def test_hours_are_unknown_until_the_new_owner_tells_and_then_count_from_the_day(
    handed_on_shop: tuple[Shop, MachineRecord],
) -> None:
    shop, record = handed_on_shop
    lately = date(2026, 11, 20)
    handing = HandingOn(on=HANDED_ON, earlier=(IDA,))
    silent = for_present_owner(replace(record, reports=(_report(date(2026, 3, 1)),)), handing)
    before = _reckoning(shop, silent).schedule(shop.today)
    assert before.use is None
    assert before.notices == (Notice.NO_REPORT,)
    assert before.state is State.OVERDUE  # by the limits at rest, since November 2025

    telling = for_present_owner(replace(record, reports=(_report(lately),)), handing)
    reckoning = _reckoning(shop, telling)
    assert reckoning.likely_use(date(2025, 11, 18), HANDED_ON) == 0
    # what they told at last is taken to have been so since the day, of which the machine was theirs
    day = reckoning.likely_use(lately, lately + timedelta(days=1))
    assert day
    assert reckoning.likely_use(HANDED_ON, lately) == 50 * day
    schedule = reckoning.schedule(shop.today)
    assert set(schedule.notices) == {Notice.ASSUMED_BACKWARDS, Notice.HANDED_ON}
