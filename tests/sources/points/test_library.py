"""The point lists: every fault of a file at once with its place and remedy, the shop's own lists,
and drawings."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from oilchart.bounds import DRAWING_ITEMS
from oilchart.core.point_lists.point_list import Keeper, Place, Point, Work
from oilchart.core.units import STITCHES_A_MINUTE
from oilchart.errors import FaultyList, UnknownName
from oilchart.sources.files.toml_table import Table
from oilchart.sources.packaged import packaged
from oilchart.sources.points.checks import list_doubts, list_faults
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.points.points import read_point
from oilchart.sources.points.reference import Reference
from tests.conftest import Run

SHIPPED = PointLibrary([packaged("points")]).model_ids()
HOOK_OIL = """
[[point]]
id = "hook-oil"
where = "Hook"
home = "the hook"
work = "oil"
every = "8 hours or 3 months"
keeper = "owner"
with = "machine-oil"
amount = "1 drop"
access = "hook"
minutes = 0.5
source = "practice"
"""
KEEP_OFF = """
[[avoid]]
id = "keep-off"
where = "Belt"
do_not = "No oil"
why = "It slips"
source = "practice"
"""
WREN = """
name = "Wren 1"
maker = "Wren"
about = "A small machine of the shop's own."
mechanisms = ["drop-feed"]
views = ["flatbed-front"]
needle_system = "130/705 H"
needle_flat = "to the back"
source = "practice"
"""
DRAWING = """
name = "A box"
alt = "A box with a dot in it."
width = 100
height = 50
"""
DOT = """
[[item]]
shape = "circle"
role = "part"
x = 10
y = 20
r = 3
"""


BOX_MECHANISM = """
name = "A box"
kind = "head"
about = "A box of the shop's own."
"""
TWICE = 'id: two points have this id: "hook-oil"; give one of them another id'
BOX = """
[[item]]
shape = "box"
role = "part"
x = 1
y = 1
width = 5
height = 5
r = 0
"""


@pytest.fixture
def points(tmp_path: Path) -> Path:
    """A copy of the shipped points folder, to be spoilt."""
    return shutil.copytree(packaged("points"), tmp_path / "points")


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The empty points folder of a shop."""
    folder = tmp_path / "shop" / "points"
    for kind in ("models", "mechanisms", "views"):
        (folder / kind).mkdir(parents=True)
    return folder


def write(file: Path, text: str) -> Path:
    file.write_text(text, encoding="utf-8")
    return file


def spoil(file: Path, old: str, new: str) -> None:
    """Put something else in the place of a text that stands once in a file."""
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1
    write(file, text.replace(old, new))


def are_told(faults: list[str], told: list[str]) -> bool:
    """Whether faults begin as told: names after the nearest one are left out here, since more lists
    bring more names."""
    return len(faults) == len(told) and all(
        fault.startswith(start) for fault, start in zip(faults, told, strict=True)
    )


def faults_of(points: Path, kind: str, text: str) -> list[str]:
    """The faults of one file of that kind, without its path."""
    file = write(points / kind / "wren-1.toml", text)
    return [
        fault.removeprefix(f"{file}: ") for fault in list_faults(PointLibrary([points]), [file])
    ]


# --- lists without a fault
# ------------------------------------------------------------------------------------------


