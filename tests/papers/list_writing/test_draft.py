"""A list is begun from mechanisms with everything inherited visible; what two lists differ in is
shown."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import Result

from oilchart.core.point_lists.point_list import PointList
from oilchart.papers.list_writing.differences import Difference, differences
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.make import a_chart, a_point
from tests.conftest import Run

MECHANISMS = ("straight-head", "drop-feed", "thread-tension")
SHELF = PointLibrary([packaged("points")])


def drafted(run: Run, *words: object, shop: Shop | None = None) -> Result:
    return run(
        "models",
        "draft",
        *words,
        *(part for each in MECHANISMS for part in ("--mechanism", each)),
        shop=shop and shop.folder,
    )


def uncommented(text: str) -> str:
    """The draft with every inherited line in force, without the examples of parts and documents."""
    inherited = text[text.index("# ---- ") :]
    lines = [re.sub(r"^# (?=\[change|[a-z_]+ = )", "", line) for line in inherited.splitlines()]
    return text[: text.index("# [[wear]]")] + "\n".join(lines)


def test_a_draft_in_a_shop_is_a_model_at_once(fresh_shop: Shop, run: Run) -> None:
    result = drafted(run, "Wren 9 Ébène", shop=fresh_shop)
    file = fresh_shop.folder / "points" / "models" / "wren-9-ebene.toml"
    assert result.stderr == f"wrote {file}\n"
    assert run("models", "check", file, shop=fresh_shop.folder).stdout == "no faults, no doubts\n"
    assert (
        run(
            "checklist", "--model", "wren-9-ebene", "-o", "list.pdf", shop=fresh_shop.folder
        ).exit_code
        == 0
    )
    rows = {
        row["id"]: row for row in json.loads(run("models", "--json", shop=fresh_shop.folder).stdout)
    }
    assert rows["wren-9-ebene"]["mechanisms"] == list(MECHANISMS)


def test_everything_inherited_stands_in_a_draft_and_put_in_force_changes_nothing(
    fresh_shop: Shop, run: Run
) -> None:
    drafted(run, "Wren 9", shop=fresh_shop)
    file = fresh_shop.folder / "points" / "models" / "wren-9.toml"
    library = PointLibrary([packaged("points"), fresh_shop.folder / "points"])
    before = placed(library, "wren-9")
    text = file.read_text(encoding="utf-8")
    for item_id in (*(each.id for each in before.points), *(each.id for each in before.avoids)):
        assert f"# [change.{item_id}]" in text
    file.write_text(uncommented(text), encoding="utf-8")
    assert len(tomllib.loads(file.read_text(encoding="utf-8"))["change"]) == len(
        before.points
    ) + len(before.avoids)
    again = PointLibrary([packaged("points"), fresh_shop.folder / "points"])
    assert placed(again, "wren-9") == before
    assert again.drawings(before).views == library.drawings(before).views


def placed(library: PointLibrary, model: str) -> PointList:
    """A list with the places of its points on its own drawings."""
    point_list = library.point_list(model)
    drawings = library.drawings(point_list)
    points = (replace(point, places=drawings.places(point)) for point in point_list.points)
    return replace(point_list, points=tuple(points))


def test_a_draft_is_never_written_over_a_list_and_needs_mechanisms_that_are_there(
    fresh_shop: Shop, run: Run
) -> None:
    drafted(run, "Wren 9", shop=fresh_shop)
    before = (fresh_shop.folder / "points" / "models" / "wren-9.toml").read_bytes()
    refused = drafted(run, "Wren 9", shop=fresh_shop)
    assert (
        refused.exit_code == 1 and "there is a file already; nothing was changed" in refused.stderr
    )
    assert (fresh_shop.folder / "points" / "models" / "wren-9.toml").read_bytes() == before
    wrong = run("models", "draft", "Wren 9", "--mechanism", "strait-head")
    assert wrong.exit_code == 1 and "did you mean straight-head" in wrong.stderr
    assert run("models", "draft", "Wren 9").exit_code == 2


def test_a_draft_names_drawings_that_show_its_points(run: Run) -> None:
    text = drafted(run, "Wren 9", "-o", "-").stdout
    views = tomllib.loads(text)["views"]
    assert "flatbed-front" in views
    point_list, drawings = SHELF.draft("wren-9", tomllib.loads(text))
    shown = {point.id for point in point_list.points if drawings.places(point)}
    assert {
        point.id
        for point in SHELF.point_list("tarnwick-20").points
        if point.mechanism in MECHANISMS
    } == shown


@pytest.mark.parametrize("name", ['<b>"Wren" & Sons</b>', "Дрозд 9", "x" * 80, 'Wren\\9 """'])
def test_any_name_can_be_drafted(name: str, run: Run, tmp_path: Path) -> None:
    result = drafted(run, name)
    assert result.exit_code == 0, result.stderr
    [file] = tmp_path.glob("*.toml")
    assert tomllib.loads(file.read_text(encoding="utf-8"))["name"] == name


# --- what two lists differ in
# --------------------------------------------------------------------------------------


def test_two_equal_lists_have_no_difference(run: Run) -> None:
    assert (
        run("models", "show", "--diff", "heron-3", "heron-3").stdout
        == "Heron 3 and Heron 3: no difference\n"
    )


def test_differences_are_facts_points_that_one_lacks_and_keys_that_are_not_the_same() -> None:
    first = a_chart(a_point("hook"), a_point("belt"))
    second = a_chart(a_point("hook", amount="2 drops"), a_point("lamp"))
    assert differences(first, second) == [
        Difference(point="hook", key="amount", first="1 drop", second="2 drops"),
        Difference(point="belt", key="", first="Place of belt", second=""),
        Difference(point="lamp", key="", first="", second="Place of lamp"),
    ]


def test_a_difference_the_other_way_round_is_the_same_with_its_sides_changed() -> None:
    there = differences(SHELF.point_list("heron-3"), SHELF.point_list("velmora-7"))
    back = differences(SHELF.point_list("velmora-7"), SHELF.point_list("heron-3"))
    assert len(there) >= 10
    assert sorted((d.point, d.key, d.first, d.second) for d in there) == sorted(
        (d.point, d.key, d.second, d.first) for d in back
    )


def test_the_differences_are_printed_and_as_json(run: Run) -> None:
    text = run("models", "show", "--diff", "heron-3", "velmora-7").stdout
    assert re.search(r"^shuttle-cover-inspect +only there ", text, re.MULTILINE)
    rows = json.loads(run("models", "show", "--diff", "heron-3", "velmora-7", "--json").stdout)
    assert {
        "point": "shuttle-cover-inspect",
        "key": None,
        "heron-3": None,
        "velmora-7": "Hinged plastic shuttle cover",
    } in rows
    assert run("models", "show", "heron-3", "--diff", "heron-3", "velmora-7").exit_code == 2
    assert run("models", "show").exit_code == 2


def test_a_list_is_shown_as_json_with_every_point(run: Run) -> None:
    shown = json.loads(run("models", "show", "tarnwick-20", "--json").stdout)
    point_list = SHELF.point_list("tarnwick-20")
    assert {point["id"] for point in shown["list"]} == {point.id for point in point_list.points}
    assert shown["points"] == len(shown["list"]) == shown["owner_points"] + shown["bench_points"]
