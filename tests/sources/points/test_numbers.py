"""How the file of a model keeps the numbers of its points."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilchart.papers.list_writing.numbers import with_numbers
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from oilchart.sources.points.checks import list_doubts, list_faults
from oilchart.sources.points.library import PointLibrary
from tests.conftest import Run

WREN = """
name = "Wren 1"
maker = "Wren"
about = "A small machine of the shop's own."
mechanisms = ["bobbin-winder"]
views = ["flatbed-front"]
needle_system = "130/705 H"
needle_flat = "to the back"
source = "practice"
"""


def of_wren(folder: Path, text: str) -> tuple[PointLibrary, Path]:
    file = folder / "models" / "wren-1.toml"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return PointLibrary([packaged("points"), folder]), file


def numbers_in(library: PointLibrary) -> dict[str, int]:
    return {point.id: point.number for point in library.point_list("wren-1").points}


def test_a_list_has_the_numbers_its_file_keeps(tmp_path: Path) -> None:
    ids = list(numbers_in(of_wren(tmp_path, WREN)[0]))
    kept = [ids[-1], "", "gone-oil", *ids[:-1]]
    library, file = of_wren(tmp_path, with_numbers(WREN, kept))
    assert numbers_in(library) == {ids[-1]: 1} | {each: at for at, each in enumerate(ids[:-1], 4)}
    assert list_faults(library, [file]) == []
    assert list_doubts(library, [file], least_days=28) == []


def test_a_list_that_keeps_no_numbers_and_a_point_without_one_are_doubted(tmp_path: Path) -> None:
    library, file = of_wren(tmp_path, WREN)
    remedy = "write them into it: oilchart models numbers wren-1"
    [told] = list_doubts(library, [file], least_days=28)
    assert told.endswith(f"numbers: is missing: a point's number changes with the list; {remedy}")
    first, *_ = numbers_in(library)
    library, file = of_wren(tmp_path, with_numbers(WREN, list(numbers_in(library))[1:]))
    [told] = list_doubts(library, [file], least_days=28)
    assert told.endswith(f'numbers: "{first}": has no number of its own yet; {remedy}')


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('numbers = "all"', 'must be a list of points: "all"'),
        ("numbers = [3]", "must be a list of points: [3]"),
        ('numbers = ["a-oil", "a-oil"]', 'stands in it twice: "a-oil"'),
    ],
)
def test_numbers_that_cannot_be_are_faults(tmp_path: Path, line: str, told: str) -> None:
    library, file = of_wren(tmp_path, f"{WREN}{line}\n")
    assert any(f"numbers: {told}" in fault for fault in list_faults(library, [file]))


def test_the_command_writes_them_and_a_point_put_in_later_comes_after(
    fresh_shop: Shop, run: Run
) -> None:
    _, file = of_wren(fresh_shop.folder / "points", WREN)
    before = numbers_in(PointLibrary([packaged("points"), fresh_shop.folder / "points"]))
    assert run("models", "numbers", "wren-1", shop=fresh_shop.folder).exit_code == 0
    more = file.read_text(encoding="utf-8").replace(
        '["bobbin-winder"]', '["hand-crank", "bobbin-winder"]'
    )
    file.write_text(more, encoding="utf-8")
    assert run("models", "numbers", "wren-1", shop=fresh_shop.folder).exit_code == 0
    after = numbers_in(PointLibrary([packaged("points"), fresh_shop.folder / "points"]))
    assert {point: after[point] for point in before} == before
    assert sorted(after.values()) == list(range(1, len(after) + 1))
    said = run("models", "numbers", "wren-1", shop=fresh_shop.folder).output
    assert said == f"Wren 1: each of {len(after)} numbers is kept already.\n"


def test_a_list_that_comes_along_is_not_written_to(fresh_shop: Shop, run: Run) -> None:
    before = (packaged("points") / "models" / "heron-3.toml").read_bytes()
    done = run("models", "numbers", "heron-3", shop=fresh_shop.folder)
    assert done.exit_code == 1
    assert "comes with oilchart and keeps its numbers" in done.output
    assert (packaged("points") / "models" / "heron-3.toml").read_bytes() == before