def test_a_point_of_a_mechanism_is_read_once_for_all_models_but_for_those_that_change_it(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read: list[str] = []

    def counting(table: Table, mechanism: str, reference: Reference) -> Point | None:
        read.append(table.place)
        return read_point(table, mechanism, reference)

    monkeypatch.setattr("oilchart.sources.points.assembly.read_point", counting)
    write(own / "mechanisms" / "box.toml", BOX_MECHANISM + HOOK_OIL)
    plain = WREN.replace("drop-feed", "box")
    write(own / "models" / "wren-1.toml", plain + '[change.hook-oil]\namount = "3 drops"\n')
    for model in ("wren-2", "wren-3"):
        write(own / "models" / f"{model}.toml", plain)
    library = PointLibrary([packaged("points"), own])
    [changed], [second], [third] = (
        library.point_list(model).points for model in ("wren-1", "wren-2", "wren-3")
    )
    assert (changed.amount, second.amount) == ("3 drops", "1 drop")
    assert second == third
    assert len(read) == 2


def test_a_fault_of_a_mechanism_is_told_of_every_model_that_has_it(own: Path) -> None:
    faulty = HOOK_OIL.replace('keeper = "owner"', 'keeper = "nobody"')
    file = write(own / "mechanisms" / "box.toml", BOX_MECHANISM + faulty)
    library = PointLibrary([packaged("points"), own])
    for model in ("wren-1", "wren-2"):
        write(own / "models" / f"{model}.toml", WREN.replace("drop-feed", "box"))
    for model in ("wren-1", "wren-2"):
        with pytest.raises(FaultyList) as refused:
            library.point_list(model)
        assert any(
            fault.startswith(f'{file}: point "hook-oil": keeper: ')
            for fault in refused.value.faults
        )


def test_a_model_is_put_together_from_its_mechanisms_and_its_own_points(points: Path) -> None:
    write(points / "models" / "wren-1.toml", WREN + HOOK_OIL + KEEP_OFF)
    library = PointLibrary([points])
    point_list = library.point_list("wren-1")
    assert list_faults(library) == []
    assert library.model_ids() == [*SHIPPED, "wren-1"]
    assert (point_list.id, point_list.name, point_list.maker) == ("wren-1", "Wren 1", "Wren")
    assert point_list.mechanisms == (("drop-feed", "Drop feed"),)
    assert [point.id for point in point_list.points][:1] == ["feed-teeth-lint"]
    assert point_list.points[-1].id == "hook-oil"
    assert (point_list.points[0].mechanism, point_list.points[-1].mechanism) == (
        "drop-feed",
        "wren-1",
    )
    assert [avoid.id for avoid in point_list.avoids] == ["keep-off"]
    assert point_list.stitches_a_minute == STITCHES_A_MINUTE


def test_a_point_has_all_that_its_table_says(points: Path) -> None:
    more = (
        'at = ["flatbed-front", 10, 20.5]\nneeds = ["fine"]\nif_dry = "wears"\nwhy = '
        '"Fast."\ndo = "Wipe, then oil"\n'
    )
    write(points / "models" / "wren-1.toml", WREN + HOOK_OIL + more)
    point = PointLibrary([points]).point_list("wren-1").point("hook-oil")
    assert point is not None
    assert (point.work, point.keeper, point.access, point.amount) == (
        Work.OIL,
        Keeper.OWNER,
        "hook",
        "1 drop",
    )
    assert point.lubricant is not None
    assert point.lubricant.home == "sewing-machine oil"
    assert point.every.words == "8 hours or 3 months"
    assert point.places == (Place(view="flatbed-front", x=10, y=20.5),)
    assert (point.needs, point.if_dry, point.why, point.do) == (
        ("fine",),
        "wears",
        "Fast.",
        "Wipe, then oil",
    )
    assert point.sources == (("every", "practice"), ("amount", "practice"), ("minutes", "practice"))


def test_a_model_drops_and_changes_points_and_do_not_points_of_its_mechanisms(points: Path) -> None:
    write(
        points / "mechanisms" / "hook.toml",
        'name = "Hook"\nkind = "hook"\nabout = "A hook."\n' + HOOK_OIL + KEEP_OFF,
    )
    model = WREN.replace('["drop-feed"]', '["drop-feed", "hook"]').replace(
        "source =", 'drop = ["feed-teeth-lint"]\nsource ='
    )
    write(
        points / "models" / "wren-1.toml",
        model + '[change.hook-oil]\namount = "2 drops"\n[change.keep-off]\nwhy = "It rots"\n',
    )
    library = PointLibrary([points])
    point_list = library.point_list("wren-1")
    assert list_faults(library) == []
    assert point_list.point("feed-teeth-lint") is None
    changed = point_list.point("hook-oil")
    assert changed is not None
    assert (changed.amount, changed.where) == ("2 drops", "Hook")
    assert [avoid.why for avoid in point_list.avoids] == ["It rots"]


def test_texts_over_several_lines_are_read_as_one_line(points: Path) -> None:
    write(
        points / "models" / "wren-1.toml",
        WREN.replace(
            '"A small machine of the shop\'s own."', '"""\nA small machine\n  of the shop."""'
        ),
    )
    assert PointLibrary([points]).point_list("wren-1").about == "A small machine of the shop."


# --- faults of a point
# ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        # missing keys
        ('where = "Hook"', "", 'where: is missing; write where = "..."'),
        ('work = "oil"', "",
         "work: is missing; write one of: clean, inspect, replace, oil, grease, adjust"),
        ('keeper = "owner"', "", "keeper: is missing; write one of: owner, bench"),
        ('every = "8 hours or 3 months"', "", 'every: is missing; write every = "..."'),
        ('access = "hook"', 'access = "hok"',
         'access: there is no such stage of order.toml: "hok"; did you mean hook?'),
        ("minutes = 0.5", "", "minutes: is missing; write minutes = a number"),
        ('home = "the hook"', "",
         'home: is missing; an owner\'s point says the place in plain words: home = "..."'),
        ('with = "machine-oil"', "",
         'with: is missing; oil says with what and how much: with = "machine-oil"'),
        ('amount = "1 drop"', "",
         'amount: is missing; oil says with what and how much: amount = "1 drop"'),
        ('work = "oil"', 'work = "clean"',
         'do: is missing; clean says what exactly is done: do = "..."'),
        # figures without a source
        ('source = "practice"', "",
         "source: is missing; every figure has a source: "
         'write a key of sources.toml, or "practice"'),
        ('source = "practice"', "source = 5",
         'source: every figure has a source: 5; write a key of sources.toml, or "practice"'),
        (
            'source = "practice"',
            'source = { every = "practice", minutes = "practice" }',
            "source: says nothing of amount: {'every': 'practice', 'minutes': 'practice'}; "
            'add amount = "practice" or a key of sources.toml',
        ),
        (
            'source = "practice"',
            'source = { every = "practice", amount = "hearsay", minutes = "practice" }',
            'source.amount: there is no such source: "hearsay"; there are: ',
        ),
        (
            'source = "practice"',
            'source = { every = "practice", amount = "practice", minutes = "practice", price = '
            '"practice" }',
            'source: there is no such figure of this point: "price"; there are: amount, every, '
            'minutes',
        ),
        # wrong types, booleans for numbers, huge numbers
        ('where = "Hook"', "where = 3", 'where: must be words: 3; write where = "..."'),
        ("minutes = 0.5", "minutes = true",
         "minutes: must be a number: true; write a number above 0"),
        ("minutes = 0.5", 'minutes = "half"',
         'minutes: must be a number: "half"; write a number above 0'),
        ("minutes = 0.5", "minutes = -1", "minutes: must be a number: -1; write a number above 0"),
        ("minutes = 0.5", "minutes = 1e12",
         "minutes: must be a number: 1000000000000.0; write a number above 0"),
        ("minutes = 0.5", "minutes = nan",
         "minutes: must be a number: nan; write a number above 0"),
        ("minutes = 0.5", 'minutes = 1\nneeds = "fine"',
         'needs: must be a list of words: "fine"; write needs = ["...", "..."]'),
        ("minutes = 0.5", "minutes = 1\ndeep = 1",
         "deep: must be true or false: 1; write deep = true"),
        # unknown names, with the nearest
        (
            'work = "oil"',
            'work = "oill"',
            'work: is not known: "oill"; write one of: clean, inspect, replace, oil, grease, '
            'adjust; did you mean oil',
        ),
        ('keeper = "owner"', 'keeper = "own"',
         'keeper: is not known: "own"; write one of: owner, bench; did you mean owner'),
        ('access = "hook"', 'access = "hok"',
         'access: there is no such stage of order.toml: "hok"; did you mean hook'),
        ('with = "machine-oil"', 'with = "machineoil"',
         'with: there is no such lubricant: "machineoil"; did you mean machine-oil'),
        ('source = "practice"', 'source = "practise"',
         'source: there is no such source: "practise"; did you mean practice'),
        ("minutes = 0.5", 'minutes = 1\nneeds = ["tipp"]',
         'needs: there is no such need: "tipp"; did you mean tip'),
        (
            "minutes = 0.5",
            'minutes = 1\nruns = "zigzagging"',
            'runs: is not known: "zigzagging"; write one of: always, zigzag, winding; did you mean '
            'zigzag',
        ),
        ("minutes = 0.5", 'minutes = 1\nif_dry = "sticks"',
         'if_dry: is not known: "sticks"; write one of: seizes, wears, noisy'),
        (
            "minutes = 0.5",
            'minutes = 1\nat = ["flatbed-frnt", 1, 2]',
            'at: there is no such drawing: "flatbed-frnt"; did you mean flatbed-front',
        ),
        ('home = "the hook"', 'hoem = "the hoop"\nhome = "the hook"',
         "hoem: is not a known key; did you mean home"),
        # intervals
        (
            'every = "8 hours or 3 months"',
            'every = "8 hours"',
            'every: has a limit of use but none at rest; add "or N months": "8 hours"; '
            'write it like "8-10 hours or 3 months", "12 months", "1 week, then 4 weeks" or "each '
            'bobbin"',
        ),
        (
            'every = "8 hours or 3 months"',
            'every = "8 hrs"',
            'every: cannot be read: "8 hrs"; write it like "8-10 hours or 3 months", "12 months", '
            '"1 week, then 4 weeks" or "each bobbin"',
        ),
        # places
        *(
            (
                "minutes = 0.5",
                f"minutes = 1\nat = [{at}]",
                f'at: is not a place on a drawing: [{shown}]; write at = ["flatbed-front", 214, '
                f'548]',
            )
            for at, shown in (
                ("3, 4", "3, 4"),
                ('"flatbed-front", 1', "'flatbed-front', 1"),
                ('"flatbed-front", true, 2', "'flatbed-front', True, 2"),
                ('"flatbed-front", nan, 2', "'flatbed-front', nan, 2"),
                ('"flatbed-front", inf, 2', "'flatbed-front', inf, 2"),
                ('"flatbed-front", -1, 2', "'flatbed-front', -1, 2"),
                ('"flatbed-front", 99999, 2', "'flatbed-front', 99999, 2"),
            )
        ),
        # keys that do not go together
        ("minutes = 0.5", "minutes = 1\ndeep = true",
         'deep: an owner never dismantles: true; write keeper = "bench"'),
        ('with = "machine-oil"', 'with = "gear-grease"',
         'with: is grease, and the work is oil: "gear-grease"; change one of the two'),
    ],
)  # fmt: skip
def test_a_fault_of_a_point_names_file_point_key_value_and_remedy(
    points: Path, old: str, new: str, fault: str
) -> None:
    assert HOOK_OIL.count(old) == 1
    assert are_told(
        faults_of(points, "models", WREN + HOOK_OIL.replace(old, new)),
        [f'point "hook-oil": {fault}'],
    )


