"""All shipped point lists: nothing is missing, owners get nothing they must not do, and the intervals lie in what was published."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction

import pytest
from make import a_chart, a_point

from oilchart.core.chart import Avoid, Chart, Keeper, Point, View, Work
from oilchart.core.units import Unit
from oilchart.sources.folders import packaged
from oilchart.sources.points import FIGURES
from oilchart.sources.reference import PRACTICE
from oilchart.sources.shelf import Shelf

SHELF = Shelf([packaged("points")])
CHARTS = [SHELF.chart(model) for model in SHELF.model_ids()]
ZIGZAG_FLATBEDS = [
    chart for chart in CHARTS if ("zigzag-swinging-head" in dict(chart.mechanisms)) and ("drop-feed" in dict(chart.mechanisms))
]
HEADS = {"straight-head", "zigzag-swinging-head"}

every_chart = pytest.mark.parametrize("chart", CHARTS, ids=lambda chart: chart.id)


def of_owner(chart: Chart) -> tuple[Point, ...]:
    return chart.kept_by(Keeper.OWNER)


def lubricated(chart: Chart) -> list[Point]:
    return [point for point in chart.points if point.work in (Work.OIL, Work.GREASE)]


# --- nothing is missing ---------------------------------------------------------------------------------------------


def test_the_shipped_lists_have_no_fault() -> None:
    assert SHELF.faults() == []


def test_there_are_straight_stitch_and_zigzag_machines() -> None:
    assert len(CHARTS) >= 3
    assert 0 < len(ZIGZAG_FLATBEDS) < len(CHARTS)


@pytest.mark.parametrize("chart", ZIGZAG_FLATBEDS, ids=lambda chart: chart.id)
def test_a_zigzag_flatbed_is_serviced_at_30_to_50_points(chart: Chart) -> None:
    assert 30 <= len(chart.points) <= 50


@every_chart
def test_every_figure_has_a_source_or_says_practice(chart: Chart) -> None:
    known = {*dict(chart.sources), PRACTICE}
    for point in chart.points:
        figures = [figure for figure in FIGURES if figure != "amount" or point.amount is not None]
        assert [figure for figure, _ in point.sources] == figures, point.id
        assert {source for _, source in point.sources} <= known, point.id
    assert {avoid.source for avoid in chart.avoids} | {part.source for part in chart.wear_parts} <= known


@every_chart
def test_every_oil_or_grease_has_its_amount_and_every_other_work_says_what_is_done(chart: Chart) -> None:
    for point in chart.points:
        if point.work in (Work.OIL, Work.GREASE):
            assert point.lubricant is not None, point.id
            assert point.lubricant.kind == point.work, point.id
            assert point.amount, point.id
        else:
            assert point.do, point.id


@every_chart
def test_every_owner_point_has_home_words_of_its_own(chart: Chart) -> None:
    home = Counter(point.home for point in of_owner(chart))
    assert len(home) >= 8
    assert None not in home
    assert [words for words, times in home.items() if times > 1] == []


@every_chart
def test_every_interval_of_use_has_a_limit_at_rest(chart: Chart) -> None:
    steps = [step for point in chart.points for step in point.every.steps if step.limit is not None]
    assert len(steps) >= 15
    assert all(step.months is not None or step.days is not None for step in steps)


@every_chart
def test_every_point_is_done_at_a_stage_of_the_bench_work(chart: Chart) -> None:
    stages = {stage.id for stage in chart.stages}
    assert {point.access for point in chart.points} <= stages
    assert all(stage.open for stage in chart.stages)
    assert all(stage.caution for stage in chart.stages)


@every_chart
def test_every_place_lies_inside_its_drawing(chart: Chart) -> None:
    views = {view.id: view for view in chart.views}
    places = [(point.id, point.place) for point in chart.points if point.place is not None]
    assert len(places) >= 10
    for point_id, place in places:
        view = views[place.view]
        assert 0 <= place.x <= view.width, point_id
        assert 0 <= place.y <= view.height, point_id


@every_chart
def test_every_shape_lies_inside_its_drawing(chart: Chart) -> None:
    for view in chart.views:
        assert view.shapes
        for x, y in corners(view):
            assert 0 <= x <= view.width, (view.id, x, y)
            assert 0 <= y <= view.height, (view.id, x, y)


def corners(view: View) -> list[tuple[float, float]]:
    """Ends of all steps of all paths, and opposite corners of circles and boxes."""
    found: list[tuple[float, float]] = []
    for shape in view.shapes:
        found += [(numbers[-2], numbers[-1]) for _, numbers in shape.path if numbers]
        if shape.kind == "circle":
            x, y, r = shape.numbers
            found += [(x - r, y - r), (x + r, y + r)]
        elif shape.kind == "box":
            x, y, width, height, _ = shape.numbers
            found += [(x, y), (x + width, y + height)]
    return found


# --- what owners must never do --------------------------------------------------------------------------------------

# Open motor, pedal or plug; tension and timing screws; solvents; freeing a stuck machine; air cans; tools in the hook.
NEVER_AT_HOME = {
    "open motor, pedal or plug": r"\b(open|undo|unscrew|inside)\b[^.;]*\b(motor|pedal|foot control|plug)\b|\bmotor inside\b",
    "the motor": r"\bmotor\b|\bbrush cap|\bcommutator\b|\bbrushes\b",
    "screws": r"\bscrews?\b|\bloosen\b",
    "timing": r"\btiming\b|\beccentric\b|\bin time\b|\bre-mesh\b",
    "solvents": r"\bsolvent\b|\bspirit\b|\bkerosene\b|\bpetrol\b|\balcohol\b|\bspray\b",
    "freeing what sticks": r"\bseized\b|\bstuck\b|\bsticky\b|\bgummed\b|\bforce\b|\bforcing\b|\blever the hand wheel\b",
    "air cans": r"\bair\b",
    "tools in the hook": r"\bscrewdrivers?\b|\bpins\b|\bknives\b|\brelease the ring\b",
}


def words_of(point: Point) -> str:
    """All that says what is done where, and with what."""
    return " ".join(words for words in (point.where, point.home, point.do, point.material, point.amount) if words).casefold()


@every_chart
@pytest.mark.parametrize("what", NEVER_AT_HOME)
def test_no_owner_point_touches_what_owners_must_never_touch(chart: Chart, what: str) -> None:
    assert [point.id for point in of_owner(chart) if re.search(NEVER_AT_HOME[what], words_of(point))] == []


@pytest.mark.parametrize("what", NEVER_AT_HOME)
def test_each_thing_never_done_at_home_is_met_somewhere_in_the_lists(what: str) -> None:
    # Or else the pattern above might be one that matches nothing.
    bench = [words_of(point) for chart in CHARTS for point in chart.kept_by(Keeper.BENCH)]
    do_not = [f"{avoid.where} {avoid.do_not}".casefold() for chart in CHARTS for avoid in chart.avoids]
    assert any(re.search(NEVER_AT_HOME[what], words) for words in [*bench, *do_not])


@every_chart
def test_no_owner_point_takes_tipping_fine_sight_force_or_dismantling(chart: Chart) -> None:
    assert [point.id for point in of_owner(chart) if point.needs or point.deep] == []


@every_chart
def test_no_owner_point_is_under_the_bed_behind_the_face_plate_or_on_the_mains_side(chart: Chart) -> None:
    closed = {"underside", "face-plate", "control"}
    assert closed <= {stage.id for stage in chart.stages}
    assert [point.id for point in of_owner(chart) if point.access in closed] == []


@every_chart
def test_owners_only_clean_oil_look_and_change_the_needle(chart: Chart) -> None:
    for point in of_owner(chart):
        assert point.work in (Work.CLEAN, Work.OIL, Work.INSPECT) or (point.work, point.where) == (Work.REPLACE, "Needle"), point.id


@every_chart
def test_an_owner_needs_no_other_oil_than_sewing_machine_oil(chart: Chart) -> None:
    assert {point.lubricant.home for point in of_owner(chart) if point.lubricant} == {"sewing-machine oil"}


# --- places that get no oil -----------------------------------------------------------------------------------------

FORBIDDEN = {
    "belt": r"\bbelt\b",
    "tension discs": r"\btension discs?\b|\bround plates the thread runs between\b",
    "winder tyre": r"\btyre\b|\brubber ring\b",
    "brush caps and commutator": r"\bbrush caps?\b|\bcommutator\b|\bbrushes\b",
    "clutch washer": r"\bclutch\b|\bstop-motion\b",
    "foot-control contacts": r"\bfoot[ -]control\b|\bcontacts\b|\bcarbon discs?\b|\bpedal\b",
    "wiring": r"\bwiring\b|\bcords?\b|\bplugs?\b|\bleads\b",
}


def oiled_though_forbidden(chart: Chart) -> list[str]:
    """Points that oil or grease a place that gets neither, and points that put liquid oil into the motor."""
    wrong = []
    for point in lubricated(chart):
        place = f"{point.where} {point.home or ''}".casefold()
        liquid_in_motor = point.work is Work.OIL and "motor" in place and any("motor" in avoid.where.casefold() for avoid in chart.avoids)
        if liquid_in_motor or any(re.search(pattern, place) for pattern in FORBIDDEN.values()):
            wrong.append(point.id)
    return wrong


@every_chart
@pytest.mark.parametrize("what", FORBIDDEN)
def test_every_list_forbids_oil_where_no_machine_takes_any(chart: Chart, what: str) -> None:
    forbidding = [avoid for avoid in chart.avoids if re.search(FORBIDDEN[what], avoid.where.casefold())]
    assert forbidding
    assert any(re.search(r"\bno oil\b|\bdo not oil\b", avoid.do_not.casefold()) for avoid in forbidding)
    assert all(avoid.why for avoid in forbidding)


@every_chart
def test_no_list_oils_a_place_that_its_own_do_not_points_forbid(chart: Chart) -> None:
    assert len(lubricated(chart)) >= 15
    assert oiled_though_forbidden(chart) == []


@pytest.mark.parametrize(
    "where",
    [
        "Drive belt, both sides",
        "Tension discs",
        "Bobbin-winder tyre",
        "Brush caps",
        "Clutch washer",
        "Foot control, contacts",
        "Wiring",
        "Motor bearings",
    ],
)
def test_oil_in_a_forbidden_place_would_be_found(where: str) -> None:
    no_oil = Avoid(
        id="avoid-motor-oil", mechanism="motor", where="Motor casing", home=None, do_not="No oil", why="It smokes", source="practice"
    )
    assert oiled_though_forbidden(a_chart(a_point("wrong", where=where), a_point("right", where="Hook race"), avoids=[no_oil])) == ["wrong"]


# --- intervals against what was published ---------------------------------------------------------------------------

# Hours of use between two oilings of a hand-oiled head:
#   8       all moving parts daily, at the end of the working day: Parachute Rigger Handbook, US FAA, 2005, pp. 6-12 to 6-20
#   10      whole machine once in 10 hours' use: instruction sheet of a belt-driven machine, 19th century
#   4-5     side of the shuttle race at least twice a day in constant use: two manuals of long-shuttle treadles, 19th century
#   9-28    monthly at 1 hour on 2-3 days a week, weekly at 3-4 hours a day, daily at most of the day: British household text, undated
#   4; 8-10 common practice, no source
HEAD_OIL_HOURS = (4, 28)
# Months at rest:
#   6       clean and oil twice a year: "Looking After a Sewing Machine", University of Otago, in The Press, 1 March 1965
#   3       common practice, no source
HEAD_OIL_MONTHS = (3, 6)
# The hook race:
#   8       "shuttle race stressed" among what is oiled daily: Parachute Rigger Handbook, as above
#   4-5     the two treadle manuals, as above
#   each bobbin; 3-5; 4 needle hours: common practice, no source
HOOK_RACE_HOURS = (Fraction(1, 4), 8)  # a bobbin is sewn off in a quarter of an hour to an hour
# Bench work:
#   12      flush gummed oil from the holes once a year: "Get the Sewing Machine Ready", US Department of Agriculture, 12 March 1945
#   24-48   dismantling and slow wear: common practice, no source
BENCH_MONTHS = (12, 48)


def lies_within(number: Fraction | int | None, spread: tuple[Fraction | int, Fraction | int]) -> bool:
    return number is not None and spread[0] <= number <= spread[1]


@every_chart
def test_owners_oil_a_head_within_the_published_hours_and_months(chart: Chart) -> None:
    oiled = [point for point in of_owner(chart) if point.work is Work.OIL and point.mechanism in HEADS]
    assert len(oiled) >= 5
    for point in oiled:
        (step,) = point.every.steps
        assert step.unit is Unit.HOURS, point.id
        assert lies_within(step.aim, HEAD_OIL_HOURS), point.id
        assert lies_within(step.limit, HEAD_OIL_HOURS), point.id
        assert lies_within(step.months, HEAD_OIL_MONTHS), point.id


@every_chart
def test_the_hook_race_is_oiled_between_each_bobbin_and_8_hours(chart: Chart) -> None:
    races = [point for point in of_owner(chart) if point.work is Work.OIL and "race" in point.where.casefold()]
    assert len(races) == 1
    for step in races[0].every.steps:
        assert step.unit is Unit.HOURS
        assert lies_within(step.aim, HOOK_RACE_HOURS)
        assert lies_within(step.limit, HOOK_RACE_HOURS)
        assert lies_within(step.months, HEAD_OIL_MONTHS)


@every_chart
def test_the_lint_comes_out_of_the_bobbin_case_each_bobbin(chart: Chart) -> None:
    # Take the lint out of the bobbin case every time a bobbin is filled: University of Otago, 1965, as above.
    lint = [point for point in of_owner(chart) if "bobbin case" in (point.home or "") and point.work is Work.CLEAN]
    assert [(point.every.occasion, dict(point.sources)["every"]) for point in lint] == [("each bobbin", "otago-1965")]


@every_chart
def test_bench_points_at_rest_come_round_between_one_and_four_years(chart: Chart) -> None:
    steps = [(point.id, step) for point in chart.kept_by(Keeper.BENCH) for step in point.every.steps]
    assert len(steps) >= 20
    assert [point_id for point_id, step in steps if not lies_within(step.months, BENCH_MONTHS)] == []


@every_chart
def test_gummed_oil_holes_are_flushed_yearly_as_the_1945_script_has_it(chart: Chart) -> None:
    (flush,) = [point for point in chart.points if point.id == "oil-holes-flush"]
    assert (flush.every.words, flush.keeper) == ("12 months", Keeper.BENCH)
    assert dict(flush.sources)["every"] == "usda-homemakers-1945"
