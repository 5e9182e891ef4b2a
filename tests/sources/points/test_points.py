"""All shipped point lists: nothing is missing, owners get nothing they must not do, and the
intervals lie in what was published."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction

import pytest

from oilchart.core.point_lists.drawings import View
from oilchart.core.point_lists.point_list import Avoid, Keeper, Need, Point, PointList, Runs, Work
from oilchart.core.units import Unit
from oilchart.sources.packaged import packaged
from oilchart.sources.points.checks import list_faults
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.points.points import FIGURES
from oilchart.sources.points.reference import PRACTICE
from tests.builders.make import a_chart, a_point

SHELF = PointLibrary([packaged("points")])
LISTS = [SHELF.point_list(model) for model in SHELF.model_ids()]
CHARTS = [point_list.for_owner(()) for point_list in LISTS]  # as they stand for most owners
MODELS = [point_list for point_list in CHARTS if not point_list.family]
MECHANISMS = SHELF.mechanisms()
HEADS = {mechanism.id for mechanism in MECHANISMS.values() if mechanism.kind == "head"}
# the one oils itself, the other is hardly oiled at all
HAND_OILED = HEADS - {"industrial-lockstitch-head", "computerised-head"}
WITH_A_RACE = {
    "straight-head", "zigzag-swinging-head", "rotary-vertical-head", "rotary-horizontal-head",
    "vibrating-shuttle-head",
    "transverse-shuttle-head", "walking-foot-head",
}  # fmt: skip
ZIGZAG_FLATBEDS = [point_list for point_list in CHARTS if {"zigzag", "tips"} <= point_list.has]

every_chart = pytest.mark.parametrize("point_list", CHARTS, ids=lambda point_list: point_list.id)


def head_of(point_list: PointList) -> str:
    (head,) = HEADS & dict(point_list.mechanisms).keys()
    return head


def of_owner(point_list: PointList) -> tuple[Point, ...]:
    return point_list.kept_by(Keeper.OWNER)


def lubricated(point_list: PointList) -> list[Point]:
    return [point for point in point_list.points if point.work in (Work.OIL, Work.GREASE)]


# --- nothing is missing
# ---------------------------------------------------------------------------------------------


def test_the_shipped_lists_have_no_fault() -> None:
    assert list_faults(SHELF) == []


def test_at_least_twelve_models_use_every_mechanism_between_them() -> None:
    assert len(MODELS) >= 12
    assert {mechanism for point_list in MODELS for mechanism, _ in point_list.mechanisms} == set(
        MECHANISMS
    )


def test_every_kind_of_machine_of_the_trade_has_its_mechanism() -> None:
    heads = {
        "straight-head", "zigzag-swinging-head", "rotary-vertical-head", "rotary-horizontal-head",
        "vibrating-shuttle-head",
        "transverse-shuttle-head", "drop-in-plastic-head", "computerised-head", "overlock-head",
        "chain-cover-head",
        "industrial-lockstitch-head", "walking-foot-head",
    }  # fmt: skip
    drives = {
        "treadle-stand", "hand-crank", "belt-motor-wicks", "belt-motor-grease-ports",
        "gear-motor-grease-tubes", "clutch-motor",
    }  # fmt: skip
    others = {
        "zigzag-cam-drive", "zigzag-plate-drive", "cam-stack-buttonhole", "drop-feed",
        "thread-tension", "bobbin-winder",
        "foot-control-carbon", "foot-control-electronic", "knee-lever", "cord-plug-lamp",
    }  # fmt: skip
    assert heads == HEADS
    assert drives == {
        mechanism.id for mechanism in MECHANISMS.values() if mechanism.kind == "drive"
    }
    assert heads | drives | others == set(MECHANISMS)


def test_there_is_a_family_for_every_head() -> None:
    families = [point_list for point_list in CHARTS if point_list.family]
    assert {head_of(point_list) for point_list in families} == HEADS
    assert all(point_list.maker == "" for point_list in families)


def test_every_head_has_at_least_15_points_of_its_own() -> None:
    for point_list in CHARTS:
        own = [point for point in point_list.points if point.mechanism == head_of(point_list)]
        assert len(own) >= 15, point_list.id


def test_a_zigzag_flatbed_has_35_points_or_more() -> None:
    assert len(ZIGZAG_FLATBEDS) >= 4
    assert [
        point_list.id for point_list in ZIGZAG_FLATBEDS if not 35 <= len(point_list.points) <= 70
    ] == []


def test_a_drive_still_in_straight_stitch_wears_only_in_zigzag_and_the_plate_always() -> None:
    runs = {
        mechanism: {
            point.runs
            for point_list in CHARTS
            for point in point_list.points
            if point.mechanism == mechanism
        }
        for mechanism in ("zigzag-cam-drive", "zigzag-plate-drive")
    }
    assert runs == {"zigzag-cam-drive": {Runs.ZIGZAG}, "zigzag-plate-drive": {Runs.ALWAYS}}


@every_chart
def test_every_point_lies_on_a_drawing_and_no_two_on_one_spot(point_list: PointList) -> None:
    drawings = SHELF.drawings(point_list)
    spots = Counter(drawings.place(point) for point in point_list.points)
    assert None not in spots
    assert [place for place, times in spots.items() if times > 1] == []
    assert len({view.id for view in drawings.views}) == len(drawings.views) >= 3


@pytest.mark.parametrize("point_list", MODELS, ids=lambda point_list: point_list.id)
def test_every_model_has_its_facts_and_its_wear_parts(point_list: PointList) -> None:
    assert point_list.maker and point_list.about and point_list.years
    assert point_list.needle_system and point_list.needle_flat
    assert (point_list.bobbin_metres is None) == ("loopers" in point_list.has)
    assert point_list.wear_parts
    assert all(part.stock_minimum for part in point_list.wear_parts)


def test_an_owner_of_age_can_name_what_turns_every_machine() -> None:
    for point_list in CHARTS:
        assert point_list.has & {"plug", "treadle", "crank"}, point_list.id
        assert not {"treadle", "crank"} <= point_list.has, point_list.id


@every_chart
def test_every_figure_has_a_source_or_says_practice(point_list: PointList) -> None:
    known = {*dict(point_list.sources), PRACTICE}
    for point in point_list.points:
        figures = [figure for figure in FIGURES if figure != "amount" or point.amount is not None]
        assert [figure for figure, _ in point.sources] == figures, point.id
        assert {source for _, source in point.sources} <= known, point.id
    assert {avoid.source for avoid in point_list.avoids} | {
        part.source for part in point_list.wear_parts
    } <= known


@every_chart
def test_every_oil_or_grease_has_its_amount_and_every_other_work_says_what_is_done(
    point_list: PointList,
) -> None:
    for point in point_list.points:
        if point.work in (Work.OIL, Work.GREASE):
            assert point.lubricant is not None, point.id
            assert point.lubricant.kind == point.work, point.id
            assert point.amount, point.id
        else:
            assert point.do, point.id


@every_chart
def test_every_owner_point_has_home_words_of_its_own(point_list: PointList) -> None:
    home = Counter(point.home for point in of_owner(point_list))
    assert len(home) >= 6
    assert None not in home
    assert [words for words, times in home.items() if times > 1] == []


@every_chart
def test_every_interval_of_use_has_a_limit_at_rest(point_list: PointList) -> None:
    steps = [
        step for point in point_list.points for step in point.every.steps if step.limit is not None
    ]
    assert len(steps) >= 8
    assert all(step.months is not None or step.days is not None for step in steps)


@every_chart
def test_every_point_is_done_at_a_stage_of_the_bench_work(point_list: PointList) -> None:
    assert {point.access for point in point_list.points} <= {
        stage.id for stage in point_list.stages
    }
    assert all(stage.open for stage in point_list.stages)
    assert all(stage.caution for stage in point_list.stages)


@every_chart
def test_every_place_lies_inside_its_drawing(point_list: PointList) -> None:
    drawings = SHELF.drawings(point_list)
    views = {view.id: view for view in drawings.views}
    places = [(point.id, place) for point in point_list.points for place in drawings.places(point)]
    assert len(places) >= len(point_list.points)
    for point_id, place in places:
        view = views[place.view]
        assert 0 <= place.x <= view.width, point_id
        assert 0 <= place.y <= view.height, point_id


@every_chart
def test_every_shape_lies_inside_its_drawing(point_list: PointList) -> None:
    for view in SHELF.drawings(point_list).views:
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


# --- what owners must never do
# --------------------------------------------------------------------------------------

# Open motor, pedal or plug; tension and timing screws; solvents; freeing a stuck machine; air cans;
# tools in the hook.
NEVER_AT_HOME = {
    "open motor, pedal or plug": r"\b(open|undo|unscrew|inside)\b[^.;]*\b(motor|pedal|foot "
    r"control|plug)\b|\bmotor inside\b",
    "the motor": r"\bmotor\b(?! cord)|\bbrush cap|\bcommutator\b|\bbrushes\b",
    "screws": r"\bscrews?\b|\bloosen\b",
    "timing": r"\btiming\b|\beccentric\b|\bin time\b|\bre-mesh\b",
    "solvents": r"\bsolvent\b|\bspirit\b|\bkerosene\b|\bpetrol\b|\balcohol\b|\bspray\b",
    "freeing what sticks": r"\bseized\b|\bstuck\b|\bsticky\b|\bgummed\b"
    r"|\bforce\b|\bforcing\b|\blever the hand wheel\b",
    "air cans": r"\bair\b",
    "tools in the hook": r"\bscrewdrivers?\b|\brelease the ring\b",
}


def words_of(point: Point) -> str:
    """All that says what is done where, and with what."""
    return " ".join(
        words
        for words in (point.where, point.home, point.do, point.material, point.amount)
        if words
    ).casefold()


@every_chart
@pytest.mark.parametrize("what", NEVER_AT_HOME)
def test_no_owner_point_touches_what_owners_must_never_touch(
    point_list: PointList, what: str
) -> None:
    assert [
        point.id
        for point in of_owner(point_list)
        if re.search(NEVER_AT_HOME[what], words_of(point))
    ] == []


@pytest.mark.parametrize("what", NEVER_AT_HOME)
def test_each_thing_never_done_at_home_is_met_somewhere_in_the_lists(what: str) -> None:
    # Or else the pattern above might be one that matches nothing.
    bench = [words_of(point) for point_list in CHARTS for point in point_list.kept_by(Keeper.BENCH)]
    do_not = [
        f"{avoid.where} {avoid.do_not}".casefold()
        for point_list in CHARTS
        for avoid in point_list.avoids
    ]
    assert any(re.search(NEVER_AT_HOME[what], words) for words in [*bench, *do_not])


@every_chart
def test_no_owner_point_takes_tipping_fine_sight_force_or_dismantling_unless_this_owner_can(
    point_list: PointList,
) -> None:
    assert [point.id for point in of_owner(point_list) if point.needs or point.deep] == []
    able = SHELF.point_list(point_list.id).for_owner(set(Need))
    for point in able.kept_by(Keeper.OWNER):
        assert point.home, point.id
        assert SHELF.drawings(point_list).place(point) is not None, point.id
    for what, pattern in NEVER_AT_HOME.items():
        assert [
            point.id for point in able.kept_by(Keeper.OWNER) if re.search(pattern, words_of(point))
        ] == [], what


@every_chart
def test_no_owner_point_is_under_the_bed_or_behind_the_face_plate(point_list: PointList) -> None:
    assert [
        point.id for point in of_owner(point_list) if point.access in {"underside", "face-plate"}
    ] == []


@every_chart
def test_owners_only_clean_oil_look_and_change_the_needle(point_list: PointList) -> None:
    for point in of_owner(point_list):
        needle = point.work is Work.REPLACE and point.id == "needle-change"
        assert point.work in (Work.CLEAN, Work.OIL, Work.INSPECT) or needle, point.id


@every_chart
def test_an_owner_needs_no_other_oil_than_sewing_machine_oil(point_list: PointList) -> None:
    oils = {point.lubricant.home for point in of_owner(point_list) if point.lubricant}
    assert oils <= (
        {"sewing-machine oil", "sump oil"} if "sump" in point_list.has else {"sewing-machine oil"}
    )


# --- places that get no oil
# -----------------------------------------------------------------------------------------

FORBIDDEN = {
    "belt": r"\bbelt\b",
    "tension discs": r"\btension discs?\b|\bround plates the thread runs between\b",
    "winder tyre": r"\btyre\b|\brubber ring\b",
    "brush caps and commutator": r"\bbrush caps?\b|\bcommutator\b|\bbrushes\b",
    "clutch washer": r"\bclutch (?:washer|faces?|linings?|discs?)\b|\bstop-motion "
    r"(?:washer|faces?)\b",
    "foot-control contacts": r"\bfoot[ -]control\b|\bcontacts\b|\bcarbon discs?\b|\bpedal\b",
    "wiring": r"\bwiring\b|\bcords?\b|\bplugs?\b|\bleads\b",
}


IF_IT_HAS = {
    "belt": {"treadle-stand", "belt-motor-wicks", "belt-motor-grease-ports", "clutch-motor"},
    "winder tyre": {"bobbin-winder"},
    "brush caps and commutator": {
        "belt-motor-wicks",
        "belt-motor-grease-ports",
        "gear-motor-grease-tubes",
    },
    "clutch washer": {
        "straight-head",
        "zigzag-swinging-head",
        "rotary-vertical-head",
        "rotary-horizontal-head",
    },
    "foot-control contacts": {"foot-control-carbon"},
    "wiring": {"cord-plug-lamp"},
    "tension discs": {"thread-tension", "overlock-head", "chain-cover-head"},
}


def oiled_though_forbidden(point_list: PointList) -> list[str]:
    """Points that oil or grease a place that gets neither, and points that put liquid oil into a
    motor that takes none."""
    wrong = []
    for point in lubricated(point_list):
        place = f"{point.where} {point.home or ''}".casefold()
        no_oil = any(
            "motor" in avoid.where.casefold() and "oil" in avoid.do_not.casefold()
            for avoid in point_list.avoids
        )
        liquid_in_motor = (
            point.work is Work.OIL
            and re.search(r"\bmotor (?:bearings?|casing|tube|port)\b", place) is not None
            and no_oil
        )
        if liquid_in_motor or any(re.search(pattern, place) for pattern in FORBIDDEN.values()):
            wrong.append(point.id)
    return wrong


@every_chart
@pytest.mark.parametrize("what", FORBIDDEN)
def test_every_list_forbids_oil_where_a_machine_takes_none(
    point_list: PointList, what: str
) -> None:
    if not IF_IT_HAS[what] & dict(point_list.mechanisms).keys():
        return
    forbidding = [
        avoid for avoid in point_list.avoids if re.search(FORBIDDEN[what], avoid.where.casefold())
    ]
    assert any(
        re.search(r"\bno oil\b|\bdo not oil\b", avoid.do_not.casefold()) for avoid in forbidding
    )
    assert all(avoid.why for avoid in forbidding)


@every_chart
def test_every_list_keeps_solvents_off_what_they_ruin(point_list: PointList) -> None:
    # old finishes, plastic cases, or paint: common practice, no source
    ruined = [
        avoid
        for avoid in point_list.avoids
        if re.search(r"alcohol|solvent|thinner|spray", avoid.do_not.casefold())
    ]
    assert any(
        re.search(
            r"enamel|shellac|paint|plastic|case|finish|decal",
            f"{avoid.where} {avoid.home}".casefold(),
        )
        for avoid in ruined
    )


@every_chart
def test_no_list_oils_a_place_that_its_own_do_not_points_forbid(point_list: PointList) -> None:
    assert len(lubricated(point_list)) >= 6
    assert oiled_though_forbidden(point_list) == []


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
        id="avoid-motor-oil",
        mechanism="motor",
        where="Motor casing",
        home=None,
        do_not="No oil",
        why="It smokes",
        source="practice",
    )
    assert oiled_though_forbidden(
        a_chart(a_point("wrong", where=where), a_point("right", where="Hook race"), avoids=[no_oil])
    ) == ["wrong"]


# --- intervals against what was published
# ---------------------------------------------------------------------------

# Hours of use between two oilings of a hand-oiled head:
# 8       all moving parts daily, at the end of the working day: Parachute Rigger Handbook, US FAA,
# 2005, pp. 6-12 to 6-20
# 10      whole machine once in 10 hours' use: instruction sheet of a belt-driven machine, 19th
# century
# 4-5     side of the shuttle race at least twice a day in constant use: two manuals of long-shuttle
# treadles, 19th century
# 9-28    monthly at 1 hour on 2-3 days a week, weekly at 3-4 hours a day, daily at most of the day:
# British household text, undated
#   4; 8-10 common practice, no source
HEAD_OIL_HOURS = (4, 28)
# Months at rest:
# 6       clean and oil twice a year: "Looking After a Sewing Machine", University of Otago, in The
# Press, 1 March 1965
#   3       common practice, no source
HEAD_OIL_MONTHS = (3, 6)
# The hook race:
#   8       "shuttle race stressed" among what is oiled daily: Parachute Rigger Handbook, as above
#   4-5     the two treadle manuals, as above
#   each bobbin; 3-5; 4 needle hours: common practice, no source
HOOK_RACE_HOURS = (Fraction(1, 4), 8)  # a bobbin is sewn off in a quarter of an hour to an hour
# Bench work:
# 6       twice a year, University of Otago, as above; wear of hook and clutch half-yearly: manual
# of a compound-feed machine
# 12      flush gummed oil from the holes once a year: "Get the Sewing Machine Ready", US Department
# of Agriculture, 12 March 1945
#   24-48   dismantling and slow wear: common practice, no source
BENCH_MONTHS = (6, 48)


def lies_within(
    number: Fraction | int | None, spread: tuple[Fraction | int, Fraction | int]
) -> bool:
    return number is not None and spread[0] <= number <= spread[1]


@every_chart
def test_owners_oil_a_head_within_the_published_hours_and_months(point_list: PointList) -> None:
    able = SHELF.point_list(point_list.id).for_owner(set(Need))
    oiled = [
        point
        for point in able.kept_by(Keeper.OWNER)
        if point.work is Work.OIL and point.mechanism in HAND_OILED
    ]
    assert len(oiled) >= 2 or head_of(point_list) not in HAND_OILED
    for point in oiled:
        (step,) = point.every.steps
        assert step.unit is Unit.HOURS, point.id
        assert lies_within(step.aim, HEAD_OIL_HOURS), point.id
        assert lies_within(step.limit, HEAD_OIL_HOURS), point.id
        # wicks dry out sooner: monthly on top of an overlock (overlock handbook, chapter 8), under
        # a drop-in bobbin common practice
        assert lies_within(step.months, HEAD_OIL_MONTHS) or (
            "wick" in point.id and step.months == 1
        ), point.id


@every_chart
def test_the_hook_race_is_oiled_between_each_bobbin_and_8_hours(point_list: PointList) -> None:
    races = [
        point
        for point in of_owner(point_list)
        if point.work is Work.OIL and re.search(r"\brace\b", point.where.casefold())
    ]
    assert bool(races) or head_of(point_list) not in WITH_A_RACE
    for step in (step for point in races for step in point.every.steps):
        assert step.unit is Unit.HOURS
        assert lies_within(step.aim, HOOK_RACE_HOURS)
        assert lies_within(step.limit, HOOK_RACE_HOURS)
        assert lies_within(step.months, HEAD_OIL_MONTHS)


@every_chart
def test_lint_comes_out_at_home_with_each_bobbin_or_each_sewing_day(point_list: PointList) -> None:
    # Take the lint out of the bobbin case every time a bobbin is filled: University of Otago, 1965,
    # as above.
    lint = [
        point
        for point in of_owner(point_list)
        if point.work is Work.CLEAN and "lint" in words_of(point)
    ]
    occasions = {point.every.occasion for point in lint}
    assert occasions & {"each bobbin", "each sewing day"}
    for point in lint:
        if point.every.occasion == "each bobbin":
            assert dict(point.sources)["every"] == "otago-1965", point.id


@every_chart
def test_bench_points_at_rest_come_round_between_half_a_year_and_four_years(
    point_list: PointList,
) -> None:
    steps = [
        (point.id, step) for point in point_list.kept_by(Keeper.BENCH) for step in point.every.steps
    ]
    assert len(steps) >= 10
    assert [
        point_id for point_id, step in steps if not lies_within(step.months, BENCH_MONTHS)
    ] == []


@every_chart
def test_gummed_oil_holes_are_flushed_yearly_as_the_1945_script_has_it(
    point_list: PointList,
) -> None:
    flushes = [point for point in point_list.points if point.id == "oil-holes-flush"]
    for flush in flushes:
        assert (flush.every.words, flush.keeper) == ("12 months", Keeper.BENCH)
        assert dict(flush.sources)["every"] == "usda-homemakers-1945"
    assert flushes or head_of(point_list) not in WITH_A_RACE - {"walking-foot-head"}


def test_the_oil_of_a_sump_is_never_older_than_a_year() -> None:
    # change every 6 to 12 months, never longer than a year: Parachute Rigger Handbook, as above
    changes = [
        point
        for point_list in CHARTS
        for point in point_list.points
        if "sump" in point_list.has and point.work is Work.REPLACE and "oil" in words_of(point)
    ]
    assert changes
    for step in (step for point in changes for step in point.every.steps):
        assert step.months is not None and 1 <= step.months <= 12


# --- facts of the trade that a technician looks for first; common practice, no source
# -----------------------------


def test_what_one_model_is_known_for_is_on_its_list_alone() -> None:
    velmora = {point.id: point for point in SHELF.point_list("velmora-7").points}
    avoids = {avoid.id: avoid for avoid in SHELF.point_list("velmora-7").avoids}
    assert "Never remove" in avoids["avoid-lapped-drive"].do_not
    assert "linkage that moves the shuttle" in (velmora["stitch-balance"].do or "")
    assert velmora["shuttle-cover-inspect"].every.occasion == "each service"
    assert "three" in (velmora["top-cover-screws"].do or "")
    assert "stud" in velmora["tension-plastics-inspect"].where
    for point_list in LISTS:
        if point_list.id != "velmora-7":
            assert "avoid-lapped-drive" not in {avoid.id for avoid in point_list.avoids}, (
                point_list.id
            )


def test_a_wear_part_asked_for_often_is_ordered_at_four_left() -> None:
    often = [
        part
        for point_list in MODELS
        for part in point_list.wear_parts
        if part.id in ("belt", "winder-tyre") and point_list.maker in ("Heron", "Velmora")
    ]
    assert {part.stock_minimum for part in often} == {4}


def test_the_feed_dog_is_set_in_the_middle_of_its_highest_travel() -> None:
    for point_list in LISTS:
        for point in point_list.points:
            if point.id in ("feed-height-adjust", "feed-dog-adjust"):
                assert "highest travel" in (point.do or ""), (point_list.id, point.id)


def test_the_needle_bar_frame_is_what_is_taken_out_of_a_zigzag_head() -> None:
    for point_list in ZIGZAG_FLATBEDS:
        if head_of(point_list) == "zigzag-swinging-head":
            assert {point.id for point in point_list.points if point.deep} >= {
                "needle-bar-frame-clean"
            }