@pytest.mark.parametrize(
    ("head", "place", "fault"),
    [
        (
            'id = "Hook Oil"',
            'point "Hook Oil"',
            'id: is not an id: "Hook Oil"; write small letters, digits and hyphens, like '
            '"hook-race-oil"',
        ),
        ("", "point 1", 'id: is missing; write id = "..."'),
        ("id = 7", "point 7", 'id: must be words: 7; write id = "..."'),
        (
            'id = "a\\nb"',
            'point "a b"',
            'id: is not an id: "a b"; '
            'write small letters, digits and hyphens, like "hook-race-oil"',
        ),
        (
            "id = 0x" + "f" * 5000,
            "point a huge number",
            'id: must be words: a huge number; write id = "..."',
        ),
    ],
    ids=["blanks", "missing", "number", "two lines", "huge"],
)
def test_a_point_without_a_good_id_is_named_by_what_stands_there_or_by_its_number(
    points: Path, head: str, place: str, fault: str
) -> None:
    assert faults_of(points, "models", WREN + HOOK_OIL.replace('id = "hook-oil"', head)) == [
        f"{place}: {fault}"
    ]


POINT_KEYS = (
    "id", "where", "home", "work", "do", "every", "keeper", "with", "amount", "access", "at",
    "runs", "needs", "deep", "if_dry", "minutes",
    "material", "why", "caution", "source", "unknown",
)  # fmt: skip
MODEL_KEYS = (
    "name",
    "mechanisms",
    "views",
    "drop",
    "change",
    "stitches_a_minute",
    "bobbin_metres",
    "source",
    "avoid",
    "wear",
)


@pytest.mark.parametrize(
    "value",
    [
        "1", "-1.5", "true", "nan", '""', '"x"', '"a\\nb"', "[]", "[1]", '["x"]', "[[1]]", "[{}]",
        '[{ id = "x" }]', "{}", "{ a = 1 }",
        "{ every = [1] }", "2026-01-01", "0x" + "f" * 5000, '["flatbed-front", 1]',
    ],
    ids=lambda value: value[:20],
)  # fmt: skip
def test_whatever_stands_under_a_key_is_told_in_single_lines(points: Path, value: str) -> None:
    model, point, avoid = (
        "\n".join(f"{key} = {value}" for key in keys)
        for keys in (MODEL_KEYS, POINT_KEYS, ("id", "where", "do_not", "why", "source"))
    )
    for text in (
        model,
        f"{WREN}\n[[point]]\n{point}\n[[avoid]]\n{avoid}\n",
        f"{WREN}\n[change.feed-bar-oil]\n{point}\n",
    ):
        told = faults_of(points, "models", text)
        assert len(told) >= 3
        assert all(len(fault.splitlines()) == 1 and fault.isprintable() for fault in told)


