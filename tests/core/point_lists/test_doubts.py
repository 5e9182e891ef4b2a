"""What is doubtful in a list is told with file, point, key, value and remedy; the shipped lists
have no doubt."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from oilchart.core.point_lists.doubts import Doubt, Figure, Never, Spread, doubts
from oilchart.core.point_lists.drawings import ModelDrawings, View
from oilchart.core.point_lists.point_list import Avoid, Place, Point, PointList, Work
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from oilchart.sources.points import checks
from oilchart.sources.points.checks import list_doubts
from oilchart.sources.points.intervals import read_interval
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.points.reference import PRACTICE, read_reference
from tests.builders.make import a_chart, a_point
from tests.builders.present import the
from tests.conftest import Run

REFERENCE, _ = read_reference([packaged("points")])
FRONT = ModelDrawings(
    views=(View(id="front", name="Front", alt="Front.", width=1000, height=640, shapes=()),)
)
SEEN = (Place(view="front", x=10, y=10),)


def odd(
    *points: Point, avoids: tuple[Avoid, ...] = (), least_days: int = 90
) -> list[tuple[str, str]]:
    """Point and key of every doubt."""
    point_list: PointList = a_chart(*points, avoids=avoids)
    found = doubts(
        point_list, FRONT, spreads=REFERENCE.spreads, nevers=REFERENCE.nevers, least_days=least_days
    )
    return [(doubt.point.id, doubt.key) for doubt in found]


def seen(point_id: str = "bearing", at: float = 10, **changes: Any) -> Point:
    return a_point(
        point_id,
        **{"every": "12 months", "places": (Place(view="front", x=at, y=10),), **changes},
    )


def test_the_shipped_lists_have_no_doubt() -> None:
    assert list_doubts(PointLibrary([packaged("points")]), least_days=90) == []


def test_each_list_is_doubted_once_however_many_mechanisms_it_shares(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    doubted: list[str] = []

    def noted(point_list: PointList, *known: Any, **more: Any) -> list[Doubt]:
        doubted.append(point_list.id)
        return []

    monkeypatch.setattr(checks, "doubts", noted)
    library = PointLibrary([packaged("points")])
    assert list_doubts(library, least_days=90) == []
    assert sorted(doubted) == library.model_ids()


def test_an_ordinary_point_is_not_doubtful() -> None:
    assert odd(seen()) == []


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"every": "40 months"}, "every"),
        ({"every": "2000 hours or 12 months"}, "every"),
        ({"every": "2 hours or 3 months", "keeper": "owner"}, "every"),
        ({"every": "8 hours or 12 months", "keeper": "owner"}, "every"),
        (
            {
                "every": "12 months",
                "keeper": "owner",
                "needs": ("tip",),
                "every_home": "100 hours or 3 months",
            },
            "every_home",
        ),
        ({"every": "2 months"}, "every"),
        ({"every": "each bobbin"}, "every"),
        ({"access": None}, "access"),
        ({"where": "Nylon gear of the hook shaft"}, "with"),
        ({"where": "Drive belt"}, "work"),
        ({"where": "Winder tyre"}, "work"),
        (
            {"work": Work.CLEAN, "where": "Commutator", "keeper": "owner", "every": "6 months"},
            "work",
        ),
        (
            {
                "work": Work.CLEAN,
                "do": "Wipe it with white spirit",
                "keeper": "owner",
                "every": "6 months",
            },
            "work",
        ),
    ],
)
def test_each_kind_of_doubt_is_found(changes: dict[str, Any], key: str) -> None:
    if "every_home" in changes:
        changes = {**changes, "every_home": read_interval(changes["every_home"])}
    assert ("bearing", key) in odd(seen(**changes))


def test_a_point_on_no_drawing_and_two_points_on_one_spot_are_doubtful() -> None:
    assert odd(a_point("bearing", every="12 months")) == [("bearing", "at")]
    assert odd(seen("one"), seen("two", at=14)) == [("two", "at")]
    assert odd(seen("one"), seen("two", at=17)) == []


def test_a_point_that_a_do_not_point_forbids_is_doubtful() -> None:
    avoid = Avoid(
        id="avoid-hub", mechanism="head", where="Hub", home=None, do_not="No oil", why="It slips",
        source=PRACTICE,
        forbids=(Work.OIL,), places=("hub",),
    )  # fmt: skip
    assert odd(seen(where="Hubs of the wheel"), avoids=(avoid,)) == [("bearing", "work")]
    assert odd(seen(where="Hubs of the wheel", work=Work.CLEAN), avoids=(avoid,)) == []
    assert odd(seen(where="Hubcap screw"), avoids=(avoid,)) == []


def test_the_least_time_between_services_is_the_shops(fresh_shop: Shop, run: Run) -> None:
    settings = fresh_shop.folder / "shop.toml"
    motor = packaged("points") / "mechanisms" / "clutch-motor.toml"
    assert run("models", "check", motor, shop=fresh_shop.folder).stdout == "no faults, no doubts\n"
    settings.write_text(settings.read_text().replace("least_days = 90", "least_days = 300"))
    result = run("models", "check", motor, shop=fresh_shop.folder)
    assert result.exit_code == 0
    assert (
        'every: "6 months": comes round before the next service, 300 days after the last at the '
        "earliest" in result.stdout
    )
    assert result.stdout.splitlines()[-1].startswith("no faults, ")


def test_a_doubt_names_file_point_key_value_and_remedy(fresh_shop: Shop, run: Run) -> None:
    own = fresh_shop.folder / "points" / "models" / "ibex-9.toml"
    own.parent.mkdir()
    shipped = (packaged("points") / "models" / "heron-3.toml").read_text(encoding="utf-8")
    own.write_text(
        shipped.replace('"Heron 3"', '"Ibex 9"')
        + '\n[change.hook-race-oil]\nevery = "90 hours or 3 months"\n'
    )
    told = run("models", "check", own, shop=fresh_shop.folder).stdout.splitlines()
    assert told[0].startswith(
        f'{own}: point "hook-race-oil": every: "90 hours or 3 months": is outside what was '
        f"published ("
    )
    assert told[0].endswith("; look it up again")
    assert told[1:] == ["no faults, 1 doubt"]


# --- the published intervals
# ---------------------------------------------------------------------------------------


def test_every_published_figure_has_its_source_and_no_spread_is_a_single_figure() -> None:
    known = {*REFERENCE.sources, PRACTICE}
    assert len(REFERENCE.spreads) >= 8
    for spread in REFERENCE.spreads:
        assert len(spread.figures) >= 2, spread.id
        assert {figure.source for figure in spread.figures} <= known, spread.id
        for ends in (spread.hours, spread.months):
            assert ends is None or 0 < ends[0] <= ends[1]


def test_the_ends_of_a_spread_are_its_least_and_its_most_figure() -> None:
    figures = [Figure(hours=Fraction(hours), months=None, source=PRACTICE) for hours in (9, 4, 28)]
    spread = Spread(id="s", name="s", work=Work.OIL, keeper=None, words=(), figures=tuple(figures))
    assert spread.hours == (Fraction(4), Fraction(28))
    assert spread.months is None


def published(spread_id: str) -> Spread:
    return next(spread for spread in REFERENCE.spreads if spread.id == spread_id)


def test_the_published_figures_are_those_of_their_sources() -> None:
    # each as read in its publication, see sources.toml; a working day is eight hours, a shop's week
    # forty
    by_source = {
        figure.source: figure
        for spread in REFERENCE.spreads
        for figure in spread.figures
        if figure.source != PRACTICE
    }
    assert by_source["instruction-sheet-52076"].hours == 10
    assert by_source["household-care-text"].hours == 28  # four hours a day for seven days
    assert by_source["domestic-head-manual"].hours == 8
    assert by_source["long-shuttle-manuals-1880"].hours == 4  # twice in a working day
    assert by_source["operator-guide-2022"].hours == 16
    # 16: four needle hours, the needle moving a quarter of the time
    assert published("hook-race-home").hours == (Fraction(4), Fraction(16))
    # "never longer than a year"
    assert the(published("sump-change").months, "spread of months")[1] == 12


def test_what_nobody_must_oil_is_in_the_file() -> None:
    # places that take no oil on any machine: common practice, no source; rubber: hilson-1940s
    never = [each for each in REFERENCE.nevers if Work.OIL in each.forbids and not each.owners_only]
    words = {word for each in never for word in each.words}
    assert {
        "belt",
        "brush cap",
        "commutator",
        "tension disc",
        "tyre",
        "clutch washer",
        "wiring",
        "contact",
        "toothed belt",
    } <= words
    owners = " ".join(each.name for each in REFERENCE.nevers if each.owners_only)
    for deed in ("motor, pedal or plug", "screws and timing", "solvents", "freeing", "air cans"):
        assert deed in owners


def test_a_never_of_owners_does_not_bind_the_bench() -> None:
    never = Never(
        name="solvents", why="they burn", forbids=(), owners_only=True, words=("white spirit",)
    )
    bench = seen(work=Work.CLEAN, do="Wipe it with white spirit")
    assert doubts(a_chart(bench), FRONT, spreads=(), nevers=(never,), least_days=0) == []


def test_paths_that_are_no_lists_have_no_doubts(tmp_path: Path) -> None:
    (tmp_path / "views").mkdir()
    assert (
        list_doubts(PointLibrary([packaged("points")]), [tmp_path / "views"], least_days=90) == []
    )