def test_a_fault_of_a_do_not_point_says_that_it_is_one(points: Path) -> None:
    text = WREN + KEEP_OFF.replace('why = "It slips"', "").replace('"practice"', '"practise"')
    told = [
        'do-not point "keep-off": why: is missing; write why = "..."',
        'do-not point "keep-off": source: there is no such source: "practise"; did you mean '
        "practice",
    ]
    assert are_told(faults_of(points, "models", text), told)


# --- faults of a file
# -----------------------------------------------------------------------------------------------


def test_all_faults_of_a_file_are_told_at_once_in_the_order_of_its_points(points: Path) -> None:
    text = (
        WREN.replace('maker = "Wren"', 'marker = "Wren"')
        .replace('"drop-feed"', '"drop-feeds"')
        .replace('["flatbed-front"]', '["front"]')
        + HOOK_OIL.replace('work = "oil"', 'work = "oiling"').replace("0.5", "true")
        + HOOK_OIL.replace("hook-oil", "top-oil")
        .replace('every = "8 hours or 3 months"', 'every = "8 hours"')
        .replace("machine-oil", "oil")
        + KEEP_OFF.replace('do_not = "No oil"', "")
        + '[[wear]]\nid = "belt"\nname = "Belt"\npart = "a belt"\nstock_minimum = 0.5\nsource = '
        '"practice"\n' + '[change.needle-oil]\namount = "2 drops"\n'
    )
    told = faults_of(points, "models", text)
    assert [
        fault.rsplit(": ", 1)[0] if ": is missing" in fault else fault.partition(";")[0]
        for fault in told
    ] == [
        'mechanisms: there is no such mechanism: "drop-feeds"',
        'point "hook-oil": work: is not known: "oiling"',
        'point "hook-oil": minutes: must be a number: true',
        'point "top-oil": every: has a limit of use but none at rest',
        'point "top-oil": with: there is no such lubricant: "oil"',
        'do-not point "keep-off": do_not',
        'change: there is no such point of its mechanisms: "needle-oil"',
        'views: there is no such drawing: "front"',
        "maker",
        'wear part "belt": stock_minimum: must be a whole number: 0.5',
        "marker: is not a known key",
    ]
    with pytest.raises(FaultyList) as caught:
        PointLibrary([points]).point_list("wren-1")
    assert len(caught.value.faults) == len(told)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        # an empty file lacks everything
        (
            "",
            [
                'mechanisms: is missing; a list has points: write mechanisms = ["drop-feed", '
                '"..."], or [[point]] for each of its own',
                'source: is missing; write source = "..."',
                'name: is missing; write name = "..."',
                'maker: is missing; write maker = "..."',
                'about: is missing; write about = "..."',
                'needle_system: is missing; write needle_system = "..."',
                'needle_flat: is missing; write needle_flat = "..."',
            ],
        ),
        # an id that stands twice
        (WREN + HOOK_OIL + HOOK_OIL, [TWICE]),
        (WREN + (HOOK_OIL + KEEP_OFF).replace("keep-off", "hook-oil"), [TWICE]),
        # points that are not there
        (
            WREN.replace("source =", 'drop = ["feed-tooth-lint"]\nsource ='),
            ['drop: there is no such point of its mechanisms: "feed-tooth-lint"; did you mean '
             'feed-teeth-lint'],
        ),
        (
            WREN + '[change.feed-bar-oill]\namount = "2 drops"',
            ['change: there is no such point of its mechanisms: "feed-bar-oill"; did you mean '
             'feed-bar-oil'],
        ),
        # what is wrong with a change is told where the change stands
        (
            WREN + '[change.feed-bar-oil]\namuont = "2 drops"\nminutes = "one"',
            [
                'change "feed-bar-oil": minutes: must be a number: "one"; write a number above 0',
                'change "feed-bar-oil": amuont: is not a known key; did you mean amount',
            ],
        ),
        # tables that are none
        (WREN + "point = 1",
         ["point: must be a list of tables: 1; write [[point]] above each of them"]),
        (WREN + "point = [1]",
         ["point 1: is not a table: 1; write it as a table of key = value lines"]),
        (WREN + "change = 1",
         ["change: must be tables: 1; write [change.NAME] above each of them"]),
        # names and numbers of the model itself
        (WREN.replace("flatbed-front", "flatbd"),
         ['views: there is no such drawing: "flatbd"; did you mean flatbed-front']),
        (WREN.replace("practice", "practise"),
         ['source: there is no such source: "practise"; did you mean practice']),
        (WREN + "stitches_a_minute = true",
         ["stitches_a_minute: must be a whole number: true; "
          "write a whole number from 1 to 999999999"]),
        (WREN + "bobbin_metres = 0",
         ["bobbin_metres: must be a number: 0; write a number above 0"]),
        # broken files
        ('name = "Wren"\nmaker "W"', ["is not valid TOML: Expected '=' after a key"]),
    ],
)  # fmt: skip
def test_a_fault_of_a_model_names_file_key_value_and_remedy(
    points: Path, text: str, told: list[str]
) -> None:
    assert are_told(faults_of(points, "models", text), told)


def test_a_file_that_is_not_utf_8_is_one_fault(points: Path) -> None:
    file = points / "models" / "wren-1.toml"
    file.write_bytes(WREN.replace("small", "schöne").encode("latin-1"))
    assert list_faults(PointLibrary([points]), [file]) == [
        f"{file}: is not UTF-8 text at byte 46: save it as UTF-8"
    ]


def test_a_broken_mechanism_does_not_hide_the_faults_of_the_model(points: Path) -> None:
    broken = write(points / "mechanisms" / "hook.toml", "name =")
    write(
        points / "models" / "wren-1.toml", WREN.replace('["drop-feed"]', '["drop-feeds", "hook"]')
    )
    with pytest.raises(FaultyList) as caught:
        PointLibrary([points]).point_list("wren-1")
    told = caught.value.faults
    assert len(told) == 2
    assert "drop-feeds" in told[0]
    assert told[1].startswith(f"{broken}: is not valid TOML: ")


def test_faults_of_a_mechanism_are_told_once_at_its_own_file_whatever_models_use_it(
    points: Path,
) -> None:
    file = points / "mechanisms" / "drop-feed.toml"
    spoil(file, 'at = ["flatbed-front", 211.5, 496.5]', 'at = ["flatbed", 211.5, 496.5]')
    told = [
        f'{file}: point "feed-teeth-lint": at: there is no such drawing: "flatbed"; did you mean '
        f"flatbed-front"
    ]
    assert are_told(list_faults(PointLibrary([points])), told)


@pytest.mark.parametrize(
    ("file", "old", "new", "fault"),
    [
        (
            "lubricants.toml",
            'kind = "oil"\niso_vg = 22',
            'kind = "fluid"\niso_vg = 22',
            'lubricant "machine-oil": kind: is not known: "fluid"; write oil or grease',
        ),
        (
            "lubricants.toml",
            'dry-running plastic"\nsource = "astm-d217"',
            'dry-running plastic"\nsource = "astm-d271"',
            'lubricant "gear-grease": source: there is no such source: "astm-d271"; did you mean '
            "astm-d217",
        ),
        (
            "lubricants.toml",
            'dry-running plastic"\nsource = "astm-d217"',
            'dry-running plastic"',
            'lubricant "gear-grease": source: is missing; write source = "..."',
        ),
        (
            "lubricants.toml",
            "iso_vg = 22",
            "iso_vg = 12",
            'lubricant "machine-oil": iso_vg: is no grade of ISO 3448: 12; write one of: 2, 3, 5, '
            "7, 10, 15, 22",
        ),
        (
            "lubricants.toml",
            "nlgi = 1",
            "nlgi = 7",
            'lubricant "gear-grease": nlgi: is no class of NLGI: 7; write one of: "000"',
        ),
        (
            "lubricants.toml",
            "nlgi = 1",
            "iso_vg = 22",
            'lubricant "gear-grease": iso_vg: is for oils: 22; write nlgi, or leave it out',
        ),
        (
            "lubricants.toml",
            "iso_vg = 22",
            "nlgi = 2",
            'lubricant "machine-oil": nlgi: is for greases: 2; write iso_vg, or leave it out',
        ),
        (
            "order.toml",
            'having = ["electronics"]',
            'having = ["electronic"]',
            'stage "top": having: there is no such thing a machine may have: "electronic"; did you '
            "mean electronics?",
        ),
        (
            "spreads.toml",
            'hours = 10\nsource = "instruction-sheet-52076"',
            'source = "instruction-sheet-52076"',
            'spread "head-home": figure 2: hours: is missing; a figure has hours or months',
        ),
        (
            "never.toml",
            'words = ["sealed bearing"]',
            "words = 3",
            'never "no oil on sealed bearings": words: must be a list of words: 3',
        ),
        (
            "sources.toml",
            "year = 2005",
            "year = 2005.5",
            'source "faa-rigger-2005": year: must be a whole number: 2005.5; write a whole number '
            "from 1 to 999999999",
        ),
        (
            "order.toml",
            'name = "Needle end"',
            "",
            'stage "needle-end": name: is missing; write name = "..."',
        ),
    ],
)
def test_faults_of_the_reference_files_are_told_with_all_others(
    points: Path, file: str, old: str, new: str, fault: str
) -> None:
    spoil(points / file, old, new)
    assert are_told(
        list_faults(PointLibrary([points]), [points / file]), [f"{points / file}: {fault}"]
    )


@pytest.mark.parametrize("file", ["sources.toml", "lubricants.toml", "order.toml"])
def test_a_broken_reference_file_is_a_fault_and_no_crash(points: Path, file: str) -> None:
    write(points / file, "[[")
    told = list_faults(PointLibrary([points]))
    assert told[0].startswith(f"{points / file}: is not valid TOML: ")
    assert list_faults(PointLibrary([points]), [points / file])[0] == told[0]
    with pytest.raises(FaultyList, match="is not valid TOML"):
        PointLibrary([points]).point_list("heron-3")


# --- which lists there are
# ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("herron3", 'model "herron3": there is no such model; did you mean heron-3'),
        ("qqqqqq", 'model "qqqqqq": there is no such model; there are: '),
        (
            "../models/heron-3",
            'model "../models/heron-3": there is no such model; did you mean heron-3',
        ),
        ("a\nb", 'model "a b": there is no such model; there are: '),
        ("x" * 500, f'model "{"x" * 56}...: there is no such model; there are: '),
        ("", 'model "": there is no such model; there are: '),
    ],
)
def test_a_model_that_is_not_there_offers_the_nearest(name: str, said: str) -> None:
    with pytest.raises(UnknownName) as caught:
        PointLibrary([packaged("points")]).point_list(name)
    assert are_told([str(caught.value)], [said])
    assert len(str(caught.value).splitlines()) == 1


def test_a_faulty_list_of_the_shops_own_does_not_break_the_other_models(
    points: Path, own: Path
) -> None:
    write(own / "models" / "wren-1.toml", "maker =")
    library = PointLibrary([points, own])
    assert library.point_list("heron-3") == PointLibrary([points]).point_list("heron-3")
    with pytest.raises(FaultyList):
        library.point_list("wren-1")


def test_a_list_of_the_same_name_in_a_later_folder_is_taken(points: Path, own: Path) -> None:
    write(own / "models" / "heron-3.toml", WREN.replace("Wren 1", "Heron of ours"))
    write(
        own / "mechanisms" / "drop-feed.toml",
        'name = "Feed of ours"\nkind = "feed"\nabout = "Ours."\n' + HOOK_OIL,
    )
    write(
        own / "lubricants.toml",
        (points / "lubricants.toml")
        .read_text(encoding="utf-8")
        .replace("clear sewing", "our sewing"),
    )
    library = PointLibrary([points, own])
    point_list = library.point_list("heron-3")
    assert point_list.name == "Heron of ours"
    assert point_list.mechanisms == (("drop-feed", "Feed of ours"),)
    assert [point.lubricant.name for point in point_list.points if point.lubricant] == [
        "our sewing-machine oil, ISO VG 22"
    ]
    assert list_faults(library) == []
    assert PointLibrary([own, points]).point_list("heron-3").name == "Heron 3"


def test_a_folder_that_is_not_there_holds_no_lists(points: Path, tmp_path: Path) -> None:
    assert PointLibrary([points, tmp_path / "nowhere"]).model_ids() == SHIPPED


def test_what_editors_leave_beside_a_list_is_no_model(points: Path) -> None:
    (points / "models" / ".#heron-3.toml").symlink_to("user@bench.4711")
    (points / "models" / "old.toml").mkdir()
    library = PointLibrary([points])
    assert library.model_ids() == SHIPPED
    assert list_faults(library) == []


@pytest.mark.parametrize("named", [".", "..", "models", "models/wren-1.toml", "mechanisms"])
def test_a_points_folder_that_is_not_at_hand_is_checked_with_all_that_is_in_it(
    own: Path, named: str
) -> None:
    write(
        own / "mechanisms" / "hook.toml",
        'name = "Hook"\nkind = "hook"\nabout = "A hook."\n'
        + HOOK_OIL.replace("machine-oil", "spermaceti"),
    )
    write(own / "models" / "wren-1.toml", WREN.replace('"drop-feed"', '"hook"'))
    oil = (
        'name = "Our oil"\nhome = "oil"\nkind = "oil"\nbelongs = "Bearings"\nnever = '
        '"Belts"\nsource = "practice"'
    )
    write(own / "lubricants.toml", f"[spermaceti]\n{oil}\n")
    shipped = PointLibrary([packaged("points")])
    assert list_faults(shipped, [own / named]) == []
    write(own / "lubricants.toml", f"[spermacetti]\n{oil}\n")
    (told,) = list_faults(shipped, [own / named])
    assert told.endswith(
        'hook.toml: point "hook-oil": with: there is no such lubricant: "spermaceti"; did you mean '
        "spermacetti?"
    )


def test_a_file_that_is_in_no_folder_of_lists_is_not_passed_over(
    points: Path, tmp_path: Path
) -> None:
    for file in (tmp_path / "wren-1.toml", points / "wren-1.toml"):
        write(file, WREN)
        assert list_faults(PointLibrary([points]), [file]) == [
            f"{file}: is no list of a points folder: move it into mechanisms, models or views"
        ]


def test_a_path_that_is_not_there_is_refused(points: Path) -> None:
    with pytest.raises(UnknownName, match=r"nowhere.toml: there is no such file or folder$"):
        list_faults(PointLibrary([points]), [points / "nowhere.toml"])


# --- drawings
# --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("d", "wrong"),
    [
        # letters beyond M, L, C and Z, and small ones
        ("M 0 0 H 10", "is not a path"),
        ("M 0 0 l 10 10", "is not a path"),
        ("M 0 0 A 1 1 0 0 1 5 5", "is not a path"),
        # missing and surplus numbers, a letter for every step
        ("M 0", "is not a path"),
        ("M 0 0 L 1 1 2 2", "is not a path"),
        ("M 0 0 C 1 2 3 4 5", "is not a path"),
        ("M 0 0 Z 1", "is not a path"),
        ("L 1 1", "is not a path"),
        ("0 0", "is not a path"),
        # what is no number
        ("M 0 nan", "is not a path"),
        ("M 0 inf", "is not a path"),
        ("M 0 1e5", "is not a path"),
        ("M 0 0 # L 1 1", "is not a path"),
        ("M 0 " + "9" * 400, "has a number far outside of any drawing"),
        ("M 0 10001", "has a number far outside of any drawing"),
    ],
)
def test_a_path_that_cannot_be_drawn_is_refused(points: Path, d: str, wrong: str) -> None:
    told = faults_of(
        points, "views", DRAWING + f'[[item]]\nshape = "path"\nrole = "part"\nd = "{d}"\n'
    )
    assert len(told) == 1
    assert told[0].startswith(f'item 1: d: {wrong}: "{d[:50]}')
    assert told[0].rpartition("; ")[2].startswith("write ") or "a letter for every step" in told[0]


@pytest.mark.parametrize(
    ("size", "fault"),
    [
        ("height = 900000000", "height: must be a number: 900000000; write a number above 0, "),
        ("height = 10001", "height: must be a number: 10001; write a number above 0, below 10001"),
        ("height = 2001", 'height: a side is more than 20 times the other: "100 by 2001"; show'),
        ("height = 4", 'height: a side is more than 20 times the other: "100 by 4"; show'),
    ],
)
def test_a_drawing_too_large_or_too_long_is_refused(points: Path, size: str, fault: str) -> None:
    [told] = faults_of(points, "views", DRAWING.replace("height = 50", size) + DOT)
    assert told.startswith(fault)


@pytest.mark.parametrize("key", ["maker", "every", "source", "name"])
def test_keys_too_deep_in_each_other_are_one_fault_of_their_file(own: Path, key: str) -> None:
    file = write(own / "models" / "wren-1.toml", f"{key}.{'.'.join('a' * 1_500)} = 1\n")
    [fault] = list_faults(PointLibrary([packaged("points"), own]), [file])
    assert fault == f"{file}: has keys or brackets deeper than 30 in each other: take them out"


def test_a_document_outside_of_the_points_folder_is_a_fault(own: Path, tmp_path: Path) -> None:
    write(tmp_path / "note.pdf", "%PDF")
    for path in ("../../note.pdf", str(tmp_path / "note.pdf"), "/etc/passwd"):
        document = f'[[document]]\ntitle = "Booklet"\npath = "{path}"\n'
        file = write(own / "models" / "wren-1.toml", WREN + document)
        [fault] = list_faults(PointLibrary([packaged("points"), own]), [file])
        assert fault.startswith(f'{file}: document "Booklet": path: lies outside of the points ')


@pytest.mark.parametrize(
    ("item", "fault"),
    [
        ("[[item]]\n" + 'shape = "path"\nrole = "part"', 'item 1: d: is missing; write d = "..."'),
        (DOT.replace("r = 3", ""), "item 1: r: is missing; write r = a number"),
        (DOT.replace("r = 3", "r = 0"), "item 1: r: must be a number: 0; write a number above 0"),
        (DOT.replace("x = 10", "x = nan"),
         "item 1: x: must be a number: nan; write a number above -10000"),
        (DOT.replace("x = 10", "x = inf"),
         "item 1: x: must be a number: inf; write a number above -10000"),
        (DOT.replace("circle", "star"),
         'item 1: shape: is not known: "star"; write path, circle or box'),
        (DOT.replace('"part"', '"parts"'),
         'item 1: role: there is no such role: "parts"; did you mean part'),
        (BOX.replace("height = 5", "height = -5"),
         "item 1: height: must be a number: -5; write a number above 0"),
        (BOX.replace("r = 0", "r = -1"),
         "item 1: r: must be a number: -1; write a number of 0 or more"),
    ],
)  # fmt: skip
def test_a_shape_that_cannot_be_drawn_is_refused(points: Path, item: str, fault: str) -> None:
    assert are_told(faults_of(points, "views", DRAWING + item), [fault])


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('name = "A box"', "", 'name: is missing; write name = "..."'),
        ("width = 100", "", "width: is missing; write width = a number"),
        ("width = 100", "width = 0", "width: must be a number: 0; write a number above 0"),
        ("height = 50", "height = inf", "height: must be a number: inf; write a number above 0"),
        ("height = 50", "hight = 5\nheight = 50", "hight: is not a known key; did you mean height"),
    ],
)
def test_a_drawing_has_a_name_and_a_size(points: Path, old: str, new: str, fault: str) -> None:
    assert are_told(faults_of(points, "views", DRAWING.replace(old, new) + DOT), [fault])


def test_a_drawing_of_more_than_500_items_is_refused(points: Path) -> None:
    assert faults_of(points, "views", DRAWING + DOT * DRAWING_ITEMS) == []
    assert faults_of(points, "views", DRAWING + DOT * (DRAWING_ITEMS + 1)) == [
        "item: has too many items: 501; keep to 500"
    ]


def test_a_drawing_like_another_has_its_size_its_shapes_and_the_places_of_its_points(
    points: Path,
) -> None:
    write(points / "views" / "base.toml", DRAWING + DOT)
    write(
        points / "views" / "middle.toml",
        'name = "M"\nalt = "M."\nlike = "base"\n' + DOT.replace("x = 10", "x = 20"),
    )
    write(
        points / "views" / "top.toml",
        'name = "T"\nalt = "T."\nlike = "middle"\n' + DOT.replace("x = 10", "x = 30"),
    )
    own_points = "".join(
        HOOK_OIL.replace("hook-oil", f"on-{view}") + f'at = ["{view}", {x}, 5]\n'
        for x, view in enumerate(("base", "middle", "top", "flatbed-front"), start=1)
    )
    write(
        points / "models" / "wren-1.toml", WREN.replace('["flatbed-front"]', '["top"]') + own_points
    )
    library = PointLibrary([points])
    point_list = library.point_list("wren-1")
    drawings = library.drawings(point_list)
    (view,) = drawings.views
    assert (view.id, view.places_of, view.width, view.height) == (
        "top",
        ("middle", "base"),
        100,
        50,
    )
    assert [shape.numbers[0] for shape in view.shapes] == [10, 20, 30]
    assert [drawings.place(point) for point in point_list.points if point.id.startswith("on-")] == [
        Place(view="top", x=1, y=5),
        Place(view="top", x=2, y=5),
        Place(view="top", x=3, y=5),
        None,  # this model has no such drawing: the point is listed without a number on it
    ]


@pytest.mark.parametrize(
    ("like", "fault"),
    [
        ("wren-1", 'like: the drawing would be like itself: "wren-1"; there are: '),
        ("flatbed", 'like: there is no such drawing: "flatbed"; did you mean flatbed-front'),
    ],
)
def test_a_drawing_is_like_another_one_that_is_there(points: Path, like: str, fault: str) -> None:
    assert are_told(
        faults_of(points, "views", f'name = "W"\nalt = "W."\nlike = "{like}"\n{DOT}'), [fault]
    )


def test_drawings_like_each_other_in_a_circle_are_refused(points: Path) -> None:
    for name, like in (("a", "b"), ("b", "c"), ("c", "a")):
        write(
            points / "views" / f"{name}.toml",
            f'name = "{name}"\nalt = "{name}"\nlike = "{like}"\n{DOT}',
        )
    assert [
        fault.removeprefix(f"{points}/views/").partition(";")[0]
        for fault in list_faults(PointLibrary([points]))
    ] == [
        'c.toml: like: the drawing would be like itself: "a"',
        'a.toml: like: the drawing would be like itself: "b"',
        'b.toml: like: the drawing would be like itself: "c"',
    ]


@pytest.mark.parametrize(
    ("at", "inside"),
    [("0, 0", True), ("1000, 640", True), ("1000.5, 10", False), ("10, 641", False)],
)
def test_a_point_outside_its_drawing_is_a_fault(points: Path, at: str, inside: bool) -> None:
    told = faults_of(
        points, "models", WREN + f'\n[change.feed-teeth-lint]\nat = ["flatbed-front", {at}]\n'
    )
    assert (told == []) is inside
    if not inside:
        [fault] = told
        assert 'point "feed-teeth-lint": at: lies outside the drawing' in fault
        assert fault.endswith("is 1000 wide and 640 high")


# --- what a list may say of machines, owners and drawings
# ----------------------------------------------------------


def own_model(points: Path, text: str) -> PointLibrary:
    write(points / "models" / "wren-1.toml", text)
    return PointLibrary([packaged("points"), points])


def test_a_point_on_several_drawings_keeps_those_the_model_has_in_the_order_of_the_list(
    points: Path,
) -> None:
    places = 'at = [["arm-top", 1, 2], ["handwheel-end", 3, 4], ["flatbed-front", 5, 6]]'
    library = own_model(
        points,
        WREN.replace('["flatbed-front"]', '["flatbed-front", "handwheel-end"]')
        + HOOK_OIL
        + places
        + "\n",
    )
    point_list = library.point_list("wren-1")
    point = point_list.point("hook-oil")
    assert point is not None
    lies = library.drawings(point_list).places(point)
    assert [(place.view, place.x) for place in lies] == [
        ("handwheel-end", 3),
        ("flatbed-front", 5),
    ]
    assert library.drawings(point_list).place(point) == lies[0]


def test_a_mechanism_brings_its_own_drawings_and_one_without_points_is_left_out(
    points: Path,
) -> None:
    library = own_model(
        points,
        WREN.replace('["drop-feed"]', '["drop-feed", "hand-crank"]').replace(
            '["flatbed-front"]', '["flatbed-front", "motor"]'
        ),
    )
    drawings = library.drawings(library.point_list("wren-1"))
    assert [view.id for view in drawings.views] == [
        "flatbed-front-treadle",
        "hand-crank",
    ]  # the crank has a front of its own


def test_a_drawing_made_anew_may_have_the_places_of_another(points: Path) -> None:
    write(
        points / "views" / "anew.toml",
        DRAWING.replace("100", "1000").replace("50", "640") + 'places_of = "flatbed-front"\n' + DOT,
    )
    library = own_model(points, WREN.replace('"flatbed-front"', '"anew"'))
    point_list = library.point_list("wren-1")
    drawings = library.drawings(point_list)
    place = drawings.place(point_list.points[0])
    assert place is not None and place.view == "anew"
    assert len(drawings.view("anew").shapes) == 1


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (WREN + 'has = ["wings"]', 'has: there is no such thing the order of work knows: "wings"'),
        (
            WREN + HOOK_OIL + 'every_home = "9 hours or 3 months"',
            "every_home: is only for an owner's point that needs something",
        ),
        (
            WREN + HOOK_OIL + 'needs = ["luck"]',
            'needs: there is no such need: "luck"; there are: fine, force, tip',
        ),
        (
            WREN + HOOK_OIL + 'at = [["flatbed-front", 1, 2], ["flatbed-front", 1]]',
            "at: is not a place on a drawing",
        ),
        (
            WREN + HOOK_OIL + KEEP_OFF + 'forbids = ["oil"]',
            'do-not point "keep-off": places: is missing; the two go together',
        ),
        (
            WREN + HOOK_OIL + KEEP_OFF + 'forbids = ["oils"]\nplaces = ["belt"]',
            'forbids: there is no such kind of work: "oils"; did you mean oil?',
        ),
        (WREN.replace('maker = "Wren"', ""), 'maker: is missing; write maker = "..."'),
        (
            WREN + '[[document]]\ntitle = "Booklet"',
            "path: is missing; a document has a path or an address",
        ),
        (
            WREN + '[[document]]\ntitle = "Booklet"\npath = "a.pdf"\naddress = "https://b.example"',
            "path: is missing",
        ),
        (
            WREN + '[[document]]\ntitle = "Booklet"\npath = "no.pdf"',
            'path: there is no such file: "no.pdf"; put it at ',
        ),
        (
            WREN + '[[document]]\ntitle = "Booklet"\naddress = "javascript:x"',
            'address: is no address of a page: "javascript:x"',
        ),
    ],
)
def test_what_a_list_cannot_say_is_a_fault_with_its_remedy(
    points: Path, text: str, fault: str
) -> None:
    told = faults_of(points, "models", text + "\n")
    assert any(fault in line for line in told), told


def test_a_family_needs_no_maker_and_a_manual_may_be_a_file_of_the_shop(points: Path) -> None:
    (points / "manuals").mkdir()
    write(points / "manuals" / "wren.pdf", "%PDF")
    text = (
        WREN.replace('maker = "Wren"', "family = true")
        + '[[document]]\ntitle = "Booklet"\npath = "manuals/wren.pdf"\n'
    )
    point_list = own_model(points, text).point_list("wren-1")
    assert (point_list.family, point_list.maker) == (True, "")
    assert point_list.documents[0].address == (points / "manuals" / "wren.pdf").resolve().as_uri()


def test_what_goes_with_a_motor_is_not_on_the_list_of_a_machine_without_one(points: Path) -> None:
    library = own_model(
        points, WREN.replace('["drop-feed"]', '["drop-feed", "foot-control-carbon", "hand-crank"]')
    )
    assert "foot-control-carbon" not in dict(library.point_list("wren-1").mechanisms)
    with_motor = library.point_list(
        "wren-1", ["drop-feed", "foot-control-carbon", "belt-motor-wicks"]
    )
    assert "foot-control-carbon" in dict(with_motor.mechanisms)


def test_a_price_of_a_wear_part_is_a_doubt_with_what_to_do(points: Path, run: Run) -> None:
    belt = '[[wear]]\nid = "belt"\nname = "Belt"\npart = "a belt"\nsource = "practice"\n'
    file = write(points / "models" / "wren-1.toml", WREN + belt + 'price = "4.50"\n')
    library = PointLibrary([points])
    assert list_faults(library, [file]) == []
    told = f'{file}: wear part "belt": price: "4.50": is shown on no paper; take it out'
    assert told in list_doubts(library, [file], least_days=90)
    checked = run("models", "check", file)
    assert checked.exit_code == 0 and told in checked.stdout.splitlines()
    assert library.point_list("wren-1").wear_parts[0].name == "Belt"
